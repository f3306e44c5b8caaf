//! An overflow over which the storm's water stands too near to the liner's edge, or above it.

use site::{WorkId, WorkKind};
use units::{flow_text, length_text};

use super::seen::Seen;
use super::words::enough_text;
use crate::running::rain;
use crate::{Code, Finding, Measured, RainOutcome, Remedy, Severity, Unit};

const SOURCE: &str = "rational formula, Q = C i A, over a broad crest, Q = 1.705 b H^1.5 (W-07)";
/// A remedy goes beyond what is needed by this share.
const BEYOND: f64 = 0.01;
/// Wider overflows are no longer one, metres.
const WIDEST_M: f64 = 20.0;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    if !is_asked(seen) {
        return Vec::new();
    }
    rain(seen).iter().filter_map(|rain| of_pond(seen, rain)).collect()
}

/// Whether a storm and an overflow are planned, so that what drains into ponds must be known.
pub(super) fn is_asked(seen: &Seen<'_>) -> bool {
    let planned = |work: &site::Work| match &work.kind {
        WorkKind::Basin(basin) => basin.overflow_m.is_some() && basin.overflow_width_m.is_some(),
        _ => false,
    };
    seen.site.weather.storm_mm_h.is_some() && seen.visible().any(planned)
}

fn of_pond(seen: &Seen<'_>, rain: &RainOutcome) -> Option<Finding> {
    let above_m = *rain.edge_above_storm_m.as_ref().ok()?;
    let limit_m = seen.site.limits.storm_edge_m;
    if above_m >= limit_m {
        return None;
    }
    let WorkKind::Basin(basin) = &seen.work(rain.work)?.kind else { return None };
    let [x, y] = match basin.overflow {
        Some(at) => at,
        None => seen.lowest_place(rain.work)?,
    };
    let level_m = *rain.storm_level_m.as_ref().ok()?;
    let storm_m3_s = *rain.storm_m3_s.as_ref().ok()?;
    let wide_m = rain.width_needed_m.clone().ok().map(|width_m| width_m * (1.0 + BEYOND));
    let wide_m = wide_m.filter(|width_m| *width_m <= WIDEST_M);
    let remedy = match wide_m {
        Some(width_m) => Remedy {
            message: format!("Make the overflow {} wide.", length_text(width_m, seen.unit)),
            site: seen.with(rain.work, |kind| {
                if let WorkKind::Basin(basin) = kind {
                    basin.overflow_width_m = Some(width_m);
                }
            }),
        },
        None => higher_edge(seen, rain.work, limit_m - above_m),
    };
    Some(Finding {
        code: Code::OverflowTooSmall,
        severity: if above_m < 0.0 { Severity::Stop } else { Severity::LookAt },
        work: Some(rain.work),
        at_m: [x, y, level_m],
        measured: Measured { value: above_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "The storm brings {}: over the overflow, {} wide, it stands {}.",
            flow_text(storm_m3_s, seen.unit),
            length_text(basin.overflow_width_m.unwrap_or(0.0), seen.unit),
            if above_m < 0.0 {
                format!("{} above the liner's edge", length_text(-above_m, seen.unit))
            } else {
                format!("{} below the liner's edge", length_text(above_m, seen.unit))
            },
        ),
        remedy: Some(remedy),
        source: SOURCE,
        caution: None,
    })
}

/// Raises the liner's edge, where no overflow is wide enough.
fn higher_edge(seen: &Seen<'_>, id: WorkId, short_m: f64) -> Remedy {
    let by_m = short_m * (1.0 + BEYOND);
    let message = format!("Raise the liner's edge by {} all round.", enough_text(by_m, seen.unit));
    let site = seen.with(id, |kind| {
        if let WorkKind::Basin(basin) = kind {
            basin.freeboard_m += by_m;
            basin.liner_edge_m.iter_mut().for_each(|edge_m| *edge_m += by_m);
        }
    });
    Remedy { message, site }
}
