//! Plus-or-minus on volumes: the survey's accuracy as a bias, and the soil factors' range.

use units::{Bank, Compacted, Loose};

use crate::Soil;

/// Spoil and how far either way it may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpoilRange {
    /// Spoil in the bank, below zero for import.
    pub spoil: Bank,
    /// The greatest departure of the spoil in the bank.
    pub spoil_plus_minus: Bank,
    /// Loose volume of the spoil or the import.
    pub loose: Loose,
    /// The greatest departure of the loose volume.
    pub loose_plus_minus: Loose,
}

/// Volume that a survey may be out by over an area, cubic metres.
///
/// A vertical accuracy is taken as a bias, the same over the whole area: random errors of single
/// shots would cancel, a benchmark misread does not.
pub fn survey_bias_m3(area_m2: f64, accuracy_m: f64) -> f64 {
    area_m2 * accuracy_m
}

/// Spoil with its range when the survey's bias and the soil's factors err together.
///
/// `soil` holds the middle factors, `swell_range` and `shrink_range` the plus or minus on them as
/// shares, `bias_m3` the survey's. The departures are the greatest over the corners of the ranges.
/// A shrink beyond the range of soils is held just below one.
pub fn spoil_range(
    (cut, fill): (Bank, Compacted),
    soil: Soil,
    (swell_range, shrink_range): (f64, f64),
    bias_m3: f64,
) -> SpoilRange {
    let spoil = soil.spoil(cut, fill);
    let loose = soil.loose(spoil).m3();
    let (mut off, mut loose_off) = (0.0_f64, 0.0_f64);
    for [shrink_way, swell_way, bias_way] in corners() {
        let shrink = (soil.shrink() + shrink_way * shrink_range).min(MOST_SHRINK);
        let swell = (soil.swell() + swell_way * swell_range).max(0.0);
        let other = cut.m3() - fill.m3() / (1.0 - shrink) + bias_way * bias_m3;
        off = off.max((other - spoil.m3()).abs());
        loose_off = loose_off.max((other * (1.0 + swell) - loose).abs());
    }
    SpoilRange {
        spoil,
        spoil_plus_minus: Bank::from_m3(off),
        loose: Loose::from_m3(loose.abs()),
        loose_plus_minus: Loose::from_m3(loose_off),
    }
}

/// No soil loses more than this share when it is compacted.
const MOST_SHRINK: f64 = 0.9;

fn corners() -> impl Iterator<Item = [f64; 3]> {
    (0..8_u8).map(|bits| [0, 1, 2].map(|i| if bits >> i & 1 == 0 { -1.0 } else { 1.0 }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// design.md section 5: 1,800 ft2 at 0.05 ft is 3.3 yd3.
    #[test]
    fn a_bias_over_an_area() {
        let foot_m = 0.3048_f64;
        let bias_yd3 = survey_bias_m3(1800.0 * foot_m * foot_m, 0.05 * foot_m) / 0.9144_f64.powi(3);
        assert!((bias_yd3 - 10.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn ranges_by_hand() {
        let soil = Soil::new(1.6, 0.25, 0.10).unwrap();
        let none =
            spoil_range((Bank::from_m3(30.0), Compacted::from_m3(18.0)), soil, (0.0, 0.0), 0.0);
        assert!((none.spoil.m3() - 10.0).abs() < 1e-12);
        assert!((none.loose.m3() - 12.5).abs() < 1e-12);
        assert_eq!(none.loose_plus_minus.m3(), 0.0);
        // Worst: fill at a shrink of 0.07 takes 19.3548, bias 2, swell 0.30.
        let wide =
            spoil_range((Bank::from_m3(30.0), Compacted::from_m3(18.0)), soil, (0.05, 0.03), 2.0);
        let best: f64 = 30.0 - 18.0 / 0.93 + 2.0;
        let worst: f64 = 30.0 - 18.0 / 0.87 - 2.0;
        assert!((wide.spoil_plus_minus.m3() - (10.0 - worst).max(best - 10.0)).abs() < 1e-12);
        assert!((wide.loose_plus_minus.m3() - (best * 1.30 - 12.5)).abs() < 1e-12);
    }
}
