//! Trucks that keep the machine busy, and the days that the hauling takes.

use site::Site;
use takeoff::{Prices, Shift, TruckCycle};

use crate::Evaluation;

/// The trucks of a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckOutcome {
    /// Loads of both materials.
    pub loads: u32,
    /// Time under the machine, minutes.
    pub load_min: f64,
    /// Trucks that keep the machine busy; never more than there are loads.
    pub trucks: u32,
    /// Days of work with so many trucks.
    pub days: f64,
}

/// The part of an hour that is worked: 50 minutes of 60 (FM 5-434, from memory).
pub(super) const WORKING_SHARE: f64 = 50.0 / 60.0;

const MINUTE_S: f64 = 60.0;
const HOUR_S: f64 = 3600.0;

/// What is hauled at the site's pace; none where nothing is, or its numbers cannot be.
pub(super) fn trucks(site: &Site, evaluation: &Evaluation) -> Option<TruckOutcome> {
    let loads = evaluation.haul.loads? + evaluation.haul.topsoil_loads?;
    let haul = &site.haul;
    let cycle = TruckCycle {
        load_s: HOUR_S * haul.struck_m3 / haul.load_m3_h,
        haul_s: MINUTE_S * haul.round_trip_min,
        // The round is told whole, from full to back at the machine.
        dump_s: 0.0,
        return_s: 0.0,
    };
    let trucks = cycle.trucks_to_keep_busy().ok()?.min(loads);
    let shift = Shift { hours_per_day: haul.day_h, working_share: WORKING_SHARE };
    let job = cycle.job(loads, trucks, shift, Prices::default()).ok()?;
    Some(TruckOutcome { loads, load_min: cycle.load_s / MINUTE_S, trucks, days: job.days })
}
