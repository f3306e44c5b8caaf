//! The stream: a bed that runs down by stations and falls.

use serde::{Deserialize, Serialize};

use super::{BuildUp, Curve, WorkId};

/// Running water from a filter's lip to a pond.
///
/// Between stations and falls the bed is straight in profile. Distances run along the line from its
/// head; the head is at distance zero.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stream {
    /// Centre line from head to mouth.
    pub line: Curve,
    /// The filter bed that feeds it, if one does: over its lip, or, where several streams run from it and
    /// another begins at the lip, over this one's own head.
    #[serde(default)]
    pub from: Option<WorkId>,
    /// The basin that it runs into, if one takes it.
    #[serde(default)]
    pub into: Option<WorkId>,
    /// Stations by distance, at least head and mouth.
    pub stations: Vec<Station>,
    /// Falls by distance, between the stations.
    #[serde(default)]
    pub falls: Vec<Fall>,
    /// Median size of the stones on its bed, where it is known. It tells how rough the bed is, whatever
    /// `bed` says, and whether the stones stay.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bed_stone_m: Option<f64>,
    /// What its bed is, for a table of roughness. It rules only where the stones' size is not given:
    /// where both are, the size does, and where neither is, how rough the bed is stays unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bed: Option<StreamBed>,
    /// Thickness of water that is wanted over its crests, where one is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet_m: Option<f64>,
    /// Depth of the running water above the bed.
    pub water_depth_m: f64,
    /// Height that the liner's edge must stand above that water.
    pub freeboard_m: f64,
    /// Slope of the ground outside the liner's edge where it is cut: run per rise.
    pub cut_bank: f64,
    /// Slope of the ground outside the liner's edge where it is filled: run per rise.
    pub fill_bank: f64,
    /// Width of the level strip outside the liner's edge.
    pub rim_width_m: f64,
    /// Rocks in the bed around which the water parts and joins again.
    #[serde(default)]
    pub islands: Vec<Island>,
    /// What lies on the bed.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bed_build_up: BuildUp,
    /// What lies on the sides up to the liner's edge.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub side_build_up: BuildUp,
    /// What lies on the rim and the banks outside.
    #[serde(default, skip_serializing_if = "BuildUp::is_none")]
    pub bank_build_up: BuildUp,
}

/// A kind of bed for which a table gives Manning's n.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum StreamBed {
    /// Of a mountain stream: gravel, cobbles and few boulders.
    GravelAndCobbles,
    /// Of a mountain stream: cobbles with large boulders.
    CobblesAndBoulders,
    /// Clean and straight.
    CleanAndStraight,
    /// Winding, with stones.
    WindingWithStones,
    /// A liner on which nothing lies.
    BareLiner,
    /// Stones set in mortar.
    MortaredStone,
    /// Concrete, smoothed.
    SmoothConcrete,
}

/// A rock that stands in the bed and parts the water.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Island {
    /// Its outline, closed, within the bed.
    pub outline: Curve,
    /// Elevation of its top.
    pub top_m: f64,
}

/// The stream's section at one distance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Station {
    /// Distance from the head along the line.
    pub along_m: f64,
    /// Elevation of the bed.
    pub invert_m: f64,
    /// Width of the bed, level across.
    pub bed_width_m: f64,
    /// Slope of the sides up to the liner's edge: run per rise.
    pub side: f64,
    /// Height of the liner's edge above the bed, left and right looking downstream.
    pub edge_m: [f64; 2],
}

/// A drop in the bed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fall {
    /// Distance from the head along the line.
    pub along_m: f64,
    /// Elevation of the crest.
    pub crest_m: f64,
    /// Width of the crest.
    pub crest_width_m: f64,
    /// Height from the crest down to the bed below.
    pub drop_m: f64,
    /// Depth of the bed above the crest below the crest: a pool that stays full.
    #[serde(default)]
    pub pool_m: f64,
    /// Stones side by side that make the crest, left to right looking downstream; none where it is
    /// level over its width.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<CrestPart>,
    /// Diameter of its edge stones, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stone_m: Option<f64>,
    /// How far its stone face runs out from crest to foot, where the water is to run down it; none where
    /// it is upright or undercut.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face_run_m: Option<f64>,
}

/// A part of a crest over which the water parts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CrestPart {
    /// Width across the water.
    pub width_m: f64,
    /// Height of its top above the crest's elevation.
    pub above_m: f64,
}

impl StreamBed {
    /// Every kind.
    pub const ALL: [Self; 7] = [
        Self::GravelAndCobbles,
        Self::CobblesAndBoulders,
        Self::CleanAndStraight,
        Self::WindingWithStones,
        Self::BareLiner,
        Self::MortaredStone,
        Self::SmoothConcrete,
    ];

    /// Whether water may carry some of it away.
    pub fn is_loose(self) -> bool {
        match self {
            Self::GravelAndCobbles
            | Self::CobblesAndBoulders
            | Self::CleanAndStraight
            | Self::WindingWithStones => true,
            Self::BareLiner | Self::MortaredStone | Self::SmoothConcrete => false,
        }
    }
}
