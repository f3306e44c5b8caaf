//! From a site's parameters to surfaces, volumes and findings.
//!
//! [`evaluate`] is total: a poor site gives a result and findings.

mod beside_walls;
mod built;
mod checks;
mod earth;
mod earth_pressure;
mod evaluate;
mod evaluation;
mod filter_gravel;
mod finding;
mod follows;
mod footprint;
pub mod hand;
mod handling;
pub mod job;
mod joined_water;
mod kept;
mod layers;
mod ledger;
mod measured;
mod memo;
pub mod part;
mod plates;
mod rectangle;
mod recut;
mod running;
pub mod section;
mod soil_layers;
pub mod solver;
mod stages;
mod stretch;
mod subgrade;
mod survey;
mod threads;
mod trench;
mod versions;
mod water;
mod work_done;
mod works;

pub use ::water::{FallKind, TabulatedBed, Trust};
pub use checks::{Bearing, Mound, Skyline, mounds, remedy, shots_wanted};
pub use evaluate::{Evaluator, evaluate};
pub use evaluation::{
    Earth, Evaluation, HaulOutcome, Lift, OpenEnd, Problem, Shape, Sheet, SheetMaterial,
    SoilOutcome, Stone, SurveyOutcome, Suspect, SuspectKind, TopsoilOutcome, WaterBody, WaterKind,
    WorkOutcome,
};
pub use filter_gravel::filter_gravel;
pub use finding::{Code, Finding, Measured, Remedy, Severity, Unit};
pub use handling::{
    Carried, CarryOutcome, Handling, HeapOutcome, Passing, TruckOutcome, Waiting, handling,
};
pub use kept::{Cover, HouseOutcome, KeptOutcome, houses, kept};
pub use layers::LaidVolumes;
pub use running::{
    ArmsOutcome, BayLevels, CrestOutcome, CrestPlace, DrainOutcome, FilterOutcome, FlowTaken,
    Heading, Known, LineDuty, PartFlow, PondLevels, PondOutcome, PondRounds, PumpDuty, PumpOutcome,
    RainOutcome, Rounds, RunPoint, Running, SoilWater, StreamOutcome, StreamWater, Unknown,
    Uplifts, Washing, WaterPlan, WayOut, bed_row, rounds, running, running_if, water_plan,
    with_flow,
};
pub use subgrade::Between;

pub use survey::levels;
pub use threads::Threads;
pub use trench::TrenchOutcome;
pub use versions::Versions;
pub use work_done::{AnswerKind, Clock, WorkDone};
