//! The intake bay: where the water leaves the pond for the pump.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, WorkId};

/// A small basin beside the pond from which the pump draws, joined to it over a sill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IntakeBay {
    /// Its liner's edge, closed.
    pub outline: Curve,
    /// The basin that it draws from, if one is drawn.
    #[serde(default)]
    pub from: Option<WorkId>,
    /// The sill over which the water comes in.
    pub sill: Sill,
    /// Elevation of the still water.
    pub water_level_m: f64,
    /// Height of the liner's edge above the water.
    pub freeboard_m: f64,
    /// Depth of the floor below the water.
    pub depth_m: f64,
    /// Slope of the sides inside: run per rise.
    pub side: f64,
    /// Width of the rim around it, level across.
    pub rim_width_m: f64,
    /// Slope of the ground outside the rim where it is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground outside the rim where it is filled: run per rise.
    pub fill_bank: f64,
    /// What lies on its floor and sides.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
    /// What lies on its banks.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// Where water passes from a pond into its intake bay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sill {
    /// Its middle, on the bay's outline, local metres.
    pub at: [f64; 2],
    /// Width along the outline.
    pub width_m: f64,
    /// Depth of its top below the water.
    pub depth_m: f64,
}
