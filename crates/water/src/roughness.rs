//! How rough a bed is: Manning's n from a table or from the size of its stones.

use crate::fluid::GRAVITY_M_S2;
use crate::range::{between, length};
use crate::{OutOfRange, Section, Trust};

const FOOT_M: f64 = 0.3048;

/// How a bed holds the water back.
///
/// Formulas by stone size give an n that grows as the water gets shallower. Where the water is too
/// shallow for one, the ratio of depth to stone is held at the least for which it was measured, so
/// that the flow still grows with the depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Roughness {
    law: Law,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Law {
    Manning { n: f64 },
    Limerinos { d84_m: f64 },
    Blodgett { d50_m: f64 },
    VariablePower { d84_m: f64 },
    Jarrett { slope: f64 },
}

/// A kind of bed and its n.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TabulatedBed {
    /// The bed in the trade's words.
    pub bed: &'static str,
    /// Least, normal and greatest n.
    pub n: [f64; 3],
    /// Where it stands.
    pub source: &'static str,
}

/// Beds for which a table gives n.
///
/// # Source
/// V. T. Chow, *Open-Channel Hydraulics* (1959), table 5-6 (C-24, C-25); rows marked so from memory.
pub const TABULATED_BEDS: [TabulatedBed; 7] = [
    TabulatedBed {
        bed: "mountain stream: gravel, cobbles and few boulders",
        n: [0.030, 0.040, 0.050],
        source: "Chow 1959 table 5-6 D-1b",
    },
    TabulatedBed {
        bed: "mountain stream: cobbles with large boulders",
        n: [0.040, 0.050, 0.070],
        source: "Chow 1959 table 5-6 D-1b",
    },
    TabulatedBed {
        bed: "clean and straight",
        n: [0.025, 0.030, 0.033],
        source: "Chow 1959 table 5-6",
    },
    TabulatedBed {
        bed: "winding, with stones",
        n: [0.035, 0.045, 0.050],
        source: "Chow 1959 table 5-6",
    },
    TabulatedBed { bed: "bare liner", n: [0.009, 0.011, 0.013], source: "common practice" },
    TabulatedBed {
        bed: "mortared stone",
        n: [0.017, 0.025, 0.030],
        source: "Chow 1959 table 5-6, from memory",
    },
    TabulatedBed {
        bed: "smooth concrete",
        n: [0.011, 0.013, 0.015],
        source: "Chow 1959 table 5-6, from memory",
    },
];

/// Which n of Strickler's formula is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StricklerUse {
    /// The mean.
    Mean,
    /// The low side: fast water, for sizing stones.
    StoneSizing,
    /// The high side: deep water, for capacity and freeboard.
    Freeboard,
}

impl Roughness {
    /// A bed of one Manning's n, 0.005 to 1.
    ///
    /// # Errors
    /// [`OutOfRange`] outside that.
    pub fn manning(n: f64) -> Result<Self, OutOfRange> {
        let n = between((0.005, 1.0), "0.005 to 1", ("Manning's n", n))?;
        Ok(Self { law: Law::Manning { n } })
    }

    /// A bed of stones of which 90 % are smaller than `d90_m`, deep enough that one n holds:
    /// n = K D90^(1/6) with D90 in feet, K 0.034 for sizing stones, 0.036, and 0.038 for freeboard.
    ///
    /// # Errors
    /// [`OutOfRange`] for a stone size out of range.
    ///
    /// # Source
    /// USACE WES *Streambank Manual* A.3.2 (C-17).
    pub fn strickler(d90_m: f64, wanted: StricklerUse) -> Result<Self, OutOfRange> {
        let k = match wanted {
            StricklerUse::Mean => 0.036,
            StricklerUse::StoneSizing => 0.034,
            StricklerUse::Freeboard => 0.038,
        };
        Self::manning(k * libm::pow(stone(d90_m)? / FOOT_M, 1.0 / 6.0))
    }

    /// A bed of gravel and cobbles by D84, after Limerinos:
    /// n = 0.113 R^(1/6) / (1.16 + 2 log(R / D84)) in metres.
    ///
    /// Measured for R / D84 from 0.9 to 69 (from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] for a stone size out of range.
    ///
    /// # Source
    /// FHWA HDS-6 eq. 3.19 (C-22), with the hydraulic radius for the depth.
    pub fn limerinos(d84_m: f64) -> Result<Self, OutOfRange> {
        Ok(Self { law: Law::Limerinos { d84_m: stone(d84_m)? } })
    }

    /// A bed of laid stone by D50, after Blodgett:
    /// n = 0.319 R^(1/6) / (2.25 + 5.23 log(R / D50)) in metres.
    ///
    /// Valid for R / D50 from 1.5 to 185.
    ///
    /// # Errors
    /// [`OutOfRange`] for a stone size out of range.
    ///
    /// # Source
    /// FHWA HEC-15, 3rd ed., eq. 6.1 (C-21; the form from memory), with the hydraulic radius for the
    /// depth.
    pub fn blodgett(d50_m: f64) -> Result<Self, OutOfRange> {
        Ok(Self { law: Law::Blodgett { d50_m: stone(d50_m)? } })
    }

    /// A bed of coarse stone by D84 in water that may be shallower than the stones, after Ferguson:
    /// V / u* = a b r / (a^2 + b^2 r^(5/3))^0.5 with r = R / D84, a = 6.5, b = 2.5.
    ///
    /// Measured for r from 0.1 to 100; the one to take for a garden's riffles.
    ///
    /// # Errors
    /// [`OutOfRange`] for a stone size out of range.
    ///
    /// # Source
    /// R. Ferguson, "Flow resistance equations for gravel- and boulder-bed streams", Water Resources
    /// Research 43 (2007), from memory.
    pub fn variable_power(d84_m: f64) -> Result<Self, OutOfRange> {
        Ok(Self { law: Law::VariablePower { d84_m: stone(d84_m)? } })
    }

    /// A steep stream by its slope, after Jarrett: n = 0.39 S^0.38 R^-0.16 in feet.
    ///
    /// Measured for slopes of 0.002 to 0.04 and radii of 0.5 to 7 ft: garden riffles are outside it.
    ///
    /// # Errors
    /// [`OutOfRange`] for a slope outside 1e-4 to 1.
    ///
    /// # Source
    /// Jarrett 1984, J. Hydraul. Eng. 110(11); USGS WRIR 85-4004; from memory (C-23).
    pub fn jarrett(slope: f64) -> Result<Self, OutOfRange> {
        let slope = between((1.0e-4, 1.0), "1e-4 to 1", ("the fall of a stream's bed", slope))?;
        Ok(Self { law: Law::Jarrett { slope } })
    }

    /// Manning's n where the hydraulic radius is so many metres, above zero.
    pub fn n(self, hydraulic_radius_m: f64) -> f64 {
        let sixth = || libm::cbrt(hydraulic_radius_m).sqrt();
        match self.law {
            Law::Manning { n } => n,
            Law::Limerinos { d84_m } => {
                let ratio = at_least(hydraulic_radius_m / d84_m, 0.9);
                0.113 * sixth() / (1.16 + 2.0 * libm::log10(ratio))
            }
            Law::Blodgett { d50_m } => {
                let ratio = at_least(hydraulic_radius_m / d50_m, 1.5);
                0.319 * sixth() / (2.25 + 5.23 * libm::log10(ratio))
            }
            Law::VariablePower { d84_m } => {
                let ratio = hydraulic_radius_m / d84_m;
                let (a, b) = (6.5, 2.5);
                let power = libm::cbrt(ratio * ratio) * ratio;
                let velocity_over_shear = a * b * ratio / (a * a + b * b * power).sqrt();
                sixth() / (GRAVITY_M_S2.sqrt() * velocity_over_shear)
            }
            Law::Jarrett { slope } => {
                let radius_ft = hydraulic_radius_m / FOOT_M;
                0.39 * libm::pow(slope, 0.38) * libm::pow(radius_ft, -0.16)
            }
        }
    }

    /// Whether the formula was measured for a hydraulic radius, metres. A tabulated n is taken for
    /// calibrated wherever the water is at least 0.15 m deep, half a foot: common practice.
    pub fn trust(self, hydraulic_radius_m: f64) -> Trust {
        let r = hydraulic_radius_m;
        Trust::when(match self.law {
            Law::Manning { .. } => r >= 0.5 * FOOT_M,
            Law::Limerinos { d84_m } => (0.9..=69.0).contains(&(r / d84_m)),
            Law::Blodgett { d50_m } => (1.5..=185.0).contains(&(r / d50_m)),
            Law::VariablePower { d84_m } => (0.1..=100.0).contains(&(r / d84_m)),
            Law::Jarrett { slope } => {
                (0.002..=0.04).contains(&slope) && (0.5..=7.0).contains(&(r / FOOT_M))
            }
        })
    }

    /// Conveyance, cubic metres per second: what flows at a slope of one. It grows with the depth.
    pub(crate) fn conveyance_m3_s(self, section: Section, depth_m: f64) -> f64 {
        let radius_m = section.hydraulic_radius_m(depth_m);
        if radius_m <= 0.0 {
            return 0.0;
        }
        section.area_m2(depth_m) * libm::cbrt(radius_m * radius_m) / self.n(radius_m)
    }
}

fn stone(size_m: f64) -> Result<f64, OutOfRange> {
    length("the size of a bed's stones, m,", size_m)
}

/// `f64::max` would turn what is no number into one.
fn at_least(x: f64, least: f64) -> f64 {
    if x < least { least } else { x }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn n_ft(roughness: Roughness, radius_ft: f64) -> f64 {
        roughness.n(radius_ft * FOOT_M)
    }

    /// C-21, HEC-15 eq. 6.1: depth 1 ft over D50 0.25 ft, n 0.0485 (computed there).
    #[test]
    fn blodgett_in_feet() {
        let n = n_ft(Roughness::blodgett(0.25 * FOOT_M).unwrap(), 1.0);
        // The metric 0.319 is 0.262 x 3.2808^(1/6) = 0.3194 rounded.
        assert!((n / 0.0485 - 1.0).abs() < 2e-3, "{n}");
    }

    /// C-22, HDS-6 eq. 3.19: depth 1 ft over D84 0.5 ft, n 0.0526 (computed there).
    #[test]
    fn limerinos_in_feet() {
        let n = n_ft(Roughness::limerinos(0.5 * FOOT_M).unwrap(), 1.0);
        assert!((n / 0.0526 - 1.0).abs() < 2e-3, "{n}");
    }

    /// C-23, Jarrett 1984, from memory: 0.115 at 0.04 and 1 ft, 0.0985 at 0.02 and 0.5 ft.
    #[test]
    fn jarrett_in_feet() {
        assert!((n_ft(Roughness::jarrett(0.04).unwrap(), 1.0) / 0.115 - 1.0).abs() < 5e-3);
        let shallow = Roughness::jarrett(0.02).unwrap();
        assert!((n_ft(shallow, 0.5) / 0.0985 - 1.0).abs() < 5e-3);
        assert_eq!(shallow.trust(0.1), Trust::Estimate);
        assert_eq!(shallow.trust(0.3), Trust::Calibrated);
    }

    /// C-17, *Streambank Manual* A.3.2: K 0.036, 0.034 and 0.038 at a D90 of one foot.
    #[test]
    fn strickler_for_each_use() {
        for (wanted, k) in [
            (StricklerUse::Mean, 0.036),
            (StricklerUse::StoneSizing, 0.034),
            (StricklerUse::Freeboard, 0.038),
        ] {
            let n = Roughness::strickler(FOOT_M, wanted).unwrap().n(1.0);
            assert!((n - k).abs() < 1e-15);
        }
    }

    /// C-24 and C-25, Chow 1959 table 5-6.
    #[test]
    fn beds_of_the_table() {
        assert_eq!(TABULATED_BEDS[0].n, [0.030, 0.040, 0.050]);
        assert_eq!(TABULATED_BEDS[1].n, [0.040, 0.050, 0.070]);
        assert_eq!(TABULATED_BEDS[2].n, [0.025, 0.030, 0.033]);
        assert_eq!(TABULATED_BEDS[3].n, [0.035, 0.045, 0.050]);
        assert!(TABULATED_BEDS.iter().all(|bed| bed.n.is_sorted()));
    }

    /// A second way: deep water over stones, where Limerinos and Ferguson are known to agree within
    /// a tenth, and both lie near Strickler for the same stones.
    #[test]
    fn formulas_by_stone_size_agree_in_deep_water() {
        let d84 = 0.05;
        for depth in [0.25, 0.5, 1.0] {
            let limerinos = Roughness::limerinos(d84).unwrap().n(depth);
            let ferguson = Roughness::variable_power(d84).unwrap().n(depth);
            assert!((limerinos / ferguson - 1.0).abs() < 0.12, "{limerinos} {ferguson}");
        }
    }

    #[test]
    fn what_is_no_roughness_is_refused() {
        assert!(Roughness::manning(0.0).is_err() && Roughness::manning(f64::NAN).is_err());
        assert!(Roughness::limerinos(0.0).is_err() && Roughness::jarrett(0.0).is_err());
        assert!(Roughness::blodgett(f64::INFINITY).is_err());
        assert!(Roughness::limerinos(0.1).unwrap().n(f64::NAN).is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(53), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn more_depth_carries_more(
            stone in 0.001..2.0f64, bed in 0.01..10.0f64, side in 0.0..5.0f64, depth in 0.0005..5.0f64,
        ) {
            let section = Section::new(bed, [side, side]).unwrap();
            for roughness in [
                Roughness::manning(0.04).unwrap(),
                Roughness::limerinos(stone).unwrap(),
                Roughness::blodgett(stone).unwrap(),
                Roughness::variable_power(stone).unwrap(),
                Roughness::jarrett(0.03).unwrap(),
            ] {
                let less = roughness.conveyance_m3_s(section, depth);
                prop_assert!(roughness.conveyance_m3_s(section, depth * 1.001) > less);
            }
        }
    }
}
