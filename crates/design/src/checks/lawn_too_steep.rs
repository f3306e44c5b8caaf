//! A lawn too steep to mow.

use site::works::PlaneGrade;
use site::{Work, WorkKind};
use units::run_per_rise_text;

use super::seen::Seen;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// K-21, K-22.
const SOURCE: &str = "Georgia DOT Design Policy Manual 6.2.3: 4 to 1 is easily mown; a turf leaflet of \
     Michigan State University: a good stand at 25 %, 50 % at most";
/// The practical limit of turf: 1 in 2 (K-22).
const NO_TURF_RUN_PER_RISE: f64 = 2.0;
/// A fall that exceeds the limit by less than this share is within it.
const SAME_FALL: f64 = 1e-9;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |work: &Work| match &work.kind {
        WorkKind::PlaneGrade(lawn) => of_lawn(seen, work, lawn),
        _ => None,
    };
    seen.visible().filter_map(of).collect()
}

fn of_lawn(seen: &Seen<'_>, work: &Work, lawn: &PlaneGrade) -> Option<Finding> {
    let limit = seen.site.limits.mown_run_per_rise;
    if lawn.plane.fall * limit <= 1.0 + SAME_FALL {
        return None;
    }
    let run = 1.0 / lawn.plane.fall;
    let eased = seen.with(work.id, |kind| {
        if let WorkKind::PlaneGrade(lawn) = kind {
            lawn.plane.fall = 1.0 / limit;
        }
    });
    Some(Finding {
        code: Code::LawnTooSteep,
        severity: if run < NO_TURF_RUN_PER_RISE { Severity::Stop } else { Severity::LookAt },
        work: Some(work.id),
        at_m: seen.on_ground(lawn.plane.at),
        measured: Measured { value: run, limit, unit: Unit::RunPerRise },
        message: format!(
            "The lawn falls {}: above {} it is hard to mow, above {} turf does not last.",
            run_per_rise_text(run),
            run_per_rise_text(limit),
            run_per_rise_text(NO_TURF_RUN_PER_RISE),
        ),
        remedy: Some(Remedy {
            message: format!("Let it fall {}, or plant it.", run_per_rise_text(limit)),
            site: eased,
        }),
        source: SOURCE,
        caution: None,
    })
}
