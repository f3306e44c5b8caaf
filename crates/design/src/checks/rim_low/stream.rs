//! The two edges of a stream against the water that runs between them.

mod running;

use ground::curve::Closure;
use site::works::Stream;
use site::{Work, WorkKind};
use units::length_text;

use super::super::line::{Line, between, stretches};
use super::super::seen::Seen;
use super::super::words::{enough_text, stretch_text};
use super::super::{COMMON_PRACTICE, SAME_LEVEL_M};
use super::LEVELLED_M;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn stream_findings(seen: &Seen<'_>, work: &Work, stream: &Stream) -> Vec<Finding> {
    let running = seen.running().streams.iter().find(|outcome| outcome.work == work.id);
    match running.and_then(|outcome| outcome.water.as_ref().ok()) {
        Some(water) => running::running_findings(seen, work, stream, water),
        None => drawn_findings(seen, work, stream),
    }
}

/// The edges against water of the drawn depth.
fn drawn_findings(seen: &Seen<'_>, work: &Work, stream: &Stream) -> Vec<Finding> {
    let Some(line) = Line::new(&stream.line, Closure::Open) else { return Vec::new() };
    let still_m = stream.into.and_then(|id| match &seen.work(id)?.kind {
        WorkKind::Basin(basin) => Some(basin.water_level_m),
        _ => None,
    });
    let stations: Vec<f64> = stream.stations.iter().map(|s| s.along_m).collect();
    // The pond's water stands in the mouth, whatever runs on top of it.
    let water =
        |invert_m: f64| (invert_m + stream.water_depth_m).max(still_m.unwrap_or(f64::NEG_INFINITY));
    let short = |side: usize| -> Vec<f64> {
        let of = |s: &site::works::Station| {
            water(s.invert_m) + stream.freeboard_m - (s.invert_m + s.edge_m[side])
        };
        stream.stations.iter().map(of).collect()
    };
    let mut found = Vec::new();
    for (side, name) in [(0, "left"), (1, "right")] {
        let shorts = short(side);
        let low = stretches(&stations, &shorts);
        let Some(worst) = low.iter().max_by(|a, b| a.short_m.total_cmp(&b.short_m)) else {
            continue;
        };
        let long_m: f64 = low.iter().map(|s| s.ends_m[1] - s.ends_m[0]).sum();
        let values = |of: fn(&site::works::Station, usize) -> f64| -> Vec<f64> {
            stream.stations.iter().map(|s| of(s, side)).collect()
        };
        let invert_m = between(&stations, &values(|s, _| s.invert_m), worst.worst_m);
        let edge_m =
            invert_m + between(&stations, &values(|s, side| s.edge_m[side]), worst.worst_m);
        let below_water = edge_m < water(invert_m) - SAME_LEVEL_M;
        if worst.short_m < LEVELLED_M && !below_water {
            continue;
        }
        let at = line.path.at_station(worst.worst_m).at;
        found.push(Finding {
            code: Code::RimLow,
            severity: if below_water { Severity::Stop } else { Severity::LookAt },
            work: Some(work.id),
            at_m: [at[0], at[1], edge_m],
            measured: Measured {
                value: edge_m,
                limit: edge_m + worst.short_m,
                unit: Unit::Elevation,
            },
            message: format!(
                "The {name} liner's edge of the stream is {} too low for {}, lowest {} from its \
                 head.",
                length_text(worst.short_m, seen.unit),
                stretch_text(long_m, seen.unit),
                stretch_text(worst.worst_m, seen.unit),
            ),
            remedy: Some(stream_remedy(seen, work, (side, name), &shorts)),
            source: COMMON_PRACTICE,
            caution: None,
        });
    }
    found
}

fn stream_remedy(
    seen: &Seen<'_>,
    work: &Work,
    (side, name): (usize, &str),
    shorts: &[f64],
) -> Remedy {
    let most_m = shorts.iter().copied().fold(0.0, f64::max);
    let message = format!("Raise the {name} edge by up to {}.", enough_text(most_m, seen.unit));
    let site = seen.with(work.id, |kind| {
        if let WorkKind::Stream(stream) = kind {
            for (station, short) in stream.stations.iter_mut().zip(shorts) {
                station.edge_m[side] += short.max(0.0);
            }
        }
    });
    Remedy { message, site }
}
