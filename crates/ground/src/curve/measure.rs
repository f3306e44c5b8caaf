//! Lengths, stations, areas and nearness on a line.

use super::{Closure, CurveError, cross, dot, lerp, norm, sub, unit};

/// A line with its stations: distances along it from its first place.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    points: Vec<[f64; 2]>,
    closure: Closure,
    stations_m: Vec<f64>,
}

/// A place on a line, and the line's direction there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// The place, in metres.
    pub at: [f64; 2],
    /// Direction of the line, of length one.
    pub tangent: [f64; 2],
    /// Index of the segment's first point plus the fraction of the segment.
    pub parameter: f64,
}

/// The place on a line nearest to a given one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// The place on the line, in metres.
    pub at: [f64; 2],
    /// Its distance along the line, in metres.
    pub station_m: f64,
    /// How far away it is, in metres.
    pub distance_m: f64,
    /// Index of the segment's first point plus the fraction of the segment.
    pub parameter: f64,
}

impl Path {
    /// A line through places in metres.
    ///
    /// # Errors
    /// [`CurveError::NotFinite`]; [`CurveError::NoLength`] when all places coincide.
    pub fn new(points: &[[f64; 2]], closure: Closure) -> Result<Self, CurveError> {
        if let Some(point) = points.iter().position(|p| !p.iter().all(|c| c.is_finite())) {
            return Err(CurveError::NotFinite { point });
        }
        let mut stations_m = vec![0.0];
        let mut length_m = 0.0;
        for i in 0..closure.n_segments(points.len()) {
            length_m += norm(sub(points[(i + 1) % points.len()], points[i]));
            stations_m.push(length_m);
        }
        if length_m > 0.0 {
            Ok(Self { points: points.to_vec(), closure, stations_m })
        } else {
            Err(CurveError::NoLength)
        }
    }

    /// The places it goes through.
    pub fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Distance along the line of each place, in metres; a closed line has one more, its length.
    pub fn stations_m(&self) -> &[f64] {
        &self.stations_m
    }

    /// Its length in metres.
    pub fn length_m(&self) -> f64 {
        self.stations_m[self.stations_m.len() - 1]
    }

    /// The place at a distance along the line, in metres.
    ///
    /// A closed line goes round again; on an open one distances beyond its ends take the end. At a
    /// bend the direction is that of the segment that begins there. A NaN station takes the start.
    pub fn at_station(&self, station_m: f64) -> PathPoint {
        let length = self.length_m();
        let station = match self.closure {
            Closure::Closed => station_m - length * (station_m / length).floor(),
            Closure::Open => station_m,
        };
        let station = station.max(0.0).min(length);
        let n_segments = self.stations_m.len() - 1;
        let mut segment = self.stations_m.partition_point(|&s| s <= station).saturating_sub(1);
        segment = segment.min(n_segments - 1);
        while self.segment_length(segment) == 0.0 && segment > 0 {
            segment -= 1;
        }
        while self.segment_length(segment) == 0.0 {
            segment += 1;
        }
        let (a, b) = self.segment(segment);
        let along = (station - self.stations_m[segment]).max(0.0);
        let fraction = (along / self.segment_length(segment)).min(1.0);
        let tangent = unit(a, b).expect("a segment with a length has a direction");
        PathPoint { at: lerp(a, b, fraction), tangent, parameter: segment as f64 + fraction }
    }

    /// The nearest place on the line; of several the first along it.
    pub fn nearest(&self, to: [f64; 2]) -> Nearest {
        let mut best = (f64::INFINITY, 0, 0.0);
        for segment in 0..self.stations_m.len() - 1 {
            let (a, b) = self.segment(segment);
            let (fraction, distance) = nearest_on_segment(to, a, b);
            if distance < best.0 {
                best = (distance, segment, fraction);
            }
        }
        let (distance_m, segment, fraction) = best;
        let (a, b) = self.segment(segment);
        Nearest {
            at: lerp(a, b, fraction),
            station_m: self.stations_m[segment] + fraction * self.segment_length(segment),
            distance_m,
            parameter: segment as f64 + fraction,
        }
    }

    fn segment(&self, i: usize) -> ([f64; 2], [f64; 2]) {
        (self.points[i], self.points[(i + 1) % self.points.len()])
    }

    fn segment_length(&self, i: usize) -> f64 {
        self.stations_m[i + 1] - self.stations_m[i]
    }
}

/// Length of a line in metres; zero for fewer than two places.
pub fn length_m(points: &[[f64; 2]], closure: Closure) -> f64 {
    (0..closure.n_segments(points.len()))
        .map(|i| norm(sub(points[(i + 1) % points.len()], points[i])))
        .sum()
}

/// Area inside a ring in square metres, above zero when it goes counter-clockwise.
pub fn signed_area_m2(ring: &[[f64; 2]]) -> f64 {
    let Some(&origin) = ring.first() else { return 0.0 };
    let twice: f64 = ring.windows(2).map(|w| cross(sub(w[0], origin), sub(w[1], origin))).sum();
    0.5 * twice
}

/// The ring in the order that goes counter-clockwise.
pub fn counter_clockwise(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut turned = ring.to_vec();
    if signed_area_m2(ring) < 0.0 {
        turned.reverse();
    }
    turned
}

/// Whether a place lies inside a ring by the even-odd rule; on the ring itself either answer.
pub fn contains(ring: &[[f64; 2]], place: [f64; 2]) -> bool {
    let mut inside = false;
    for (i, &b) in ring.iter().enumerate() {
        let a = ring[(i + ring.len() - 1) % ring.len()];
        if (a[1] > place[1]) != (b[1] > place[1]) {
            let side = cross(sub(b, a), sub(place, a));
            if (side > 0.0) == (b[1] > a[1]) {
                inside = !inside;
            }
        }
    }
    inside
}

/// Fraction along the segment `a`–`b` of the place nearest to `p`, and its distance.
pub(crate) fn nearest_on_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> (f64, f64) {
    let d = sub(b, a);
    let squared = dot(d, d);
    let fraction = if squared > 0.0 { (dot(sub(p, a), d) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (fraction, norm(sub(p, lerp(a, b, fraction))))
}

#[cfg(test)]
mod tests {
    use super::*;

    const L: [[f64; 2]; 6] =
        [[0.0, 0.0], [4.0, 0.0], [4.0, 1.0], [1.0, 1.0], [1.0, 3.0], [0.0, 3.0]];

    #[test]
    fn stations_run_along_and_round() {
        let path = Path::new(&L, Closure::Closed).unwrap();
        assert_eq!(path.length_m(), 14.0);
        let p = path.at_station(4.5);
        assert_eq!((p.at, p.tangent, p.parameter), ([4.0, 0.5], [0.0, 1.0], 1.5));
        assert_eq!(path.at_station(18.5), p);
        assert_eq!(path.at_station(4.0).tangent, [0.0, 1.0]);
        let open = Path::new(&L, Closure::Open).unwrap();
        assert_eq!(open.at_station(99.0).at, [0.0, 3.0]);
        assert_eq!(open.at_station(-1.0).at, [0.0, 0.0]);
        let n = open.nearest([2.0, 1.2]);
        assert_eq!((n.at, n.station_m), ([2.0, 1.0], 7.0));
        assert_eq!(Path::new(&[[1.0, 1.0]; 3], Closure::Closed), Err(CurveError::NoLength));
    }

    #[test]
    fn areas_and_insides() {
        assert_eq!(signed_area_m2(&L), 6.0);
        let mut back = L;
        back.reverse();
        assert_eq!(signed_area_m2(&back), -6.0);
        assert_eq!(signed_area_m2(&counter_clockwise(&back)), 6.0);
        assert!(contains(&L, [0.5, 2.0]) && contains(&back, [3.0, 0.5]));
        assert!(!contains(&L, [2.0, 2.0]) && !contains(&L, [-1.0, 1.0]));
    }
}
