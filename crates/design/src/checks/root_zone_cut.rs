//! Ground that works dig or raise within a tree's root zone.
//!
//! BS 5837:2012 section 7.4.2.3 lets new hard surfaces take a fifth of unsurfaced ground in a root
//! protection area; from memory.

use std::collections::BTreeMap;

use site::{KeepOutKind, WorkId};
use units::length_text;

use super::loads::{Load, loads};
use super::seen::Seen;
use super::words::{enough_text, percent};
use super::worked::{Part, within};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Corners of the circle that stands for a zone: a thousandth of its area is left out.
const N_CORNERS: usize = 80;

const SOURCE: &str = "BS 5837:2012, root protection area, from memory; least share common practice";
const CAUTION: &str = "Planning help, no arborist's judgement. Trees may be protected: ask the authority \
     before cutting roots, and dig by hand within the zone.";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.site.keep_outs.iter().flat_map(|kept| of(seen, kept)).collect()
}

/// What is found about one of what is kept.
pub(super) fn of(seen: &Seen<'_>, kept: &site::KeepOut) -> Vec<Finding> {
    match &kept.kind {
        KeepOutKind::Tree(tree) => {
            let loaded = loads(seen.site).into_iter().filter_map(|load| {
                let apart = load.apart_m([tree.at; 2]);
                loaded(seen, &kept.name, tree, &load, apart)
            });
            of_tree(seen, &kept.name, tree).into_iter().chain(loaded).collect()
        }
        _ => Vec::new(),
    }
}

/// Earth heaped on roots, or carried over them.
fn loaded(
    seen: &Seen<'_>,
    name: &str,
    tree: &site::keep_out::Tree,
    load: &Load<'_>,
    (apart_m, at): (f64, [f64; 2]),
) -> Option<Finding> {
    let radius_m = tree.roots_m();
    if apart_m >= radius_m {
        return None;
    }
    let length = |m: f64| length_text(m, seen.unit);
    let (comes, to_do) = match load.is_heap {
        true => {
            ("lies", format!("Heap it {} farther off.", enough_text(radius_m - apart_m, seen.unit)))
        }
        false => {
            ("passes", "Lead it round the roots, or lay boards on a bed of chips there.".to_owned())
        }
    };
    Some(Finding {
        code: Code::RootZoneCut,
        severity: Severity::LookAt,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured { value: apart_m, limit: radius_m, unit: Unit::Metre },
        message: format!(
            "{} {comes} within {} of the stem of {name}; its roots reach {}, and what presses on them \
             smothers them.",
            load.name,
            length(apart_m),
            length(radius_m)
        ),
        remedy: Some(Remedy { message: to_do, site: None }),
        source: SOURCE,
        caution: Some(CAUTION),
    })
}

fn of_tree(seen: &Seen<'_>, name: &str, tree: &site::keep_out::Tree) -> Option<Finding> {
    let radius_m = tree.roots_m();
    let zone: Vec<[f64; 2]> = (0..N_CORNERS)
        .map(|i| {
            let (sin, cos) = libm::sincos(std::f64::consts::TAU * i as f64 / N_CORNERS as f64);
            [tree.at[0] + radius_m * cos, tree.at[1] + radius_m * sin]
        })
        .collect();
    let parts = within(seen, &zone);
    let area_m2: f64 = parts.iter().map(|part| part.area_m2).sum();
    let share = area_m2 / (std::f64::consts::PI * radius_m * radius_m);
    let limits = &seen.site.limits;
    if share < limits.root_zone_least {
        return None;
    }
    let mut by_work = BTreeMap::new();
    for part in &parts {
        *by_work.entry(part.owner).or_insert(0.0) += part.area_m2;
    }
    let owner = *by_work.iter().max_by(|a, b| a.1.total_cmp(b.1))?.0;
    let deepest = parts.iter().max_by(|a, b| a.deepest.1.total_cmp(&b.deepest.1))?;
    let stem = [tree.at; 2];
    let nearest_m = parts.iter().map(|part: &Part| part.apart_m(stem)).fold(radius_m, f64::min);
    let raised_m = parts.iter().map(|part| part.raised_m).fold(0.0, f64::max);
    let length = |m: f64| length_text(m, seen.unit);
    let message = format!(
        "{} of the root zone of {name}, {} around its stem, is worked: dug by up to {}, raised by up \
         to {}, as near as {}.",
        percent(share),
        length(radius_m),
        length(deepest.deepest.1),
        length(raised_m),
        length(nearest_m),
    );
    let keep_off = format!(
        "Keep the work {} farther from the stem.",
        enough_text(radius_m - nearest_m, seen.unit)
    );
    Some(Finding {
        code: Code::RootZoneCut,
        severity: if share > limits.root_zone_most { Severity::Stop } else { Severity::LookAt },
        work: Some(WorkId(owner)),
        at_m: seen.on_ground(deepest.deepest.0),
        measured: Measured { value: share, limit: limits.root_zone_least, unit: Unit::Ratio },
        message,
        remedy: Some(Remedy { message: keep_off, site: None }),
        source: SOURCE,
        caution: Some(CAUTION),
    })
}
