//! A stone heavier than the machine lifts at the reach at which it sets stones.

use site::{Work, WorkKind};
use units::{length_text, mass_text};

use super::super::seen::Seen;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

const SOURCE: &str = "a sphere of specific gravity 2.65 (C-26) against the machine's own table";
const CAUTION: &str = "Planning help only. What a machine lifts at a reach, on the ground it stands on, is \
    in its maker's table; nobody stands under or beside a stone that hangs.";
/// A remedy goes beyond what is needed by this share.
const BEYOND: f64 = 0.01;

pub(super) fn check(seen: &Seen<'_>, work: &Work) -> Option<Finding> {
    let machine = seen.site.carry.machine?;
    let stone_m = largest_m(work)?;
    let kg = mass_kg(stone_m, seen.site.limits.stone_t_m3);
    if kg <= machine.lifts_kg {
        return None;
    }
    let at = seen.lowest_place(work.id)?;
    // What tips a machine is load times reach: nearer by, it lifts more.
    let near_m = machine.reach_m * machine.lifts_kg / kg;
    let lifted_m = libm::cbrt(machine.lifts_kg / kg) * stone_m * (1.0 - BEYOND);
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: kg, limit: machine.lifts_kg, unit: Unit::Kilogram },
        message: format!(
            "A stone of {} weighs about {}; the machine lifts {} at {}.",
            length_text(stone_m, seen.unit),
            mass_text(kg, seen.unit),
            mass_text(machine.lifts_kg, seen.unit),
            length_text(machine.reach_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Take stones of {}, bring the machine to about {}, or hire a larger one.",
                length_text(lifted_m, seen.unit),
                length_text(near_m, seen.unit),
            ),
            site: seen.with(work.id, |kind| limit(kind, lifted_m)),
        }),
        source: SOURCE,
        caution: Some(CAUTION),
    })
}

/// Mass of a round stone, kilograms.
fn mass_kg(stone_m: f64, t_m3: f64) -> f64 {
    1000.0 * t_m3 * std::f64::consts::PI / 6.0 * stone_m * stone_m * stone_m
}

/// The largest stone that a work is built of, where it is known.
fn largest_m(work: &Work) -> Option<f64> {
    match &work.kind {
        WorkKind::Wall(wall) => wall.stone_m,
        WorkKind::Stream(stream) => {
            stream.falls.iter().filter_map(|fall| fall.stone_m).reduce(f64::max)
        }
        _ => None,
    }
}

fn limit(kind: &mut WorkKind, most_m: f64) {
    let shrink = |stone_m: &mut Option<f64>| {
        if let Some(stone_m) = stone_m {
            *stone_m = stone_m.min(most_m);
        }
    };
    match kind {
        WorkKind::Wall(wall) => shrink(&mut wall.stone_m),
        WorkKind::Stream(stream) => {
            stream.falls.iter_mut().for_each(|fall| shrink(&mut fall.stone_m));
        }
        _ => {}
    }
}
