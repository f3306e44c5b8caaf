//! Neat, dug and paid volumes: what the drawing holds, what the machine takes, what is billed.
//!
//! ```text
//!            ground ─────┐         backcut: work width w, then the slope of the cut
//!                  slope  \__w__▐
//!                          \    ▐ wall, height h
//!             h·r ──────────\___▐        area = h·w + h²·r / 2
//! ```

use units::Bank;

use crate::OutOfRange;
use crate::range::not_negative;

/// What is dug beyond the neat volume, for lack of a machine that cuts to a hair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverDig {
    /// Area that is dug to level, square metres.
    pub area_m2: f64,
    /// Depth below the drawn one, metres; 0.05 to 0.15 is common practice.
    pub depth_m: f64,
}

/// Room that is dug behind a wall to build it, and filled again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Backcut {
    /// Length of the wall, metres.
    pub length_m: f64,
    /// Exposed height, metres; with the embedment where the footing is dug from the same side.
    pub height_m: f64,
    /// Level room between the wall's back and the foot of the cut, metres.
    pub work_width_m: f64,
    /// Run for each rise of the cut's slope; 0 is upright, which only stable rock may be.
    pub run_per_rise: f64,
}

/// The trench in which a liner's edge is buried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnchorTrench {
    /// Length, metres.
    pub length_m: f64,
    /// Width, metres.
    pub width_m: f64,
    /// Depth, metres.
    pub depth_m: f64,
}

/// What is dug, by reason; all in the bank.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Dug {
    /// Between the two drawn surfaces.
    pub neat: Bank,
    /// Area times depth beyond them.
    pub over_dig: Bank,
    /// Behind walls.
    pub backcut: Bank,
    /// For liner edges.
    pub anchor_trench: Bank,
}

impl OverDig {
    /// Area times depth.
    ///
    /// # Errors
    /// [`OutOfRange`] when either is below zero or no finite number.
    pub fn volume(self) -> Result<Bank, OutOfRange> {
        let area_m2 = not_negative("the area dug too deep, m2,", self.area_m2)?;
        Ok(Bank::from_m3(area_m2 * not_negative("the over-dig, m,", self.depth_m)?))
    }
}

impl Backcut {
    /// Length times the section: height times work width, and half the square of the height times
    /// the run per rise.
    ///
    /// People work at the foot of this cut. The slope is the soil class's: 29 CFR 1926 Subpart P
    /// App. B allows 1.5 to 1 for class C and for soil that nobody classified (K-01, K-02). Local
    /// codes and a competent person's eye stand above this figure.
    ///
    /// ```
    /// # use takeoff::Backcut;
    /// let behind = Backcut { length_m: 10.0, height_m: 1.2, work_width_m: 0.5, run_per_rise: 1.5 };
    /// // 10 x (1.2 x 0.5 + 1.2² x 1.5 / 2) = 10 x (0.6 + 1.08)
    /// assert!((behind.volume()?.m3() - 16.8).abs() < 1e-12);
    /// # Ok::<(), takeoff::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] when a number is below zero or not finite.
    pub fn volume(self) -> Result<Bank, OutOfRange> {
        let length_m = not_negative("the wall's length, m,", self.length_m)?;
        let height_m = not_negative("the wall's exposed height, m,", self.height_m)?;
        let width_m = not_negative("the work width behind the wall, m,", self.work_width_m)?;
        let run = not_negative("the run per rise of the backcut", self.run_per_rise)?;
        let section_m2 = height_m * width_m + height_m * height_m * run / 2.0;
        Ok(Bank::from_m3(length_m * section_m2))
    }
}

impl AnchorTrench {
    /// A trench of the least section that a published specification asks, 12 by 12 in.
    ///
    /// # Source
    /// NRCS Arizona 521A construction specification, January 2008 (K-24); it lies at least 24 in
    /// back from the inside edge of the berm.
    pub fn of_length(length_m: f64) -> Self {
        const FOOT_M: f64 = 0.3048;
        Self { length_m, width_m: FOOT_M, depth_m: FOOT_M }
    }

    /// Length times width times depth.
    ///
    /// # Errors
    /// [`OutOfRange`] when a number is below zero or not finite.
    pub fn volume(self) -> Result<Bank, OutOfRange> {
        let length_m = not_negative("the anchor trench's length, m,", self.length_m)?;
        let width_m = not_negative("the anchor trench's width, m,", self.width_m)?;
        let depth_m = not_negative("the anchor trench's depth, m,", self.depth_m)?;
        Ok(Bank::from_m3(length_m * width_m * depth_m))
    }
}

impl Dug {
    /// All that is dug.
    pub fn dug(self) -> Bank {
        let beyond_m3 = self.over_dig.m3() + self.backcut.m3() + self.anchor_trench.m3();
        Bank::from_m3(self.neat.m3() + beyond_m3)
    }

    /// What is billed: neat and over-dig.
    ///
    /// Backcut and anchor trench are filled again and stand in the price of wall and liner. This is
    /// common practice; a contract may say otherwise, and then it holds.
    pub fn paid(self) -> Bank {
        Bank::from_m3(self.neat.m3() + self.over_dig.m3())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    /// 40 m2 at 0.1 m; 20 m of a trench of a square foot.
    #[test]
    fn volumes_by_hand() {
        let over_dig = OverDig { area_m2: 40.0, depth_m: 0.1 }.volume().unwrap();
        assert_eq!(over_dig.m3(), 4.0);
        let anchor_trench = AnchorTrench::of_length(20.0).volume().unwrap();
        assert!((anchor_trench.m3() - 1.858_060_8).abs() < 1e-12);
        let upright =
            Backcut { length_m: 5.0, height_m: 1.0, work_width_m: 0.6, run_per_rise: 0.0 };
        let backcut = upright.volume().unwrap();
        assert!((backcut.m3() - 3.0).abs() < 1e-12);
        let dug = Dug { neat: Bank::from_m3(30.0), over_dig, backcut, anchor_trench };
        assert!((dug.dug().m3() - 38.858_060_8).abs() < 1e-12);
        assert_eq!(dug.paid().m3(), 34.0);
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        assert!(OverDig { area_m2: -1.0, depth_m: 0.1 }.volume().is_err());
        assert!(OverDig { area_m2: 1.0, depth_m: f64::NAN }.volume().is_err());
        assert!(AnchorTrench::of_length(f64::INFINITY).volume().is_err());
        let good = Backcut { length_m: 5.0, height_m: 1.0, work_width_m: 0.6, run_per_rise: 1.0 };
        let bad = [
            Backcut { length_m: -1.0, ..good },
            Backcut { height_m: f64::NAN, ..good },
            Backcut { work_width_m: -0.1, ..good },
            Backcut { run_per_rise: f64::INFINITY, ..good },
        ];
        assert!(good.volume().is_ok() && bad.iter().all(|b| b.volume().is_err()));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, rng_seed: RngSeed::Fixed(34), ..ProptestConfig::default() })]

        /// A wall cut in two has the backcut of both, and a higher one takes more.
        #[test]
        fn backcut_adds_along_the_wall(
            (first, second) in (0.0..20.0f64, 0.0..20.0f64),
            (height_m, higher) in (0.0..2.0f64, 0.0..1.0f64),
            (work_width_m, run_per_rise) in (0.0..1.0f64, 0.0..2.0f64),
        ) {
            let of = |length_m, height_m| {
                Backcut { length_m, height_m, work_width_m, run_per_rise }.volume().unwrap().m3()
            };
            let whole = of(first + second, height_m);
            prop_assert!((of(first, height_m) + of(second, height_m) - whole).abs() < 1e-9);
            prop_assert!(of(first, height_m + higher) >= of(first, height_m));
        }

        #[test]
        fn all_that_is_paid_is_dug(parts in prop::array::uniform4(0.0..90.0f64)) {
            let [neat, over_dig, backcut, anchor_trench] = parts.map(Bank::from_m3);
            let dug = Dug { neat, over_dig, backcut, anchor_trench };
            prop_assert!((dug.dug().m3() - parts.iter().sum::<f64>()).abs() < 1e-9);
            prop_assert!(dug.paid().m3() <= dug.dug().m3() + 1e-9);
        }
    }
}
