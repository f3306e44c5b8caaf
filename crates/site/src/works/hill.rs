//! The hill: ground raised along a crest.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, WorkId};

/// Raised ground that carries a filter or hides a fence.
///
/// Lists hold one value for the whole crest or one for each of its drawn points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hill {
    /// Crest line in plan; a single point makes a round hill.
    pub crest: Curve,
    /// Elevations of the crest.
    pub crest_m: Vec<f64>,
    /// Widths of the level top across the crest.
    pub width_m: Vec<f64>,
    /// Flanks on the left of the crest.
    pub left: Vec<Flank>,
    /// Flanks on the right of the crest.
    pub right: Vec<Flank>,
    /// The wall that holds it, if one does: it raises no ground in front of that wall.
    #[serde(default)]
    pub held_by: Option<WorkId>,
    /// What lies on it: topsoil, as a rule.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
}

/// One side of a hill in section: rounded shoulder, straight flank, rounded toe.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flank {
    /// Slope of the straight part: run per rise.
    pub run_per_rise: f64,
    /// Run over which the shoulder rounds from level to the flank.
    pub shoulder_m: f64,
    /// Run over which the toe eases toward level, at the foot of the flank.
    pub toe_m: f64,
}
