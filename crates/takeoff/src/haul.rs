//! Truck loads: by the body's struck volume and by the legal payload.

use units::{Bank, Loose};

use crate::range::balance;
use crate::{Lot, OutOfRange, Soil};

/// A count that lies above a whole number by no more than this share is that whole number.
///
/// Factors are products of rounded decimals: 1,490 / 0.95 x 1.14 / 12 must be 149 loads, not 150.
const WHOLE_SHARE: f64 = 1.0e-9;

/// Less than this share of a load is raked out where it lies: no truck comes for it.
///
/// Common practice, no source: a tenth of a 6 m3 truck is ten barrows.
pub const LEAST_LOAD_SHARE: f64 = 0.1;

/// What one truck carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truck {
    struck_m3: f64,
    payload_t: f64,
}

/// Why numbers make no truck.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TruckError {
    /// The struck volume is not above zero.
    #[error("struck volume must be above 0 m3, not {0}")]
    Struck(f64),
    /// The payload is not above zero.
    #[error("payload must be above 0 t, not {0}")]
    Payload(f64),
}

/// What fills a truck first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governs {
    /// Nothing is hauled.
    None,
    /// The body is full before the payload is reached.
    Volume,
    /// The payload is reached before the body is full.
    Weight,
}

/// Spoil or import in trucks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Haul {
    /// Loose volume, of the import when the balance is below zero.
    pub loose: Loose,
    /// Mass, tonnes.
    pub mass_t: f64,
    /// Loose volume of a full load.
    pub load: Loose,
    /// Loads, the last one counted whole.
    pub loads: u32,
    /// What fills a truck first.
    pub governs: Governs,
}

/// Several materials in trucks, each hauled apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Hauls {
    /// Each material, in the order given.
    pub materials: Vec<Haul>,
    /// Loose volume of all.
    pub loose: Loose,
    /// Mass of all, tonnes.
    pub mass_t: f64,
    /// Loads of all: two materials never share a truck, so each one's last load counts whole.
    pub loads: u32,
    /// What fills most of the trucks first; weight when as many are filled by either.
    pub governs: Governs,
}

impl Truck {
    /// A truck from its struck volume in cubic metres and its legal payload in tonnes.
    ///
    /// # Errors
    /// [`TruckError`] unless both are finite and above zero.
    pub fn new(struck_m3: f64, payload_t: f64) -> Result<Self, TruckError> {
        if !(struck_m3 > 0.0 && struck_m3.is_finite()) {
            Err(TruckError::Struck(struck_m3))
        } else if !(payload_t > 0.0 && payload_t.is_finite()) {
            Err(TruckError::Payload(payload_t))
        } else {
            Ok(Self { struck_m3, payload_t })
        }
    }

    /// Loose volume of one full load of `soil`, and what fills the truck first.
    pub fn load_of(self, soil: Soil) -> (Loose, Governs) {
        let by_weight = soil.loose(Bank::from_m3(self.payload_t / soil.bank_density_t_m3()));
        if by_weight.m3() < self.struck_m3 {
            (by_weight, Governs::Weight)
        } else {
            (Loose::from_m3(self.struck_m3), Governs::Volume)
        }
    }
}

impl Governs {
    /// The word that reports write: `none`, `volume` or `weight`.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Volume => "volume",
            Self::Weight => "weight",
        }
    }
}

/// The trucks that carry `spoil` away, or bring it when it is below zero.
///
/// Loads stop at the greatest count that a `u32` holds; there is none for less than
/// [`LEAST_LOAD_SHARE`] of one.
///
/// # Errors
/// [`OutOfRange`] when the spoil is no finite number.
pub fn haul(spoil: Bank, soil: Soil, truck: Truck) -> Result<Haul, OutOfRange> {
    let moved_m3 = balance("what is hauled, m3,", spoil.m3())?.abs();
    let Lot { loose, mass_t, .. } = Lot::of(soil, Bank::from_m3(moved_m3));
    let (load, governs) = truck.load_of(soil);
    let filled = loose.m3() / load.m3();
    let loads = if filled < LEAST_LOAD_SHARE { 0 } else { whole_count(filled) };
    let governs = if loads == 0 { Governs::None } else { governs };
    Ok(Haul { loose, mass_t, load, loads, governs })
}

/// The trucks that carry materials which are not mixed: topsoil, each soil, what is brought.
///
/// ```
/// # use takeoff::{Governs, Soil, Truck, haul_apart};
/// # use units::Bank;
/// // 10 m3 at a swell of 25 % are 12.5 loose, two bodies of 8; 5 m3 of 2 t weigh 10 t, two of 8 t.
/// let (earth, stony) = (Soil::new(1.2, 0.25, 0.1)?, Soil::new(2.0, 0.5, 0.1)?);
/// let hauled = [(Bank::from_m3(10.0), earth), (Bank::from_m3(5.0), stony)];
/// let hauls = haul_apart(&hauled, Truck::new(8.0, 8.0)?)?;
/// assert_eq!((hauls.materials[0].loads, hauls.materials[0].governs), (2, Governs::Volume));
/// assert_eq!((hauls.materials[1].loads, hauls.materials[1].governs), (2, Governs::Weight));
/// assert_eq!((hauls.loads, hauls.loose.m3()), (4, 20.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when a volume is no finite number.
pub fn haul_apart(hauled: &[(Bank, Soil)], truck: Truck) -> Result<Hauls, OutOfRange> {
    let materials = hauled
        .iter()
        .map(|&(bank, soil)| haul(bank, soil, truck))
        .collect::<Result<Vec<_>, _>>()?;
    let loads_of = |governs| {
        let of_these = materials.iter().filter(|haul| haul.governs == governs);
        of_these.fold(0_u32, |sum, haul| sum.saturating_add(haul.loads))
    };
    let (by_volume, by_weight) = (loads_of(Governs::Volume), loads_of(Governs::Weight));
    let governs = match by_volume.max(by_weight) {
        0 => Governs::None,
        most if most == by_weight => Governs::Weight,
        _ => Governs::Volume,
    };
    Ok(Hauls {
        loose: Loose::from_m3(materials.iter().map(|haul| haul.loose.m3()).sum()),
        mass_t: materials.iter().map(|haul| haul.mass_t).sum(),
        loads: by_volume.saturating_add(by_weight),
        governs,
        materials,
    })
}

/// The whole number that a count takes, a hair above a whole number being that number.
pub(crate) fn whole_count(count: f64) -> u32 {
    (count * (1.0 - WHOLE_SHARE)).ceil() as u32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;
    use units::Compacted;

    use super::*;

    const CUBIC_YARD_M3: f64 = 0.9144 * 0.9144 * 0.9144;
    const POUND_T: f64 = 0.000_453_592_37;

    fn soil(swell: f64, shrink: f64) -> Soil {
        Soil::new(1.6, swell, shrink).unwrap()
    }

    fn truck_of_yards(yards: f64) -> Truck {
        Truck::new(yards * CUBIC_YARD_M3, 1.0e6).unwrap()
    }

    #[test]
    fn no_truck_comes_for_what_is_raked_out() {
        let truck = Truck::new(6.0, 1.0e6).unwrap();
        let loads = |loose_m3: f64| {
            let hauled = haul(Bank::from_m3(loose_m3 / 1.25), soil(0.25, 0.0), truck).unwrap();
            assert!((hauled.loose.m3() - loose_m3.abs()).abs() < 1e-12, "it is told all the same");
            (hauled.loads, hauled.governs)
        };
        assert_eq!(loads(0.0), (0, Governs::None));
        assert_eq!(loads(0.599), (0, Governs::None));
        assert_eq!(loads(-0.599), (0, Governs::None));
        assert_eq!(loads(0.601), (1, Governs::Volume));
        // Behind a full load the rest counts whole.
        assert_eq!(loads(6.3), (2, Governs::Volume));
    }

    /// S-01, construction estimating textbook ex. 9-2: 1,000 bank yd3 at 30 % in 7 yd3 trucks are
    /// 1,300 loose and 186 loads.
    #[test]
    fn bank_to_loose_to_loads() {
        let haul =
            haul(Bank::from_m3(1000.0 * CUBIC_YARD_M3), soil(0.30, 0.0), truck_of_yards(7.0))
                .unwrap();
        assert!((haul.loose.m3() / CUBIC_YARD_M3 - 1300.0).abs() < 1e-9);
        assert_eq!((haul.loads, haul.governs), (186, Governs::Volume));
    }

    /// S-02, same book ex. 9-3: 87 loads at 7 yd3 (recomputed).
    #[test]
    fn compacted_need_is_hauled_loose() {
        let soil = soil(0.15, 0.05);
        let need = soil.spoil(Bank::from_m3(0.0), Compacted::from_m3(500.0 * CUBIC_YARD_M3));
        assert!(need.m3() < 0.0);
        assert_eq!(haul(need, soil, truck_of_yards(7.0)).unwrap().loads, 87);
    }

    /// S-03, textbook exercise, worked answer: 1,490 compacted at 95 %, swell 14 %, 12 yd3 trucks:
    /// 1,568.4 bank, 1,788 loose, 149 loads, exactly on the whole number.
    #[test]
    fn a_whole_number_of_loads_stays_whole() {
        let soil = soil(0.14, 0.05);
        let bank = soil.bank_of_compacted(Compacted::from_m3(1490.0));
        assert!((bank.m3() - 1568.4).abs() < 0.05);
        let truck = Truck::new(12.0, 1.0e6).unwrap();
        let by_book = haul(bank, soil, truck).unwrap();
        assert!((by_book.loose.m3() - 1788.0).abs() < 1e-9);
        assert_eq!(by_book.loads, 149);
        let loads_of = |loose: f64| {
            haul(soil.bank_of_loose(Loose::from_m3(loose)), soil, truck).unwrap().loads
        };
        assert_eq!(loads_of(12.0 * 149.000_000_1), 149);
        assert_eq!(loads_of(12.0 * 149.000_01), 150);
        assert_eq!(loads_of(12.0 * LEAST_LOAD_SHARE * 1.000_01), 1);
    }

    /// S-05 and S-07, TM 9-2320-366-10-1 table 2-15: a 5.19 yd3 body of dry loose earth at 2,025
    /// lb/yd3 holds 10,510 lb, beyond the 4.5 yd3 allowed; gravel at 2,970 lb/yd3 stops at 3.0.
    #[test]
    fn weight_limits_before_volume() {
        let earth = Soil::new(2025.0 * POUND_T / CUBIC_YARD_M3, 0.0, 0.0).unwrap();
        let level_lb = earth.mass_t(Bank::from_m3(5.19 * CUBIC_YARD_M3)) / POUND_T;
        assert!((level_lb - 10_510.0).abs() < 0.0005 * 10_510.0);
        let heaped_lb = earth.mass_t(Bank::from_m3(7.78 * CUBIC_YARD_M3)) / POUND_T;
        assert!((heaped_lb - 15_755.0).abs() < 0.0005 * 15_755.0);
        let truck = Truck::new(5.19 * CUBIC_YARD_M3, 4.5 * 2025.0 * POUND_T).unwrap();
        let (load, governs) = truck.load_of(earth);
        assert!((load.m3() / CUBIC_YARD_M3 - 4.5).abs() < 1e-9);
        assert_eq!(governs, Governs::Weight);
        let gravel = Soil::new(2970.0 * POUND_T / CUBIC_YARD_M3, 0.0, 0.0).unwrap();
        let (load, governs) = truck.load_of(gravel);
        assert!((load.m3() / CUBIC_YARD_M3 - 3.07).abs() < 0.005);
        assert_eq!(governs, Governs::Weight);
    }

    #[test]
    fn a_swollen_soil_is_weighed_by_its_bank() {
        let truck = Truck::new(7.6, 12.0).unwrap();
        let (load, governs) = truck.load_of(soil(0.25, 0.1));
        assert_eq!(governs, Governs::Volume);
        assert_eq!(load.m3(), 7.6);
        let ten = haul(Bank::from_m3(100.0), Soil::new(2.0, 0.25, 0.1).unwrap(), truck).unwrap();
        assert_eq!((ten.loads, ten.governs, ten.mass_t), (17, Governs::Weight, 200.0));
    }

    #[test]
    fn nothing_to_haul_takes_no_truck() {
        let none = haul(Bank::from_m3(0.0), soil(0.25, 0.1), truck_of_yards(7.0)).unwrap();
        assert_eq!((none.loads, none.governs), (0, Governs::None));
        assert!(Truck::new(0.0, 1.0).is_err() && Truck::new(1.0, f64::NAN).is_err());
    }

    /// 149 loads and 1e-7 of one are 149, and the whole of two such materials 298.
    #[test]
    fn each_material_keeps_its_whole_loads() {
        let truck = Truck::new(12.0, 1.0e6).unwrap();
        let soil = soil(0.0, 0.0);
        let both = [(Bank::from_m3(12.0 * 149.000_000_1), soil); 2];
        assert_eq!(haul_apart(&both, truck).unwrap().loads, 298);
        let halves = [(Bank::from_m3(6.0), soil), (Bank::from_m3(-6.0), soil)];
        assert_eq!(haul_apart(&halves, truck).unwrap().loads, 2);
        let none = haul_apart(&[], truck).unwrap();
        assert_eq!((none.loads, none.governs, none.loose.m3()), (0, Governs::None, 0.0));
    }

    #[test]
    fn what_is_no_volume_takes_no_truck() {
        for no_number in [f64::NAN, f64::INFINITY] {
            assert!(haul(Bank::from_m3(no_number), soil(0.25, 0.1), truck_of_yards(7.0)).is_err());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(32), ..ProptestConfig::default() })]

        #[test]
        fn loads_hold_all_and_no_more_than_they_must(
            hauled in prop::collection::vec((-300.0..300.0f64, 0.2..4.0f64, 0.0..1.0f64), 0..6),
            (struck, payload) in (0.05..20.0f64, 0.05..20.0f64),
        ) {
            let truck = Truck::new(struck, payload).unwrap();
            let hauled: Vec<_> = hauled.iter().map(|&(m3, density, swell)| {
                (Bank::from_m3(m3), Soil::new(density, swell, 0.1).unwrap())
            }).collect();
            let hauls = haul_apart(&hauled, truck).unwrap();
            let sum = |part: &dyn Fn(&Haul) -> f64| hauls.materials.iter().map(part).sum::<f64>();
            prop_assert_eq!(hauls.loads, hauls.materials.iter().map(|h| h.loads).sum::<u32>());
            prop_assert!((sum(&|h| h.loose.m3()) - hauls.loose.m3()).abs() < 1e-9);
            prop_assert!((sum(&|h| h.mass_t) - hauls.mass_t).abs() < 1e-9);
            for (haul, (_, soil)) in hauls.materials.iter().zip(&hauled) {
                let full = f64::from(haul.loads) * haul.load.m3();
                prop_assert!(full > haul.loose.m3() * (1.0 - 2.0 * WHOLE_SHARE));
                prop_assert!(full - haul.load.m3() < haul.loose.m3());
                prop_assert!(haul.load.m3() <= struck);
                prop_assert!(soil.mass_t(soil.bank_of_loose(haul.load)) <= payload * (1.0 + 1e-12));
            }
        }
    }
}
