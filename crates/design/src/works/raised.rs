//! Raised ground: profiles that run down from a line on one or both of its sides.

use ground::curve::Closure;
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Ends, Profile, Side as SweptSide, Sweep, SweepError, SweepStation, sweep};
use ground::query::Locator;
use ground::{Lattice, Surface};

use super::bank::{Bank, BankLine, FACET_ANGLE_RAD, GroundFaces, Way};
use super::{Band, CHORD_M, Footing, number};
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

/// A profile outward from the line.
///
/// ```text
/// 0___level
///          `-. shoulder: from level to the slope
///             \
///              \  slope
///               `-.__ toe: from the slope to level, ending at the foot
/// ```
#[derive(Clone, Copy, Debug)]
pub(super) struct Slope {
    pub(super) level_m: f64,
    pub(super) run_per_rise: f64,
    pub(super) shoulder_m: f64,
    pub(super) toe_m: f64,
}

/// Distance between the places at which the foot of a flank is looked for.
const FOOT_STEP_M: f64 = 0.25;

/// The least length of a piece of a profile.
const LEAST_PIECE_M: f64 = 1e-3;

/// The least run of a slope below its toe.
const LEAST_REST_M: f64 = 0.25;

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
    pub(super) fn band(&self, footing: &Footing, lattice: Lattice) -> Band {
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
                (Ok(bound), None) => band.lo = Some(bound),
                (Ok(bound), Some(lo)) => {
                    let rooted = Rooted::Anywhere;
                    let both = compose(lo, &bound, Keep::Highest, Domain::Union, rooted);
                    band.lo = Some(both.surface);
                }
            }
        }
        band
    }

    fn swept(
        &self,
        reaches_m: &[f64],
        feet_m: &[Vec<f64>; 2],
        lattice: Lattice,
        swept: SweptSide,
    ) -> Result<Surface, SweepError> {
        let sides = match swept {
            SweptSide::Left => [self.left.as_ref(), None],
            SweptSide::Right => [None, self.right.as_ref()],
            SweptSide::Both => [self.left.as_ref(), self.right.as_ref()],
        };
        let slopes = || sides.into_iter().flatten().flat_map(|side| &side.slopes);
        let pieces = |run: fn(&Slope) -> f64| {
            let curved = slopes().filter(|slope| run(slope) > 0.0);
            curved.map(|slope| slope.n_pieces(run(slope))).max().unwrap_or(0)
        };
        let n = [pieces(|slope| slope.shoulder_m), pieces(|slope| slope.toe_m)];
        let profile = |side: usize, i: usize| {
            let Some(slopes) = sides[side].map(|side| &side.slopes) else { return Vec::new() };
            let foot_m = feet_m[side].get(i).copied().unwrap_or(f64::NEG_INFINITY);
            let lowest_m = self.line[i].1 - reaches_m[i] / slopes[i].run_per_rise;
            slopes[i].profile(self.line[i].1 - foot_m.max(lowest_m), reaches_m[i], n)
        };
        let stations: Vec<SweepStation> = (0..self.line.len())
            .map(|i| SweepStation {
                at: self.line[i].0,
                z: self.line[i].1,
                left: profile(0, i),
                right: profile(1, i),
            })
            .collect();
        let parts: Vec<u32> = (sides.into_iter().flatten().take(1))
            .flat_map(|side| {
                let level = side.slopes.iter().any(|slope| slope.level_m > 0.0);
                let n_faces = n[0] + if n[1] > 0 { n[1] + 1 } else { 0 } + 1;
                let top = std::iter::repeat_n(side.top, usize::from(level));
                top.chain(std::iter::repeat_n(side.face, n_faces)).map(number)
            })
            .collect();
        sweep(&Sweep {
            lattice,
            stations: &stations,
            closure: Closure::Open,
            side: swept,
            ends: Ends::Round,
            keep: Keep::Highest,
            facet_angle_rad: FACET_ANGLE_RAD,
            owner: self.owner,
            parts: &parts,
        })
    }

    /// Elevations at which the slopes of one side meet the ground, without their toes.
    fn feet(
        &self,
        locator: &Locator<&Surface>,
        side: &Side,
        turn: f64,
        reaches_m: &[f64],
    ) -> Vec<f64> {
        (0..self.line.len())
            .map(|i| {
                let (at, z) = self.line[i];
                let found: Vec<f64> = (self.bearings(i, turn).iter())
                    .filter_map(|&way| foot(locator, at, way, z, &side.slopes[i], reaches_m[i]))
                    .collect();
                found.iter().sum::<f64>() / found.len() as f64
            })
            .map(|foot| if foot.is_finite() { foot } else { f64::NEG_INFINITY })
            .collect()
    }

    /// Square to the line at one of its places; all round where there is no line.
    fn bearings(&self, i: usize, turn: f64) -> Vec<[f64; 2]> {
        let (last, at) = (self.line.len() - 1, |i: usize| self.line[i].0);
        if last == 0 {
            let spoke = |k: u8| {
                let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::FRAC_PI_4);
                [cos, sin]
            };
            return (0..8).map(spoke).collect();
        }
        let unit = |a: [f64; 2], b: [f64; 2]| {
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = libm::hypot(d[0], d[1]);
            d.map(|c| c / length)
        };
        let before = (i > 0).then(|| unit(at(i - 1), at(i)));
        let after = (i < last).then(|| unit(at(i), at(i + 1)));
        let [t0, t1] = match (before, after) {
            (Some(t0), Some(t1)) => [t0, t1],
            (Some(t), None) | (None, Some(t)) => [t, t],
            (None, None) => [[1.0, 0.0]; 2],
        };
        let middle = [t0[0] + t1[0], t0[1] + t1[1]];
        vec![unit([0.0, 0.0], [-turn * middle[1], turn * middle[0]])]
    }
}

/// The elevation at which a slope without its toe meets the ground along one bearing.
fn foot(
    locator: &Locator<&Surface>,
    at: [f64; 2],
    way: [f64; 2],
    z: f64,
    slope: &Slope,
    reach_m: f64,
) -> Option<f64> {
    let place = |out: f64| [at[0] + out * way[0], at[1] + out * way[1]];
    let mut last: Option<[f64; 2]> = None;
    for step in 0..=(reach_m / FOOT_STEP_M).ceil() as u32 {
        let out = f64::from(step) * FOOT_STEP_M;
        let Some(ground_m) = locator.elevation(place(out)) else { break };
        let above_m = z - slope.drop_m(out) - ground_m;
        if above_m <= 0.0 {
            return Some(match last {
                Some([last_ground_m, last_above_m]) => {
                    let share = last_above_m / (last_above_m - above_m);
                    last_ground_m + share * (ground_m - last_ground_m)
                }
                None => ground_m,
            });
        }
        last = Some([ground_m, above_m]);
    }
    last.map(|[ground_m, _]| ground_m)
}

impl Slope {
    /// Fall below the line at an offset, the toe left out.
    fn drop_m(&self, offset_m: f64) -> f64 {
        let grade = 1.0 / self.run_per_rise;
        let out = (offset_m - self.level_m).max(0.0);
        if out < self.shoulder_m {
            0.5 * grade * out * out / self.shoulder_m
        } else {
            grade * (out - 0.5 * self.shoulder_m)
        }
    }

    /// Pieces into which a curve over `run_m` that turns by the whole grade is flattened.
    fn n_pieces(&self, run_m: f64) -> usize {
        let grade = 1.0 / self.run_per_rise;
        (run_m / libm::sqrt(8.0 * CHORD_M * run_m / grade)).ceil().clamp(1.0, 32.0) as usize
    }

    /// Offsets and rises out to where the ground must be met, in `n` pieces: shoulder and toe.
    fn profile(&self, height_m: f64, reach_m: f64, n: [usize; 2]) -> Profile {
        let grade = 1.0 / self.run_per_rise;
        let shoulder_m = if n[0] > 0 { self.shoulder_m.max(LEAST_PIECE_M) } else { 0.0 };
        // A low hill has no room for the whole toe.
        let room_m = 2.0 * height_m * self.run_per_rise - shoulder_m;
        let toe_m = if n[1] > 0 { self.toe_m.min(room_m).max(LEAST_PIECE_M) } else { 0.0 };
        let mut points = vec![[0.0, 0.0]];
        if self.level_m > 0.0 {
            points.push([self.level_m, 0.0]);
        }
        for k in 1..=n[0] {
            let out = shoulder_m * k as f64 / n[0] as f64;
            points.push([self.level_m + out, -0.5 * grade * out * out / shoulder_m]);
        }
        let (mut out, mut drop) = (self.level_m + shoulder_m, 0.5 * grade * shoulder_m);
        if n[1] > 0 {
            let straight_m = ((room_m - toe_m) * 0.5).max(LEAST_PIECE_M);
            (out, drop) = (out + straight_m, drop + grade * straight_m);
            points.push([out, -drop]);
            for k in 1..=n[1] {
                let along = toe_m * k as f64 / n[1] as f64;
                let eased = grade * (along - 0.5 * along * along / toe_m);
                points.push([out + along, -drop - eased]);
            }
            (out, drop) = (out + toe_m, drop + 0.5 * grade * toe_m);
        }
        let rest_m =
            (reach_m - out).max(self.run_per_rise * (reach_m * grade - drop)).max(LEAST_REST_M);
        points.push([out + rest_m, -drop - grade * rest_m]);
        points
    }
}
