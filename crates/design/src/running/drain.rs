//! Drains under liners: what the ground brings to each, and what it carries to its outlet.

use site::{Site, WorkId};
use water::{DrainPipe, drain, seepage_m3_s};

use super::{Known, Unknown};
use crate::Evaluation;
use crate::checks::Seen;
use crate::checks::groundwater_lifts_liner::{UnderDrain, under_drains};

/// Manning's n of corrugated pipe, from memory: 0.015 to 0.025.
const CORRUGATED_N: f64 = 0.02;
/// Groundwater comes up through the ground at no more than its head for each metre of way: the safe side.
const GRADIENT: f64 = 1.0;
/// Inside diameter of the narrowest drain that is laid under a liner, metres: 4 in, common practice.
pub(crate) const NARROWEST_M: f64 = 0.1016;
/// Inside diameters of common corrugated pipe, metres: 4 to 15 in; from memory.
const SIZES_M: [f64; 6] = [NARROWEST_M, 0.1524, 0.2032, 0.254, 0.3048, 0.381];
/// Inside of corrugated pipe as a share of its outside, which is what a trench holds: 4 in is 4.6 in
/// outside; from memory.
const INSIDE_SHARE: f64 = 0.87;
/// Seconds in an hour, millimetres in a metre.
const MM_H_IN_M_S: f64 = 3.6e6;

/// A drain under a pond's liner.
#[derive(Clone, Debug, PartialEq)]
pub struct DrainOutcome {
    /// The trench in which it lies.
    pub work: WorkId,
    /// The pond above it.
    pub pond: WorkId,
    /// Its highest invert under the liner, metres.
    pub invert_m: f64,
    /// Its end, local metres east, north, and its invert there.
    pub outlet_m: [f64; 3],
    /// Whether it falls all the way to that end, and the end stands in the open or at a lower drain.
    pub is_open: bool,
    /// Fall from under the liner to its end, metres for each metre.
    pub fall: Known<f64>,
    /// What the ground brings to it, cubic metres a second: the loosest soil of the site over the liner's
    /// whole area.
    pub brought_m3_s: Known<f64>,
    /// What it carries when full, cubic metres a second.
    pub carries_m3_s: Known<f64>,
}

impl DrainOutcome {
    /// Whether it is known to carry less than comes.
    pub(crate) fn is_small(&self) -> bool {
        let carries = self.carries_m3_s.as_ref().ok().zip(self.brought_m3_s.as_ref().ok());
        carries.is_some_and(|(carries, brought)| carries < brought)
    }

    /// Whether it carries what comes, and lets it out.
    pub fn holds(&self) -> bool {
        let carries = self.carries_m3_s.as_ref().ok().zip(self.brought_m3_s.as_ref().ok());
        self.is_open && carries.is_some_and(|(carries, brought)| carries >= brought)
    }
}

/// The drains under all ponds of an evaluated site.
pub(super) fn drains(site: &Site, evaluation: &Evaluation) -> Vec<DrainOutcome> {
    let seen = Seen::new(site, evaluation);
    under_drains(&seen)
        .into_iter()
        .map(|(pond, area_m2, under)| outcome(site, pond, area_m2, &under))
        .collect()
}

/// What is told of a drain under a pond whose liner covers an area on plan, square metres.
pub(crate) fn outcome(site: &Site, pond: WorkId, area_m2: f64, under: &UnderDrain) -> DrainOutcome {
    let [_, _, outlet_m] = under.end_m;
    DrainOutcome {
        work: under.trench,
        pond,
        invert_m: under.invert_m,
        outlet_m: under.end_m,
        is_open: under.falls,
        fall: if under.way_m > 0.0 {
            Ok((under.leaves_m - outlet_m) / under.way_m)
        } else {
            Err(Unknown("it ends under the liner".into()))
        },
        brought_m3_s: brought_m3_s(site, area_m2),
        carries_m3_s: carries_m3_s(
            INSIDE_SHARE * under.pipe_m,
            under.way_m,
            [under.leaves_m, outlet_m],
        ),
    }
}

/// The common pipe, inside diameter in metres, that carries a flow when it falls so much for each metre;
/// none where even the widest carries less.
pub(crate) fn pipe_for(flow_m3_s: f64, fall: f64) -> Option<f64> {
    let carries = |pipe_m: &f64| carries_m3_s(*pipe_m, 1.0, [fall, 0.0]);
    SIZES_M.into_iter().find(|pipe_m| carries(pipe_m).is_ok_and(|most| most >= flow_m3_s))
}

/// The outside diameter of corrugated pipe by its inside, metres.
pub(crate) fn outside_m(inside_m: f64) -> f64 {
    inside_m / INSIDE_SHARE
}

/// What a pipe carries when full between its inverts, cubic metres a second.
fn carries_m3_s(diameter_m: f64, length_m: f64, [upper_m, outlet_m]: [f64; 2]) -> Known<f64> {
    let pipe = DrainPipe { diameter_m, n: CORRUGATED_N, length_m, upper_m, outlet_m };
    // The outlet stands free: whether it does is told apart.
    drain(pipe, 0.0, outlet_m).map(|drained| drained.full_m3_s).map_err(Unknown::because)
}

/// What the ground brings to a drain under a liner of an area on plan, cubic metres a second.
pub(crate) fn brought_m3_s(site: &Site, area_m2: f64) -> Known<f64> {
    let soils = site.soils.layers.iter().map(|soil| soil.infiltration_mm_h);
    let loosest = soils.reduce(f64::max).ok_or(Unknown("no soil is given".into()))?;
    seepage_m3_s(loosest / MM_H_IN_M_S, GRADIENT, area_m2).map_err(Unknown::because)
}
