//! Water that the stream takes when it starts: the level falls, uncovers the intake or empties its bay.

use site::works::IntakeBay;
use site::{WorkId, WorkKind};
use units::{elevation_text, flow_text, length_text, water_text};
use water::{Crest, CrestForm};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump, with_pump};
use super::words::enough_text;
use crate::{BayLevels, Code, Finding, Measured, PondLevels, Remedy, Severity, Unit};

/// A remedy goes beyond what is needed by this share.
const BEYOND: f64 = 0.1;
/// Water that a pump misses below this is none, cubic metres.
const LEAST_SHORT_M3: f64 = 1.0e-4;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let ponds =
        seen.running().ponds.iter().filter_map(|pond| Some((pond, pond.levels.as_ref().ok()?)));
    let mut found = Vec::new();
    for (pond, levels) in ponds {
        let bays = levels.bays.iter();
        found.extend(bays.filter_map(|bay| emptied(seen, bay, levels)));
        found.extend(uncovered(seen, pond.work, levels));
    }
    found
}

/// Whether a finding of this check is about a bay's sill, and not about an intake.
pub(super) fn is_of_bay(finding: &Finding) -> bool {
    finding.measured.unit == Unit::CubicMetrePerSecond
}

/// A bay whose sill passes less than is drawn from it.
fn emptied(seen: &Seen<'_>, bay: &BayLevels, levels: &PondLevels) -> Option<Finding> {
    let WorkKind::IntakeBay(drawn) = &seen.work(bay.work)?.kind else { return None };
    let starves = bay.running_m.is_err() && bay.draw_m3_s > 0.0;
    let short_m3 = bay.short_m3.clone().unwrap_or(0.0);
    if !starves && short_m3 < LEAST_SHORT_M3 {
        return None;
    }
    let passes_m3_s = sill(drawn)?.flow_m3_s(levels.running_m, None);
    let [x, y] = drawn.sill.at;
    let depth_m = levels.running_m - (drawn.water_level_m - drawn.sill.depth_m);
    let width_m = (passes_m3_s > 0.0)
        .then(|| drawn.sill.width_m * (bay.draw_m3_s / passes_m3_s).max(1.0) * (1.0 + BEYOND));
    let (message, remedy) = match width_m.filter(|_| starves) {
        Some(width_m) => (
            format!("Widen the sill to {}, or lower it.", length_text(width_m, seen.unit)),
            seen.with(bay.work, |kind| {
                if let WorkKind::IntakeBay(bay) = kind {
                    bay.sill.width_m = width_m;
                }
            }),
        ),
        None => ("Lower the sill, or make the bay deeper.".to_owned(), None),
    };
    let measured =
        Measured { value: bay.draw_m3_s, limit: passes_m3_s, unit: Unit::CubicMetrePerSecond };
    Some(Finding {
        code: Code::StartStarvesPump,
        severity: Severity::Stop,
        work: Some(bay.work),
        at_m: [x, y, drawn.water_level_m - drawn.sill.depth_m],
        measured,
        message: format!(
            "Once the stream runs, {} of water stands over the bay's sill, which passes {} at most; the \
             pump draws {}{}.",
            length_text(depth_m.max(0.0), seen.unit),
            flow_text(passes_m3_s, seen.unit),
            flow_text(bay.draw_m3_s, seen.unit),
            if short_m3 >= LEAST_SHORT_M3 {
                format!(" and misses {} in the first minutes", water_text(short_m3, seen.unit))
            } else {
                String::new()
            },
        ),
        remedy: Some(Remedy { message, site: remedy }),
        source: "broad crest, Q = 1.705 b H^1.5 (W-07)",
        caution: Some(LIVE_CAUTION),
    })
}

fn sill(bay: &IntakeBay) -> Option<Crest> {
    let crest_m = bay.water_level_m - bay.sill.depth_m;
    Crest::level(crest_m, bay.sill.width_m, CrestForm::Broad).ok()
}

/// Pumps whose intake stands too near to the running water, or above it.
fn uncovered(seen: &Seen<'_>, pond: WorkId, levels: &PondLevels) -> Vec<Finding> {
    let cover_m = seen.site.limits.intake_cover_m;
    let of_pump = |(i, pump): (usize, &site::circulation::Pump)| {
        let (from, intake_m) = (pump.draws_from?, pump.intake_m?);
        let bay = levels.bays.iter().find(|bay| bay.work == from);
        let level_m = match bay {
            Some(bay) => bay.lowest_m.clone().or(bay.running_m.clone()).ok()?,
            None if from == pond => levels.running_m,
            None => return None,
        };
        if level_m - intake_m >= cover_m {
            return None;
        }
        let lower_m = cover_m - (level_m - intake_m);
        let site = with_pump(seen, i, |pump| pump.intake_m = Some(intake_m - lower_m));
        let deep_enough = floor_m(seen, from).is_some_and(|floor_m| intake_m - lower_m > floor_m);
        let bare = level_m < intake_m;
        Some(Finding {
            code: Code::StartStarvesPump,
            severity: if bare { Severity::Stop } else { Severity::LookAt },
            work: Some(from),
            at_m: at_pump(seen, i),
            measured: Measured { value: level_m, limit: intake_m + cover_m, unit: Unit::Elevation },
            message: format!(
                "When {} starts, the water it draws from falls to {}: its intake at {} {}.",
                pump.name,
                elevation_text(level_m, seen.unit),
                elevation_text(intake_m, seen.unit),
                if bare {
                    "stands bare and draws air".to_owned()
                } else {
                    format!("has {} of water over it", length_text(level_m - intake_m, seen.unit))
                },
            ),
            remedy: Some(Remedy {
                message: format!(
                    "Set the intake {} lower, or fill the pond by as much while it runs.",
                    enough_text(lower_m, seen.unit)
                ),
                site: site.filter(|_| deep_enough),
            }),
            source: COMMON_PRACTICE,
            caution: Some(LIVE_CAUTION),
        })
    };
    seen.site.circulation.pumps.iter().enumerate().filter_map(of_pump).collect()
}

/// The floor of a pond or bay, metres.
fn floor_m(seen: &Seen<'_>, id: WorkId) -> Option<f64> {
    match &seen.work(id)?.kind {
        WorkKind::IntakeBay(bay) => Some(bay.water_level_m - bay.depth_m),
        WorkKind::Basin(_) => {
            let body = seen.evaluation.water.iter().find(|body| body.work == id)?;
            body.stages.first().map(|stage| stage[0])
        }
        _ => None,
    }
}
