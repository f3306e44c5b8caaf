//! What stays in the garden, or must not be touched: houses, gates, trees, buried lines, drains,
//! boundaries, septic fields.

use serde::{Deserialize, Serialize};

/// A building that stays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct House {
    /// What people call it.
    pub name: String,
    /// Its outline, local metres.
    pub outline_m: Vec<[f64; 2]>,
    /// Elevation of its floor, metres.
    pub floor_m: f64,
    /// Elevation of its lowest sill, over which water would run in, metres.
    pub sill_m: f64,
    /// Height of its eaves above the floor, metres.
    pub height_m: f64,
}

/// Something that stays, or that earthwork must keep clear of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeepOut {
    /// What people call it.
    pub name: String,
    /// Anything worth remembering.
    #[serde(default)]
    pub note: String,
    /// What it is.
    pub kind: KeepOutKind,
}

/// What is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum KeepOutKind {
    /// A tree with its roots.
    Tree(Tree),
    /// A pipe or a cable in the ground.
    BuriedLine(BuriedLine),
    /// A drain whose invert is known.
    Drain(Drain),
    /// A boundary with the distance to keep from it.
    Boundary(Boundary),
    /// A septic tank or field with the distance to keep from it.
    Septic(Septic),
    /// A gate, through which all comes in.
    Gate(Gate),
}

/// A tree.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tree {
    /// Middle of the stem, local metres.
    pub at: [f64; 2],
    /// Diameter of the stem at breast height, metres.
    pub stem_m: f64,
    /// Radius of the roots to keep for each diameter of the stem, as chosen for this tree.
    pub roots_per_stem: f64,
}

impl Tree {
    /// Radius of the root zone for each diameter of the stem at 1.5 m, as BS 5837:2012 section 4.6
    /// gives it for a single stem; from memory.
    pub const PUBLISHED_ROOTS_PER_STEM: f64 = 12.0;

    /// Radius of the root zone by the published rule, metres.
    pub fn published_roots_m(&self) -> f64 {
        Self::PUBLISHED_ROOTS_PER_STEM * self.stem_m
    }

    /// Radius of the root zone as chosen for this tree, metres.
    pub fn roots_m(&self) -> f64 {
        self.roots_per_stem * self.stem_m
    }
}

/// A pipe or a cable in the ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuriedLine {
    /// What runs in it.
    pub carries: Service,
    /// Where it runs, local metres.
    pub line_m: Vec<[f64; 2]>,
    /// Depth of its top below existing ground, metres.
    pub depth_m: f64,
    /// How surely that is known.
    pub certainty: Certainty,
    /// Distance to keep from it, metres.
    pub clearance_m: f64,
}

/// What a buried line carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Service {
    /// Electricity.
    Power,
    /// Gas.
    Gas,
    /// Drinking water.
    Water,
    /// Waste water or rain.
    Sewer,
    /// Telephone or data.
    Data,
    /// Nobody knows.
    Unknown,
}

impl Service {
    /// What people call it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Power => "electricity",
            Self::Gas => "gas",
            Self::Water => "water",
            Self::Sewer => "sewer",
            Self::Data => "data",
            Self::Unknown => "unknown",
        }
    }
}

/// How surely a buried line's place and depth are known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Certainty {
    /// Laid open by hand and measured.
    Exposed,
    /// Found from above with an instrument.
    Traced,
    /// Taken from a plan.
    FromPlans,
    /// Guessed.
    Assumed,
}

/// A drain.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drain {
    /// Where it is, local metres.
    pub at: [f64; 2],
    /// Elevation of its invert, metres.
    pub invert_m: f64,
}

/// A boundary.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Boundary {
    /// Where it runs, local metres.
    pub line_m: Vec<[f64; 2]>,
    /// Distance to keep from it, metres.
    pub setback_m: f64,
}

/// A septic tank or field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Septic {
    /// Its outline, local metres.
    pub outline_m: Vec<[f64; 2]>,
    /// Distance to keep from it, metres.
    pub setback_m: f64,
}

/// A gate.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gate {
    /// One post, local metres.
    pub from: [f64; 2],
    /// The other post, local metres.
    pub to: [f64; 2],
}

impl Gate {
    /// Clear width between the posts, metres.
    pub fn width_m(&self) -> f64 {
        libm::hypot(self.to[0] - self.from[0], self.to[1] - self.from[1])
    }
}
