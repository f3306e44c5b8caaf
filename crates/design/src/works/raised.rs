//! Raised ground: profiles that run down from a line on one or both of its sides.

mod feet;
mod held;
mod slope;

use std::sync::Arc;

use ground::curve::Closure;
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Ends, Side as SweptSide, Sweep, SweepError, SweepStation, sweep};
use ground::query::Locator;
use ground::{Lattice, Surface};

pub(super) use self::slope::Slope;
use super::bank::{Bank, BankLine, FACET_ANGLE_RAD, GroundFaces, Way};
use super::kept::Kept;
use super::{Band, Footing, number};
use crate::Problem;
use crate::part::Part;

/// A hill or a wall before it meets the ground.
#[derive(Clone, Debug)]
pub(crate) struct Raised {
    pub(super) owner: u32,
    /// The crest, or the exposed top edge of a wall; a single place for a round hill.
    pub(super) line: Vec<([f64; 2], f64)>,
    pub(super) left: Option<Side>,
    pub(super) right: Option<Side>,
    /// Outlines within which it may not raise the ground.
    pub(super) no_fill: Vec<Vec<[f64; 2]>>,
    /// The line of a wall in front of which it may not raise the ground; in front is on its right.
    pub(super) held: Option<Vec<[f64; 2]>>,
}

/// What lies on one side of the line.
#[derive(Clone, Debug)]
pub(super) struct Side {
    /// One for each place of the line.
    pub(super) slopes: Vec<Slope>,
    /// What its level strip is.
    pub(super) top: Part,
    /// What its slope is.
    pub(super) face: Part,
}

impl Raised {
    /// Where its flanks come down on a ground.
    pub(super) fn footing(&self, ground: &Surface) -> Footing {
        let slopes = || [&self.left, &self.right].into_iter().flatten().flat_map(|s| &s.slopes);
        let most = |value: fn(&Slope) -> f64| slopes().map(value).fold(0.0, f64::max);
        let lead_m = most(|s| s.level_m + 0.5 * (s.shoulder_m + s.toe_m));
        let run_per_rise = most(|s| s.run_per_rise);
        let bank = Bank { way: Way::Down, run_per_rise, owner: self.owner, lead_m };
        let line = BankLine { points: self.line.clone(), closure: Closure::Open };
        let fill_m = bank.reaches_m(&GroundFaces::new(ground), &line);
        let toes = slopes().any(|slope| slope.toe_m > 0.0);
        let feet_m = if toes && !fill_m.is_empty() {
            let locator = Locator::new(ground);
            [(&self.left, 1.0), (&self.right, -1.0)].map(|(side, turn)| match side {
                Some(side) => self.feet(&locator, side, turn, &fill_m),
                None => Vec::new(),
            })
        } else {
            [Vec::new(), Vec::new()]
        };
        Footing { cut_m: Vec::new(), fill_m: vec![fill_m], feet_m }
    }

    /// The band of its tops and slopes: ground may not lie below them.
    ///
    /// Sides of like parts are swept together, others each for itself.
    pub(super) fn band(&self, footing: &Footing, lattice: Lattice, kept: &mut Kept) -> Band {
        let Some(reaches_m) = footing.fill_m.first().filter(|reaches| !reaches.is_empty()) else {
            return Band::default();
        };
        let swept = match (&self.left, &self.right) {
            (Some(left), Some(right)) if left.face == right.face => {
                vec![self.swept(reaches_m, &footing.feet_m, lattice, SweptSide::Both)]
            }
            (left, right) => {
                let left = left
                    .as_ref()
                    .map(|_| self.swept(reaches_m, &footing.feet_m, lattice, SweptSide::Left));
                let right = right
                    .as_ref()
                    .map(|_| self.swept(reaches_m, &footing.feet_m, lattice, SweptSide::Right));
                left.into_iter().chain(right).collect()
            }
        };
        let mut band = Band::default();
        for bound in swept {
            match (bound, &band.lo) {
                (Err(error), _) => band.problems.push(Problem {
                    message: format!("its flank cannot be drawn: {error}"),
                    at_m: self.line[0].0,
                }),
                (Ok(bound), None) => band.lo = Some(Arc::new(bound)),
                (Ok(bound), Some(lo)) => {
                    let rooted = Rooted::Anywhere;
                    let both = compose(lo, &bound, Keep::Highest, Domain::Union, rooted);
                    band.lo = Some(Arc::new(both.surface));
                }
            }
        }
        band.lo = band.lo.map(|lo| kept.unbound(lo, &self.no_fill, Way::Down));
        if let (Some(wall), Some(lo)) = (&self.held, &band.lo) {
            match held::behind(lo, wall, &self.line, self.owner) {
                Ok(held) => band.lo = Some(Arc::new(held)),
                Err(problem) => band.problems.push(problem),
            }
        }
        band
    }

    fn swept(
        &self,
        reaches_m: &[f64],
        feet_m: &[Vec<f64>; 2],
        lattice: Lattice,
        side: SweptSide,
    ) -> Result<Surface, SweepError> {
        let sides = Sides(match side {
            SweptSide::Left => [self.left.as_ref(), None],
            SweptSide::Right => [None, self.right.as_ref()],
            SweptSide::Both => [self.left.as_ref(), self.right.as_ref()],
        });
        let n = sides.n_pieces();
        let profile = |side: usize, i: usize| {
            let Some(slopes) = sides.0[side].map(|side| &side.slopes) else { return Vec::new() };
            let foot_m = feet_m[side].get(i).copied().unwrap_or(f64::NEG_INFINITY);
            let lowest_m = self.line[i].1 - reaches_m[i] / slopes[i].run_per_rise;
            let height_m = self.line[i].1 - foot_m.max(lowest_m);
            slopes[i].profile(height_m, reaches_m[i], n)
        };
        let station = |(i, &(at, z)): (usize, &([f64; 2], f64))| SweepStation {
            at,
            z,
            left: profile(0, i),
            right: profile(1, i),
        };
        let stations: Vec<SweepStation> = self.line.iter().enumerate().map(station).collect();
        sweep(&Sweep {
            lattice,
            stations: &stations,
            closure: Closure::Open,
            side,
            ends: Ends::Round,
            keep: Keep::Highest,
            facet_angle_rad: FACET_ANGLE_RAD,
            owner: self.owner,
            parts: &sides.parts(n),
        })
    }
}

/// The sides that are swept together, left and right.
struct Sides<'a>([Option<&'a Side>; 2]);

impl Sides<'_> {
    /// Pieces into which their shoulders and their toes are flattened: as many as the one that needs
    /// most.
    fn n_pieces(&self) -> [usize; 2] {
        let slopes = || self.0.into_iter().flatten().flat_map(|side| &side.slopes);
        let most = |run: fn(&Slope) -> f64| {
            let curved = slopes().filter(|slope| run(slope) > 0.0);
            curved.map(|slope| slope.n_pieces(run(slope))).max().unwrap_or(0)
        };
        [most(|slope| slope.shoulder_m), most(|slope| slope.toe_m)]
    }

    /// The part of each piece of their profiles, from the line outward.
    fn parts(&self, [n_shoulder, n_toe]: [usize; 2]) -> Vec<u32> {
        // Before a toe the slope has a piece of its own, and it goes on below.
        let n_faces = n_shoulder + if n_toe > 0 { n_toe + 1 } else { 0 } + 1;
        let Some(side) = self.0.into_iter().flatten().next() else { return Vec::new() };
        let level = side.slopes.iter().any(|slope| slope.level_m > 0.0);
        let top = std::iter::repeat_n(side.top, usize::from(level));
        top.chain(std::iter::repeat_n(side.face, n_faces)).map(number).collect()
    }
}
