//! The ground along a line: sections, and lines draped over the surface.
//!
//! ```text
//!        o_______o  Step                o---o  End
//!       /        |              Gap    /
//!   ---o         o------o . . . . . . o
//!    Face(f)                        Face(g)
//! ```
//! Where the line runs along an edge, the upper of the two faces counts, as it does for elevations.

use std::borrow::Borrow;

use super::locate::Locator;
use super::side::{self, Side, next};
use crate::{LatticeError, LatticePoint, Surface, predicates};

/// A point of the ground along a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPoint {
    /// Distance along the line in plan, in metres.
    pub station_m: f64,
    /// The place in local metres.
    pub at: [f64; 2],
    /// Height of the ground, in metres.
    pub z: f64,
    /// What lies between this point and the next.
    pub ahead: Ahead,
}

/// What lies between a point of a section and the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ahead {
    /// Straight ground on this face.
    Face(u32),
    /// A step: the next point lies straight above or below this one.
    Step,
    /// No ground: the line leaves the surface here and meets it again at the next point.
    Gap,
    /// Nothing: this is the last point.
    End,
}

/// Heights on both sides of a place that differ by less than this are one height: what the edge's
/// two faces compute from different corners, not a step. In metres.
const ONE_HEIGHT_M: f64 = 1e-9;

/// The ground along the straight line from `a` to `b`, empty where the line meets no ground.
///
/// Points stand at both ends, wherever the line crosses an edge and on both heights of a step.
/// Stations run from zero at `a`, which is taken at the nearest lattice place, as is `b`.
///
/// # Errors
/// [`LatticeError::Beyond`] when a place is not a number or beyond the lattice's reach.
pub fn section(
    surface: &Surface,
    a: [f64; 2],
    b: [f64; 2],
) -> Result<Vec<SectionPoint>, LatticeError> {
    drape(surface, &[a, b])
}

/// The ground along a line of straight legs, as [`section`] gives it for one leg.
///
/// # Errors
/// [`LatticeError::Beyond`] when a place is not a number or beyond the lattice's reach.
pub fn drape(surface: &Surface, line: &[[f64; 2]]) -> Result<Vec<SectionPoint>, LatticeError> {
    drape_over(surface, line, |_, _| 0..surface.faces().len() as u32)
}

impl<S: Borrow<Surface>> Locator<S> {
    /// As [`section`], looking only at the faces near the line.
    ///
    /// # Errors
    /// [`LatticeError::Beyond`] when a place is not a number or beyond the lattice's reach.
    pub fn section(&self, a: [f64; 2], b: [f64; 2]) -> Result<Vec<SectionPoint>, LatticeError> {
        self.drape(&[a, b])
    }

    /// As [`drape`], looking only at the faces near the line.
    ///
    /// # Errors
    /// [`LatticeError::Beyond`] when a place is not a number or beyond the lattice's reach.
    pub fn drape(&self, line: &[[f64; 2]]) -> Result<Vec<SectionPoint>, LatticeError> {
        drape_over(self.surface(), line, |a, b| self.near_segment(a, b))
    }
}

fn drape_over<I: IntoIterator<Item = u32>>(
    surface: &Surface,
    line: &[[f64; 2]],
    near: impl Fn(LatticePoint, LatticePoint) -> I,
) -> Result<Vec<SectionPoint>, LatticeError> {
    let lattice = surface.lattice();
    let places = line.iter().map(|&at| lattice.snap(at)).collect::<Result<Vec<_>, _>>()?;
    let mut profile = Profile::default();
    for leg in places.windows(2).filter(|leg| leg[0] != leg[1]) {
        let leg = Leg::new(surface, leg[0], leg[1]);
        let mut pieces =
            near(leg.a, leg.b).into_iter().filter_map(|f| leg.piece(f)).collect::<Vec<_>>();
        pieces.sort_by(Piece::along);
        profile.extend(&leg, &pieces);
    }
    Ok(profile.points)
}

/// One straight leg of a line.
struct Leg<'a> {
    surface: &'a Surface,
    a: LatticePoint,
    b: LatticePoint,
    length_m: f64,
}

/// The stretch of a leg that lies on one face: shares of the leg, and heights there.
struct Piece {
    face_idx: u32,
    from: [f64; 2],
    to: [f64; 2],
}

impl Piece {
    /// By place along the leg; of two faces beside one edge, the upper first.
    fn along(&self, other: &Self) -> std::cmp::Ordering {
        let middle = |piece: &Self| piece.from[1] + piece.to[1];
        self.from[0]
            .total_cmp(&other.from[0])
            .then(self.to[0].total_cmp(&other.to[0]))
            .then(middle(other).total_cmp(&middle(self)))
            .then(self.face_idx.cmp(&other.face_idx))
    }
}

impl<'a> Leg<'a> {
    fn new(surface: &'a Surface, a: LatticePoint, b: LatticePoint) -> Self {
        let run = [f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y)];
        let length_m = libm::hypot(run[0], run[1]) / side::steps_per_m(surface.lattice());
        Self { surface, a, b, length_m }
    }

    /// The stretch of the leg on a face, if it is longer than a point.
    fn piece(&self, face_idx: u32) -> Option<Piece> {
        let corners = self.surface.corners(face_idx);
        if self.passes_beside(corners) {
            return None;
        }
        let off = corners.map(|c| predicates::orient(self.a, self.b, c));
        let meets = self.meets(face_idx, corners, off)?;
        let [mut from, mut to] = meets;
        if from[0] > to[0] {
            (from, to) = (to, from);
        }
        if to[0] <= 0.0 || from[0] >= 1.0 {
            return None;
        }
        let (start, end) = (self.cut_to(from, to, 0.0), self.cut_to(from, to, 1.0));
        if from[0] < 0.0 {
            from = start;
        }
        if to[0] > 1.0 {
            to = end;
        }
        Some(Piece { face_idx, from, to })
    }

    /// Whether the face's box misses the leg's, in whole lattice steps.
    fn passes_beside(&self, corners: [LatticePoint; 3]) -> bool {
        let misses = |c: [i32; 3], a: i32, b: i32| {
            let (low, high) = (c[0].min(c[1]).min(c[2]), c[0].max(c[1]).max(c[2]));
            high < a.min(b) || low > a.max(b)
        };
        misses(corners.map(|c| c.x), self.a.x, self.b.x)
            || misses(corners.map(|c| c.y), self.a.y, self.b.y)
    }

    /// The two places where the leg's whole line meets a face's rim, as share and height.
    fn meets(
        &self,
        face_idx: u32,
        corners: [LatticePoint; 3],
        off: [i64; 3],
    ) -> Option<[[f64; 2]; 2]> {
        let mut meets = [[0.0; 2]; 3];
        let mut n_meets = 0;
        for k in 0..3 {
            if off[k] == 0 {
                let z = self.surface.corner_heights(face_idx)[k];
                meets[n_meets] = [self.share_of(corners[k]), z];
                n_meets += 1;
            } else if (off[k] < 0 && off[next(k)] > 0) || (off[k] > 0 && off[next(k)] < 0) {
                let side = Side::of(self.surface, face_idx, k);
                let [lo, hi] = side.in_order(off[k] as f64, off[next(k)] as f64);
                meets[n_meets] = [self.share_crossing(&side), side.z(side::zero_between(lo, hi))];
                n_meets += 1;
            }
        }
        (n_meets == 2).then_some([meets[0], meets[1]])
    }

    /// The share of the leg at a lattice place on its line.
    fn share_of(&self, p: LatticePoint) -> f64 {
        let along = |q: LatticePoint| {
            let (x, y) =
                (i64::from(q.x) - i64::from(self.a.x), i64::from(q.y) - i64::from(self.a.y));
            let (bx, by) = (
                i64::from(self.b.x) - i64::from(self.a.x),
                i64::from(self.b.y) - i64::from(self.a.y),
            );
            i128::from(x) * i128::from(bx) + i128::from(y) * i128::from(by)
        };
        along(p) as f64 / along(self.b) as f64
    }

    /// The share of the leg where its line crosses an edge.
    fn share_crossing(&self, side: &Side) -> f64 {
        let (a, b) = (
            predicates::orient(side.lo, side.hi, self.a),
            predicates::orient(side.lo, side.hi, self.b),
        );
        a as f64 / (i128::from(a) - i128::from(b)) as f64
    }

    /// The height between two meets at a share of the leg.
    fn cut_to(&self, from: [f64; 2], to: [f64; 2], share: f64) -> [f64; 2] {
        let s = (share - from[0]) / (to[0] - from[0]);
        [share, from[1] + s * (to[1] - from[1])]
    }

    fn point(&self, start_m: f64, [share, z]: [f64; 2], ahead: Ahead) -> SectionPoint {
        let (ax, ay) = (f64::from(self.a.x), f64::from(self.a.y));
        let steps =
            [ax + share * (f64::from(self.b.x) - ax), ay + share * (f64::from(self.b.y) - ay)];
        let at = side::metres(self.surface.lattice(), steps);
        SectionPoint { station_m: start_m + share * self.length_m, at, z, ahead }
    }
}

/// The points gathered so far, and how long the legs were.
#[derive(Default)]
struct Profile {
    points: Vec<SectionPoint>,
    length_m: f64,
}

impl Profile {
    /// Adds the pieces of one leg, which are sorted along it.
    fn extend(&mut self, leg: &Leg, pieces: &[Piece]) {
        let start_m = self.length_m;
        let mut covered = 0.0;
        for piece in pieces.iter().filter(|piece| piece.to[0] > piece.from[0]) {
            if piece.to[0] <= covered {
                continue;
            }
            let ahead = Ahead::Face(piece.face_idx);
            self.join(leg.point(start_m, piece.from, ahead));
            self.points.push(leg.point(start_m, piece.to, Ahead::End));
            covered = piece.to[0];
        }
        self.length_m += leg.length_m;
    }

    /// Joins the start of a piece to what there is: over a gap, over a step, or as the same point.
    fn join(&mut self, start: SectionPoint) {
        let Some(last) = self.points.last_mut() else {
            self.points.push(start);
            return;
        };
        if start.station_m > last.station_m {
            last.ahead = Ahead::Gap;
            self.points.push(start);
        } else if (start.z - last.z).abs() > ONE_HEIGHT_M {
            last.ahead = Ahead::Step;
            self.points.push(start);
        } else {
            last.ahead = start.ahead;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::sample;

    #[test]
    fn a_section_matches_the_elevations_beside_it() {
        let surface = sample::grid([9, 7], 1.1, |[x, y]| (x - 4.0) * (y - 3.0) * 0.2);
        let locator = Locator::new(&surface);
        for (a, b) in
            [([0.3, 0.2], [9.1, 7.0]), ([9.0, 0.4], [0.1, 6.9]), ([-3.0, 2.2], [20.0, 2.2])]
        {
            let points = locator.section(a, b).unwrap();
            assert_eq!(points, section(&surface, a, b).unwrap());
            assert!(points.len() > 8);
            for pair in points.windows(2) {
                assert!(pair[0].station_m < pair[1].station_m);
                let middle = [0, 1].map(|i| 0.5 * (pair[0].at[i] + pair[1].at[i]));
                let z = locator.elevation(middle).unwrap();
                assert!((z - 0.5 * (pair[0].z + pair[1].z)).abs() < 1e-6);
                let Ahead::Face(face_idx) = pair[0].ahead else { panic!("ground all along") };
                assert_eq!(locator.face_at(middle), Some(face_idx));
            }
        }
    }

    #[test]
    fn a_contour_crosses_where_heights_are_shared() {
        // check-values.md T-09: 98.6 to 101.3 over 20 m; level 100 lies 10.370 m from the low end.
        let ground =
            vec![[0.0, 0.0, 98.6], [20.0, 0.0, 101.3], [20.0, 5.0, 101.3], [0.0, 5.0, 98.6]];
        let surface = sample::patches(&[ground]);
        let points = section(&surface, [0.0, 2.0], [20.0, 2.0]).unwrap();
        let (first, last) = (points[0], points[points.len() - 1]);
        assert!((first.z - 98.6).abs() < 1e-12 && (last.z - 101.3).abs() < 1e-12);
        let line = &crate::query::contours(&surface, 100.0)[0];
        assert!(line.points.iter().all(|p| (p[0] - 10.370).abs() < 5e-4));
    }

    #[test]
    fn a_step_shows_both_heights() {
        let surface = sample::terrace();
        let points = section(&surface, [0.5, 0.7], [3.5, 0.7]).unwrap();
        let step = points.iter().position(|p| p.ahead == Ahead::Step).unwrap();
        assert_eq!((points[step].z, points[step + 1].z), (0.0, 1.0));
        assert_eq!((points[step].station_m, points[step + 1].station_m), (1.5, 1.5));
        assert_eq!(points.iter().filter(|p| p.ahead == Ahead::Step).count(), 1);
    }

    #[test]
    fn along_a_step_the_upper_ground_counts() {
        let points = section(&sample::terrace(), [2.0, 0.0], [2.0, 2.0]).unwrap();
        assert!(points.iter().all(|p| p.z == 1.0));
        assert_eq!(points.len(), 3);
    }

    #[test]
    fn a_gap_is_no_ground() {
        let square =
            |x: f64, z: f64| vec![[x, 0.0, z], [x + 1.0, 0.0, z], [x + 1.0, 1.0, z], [x, 1.0, z]];
        let surface = sample::patches(&[square(0.0, 1.0), square(3.0, 2.0)]);
        let points = section(&surface, [-1.0, 0.5], [5.0, 0.5]).unwrap();
        let gaps = points.iter().filter(|p| p.ahead == Ahead::Gap).collect::<Vec<_>>();
        assert_eq!(gaps.len(), 1);
        assert_eq!(gaps[0].station_m, 2.0);
        assert_eq!((points[0].station_m, points[points.len() - 1].station_m), (1.0, 5.0));
        assert!(section(&surface, [1.5, 0.0], [2.5, 1.0]).unwrap().is_empty());
    }

    #[test]
    fn a_draped_line_joins_its_legs() {
        let surface = sample::grid([4, 4], 1.0, |[x, y]| 2.0 * x - y);
        let points = drape(&surface, &[[0.2, 0.3], [3.3, 0.3], [3.3, 3.1]]).unwrap();
        let last = points[points.len() - 1];
        assert!((last.station_m - 5.9).abs() < 1e-12);
        assert!(points.windows(2).all(|p| p[0].station_m < p[1].station_m));
        assert!(points.iter().any(|p| p.at == [3.3, 0.3]));
        assert!(points.iter().all(|p| (p.z - (2.0 * p.at[0] - p.at[1])).abs() < 1e-12));
    }

    #[test]
    fn a_place_that_is_no_number_is_refused() {
        let surface = sample::terrace();
        assert!(section(&surface, [f64::NAN, 0.0], [1.0, 1.0]).is_err());
        assert!(section(&surface, [0.0, 0.0], [1e9, 1.0]).is_err());
    }
}
