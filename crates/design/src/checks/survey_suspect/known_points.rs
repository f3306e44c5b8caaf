//! Known points by which a picture is draped, and which no sheet of paper meets.

use site::Picture;
use units::{accuracy_text, length_text};

use super::super::COMMON_PRACTICE;
use super::super::seen::Seen;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.site.pictures.iter().filter_map(|picture| doubtful(seen, picture)).collect()
}

fn doubtful(seen: &Seen<'_>, picture: &Picture) -> Option<Finding> {
    let (pin, off_m) = picture.doubt(&picture.fit().ok()?)?;
    let limit_m = picture.told_m();
    let (name, known) = (&picture.name, pin + 1);
    Some(Finding {
        code: Code::SurveySuspect,
        severity: Severity::LookAt,
        work: None,
        at_m: seen.on_ground(picture.pins[pin].at_m),
        measured: Measured { value: off_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "Known point {known} of the picture {name} lies {} from where the others put it, and a sheet \
             of paper stretches by {} over as wide a plan at most. What is traced from the picture may \
             be as far off.",
            length_text(off_m, seen.unit),
            accuracy_text(limit_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Look up known point {known} again, on the picture and on the ground: one of the two \
                 places is misread."
            ),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}
