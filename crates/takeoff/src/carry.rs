//! Earth carried within the site: by barrow, dumper or machine, through the access there is.
//!
//! ```text
//!   dig ── load ──► loaded, at the loaded speed ──► dump ──► empty, at the empty speed ──► dig
//! ```

use units::Bank;

use crate::haul::haul;
use crate::range::{not_negative, positive, some_share};
use crate::{Governs, OutOfRange, Soil, Truck};

/// What carries earth, and how fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carrier {
    /// Its body: struck volume and payload.
    pub body: Truck,
    /// Width over all, metres.
    pub width_m: f64,
    /// Time to load it, seconds.
    pub load_s: f64,
    /// Speed when loaded, metres per second.
    pub loaded_m_s: f64,
    /// Time to tip it, with the turning at both ends, seconds.
    pub dump_s: f64,
    /// Speed when empty, metres per second.
    pub empty_m_s: f64,
}

/// A way through: a gate, the gap beside a house.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Access {
    /// Clear width at the narrowest place, metres.
    pub width_m: f64,
    /// Room to be kept on either side of a carrier, metres.
    pub clearance_m: f64,
}

/// How a carrier's width lies in an access.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// The width it needs: its own and the clearance on both sides, metres.
    pub needed_m: f64,
    /// What the access has beyond that, metres; below zero it does not pass.
    pub spare_m: f64,
}

/// A quantity carried by one carrier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carry {
    /// Loaded trips, the last one counted whole.
    pub trips: u32,
    /// What fills the carrier first.
    pub governs: Governs,
    /// Time of one trip there and back, seconds.
    pub cycle_s: f64,
    /// Way covered in all, there and back, metres.
    pub travel_m: f64,
    /// Hours that it takes, pauses included.
    pub hours: f64,
}

/// The trips and hours in which `carrier` moves `moved` over `distance_m` each way.
///
/// `distance_m` is the average way from dig to fill, as it is driven. `working_share` is the part of
/// an hour that is worked, above 0 to 1; 50 minutes of 60 is common practice (FM 5-434, from memory).
///
/// ```
/// # use takeoff::{Carrier, Soil, Truck, carry};
/// # use units::Bank;
/// // A barrow of 0.08 m3 takes 0.064 of the bank at a swell of 25 %: 2 m3 are 31.25, so 32 trips.
/// // 90 s to load, 30 m at 0.75 m/s, 20 s to tip, 30 m at 1.0 m/s: 180 s a trip.
/// let barrow = Carrier {
///     body: Truck::new(0.08, 0.2)?,
///     width_m: 0.7,
///     load_s: 90.0,
///     loaded_m_s: 0.75,
///     dump_s: 20.0,
///     empty_m_s: 1.0,
/// };
/// let earth = Soil::new(1.6, 0.25, 0.1)?;
/// let carried = carry(Bank::from_m3(2.0), earth, barrow, 30.0, 0.8)?;
/// assert_eq!((carried.trips, carried.cycle_s, carried.travel_m), (32, 180.0, 1920.0));
/// assert!((carried.hours - 2.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a volume, distance or time below zero, a speed that is not above zero, or a
/// working share outside 0 to 1.
///
/// # Source
/// The cycle of hauling units in earthmoving manuals (FM 5-434, from memory): fixed times and the
/// distance over the speed, loaded and empty.
pub fn carry(
    moved: Bank,
    soil: Soil,
    carrier: Carrier,
    distance_m: f64,
    working_share: f64,
) -> Result<Carry, OutOfRange> {
    not_negative("what is carried, m3,", moved.m3())?;
    let distance_m = not_negative("the distance each way, m,", distance_m)?;
    let working_share = some_share("the working part of an hour", working_share)?;
    let cycle_s = carrier.cycle_s(distance_m)?;
    let haul = haul(moved, soil, carrier.body)?;
    let trips = f64::from(haul.loads);
    Ok(Carry {
        trips: haul.loads,
        governs: haul.governs,
        cycle_s,
        travel_m: trips * 2.0 * distance_m,
        hours: trips * cycle_s / 3600.0 / working_share,
    })
}

impl Carrier {
    /// Time of one trip there and back over `distance_m` each way, seconds.
    ///
    /// # Errors
    /// [`OutOfRange`] for a distance or time below zero or a speed that is not above zero.
    pub fn cycle_s(self, distance_m: f64) -> Result<f64, OutOfRange> {
        let distance_m = not_negative("the distance each way, m,", distance_m)?;
        let load_s = not_negative("the time to load, s,", self.load_s)?;
        let dump_s = not_negative("the time to tip, s,", self.dump_s)?;
        let loaded_s = distance_m / positive("the speed when loaded, m/s,", self.loaded_m_s)?;
        let empty_s = distance_m / positive("the speed when empty, m/s,", self.empty_m_s)?;
        Ok(load_s + loaded_s + dump_s + empty_s)
    }
}

impl Access {
    /// How a carrier of `width_m` lies in this access.
    ///
    /// A width with nothing to spare passes. Measure the narrowest place, at the height of the
    /// machine's widest part; a load may overhang, and people beside a machine need room of their own.
    ///
    /// ```
    /// # use takeoff::Access;
    /// let gate = Access { width_m: 1.2, clearance_m: 0.1 };
    /// assert!(gate.passage(0.95)?.passes());
    /// assert!(!gate.passage(1.05)?.passes());
    /// # Ok::<(), takeoff::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] when a width is not above zero or the clearance below zero.
    pub fn passage(self, width_m: f64) -> Result<Passage, OutOfRange> {
        let access_m = positive("the width of the access, m,", self.width_m)?;
        let clearance_m = not_negative("the clearance, m,", self.clearance_m)?;
        let needed_m = positive("the width of the carrier, m,", width_m)? + 2.0 * clearance_m;
        Ok(Passage { needed_m, spare_m: access_m - needed_m })
    }

    /// Every carrier's place in the list that passes this access, in order.
    ///
    /// # Errors
    /// [`OutOfRange`] as [`Access::passage`].
    pub fn passing(self, carriers: &[Carrier]) -> Result<Vec<usize>, OutOfRange> {
        let passages = carriers
            .iter()
            .map(|carrier| self.passage(carrier.width_m))
            .collect::<Result<Vec<_>, _>>()?;
        Ok((0..passages.len()).filter(|&i| passages[i].passes()).collect())
    }
}

/// Widths are sums of rounded decimals: a micrometre over is no lack of room.
const WIDTH_ROUNDING_M: f64 = 1.0e-6;

impl Passage {
    /// Whether the carrier passes.
    pub fn passes(self) -> bool {
        self.spare_m >= -WIDTH_ROUNDING_M
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn dumper() -> Carrier {
        Carrier {
            body: Truck::new(0.5, 0.8).unwrap(),
            width_m: 0.98,
            load_s: 120.0,
            loaded_m_s: 1.0,
            dump_s: 30.0,
            empty_m_s: 1.5,
        }
    }

    fn earth() -> Soil {
        Soil::new(1.6, 0.25, 0.1).unwrap()
    }

    /// 0.5 m3 loose weigh 0.64 t, under 0.8; 20 m3 are 25 loose and 50 trips of 120 + 60 + 30 + 40 s.
    #[test]
    fn a_dumper_by_hand() {
        let carried = carry(Bank::from_m3(20.0), earth(), dumper(), 60.0, 1.0).unwrap();
        assert_eq!((carried.trips, carried.governs), (50, Governs::Volume));
        assert_eq!((carried.cycle_s, carried.travel_m), (250.0, 6000.0));
        assert!((carried.hours - 50.0 * 250.0 / 3600.0).abs() < 1e-12);
        let light = Carrier { body: Truck::new(0.5, 0.32).unwrap(), ..dumper() };
        let by_weight = carry(Bank::from_m3(20.0), earth(), light, 60.0, 1.0).unwrap();
        assert_eq!((by_weight.trips, by_weight.governs), (100, Governs::Weight));
    }

    #[test]
    fn the_narrow_ones_pass() {
        let widths = [0.7, 1.0, 1.1, 0.98];
        let carriers = widths.map(|width_m| Carrier { width_m, ..dumper() });
        let gate = Access { width_m: 1.2, clearance_m: 0.1 };
        assert_eq!(gate.passing(&carriers), Ok(vec![0, 1, 3]));
        let tight = gate.passage(1.1).unwrap();
        assert!((tight.needed_m - 1.3).abs() < 1e-12 && (tight.spare_m + 0.1).abs() < 1e-12);
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        let of = |m3, carrier, m, share| carry(Bank::from_m3(m3), earth(), carrier, m, share);
        assert!(
            of(f64::NAN, dumper(), 60.0, 1.0).is_err() && of(-1.0, dumper(), 60.0, 1.0).is_err()
        );
        assert!(of(1.0, dumper(), -60.0, 1.0).is_err() && of(1.0, dumper(), 60.0, 0.0).is_err());
        let bad = [
            Carrier { load_s: -1.0, ..dumper() },
            Carrier { dump_s: f64::NAN, ..dumper() },
            Carrier { loaded_m_s: 0.0, ..dumper() },
            Carrier { empty_m_s: f64::INFINITY, ..dumper() },
        ];
        assert!(bad.iter().all(|&carrier| of(1.0, carrier, 60.0, 1.0).is_err()));
        assert!(Access { width_m: 0.0, clearance_m: 0.1 }.passage(1.0).is_err());
        assert!(Access { width_m: 1.0, clearance_m: -0.1 }.passage(1.0).is_err());
        assert!(Access { width_m: 1.0, clearance_m: 0.1 }.passage(f64::NAN).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(36), ..ProptestConfig::default() })]

        #[test]
        fn farther_and_more_takes_longer(
            (moved, more) in (0.0..50.0f64, 0.0..50.0f64),
            (distance, farther) in (0.0..300.0f64, 0.0..300.0f64),
            working_share in 0.3..1.0f64,
        ) {
            let of = |m3, m| carry(Bank::from_m3(m3), earth(), dumper(), m, working_share).unwrap();
            prop_assert!(of(moved + more, distance).hours >= of(moved, distance).hours);
            prop_assert!(of(moved, distance + farther).hours >= of(moved, distance).hours);
            let one = of(moved, distance);
            prop_assert!(f64::from(one.trips) * 0.5 >= moved * 1.25 * (1.0 - 1e-8));
            let half = carry(Bank::from_m3(moved), earth(), dumper(), distance, working_share / 2.0).unwrap();
            prop_assert!((half.hours - 2.0 * one.hours).abs() < 1e-9 * (1.0 + half.hours));
        }
    }
}
