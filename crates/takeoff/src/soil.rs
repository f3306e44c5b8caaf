//! A soil's factors and the states of its earth.
//!
//! ```text
//!   bank --(1 + swell)--> loose
//!   bank --(1 - shrink)--> compacted
//! ```

use units::{Bank, Compacted, Loose};

/// How a soil's volume changes from the bank to loose and compacted, and what it weighs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Soil {
    bank_density_t_m3: f64,
    swell: f64,
    shrink: f64,
}

/// Why factors make no soil.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SoilError {
    /// The bank density is not above zero, or beyond any matter.
    #[error("bank density must be above 0 and at most 30 t/m3, not {0}")]
    Density(f64),
    /// Swell is below zero, beyond tenfold or not a number.
    #[error("swell must be 0 to 9 as a share, not {0}")]
    Swell(f64),
    /// Shrink is not a number below one, or a growth beyond tenfold.
    #[error("shrink must be -9 to below 1 as a share, not {0}")]
    Shrink(f64),
}

const MOST_DENSITY_T_M3: f64 = 30.0;
const MOST_GROWTH: f64 = 9.0;

impl Soil {
    /// A soil from its bank density in tonnes per cubic metre, its swell and its shrink as shares.
    ///
    /// Swell is loose / bank - 1; shrink is 1 - compacted / bank, below zero for blasted rock.
    ///
    /// # Errors
    /// [`SoilError`] when density is not above zero, swell below zero, shrink not below one, or one
    /// of them beyond what earth can do.
    pub fn new(bank_density_t_m3: f64, swell: f64, shrink: f64) -> Result<Self, SoilError> {
        if !(bank_density_t_m3 > 0.0 && bank_density_t_m3 <= MOST_DENSITY_T_M3) {
            Err(SoilError::Density(bank_density_t_m3))
        } else if !(0.0..=MOST_GROWTH).contains(&swell) {
            Err(SoilError::Swell(swell))
        } else if !(-MOST_GROWTH..1.0).contains(&shrink) {
            Err(SoilError::Shrink(shrink))
        } else {
            Ok(Self { bank_density_t_m3, swell, shrink })
        }
    }

    /// The same soil with other factors, each held within what a soil can be.
    pub(crate) fn with_factors(self, swell: f64, shrink: f64) -> Self {
        let swell = swell.clamp(0.0, MOST_GROWTH);
        let shrink = shrink.clamp(-MOST_GROWTH, 1.0 - f64::EPSILON);
        Self { swell, shrink, ..self }
    }

    /// Swell from the densities of one soil in the bank and loose, in one unit.
    pub fn swell_of_densities(bank_density: f64, loose_density: f64) -> f64 {
        bank_density / loose_density - 1.0
    }

    /// Share of the bank's volume by which it grows when dug.
    pub fn swell(self) -> f64 {
        self.swell
    }

    /// Share of the bank's volume that is lost when it is compacted.
    pub fn shrink(self) -> f64 {
        self.shrink
    }

    /// Density in the bank, tonnes per cubic metre.
    pub fn bank_density_t_m3(self) -> f64 {
        self.bank_density_t_m3
    }

    /// Bank volume for each loose one: 1 / (1 + swell).
    pub fn load_factor(self) -> f64 {
        1.0 / (1.0 + self.swell)
    }

    /// The loose volume of earth in the bank.
    pub fn loose(self, bank: Bank) -> Loose {
        Loose::from_m3(bank.m3() * (1.0 + self.swell))
    }

    /// The bank volume of loose earth.
    pub fn bank_of_loose(self, loose: Loose) -> Bank {
        Bank::from_m3(loose.m3() / (1.0 + self.swell))
    }

    /// The compacted volume that earth in the bank makes.
    pub fn compacted(self, bank: Bank) -> Compacted {
        Compacted::from_m3(bank.m3() * (1.0 - self.shrink))
    }

    /// The bank volume that a compacted fill takes.
    pub fn bank_of_compacted(self, compacted: Compacted) -> Bank {
        Bank::from_m3(compacted.m3() / (1.0 - self.shrink))
    }

    /// Mass of earth in the bank, tonnes.
    pub fn mass_t(self, bank: Bank) -> f64 {
        bank.m3() * self.bank_density_t_m3
    }

    /// What is left over in the bank when `cut` is dug and `fill` placed; below zero is import.
    pub fn spoil(self, cut: Bank, fill: Compacted) -> Bank {
        Bank::from_m3(cut.m3() - self.bank_of_compacted(fill).m3())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn soil(swell: f64, shrink: f64) -> Soil {
        Soil::new(1.6, swell, shrink).unwrap()
    }

    /// S-02, construction estimating textbook ex. 9-3: 500 compacted at 95 % are 526 in the bank,
    /// at a swell of 15 % 605.3 loose (the last recomputed).
    #[test]
    fn compacted_to_bank_to_loose() {
        let bank = soil(0.15, 0.05).bank_of_compacted(Compacted::from_m3(500.0));
        assert!((bank.m3() - 526.3).abs() < 0.05);
        assert!((soil(0.15, 0.05).loose(bank).m3() - 605.3).abs() < 0.05);
    }

    /// S-09, by definition (FM 5-434, from memory: clay 0.70 at 43 %); S-10: 10 in the ground, 13
    /// dug.
    #[test]
    fn load_factor_and_swell_by_definition() {
        assert!((soil(0.43, 0.1).load_factor() - 0.699).abs() < 0.0005);
        let back = soil(0.30, 0.1).loose(Bank::from_m3(10.0));
        assert!((back.m3() - 13.0).abs() < 1e-12);
    }

    /// S-04, exam-practice solution: 3,400 in the bank and 2,700 loose, swell 26 %.
    #[test]
    fn swell_from_densities() {
        assert!((Soil::swell_of_densities(3400.0, 2700.0) - 0.2593).abs() < 5e-5);
    }

    /// S-08, FM 5-434 table 1-1, from memory: loose and compacted for each one in the bank, and the
    /// table's own inverse and cross columns.
    #[test]
    fn factors_between_all_states() {
        for (loose, compacted, inverse, loose_to_compacted, compacted_to_loose) in [
            (1.11, 0.95, 0.90, 0.86, 1.17),
            (1.25, 0.90, 0.80, 0.72, 1.39),
            (1.43, 0.90, 0.70, 0.63, 1.59),
            (1.50, 1.30, 0.67, 0.87, 1.15),
        ] {
            let soil = soil(loose - 1.0, 1.0 - compacted);
            let placed = soil.compacted(soil.bank_of_loose(Loose::from_m3(1.0))).m3();
            let dug = soil.loose(soil.bank_of_compacted(Compacted::from_m3(1.0))).m3();
            assert!((soil.load_factor() - inverse).abs() < 0.01);
            assert!((placed - loose_to_compacted).abs() < 0.01);
            assert!((dug - compacted_to_loose).abs() < 0.01);
        }
    }

    /// S-08, FM 5-434 table 1-1, from memory: blasted rock 1.50 loose, 1.30 compacted.
    #[test]
    fn blasted_rock_grows_when_placed() {
        let rock = soil(0.50, -0.30);
        assert!((rock.compacted(Bank::from_m3(10.0)).m3() - 13.0).abs() < 1e-12);
        assert!((rock.load_factor() - 0.67).abs() < 0.005);
    }

    #[test]
    fn import_is_spoil_below_zero() {
        let spoil = soil(0.25, 0.10).spoil(Bank::from_m3(10.0), Compacted::from_m3(18.0));
        assert!((spoil.m3() + 10.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_soil_is_refused() {
        assert!(matches!(Soil::new(0.0, 0.2, 0.1), Err(SoilError::Density(_))));
        assert!(matches!(Soil::new(1.6, f64::NAN, 0.1), Err(SoilError::Swell(_))));
        assert!(matches!(Soil::new(1.6, 0.2, 1.0), Err(SoilError::Shrink(_))));
        assert!(matches!(Soil::new(31.0, 0.2, 0.1), Err(SoilError::Density(_))));
        assert!(matches!(Soil::new(1.6, 1e300, 0.1), Err(SoilError::Swell(_))));
        assert!(matches!(Soil::new(1.6, 0.2, -1e300), Err(SoilError::Shrink(_))));
    }
}
