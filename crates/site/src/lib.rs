//! The site document: works' parameters, edits, history, and its RON file.
//!
//! Only a [`Site`] is stored; everything else is computed from it. All lengths are metres, in the
//! site's local frame: x east, y north, z up.

mod check;
pub mod circulation;
mod crossing;
mod difference;
mod document;
pub mod earth;
mod edit;
pub mod field;
pub mod file;
mod history;
pub mod keep_out;
mod levels;
mod limits;
mod picture;
mod reframe;
pub mod shape;
mod survey_lines;
mod weather;
pub mod works;

pub use check::{Invalid, faults};
pub use circulation::Circulation;
pub use crossing::crossing;
pub use difference::{Difference, Differs, Owner, differences};
pub use document::{Frame, Site, Survey, SurveyLine, SurveyPoint, Viewpoint};
pub use earth::{Carry, Digging, Haul, Machine, Soil, Soils, Stockpile};
pub use edit::{Edit, EditError, apply};
pub use history::{Gesture, History};
pub use keep_out::{House, KeepOut, KeepOutKind};
pub use levels::{LevelFault, LevelNotes, LevelRow, PermittedMisclosure, SetUp, Share};
pub use limits::{ChangedLimit, Limit, Limits};
pub use picture::{Fit, FitError, Picture, Pin};
pub use reframe::reframed;
pub use weather::Weather;
pub use works::{Curve, Work, WorkId, WorkKind};
