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
    /// How the top runs between its drawn points.
    #[serde(default)]
    pub top_run: TopRun,
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
    /// Diameter of its largest stones, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stone_m: Option<f64>,
    /// The filter bed or basin whose water it holds, if it holds any.
    #[serde(default)]
    pub holds: Option<WorkId>,
    /// Further walls that stand behind it, each above the one in front.
    #[serde(default)]
    pub tiers: Vec<Tier>,
}

/// A wall behind another, along the same line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tier {
    /// Distance of its exposed top edge behind that of the wall in front.
    pub back_m: f64,
    /// Height of its top above the top of the wall in front.
    pub rise_m: f64,
}

/// How a wall's top runs between its drawn points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum TopRun {
    /// Straight from one level to the next.
    #[default]
    Sloping,
    /// Level from each point to the next, and then a step.
    Stepped,
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
