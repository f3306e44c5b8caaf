//! Where water that rises around a place runs over first.
//!
//! Water passes from face to face over their common edge, where the higher of the two sides is
//! lowest; within a face it may go straight from any edge to any other without standing higher than
//! at those. The lowest way out is therefore the least of the greatest such passes, found by letting
//! the lowest pass go first (Dijkstra's method with the greatest pass as the length of a way).

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::side::{Side, edge_towards, faces_at, height_at, metres};
use crate::{LatticeError, NONE, Surface};

/// The lowest saddle over which water around a place runs out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spill {
    /// The level at which water runs over, in metres; rounded once where the saddle lies within an
    /// edge.
    pub level_m: f64,
    /// The saddle's place in local metres; the middle of a level lip.
    pub at: [f64; 2],
    /// Where the water goes.
    pub to: WayOut,
}

/// Where water goes that runs over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WayOut {
    /// Over the border of the surface.
    Border,
    /// To ground lower than the floor of its own hollow.
    LowerGround,
}

/// Why no saddle was found.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SpillError {
    /// The seed is not a place on the lattice.
    #[error(transparent)]
    Beyond(#[from] LatticeError),
    /// No ground lies under the seed.
    #[error("there is no ground at ({x}, {y}) m")]
    Outside {
        /// Metres east.
        x: f64,
        /// Metres north.
        y: f64,
    },
    /// Water at the height of the seed already reaches the border.
    #[error("water at {ground_m} m around the seed runs off at ({x}, {y}) m")]
    RunsOff {
        /// Height of the ground in the seed, in metres.
        ground_m: f64,
        /// Metres east of where it runs off.
        x: f64,
        /// Metres north of where it runs off.
        y: f64,
    },
}

/// The lowest saddle of any way out for water that rises around `seed`.
///
/// The hollow's floor is the lowest ground that water at the height of the seed reaches. A way out
/// leads to the border or to ground lower than that floor; hollows beyond a saddle that are no deeper
/// fill first and are part of the pool.
///
/// # Errors
/// [`SpillError`] when the seed is off the surface, or its water runs off without rising.
pub fn spill(surface: &Surface, seed: [f64; 2]) -> Result<Spill, SpillError> {
    let p = surface.lattice().snap(seed)?;
    let named = faces_at(surface, p).into_iter();
    let seeds = named.map(|(f, lies)| (f, height_at(surface, f, p, lies))).collect::<Vec<_>>();
    let Some(ground_m) = seeds.iter().map(|&(_, z)| z).min_by(f64::total_cmp) else {
        return Err(SpillError::Outside { x: seed[0], y: seed[1] });
    };
    let lowest = seeds.iter().filter(|&&(_, z)| z == ground_m).map(|&(f, _)| f);
    let at = surface.lattice().metres(p);
    let mut rising = Rising::from(surface, lowest, ground_m, at);
    let mut floor_m = ground_m;
    loop {
        let pass = rising.next().expect("water that rises comes to the border");
        let low_m = rising.low_m(pass.face_idx);
        let (x, y) = (pass.at[0], pass.at[1]);
        match (pass.level_m > ground_m, low_m) {
            (true, None) => return Ok(pass.out(WayOut::Border)),
            (false, None) => return Err(SpillError::RunsOff { ground_m, x, y }),
            (true, Some(low_m)) if low_m < floor_m => return Ok(pass.out(WayOut::LowerGround)),
            (true, Some(_)) => {}
            (false, Some(low_m)) => floor_m = floor_m.min(low_m),
        }
    }
}

/// A way to a face, or to the border.
#[derive(Clone, Copy, Debug)]
struct Pass {
    /// The greatest height on the way.
    level_m: f64,
    /// The face it leads to; [`NONE`] is the border.
    face_idx: u32,
    /// Where that height stands.
    at: [f64; 2],
}

/// Faces in the order in which rising water reaches them.
struct Rising<'a> {
    surface: &'a Surface,
    reached: Vec<bool>,
    passes: BinaryHeap<Reverse<Pass>>,
}

impl<'a> Rising<'a> {
    fn from(
        surface: &'a Surface,
        faces: impl Iterator<Item = u32>,
        level_m: f64,
        at: [f64; 2],
    ) -> Self {
        let passes = faces.map(|face_idx| Reverse(Pass { level_m, face_idx, at })).collect();
        Self { surface, reached: vec![false; surface.faces().len()], passes }
    }

    /// The lowest height of a face; none for the border.
    fn low_m(&self, face_idx: u32) -> Option<f64> {
        let lowest = |z: [f64; 3]| z[0].min(z[1]).min(z[2]);
        (face_idx != NONE).then(|| lowest(self.surface.corner_heights(face_idx)))
    }

    fn spread(&mut self, from: Pass) {
        for k in 0..3 {
            let other = self.surface.faces()[from.face_idx as usize].neighbours[k];
            if other == NONE || !self.reached[other as usize] {
                let (height_m, at) = self.crossing(from.face_idx, k, other);
                let pass = if height_m > from.level_m {
                    Pass { level_m: height_m, face_idx: other, at }
                } else {
                    Pass { face_idx: other, ..from }
                };
                self.passes.push(Reverse(pass));
            }
        }
    }

    /// Where on an edge the higher of its two sides is lowest: that height and the place.
    fn crossing(&self, face_idx: u32, k: usize, other: u32) -> (f64, [f64; 2]) {
        let here = Side::of(self.surface, face_idx, k);
        let there = if other == NONE {
            here
        } else {
            let start = self.surface.faces()[face_idx as usize].vertices[k];
            Side::of(self.surface, other, edge_towards(self.surface, other, face_idx, start))
        };
        let (lo, hi) = (here.z_lo.max(there.z_lo), here.z_hi.max(there.z_hi));
        let (mut z, mut s) = match lo.total_cmp(&hi) {
            Ordering::Less => (lo, 0.0),
            Ordering::Equal => (lo, 0.5),
            Ordering::Greater => (hi, 1.0),
        };
        let (over_lo, over_hi) = (here.z_lo - there.z_lo, here.z_hi - there.z_hi);
        if (over_lo < 0.0 && over_hi > 0.0) || (over_lo > 0.0 && over_hi < 0.0) {
            let level = over_lo / (over_lo - over_hi);
            if here.z(level) < z {
                (z, s) = (here.z(level), level);
            }
        }
        (z, metres(self.surface.lattice(), here.at(s)))
    }
}

impl Iterator for Rising<'_> {
    type Item = Pass;

    fn next(&mut self) -> Option<Pass> {
        loop {
            let Reverse(pass) = self.passes.pop()?;
            if pass.face_idx == NONE {
                return Some(pass);
            }
            if !std::mem::replace(&mut self.reached[pass.face_idx as usize], true) {
                self.spread(pass);
                return Some(pass);
            }
        }
    }
}

impl Pass {
    fn out(self, to: WayOut) -> Spill {
        Spill { level_m: self.level_m, at: self.at, to }
    }
}

impl PartialEq for Pass {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Pass {}

impl PartialOrd for Pass {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Pass {
    /// By height, then by face and place, so that the order is the same every time.
    fn cmp(&self, other: &Self) -> Ordering {
        self.level_m
            .total_cmp(&other.level_m)
            .then(self.face_idx.cmp(&other.face_idx))
            .then(self.at[0].total_cmp(&other.at[0]))
            .then(self.at[1].total_cmp(&other.at[1]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::{pool, sample};

    /// A square bowl about (4, 4) whose flanks rise 1 in 1 to a rim at 1, level beyond it, with the
    /// corner at (6, 4) lowered to `notch`.
    fn bowl(notch: f64, beyond: f64) -> Surface {
        sample::grid([8, 8], 1.0, |[x, y]| {
            let out = (x - 4.0).abs().max((y - 4.0).abs());
            match () {
                () if [x, y] == [6.0, 4.0] => notch,
                () if out > 2.9 => beyond,
                () => (out - 1.0).min(1.0),
            }
        })
    }

    #[test]
    fn a_bowl_spills_at_its_notch() {
        for notch in [0.3, 0.77] {
            let spill = spill(&bowl(notch, 0.0), [4.2, 3.9]).unwrap();
            assert_eq!((spill.level_m, spill.at), (notch, [6.0, 4.0]));
            assert_eq!(spill.to, WayOut::Border);
        }
    }

    #[test]
    fn deeper_ground_beyond_is_a_way_out_and_shallower_is_not() {
        // Beyond the rim a moat, closed by a high border.
        let moat = |depth: f64| {
            sample::grid([12, 12], 1.0, move |[x, y]| {
                let out = (x - 6.0).abs().max((y - 6.0).abs());
                if out < 2.0 {
                    -1.0
                } else if out < 3.0 {
                    0.0
                } else if out < 5.0 {
                    depth
                } else {
                    3.0
                }
            })
        };
        let deep = spill(&moat(-2.0), [6.0, 6.0]).unwrap();
        assert_eq!((deep.level_m, deep.to), (0.0, WayOut::LowerGround));
        let shallow = spill(&moat(-0.5), [6.0, 6.0]).unwrap();
        assert_eq!((shallow.level_m, shallow.to), (3.0, WayOut::Border));
    }

    #[test]
    fn a_pool_is_closed_just_below_its_spill_and_open_above() {
        let bumps = |[x, y]: [f64; 2]| libm::sin(1.3 * x) * libm::cos(1.7 * y) + 0.02 * x;
        let ground = sample::grid([24, 24], 0.4, bumps);
        // The hollow where the sine is -1 and the cosine 1.
        let seed = [3.0 * std::f64::consts::FRAC_PI_2 / 1.3, 2.0 * std::f64::consts::PI / 1.7];
        let found = spill(&ground, seed).unwrap();
        let floor = |level: f64| pool(&ground, seed, level).unwrap();
        let (under, over) = (floor(found.level_m - 1e-6), floor(found.level_m + 1e-6));
        assert_eq!(under.open_at, None);
        assert!(over.open_at.is_some() || over.deepest_m > under.deepest_m + 1e-3);
        assert!(over.area_m2 > under.area_m2 + 0.1);
    }

    #[test]
    fn a_step_is_passed_at_its_top() {
        // A sunken square with vertical sides, one of them lower along its middle part.
        let square = |x: f64, y: f64| {
            let z = match [x, y] {
                [2.0, 2.0] => -1.0,
                [3.0, 2.0] => -0.25,
                _ => 0.0,
            };
            vec![[x, y, z], [x + 1.0, y, z], [x + 1.0, y + 1.0, z], [x, y + 1.0, z]]
        };
        let squares = (0..25).map(|i| square(f64::from(i % 5), f64::from(i / 5)));
        let ground = sample::patches(&squares.collect::<Vec<_>>());
        let spill = spill(&ground, [2.5, 2.5]).unwrap();
        assert_eq!((spill.level_m, spill.to), (0.0, WayOut::Border));
        assert_eq!(pool(&ground, [2.5, 2.5], -0.1).unwrap().area_m2, 2.0);
    }

    #[test]
    fn ground_that_falls_to_the_border_holds_nothing() {
        let slope = sample::grid([3, 3], 1.0, |[x, _]| x);
        assert!(matches!(spill(&slope, [1.5, 1.5]), Err(SpillError::RunsOff { .. })));
        assert!(matches!(spill(&slope, [9.0, 1.5]), Err(SpillError::Outside { .. })));
        assert!(matches!(spill(&slope, [f64::NAN, 1.5]), Err(SpillError::Beyond(_))));
    }
}
