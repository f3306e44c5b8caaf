//! Running water: what the pumps move, what runs over the crests and down the streams, and where the
//! levels of ponds come to.
//!
//! Reckoned from the drawn works and the water at rest, by the formulas of `water`. The pumps, the
//! heads over lips and the levels of ponds hang on each other, so that they are reckoned in turn until
//! they agree. What cannot be told says why, in words that name what is missing; it is never nought.

mod bed;
mod circuit;
mod crest;
pub(crate) mod drain;
mod filter;
mod kept;
mod levels;
mod pond;
mod rain;
mod rounds;
mod soil;
mod stream;
mod taken;

use std::collections::BTreeMap;

use site::{Site, WorkId, WorkKind};
use water::EdgeAllowance;

pub use bed::bed_row;
use circuit::Asked;
pub use circuit::{LineDuty, PumpDuty, PumpOutcome};
pub use crest::{CrestOutcome, CrestPlace, PartFlow};
pub use drain::DrainOutcome;
pub use filter::{FilterOutcome, WayOut};
pub use levels::{BayLevels, PondLevels, PondOutcome};
pub use rain::{Heading, RainOutcome};
pub use rounds::{PondRounds, Rounds, rounds};
pub use soil::{SoilWater, Uplifts, Washing};
pub use stream::{ArmsOutcome, RunPoint, StreamOutcome, StreamWater};
pub use taken::{FlowTaken, with_flow};

pub(crate) use bed::lip_crest;
pub(crate) use circuit::{common_pump, wanted_m3_s};
pub(crate) use crest::allowance;
pub(crate) use kept::KeptRuns;
pub(crate) use rain::{heading, rain};
pub(crate) use rounds::{rounds_again, with_return};
pub(crate) use stream::own_head;

use crate::Evaluation;

/// A value, or why it cannot be told.
pub type Known<T> = Result<T, Unknown>;

/// Why something of the water cannot be told: a lower-case phrase that names what is missing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Unknown(pub String);

/// The water of a site while its pumps run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Running {
    /// The pumps, in the order of the site.
    pub pumps: Vec<PumpOutcome>,
    /// Every visible filter bed, in building order.
    pub filters: Vec<FilterOutcome>,
    /// Every visible stream, in building order.
    pub streams: Vec<StreamOutcome>,
    /// Every pond that holds water.
    pub ponds: Vec<PondOutcome>,
}

/// Everything of a site's water: as it runs, as it rains, and under the ground.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WaterPlan {
    /// The water while the pumps run.
    pub running: Running,
    /// How the water of each pond from which a pump draws goes round.
    pub rounds: Vec<PondRounds>,
    /// Rain at each pond.
    pub rain: Vec<RainOutcome>,
    /// Groundwater and soil.
    pub soil: SoilWater,
    /// The drains under liners.
    pub drains: Vec<DrainOutcome>,
}

/// Ponds' levels and lips' heads are reckoned anew until they stand still to this, metres.
const SETTLED_M: f64 = 1.0e-4;
/// Rounds in which they mostly do; what moves on is a site whose pond runs dry.
const MOST_ROUNDS: usize = 7;

/// Levels that pumps, streams and ponds share.
#[derive(Clone, Debug, Default, PartialEq)]
struct Levels {
    /// Of ponds and bays, at which their pumps draw and their streams end, metres.
    waters_m: BTreeMap<WorkId, f64>,
    /// Of the water that stands over a lip or at a stream's head, metres.
    fed_m: BTreeMap<WorkId, f64>,
}

/// The running water of an evaluated site.
pub fn running(site: &Site, evaluation: &Evaluation) -> Running {
    running_if(site, evaluation, &[])
}

/// The running water if each pump moved a share of what it would as planned: 1 is as planned, 0 is
/// stopped. `shares` go by the pumps' order; a pump without one runs as planned.
///
/// Heads, powers and other cases that are told of the pumps stay those of the plan.
pub fn running_if(site: &Site, evaluation: &Evaluation, shares: &[f64]) -> Running {
    running_again(site, evaluation, shares, &KeptRuns::default())
}

/// The same, finding again what ran before.
pub(crate) fn running_again(
    site: &Site,
    evaluation: &Evaluation,
    shares: &[f64],
    kept: &KeptRuns,
) -> Running {
    if site.circulation.pumps.is_empty() {
        return Running { ponds: levels::at_rest(site, evaluation), ..Running::default() };
    }
    let beds = bed::beds(site, evaluation);
    let pumps_at = |levels: &Levels, asked| {
        let mut pumps = circuit::pumps(site, evaluation, levels, asked, kept);
        pumps.iter_mut().zip(shares).for_each(|(pump, share)| pump.moves_share(*share));
        pumps
    };
    let mut levels = at_rest(site, evaluation);
    let mut rounds = 0;
    let streams = loop {
        let pumps = pumps_at(&levels, Asked::Duties);
        let streams = stream::streams(site, &beds, &circuit::flows(&pumps), &levels, kept);
        let next = settled(site, evaluation, &pumps, &streams, &levels);
        rounds += 1;
        if levels.apart_m(&next) < SETTLED_M || rounds == MOST_ROUNDS {
            break streams;
        }
        levels = next;
    };
    // At the same levels the pumps move what the streams got.
    let pumps = pumps_at(&levels, Asked::All);
    let flows = circuit::flows(&pumps);
    Running {
        filters: filter::filters(site, evaluation, &flows, &streams),
        ponds: levels::ponds(site, evaluation, &pumps, &streams),
        pumps,
        streams,
    }
}

/// Everything of an evaluated site's water.
pub fn water_plan(site: &Site, evaluation: &Evaluation) -> WaterPlan {
    let running = running(site, evaluation);
    WaterPlan {
        rounds: rounds(site, evaluation, &running),
        running,
        rain: rain::rains(site, evaluation),
        soil: soil::soil(site, evaluation),
        drains: drain::drains(site, evaluation),
    }
}

/// Levels before anything runs.
fn at_rest(site: &Site, evaluation: &Evaluation) -> Levels {
    let mut levels = Levels::default();
    for work in site.works.iter().filter(|work| work.visible) {
        match &work.kind {
            WorkKind::Basin(_) | WorkKind::IntakeBay(_) => {
                if let Some(body) = pond::body_of(site, evaluation, work.id) {
                    levels.waters_m.insert(work.id, body.level_m);
                }
            }
            WorkKind::FilterBed(bed) => {
                levels.fed_m.insert(work.id, bed.lip.elevation_m);
            }
            WorkKind::Stream(stream) => {
                let head_m = stream.stations.first().map(|station| station.invert_m);
                levels.fed_m.extend(head_m.map(|head_m| (work.id, head_m)));
            }
            _ => {}
        }
    }
    levels
}

/// Levels once pumps and streams run as they do at others.
fn settled(
    site: &Site,
    evaluation: &Evaluation,
    pumps: &[PumpOutcome],
    streams: &[StreamOutcome],
    before: &Levels,
) -> Levels {
    let mut levels = before.clone();
    let flows = circuit::flows(pumps);
    for outcome in streams {
        if let Ok(running) = &outcome.water {
            levels.fed_m.insert(outcome.work, running.head_m);
        }
    }
    for work in site.works.iter().filter(|work| work.visible) {
        let WorkKind::FilterBed(bed) = &work.kind else { continue };
        let own = |outcome: &&StreamOutcome| {
            stream::from_filter(site, work.id).any(|(id, _)| id == outcome.work)
        };
        let heads = streams.iter().filter(own).filter_map(|outcome| outcome.water.as_ref().ok());
        let in_streams = heads.map(|running| running.head_m).reduce(f64::max);
        let over_m = || {
            let crest = lip_crest(bed).ok()?;
            crest.level_for_m(*flows.get(&work.id)?, None).ok()
        };
        let level_m = in_streams.or_else(over_m);
        levels.fed_m.extend(level_m.map(|level_m| (work.id, level_m)));
    }
    for (id, level_m) in levels::running_levels(site, evaluation, pumps, streams) {
        levels.waters_m.insert(id, level_m);
    }
    levels
}

impl Levels {
    /// The most by which two levels of a place differ, metres.
    fn apart_m(&self, other: &Self) -> f64 {
        let apart = |a: &BTreeMap<WorkId, f64>, b: &BTreeMap<WorkId, f64>| {
            let pairs = a.iter().filter_map(|(id, level)| Some((level, b.get(id)?)));
            pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
        };
        apart(&self.waters_m, &other.waters_m).max(apart(&self.fed_m, &other.fed_m))
    }
}

impl Unknown {
    /// Because of something.
    pub(crate) fn because(why: impl std::fmt::Display) -> Self {
        Self(why.to_string())
    }
}

/// What edges at crests stand above the water by, unless the site says otherwise.
fn edges(site: &Site) -> EdgeAllowance {
    allowance(&site.limits)
}
