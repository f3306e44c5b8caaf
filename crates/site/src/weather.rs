//! The weather that a site is planned for: rain, and what the air takes.

use serde::{Deserialize, Serialize};

/// Rain and evaporation; absent where they are not known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Weather {
    /// Rain of the storm that an overflow must bear, millimetres an hour over a few minutes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub storm_mm_h: Option<f64>,
    /// Depth of rain of the wet day that a pond must bear, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub storm_m: Option<f64>,
    /// Share of a short storm that runs off the ground around the water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runoff_share: Option<f64>,
    /// Curve number of that ground.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curve_number: Option<f64>,
    /// What the air takes of open water in a day of high summer, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub evaporation_m_day: Option<f64>,
    /// The rain's power to wash soil in a year, MJ mm / (ha h).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub erosivity: Option<f64>,
    /// Weeks for which soil lies open while the works last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open_weeks: Option<f64>,
}

impl Weather {
    /// Whether nothing of it is known.
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}
