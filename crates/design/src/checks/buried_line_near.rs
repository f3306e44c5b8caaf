//! Ground that works dig nearer to a buried line than its clearance.

use site::keep_out::BuriedLine;
use site::{KeepOutKind, WorkId};
use units::length_text;

use super::COMMON_PRACTICE;
use super::loads::loads;
use super::seen::Seen;
use super::words::enough_text;
use super::worked::{strip, within};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Ground dug by less than this is raked, metres.
const LEAST_DUG_M: f64 = 0.02;

/// Heaps keep this far from a drain, metres.
const FROM_DRAIN_M: f64 = 1.0;

/// K-27.
const CAUTION: &str = "Planning help only: depths on record are often wrong. Have every line marked by \
     those who are answerable for it before any digging, and lay it open by hand.";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.site.keep_outs.iter().flat_map(|kept| of(seen, kept)).collect()
}

/// What is found about one of what is kept.
pub(super) fn of(seen: &Seen<'_>, kept: &site::KeepOut) -> Vec<Finding> {
    match &kept.kind {
        KeepOutKind::BuriedLine(line) => of_line(seen, &kept.name, line)
            .into_iter()
            .chain(under_heap(seen, &kept.name, line))
            .collect(),
        KeepOutKind::Drain(drain) => over_drain(seen, &kept.name, drain.at).into_iter().collect(),
        _ => Vec::new(),
    }
}

/// A heap over a drain, or so near that what washes off it runs in.
fn over_drain(seen: &Seen<'_>, name: &str, at: [f64; 2]) -> Option<Finding> {
    let heaps = loads(seen.site).into_iter().filter(|load| load.is_heap);
    let near = heaps.map(|heap| (heap.name, heap.apart_m([at; 2]).0));
    let (heap, apart_m) = near.min_by(|a, b| a.1.total_cmp(&b.1))?;
    (apart_m < FROM_DRAIN_M).then(|| Finding {
        code: Code::BuriedLineNear,
        severity: Severity::LookAt,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured { value: apart_m, limit: FROM_DRAIN_M, unit: Unit::Metre },
        message: format!(
            "{heap} comes within {} of {name}: rain washes it in, and the drain is blocked.",
            length_text(apart_m, seen.unit)
        ),
        remedy: Some(Remedy {
            message: format!(
                "Heap the earth {} farther off.",
                enough_text(FROM_DRAIN_M - apart_m, seen.unit)
            ),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// A heap over a line: what must be found and reached is buried deeper.
fn under_heap(seen: &Seen<'_>, name: &str, line: &BuriedLine) -> Option<Finding> {
    let stretches: Vec<_> = line.line_m.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    let heaps = loads(seen.site).into_iter().filter(|load| load.is_heap);
    let near = heaps.filter_map(|heap| Some((heap.name, heap.nearest_m(&stretches)?)));
    let (heap, (apart_m, at)) = near.min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    (apart_m < line.clearance_m).then(|| Finding {
        code: Code::BuriedLineNear,
        severity: Severity::LookAt,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured { value: apart_m, limit: line.clearance_m, unit: Unit::Metre },
        message: format!(
            "{heap} lies over {name} ({}), or within {} of it: it cannot be reached there.",
            line.carries.word(),
            length_text(line.clearance_m, seen.unit)
        ),
        remedy: Some(Remedy {
            message: "Heap the earth clear of the line.".to_owned(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: Some(CAUTION),
    })
}

/// The place within the clearance on plan where least is left above the line.
fn of_line(seen: &Seen<'_>, name: &str, line: &BuriedLine) -> Option<Finding> {
    let stretches =
        line.line_m.windows(2).filter_map(|pair| strip([pair[0], pair[1]], line.clearance_m));
    let parts = stretches.flat_map(|zone| within(seen, &zone));
    let worst = parts.max_by(|a, b| a.deepest.1.total_cmp(&b.deepest.1))?;
    let (at, dug_m) = worst.deepest;
    let left_m = line.depth_m - dug_m;
    if dug_m < LEAST_DUG_M || left_m >= line.clearance_m {
        return None;
    }
    let length = |m: f64| length_text(m, seen.unit);
    let left = if left_m > 0.0 {
        format!("leaves {} above", length(left_m))
    } else {
        format!("digs {} below", length(-left_m))
    };
    let message = format!(
        "This work {left} the top of {name} ({}), or beside it; {} is to be kept.",
        line.carries.word(),
        length(line.clearance_m),
    );
    let remedy = format!(
        "Dig {} less there, or move the work off the line's course.",
        enough_text(line.clearance_m - left_m, seen.unit)
    );
    Some(Finding {
        code: Code::BuriedLineNear,
        severity: if left_m > 0.0 { Severity::LookAt } else { Severity::Stop },
        work: Some(WorkId(worst.owner)),
        at_m: seen.on_ground(at),
        measured: Measured { value: left_m, limit: line.clearance_m, unit: Unit::Metre },
        message,
        remedy: Some(Remedy { message: remedy, site: None }),
        source: COMMON_PRACTICE,
        caution: Some(CAUTION),
    })
}
