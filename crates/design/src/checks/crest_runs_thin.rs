//! Water so thin over a crest that it breaks up into drips and clings to the stone.

use units::{length_text, thickness_text};
use water::width_for_brink_m;

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::watered::{crest_name, crests, with_width, work_of};
use crate::{Code, CrestOutcome, Finding, Measured, Remedy, Severity, Unit};

/// A remedy goes beyond the limit by this share.
const BEYOND: f64 = 0.02;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    crests(seen).filter_map(|crest| of_crest(seen, crest)).collect()
}

fn of_crest(seen: &Seen<'_>, crest: &CrestOutcome) -> Option<Finding> {
    let limit_m = seen.site.limits.crest_thin_m;
    if crest.brink_m >= limit_m {
        return None;
    }
    let name = crest_name(crest.crest);
    let width_m = width_for_brink_m(crest.flow_m3_s, limit_m).ok()? * (1.0 - BEYOND);
    Some(Finding {
        code: Code::CrestRunsThin,
        severity: Severity::LookAt,
        work: Some(work_of(crest.crest)),
        at_m: crest.at_m,
        measured: Measured { value: crest.brink_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "Only {} of water leaves {name}, {} wide: below {} it breaks up into drips.",
            thickness_text(crest.brink_m, seen.unit),
            length_text(crest.width_m, seen.unit),
            thickness_text(limit_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Make {name} {} wide, or take a larger pump.",
                length_text(width_m, seen.unit)
            ),
            site: with_width(seen, crest.crest, width_m),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}
