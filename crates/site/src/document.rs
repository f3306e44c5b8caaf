//! The parts of a site that are not works.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use units::LengthUnit;

use crate::earth::{Carry, Digging, Haul, Soils, Stockpile};
use crate::keep_out::{House, KeepOut};
use crate::{Circulation, LevelNotes, Limits, Picture, Weather, Work, WorkId};

/// A whole site: what was surveyed, what is to be built, and the limits to check it by.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// The version of this document's layout.
    pub format: u32,
    /// What people call the site.
    pub title: String,
    /// Units and origin.
    pub frame: Frame,
    /// What was measured on the ground; shared, since it seldom changes.
    pub survey: Arc<Survey>,
    /// The ground's materials.
    #[serde(default)]
    pub soils: Soils,
    /// The works in the order in which they are built.
    #[serde(default)]
    pub works: Vec<Work>,
    /// The next work's id; ids are never reused.
    pub next_id: u32,
    /// How the water is moved; nothing where that is not planned yet.
    #[serde(default, skip_serializing_if = "Circulation::is_none")]
    pub circulation: Circulation,
    /// The weather that it is planned for; nothing where that is not known.
    #[serde(default, skip_serializing_if = "Weather::is_none")]
    pub weather: Weather,
    /// Houses and other buildings that stay.
    #[serde(default)]
    pub houses: Vec<House>,
    /// What else stays, or must not be touched.
    #[serde(default)]
    pub keep_outs: Vec<KeepOut>,
    /// Limits of the checks.
    #[serde(default)]
    pub limits: Limits,
    /// How the ground is dug and filled.
    #[serde(default)]
    pub digging: Digging,
    /// The trucks.
    #[serde(default)]
    pub haul: Haul,
    /// What carries earth within the site.
    #[serde(default)]
    pub carry: Carry,
    /// Where earth may be heaped.
    #[serde(default)]
    pub stockpiles: Vec<Stockpile>,
    /// Where people look at the garden from.
    #[serde(default)]
    pub viewpoints: Vec<Viewpoint>,
    /// Plans and aerials that are draped on the ground.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<Picture>,
}

/// Units for people and the place of the local frame in the world.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// The unit of length that people read and write.
    pub unit: LengthUnit,
    /// Lattice step in micrometres: 1, 10, 100 or 1000.
    pub step_um: u32,
    /// World easting and northing of the local origin, in metres.
    pub origin_m: [f64; 2],
    /// Name of the horizontal datum, free text.
    #[serde(default)]
    pub horizontal_datum: String,
    /// Name of the vertical datum, free text.
    #[serde(default)]
    pub vertical_datum: String,
}

/// What was measured on the ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// Name of the point list or level book in the site's folder; what it holds is not stored in
    /// `site.ron`. Empty where level notes are typed instead.
    pub file: String,
    /// The points, read from `file` when the site is opened.
    #[serde(skip)]
    pub points: Vec<SurveyPoint>,
    /// Breaklines, besides those that the points' codes make.
    #[serde(skip)]
    pub breaklines: Vec<SurveyLine>,
    /// Codes whose points join to breaklines, in the order of the list.
    #[serde(default)]
    pub line_codes: Vec<String>,
    /// The outline of the survey, local metres; empty for the convex hull.
    #[serde(default)]
    pub boundary: Vec<[f64; 2]>,
    /// Outlines without ground, local metres.
    #[serde(default)]
    pub voids: Vec<Vec<[f64; 2]>>,
    /// Names of points that are set aside: strays and shots known to be wrong.
    #[serde(default)]
    pub set_aside: Vec<String>,
    /// Vertical accuracy of one shot, in metres, taken as a bias over an area.
    pub accuracy_m: f64,
    /// Level notes, typed here or read from `file` where that is a level book; what they make of the
    /// ground is computed.
    #[serde(default)]
    pub levels: Option<LevelNotes>,
}

/// One surveyed point in the local frame.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyPoint {
    /// Name or number in the point list.
    pub name: String,
    /// Local easting, northing and elevation in metres.
    pub at_m: [f64; 3],
    /// Code as written in the point list.
    pub code: String,
    /// Line of the point list, for messages.
    pub line: u32,
}

/// One breakline in the local frame.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyLine {
    /// The code that made it.
    pub code: String,
    /// Local easting, northing and elevation of each vertex in metres.
    pub points_m: Vec<[f64; 3]>,
}

/// A place from which people look at the garden.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Viewpoint {
    /// What people call it.
    pub name: String,
    /// Where the eye stands, local metres.
    pub at_m: [f64; 2],
    /// Height of the eye above finished ground there, metres.
    pub eye_m: f64,
    /// The place looked at, local metres east, north, up.
    pub toward_m: [f64; 3],
}

impl Site {
    /// The layout of the document that this program writes.
    pub const FORMAT: u32 = 8;

    /// The work with this id, if it stands in the site.
    pub fn work(&self, id: WorkId) -> Option<&Work> {
        self.works.iter().find(|work| work.id == id)
    }
}
