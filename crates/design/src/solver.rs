//! The least change of some freed numbers that reaches goals, under the checks.
//!
//! *Least* is the sum of the squares of all changes, each divided by the room that its number was
//! given (its greatest value less its least): a number with little room moves little, one with
//! twice the room moves twice as readily. *Under the checks* means that no finding that says stop may
//! come up which did not stand before; a number that would bring one up goes no further.
//!
//! Goals that follow smoothly from the numbers (earth, wall tops) are reached by successive least
//! changes under goals made linear ([`least`]); the measure of a mound goes in steps, and is
//! bracketed and bisected along the least change ([`drive`]). What is found is rounded to what a crew
//! sets out ([`round`]) and evaluated once more, so that every number told is the edited site's own.
//! The same site, numbers and goals always give the same answer.

mod drive;
mod goal;
mod least;
mod moves;
mod number;
mod outcome;
mod problem;
mod restore;
mod round;
mod steps;

use site::Site;

use crate::{Code, Evaluator};
use goal::Rows;
use problem::Problem;

pub use goal::{Goal, SAME_EARTH_M3};
pub use number::{Adjustable, Ends, Number, adjustables};
pub use outcome::{Bound, Changed, GoalOutcome, GoalPart, Measures, Outcome, Reached};
pub use steps::step_of;

/// The site with a number set to a value, in SI, and all that hangs on it moved along, as the solver
/// would; none where the site has no such number.
pub fn set_to(site: &Site, number: &Number, value: f64) -> Option<Site> {
    let from = number.on(site)?.value;
    Some(moves::moved(site, &[moves::Move { number, from, to: value }]))
}

/// A number that the solver may change, and how far.
#[derive(Clone, Debug, PartialEq)]
pub struct Freed {
    /// The number.
    pub number: Number,
    /// Its least value, in SI.
    pub least: f64,
    /// Its greatest value, in SI.
    pub most: f64,
}

/// Why nothing was solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SolveError {
    /// No number was freed.
    #[error("no number is freed: name one with its least and its greatest value")]
    NothingFreed,
    /// No goal was named.
    #[error("no goal is named")]
    NoGoal,
    /// The site has no such number, or its work is hidden.
    #[error("freed number {0}: the site builds nothing that has it")]
    Unknown(usize),
    /// A bound is no number.
    #[error("{label}: its bounds must be numbers, not {least} and {most}")]
    NotANumber {
        /// What people call the number.
        label: String,
        /// The least value given.
        least: f64,
        /// The greatest value given.
        most: f64,
    },
    /// The least value is not below the greatest.
    #[error("{label}: its least value, {least}, must be below its greatest, {most}")]
    NoRoom {
        /// What people call the number.
        label: String,
        /// The least value given.
        least: f64,
        /// The greatest value given.
        most: f64,
    },
    /// A bound lies beyond what the number can be.
    #[error("{label}: it can be {least} to {most}, not {given}")]
    Beyond {
        /// What people call the number.
        label: String,
        /// The least that it can be.
        least: f64,
        /// The greatest that it can be.
        most: f64,
        /// The bound given.
        given: f64,
    },
    /// A number is freed twice.
    #[error("{0} is freed twice")]
    Twice(String),
    /// A goal asks for a volume that is no number.
    #[error("spoil must be a number of cubic metres, not {0}")]
    Volume(f64),
    /// A goal is about something that the site has not.
    #[error("{0}")]
    NothingToReach(&'static str),
    /// A number lies outside its bounds, and the nearest value within them brings up a finding that
    /// says stop.
    #[error("within these bounds {} comes up, which says stop: give the numbers as they are room", .0.as_str())]
    Stops(Code),
    /// The survey makes no ground.
    #[error("there is no ground to work on: {0}")]
    NoGround(String),
    /// The site's soils or trucks make no balance of earth.
    #[error("the earth of this site is not known: its soils or trucks make no sum")]
    NoBalance,
}

/// Finds the least change of the freed numbers that reaches the goals, under the checks.
///
/// Where a goal cannot be reached, the outcome comes as near as the numbers allow, and says what
/// binds. A warm `evaluator` saves the first evaluation.
///
/// # Errors
/// [`SolveError`] when what was asked makes no sense on this site.
///
/// # Source
/// Least changes under linear constraints by dual coordinate ascent: C. Hildreth, *A quadratic
/// programming procedure* (1957). Slopes kept up between evaluations: C. G. Broyden, *A class of
/// methods for solving nonlinear simultaneous equations* (1965).
pub fn solve(
    evaluator: &mut Evaluator,
    site: &Site,
    freed: &[Freed],
    goals: &[Goal],
) -> Result<Outcome, SolveError> {
    let freed = number::checked(site, freed)?;
    let evaluation = evaluator.evaluate(site);
    if evaluation.finished.is_none() {
        let reason = evaluation.survey.refused.unwrap_or_else(|| "the survey is empty".into());
        return Err(SolveError::NoGround(reason));
    }
    let rows = Rows::of(site, &evaluation, goals)?;
    let mut problem = Problem::new(evaluator, site, &evaluation, freed, rows);
    let mut found = problem.start();
    let mut unrounded = found.clone();
    if let Some((code, _)) = found.raised.first() {
        return Err(SolveError::Stops(*code));
    }
    if !problem.is_reached(&found) {
        problem.find_slopes(&found);
        found = problem.restored(found, None);
        if problem.freed.len() > 1 && problem.has_smooth_goals() {
            // Slopes where it ends are those that make the change the least.
            problem.find_slopes(&found);
            found = problem.restored(found, None);
        }
        unrounded = problem.driven(found);
        found = problem.rounded(unrounded.clone());
    }
    Ok(problem.outcome([&unrounded, &found], &evaluation))
}
