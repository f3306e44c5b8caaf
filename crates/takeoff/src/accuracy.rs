//! Plus-or-minus on volumes: the survey's accuracy as a bias, and the soil factors' range.

use crate::Soil;
use crate::range::{OutOfRange, not_negative};

/// A soil and how far its factors may lie from their middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangedSoil {
    soil: Soil,
    swell_range: f64,
    shrink_range: f64,
}

/// One way in which the survey and the soils may all err together, each by -1 or 1 of its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Corner {
    pub(crate) shrink_way: f64,
    pub(crate) swell_way: f64,
    pub(crate) bias_way: f64,
}

/// Volume that a survey may be out by over an area, cubic metres.
///
/// A vertical accuracy is taken as a bias, the same over the whole area: random errors of single
/// shots would cancel, a benchmark misread does not.
pub fn survey_bias_m3(area_m2: f64, accuracy_m: f64) -> f64 {
    area_m2 * accuracy_m
}

/// The corners of the ranges, in a fixed order.
///
/// Several soils err the same way at once. What is hauled away grows with every cut and swell and
/// falls with every shrink and with the fill; what is brought does so the other way about, but for
/// its swell. So no mixture of ways lies farther out than one of these.
pub(crate) fn corners() -> impl Iterator<Item = Corner> {
    (0..8_u8).map(|bits| {
        let [shrink_way, swell_way, bias_way] =
            [0, 1, 2].map(|i| if bits >> i & 1 == 0 { -1.0 } else { 1.0 });
        Corner { shrink_way, swell_way, bias_way }
    })
}

/// No fill loses more than this share to compaction, whatever its range says.
const MOST_SHRINK: f64 = 0.9;

impl RangedSoil {
    /// A soil with the plus or minus on its swell and its shrink, as shares.
    ///
    /// # Errors
    /// [`OutOfRange`] when a range is below zero or not finite.
    pub fn new(soil: Soil, swell_range: f64, shrink_range: f64) -> Result<Self, OutOfRange> {
        not_negative("the range of swell", swell_range)?;
        not_negative("the range of shrink", shrink_range)?;
        Ok(Self { soil, swell_range, shrink_range })
    }

    /// The soil at the middle of its ranges.
    pub fn middle(self) -> Soil {
        self.soil
    }

    /// The soil at a corner of its ranges, held within what soils can be.
    pub(crate) fn at(self, corner: Corner) -> Soil {
        let swell = self.soil.swell() + corner.swell_way * self.swell_range;
        let shrink = self.soil.shrink() + corner.shrink_way * self.shrink_range;
        self.soil.with_factors(swell, shrink.min(MOST_SHRINK.max(self.soil.shrink())))
    }
}

impl From<Soil> for RangedSoil {
    /// A soil whose factors are taken as exact.
    fn from(soil: Soil) -> Self {
        Self { soil, swell_range: 0.0, shrink_range: 0.0 }
    }
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
    fn a_corner_is_held_within_what_soils_can_be() {
        let soil = Soil::new(1.6, 0.05, 0.85).unwrap();
        let wide = RangedSoil::new(soil, 0.10, 0.30).unwrap();
        let low = wide.at(Corner { shrink_way: 1.0, swell_way: -1.0, bias_way: 1.0 });
        assert_eq!((low.swell(), low.shrink()), (0.0, 0.9));
        assert!(RangedSoil::new(soil, f64::NAN, 0.0).is_err());
        assert!(RangedSoil::new(soil, 0.0, -0.1).is_err());
    }

    #[test]
    fn every_corner_comes_once() {
        let all: Vec<_> = corners().collect();
        assert_eq!(all.len(), 8);
        assert!((0..8).all(|i| (0..i).all(|j| all[i] != all[j])));
    }
}
