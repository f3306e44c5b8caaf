//! The stream: cross sections along its line, doubled at falls.
//!
//! ```text
//!  rim edge            edge rim
//!  ____                 ____        edge: the bed's running profile plus the edge's height
//!      \               /
//!       \_____________/             bed: lower than that profile where a pool is held
//! ```
//! The places of a section follow from the running profile alone, so that the two sections at a
//! fall's crest or a pool's sill share them and the step between is exact.

mod island;
mod profile;

use std::sync::Arc;

use ground::curve::{Closure, Path};
use ground::patch::{self, CrossLine, Section};
use ground::{Lattice, Sum, Surface};
use site::works::Stream;
use site::{Curve, WorkId};
use units::LengthUnit;

use self::island::Islands;
pub(crate) use self::profile::Knot;
use self::profile::{Crest, Profile};
use super::bank::BankLine;
use super::kept::{CourseKey, Kept};
use super::outline::{Outline, traced};
use super::vessel::{Vessel, sunk, sunk_beside};
use super::{Body, CHORD_M, Form, LEAST_RUN_M, number};
use crate::part::Part;
use crate::water::Held;
use crate::{Problem, Shape, WaterBody, WaterKind};

/// How far the drawn water reaches under its shore.
const UNDER_SHORE_M: f64 = 0.10;

/// How far the drawn water runs on into the water that it joins, and how far below its surface.
const RUN_IN_M: f64 = 0.6;
const UNDER_WATER_M: f64 = 0.03;

/// A section's places, from the left rim to the right.
const N_PLACES: usize = 6;

/// A stream with what it needs of the site around it.
pub(super) struct Drawn<'s> {
    pub(super) stream: &'s Stream,
    /// The outlines of what it runs from and into.
    pub(super) joined: [Option<&'s Curve>; 2],
    /// The unit in which a refusal gives its numbers.
    pub(super) unit: LengthUnit,
}

/// A stream's bed along its line, for what asks how water runs in it.
pub(crate) struct StreamLine {
    profile: Profile,
    stations_m: Vec<f64>,
}

impl StreamLine {
    /// The bed along a flattened line.
    ///
    /// # Errors
    /// Why there is none, in plain words.
    pub(crate) fn new(stream: &Stream, path: &Path) -> Result<Self, &'static str> {
        let profile = Profile::new(stream, path.length_m())?;
        // The line's own bends change no section.
        Ok(Self { profile, stations_m: vec![0.0, path.length_m()] })
    }

    /// The bed by places where anything bends, from head to mouth; a step has two.
    pub(crate) fn knots(&self) -> Vec<Knot> {
        self.profile.knots(&self.stations_m, 0.0)
    }
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice, kept: &mut Kept) -> Form {
    let &Drawn { stream, joined, unit } = drawn;
    let [from, into] = joined.map(|curve| super::outline_ring(lattice, curve?));
    let joined = [from.is_some(), into.is_some()];
    let stream = stream.clone();
    let course = kept.course(CourseKey { stream, owner, joined, unit, lattice });
    let vessel = course.bed.as_ref().map_err(Problem::clone).map(|bed| {
        let no_fill: Vec<Vec<[f64; 2]>> = from.iter().chain(&into).cloned().collect();
        Vessel {
            owner,
            sunk: sunk_beside(&bed.sunk, &bed.core, &no_fill, kept),
            core: Arc::clone(&bed.core),
            lid: None,
            lines: bed.lines.clone(),
            cut_bank: drawn.stream.cut_bank,
            fill_bank: drawn.stream.fill_bank,
            no_fill,
            no_cut: from.into_iter().collect(),
            running: Some(bed.running.clone()),
            held: bed.held.clone(),
        }
    });
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), course.shape.clone())
}

/// A stream for itself, whatever the outlines of the water that it joins.
#[derive(Debug)]
pub(super) struct Course {
    shape: Shape,
    bed: Result<Bed, Problem>,
}

/// A stream's ground and water.
#[derive(Debug)]
struct Bed {
    core: Arc<Surface>,
    /// The core sunk all over.
    sunk: Arc<Surface>,
    lines: Vec<BankLine>,
    running: WaterBody,
    held: Vec<Held>,
}

impl Course {
    pub(super) fn of(key: &CourseKey) -> Self {
        let mut shape = Shape::default();
        let bed = bed(key, &mut shape);
        Self { shape, bed }
    }
}

fn bed(key: &CourseKey, shape: &mut Shape) -> Result<Bed, Problem> {
    let &CourseKey { ref stream, owner, joined, unit, lattice } = key;
    let at_m = stream.line.points.first().copied().unwrap_or_default();
    let problem = |message: String| Problem { message, at_m };
    let outline = Outline::line(lattice, &stream.line, CHORD_M)?;
    let path = Path::new(&outline.points, Closure::Open).map_err(|e| problem(e.to_string()))?;
    let profile = Profile::new(stream, path.length_m()).map_err(|e| problem(e.into()))?;
    let cuts = cuts(&profile, &path, stream.rim_width_m, lattice).map_err(problem)?;
    for side in [1, 4] {
        let edge: Vec<_> = cuts.iter().map(|cut| cut.points[side]).collect();
        shape.liner_edges.push(traced(&edge, Closure::Open));
    }
    let ends = joined.map(|joined| if joined { End::Joined } else { End::Free });
    let sections: Vec<Section> =
        cuts.iter().map(|cut| Section { points: cut.points.to_vec() }).collect();
    let parts = [Part::Rim, Part::Side, Part::Bed, Part::Side, Part::Rim].map(number);
    let bare =
        patch::corridor(lattice, &sections, owner, &parts).map_err(|e| problem(e.to_string()))?;
    let islands = Islands { drawn: &stream.islands, owner, unit };
    let (core, displaced) = islands.raised(bare, &cuts, stream.water_depth_m, shape)?;
    let [_, into] = ends;
    let mut running = running(stream, owner, &cuts, into);
    running.area_m2 -= displaced.area_m2;
    running.volume_m3 -= displaced.volume_m3;
    Ok(Bed {
        sunk: Arc::new(sunk(&core)),
        core: Arc::new(core),
        lines: bank_lines(&cuts, ends, lattice),
        running,
        held: profile.crests().iter().map(|crest| held(crest, &profile, &path)).collect(),
    })
}

/// How far before a pool's sill its floor is looked for, metres.
const BEFORE_SILL_M: f64 = 0.005;

/// Where a crest holds water: on the floor before its sill, in its middle and on both sides, since a
/// rock may stand in one of these places.
fn held(crest: &Crest, profile: &Profile, path: &Path) -> Held {
    let before_m = crest.sill_m - BEFORE_SILL_M;
    let point = path.at_station(before_m);
    let [x, y] = point.tangent;
    let aside_m = 0.25 * profile.bed_width_m(before_m);
    let floor =
        [0.0, aside_m, -aside_m].map(|left| [point.at[0] - left * y, point.at[1] + left * x]);
    Held { along_m: crest.along_m, level_m: crest.level_m, floor: floor.to_vec() }
}

/// One cross section of the stream.
struct Cut {
    knot: Knot,
    line: CrossLine,
    /// Offset of the outer edge of the rim, left and right.
    half_m: [f64; 2],
    points: [([f64; 2], f64); N_PLACES],
}

fn cuts(
    profile: &Profile,
    path: &Path,
    rim_width_m: f64,
    lattice: Lattice,
) -> Result<Vec<Cut>, String> {
    let knots = profile.knots(path.stations_m(), lattice.step_m());
    let places: Vec<[f64; 2]> = knots.iter().map(|k| path.at_station(k.along_m).at).collect();
    let halves: Vec<[f64; 2]> =
        knots.iter().map(|knot| edge_offsets(knot).map(|edge| edge + rim_width_m)).collect();
    let lines = patch::cross_lines(&places, &halves).map_err(|error| error.to_string())?;
    let cut = |((knot, line), half_m): ((Knot, CrossLine), [f64; 2])| {
        let [left, right] = edge_offsets(&knot);
        let [left_z, right_z] = knot.edge_m.map(|edge| knot.running_m + edge);
        let bed = 0.5 * knot.bed_width_m;
        let points = [
            (half_m[0], left_z),
            (left, left_z),
            (bed, knot.bed_m),
            (-bed, knot.bed_m),
            (-right, right_z),
            (-half_m[1], right_z),
        ];
        let points = points.map(|(offset, z)| (place(&line, half_m, offset), z));
        Cut { knot, line, half_m, points }
    };
    Ok(knots.into_iter().zip(lines).zip(halves).map(cut).collect())
}

/// Offsets of the liner's edges from the line, left and right, by the running profile.
fn edge_offsets(knot: &Knot) -> [f64; 2] {
    knot.edge_m.map(|edge| 0.5 * knot.bed_width_m + (knot.side * edge).max(LEAST_RUN_M))
}

/// The place at an offset; where a bend trims the cross line, all offsets shrink alike.
fn place(line: &CrossLine, half_m: [f64; 2], offset_m: f64) -> [f64; 2] {
    let half = if offset_m >= 0.0 { half_m[0] } else { -half_m[1] };
    let end = line.at_offset(half);
    let share = offset_m / half;
    [0, 1].map(|k| line.at[k] + share * (end[k] - line.at[k]))
}

/// The outer edges of the rims as lines from which banks run, closed round a free head or mouth.
///
/// They run downstream on the right and upstream on the left, so that outward is on their right.
fn bank_lines(cuts: &[Cut], ends: [End; 2], lattice: Lattice) -> Vec<BankLine> {
    let right = outer_edge(cuts, N_PLACES - 1, lattice);
    let mut left = outer_edge(cuts, 0, lattice);
    left.reverse();
    let inner = 1..N_PLACES - 1;
    let head = cuts.first().map(|cut| cut.points[inner.clone()].to_vec()).unwrap_or_default();
    let mouth = cuts.last().map(|cut| cut.points[inner].iter().rev().copied().collect());
    let mouth: Vec<_> = mouth.unwrap_or_default();
    let line = |points: Vec<_>, closure| BankLine { points, closure };
    match ends {
        [End::Free, End::Free] => {
            vec![line([right, mouth, left, head].concat(), Closure::Closed)]
        }
        [End::Free, End::Joined] => vec![line([left, head, right].concat(), Closure::Open)],
        [End::Joined, End::Free] => vec![line([right, mouth, left].concat(), Closure::Open)],
        [End::Joined, End::Joined] => {
            vec![line(right, Closure::Open), line(left, Closure::Open)]
        }
    }
}

/// One outer edge as the corridor draws it: where cross lines share a pivot, at their mean height.
fn outer_edge(cuts: &[Cut], side: usize, lattice: Lattice) -> Vec<([f64; 2], f64)> {
    let snapped = |i: usize| lattice.snap(cuts[i].points[side].0).ok();
    let is_step = |i: usize| cuts[i].knot.along_m == cuts[i + 1].knot.along_m;
    let mut edge = Vec::with_capacity(cuts.len());
    let mut first = 0;
    while first < cuts.len() {
        let mut last = first;
        while last + 1 < cuts.len() && snapped(last + 1) == snapped(first) && !is_step(last) {
            last += 1;
        }
        let heights = cuts[first..=last].iter().map(|cut| cut.points[side].1);
        let mean = heights.sum::<f64>() / (last - first + 1) as f64;
        edge.push((cuts[first].points[side].0, mean));
        first = last + 1;
    }
    edge
}

/// What stands at an end of a stream.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    /// Open ground, to which a bank runs.
    Free,
    /// A filter or a basin.
    Joined,
}

/// The running water: its sheet, area and volume.
fn running(stream: &Stream, owner: u32, cuts: &[Cut], mouth: End) -> WaterBody {
    let depth_m = stream.water_depth_m;
    let (mut sheet, mut area, mut volume) = (Vec::new(), Sum::default(), Sum::default());
    for pair in cuts.windows(2) {
        let [[a, b], [c, d]] =
            [shore(&pair[0], depth_m, UNDER_SHORE_M), shore(&pair[1], depth_m, UNDER_SHORE_M)];
        sheet.extend([[a, b, d], [a, d, c]]);
        let length_m = pair[1].knot.along_m - pair[0].knot.along_m;
        let [top, section] = [0, 1].map(|k| {
            let at = |cut: &Cut| wetted(&cut.knot, depth_m)[k];
            0.5 * (at(&pair[0]) + at(&pair[1]))
        });
        area.add(top * length_m);
        volume.add(section * length_m);
    }
    if let (End::Joined, Some(last)) = (mouth, cuts.last()) {
        // The sections at a fall stand at one place.
        let before = cuts.iter().rev().find(|cut| cut.knot.along_m < last.knot.along_m);
        sheet.extend(before.into_iter().flat_map(|before| run_in(before, last, depth_m)));
    }
    let level_m = cuts.last().map_or(f64::NAN, |cut| cut.knot.running_m + depth_m);
    WaterBody {
        work: WorkId(owner),
        kind: WaterKind::Stream,
        level_m,
        area_m2: area.value(),
        volume_m3: volume.value(),
        stages: Vec::new(),
        sheet,
    }
}

/// The sheet from a stream's last section down into the water that it joins, which stands at the
/// bed's level there.
fn run_in(before: &Cut, last: &Cut, depth_m: f64) -> [[[f64; 3]; 3]; 2] {
    let middle = |cut: &Cut| place(&cut.line, cut.half_m, 0.0);
    let [from, to] = [middle(before), middle(last)];
    let way = [to[0] - from[0], to[1] - from[1]];
    let share = RUN_IN_M / libm::hypot(way[0], way[1]);
    let [a, b] = shore(last, depth_m, UNDER_SHORE_M);
    let under = |p: [f64; 3]| {
        [p[0] + share * way[0], p[1] + share * way[1], last.knot.running_m - UNDER_WATER_M]
    };
    let [c, d] = [under(a), under(b)];
    [[a, b, d], [a, d, c]]
}

/// The water's shore, left and right, or places beyond it.
fn shore(cut: &Cut, depth_m: f64, beyond_m: f64) -> [[f64; 3]; 2] {
    let half = 0.5 * cut.knot.bed_width_m + cut.knot.side * depth_m + beyond_m;
    let [left, right] = cut.half_m.map(|most| half.min(most));
    [left, -right].map(|offset| {
        let [x, y] = place(&cut.line, cut.half_m, offset);
        [x, y, cut.knot.running_m + depth_m]
    })
}

/// Width of the water's surface and area of its section, pools included.
fn wetted(knot: &Knot, depth_m: f64) -> [f64; 2] {
    let top = knot.bed_width_m + 2.0 * knot.side * depth_m;
    let pool_m = (knot.running_m - knot.bed_m).max(0.0);
    [top, 0.5 * (knot.bed_width_m + top) * (depth_m + pool_m)]
}
