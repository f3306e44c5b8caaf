//! The filter bed: a gravel bed with plants that cleans the water and spills it over a lip.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve};

/// A planted filter: a watertight box of gravel with a lip.
///
/// Its ground inside `outline` is the floor under the gravel; the gravel itself is no earth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FilterBed {
    /// Inner face of its sides, closed.
    pub outline: Curve,
    /// Where the water leaves.
    pub lip: Lip,
    /// Depth of the floor below the lip.
    pub depth_m: f64,
    /// Slope of the sides inside: run per rise.
    pub side: f64,
    /// Height of the rim's liner edge above the lip.
    pub freeboard_m: f64,
    /// Width of the rim around it, level across.
    pub rim_width_m: f64,
    /// Slope of the ground outside the rim where it is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground outside the rim where it is filled: run per rise.
    pub fill_bank: f64,
    /// Depth of the gravel's top below the lip.
    pub gravel_below_lip_m: f64,
    /// Share of voids between the gravel's stones, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub void_share: Option<f64>,
    /// Size of the gravel's stones, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_m: Option<f64>,
    /// What lies under the gravel, on its floor and sides: bedding and liner.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
    /// What lies on its rim and banks.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// The crest over which a filter spills.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lip {
    /// Centre of the lip, on the outline, local metres.
    pub at: [f64; 2],
    /// Width along the outline.
    pub width_m: f64,
    /// Elevation.
    pub elevation_m: f64,
}
