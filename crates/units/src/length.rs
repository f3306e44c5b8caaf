//! Units of length for people.

use serde::{Deserialize, Serialize};

/// A unit of length in which people read and write.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum LengthUnit {
    /// Metre.
    #[default]
    Metre,
    /// International foot, 0.3048 m exactly, shown in decimals.
    Foot,
    /// International foot, shown in feet and inches.
    FootInch,
    /// US survey foot, 1200/3937 m exactly.
    UsSurveyFoot,
}

impl LengthUnit {
    /// Metres in one unit.
    pub fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Foot | Self::FootInch => 0.3048,
            Self::UsSurveyFoot => 1200.0 / 3937.0,
        }
    }

    /// A length in metres, read in this unit.
    ///
    /// `UsSurveyFoot` multiplies by 3937 before it divides by 1200, so that whole feet stay whole.
    pub fn from_metres(self, length_m: f64) -> f64 {
        match self {
            Self::Metre => length_m,
            Self::Foot | Self::FootInch => length_m / 0.3048,
            Self::UsSurveyFoot => length_m * 3937.0 / 1200.0,
        }
    }

    /// A length in this unit, in metres.
    pub fn to_metres(self, length: f64) -> f64 {
        match self {
            Self::UsSurveyFoot => length * 1200.0 / 3937.0,
            other => length * other.metres(),
        }
    }

    /// The sign that stands behind a number in this unit.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Foot | Self::FootInch | Self::UsSurveyFoot => "ft",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::LengthUnit;

    /// T-11: 1,000,000 ft as international and as US survey feet differ by 2.000 ft.
    #[test]
    fn the_two_feet_differ_by_two_in_a_million() {
        let international_m = LengthUnit::Foot.to_metres(1.0e6);
        let survey_m = LengthUnit::UsSurveyFoot.to_metres(1.0e6);
        let apart_ft = LengthUnit::Foot.from_metres(survey_m - international_m);
        assert!((apart_ft - 2.000_004).abs() < 1e-6, "{apart_ft}");
    }

    #[test]
    fn a_length_comes_back() {
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
            for length in [0.0, 1.0, 3.25, 1234.567, -17.5] {
                let back = unit.from_metres(unit.to_metres(length));
                assert!((back - length).abs() <= 4.0 * f64::EPSILON * length.abs());
            }
        }
        assert_eq!(LengthUnit::UsSurveyFoot.from_metres(1200.0), 3937.0);
        assert_eq!(LengthUnit::Foot.to_metres(1.0), 0.3048);
    }
}
