//! Works nearer to a boundary or a septic field than its setback, or over it.

use std::collections::BTreeMap;

use ground::curve::contains;
use site::{KeepOut, KeepOutKind, WorkId};
use units::length_text;

use super::COMMON_PRACTICE;
use super::loads::{Load, loads};
use super::seen::Seen;
use super::words::enough_text;
use super::worked::{Part, strip, within};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A setback of none is a line not to be crossed: this is looked at on either side, metres.
const LEAST_ASIDE_M: f64 = 0.01;
/// Nearer than this is on the line, metres.
const ON_LINE_M: f64 = 1e-6;

/// What is kept clear of.
struct Line<'k> {
    stretches: Vec<[[f64; 2]; 2]>,
    /// The field, where it is one.
    inside: &'k [[f64; 2]],
    setback_m: f64,
    is: &'static str,
}

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.site.keep_outs.iter().flat_map(|kept| of(seen, kept)).collect()
}

/// What is found about one of what is kept.
pub(super) fn of(seen: &Seen<'_>, kept: &KeepOut) -> Vec<Finding> {
    let Some(line) = line(&kept.kind) else { return Vec::new() };
    let works = of_line(seen, &kept.name, &line);
    works.into_iter().chain(of_loads(seen, &kept.name, &line)).collect()
}

/// Earth heaped over a boundary, and earth heaped on a septic field or carried over it.
fn of_loads(seen: &Seen<'_>, name: &str, line: &Line<'_>) -> Vec<Finding> {
    let is_field = !line.inside.is_empty();
    let finding = |load: &Load<'_>| {
        let (apart_m, at) = load.nearest_m(&line.stretches)?;
        // The way in comes over a boundary as it must.
        if apart_m > ON_LINE_M || !(is_field || load.is_heap) {
            return None;
        }
        let (how, why, to_do) = match (is_field, load.is_heap) {
            (true, true) => {
                ("lies on", "its weight breaks what lies under it", "Heap it clear of it.")
            }
            (true, false) => {
                ("passes over", "its weight breaks what lies under it", "Lead it round it.")
            }
            (false, _) => {
                ("reaches over", "it is not to leave the site", "Draw the heap in there.")
            }
        };
        Some(Finding {
            code: Code::OverBoundary,
            severity: Severity::Stop,
            work: None,
            at_m: seen.on_ground(at),
            measured: Measured { value: 0.0, limit: ON_LINE_M, unit: Unit::Metre },
            message: format!("{} {how} {name}, a {}; {why}.", load.name, line.is),
            remedy: Some(Remedy { message: to_do.to_owned(), site: None }),
            source: COMMON_PRACTICE,
            caution: None,
        })
    };
    loads(seen.site).iter().filter_map(finding).collect()
}

fn line(kind: &KeepOutKind) -> Option<Line<'_>> {
    match kind {
        KeepOutKind::Boundary(boundary) => Some(Line {
            stretches: boundary.line_m.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
            inside: &[],
            setback_m: boundary.setback_m,
            is: "boundary",
        }),
        KeepOutKind::Septic(field) => {
            let n = field.outline_m.len();
            let side = |i: usize| [field.outline_m[i], field.outline_m[(i + 1) % n]];
            Some(Line {
                stretches: (0..n).map(side).collect(),
                inside: &field.outline_m,
                setback_m: field.setback_m,
                is: "septic field",
            })
        }
        _ => None,
    }
}

/// One finding for each work that comes too near: at its nearest place.
fn of_line(seen: &Seen<'_>, name: &str, line: &Line<'_>) -> Vec<Finding> {
    let mut nearest: BTreeMap<u32, (f64, [f64; 2])> = BTreeMap::new();
    let mut note = |part: &Part, apart_m: f64| {
        let known = nearest.entry(part.owner).or_insert((f64::INFINITY, [0.0; 2]));
        if apart_m < known.0 {
            *known = (apart_m, part.middle());
        }
    };
    for &stretch in &line.stretches {
        let Some(zone) = strip(stretch, line.setback_m.max(LEAST_ASIDE_M)) else { continue };
        for part in within(seen, &zone) {
            let is_in = contains(line.inside, part.middle());
            note(&part, if is_in { 0.0 } else { part.apart_m(stretch) });
        }
    }
    let too_near = nearest
        .into_iter()
        .filter(|(_, (apart_m, _))| *apart_m < line.setback_m - ON_LINE_M || *apart_m <= ON_LINE_M);
    too_near.map(|(owner, near)| finding(seen, name, line, WorkId(owner), near)).collect()
}

fn finding(
    seen: &Seen<'_>,
    name: &str,
    line: &Line<'_>,
    work: WorkId,
    (apart_m, at): (f64, [f64; 2]),
) -> Finding {
    let is_over = apart_m <= ON_LINE_M;
    let length = |m: f64| length_text(m, seen.unit);
    let where_it_is = if is_over {
        format!("This work reaches over {name}, a {}", line.is)
    } else {
        format!("This work comes within {} of {name}, a {}", length(apart_m), line.is)
    };
    let move_in = enough_text(line.setback_m - apart_m, seen.unit);
    Finding {
        code: Code::OverBoundary,
        severity: if is_over { Severity::Stop } else { Severity::LookAt },
        work: Some(work),
        at_m: seen.on_ground(at),
        measured: Measured { value: apart_m, limit: line.setback_m, unit: Unit::Metre },
        message: format!("{where_it_is}; {} is to be kept from it.", length(line.setback_m)),
        remedy: Some(Remedy {
            message: format!("Draw the work in by {move_in} there."),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}
