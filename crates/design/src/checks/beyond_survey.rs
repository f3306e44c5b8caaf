//! Works that reach beyond the survey, and banks that meet no ground.
//!
//! A bank's shape is drawn as far as it might have to run; only ground that a work really made at
//! the survey's edge shows that it would go on beyond it.

use std::collections::BTreeMap;

use ground::{Locator, NONE};
use site::{Work, WorkId};
use units::{area_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::stretch_text;
use crate::{Code, Finding, Measured, OpenEnd, Remedy, Severity, Unit, WorkOutcome};

/// Lower open ends than this are raked over, metres.
const LEAST_RISE_M: f64 = 0.02;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    let edges = if seen.evaluation.works.iter().any(|outcome| outcome.beyond_m2 > 0.0) {
        at_the_edge(seen)
    } else {
        BTreeMap::new()
    };
    for (work, outcome) in seen.built() {
        if let Some(edge) = edges.get(&work.id) {
            found.push(area_lost(seen, work, outcome, edge));
        } else if outcome.beyond_m2 > 0.0 && !is_on_ground(seen, outcome) {
            let edge = Edge { long_m: 0.0, rise_m: 0.0, at: middle(work) };
            found.push(area_lost(seen, work, outcome, &edge));
        }
        found.extend(open_ends(seen, work, outcome));
    }
    found
}

/// A work's ground at the survey's edge.
struct Edge {
    /// Length along the survey's edge.
    long_m: f64,
    /// The greatest height above or below existing ground there.
    rise_m: f64,
    /// Where that is.
    at: [f64; 2],
}

/// For each work the stretch of the survey's edge on which it left other ground than it found.
fn at_the_edge(seen: &Seen<'_>) -> BTreeMap<WorkId, Edge> {
    let mut edges: BTreeMap<WorkId, Edge> = BTreeMap::new();
    let (Some(existing), Some(finished)) = (&seen.evaluation.existing, &seen.evaluation.finished)
    else {
        return edges;
    };
    let existing = Locator::new(&**existing);
    for (i, face) in finished.faces().iter().enumerate() {
        for side in (0..3).filter(|&side| face.tag.owner != 0 && face.neighbours[side] == NONE) {
            let corners = finished.corners(i as u32).map(|p| finished.lattice().metres(p));
            let heights = finished.corner_heights(i as u32);
            let (a, b) = (corners[side], corners[(side + 1) % 3]);
            let at = [0, 1].map(|k| 0.5 * (a[k] + b[k]));
            let z_m = 0.5 * (heights[side] + heights[(side + 1) % 3]);
            let Some(before_m) = existing.elevation(at) else { continue };
            let rise_m = (z_m - before_m).abs();
            if rise_m <= LEAST_RISE_M {
                continue;
            }
            let edge = edges.entry(WorkId(face.tag.owner)).or_insert(Edge {
                long_m: 0.0,
                rise_m: 0.0,
                at,
            });
            edge.long_m += libm::hypot(b[0] - a[0], b[1] - a[1]);
            if rise_m > edge.rise_m {
                (edge.rise_m, edge.at) = (rise_m, at);
            }
        }
    }
    edges
}

/// Whether the places that a work is drawn by all have ground.
fn is_on_ground(seen: &Seen<'_>, outcome: &WorkOutcome) -> bool {
    let Some(finished) = seen.finished() else { return true };
    let lines = outcome.shape.liner_edges.iter().chain(&outcome.shape.wall_tops);
    lines.flatten().all(|&[x, y, _]| finished.face_at([x, y]).is_some())
}

fn area_lost(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome, edge: &Edge) -> Finding {
    let (message, value, unit) = if edge.long_m > 0.0 {
        let message = format!(
            "This work reaches the survey's edge for {}, up to {} off the ground there. Cut and \
             fill leave out what lies beyond.",
            stretch_text(edge.long_m, seen.unit),
            length_text(edge.rise_m, seen.unit)
        );
        (message, edge.long_m, Unit::Metre)
    } else {
        let message = format!(
            "This work is drawn beyond the survey. Cut and fill leave out what lies there, {} of \
             its shape.",
            area_text(outcome.beyond_m2, seen.unit)
        );
        (message, outcome.beyond_m2, Unit::SquareMetre)
    };
    Finding {
        code: Code::BeyondSurvey,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(edge.at),
        measured: Measured { value, limit: 0.0, unit },
        message,
        remedy: Some(Remedy {
            message: "Shoot levels beyond the work's edge, or move it in.".into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

fn open_ends(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome) -> Option<Finding> {
    let high =
        |end: &&OpenEnd| end.rise_m.abs() > LEAST_RISE_M && !meets_a_work(seen, work.id, end);
    let ends: Vec<&OpenEnd> = outcome.open_ends.iter().filter(high).collect();
    let worst = *ends.iter().max_by(|a, b| a.rise_m.abs().total_cmp(&b.rise_m.abs()))?;
    let length = |end: &&OpenEnd| {
        let [a, b] = end.ends_m;
        libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    let long_m: f64 = ends.iter().map(length).sum();
    let at = [0, 1].map(|k| 0.5 * (worst.ends_m[0][k] + worst.ends_m[1][k]));
    let way = if worst.rise_m > 0.0 { "above" } else { "below" };
    Some(Finding {
        code: Code::BeyondSurvey,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: worst.rise_m.abs(), limit: LEAST_RISE_M, unit: Unit::Metre },
        message: format!(
            "For {} the bank meets no ground: it ends up to {} {way} it.",
            stretch_text(long_m, seen.unit),
            length_text(worst.rise_m.abs(), seen.unit),
        ),
        remedy: Some(Remedy {
            message: "Steepen the bank, move the work in, or shoot levels farther out.".into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Whether the ground beside an open end was made by another work, which it is meant to meet.
fn meets_a_work(seen: &Seen<'_>, work: WorkId, end: &OpenEnd) -> bool {
    let Some(finished) = seen.finished() else { return false };
    let [a, b] = end.ends_m;
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length_m = libm::hypot(dx, dy);
    let beside = |way: f64| {
        let off_m = way * BESIDE_M / length_m.max(BESIDE_M);
        [0.5 * (a[0] + b[0]) - off_m * dy, 0.5 * (a[1] + b[1]) + off_m * dx]
    };
    [beside(1.0), beside(-1.0)].into_iter().filter_map(|at| finished.face_at(at)).any(|face| {
        let owner = finished.surface().faces()[face as usize].tag.owner;
        owner != 0 && owner != work.0
    })
}

/// How far beside an open end the ground is looked at, metres.
const BESIDE_M: f64 = 0.05;

/// The middle of the places that a work is drawn by.
fn middle(work: &Work) -> [f64; 2] {
    use site::WorkKind;
    let points = match &work.kind {
        WorkKind::Basin(basin) => &basin.outline.points,
        WorkKind::Stream(stream) => &stream.line.points,
        WorkKind::Hill(hill) => &hill.crest.points,
        WorkKind::Wall(wall) => &wall.line.points,
        WorkKind::FilterBed(filter) => &filter.outline.points,
    };
    let n = points.len().max(1) as f64;
    [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n)
}
