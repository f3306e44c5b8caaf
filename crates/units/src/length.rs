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
}
