//! The basin: a pond dug in nested rings.
//!
//! ```text
//!  rim  | bank |  shelf | bank | floor
//!  _____                                 liner edge = water level + freeboard
//!  ~~~~~\~~~~~~~~~~~~~~~~~~~~~~~~~~~~~   water level
//!        \_______ ring 0, ring 1
//!                \
//!                 \________              ring 2, floor
//! ```

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, WorkId};

/// A pond. Its finished ground inside `outline` is exactly what the rings say.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Basin {
    /// The inner edge of the rim, closed: here the ground stands at the liner edge.
    pub outline: Curve,
    /// Elevation of the still water.
    pub water_level_m: f64,
    /// Height of the liner edge above the water.
    pub freeboard_m: f64,
    /// Liner edge elevations at the outline's drawn points where they differ from water level plus
    /// freeboard; empty when they do not.
    #[serde(default)]
    pub liner_edge_m: Vec<f64>,
    /// Where the pond is meant to overflow, if anywhere.
    #[serde(default)]
    pub overflow: Option<[f64; 2]>,
    /// Width of that overflow's crest, where it is planned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overflow_width_m: Option<f64>,
    /// Elevation of that overflow's crest, where it is planned; at rest the water stands no higher.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overflow_m: Option<f64>,
    /// Width of the rim outside the outline, level across.
    pub rim_width_m: f64,
    /// Slope of the banks from the rim to existing ground where that is higher: run per rise.
    pub cut_bank: f64,
    /// Slope of the banks from the rim to existing ground where that is lower: run per rise.
    pub fill_bank: f64,
    /// The rings, from the outermost in.
    pub rings: Vec<BasinRing>,
    /// What lies inside the last ring.
    pub floor: Floor,
    /// An earlier basin whose water it joins: it raises no ground within that one's outline.
    #[serde(default)]
    pub joins: Option<WorkId>,
    /// What lies on the rim.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub rim_build_up: BuildUp,
    /// What lies between the outline and the first ring.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
    /// What lies on the banks outside the rim.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// One ring of a basin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BasinRing {
    /// Where it runs in plan.
    pub shape: RingShape,
    /// Depth of the ground on the ring below the water level.
    pub depth_m: f64,
    /// What lies within the ring, up to the next one.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
}

/// How a ring is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum RingShape {
    /// Drawn by hand, closed, inside the ring outside it.
    Drawn(Curve),
    /// Inset from the ring outside it by a run: one for all, or one for each drawn point of the
    /// basin's outline, blended between.
    Inset {
        /// Runs in metres.
        run_m: Vec<f64>,
    },
}

/// What lies inside the last ring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Floor {
    /// Level at the last ring's depth.
    Level,
    /// Falling to a round sump.
    Sump {
        /// Centre, local metres.
        at: [f64; 2],
        /// Radius of the level bottom.
        radius_m: f64,
        /// Depth of the bottom below the water level.
        depth_m: f64,
    },
}
