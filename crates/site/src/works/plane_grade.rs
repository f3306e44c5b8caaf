//! The plane grade: a lawn that falls one way.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, Plane};

/// Ground graded to one plane and eased into what lies around it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlaneGrade {
    /// Its outline, closed.
    pub outline: Curve,
    /// How it lies.
    pub plane: Plane,
    /// Slope of the ground around it where that is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground around it where that is filled: run per rise.
    pub fill_bank: f64,
    /// What lies on it and on its banks: topsoil, as a rule.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub build_up: BuildUp,
}
