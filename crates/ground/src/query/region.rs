//! The part of a surface where a condition holds.

use super::side::{Side, metres, next, steps_per_m, zero_between};
use super::trace::{Border, Field, Flats, Tracer};
use crate::{Sum, Surface, predicates};

/// The part of a surface where a field is above zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Area in plan, in square metres.
    pub area_m2: f64,
    /// The field's integral over the region, in its unit times square metres.
    pub integral: f64,
    /// Plan area of the faces at whose corners the field is not a finite number; they count neither
    /// in nor out. In square metres.
    pub undefined_m2: f64,
    /// The region's outline in local metres: outer rings counter-clockwise, holes clockwise.
    pub rings: Vec<Vec<[f64; 2]>>,
    /// The region face by face.
    pub pieces: Vec<RegionPiece>,
    /// Where the field is greatest, the first such place; none when the region is empty.
    pub worst: Option<Worst>,
}

/// The part of a region on one face.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionPiece {
    /// The face.
    pub face_idx: u32,
    /// Its convex polygon in local metres, counter-clockwise.
    pub ring: Vec<[f64; 2]>,
}

/// The place where a field is greatest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// The field's value there.
    pub value: f64,
    /// The place in local metres; the middle of the face when the field is level on it.
    pub at: [f64; 2],
    /// The face on which it lies.
    pub face_idx: u32,
}

/// The part of a surface where a field is above zero, exactly clipped.
///
/// `field` gives its values at the three corners of a face, between which it runs straight; a value
/// per face is three equal ones. Ground below a level is `level - z` at each corner; ground steeper
/// than a limit is `grade - limit`.
pub fn region(surface: &Surface, field: impl Fn(u32) -> [f64; 3]) -> Region {
    let field = Field { surface, values: field, flats: Flats::Outside };
    let all = 0..surface.faces().len() as u32;
    let measure = Measure::of(&field, all.clone());
    let rings = Tracer::new(surface).loops(&field, all.clone(), Border::Counts);
    Region {
        area_m2: measure.area.value(),
        integral: measure.integral.value(),
        undefined_m2: measure.undefined.value(),
        rings: rings.iter().map(|ring| ring.iter().map(|node| node.at).collect()).collect(),
        pieces: all.filter_map(|f| piece(&field, f)).collect(),
        worst: measure.worst,
    }
}

/// Area, integral and greatest value of a field over the part of some faces where it is above zero.
#[derive(Default)]
pub(crate) struct Measure {
    pub(crate) area: Sum,
    pub(crate) integral: Sum,
    pub(crate) undefined: Sum,
    pub(crate) worst: Option<Worst>,
}

impl Measure {
    pub(crate) fn of<V: Fn(u32) -> [f64; 3]>(
        field: &Field<V>,
        faces: impl IntoIterator<Item = u32>,
    ) -> Self {
        let per_m = steps_per_m(field.surface.lattice());
        let mut measure = Self::default();
        for face_idx in faces {
            let [a, b, c] = field.surface.corners(face_idx);
            let area_m2 = predicates::orient(a, b, c) as f64 / (2.0 * per_m * per_m);
            match field.part(face_idx) {
                Some(values) => measure.add(field.surface, face_idx, area_m2, values),
                None if (field.values)(face_idx).iter().all(|v| v.is_finite()) => {}
                None => measure.undefined.add(area_m2),
            }
        }
        measure
    }

    fn add(&mut self, surface: &Surface, face_idx: u32, area_m2: f64, values: [f64; 3]) {
        for [share, mean] in shares(values) {
            self.area.add(area_m2 * share);
            self.integral.add(area_m2 * share * mean);
        }
        let value = values[0].max(values[1]).max(values[2]);
        if self.worst.is_none_or(|worst| value > worst.value) {
            let at = place_of_greatest(surface, face_idx, values);
            self.worst = Some(Worst { value, at, face_idx });
        }
    }
}

fn place_of_greatest(surface: &Surface, face_idx: u32, values: [f64; 3]) -> [f64; 2] {
    let corners = surface.corners(face_idx).map(|c| surface.lattice().metres(c));
    if values[0] == values[1] && values[1] == values[2] {
        let [a, b, c] = corners;
        return [(a[0] + b[0] + c[0]) / 3.0, (a[1] + b[1] + c[1]) / 3.0];
    }
    let greatest = (1..3).fold(0, |best, k| if values[k] > values[best] { k } else { best });
    corners[greatest]
}

/// The triangles that make up the part of a face where a field is above zero: each one's share of
/// the face's area and the field's mean over it. All terms are at or above zero, so that no digits
/// cancel.
///
/// ```text
///        c                 one corner above: the triangle a, p, q
///       / \                two (a and b): the triangles a, b, p and a, p, q
///    q o---o p
///     / \   \
///    a - - - b
/// ```
fn shares(values: [f64; 3]) -> [[f64; 2]; 2] {
    let n_above = values.iter().filter(|&&v| v > 0.0).count();
    let from = |k: usize| {
        let (a, b, c) = (values[k], values[next(k)], values[next(next(k))]);
        (a, b, c)
    };
    if values.iter().all(|&v| v >= 0.0) {
        return [[1.0, (values[0] + values[1] + values[2]) / 3.0], [0.0, 0.0]];
    }
    if n_above == 1 {
        let k = (0..3).find(|&k| values[k] > 0.0).expect("one is above");
        let (a, b, c) = from(k);
        return [[zero_between(a, b) * zero_between(a, c), a / 3.0], [0.0, 0.0]];
    }
    let below = (0..3).find(|&k| values[k] < 0.0).expect("one is below");
    let (a, b, c) = from(next(below));
    let (towards_c_of_b, towards_c_of_a) = (zero_between(b, c), zero_between(a, c));
    // The share left of b-c is c / (c - b), which does not cancel as 1 - b / (b - c) would.
    [[towards_c_of_b, (a + b) / 3.0], [zero_between(c, b) * towards_c_of_a, a / 3.0]]
}

/// The polygon of the part of a face where a field is above zero.
fn piece<V: Fn(u32) -> [f64; 3]>(field: &Field<V>, face_idx: u32) -> Option<RegionPiece> {
    let values = field.part(face_idx)?;
    let surface = field.surface;
    let corners = surface.corners(face_idx).map(|c| surface.lattice().metres(c));
    let mut ring = Vec::with_capacity(4);
    for k in 0..3 {
        if values[k] >= 0.0 {
            ring.push(corners[k]);
        }
        if (values[k] > 0.0 && values[next(k)] < 0.0) || (values[k] < 0.0 && values[next(k)] > 0.0)
        {
            let side = Side::of(surface, face_idx, k);
            let [lo, hi] = side.in_order(values[k], values[next(k)]);
            ring.push(metres(surface.lattice(), side.at(zero_between(lo, hi))));
        }
    }
    Some(RegionPiece { face_idx, ring })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::{contours, sample};

    #[test]
    fn steep_ground_is_found_by_face() {
        let roof =
            sample::grid([4, 2], 1.0, |[x, _]| if x < 2.0 { 0.3 * x } else { 0.8 - 0.1 * x });
        let grade = |f: u32| roof.plane(f).grade(roof.lattice());
        let steep = region(&roof, |f| [grade(f) - 0.25; 3]);
        assert!((steep.area_m2 - 4.0).abs() < 1e-12);
        assert_eq!(steep.rings.len(), 1);
        assert!((steep.worst.unwrap().value - 0.05).abs() < 1e-9);
        assert_eq!(steep.pieces.len(), 16);
    }

    #[test]
    fn ground_below_a_level_is_clipped_exactly() {
        let pit = sample::cone(4, 2.0, 0.0, -1.0);
        let wet = region(&pit, |f| pit.corner_heights(f).map(|z| -0.5 - z));
        // The square of half the size, and the pyramid of half the depth upon it.
        assert!((wet.area_m2 - 2.0).abs() < 1e-6);
        assert!((wet.integral - 2.0 * 0.5 / 3.0).abs() < 1e-6);
        assert_eq!(wet.worst.unwrap().at, [0.0, 0.0]);
        assert_eq!(wet.rings.len(), 1);
        assert_eq!(wet.rings[0].len(), contours(&pit, -0.5)[0].points.len());
    }

    #[test]
    fn pieces_add_up_to_the_region() {
        let surface = sample::grid([6, 6], 0.5, |[x, y]| x * x - y);
        let part = region(&surface, |f| surface.corner_heights(f).map(|z| z - 0.3));
        let shoelace = |ring: &[[f64; 2]]| {
            let n = ring.len();
            (0..n)
                .map(|i| (ring[i], ring[(i + 1) % n]))
                .map(|(p, q)| p[0] * q[1] - p[1] * q[0])
                .sum::<f64>()
                / 2.0
        };
        let pieces = part.pieces.iter().map(|piece| shoelace(&piece.ring)).sum::<f64>();
        assert!((pieces - part.area_m2).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_a_number_stays_apart() {
        let surface = sample::grid([1, 1], 2.0, |_| 0.0);
        let part = region(&surface, |f| if f == 0 { [1.0, f64::NAN, 1.0] } else { [1.0; 3] });
        assert_eq!((part.area_m2, part.undefined_m2), (3.0, 1.0));
        assert_eq!(part.worst.unwrap().value, 1.0);
    }
}
