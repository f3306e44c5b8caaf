//! Banks: from an edge outward, up or down at a slope, as far as any ground could meet them.

use std::sync::Arc;

use ground::curve::{self, Closure};
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Ends, Ring3, Side, Sweep, SweepStation, rings, sweep};
use ground::query::outline;
use ground::{Lattice, Surface};

use super::kept::KeptBounds;
use super::number;
use crate::Problem;
use crate::part::Part;

/// An edge from which banks run, outward on its right.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BankLine {
    pub(super) points: Vec<([f64; 2], f64)>,
    pub(super) closure: Closure,
}

/// Reaches that are asked for: few, so that a small edit of the ground leaves a bank as it is.
const REACHES_M: [f64; 20] = [
    0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0, 96.0,
    128.0, 192.0, 256.0,
];

/// Which way a bank runs from its edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Up, to ground that is higher.
    Up,
    /// Down, to ground that is lower.
    Down,
}

/// A bank that is to reach the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bank {
    pub(super) way: Way,
    pub(super) run_per_rise: f64,
    /// The work's id, for its faces.
    pub(super) owner: u32,
    /// How far out its slope could be said to start.
    pub(super) lead_m: f64,
}

impl Bank {
    /// How far the bank must run at each place of a line to meet any ground; empty where no ground
    /// needs it.
    ///
    /// The least of a few fixed reaches at whose end a bank, started at the least favourable
    /// elevation of its stretch of the line, has passed all ground within that reach. Stretches are
    /// a few places long, so that a stream down a slope does not bank all over the garden.
    pub(super) fn reaches_m(&self, ground: &GroundFaces, line: &BankLine) -> Vec<f64> {
        let n = line.points.len();
        let closed = line.closure == Closure::Closed;
        let at = |i: usize| match (i, closed) {
            (0, true) => n - 1,
            (i, true) => (i - 1) % n,
            (i, false) => i.saturating_sub(1).min(n - 1),
        };
        // One place more at each end, so that the segments between stretches are in both.
        let stretch_m: Vec<f64> = (0..n)
            .step_by(STRETCH)
            .map(|first| {
                let places =
                    (first..first + STRETCH.min(n - first) + 2).map(|i| &line.points[at(i)]);
                self.reach_m(ground, &Extent::of(places))
            })
            .collect();
        if stretch_m.iter().all(|reach_m| *reach_m <= 0.0) {
            return Vec::new();
        }
        let of = |i: usize| stretch_m[i / STRETCH];
        let reach_m = |i: usize| of(at(i)).max(of(i)).max(of(at(i + 2))).max(REACHES_M[0]);
        (0..n).map(reach_m).collect()
    }

    /// How far the bank must run from edges of one extent; zero where no ground needs it.
    fn reach_m(&self, ground: &GroundFaces, around: &Extent) -> f64 {
        let start_m = match self.way {
            Way::Up => around.z_m[0],
            Way::Down => -around.z_m[1],
        };
        let run_m = |highest_m: f64| (highest_m - start_m) * self.run_per_rise + self.lead_m;
        let highest_m = ground.highest_within(around, self.way, start_m);
        for (reach_m, highest_m) in REACHES_M.into_iter().zip(highest_m) {
            if highest_m <= start_m {
                return 0.0;
            }
            if run_m(highest_m) < reach_m {
                return reach_m;
            }
        }
        run_m(highest_m[REACHES_M.len() - 1]).max(0.0)
    }
}

/// Places of a line that share a reach.
const STRETCH: usize = 6;

/// The widest angle of one facet where a bank goes round a corner: a hair over an eighth of a half
/// turn, so that rounding does not add a facet to a quarter or a half turn.
pub(super) const FACET_ANGLE_RAD: f64 = 0.4;

/// Where a bound is to bind nothing, it lies this far beyond any ground.
const NOWHERE_M: f64 = 1e5;

/// A core and the banks from its edges as one bound of the ground.
///
/// Within the core its own ground counts, whatever bank of a far edge runs over it.
pub(super) fn banked(
    core: &Arc<Surface>,
    lines: &[BankLine],
    bank: Bank,
    reaches_m: &[Vec<f64>],
    kept: &mut KeptBounds,
) -> Result<Arc<Surface>, Problem> {
    let (lattice, keep) = (core.lattice(), bank.way.keep());
    let mut whole = Arc::clone(core);
    if bank.run_per_rise <= 0.0 {
        return Ok(whole);
    }
    let inside: Vec<Vec<[f64; 2]>> = (outline(core).into_iter())
        .map(|ring| {
            ring.iter()
                .map(|p| lattice.metres(core.vertices()[p.vertex as usize]))
                .collect::<Vec<_>>()
        })
        .filter(|ring| curve::signed_area_m2(ring) > 0.0)
        .collect();
    for (line, reaches_m) in lines.iter().zip(reaches_m).filter(|(_, reaches)| !reaches.is_empty())
    {
        let swept = kept.swept(lattice, line, bank, reaches_m)?;
        let swept = kept.unbound(swept, &inside, bank.way);
        whole = Arc::new(compose(&whole, &swept, keep, Domain::Union, Rooted::Anywhere).surface);
    }
    Ok(whole)
}

/// A bound that binds nothing within an outline; none where that makes no ring.
pub(super) fn unbound(bound: &Surface, outline: &[[f64; 2]], way: Way) -> Option<Surface> {
    let (z_m, keep) = match way {
        Way::Up => (NOWHERE_M, Keep::Highest),
        Way::Down => (-NOWHERE_M, Keep::Lowest),
    };
    let points = outline.iter().map(|&p| (p, z_m)).collect();
    let mask = rings(bound.lattice(), &[Ring3 { points, part: 0 }], &[], 0).ok()?;
    Some(compose(bound, &mask, keep, Domain::Ground, Rooted::Anywhere).surface)
}

/// A bank run along a line.
pub(super) fn swept(
    lattice: Lattice,
    line: &BankLine,
    bank: Bank,
    reaches_m: &[f64],
) -> Result<Surface, Problem> {
    let station = |(&(at, z), &reach_m): (&([f64; 2], f64), &f64)| SweepStation {
        at,
        z,
        left: Vec::new(),
        right: vec![[0.0, 0.0], [reach_m, bank.way.sign() * reach_m / bank.run_per_rise]],
    };
    let stations: Vec<SweepStation> = line.points.iter().zip(reaches_m).map(station).collect();
    sweep(&Sweep {
        lattice,
        stations: &stations,
        closure: line.closure,
        side: Side::Right,
        // Where a stream joins a pond at an angle, its bank goes round its end to the ground.
        ends: Ends::Round,
        keep: bank.way.keep(),
        facet_angle_rad: FACET_ANGLE_RAD,
        owner: bank.owner,
        parts: &[number(bank.way.part())],
    })
    .map_err(|error| Problem {
        message: format!("its {} cannot be drawn: {error}", bank.way.name()),
        at_m: line.points[0].0,
    })
}

impl Way {
    fn keep(self) -> Keep {
        match self {
            Self::Up => Keep::Lowest,
            Self::Down => Keep::Highest,
        }
    }

    fn sign(self) -> f64 {
        match self {
            Self::Up => 1.0,
            Self::Down => -1.0,
        }
    }

    fn part(self) -> Part {
        match self {
            Self::Up => Part::CutBank,
            Self::Down => Part::FillBank,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Up => "cut bank",
            Self::Down => "fill bank",
        }
    }
}

/// The box around edges, and their range of elevations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
    pub(super) z_m: [f64; 2],
}

impl Extent {
    pub(super) fn of<'a>(points: impl Iterator<Item = &'a ([f64; 2], f64)>) -> Self {
        let start = Self {
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            z_m: [f64::INFINITY, f64::NEG_INFINITY],
        };
        points.fold(start, |e, &([x, y], z)| Self {
            low: [e.low[0].min(x), e.low[1].min(y)],
            high: [e.high[0].max(x), e.high[1].max(y)],
            z_m: [e.z_m[0].min(z), e.z_m[1].max(z)],
        })
    }

    /// The box around some boxes.
    fn around(all: &[Self]) -> Self {
        let join = |a: Self, b: &Self| Self {
            low: [0, 1].map(|k| a.low[k].min(b.low[k])),
            high: [0, 1].map(|k| a.high[k].max(b.high[k])),
            z_m: [a.z_m[0].min(b.z_m[0]), a.z_m[1].max(b.z_m[1])],
        };
        all.iter().fold(Self::of(std::iter::empty()), join)
    }
}

/// The boxes of a ground's faces, and their lowest and highest elevations.
pub(super) struct GroundFaces {
    faces: Vec<Extent>,
    /// The boxes around so many faces each: those that follow one another mostly lie together.
    groups: Vec<Extent>,
}

/// Faces in a group.
const GROUP: usize = 16;

impl GroundFaces {
    pub(super) fn new(ground: &Surface) -> Self {
        let lattice = ground.lattice();
        let extent = |face: u32| {
            let (places, z_m) = (ground.corners(face), ground.corner_heights(face));
            let corners = [0, 1, 2].map(|k| (lattice.metres(places[k]), z_m[k]));
            Extent::of(corners.iter())
        };
        let faces: Vec<Extent> = (0..ground.faces().len() as u32).map(extent).collect();
        let groups = faces.chunks(GROUP).map(Extent::around).collect();
        Self { faces, groups }
    }

    /// The highest ground (for [`Way::Down`] how low the lowest lies) within each reach of an extent,
    /// of what lies higher than `above_m`.
    fn highest_within(&self, around: &Extent, way: Way, above_m: f64) -> [f64; REACHES_M.len()] {
        let mut highest_m = [f64::NEG_INFINITY; REACHES_M.len()];
        let high_m = |of: &Extent| if way == Way::Up { of.z_m[1] } else { -of.z_m[0] };
        let reach = |of: &Extent| {
            let gap = |k: usize| (of.low[k] - around.high[k]).max(around.low[k] - of.high[k]);
            let gap_m = gap(0).max(gap(1));
            let reach = REACHES_M.partition_point(|reach_m| *reach_m < gap_m);
            reach.min(REACHES_M.len() - 1)
        };
        for (group, faces) in self.groups.iter().zip(self.faces.chunks(GROUP)) {
            // A group adds nothing where higher ground lies as near as any of it may.
            let most_m = high_m(group);
            let is_topped = |known: &f64| *known >= most_m;
            if most_m <= above_m || highest_m[..=reach(group)].iter().any(is_topped) {
                continue;
            }
            for face in faces.iter().filter(|face| high_m(face) > above_m) {
                let reach = reach(face);
                highest_m[reach] = highest_m[reach].max(high_m(face));
            }
        }
        for i in 1..REACHES_M.len() {
            highest_m[i] = highest_m[i].max(highest_m[i - 1]);
        }
        highest_m
    }
}
