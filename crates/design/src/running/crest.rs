//! Water over one crest: how thick it is, what its edges must stand, where it lands.

use site::works::{CrestPart, Fall};
use site::{Limits, WorkId};
use water::{
    Crest, CrestForm, EdgeAllowance, FallKind, OverCrest, RunningFall, SharedCrest, SplashMargin,
    Trust, landing, share_crests,
};

use super::{Known, Unknown};

/// Between two parts of a crest the step is this wide, metres.
const STEP_M: f64 = 1.0e-3;

/// Water over a crest.
#[derive(Clone, Debug, PartialEq)]
pub struct CrestOutcome {
    /// Which crest.
    pub crest: CrestPlace,
    /// Its middle, local metres east, north, up.
    pub at_m: [f64; 3],
    /// The way in which the water leaves it, of length one.
    pub toward: [f64; 2],
    /// Its width, metres.
    pub width_m: f64,
    /// Flow, cubic metres a second.
    pub flow_m3_s: f64,
    /// Head over its lowest part, metres.
    pub head_m: f64,
    /// Thickness of the water where it leaves the edge, metres.
    pub brink_m: f64,
    /// Height that edge stones and liner must stand above its lowest part, metres.
    pub edge_above_crest_m: f64,
    /// Height from it to the water or stone below, metres; none where there is no drop.
    pub drop_m: Option<f64>,
    /// Whether it falls through the air or runs down the face; none where it does not fall.
    pub comes_down: Option<FallKind>,
    /// Width at which this flow would be as thick as the stream's water is wanted over its crests, metres;
    /// none where no thickness is wanted.
    pub width_wanted_m: Option<f64>,
    /// How far from it the water lands, metres; none where it does not fall.
    pub throw_m: Option<f64>,
    /// How far from it the liner must reach, metres; none where the water does not fall.
    pub liner_needed_m: Option<f64>,
    /// What its parts take, left to right; empty where it is level.
    pub parts: Vec<PartFlow>,
    /// An estimate where the water is thinner than weirs were measured with, or stands below it too.
    pub trust: Trust,
}

/// Which crest is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CrestPlace {
    /// A filter's lip.
    Lip(WorkId),
    /// The head of a stream that begins at an opening of its own in a filter's rim.
    Head(WorkId),
    /// A fall of a stream, counted from 0 at the head as the site has it.
    Fall(WorkId, usize),
}

/// What a part of a crest takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartFlow {
    /// Width, metres.
    pub width_m: f64,
    /// Height of its top above the crest's elevation, metres.
    pub above_m: f64,
    /// Flow over it, cubic metres a second; nothing where it stands dry.
    pub flow_m3_s: f64,
    /// That flow as a share of what its width would take of the whole.
    pub of_even_share: f64,
}

/// Where a crest stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stands {
    pub(super) crest: CrestPlace,
    pub(super) at_m: [f64; 3],
    pub(super) toward: [f64; 2],
}

/// What edges at crests stand above the water by, by the site's limits.
pub(crate) fn allowance(limits: &Limits) -> EdgeAllowance {
    EdgeAllowance { least_m: limits.edge_stone_m, share_of_head: limits.edge_stone_share }
}

/// A fall's crest: of stone, as long in the direction of flow as some heads.
pub(super) fn fall_crest(fall: &Fall) -> Known<Crest> {
    let crest = if fall.parts.is_empty() {
        Crest::level(fall.crest_m, fall.crest_width_m, CrestForm::Broad)
    } else {
        Crest::uneven(&outline(fall.crest_m, &fall.parts), CrestForm::Broad)
    };
    crest.map_err(Unknown::because)
}

/// Parts side by side as one line across.
fn outline(crest_m: f64, parts: &[CrestPart]) -> Vec<[f64; 2]> {
    let mut line = Vec::with_capacity(2 * parts.len());
    let mut across_m = 0.0;
    for part in parts {
        let top_m = crest_m + part.above_m;
        line.push([across_m, top_m]);
        line.push([across_m + (part.width_m - STEP_M).max(STEP_M), top_m]);
        across_m += part.width_m.max(2.0 * STEP_M);
    }
    line
}

/// What a running fall amounts to.
pub(super) fn outcome(
    stands: Stands,
    (crest, parts): (&Crest, Vec<PartFlow>),
    fall: &RunningFall,
    limits: &Limits,
) -> CrestOutcome {
    let splash = SplashMargin { least_m: limits.splash_m, share_of_drop: limits.splash_share };
    let drop_m = (fall.drop_m > 0.0).then_some(fall.drop_m);
    let landed = fall.falling.as_ref().zip(drop_m);
    let liner = landed.and_then(|(falling, drop_m)| landing(falling, drop_m, 0.0, splash).ok());
    CrestOutcome {
        drop_m,
        comes_down: fall.falling.map(|falling| falling.kind),
        throw_m: fall.falling.map(|falling| falling.throw_m),
        liner_needed_m: liner.map(|landing| landing.liner_needed_m),
        ..over(stands, (crest, parts), &fall.over)
    }
}

/// What water over a crest amounts to when nothing is known of what lies below.
pub(super) fn over(
    stands: Stands,
    (crest, parts): (&Crest, Vec<PartFlow>),
    over: &OverCrest,
) -> CrestOutcome {
    CrestOutcome {
        crest: stands.crest,
        at_m: stands.at_m,
        toward: stands.toward,
        width_m: crest.width_m(),
        flow_m3_s: over.flow_m3_s,
        head_m: over.head_m,
        brink_m: over.brink_depth_m,
        edge_above_crest_m: over.edge_above_crest_m,
        drop_m: None,
        comes_down: None,
        width_wanted_m: None,
        throw_m: None,
        liner_needed_m: None,
        parts,
        trust: over.trust,
    }
}

/// How the parts of a fall's crest share a flow at one level upstream.
pub(super) fn parts(fall: &Fall, flow_m3_s: f64) -> Known<Vec<PartFlow>> {
    let crest = |part: &CrestPart| {
        Crest::level(fall.crest_m + part.above_m, part.width_m, CrestForm::Broad)
    };
    let crests = fall.parts.iter().map(crest).collect::<Result<Vec<_>, _>>();
    let crests = crests.map_err(Unknown::because)?;
    if crests.is_empty() {
        return Ok(Vec::new());
    }
    let shared: Vec<SharedCrest<'_>> =
        crests.iter().map(|crest| SharedCrest { crest, below_m: None }).collect();
    let shared = share_crests(&shared, flow_m3_s, EdgeAllowance::default());
    let shared = shared.map_err(Unknown::because)?;
    let whole_m: f64 = fall.parts.iter().map(|part| part.width_m).sum();
    let part = |(part, over): (&CrestPart, &Option<OverCrest>)| {
        let own_m3_s = over.map_or(0.0, |over| over.flow_m3_s);
        PartFlow {
            width_m: part.width_m,
            above_m: part.above_m,
            flow_m3_s: own_m3_s,
            of_even_share: own_m3_s / (flow_m3_s * part.width_m / whole_m),
        }
    };
    Ok(fall.parts.iter().zip(&shared.crests).map(part).collect())
}
