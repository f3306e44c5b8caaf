//! Water that leaves a pond by its overflow and comes near a house.

use site::WorkKind;
use units::length_text;

use super::drainage::drain_text;
use super::seen::Seen;
use crate::running::{Heading, Unknown, heading, rain};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

const SOURCE: &str = "IRC R401.3: ground falls away from a house within the first 10 ft";
/// So many other places of the outline are tried, at most.
const MOST_PLACES: usize = 24;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let basins = seen.visible().filter_map(|work| match &work.kind {
        WorkKind::Basin(basin) if !seen.site.houses.is_empty() => Some((work, basin)),
        _ => None,
    });
    let of_basin = |(work, basin): (&site::Work, &site::works::Basin)| {
        let goes = heading(seen, basin, basin.overflow?).ok()?;
        let (house, away_m) = goes.house?;
        let limit_m = seen.site.limits.house_fall_reach_m;
        if away_m >= limit_m {
            return None;
        }
        let house = &seen.site.houses[house].name;
        Some(Finding {
            code: Code::OverflowRunsToHouse,
            severity: Severity::Stop,
            work: Some(work.id),
            at_m: goes.nearest_m,
            measured: Measured { value: away_m, limit: limit_m, unit: Unit::Metre },
            message: format!(
                "What runs over at the pond's overflow comes within {} of {house}.",
                length_text(away_m, seen.unit)
            ),
            remedy: Some(remedy(seen, work.id, basin)),
            source: SOURCE,
            caution: None,
        })
    };
    basins.filter_map(of_basin).collect()
}

/// Another place of the outline, from which the water keeps farthest from every house.
fn remedy(seen: &Seen<'_>, id: site::WorkId, basin: &site::works::Basin) -> Remedy {
    let away_m = |goes: &Heading| goes.house.map_or(f64::INFINITY, |(_, away_m)| away_m);
    let places = basin.outline.points.iter().take(MOST_PLACES);
    let told = places.filter_map(|&at| Some((at, away_m(&heading(seen, basin, at).ok()?))));
    let best = told.max_by(|a, b| a.1.total_cmp(&b.1));
    let limit_m = seen.site.limits.house_fall_reach_m;
    // Where the edge has levels of its own, the low place would have to move too.
    match best.filter(|(_, away_m)| *away_m >= limit_m && basin.liner_edge_m.is_empty()) {
        Some((at, _)) => Remedy {
            message:
                "Let the pond run over at another place, whose water keeps clear of the house."
                    .into(),
            site: seen.with(id, |kind| {
                if let WorkKind::Basin(basin) = kind {
                    basin.overflow = Some(at);
                }
            }),
        },
        None => {
            let rain = rain(seen).into_iter().find(|rain| rain.work == id);
            let storm = rain.map_or(Err(Unknown("its rain is not known".into())), |r| r.storm_m3_s);
            let drain = drain_text(&storm, seen.unit);
            Remedy { message: format!("Lead it past the house in a swale or {drain}."), site: None }
        }
    }
}
