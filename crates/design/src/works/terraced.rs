//! Walls whose section has more than one face: in tiers, or with a top that steps along them.
//!
//! ```text
//!                               |<- back ->|
//!                                          +---+ top 3
//!                     back      +---+      |    `- . backfill, until it meets ground
//!              |<-------------->|   `- . _ |  face 3
//!              +---+ top 1      |  bench 2
//!              |    `-. _ bench |
//!       face 1 |           ` - .|  face 2
//!       _______|
//! ```
//! The whole section is one profile that goes by the nearest place of the line: each face stands
//! where the line behind it lies, and wraps round a bend as the line does. Distances and the slopes
//! of the fill are measured square to the line, in plan, so the section is the same all along a line
//! that slopes. Where the top steps, so does all behind it, along the way in which the line bends: the
//! stones of the step return into the bank and hold it.

mod behind;

use std::sync::Arc;

use ground::curve::Closure;
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Ends, Profile, Side as SweptSide, Sweep, SweepStation, sweep};
use ground::{Lattice, Surface};
use site::works::{Side as Retained, Wall};
use units::{LengthUnit, length_text};

pub(super) use self::behind::{room_m, top_edge};
use super::bank::{Bank, BankLine, FACET_ANGLE_RAD, GroundFaces, Way};
use super::kept::Kept;
use super::{Band, Footing, number};
use crate::Problem;
use crate::part::Part;

/// A wall of several faces before it meets the ground.
#[derive(Clone, Debug)]
pub(crate) struct Terraced {
    pub(super) owner: u32,
    /// The exposed top edge in front; two places, one above the other, where it steps.
    pub(super) line: Vec<([f64; 2], f64)>,
    pub(super) retains: Retained,
    pub(super) section: Section,
    /// Outlines within which it may not raise the ground.
    pub(super) no_fill: Vec<Vec<[f64; 2]>>,
}

/// A wall's section, square to its line.
#[derive(Clone, Debug)]
pub(super) struct Section {
    pub(super) thickness_m: f64,
    /// Lean of every face: run per rise; zero is upright.
    pub(super) batter: f64,
    /// Fall of the fill behind every face: run per rise.
    pub(super) backfill: f64,
    /// Distance of each further top edge behind the line, and its height above the line's.
    pub(super) tiers: Vec<[f64; 2]>,
}

/// A side of a wall's line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Where {
    /// That on which ground is held.
    Behind,
    /// The other.
    InFront,
}

/// Height of face that is drawn below the line, so that the profile begins with the face itself: it
/// has no width, and makes the sweep go by the nearest place of the line.
const FACE_M: f64 = 1.0;

/// How far from an end or a bend a line that slopes has a place more.
const BESIDE_M: f64 = 0.005;

/// A line that turns by more bends; less is a chord of a curve.
const BEND_RAD: f64 = 0.2;

/// The least run of the fill behind the last top.
const LEAST_FILL_M: f64 = 0.25;

impl Section {
    /// The section of a wall with those of its tiers that have room, and what is said of the others.
    pub(super) fn of(
        wall: &Wall,
        [thickness_m, batter]: [f64; 2],
        unit: LengthUnit,
    ) -> (Self, Option<String>) {
        let mut section = Self { thickness_m, batter, backfill: wall.backfill, tiers: Vec::new() };
        let mut at = [0.0, 0.0];
        for (i, tier) in wall.tiers.iter().enumerate() {
            let least_m = thickness_m + batter * tier.rise_m;
            // What is no number has no room either.
            if tier.back_m.partial_cmp(&least_m) != Some(std::cmp::Ordering::Greater) {
                let [least, has] = [least_m, tier.back_m].map(|m| length_text(m, unit));
                let message = format!(
                    "wall {} of its tiers needs more than {least} from the top edge in front, for \
                     that wall's thickness and its own lean, and has {has}",
                    i + 2,
                );
                return (section, Some(message));
            }
            at = [at[0] + tier.back_m, at[1] + tier.rise_m];
            section.tiers.push(at);
        }
        (section, None)
    }

    /// The last top edge: its distance behind the line and its height above it.
    pub(super) fn last(&self) -> [f64; 2] {
        self.tiers.last().copied().unwrap_or_default()
    }

    /// Offsets and rises from the foot of the drawn face, out to a distance.
    fn behind(&self, reach_m: f64) -> Profile {
        let mut points = vec![[0.0, 0.0], [0.0, FACE_M], [self.thickness_m, FACE_M]];
        let mut back = [self.thickness_m, 0.0];
        for &[offset_m, rise_m] in &self.tiers {
            let foot = self.foot(back, [offset_m, rise_m]);
            let bench_m = back[1] - (foot - back[0]) / self.backfill;
            back = [offset_m + self.thickness_m, rise_m];
            points
                .extend([[foot, bench_m], [offset_m, rise_m], back].map(|[x, z]| [x, z + FACE_M]));
        }
        let run_m = (reach_m - back[0]).max(LEAST_FILL_M);
        points.push([back[0] + run_m, back[1] + FACE_M - run_m / self.backfill]);
        points
    }

    /// The offset at which a leaning face stands on the bench in front of it.
    fn foot(&self, back: [f64; 2], top: [f64; 2]) -> f64 {
        if self.batter <= 0.0 {
            return top[0];
        }
        let (lean, fall) = (1.0 / self.batter, 1.0 / self.backfill);
        let level_m = back[1] + back[0] * fall - top[1] + top[0] * lean;
        (level_m / (lean + fall)).clamp(back[0], top[0])
    }

    fn parts_behind(&self) -> Vec<u32> {
        let tier = [Part::Backfill, Part::WallFace, Part::WallTop];
        let tiers = std::iter::repeat_n(tier, self.tiers.len()).flatten();
        let parts = [Part::WallFace, Part::WallTop].into_iter().chain(tiers);
        parts.chain([Part::Backfill]).map(number).collect()
    }
}

impl Terraced {
    /// How far its fill and its face must run on a ground: as far all along.
    pub(super) fn footing(&self, ground: &Surface) -> Footing {
        let [offset_m, rise_m] = self.section.last();
        let bank = Bank {
            way: Way::Down,
            run_per_rise: self.section.backfill.max(self.section.batter),
            owner: self.owner,
            lead_m: offset_m + self.section.thickness_m,
        };
        let points = self.line.iter().map(|&(at, z)| (at, z + rise_m)).collect();
        let line = BankLine { points, closure: Closure::Open };
        let reaches_m = bank.reaches_m(&GroundFaces::new(ground), &line);
        let most_m = reaches_m.into_iter().reduce(f64::max);
        Footing { fill_m: vec![Vec::from_iter(most_m)], ..Footing::default() }
    }

    /// The band of its faces, tops and fills: ground may not lie below them.
    pub(super) fn band(&self, footing: &Footing, lattice: Lattice, kept: &mut Kept) -> Band {
        let Some(&reach_m) = footing.fill_m.first().and_then(|reaches| reaches.first()) else {
            return Band::default();
        };
        let behind = (self.section.behind(reach_m), self.section.parts_behind());
        let mut bounds = vec![self.swept(behind, self.side(Where::Behind), lattice)];
        if self.section.batter > 0.0 {
            let face_m = FACE_M - reach_m / self.section.batter;
            let front = vec![[0.0, 0.0], [0.0, FACE_M], [reach_m, face_m]];
            let parts = [Part::WallFace; 2].map(number).to_vec();
            bounds.push(self.swept((front, parts), self.side(Where::InFront), lattice));
        }
        let mut band = Band::default();
        for bound in bounds {
            match (bound, band.lo.take()) {
                (Err(problem), lo) => {
                    band.problems.push(problem);
                    band.lo = lo;
                }
                (Ok(bound), None) => band.lo = Some(Arc::new(bound)),
                (Ok(bound), Some(lo)) => {
                    let rooted = Rooted::Anywhere;
                    let both = compose(&lo, &bound, Keep::Highest, Domain::Union, rooted);
                    band.lo = Some(Arc::new(both.surface));
                }
            }
        }
        band.lo = band.lo.map(|lo| kept.unbound(lo, &self.no_fill, Way::Down));
        band
    }

    fn side(&self, which: Where) -> SweptSide {
        match (self.retains, which) {
            (Retained::Left, Where::Behind) | (Retained::Right, Where::InFront) => SweptSide::Left,
            (Retained::Right, Where::Behind) | (Retained::Left, Where::InFront) => SweptSide::Right,
        }
    }

    fn swept(
        &self,
        (profile, parts): (Profile, Vec<u32>),
        side: SweptSide,
        lattice: Lattice,
    ) -> Result<Surface, Problem> {
        let station = |&(at, z): &([f64; 2], f64)| SweepStation {
            at,
            z: z - FACE_M,
            left: profile.clone(),
            right: profile.clone(),
        };
        let line = stiffened(&self.line);
        let stations: Vec<SweepStation> = line.iter().map(station).collect();
        sweep(&Sweep {
            lattice,
            stations: &stations,
            closure: Closure::Open,
            side,
            ends: Ends::Round,
            keep: Keep::Highest,
            facet_angle_rad: FACET_ANGLE_RAD,
            owner: self.owner,
            parts: &parts,
        })
        .map_err(|error| Problem {
            message: format!("its tiers cannot be drawn: {error}"),
            at_m: self.line[0].0,
        })
    }
}

/// A line that slopes, with a place more close to each end and each bend.
///
/// Facets and mitres lean over the line, at the level of the bend. Without a place beside it, a whole
/// straight stretch would twist towards them.
fn stiffened(line: &[([f64; 2], f64)]) -> Vec<([f64; 2], f64)> {
    let leans = |i: usize| {
        let way = |a: [f64; 2], b: [f64; 2]| [b[0] - a[0], b[1] - a[1]];
        let before = line[..i].iter().rev().map(|p| way(p.0, line[i].0)).find(|w| *w != [0.0; 2]);
        let after = line[i + 1..].iter().map(|p| way(line[i].0, p.0)).find(|w| *w != [0.0; 2]);
        let (Some(u), Some(v)) = (before, after) else { return true };
        libm::atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]).abs() > BEND_RAD
    };
    let mut stiffened = Vec::with_capacity(line.len() + 4);
    for (i, &(at, z)) in line.iter().enumerate() {
        stiffened.push((at, z));
        let Some(&(next, next_z)) = line.get(i + 1) else { break };
        let run_m = libm::hypot(next[0] - at[0], next[1] - at[1]);
        if z == next_z || run_m <= 4.0 * BESIDE_M {
            continue;
        }
        let place = |share: f64| {
            ([0, 1].map(|k| at[k] + share * (next[k] - at[k])), z + share * (next_z - z))
        };
        let share = BESIDE_M / run_m;
        stiffened.extend(leans(i).then(|| place(share)));
        stiffened.extend(leans(i + 1).then(|| place(1.0 - share)));
    }
    stiffened
}
