//! The pad: a plane place to sit, to pave or to build on.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve};

/// A plane place with banks around it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pad {
    /// Its outline, closed.
    pub outline: Curve,
    /// What it is for.
    pub purpose: PadPurpose,
    /// How it lies.
    pub plane: Plane,
    /// Slope of the ground around it where that is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground around it where that is filled: run per rise.
    pub fill_bank: f64,
    /// What it is built of.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
    /// What lies on its banks.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// What a pad is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PadPurpose {
    /// A paved terrace.
    Patio,
    /// A place for a bench.
    SittingPlace,
    /// The footing of a filter, a shed or a pump house.
    Building,
}

/// How a plane lies: its level at one place, and its fall toward another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plane {
    /// The place whose level is given, local metres.
    pub at: [f64; 2],
    /// Elevation there.
    pub level_m: f64,
    /// The place toward which it falls, local metres.
    pub toward: [f64; 2],
    /// How much it falls that way: rise per run, zero where it is level.
    pub fall: f64,
}
