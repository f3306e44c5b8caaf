//! Works that reach beyond the survey, and banks that meet no ground.

use site::Work;
use units::{area_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use crate::{Code, Finding, Measured, OpenEnd, Remedy, Severity, Unit, WorkOutcome};

/// Less than this beyond the survey is not worth a word, square metres.
const LEAST_AREA_M2: f64 = 0.01;
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
    let at = outcome.open_ends.first().map_or_else(|| middle(work), |end| end.ends_m[0]);
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
        remedy: Some(Remedy {
            message: "Shoot levels beyond the work's edge, or move it in.".into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

fn open_ends(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome) -> Option<Finding> {
    let high = |end: &&OpenEnd| end.rise_m.abs() > LEAST_RISE_M;
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
            length_text(long_m, seen.unit),
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
