//! The trench: dug for a pipe and filled again.
//!
//! ```text
//!   ground  ___         ___
//!              \ back  /
//!               \ fill/
//!                | o |      pipe
//!                |___|      bedding
//!                width
//! ```

use serde::{Deserialize, Serialize};

use super::Curve;

/// A trench for a pipe or a cable: it changes no finished ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trench {
    /// Its middle line.
    pub line: Curve,
    /// Elevations of the pipe's invert: one for all, or one for each drawn point.
    pub invert_m: Vec<f64>,
    /// Width of its bottom.
    pub width_m: f64,
    /// Slope of its sides: run per rise; zero is upright.
    pub side: f64,
    /// Thickness of the bedding below the pipe.
    pub bedding_m: f64,
    /// Outer diameter of the pipe.
    pub pipe_m: f64,
}
