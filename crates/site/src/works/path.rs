//! The path: walked ground of a width, with steps where it would be too steep, and stones where it
//! crosses water.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, WorkId};

/// A path along a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Path {
    /// Its middle line.
    pub line: Curve,
    /// Elevations of its middle: one for all, or one for each drawn point.
    pub level_m: Vec<f64>,
    /// Width.
    pub width_m: f64,
    /// Fall across it, toward the right along the line: rise per run; below zero toward the left.
    pub cross_fall: f64,
    /// Steepest grade that is walked without steps: rise per run.
    pub largest_grade: f64,
    /// The steps where it would be steeper.
    pub steps: StepRule,
    /// Slope of the ground beside it where that is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground beside it where that is filled: run per rise.
    pub fill_bank: f64,
    /// The stones on which it crosses water, where it does.
    #[serde(default)]
    pub stones: Option<SteppingStones>,
    /// What it is built of.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
    /// What lies on its banks.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// How steps are made: all of one height, treads by twice the riser plus the tread.
///
/// # Source
/// *Construction for Landscape Architecture* (2011), Steps: 2R + T = 22 to 30 in, risers of 4 to
/// 5 in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepRule {
    /// Highest riser, metres; the risers of one flight share its rise evenly.
    pub riser_m: f64,
    /// Twice the riser plus the tread, metres.
    pub two_risers_and_tread_m: f64,
}

/// Stones across a basin.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SteppingStones {
    /// The basin that they cross.
    pub across: WorkId,
    /// Diameter of one stone.
    pub stone_m: f64,
    /// Gap between two stones.
    pub gap_m: f64,
    /// Height of their tops above the water.
    pub above_water_m: f64,
}
