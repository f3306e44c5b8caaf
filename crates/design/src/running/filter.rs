//! Filter beds: the water that rises through their gravel and leaves over their lip.

use std::collections::BTreeMap;

use ground::curve::{Closure, signed_area_m2};
use site::works::FilterBed;
use site::{Site, WorkId, WorkKind};
use water::{GravelBed, lip_load_m2_s};

use super::crest::{self, CrestOutcome, CrestPlace, Stands};
use super::stream::shared;
use super::{Known, StreamOutcome, Unknown, edges, lip_crest, stream};
use crate::Evaluation;
use crate::checks::Line;

/// A filter bed and the water in it.
#[derive(Clone, Debug, PartialEq)]
pub struct FilterOutcome {
    /// The filter bed.
    pub work: WorkId,
    /// What comes to it, cubic metres a second.
    pub flow_m3_s: Known<f64>,
    /// Its area on plan at the lip, square metres.
    pub area_m2: Known<f64>,
    /// Depth of its gravel, metres.
    pub gravel_depth_m: f64,
    /// Water in the gravel's voids, cubic metres.
    pub void_m3: Known<f64>,
    /// Velocity at which the water rises over the whole area, metres a second.
    pub upward_m_s: Known<f64>,
    /// Time that the water spends in the gravel, seconds.
    pub stay_s: Known<f64>,
    /// Head that the clean gravel takes, metres.
    pub clean_loss_m: Known<f64>,
    /// Flow for each metre of its lip, square metres a second.
    pub lip_load_m2_s: Known<f64>,
    /// The water over its lip.
    pub lip: Known<CrestOutcome>,
    /// The ways out of it, which share what comes: its lip first, then the heads of streams that begin
    /// beside it. One where it has but its lip.
    pub ways: Known<Vec<WayOut>>,
}

/// A way out of a filter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayOut {
    /// The stream that begins there; none where the water leaves into the open.
    pub stream: Option<WorkId>,
    /// Its middle, and its elevation, local metres.
    pub at_m: [f64; 3],
    /// Its width, metres.
    pub width_m: f64,
    /// What it takes, cubic metres a second; nothing where it stands dry.
    pub flow_m3_s: f64,
}

/// Every visible filter bed.
pub(super) fn filters(
    site: &Site,
    evaluation: &Evaluation,
    flows: &BTreeMap<WorkId, f64>,
    streams: &[StreamOutcome],
) -> Vec<FilterOutcome> {
    let built = evaluation.finished.is_some();
    let works = site.works.iter().filter(|work| work.visible);
    let filter = works.filter_map(|work| match &work.kind {
        WorkKind::FilterBed(bed) => Some((work.id, bed)),
        _ => None,
    });
    let outcome = |(id, bed): (WorkId, &FilterBed)| {
        let known = flows.get(&id).copied().filter(|flow_m3_s| *flow_m3_s > 0.0);
        let flow_m3_s = known.ok_or(Unknown("no water is known to come to it".into()));
        outcome(site, (id, bed), flow_m3_s, (built, streams))
    };
    filter.map(outcome).collect()
}

fn outcome(
    site: &Site,
    (id, bed): (WorkId, &FilterBed),
    flow_m3_s: Known<f64>,
    (built, streams): (bool, &[StreamOutcome]),
) -> FilterOutcome {
    let area_m2 = area_m2(bed, built);
    let ways = flow_m3_s.clone().and_then(|flow_m3_s| ways(site, (id, bed), flow_m3_s, streams));
    let over_lip_m3_s = ways.as_ref().map(|ways| ways[0].flow_m3_s).map_err(Clone::clone);
    let gravel_depth_m = (bed.depth_m - bed.gravel_below_lip_m).max(0.0);
    let at_work = gravel(bed, gravel_depth_m, &area_m2)
        .and_then(|gravel| water::filter(gravel, flow_m3_s.clone()?).map_err(Unknown::because));
    let voids =
        bed.void_share.ok_or(Unknown("the share of voids in its gravel is not given".into()));
    let upward = area_m2.clone().and_then(|area_m2| Ok(flow_m3_s.clone()? / area_m2));
    let void_m3 = area_m2.clone().and_then(|area_m2| Ok(area_m2 * gravel_depth_m * voids?));
    FilterOutcome {
        work: id,
        gravel_depth_m,
        stay_s: void_m3.clone().and_then(|void_m3| Ok(void_m3 / flow_m3_s.clone()?)),
        void_m3,
        upward_m_s: upward,
        clean_loss_m: at_work.map(|at_work| at_work.clean_loss_m),
        lip_load_m2_s: over_lip_m3_s.clone().and_then(|flow_m3_s| {
            lip_load_m2_s(flow_m3_s, bed.lip.width_m).map_err(Unknown::because)
        }),
        lip: lip(site, (id, bed), &over_lip_m3_s, streams),
        ways,
        area_m2,
        flow_m3_s,
    }
}

fn area_m2(bed: &FilterBed, built: bool) -> Known<f64> {
    if !built {
        return Err(Unknown("the survey makes no ground".into()));
    }
    let ring = Line::new(&bed.outline, Closure::Closed);
    let area_m2 = ring.map(|ring| signed_area_m2(ring.path.points()).abs());
    area_m2.filter(|area_m2| *area_m2 > 0.0).ok_or(Unknown("its outline has no area".into()))
}

fn gravel(bed: &FilterBed, depth_m: f64, area_m2: &Known<f64>) -> Known<GravelBed> {
    let voids =
        bed.void_share.ok_or(Unknown("the share of voids in its gravel is not given".into()))?;
    let stone_m = bed.gravel_m.ok_or(Unknown("the size of its gravel is not given".into()))?;
    Ok(GravelBed { area_m2: area_m2.clone()?, depth_m, void_share: voids, stone_m })
}

/// The ways out of a filter into which a flow comes.
fn ways(
    site: &Site,
    (id, bed): (WorkId, &FilterBed),
    flow_m3_s: f64,
    streams: &[StreamOutcome],
) -> Known<Vec<WayOut>> {
    let [x, y] = bed.lip.at;
    let at_m = [x, y, bed.lip.elevation_m];
    let mut lip = WayOut { stream: None, at_m, width_m: bed.lip.width_m, flow_m3_s };
    let own: Vec<WorkId> = stream::from_filter(site, id).map(|(id, _)| id).collect();
    if own.len() < 2 {
        lip.stream = own.first().copied();
        return Ok(vec![lip]);
    }
    let at_lip = shared::at_lip(site, (id, bed));
    let mut heads = Vec::new();
    for outcome in streams.iter().filter(|outcome| own.contains(&outcome.work)) {
        let own_m3_s = match &outcome.flow_m3_s {
            Err(why) if *why == stream::dry() => 0.0,
            told => told.clone()?,
        };
        if at_lip == Some(outcome.work) {
            continue;
        }
        let head = shared::head(site, outcome.work)?;
        heads.push(WayOut { flow_m3_s: own_m3_s, ..head });
        lip.flow_m3_s -= own_m3_s;
    }
    lip.stream = at_lip;
    lip.flow_m3_s = lip.flow_m3_s.max(0.0);
    Ok(std::iter::once(lip).chain(heads).collect())
}

/// The water over its lip: as its stream has it, or into the open.
fn lip(
    site: &Site,
    (id, bed): (WorkId, &FilterBed),
    flow_m3_s: &Known<f64>,
    streams: &[StreamOutcome],
) -> Known<CrestOutcome> {
    let own = CrestPlace::Lip(id);
    let crests = streams.iter().filter_map(|outcome| outcome.crests.as_ref().ok());
    if let Some(crest) = crests.flatten().find(|crest| crest.crest == own) {
        return Ok(crest.clone());
    }
    let crest = lip_crest(bed)?;
    let over = crest.over(flow_m3_s.clone()?, None, edges(site)).map_err(Unknown::because)?;
    let [x, y] = bed.lip.at;
    let at_m = [x, y, bed.lip.elevation_m];
    let stands = Stands { crest: own, at_m, toward: outward(bed) };
    Ok(crest::over(stands, (&crest, Vec::new()), &over))
}

/// The way out over the lip, square to the outline.
fn outward(bed: &FilterBed) -> [f64; 2] {
    let Some(ring) = Line::new(&bed.outline, Closure::Closed) else { return [0.0; 2] };
    let nearest = ring.path.nearest(bed.lip.at);
    let [x, y] = ring.path.at_station(nearest.station_m).tangent;
    // Outlines go counter-clockwise once they are the ground's; a drawn one may go the other way.
    if signed_area_m2(ring.path.points()) < 0.0 { [-y, x] } else { [y, -x] }
}
