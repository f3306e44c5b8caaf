//! How the earth is handled on the site: heaped, carried, and loaded on trucks.
//!
//! Reckoned apart from [`evaluate`](crate::evaluate), when a report asks for it: no check and no
//! drawing hangs on it.

mod carries;
mod heaps;
mod places;
mod trucks;

use site::Site;
use units::Bank;

use crate::Evaluation;

pub(crate) use carries::passing;
pub use carries::{Carried, CarryOutcome, Passing};
pub use heaps::{HeapOutcome, Waiting};
pub use trucks::TruckOutcome;

/// How the earth is handled on the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Handling {
    /// What must wait on the site until it is used.
    pub waiting: Waiting,
    /// What each of the site's places for heaps takes, in the site's order.
    pub heaps: Vec<HeapOutcome>,
    /// What is carried within the site; nothing where nothing moves.
    pub carries: Vec<CarryOutcome>,
    /// How the carrier passes the narrowest place of the way in.
    pub passing: Option<Passing>,
    /// The trucks and their days; none where nothing is hauled.
    pub trucks: Option<TruckOutcome>,
}

/// How the earth of an evaluated site is handled; none where the survey makes no ground or a number
/// of the site cannot be.
pub fn handling(site: &Site, evaluation: &Evaluation) -> Option<Handling> {
    evaluation.finished.as_ref()?;
    let soils = Soils::of(site, evaluation)?;
    let waiting = heaps::waiting(site, evaluation, &soils);
    let heaps = heaps::heaps(site, waiting);
    Some(Handling {
        carries: carries::carries(site, evaluation, &soils, &heaps)?,
        waiting,
        heaps,
        passing: carries::passing(site),
        trucks: trucks::trucks(site, evaluation),
    })
}

/// The two materials as one soil each.
struct Soils {
    topsoil: takeoff::Soil,
    /// Swell and density of the soils that are dug, weighed by what is dug of each.
    subsoil: takeoff::Soil,
}

impl Soils {
    fn of(site: &Site, evaluation: &Evaluation) -> Option<Self> {
        let top = &site.soils.topsoil;
        let topsoil = takeoff::Soil::new(top.bank_density_t_m3, top.swell, top.shrink).ok()?;
        let dug_m3: f64 = evaluation.soils.iter().map(|soil| soil.cut_bank_m3).sum();
        let mean = |of: fn(&site::Soil) -> f64| {
            let layers = site.soils.layers.iter();
            match dug_m3 > 0.0 {
                true => layers
                    .zip(&evaluation.soils)
                    .map(|(layer, soil)| of(layer) * soil.cut_bank_m3 / dug_m3)
                    .sum(),
                false => layers.map(of).next().unwrap_or(f64::NAN),
            }
        };
        let subsoil = takeoff::Soil::new(
            mean(|soil| soil.bank_density_t_m3),
            mean(|soil| soil.swell),
            mean(|soil| soil.shrink),
        );
        Some(Self { topsoil, subsoil: subsoil.ok()? })
    }

    /// What so much fill takes of the bank, cubic metres.
    fn bank_for_fill_m3(&self, fill_m3: f64) -> f64 {
        self.subsoil.bank_of_compacted(units::Compacted::from_m3(fill_m3)).m3()
    }

    /// What so much of the bank is when loose, cubic metres.
    fn loose_m3(soil: takeoff::Soil, bank_m3: f64) -> f64 {
        soil.loose(Bank::from_m3(bank_m3)).m3()
    }
}
