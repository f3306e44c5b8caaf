//! From a site's parameters to surfaces, volumes and findings.
//!
//! [`evaluate`] is total: a poor site gives a result and findings.

mod checks;
mod earth;
mod evaluate;
mod evaluation;
mod finding;
mod memo;
pub mod part;
mod recut;
mod stages;
mod survey;
mod water;
mod works;

pub use checks::{Bearing, Mound, Skyline, mounds, remedy, shots_wanted};
pub use evaluate::{Evaluator, evaluate};
pub use evaluation::{
    Earth, Evaluation, HaulOutcome, OpenEnd, Problem, Shape, Sheet, SheetMaterial, SurveyOutcome,
    Suspect, SuspectKind, WaterBody, WorkOutcome,
};
pub use finding::{Code, Finding, Measured, Remedy, Severity, Unit};
pub use survey::levels;
