//! A trench dug through what was laid before it: a liner, a bed, paving.

use std::collections::BTreeMap;

use ground::curve::Closure;
use site::works::Trench;
use site::{Work, WorkId, WorkKind};
use units::length_text;

use super::super::COMMON_PRACTICE;
use super::super::line::Line;
use super::super::seen::Seen;
use super::super::words::stretch_text;
use super::{BESIDE_M, LOOK_EVERY_M, looks, position};
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A pipe passes the edge of a liner; farther in it lies under it, metres.
const LEAST_M: f64 = 0.6;

pub(super) fn check(seen: &Seen<'_>, work: &Work, trench: &Trench) -> Option<Finding> {
    let line = Line::new(&trench.line, Closure::Open)?;
    let crossed = crossed(seen, work.id, &line)?;
    let (owner, stations_m) = crossed.iter().max_by_key(|(_, stations)| stations.len())?;
    let (length_m, by) = (stations_m.len() as f64 * LOOK_EVERY_M, seen.owner(*owner)?);
    if length_m <= LEAST_M {
        return None;
    }
    let lined = !matches!(by.kind, WorkKind::Pad(_) | WorkKind::Path(_));
    let at = line.path.at_station(stations_m[stations_m.len() / 2]).at;
    let first = crossed.keys().filter_map(|owner| seen.owner(*owner));
    let first = first.min_by_key(|work| position(seen.site, work.id))?;
    Some(Finding {
        code: Code::OrderTrap,
        severity: if lined { Severity::Stop } else { Severity::LookAt },
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: length_m, limit: LEAST_M, unit: Unit::Metre },
        message: format!(
            "The trench is dug for {} through {}, which is built before it{}.",
            stretch_text(length_m, seen.unit),
            by.name,
            if lined { " and lined by then" } else { "" },
        ),
        remedy: Some(Remedy {
            message: format!(
                "Dig {} before {}, or end it within {} of the edge.",
                work.name,
                first.name,
                length_text(LEAST_M, seen.unit)
            ),
            site: Some(Box::new(before(seen, work.id, first.id))),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Stations at which earlier works lie over the trench, by work.
fn crossed(seen: &Seen<'_>, id: WorkId, line: &Line) -> Option<BTreeMap<u32, Vec<f64>>> {
    let near = seen.near(line.path.points(), BESIDE_M)?;
    let finished = seen.evaluation.finished.as_deref()?;
    let own = position(seen.site, id);
    let mut crossed: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for station_m in looks(line) {
        let Some((face, _)) = near.face_at(line.path.at_station(station_m).at) else { continue };
        let tag = finished.faces()[face as usize].tag;
        // Banks outside a rim are earth that is dug and filled again like any other.
        let is_laid = matches!(
            Part::of(tag.part),
            Part::Floor | Part::Side | Part::Shelf | Part::Bed | Part::Pad | Part::Path
        );
        let is_earlier =
            seen.owner(tag.owner).is_some() && position(seen.site, WorkId(tag.owner)) < own;
        if is_laid && is_earlier {
            crossed.entry(tag.owner).or_default().push(station_m);
        }
    }
    Some(crossed)
}

/// The site with one work built directly before another.
fn before(seen: &Seen<'_>, moved: WorkId, other: WorkId) -> site::Site {
    let mut site = seen.site.clone();
    let work = site.works.remove(position(&site, moved));
    site.works.insert(position(&site, other), work);
    site
}
