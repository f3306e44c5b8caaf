//! Where a section runs: its legs, and the line along a stream or across a work when none is drawn.

use ground::curve::{self, Closure};
use site::works::{Stream, WorkKind};
use site::{Site, Work, WorkId};

use crate::rectangle::{least_around, middle_of_hull};
use crate::{Evaluation, WorkOutcome};

/// One straight leg of a line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub(super) from: [f64; 2],
    pub(super) to: [f64; 2],
    /// Station of its start, metres.
    pub(super) start_m: f64,
    pub(super) length_m: f64,
}

impl Leg {
    pub(super) fn end_m(&self) -> f64 {
        self.start_m + self.length_m
    }

    /// The place at a station of the line, held to the leg.
    pub(super) fn place(&self, station_m: f64) -> [f64; 2] {
        let share = ((station_m - self.start_m) / self.length_m).clamp(0.0, 1.0);
        [0, 1].map(|i| self.from[i] + share * (self.to[i] - self.from[i]))
    }

    /// The share of the leg beside a place, and how far aside that lies, positive to the left, metres.
    pub(super) fn beside(&self, at: [f64; 2]) -> [f64; 2] {
        let way = [0, 1].map(|i| (self.to[i] - self.from[i]) / self.length_m);
        let off = [at[0] - self.from[0], at[1] - self.from[1]];
        let along = off[0] * way[0] + off[1] * way[1];
        [along / self.length_m, way[0] * off[1] - way[1] * off[0]]
    }
}

/// The legs of a line that have a length.
pub(super) fn legs(line_m: &[[f64; 2]]) -> Vec<Leg> {
    let mut legs: Vec<Leg> = Vec::new();
    for pair in line_m.windows(2) {
        let length_m = libm::hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        if length_m > 0.0 && length_m.is_finite() {
            let start_m = legs.last().map_or(0.0, Leg::end_m);
            legs.push(Leg { from: pair[0], to: pair[1], start_m, length_m });
        }
    }
    legs
}

/// How far a section goes on beyond what it is of, metres.
const BEYOND_M: f64 = 2.0;

/// A stream's line is drawn with chords that keep this near, metres.
const CHORD_M: f64 = 0.02;

/// The line that shows most of a garden: down its first stream, on behind the head over the hill and
/// across what it runs into; without a stream, along all that the works change.
///
/// Nothing where no work has a shape.
pub fn along(site: &Site, evaluation: &Evaluation) -> Option<Vec<[f64; 2]>> {
    let streams =
        site.works.iter().filter(|work| work.visible).filter_map(|work| match &work.kind {
            WorkKind::Stream(stream) => Some(stream),
            _ => None,
        });
    let down = streams.filter_map(|stream| down(stream, evaluation)).next();
    down.or_else(|| through(&shaped(evaluation, |_| true), Side::Long))
}

/// The line across one work: along a basin and over the narrow side of what is raised or held; along
/// its own line for a stream.
///
/// Nothing where the work has no shape.
pub fn across(site: &Site, evaluation: &Evaluation, work: WorkId) -> Option<Vec<[f64; 2]>> {
    let Work { kind, .. } = site.work(work)?;
    let side = match kind {
        WorkKind::Stream(stream) => return down(stream, evaluation),
        WorkKind::Hill(_) | WorkKind::Wall(_) | WorkKind::Path(_) | WorkKind::Trench(_) => {
            Side::Short
        }
        _ => Side::Long,
    };
    through(&shaped(evaluation, |outcome| outcome.work == work), side)
}

/// Which side of the rectangle around places a line runs along.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Long,
    Short,
}

/// The line of a stream from behind its head to beyond what it runs into.
fn down(stream: &Stream, evaluation: &Evaluation) -> Option<Vec<[f64; 2]>> {
    let drawn = &stream.line;
    let mut line = if drawn.smooth {
        curve::smooth(&drawn.points, Closure::Open, CHORD_M).ok()?.points
    } else {
        drawn.points.clone()
    };
    line.dedup();
    let &[first, second, ..] = &line[..] else { return None };
    let [.., before, last] = line[..] else { return None };
    // Behind the head lie the filter and the hill that carries it; beyond the mouth the water.
    let behind_m = reach(first, second, &shaped(evaluation, |_| true));
    let mouth = |outcome: &WorkOutcome| Some(outcome.work) == stream.into;
    let beyond_m = reach(last, before, &shaped(evaluation, mouth));
    line.insert(0, ahead(second, first, behind_m + BEYOND_M));
    line.push(ahead(before, last, beyond_m + BEYOND_M));
    Some(line)
}

/// How far places near the line reach from `at` on the side away from `other`, metres.
fn reach(at: [f64; 2], other: [f64; 2], places: &[[f64; 2]]) -> f64 {
    /// Places farther aside are not met, metres.
    const ASIDE_M: f64 = 1.0;
    let away = Leg { from: other, to: at, start_m: 0.0, length_m: distance(other, at) };
    let beside = places.iter().map(|place| away.beside(*place));
    let near = beside.filter(|[_, aside_m]| aside_m.abs() <= ASIDE_M);
    near.map(|[share, _]| (share - 1.0) * away.length_m).fold(0.0, f64::max)
}

/// The place `far_m` beyond `to` on the way from `from`.
fn ahead(from: [f64; 2], to: [f64; 2], far_m: f64) -> [f64; 2] {
    let length_m = distance(from, to);
    [0, 1].map(|i| to[i] + far_m * (to[i] - from[i]) / length_m)
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}

/// The straight line through the middle of places, along a side of the rectangle around them.
fn through(places: &[[f64; 2]], side: Side) -> Option<Vec<[f64; 2]>> {
    let rectangle = least_around(places)?;
    let middle = middle_of_hull(places)?;
    let [a, b, c, _] = rectangle.corners_m;
    let sides = [[a, b], [b, c]];
    let is_long = |[a, b]: [[f64; 2]; 2]| distance(a, b) >= rectangle.long_m * (1.0 - 1e-9);
    let along = if is_long(sides[0]) == (side == Side::Long) { sides[0] } else { sides[1] };
    let half_m = 0.5 * distance(along[0], along[1]) + BEYOND_M;
    let [from, to] = along;
    let way = [0, 1].map(|i| (to[i] - from[i]) / distance(from, to));
    Some([-half_m, half_m].map(|far| [0, 1].map(|i| middle[i] + far * way[i])).to_vec())
}

/// The corners of the faces that works have made, local metres.
fn shaped(evaluation: &Evaluation, wanted: impl Fn(&WorkOutcome) -> bool) -> Vec<[f64; 2]> {
    let Some(finished) = &evaluation.finished else { return Vec::new() };
    let owners: Vec<u32> =
        evaluation.works.iter().filter(|outcome| wanted(outcome)).map(|o| o.work.0).collect();
    let lattice = finished.lattice();
    (finished.faces().iter())
        .filter(|face| owners.contains(&face.tag.owner))
        .flat_map(|face| face.vertices.map(|v| lattice.metres(finished.vertices()[v as usize])))
        .collect()
}
