//! Worked ground beside a house that does not fall away from it.
//!
//! ```text
//!   wall|‾‾‾--__ terrace, 2 %
//!       |       ‾‾‾--__________ lawn, 5 %, until it has fallen 0.15 m or 10 ft are reached
//! ```
//! From every wall lines go square outward. Along each the ground must have fallen, within the first
//! 10 ft, by what its worked stretches ask: paved ones 2 in 100, others 5 in 100, which is 6 in.
//!
//! Each side of a house on which they don't is told. Where they all do, the ground whose rain comes to the
//! house's walls must not grow by the works.

pub(super) mod gathers;

use std::collections::BTreeMap;

use ground::curve::signed_area_m2;
use site::{House, WorkId, WorkKind};
use units::length_text;

use super::near::Near;
use super::seen::Seen;
use super::words::{compass, enough_text};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Lines stand this far apart along a wall, metres.
const EVERY_M: f64 = 0.5;
/// Lines from one wall at most: a longer one than any house's has them farther apart.
const MOST_LINES: f64 = 400.0;
/// Lines start this far off a wall: whose foot is a line of the survey, metres.
const OFF_M: f64 = 0.01;
/// Less than this is a mason's tolerance, metres.
const LEAST_M: f64 = 0.002;

/// H-12.
const SOURCE: &str = "IRC R401.3, 6 in within the first 10 ft; IBC 2012 1804.3, 2 % for paving";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |(number, house)| {
        let sides = of_sides(seen, house);
        match sides.is_empty() {
            true => gathers::of_house(seen, number).into_iter().collect(),
            false => sides,
        }
    };
    seen.site.houses.iter().enumerate().flat_map(of).collect()
}

/// A line from a wall of a house.
struct Line {
    at: [f64; 2],
    outward: [f64; 2],
    work: u32,
    /// What is worked along it, metres, and by how much the ground must and does fall.
    run_m: f64,
    need_m: f64,
    fall_m: f64,
}

/// The worst line on each side of a house.
fn of_sides(seen: &Seen<'_>, house: &House) -> Vec<Finding> {
    let reach_m = seen.site.limits.house_fall_reach_m + OFF_M;
    let Some(near) = seen.near(&house.outline_m, reach_m) else { return Vec::new() };
    let n = house.outline_m.len();
    let turn = signed_area_m2(&house.outline_m).signum();
    let walls = (0..n).map(|i| [house.outline_m[i], house.outline_m[(i + 1) % n]]);
    let lines = walls.flat_map(|wall| lines_from(wall, turn));
    let mut worst: BTreeMap<&str, Line> = BTreeMap::new();
    let short_m = |line: &Line| line.need_m - line.fall_m;
    for line in lines.filter_map(|(at, outward)| along(seen, &near, at, outward)) {
        let side = compass([0.0; 2], line.outward);
        let is_worse = worst.get(side).is_none_or(|other| short_m(&line) > short_m(other));
        if short_m(&line) > LEAST_M && is_worse {
            worst.insert(side, line);
        }
    }
    worst.values().map(|line| finding(seen, house, line)).collect()
}

/// Places along a wall with the way outward.
fn lines_from([a, b]: [[f64; 2]; 2], turn: f64) -> Vec<([f64; 2], [f64; 2])> {
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    if run_m == 0.0 {
        return Vec::new();
    }
    let outward = [turn * (b[1] - a[1]) / run_m, turn * (a[0] - b[0]) / run_m];
    let n = (run_m / EVERY_M).ceil().clamp(1.0, MOST_LINES) as usize;
    let place = |i: usize| {
        let share = (i as f64 + 0.5) / n as f64;
        [0, 1].map(|k| a[k] + share * (b[k] - a[k]) + OFF_M * outward[k])
    };
    (0..n).map(|i| (place(i), outward)).collect()
}

/// What a line outward crosses; none where nothing on it is worked.
fn along(seen: &Seen<'_>, near: &Near, at: [f64; 2], outward: [f64; 2]) -> Option<Line> {
    let limits = &seen.site.limits;
    let end = [0, 1].map(|k| at[k] + limits.house_fall_reach_m * outward[k]);
    let unpaved = limits.house_fall_m / limits.house_fall_reach_m;
    let mut line = Line { at, outward, work: 0, run_m: 0.0, need_m: 0.0, fall_m: 0.0 };
    let mut start_m = None;
    for piece in near.section(at, end) {
        let start_m = *start_m.get_or_insert(piece.z_m[0]);
        let run_m = piece.stations_m[1] - piece.stations_m[0];
        let owner = seen.owner_of(piece.face);
        if let Some(work) = seen.owner(owner) {
            let grade = match work.kind {
                WorkKind::Pad(_) | WorkKind::Path(_) => limits.house_fall_paved,
                _ => unpaved,
            };
            if line.work == 0 {
                line.work = owner;
            }
            line.run_m += run_m;
            line.need_m += grade * run_m;
        }
        line.fall_m = start_m - piece.z_m[1];
        if line.fall_m >= limits.house_fall_m {
            return None;
        }
    }
    (line.work != 0).then_some(line)
}

fn finding(seen: &Seen<'_>, house: &House, line: &Line) -> Finding {
    let length = |m: f64| length_text(m, seen.unit);
    let side = compass([0.0; 2], line.outward);
    let toward = line.fall_m < 0.0;
    let falls = if toward {
        format!("rises by {} away from", length(-line.fall_m))
    } else {
        format!("falls by only {} away from", length(line.fall_m))
    };
    let message = format!(
        "Ground on the {side} side of {} {falls} it within {}; what is worked there, {} of it, asks \
         for {}.",
        house.name,
        length(seen.site.limits.house_fall_reach_m),
        length(line.run_m),
        length(line.need_m),
    );
    let more = enough_text(line.need_m - line.fall_m, seen.unit);
    Finding {
        code: Code::DrainsToHouse,
        severity: if toward { Severity::Stop } else { Severity::LookAt },
        work: Some(WorkId(line.work)),
        at_m: seen.on_ground(line.at),
        measured: Measured { value: line.fall_m, limit: line.need_m, unit: Unit::Metre },
        message,
        remedy: Some(Remedy {
            message: format!("Let it fall {more} more, or lead the water off in a swale or drain."),
            site: None,
        }),
        source: SOURCE,
        caution: None,
    }
}
