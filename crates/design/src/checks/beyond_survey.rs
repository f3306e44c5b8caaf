//! Works that reach beyond the survey, and banks that meet no ground.

mod draw_in;
mod wall_end;

pub(super) use draw_in::moved;

use site::{Work, WorkId};
use units::{area_text, length_text};

use super::COMMON_PRACTICE;
use super::near::Near;
use super::seen::Seen;
use super::words::{enough_text, stretch_text};
use crate::{Code, Finding, Measured, OpenEnd, Remedy, Severity, Unit, WorkOutcome};

/// Less than this beyond the survey is not worth a word, square metres.
const LEAST_AREA_M2: f64 = 0.01;
/// Shorter open ends than this are a shovel's, metres.
const LEAST_LONG_M: f64 = 0.15;
/// Lower open ends than this are raked over, metres.
const LEAST_RISE_M: f64 = 0.02;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for (work, outcome) in seen.built() {
        found.extend(area_lost(seen, work, outcome));
        found.extend(open_ends(seen, work, outcome));
    }
    found
}

fn area_lost(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome) -> Option<Finding> {
    if outcome.beyond_m2 <= LEAST_AREA_M2 {
        return None;
    }
    let at = place_beyond(seen, outcome).unwrap_or_else(|| middle(work));
    Some(Finding {
        code: Code::BeyondSurvey,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: outcome.beyond_m2, limit: 0.0, unit: Unit::SquareMetre },
        message: format!(
            "{} of this work lies beyond the survey. Cut and fill leave that part out.",
            area_text(outcome.beyond_m2, seen.unit)
        ),
        remedy: Some(draw_in::of_ground(seen, work).unwrap_or_else(|| Remedy {
            message: "Shoot levels beyond the work's edge, or move it in.".into(),
            site: None,
        })),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// The first place of a work's edges that has no ground.
fn place_beyond(seen: &Seen<'_>, outcome: &WorkOutcome) -> Option<[f64; 2]> {
    let lines = outcome.shape.liner_edges.iter().chain(&outcome.shape.wall_tops);
    let places: Vec<[f64; 2]> = lines.flatten().map(|&[x, y, _]| [x, y]).collect();
    let near = seen.near(&places, BESIDE_M)?;
    places.into_iter().find(|&at| near.face_at(at).is_none())
}

fn open_ends(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome) -> Option<Finding> {
    let places: Vec<[f64; 2]> = outcome.open_ends.iter().flat_map(|end| end.ends_m).collect();
    let near = seen.near(&places, 2.0 * BESIDE_M)?;
    let high = |end: &&OpenEnd| {
        end.rise_m.abs() > LEAST_RISE_M && !meets_a_work(seen, &near, work.id, end)
    };
    let ends: Vec<&OpenEnd> = outcome.open_ends.iter().filter(high).collect();
    let worst = *ends.iter().max_by(|a, b| a.rise_m.abs().total_cmp(&b.rise_m.abs()))?;
    let length = |end: &&OpenEnd| {
        let [a, b] = end.ends_m;
        libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    let long_m: f64 = ends.iter().map(length).sum();
    if long_m < LEAST_LONG_M {
        return None;
    }
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
        remedy: Some(
            draw_in::of_bank(seen, work, worst, LEAST_RISE_M)
                .or_else(|| wall_end::turned_back(seen, work, &ends))
                .unwrap_or_else(|| Remedy {
                    // What lies there nobody knows, so that no edit is sure to bring it down.
                    message: format!(
                        "Steepen the bank, move the work in, or shoot levels {} farther out: on level \
                         ground it ends there.",
                        enough_text(draw_in::runs_on_m(work, worst, LEAST_RISE_M), seen.unit)
                    ),
                    site: None,
                }),
        ),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Whether the ground beside an open end was made by another work, which it is meant to meet.
fn meets_a_work(seen: &Seen<'_>, near: &Near, work: WorkId, end: &OpenEnd) -> bool {
    let [a, b] = end.ends_m;
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length_m = libm::hypot(dx, dy);
    let beside = |way: f64| {
        let off_m = way * BESIDE_M / length_m.max(BESIDE_M);
        [0.5 * (a[0] + b[0]) - off_m * dy, 0.5 * (a[1] + b[1]) + off_m * dx]
    };
    [beside(1.0), beside(-1.0)].into_iter().filter_map(|at| near.face_at(at)).any(|(face, _)| {
        let owner = seen.owner_of(face);
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
        WorkKind::IntakeBay(bay) => &bay.outline.points,
        WorkKind::Pad(pad) => &pad.outline.points,
        WorkKind::Path(path) => &path.line.points,
        WorkKind::PlaneGrade(grade) => &grade.outline.points,
        WorkKind::Trench(trench) => &trench.line.points,
        WorkKind::Strip(strip) => &strip.outline.points,
    };
    let n = points.len().max(1) as f64;
    [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n)
}
