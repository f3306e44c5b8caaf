//! Water that comes back when the pump stops and finds no room below the rim.

use site::WorkKind;
use site::works::Basin;
use units::{elevation_text, length_text, water_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::enough_text;
use crate::{Code, Finding, Measured, PondLevels, PondOutcome, Remedy, Severity, Unit};

/// A remedy goes beyond what is needed by this, metres.
const BEYOND_M: f64 = 0.002;
/// An edge stands at least so far above its overflow, metres: common practice.
const ABOVE_OVERFLOW_M: f64 = 0.05;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let ponds = seen.running().ponds.iter();
    ponds.filter_map(|pond| of_pond(seen, pond, pond.levels.as_ref().ok()?)).collect()
}

fn of_pond(seen: &Seen<'_>, pond: &PondOutcome, levels: &PondLevels) -> Option<Finding> {
    let WorkKind::Basin(basin) = &seen.work(pond.work)?.kind else { return None };
    let by = leaves_by(pond, levels)?;
    let (limit_m, severity, leaves) = match by {
        LeavesBy::Edge => (pond.edge_m, Severity::Stop, "runs over the liner's edge"),
        LeavesBy::Overflow(crest_m) => {
            (crest_m, Severity::LookAt, "leaves by the overflow at each stop, and is lost")
        }
    };
    let at = seen.lowest_place(pond.work)?;
    let short_m = levels.stopped_m - limit_m;
    Some(Finding {
        code: Code::StopFloodsRim,
        severity,
        work: Some(pond.work),
        at_m: [at[0], at[1], levels.stopped_m],
        measured: Measured { value: levels.stopped_m, limit: limit_m, unit: Unit::Elevation },
        message: format!(
            "When the pump stops, {} come back and the pond rises by {} to {}, if it was kept full while \
             it ran: {} of it {leaves}.",
            water_text(levels.in_motion_m3, seen.unit),
            length_text(levels.rise_m, seen.unit),
            elevation_text(levels.stopped_m, seen.unit),
            enough_text(short_m, seen.unit),
        ),
        remedy: Some(match by {
            LeavesBy::Edge => higher_edge(seen, pond, short_m + BEYOND_M),
            LeavesBy::Overflow(_) => higher_overflow(seen, pond, basin, short_m + BEYOND_M)?,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Where water that finds no room leaves a pond.
#[derive(Clone, Copy)]
enum LeavesBy {
    Edge,
    /// Over the overflow's crest, at this elevation, metres.
    Overflow(f64),
}

fn leaves_by(pond: &PondOutcome, levels: &PondLevels) -> Option<LeavesBy> {
    if levels.stopped_m > pond.edge_m {
        return Some(LeavesBy::Edge);
    }
    let crest_m = pond.overflow_m.filter(|crest_m| levels.stopped_m > *crest_m);
    crest_m.map(LeavesBy::Overflow)
}

fn higher_edge(seen: &Seen<'_>, pond: &PondOutcome, short_m: f64) -> Remedy {
    let by = enough_text(short_m, seen.unit);
    let needed_m = pond.edge_m + short_m;
    let site = seen.with(pond.work, |kind| {
        if let WorkKind::Basin(basin) = kind {
            basin.freeboard_m = basin.freeboard_m.max(needed_m - basin.water_level_m);
            basin.liner_edge_m.iter_mut().for_each(|edge_m| *edge_m = edge_m.max(needed_m));
        }
    });
    let message = format!("Raise the liner's edge by {by}, or hold the water with a check valve.");
    Remedy { message, site }
}

/// Raises the overflow, and an edge that would stand no higher with it; none where no level of an
/// overflow is drawn.
fn higher_overflow(
    seen: &Seen<'_>,
    pond: &PondOutcome,
    basin: &Basin,
    short_m: f64,
) -> Option<Remedy> {
    let by = enough_text(short_m, seen.unit);
    let crest_m = basin.overflow_m? + short_m;
    let edge_m = crest_m + ABOVE_OVERFLOW_M;
    let fits = crest_m < pond.edge_m;
    let site = seen.with(pond.work, |kind| {
        if let WorkKind::Basin(basin) = kind {
            basin.overflow_m = Some(crest_m);
            if !fits {
                basin.freeboard_m = basin.freeboard_m.max(edge_m - basin.water_level_m);
                basin.liner_edge_m.iter_mut().for_each(|level_m| *level_m = level_m.max(edge_m));
            }
        }
    });
    let edge = if fits { "" } else { " and the liner's edge with it" };
    let message = format!(
        "Raise the overflow by {by}{edge}, or keep the pond {by} lower while the pump runs."
    );
    Some(Remedy { message, site })
}
