//! The build-up: what lies between the ground that the machine digs to and the finished ground.

use serde::{Deserialize, Serialize};

/// Thicknesses from the bottom up, measured vertically, metres.
///
/// ```text
///   finished ground ___________
///                    topsoil
///                    gravel
///                    stone
///   liner           ===========
///                    bedding
///   subgrade        -----------
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct BuildUp {
    /// Sand or underlay below the liner, or the base below paving.
    pub bedding_m: f64,
    /// The liner with its underlay; zero where there is none.
    pub liner_m: f64,
    /// Stones on the liner, or paving.
    pub stone_m: f64,
    /// Gravel.
    pub gravel_m: f64,
    /// Topsoil.
    pub topsoil_m: f64,
}

impl BuildUp {
    /// All of it, metres: from the subgrade up to the finished ground.
    pub fn thickness_m(&self) -> f64 {
        self.bedding_m + self.liner_m + self.above_liner_m()
    }

    /// What lies on the liner, metres.
    pub fn above_liner_m(&self) -> f64 {
        self.stone_m + self.gravel_m + self.topsoil_m
    }

    /// Whether nothing lies between subgrade and finished ground.
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}
