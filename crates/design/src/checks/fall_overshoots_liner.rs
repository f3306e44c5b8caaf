//! A fall that lands, or splashes, beyond the liner below it.

use ground::curve::{Closure, contains};
use site::{Curve, WorkKind};
use units::length_text;

use super::COMMON_PRACTICE;
use super::line::Line;
use super::seen::Seen;
use super::watered::{crest_name, crests, work_of};
use super::words::enough_text;
use crate::{Code, CrestOutcome, Finding, Measured, Remedy, Severity, Unit};

/// The way of the water is looked at every so often, metres, and so many times at most.
const LOOK_EVERY_M: f64 = 0.02;
const MOST_LOOKS: usize = 1000;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let lined = lined(seen);
    crests(seen).filter_map(|crest| of_crest(seen, crest, &lined)).collect()
}

fn of_crest(seen: &Seen<'_>, crest: &CrestOutcome, lined: &[Vec<[f64; 2]>]) -> Option<Finding> {
    let needed_m = crest.liner_needed_m?;
    let reach_m = reach_m(crest, lined, needed_m);
    if reach_m >= needed_m {
        return None;
    }
    let throw_m = crest.throw_m?;
    let name = crest_name(crest.crest);
    let length = |m: f64| length_text(m, seen.unit);
    let beyond = throw_m > reach_m;
    let [x, y, z] = crest.at_m;
    let [tx, ty] = crest.toward;
    Some(Finding {
        code: Code::FallOvershoots,
        severity: if beyond { Severity::Stop } else { Severity::LookAt },
        work: Some(work_of(crest.crest)),
        at_m: [x + throw_m * tx, y + throw_m * ty, z - crest.drop_m.unwrap_or(0.0)],
        measured: Measured { value: reach_m, limit: needed_m, unit: Unit::Metre },
        message: format!(
            "The water of {name} lands {} from its edge, and the liner ahead of it ends after {}{}.",
            length(throw_m),
            length(reach_m),
            if beyond { ": it falls beside it" } else { ": its splash is lost" },
        ),
        remedy: Some(Remedy {
            message: format!(
                "Carry the liner {} further, or turn the fall into the bed below.",
                enough_text(needed_m - reach_m, seen.unit)
            ),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// How far the liner goes on from a crest the way that its water leaves it, as far as is asked.
fn reach_m(crest: &CrestOutcome, lined: &[Vec<[f64; 2]>], needed_m: f64) -> f64 {
    let n = ((needed_m / LOOK_EVERY_M).ceil() as usize).min(MOST_LOOKS);
    let [x, y, _] = crest.at_m;
    let [tx, ty] = crest.toward;
    for i in 1..=n {
        let along_m = needed_m * i as f64 / n as f64;
        let place = [x + along_m * tx, y + along_m * ty];
        if !lined.iter().any(|ring| contains(ring, place)) {
            return needed_m * (i - 1) as f64 / n as f64;
        }
    }
    needed_m
}

/// The outlines within which a liner lies.
fn lined(seen: &Seen<'_>) -> Vec<Vec<[f64; 2]>> {
    let ring = |curve: &Curve| Some(Line::new(curve, Closure::Closed)?.path.points().to_vec());
    let flat = |line: &[[f64; 3]]| -> Vec<[f64; 2]> { line.iter().map(|p| [p[0], p[1]]).collect() };
    let of = |(work, outcome): (&site::Work, &crate::WorkOutcome)| match &work.kind {
        WorkKind::Basin(basin) => ring(&basin.outline),
        WorkKind::FilterBed(bed) => ring(&bed.outline),
        WorkKind::IntakeBay(bay) => ring(&bay.outline),
        WorkKind::Stream(_) => match &outcome.shape.liner_edges[..] {
            [left, right, ..] => {
                let mut ring = flat(right);
                ring.extend(flat(left).into_iter().rev());
                Some(ring)
            }
            _ => None,
        },
        _ => None,
    };
    seen.built().filter_map(of).collect()
}
