//! The works: what is dug, raised and held, each with its own parameters.
//!
//! One file per kind; [`WorkKind`] lists them all.

mod basin;
mod build_up;
mod filter_bed;
mod hill;
mod intake_bay;
mod pad;
mod path;
mod plane_grade;
mod stream;
mod strip;
mod trench;
mod wall;

use serde::{Deserialize, Serialize};

pub use basin::{Basin, BasinRing, Floor, RingShape};
pub use build_up::BuildUp;
pub use filter_bed::{FilterBed, Lip};
pub use hill::{Flank, Hill};
pub use intake_bay::{IntakeBay, Sill};
pub use pad::{Pad, PadPurpose, Plane};
pub use path::{Path, StepRule, SteppingStones};
pub use plane_grade::PlaneGrade;
pub use stream::{CrestPart, Fall, Island, Station, Stream, StreamBed};
pub use strip::Strip;
pub use trench::Trench;
pub use wall::{Side, Tier, TopRun, Wall, WallMaterial};

/// Names a work for good: never reused within a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct WorkId(pub u32);

/// One work of the site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// Its id, above zero.
    pub id: WorkId,
    /// What people call it.
    pub name: String,
    /// Anything worth remembering.
    #[serde(default)]
    pub note: String,
    /// The name of the group that it is listed in; empty for those of its kind.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub group: String,
    /// Whether it is built; a hidden work moves no earth.
    #[serde(default = "shown")]
    pub visible: bool,
    /// What it is, with its parameters.
    pub kind: WorkKind,
}

/// Every kind of work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum WorkKind {
    /// A pond.
    Basin(Basin),
    /// Running water with falls.
    Stream(Stream),
    /// Raised ground.
    Hill(Hill),
    /// A retaining wall.
    Wall(Wall),
    /// A planted filter.
    FilterBed(FilterBed),
    /// Where the pump draws.
    IntakeBay(IntakeBay),
    /// A plane place.
    Pad(Pad),
    /// A path.
    Path(Path),
    /// A lawn that falls one way.
    PlaneGrade(PlaneGrade),
    /// A pipe's trench.
    Trench(Trench),
    /// Topsoil taken off.
    Strip(Strip),
}

/// A line or outline drawn in plan through points, in local metres.
///
/// An outline does not repeat its first point.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    /// The drawn points.
    pub points: Vec<[f64; 2]>,
    /// Whether a smooth curve runs through them rather than straight pieces.
    #[serde(default = "shown")]
    pub smooth: bool,
}

fn shown() -> bool {
    true
}
