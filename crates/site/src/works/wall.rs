//! The wall: stones that hold ground back.

use serde::{Deserialize, Serialize};

use super::{Curve, WorkId};

/// A retaining wall along a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// Line of the wall's exposed top edge.
    pub line: Curve,
    /// Elevations of the top: one for all, or one for each drawn point.
    pub top_m: Vec<f64>,
    /// Lean of the exposed face: run per rise; zero is upright.
    pub batter: f64,
    /// Thickness at the top, behind the line.
    pub thickness_m: f64,
    /// Depth of the footing's bottom below the ground in front.
    pub embedment_m: f64,
    /// The side of the line, seen along it, on which the ground is held.
    pub retains: Side,
    /// Slope of the fill behind the top, downward away from the wall until it meets ground: run per
    /// rise.
    pub backfill: f64,
    /// What it is built of.
    pub material: WallMaterial,
    /// The filter bed or basin whose water it holds, if it holds any.
    #[serde(default)]
    pub holds: Option<WorkId>,
}

/// A side of a line, seen along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// What a wall is built of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum WallMaterial {
    /// Laid stone.
    Stone,
    /// Made blocks.
    Block,
    /// Single large stones.
    Boulder,
}
