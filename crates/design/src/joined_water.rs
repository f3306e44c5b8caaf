//! Basins whose water is one sheet: counted once, at the lowest of their levels.

use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Ring3, rings};
use ground::{Surface, query};
use site::works::Basin;
use site::{Site, WorkId, WorkKind};

use crate::works::{joined_basin, outline_ring, triangles};
use crate::{WaterBody, water};

/// A basin and places on its floor and on those of the bays that draw from it, its own first.
pub(crate) struct Floor {
    pub(crate) work: WorkId,
    pub(crate) places: Vec<[f64; 2]>,
}

/// Makes one body of the water of basins that join, under the name of the first of them.
///
/// A basin that joins another and whose water the ground keeps apart has a body of its own.
pub(crate) fn one_sheet(
    site: &Site,
    floors: &[Floor],
    finished: &Surface,
    bodies: Vec<WaterBody>,
) -> Vec<WaterBody> {
    let mut bodies = bodies;
    for first in floors {
        let joining = floors.iter().filter(|floor| joins(site, floor.work, first.work)).collect();
        let Some((body, within)) = whole(site, first, joining, finished) else { continue };
        bodies.retain(|other| !within.contains(&other.work));
        bodies.iter_mut().filter(|other| other.work == body.work).for_each(|b| *b = body.clone());
    }
    bodies
}

/// The one body of a basin's water and of that of those of the joining basins which the ground does
/// not keep apart from it, and these; none where there are none.
fn whole(
    site: &Site,
    first: &Floor,
    mut joining: Vec<&Floor>,
    finished: &Surface,
) -> Option<(WaterBody, Vec<WorkId>)> {
    let basin = basin_of(site, first.work)?;
    while !joining.is_empty() {
        let others = || joining.iter().filter_map(|floor| basin_of(site, floor.work));
        let level_m = others().map(|other| other.water_level_m).fold(basin.water_level_m, f64::min);
        let lowered = Basin { water_level_m: level_m, ..basin.clone() };
        let all = std::iter::once(first).chain(joining.iter().copied());
        let places: Vec<[f64; 2]> = all.flat_map(|floor| floor.places.iter().copied()).collect();
        let mut body = water::basin(first.work, &lowered, finished, &places)?;
        let wet = |floor: &Floor| {
            let own = *floor.places.first()?;
            query::pool(finished, own, body.level_m).ok().map(|pool| pool.faces)
        };
        let (pool, n_joining) = (wet(first)?, joining.len());
        let within: Vec<&Floor> =
            joining.iter().copied().filter(|floor| wet(floor).as_ref() == Some(&pool)).collect();
        if within.len() == n_joining {
            body.sheet = sheet(finished, std::iter::once(basin).chain(others()), body.level_m);
            return Some((body, within.into_iter().map(|floor| floor.work).collect()));
        }
        // Water that stands apart does not lower this.
        joining = within;
    }
    None
}

fn basin_of(site: &Site, id: WorkId) -> Option<&Basin> {
    match &site.work(id)?.kind {
        WorkKind::Basin(basin) => Some(basin),
        _ => None,
    }
}

/// The first of the basins whose water is one with a basin's: each joins an earlier one.
fn first_of(site: &Site, id: WorkId) -> WorkId {
    let mut first = id;
    while let Some(basin) = basin_of(site, first) {
        match basin.joins.filter(|_| joined_basin(basin, first, site).is_some()) {
            Some(earlier) => first = earlier,
            None => break,
        }
    }
    first
}

/// Whether a basin's water is one with that of another, the first of them.
fn joins(site: &Site, id: WorkId, first: WorkId) -> bool {
    id != first && first_of(site, id) == first
}

/// The surface of one sheet within several outlines.
fn sheet<'b>(
    finished: &Surface,
    basins: impl Iterator<Item = &'b Basin>,
    level_m: f64,
) -> Vec<[[f64; 3]; 3]> {
    let lattice = finished.lattice();
    let flat = |basin: &Basin| {
        let points = outline_ring(lattice, &basin.outline)?.into_iter().map(|p| (p, level_m));
        rings(lattice, &[Ring3 { points: points.collect(), part: 0 }], &[], 0).ok()
    };
    let whole = basins.filter_map(flat).reduce(|whole, other| {
        compose(&whole, &other, Keep::Highest, Domain::Union, Rooted::Anywhere).surface
    });
    whole.map(|whole| triangles(&whole)).unwrap_or_default()
}
