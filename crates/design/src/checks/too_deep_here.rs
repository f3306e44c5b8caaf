//! Water so deep that a barrier around it is commonly required: 18 in is the lowest depth found in local
//! codes (K-11).

use site::works::Floor;
use site::{Site, WorkKind};
use units::length_text;

use super::SAME_LEVEL_M;
use super::drainage::holders;
use super::seen::Seen;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WaterBody, WaterKind};

const SOURCE: &str = "the lowest found in local codes: 18 in, for swimming pools (San Joaquin County, \
     California); others say 24 in, for ponds too";
const CAUTION: &str = "Planning help only. A child can drown in far less: ask the authority what barrier \
     it wants, and keep one while the hole is open.";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let basins = seen.evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    basins.filter_map(|body| of_basin(seen, body)).collect()
}

fn of_basin(seen: &Seen<'_>, body: &WaterBody) -> Option<Finding> {
    let [bottom_m, ..] = *body.stages.first()?;
    let depth_m = body.level_m - bottom_m;
    let limit_m = seen.site.limits.barrier_depth_m;
    if depth_m <= limit_m + SAME_LEVEL_M {
        return None;
    }
    // Where it is deepest the ground of the basin is the lowest.
    let at = seen.lowest_place(body.work)?;
    let length = |m: f64| length_text(m, seen.unit);
    Some(Finding {
        code: Code::TooDeepHere,
        severity: Severity::LookAt,
        work: Some(body.work),
        at_m: [at[0], at[1], bottom_m],
        measured: Measured { value: depth_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "The water is {} deep: from {} a barrier around it is required in some places.",
            length(depth_m),
            length(limit_m)
        ),
        remedy: Some(Remedy {
            message: format!(
                "Ask which depth counts here, and plan the barrier, or make it {} shallower.",
                length(depth_m - limit_m)
            ),
            site: shallower_all(seen, body, limit_m),
        }),
        source: SOURCE,
        caution: Some(CAUTION),
    })
}

/// The site with every pond and bay that holds a water no deeper than a limit.
fn shallower_all(seen: &Seen<'_>, body: &WaterBody, limit_m: f64) -> Option<Box<Site>> {
    let holders = holders(seen, body.work);
    let mut site = seen.site.clone();
    let holding = site.works.iter_mut().filter(|work| holders.binary_search(&work.id.0).is_ok());
    holding.for_each(|work| shallower(&mut work.kind, limit_m));
    (site != *seen.site).then(|| Box::new(site))
}

/// Holds every depth of a pond or a bay to a limit.
fn shallower(kind: &mut WorkKind, limit_m: f64) {
    if let WorkKind::IntakeBay(bay) = kind {
        bay.depth_m = bay.depth_m.min(limit_m);
        bay.sill.depth_m = bay.sill.depth_m.min(limit_m);
    }
    let WorkKind::Basin(basin) = kind else { return };
    for ring in &mut basin.rings {
        ring.depth_m = ring.depth_m.min(limit_m);
    }
    if let Floor::Sump { depth_m, .. } = &mut basin.floor {
        *depth_m = depth_m.min(limit_m);
    }
}
