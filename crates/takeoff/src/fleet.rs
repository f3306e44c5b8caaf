//! Trucks on the road and the excavator that loads them: cycle, match, days, cost.

use units::Loose;

use crate::OutOfRange;
use crate::haul::whole_count;
use crate::range::{not_negative, positive, some_share, up_to};

/// One truck's round, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckCycle {
    /// Under the excavator.
    pub load_s: f64,
    /// To the tip, loaded.
    pub haul_s: f64,
    /// At the tip.
    pub dump_s: f64,
    /// Back, and into place.
    pub return_s: f64,
}

/// The bucket that loads a truck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bucket {
    /// Struck volume.
    pub struck: Loose,
    /// The part of it that is filled on average, above 0 to 1.5; more than 1 is heaped.
    pub fill_share: f64,
    /// Time of one swing from the dig to the truck and back, seconds.
    pub swing_s: f64,
}

/// Working time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// Hours in a day.
    pub hours_per_day: f64,
    /// The part of an hour that is worked, above 0 to 1.
    ///
    /// 50 minutes of 60 is common practice (FM 5-434, from memory).
    pub working_share: f64,
}

/// Prices, in one currency.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Prices {
    /// Excavator with its driver, a day.
    pub excavator_per_day: f64,
    /// One truck with its driver, a day.
    pub truck_per_day: f64,
    /// Tipping fee or price of what is brought, a load.
    pub per_load: f64,
}

/// So many trucks on a number of loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FleetJob {
    /// Trucks at a time over the excavator's: below 1 it waits, above 1 they wait.
    pub match_factor: f64,
    /// Loads carried in an hour, pauses included.
    pub loads_per_hour: f64,
    /// Days of work, with their part.
    pub days: f64,
    /// Days hired, whole ones.
    pub hired_days: u32,
    /// What it costs: hired days of the excavator and all trucks, and the loads.
    pub cost: f64,
}

/// Why a fleet cannot be reckoned.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FleetError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// No truck is there to carry the loads.
    #[error("a fleet needs 1 truck or more")]
    NoTruck,
}

impl Bucket {
    /// Time to fill a load: whole bucketfuls, each one swing.
    ///
    /// ```
    /// # use takeoff::Bucket;
    /// # use units::Loose;
    /// // 7.6 m3 in bucketfuls of 0.8 x 0.9 = 0.72: 10.6, so 11 swings of 20 s.
    /// let bucket = Bucket { struck: Loose::from_m3(0.8), fill_share: 0.9, swing_s: 20.0 };
    /// assert_eq!(bucket.load_s(Loose::from_m3(7.6))?, 220.0);
    /// # Ok::<(), takeoff::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] unless every number is above zero and the fill share at most 1.5.
    ///
    /// # Source
    /// Common practice of estimating; the count of swings is rounded up because a part of a bucket
    /// takes a whole swing.
    pub fn load_s(self, load: Loose) -> Result<f64, OutOfRange> {
        let load_m3 = positive("a load, m3,", load.m3())?;
        let struck_m3 = positive("the bucket's struck volume, m3,", self.struck.m3())?;
        let fill = ("the part of the bucket that is filled", self.fill_share);
        let fill_share = up_to(1.5, "above 0 and at most 1.5 as a share", fill)?;
        let swing_s = positive("the time of a swing, s,", self.swing_s)?;
        Ok(f64::from(whole_count(load_m3 / (struck_m3 * fill_share))) * swing_s)
    }
}

impl TruckCycle {
    /// One whole round, seconds.
    ///
    /// # Errors
    /// [`OutOfRange`] when loading takes no time or another part less than none.
    pub fn total_s(self) -> Result<f64, OutOfRange> {
        Ok(positive("the time to load, s,", self.load_s)?
            + not_negative("the time of the haul, s,", self.haul_s)?
            + not_negative("the time at the tip, s,", self.dump_s)?
            + not_negative("the time of the return, s,", self.return_s)?)
    }

    /// The trucks that keep the excavator busy: a round over the time to load, rounded up.
    ///
    /// ```
    /// # use takeoff::TruckCycle;
    /// // 4 min to load, 26 in all: 6.5, so 7 trucks; 6 leave the excavator waiting.
    /// let cycle = TruckCycle { load_s: 240.0, haul_s: 660.0, dump_s: 120.0, return_s: 540.0 };
    /// assert_eq!(cycle.trucks_to_keep_busy()?, 7);
    /// # Ok::<(), takeoff::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] as [`TruckCycle::total_s`].
    ///
    /// # Source
    /// FM 5-434, *Earthmoving Operations*, number of haul units; from memory.
    pub fn trucks_to_keep_busy(self) -> Result<u32, OutOfRange> {
        Ok(whole_count(self.total_s()? / self.load_s))
    }

    /// What `n_trucks` need for `loads`, loaded by one excavator.
    ///
    /// The slower side sets the pace: the excavator at one load in the time to load, or the trucks
    /// at as many loads a round as there are trucks. The match factor is trucks times the time to
    /// load over the round. Machines are hired by the whole day.
    ///
    /// # Errors
    /// [`FleetError`] when there is no truck or a number is out of range.
    ///
    /// # Source
    /// The match factor of trucks and loaders as earthmoving books define it; from memory.
    pub fn job(
        self,
        loads: u32,
        n_trucks: u32,
        shift: Shift,
        prices: Prices,
    ) -> Result<FleetJob, FleetError> {
        if n_trucks == 0 {
            return Err(FleetError::NoTruck);
        }
        let round_s = self.total_s()?;
        let n_trucks = f64::from(n_trucks);
        let worked_s = 3600.0 * some_share("the working part of an hour", shift.working_share)?;
        let day = ("a working day, h,", shift.hours_per_day);
        let hours_per_day = up_to(24.0, "above 0 and at most 24", day)?;
        let match_factor = n_trucks * self.load_s / round_s;
        let loads_per_hour = worked_s / self.load_s * match_factor.min(1.0);
        let days = f64::from(loads) / loads_per_hour / hours_per_day;
        let hired_days = whole_count(days);
        let cost = f64::from(hired_days) * prices.per_day(n_trucks)?
            + f64::from(loads) * not_negative("the price of a load", prices.per_load)?;
        Ok(FleetJob { match_factor, loads_per_hour, days, hired_days, cost })
    }
}

impl Prices {
    fn per_day(self, n_trucks: f64) -> Result<f64, OutOfRange> {
        let excavator = not_negative("the excavator's price a day", self.excavator_per_day)?;
        Ok(excavator + n_trucks * not_negative("a truck's price a day", self.truck_per_day)?)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn cycle() -> TruckCycle {
        TruckCycle { load_s: 240.0, haul_s: 660.0, dump_s: 120.0, return_s: 540.0 }
    }

    fn shift() -> Shift {
        Shift { hours_per_day: 8.0, working_share: 50.0 / 60.0 }
    }

    /// Worked exam solution (a restated one): 12 yd3 at 95 yd3/h, 7 miles at 30 and 40 mph, 3 min at
    /// the tip: 0.126 + 0.233 + 0.050 + 0.175 = 0.584 h; 4.6 times the load, so 5 trucks (recomputed).
    #[test]
    fn a_round_and_its_trucks() {
        let hour_s = 3600.0;
        let round = TruckCycle {
            load_s: 12.0 / 95.0 * hour_s,
            haul_s: 7.0 / 30.0 * hour_s,
            dump_s: 3.0 / 60.0 * hour_s,
            return_s: 7.0 / 40.0 * hour_s,
        };
        assert!((round.total_s().unwrap() / hour_s - 0.584).abs() < 0.001);
        assert_eq!(round.trucks_to_keep_busy(), Ok(5));
        let whole = TruckCycle { load_s: 0.1, haul_s: 0.1, dump_s: 0.1, return_s: 0.0 };
        assert_eq!(whole.trucks_to_keep_busy(), Ok(3));
    }

    /// Seven trucks: the excavator's pace, 3000 / 240 = 12.5 loads an hour, 100 in a day of 8 h. Two:
    /// 2 / 1560 s, 3.846 an hour, 250 loads in 8.125 days.
    #[test]
    fn the_slower_side_sets_the_pace() {
        let prices = Prices { excavator_per_day: 700.0, truck_per_day: 500.0, per_load: 80.0 };
        let seven = cycle().job(250, 7, shift(), prices).unwrap();
        assert!((seven.loads_per_hour - 12.5).abs() < 1e-12);
        assert!((seven.match_factor - 7.0 * 240.0 / 1560.0).abs() < 1e-12);
        assert_eq!((seven.days, seven.hired_days), (2.5, 3));
        assert_eq!(seven.cost, 3.0 * (700.0 + 7.0 * 500.0) + 250.0 * 80.0);
        let two = cycle().job(250, 2, shift(), prices).unwrap();
        assert!((two.days - 8.125).abs() < 1e-9);
        assert_eq!((two.hired_days, two.cost), (9, 9.0 * 1700.0 + 20_000.0));
        let day = cycle().job(100, 7, shift(), prices).unwrap();
        assert_eq!(day.hired_days, 1);
        let none = cycle().job(0, 7, shift(), prices).unwrap();
        assert_eq!((none.days, none.cost), (0.0, 0.0));
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        let of = |cycle: TruckCycle, shift, prices| cycle.job(10, 2, shift, prices);
        let (good, prices) = (cycle(), Prices::default());
        assert!(of(TruckCycle { load_s: 0.0, ..good }, shift(), prices).is_err());
        assert!(of(TruckCycle { haul_s: f64::NAN, ..good }, shift(), prices).is_err());
        assert!(of(TruckCycle { dump_s: -1.0, ..good }, shift(), prices).is_err());
        assert!(of(TruckCycle { return_s: f64::INFINITY, ..good }, shift(), prices).is_err());
        assert!(of(good, Shift { hours_per_day: 25.0, ..shift() }, prices).is_err());
        assert!(of(good, Shift { working_share: 0.0, ..shift() }, prices).is_err());
        for bad in [-1.0, f64::NAN] {
            assert!(of(good, shift(), Prices { excavator_per_day: bad, ..prices }).is_err());
            assert!(of(good, shift(), Prices { truck_per_day: bad, ..prices }).is_err());
            assert!(of(good, shift(), Prices { per_load: bad, ..prices }).is_err());
        }
        assert_eq!(cycle().job(10, 0, shift(), prices), Err(FleetError::NoTruck));
        let bucket = Bucket { struck: Loose::from_m3(0.8), fill_share: 1.6, swing_s: 20.0 };
        assert!(bucket.load_s(Loose::from_m3(7.6)).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(37), ..ProptestConfig::default() })]

        /// With the trucks that keep it busy the excavator never waits; with one less it does.
        #[test]
        fn the_match_is_the_least_that_is_enough(
            times in prop::array::uniform4(30.0..3000.0f64),
            loads in 1..500_u32,
        ) {
            let [load_s, haul_s, dump_s, return_s] = times;
            let cycle = TruckCycle { load_s, haul_s, dump_s, return_s };
            let enough = cycle.trucks_to_keep_busy().unwrap();
            let of = |n| cycle.job(loads, n, shift(), Prices::default()).unwrap();
            prop_assert!(of(enough).match_factor >= 1.0 - 1e-8);
            prop_assert!(enough == 1 || of(enough - 1).match_factor < 1.0);
            prop_assert!(of(enough + 1).days >= of(enough).days * (1.0 - 1e-8));
            prop_assert!(of(enough).days <= of(1).days);
            prop_assert!(f64::from(of(enough).hired_days) >= of(enough).days * (1.0 - 1e-8));
        }
    }
}
