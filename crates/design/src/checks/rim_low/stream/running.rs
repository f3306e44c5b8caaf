//! The two edges of a stream against the water as it runs: freeboard all along, and what edge stones
//! are to stand just above each crest.

use site::works::Stream;
use site::{Work, WorkKind};
use units::thickness_text;

use super::super::super::line::stretches;
use super::super::super::seen::Seen;
use super::super::super::words::{enough_text, short_text, stretch_text};
use super::super::super::{COMMON_PRACTICE, SAME_LEVEL_M};
use super::super::LEVELLED_M;
use crate::running::allowance;
use crate::{Code, Finding, Measured, Remedy, RunPoint, Severity, StreamWater, Unit};

/// So far above a crest its edge stones stand, metres.
const AT_CREST_M: f64 = 0.3;
/// A remedy goes beyond what is needed by this, metres.
const BEYOND_M: f64 = 0.002;

pub(super) fn running_findings(
    seen: &Seen<'_>,
    work: &Work,
    stream: &Stream,
    water: &StreamWater,
) -> Vec<Finding> {
    let mut points: Vec<&RunPoint> = water.points.iter().collect();
    points.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
    let need_m: Vec<f64> = points.iter().map(|point| need_m(seen, stream, point)).collect();
    let of_side = |(side, name): (usize, &str)| {
        let short = |(point, need): (&&RunPoint, &f64)| need - point.edge_above_water_m[side];
        let shorts: Vec<f64> = points.iter().zip(&need_m).map(short).collect();
        let stations: Vec<f64> = points.iter().map(|point| point.along_m).collect();
        let low = stretches(&stations, &shorts);
        let worst = low.iter().max_by(|a, b| a.short_m.total_cmp(&b.short_m))?;
        let long_m: f64 = low.iter().map(|s| s.ends_m[1] - s.ends_m[0]).sum();
        let at = stations.iter().position(|station| *station == worst.worst_m)?;
        let point = points[at];
        let edge_m = point.level_m + point.edge_above_water_m[side];
        let overtops = point.edge_above_water_m[side] < -SAME_LEVEL_M;
        if worst.short_m < LEVELLED_M && !overtops {
            return None;
        }
        let [x, y] = point.at_m;
        Some(Finding {
            code: Code::RimLow,
            severity: if overtops { Severity::Stop } else { Severity::LookAt },
            work: Some(work.id),
            at_m: [x, y, edge_m],
            measured: Measured {
                value: edge_m,
                limit: edge_m + worst.short_m,
                unit: Unit::Elevation,
            },
            message: format!(
                "The {name} liner's edge of the stream is {} too low for {}, lowest {} from its head, \
                 where the water runs {} deep{}.",
                short_text(worst.short_m, seen.unit),
                stretch_text(long_m, seen.unit),
                stretch_text(worst.worst_m, seen.unit),
                thickness_text(point.level_m - point.bed_m, seen.unit),
                if overtops { " and leaves over it" } else { "" },
            ),
            remedy: Some(remedy(seen, work, (side, name), (&stations, &shorts))),
            source: COMMON_PRACTICE,
            caution: None,
        })
    };
    [(0, "left"), (1, "right")].into_iter().filter_map(of_side).collect()
}

/// What the edge is to stand above the water at a place.
fn need_m(seen: &Seen<'_>, stream: &Stream, point: &RunPoint) -> f64 {
    let below = stream
        .falls
        .iter()
        .find(|fall| (0.0..=AT_CREST_M).contains(&(fall.along_m - point.along_m)));
    let head_m = below.map(|fall| (point.level_m - fall.crest_m).max(0.0));
    let stones = head_m.and_then(|head_m| allowance(&seen.site.limits).above_water_m(head_m).ok());
    stream.freeboard_m.max(stones.unwrap_or(0.0))
}

/// Raises every station by the most that is short up to its neighbours.
fn remedy(
    seen: &Seen<'_>,
    work: &Work,
    (side, name): (usize, &str),
    (stations_m, shorts_m): (&[f64], &[f64]),
) -> Remedy {
    let most_m = shorts_m.iter().copied().fold(0.0, f64::max);
    let message = format!("Raise the {name} edge by up to {}.", enough_text(most_m, seen.unit));
    let site = seen.with(work.id, |kind| {
        let WorkKind::Stream(stream) = kind else { return };
        let at: Vec<f64> = stream.stations.iter().map(|station| station.along_m).collect();
        for (i, station) in stream.stations.iter_mut().enumerate() {
            let from_m = i.checked_sub(1).map_or(f64::NEG_INFINITY, |before| at[before]);
            let to_m = at.get(i + 1).copied().unwrap_or(f64::INFINITY);
            let near = stations_m.iter().zip(shorts_m);
            let near = near.filter(|(along, _)| (from_m..=to_m).contains(*along));
            let short_m = near.map(|(_, short)| *short).fold(0.0, f64::max);
            if short_m > 0.0 {
                station.edge_m[side] += short_m + BEYOND_M;
            }
        }
    });
    Remedy { message, site }
}
