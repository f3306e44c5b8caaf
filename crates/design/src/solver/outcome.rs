//! What the solver found: what it changed, what that reached, and what binds.

use site::field::Quantity;
use site::{Site, WorkId};

use super::problem::{Point, Problem};
use super::{Goal, Number};
use crate::{Code, Evaluation, Finding};

pub use super::goal::Measures;

/// What came of it.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The edited site.
    pub site: Site,
    /// What follows from the site as it was.
    pub before: Evaluation,
    /// What follows from the edited one.
    pub after: Evaluation,
    /// Every freed number, in the order given.
    pub numbers: Vec<Changed>,
    /// Every goal, in the order given.
    pub goals: Vec<GoalOutcome>,
    /// The measure of the change: the sum of the squares of all changes, each divided by the room that
    /// its number was given.
    pub effort: f64,
    /// Findings that came up, the gravest first; none of them says stop.
    pub raised: Vec<Finding>,
    /// Findings that went.
    pub cleared: Vec<Finding>,
    /// Evaluations that it took.
    pub n_evaluations: usize,
}

/// One freed number.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    /// The number; one on which others hang stands for a parameter of the card.
    pub number: Number,
    /// What people call it: "Lawn: Level".
    pub label: String,
    /// What it measures.
    pub quantity: Quantity,
    /// What it was, in SI.
    pub from: f64,
    /// What it is now, in SI.
    pub to: f64,
    /// Its bounds as given, in SI.
    pub bounds: [f64; 2],
    /// What keeps it from going farther, where something does.
    pub bound: Option<Bound>,
}

/// What keeps a number from going farther.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Its least value.
    Least,
    /// Its greatest value.
    Most,
    /// A finding that would say stop.
    Stop {
        /// What it would be about.
        code: Code,
        /// The work that it would be about.
        work: Option<WorkId>,
    },
}

/// What came of one goal.
#[derive(Clone, Debug, PartialEq)]
pub struct GoalOutcome {
    /// The goal.
    pub goal: Goal,
    /// What of it is measured: one number, or one for each material or wall.
    pub parts: Vec<GoalPart>,
    /// Whether it is reached, and why not.
    pub reached: Reached,
}

/// One number by which a goal is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GoalPart {
    /// What it measures.
    pub measures: Measures,
    /// What it was, in SI.
    pub before: f64,
    /// What it is now, in SI.
    pub after: f64,
    /// Within what it reaches its goal, in SI; a side that does not matter is infinite.
    pub band: [f64; 2],
}

/// Whether a goal is reached.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reached {
    /// It is.
    Yes,
    /// It is not: these freed numbers, by their place in the list, would bring it nearer and are bound.
    BoundBy(Vec<usize>),
    /// It is not: no freed number moves it.
    NothingMovesIt,
    /// It is not: it lies between two steps of what a crew sets out.
    BetweenSteps,
    /// It is not: what would bring it nearer takes another goal farther off.
    OthersInTheWay,
}

impl GoalPart {
    /// How far it is off: below zero where it must grow.
    pub fn off(&self) -> f64 {
        let [low, high] = self.band;
        if self.after < low { self.after - low } else { (self.after - high).max(0.0) }
    }

    /// Whether it lies within its band.
    pub fn is_met(&self) -> bool {
        self.after >= self.band[0] && self.after <= self.band[1]
    }
}

impl Outcome {
    /// Whether every goal is reached.
    pub fn is_reached(&self) -> bool {
        self.goals.iter().all(|goal| goal.reached == Reached::Yes)
    }
}

impl Problem<'_> {
    /// What a place comes to, with the site evaluated once more.
    ///
    /// `unrounded` is the place before its numbers were rounded.
    pub(super) fn outcome(
        &mut self,
        [unrounded, found]: [&Point; 2],
        before: &Evaluation,
    ) -> Outcome {
        let site = self.site_at(&found.x);
        let after = self.evaluated(&site);
        let numbers: Vec<Changed> = (0..self.freed.len()).map(|i| self.changed(found, i)).collect();
        let start = self.start();
        let goals = self.goals([&start, unrounded, found], &numbers);
        Outcome {
            effort: self.effort(found),
            raised: only_in(&after, before),
            cleared: only_in(before, &after),
            n_evaluations: self.n_evaluations,
            site,
            before: before.clone(),
            after,
            numbers,
            goals,
        }
    }

    fn changed(&self, found: &Point, i: usize) -> Changed {
        let (number, to) = (&self.freed[i], found.x[i]);
        let is_at = |z: f64| (number.x(z) - to).abs() < number.step.size();
        let bound = |side: usize| match self.held[i][side] {
            Some((code, work)) => Bound::Stop { code, work },
            None => [Bound::Least, Bound::Most][side],
        };
        let at = (0..2).filter(|&side| is_at(self.bounds[i][side]));
        Changed {
            number: number.number.clone(),
            label: number.label.clone(),
            quantity: number.quantity,
            from: number.from,
            to,
            bounds: [number.least, number.most],
            // A number with less room than two steps is at both: the side it went to is told.
            bound: at.max_by_key(|&side| (side == 1) == (to > number.from)).map(bound),
        }
    }

    fn goals(
        &self,
        [start, unrounded, found]: [&Point; 3],
        numbers: &[Changed],
    ) -> Vec<GoalOutcome> {
        let of = |(place, &goal): (usize, &Goal)| {
            let own = |row: usize| self.rows.rows[row].goal == place;
            let rows: Vec<usize> = (0..self.rows.rows.len()).filter(|&row| own(row)).collect();
            let part = |&row: &usize| GoalPart {
                measures: self.rows.rows[row].measures,
                before: start.values[row],
                after: found.values[row],
                band: self.rows.rows[row].band,
            };
            let parts: Vec<GoalPart> = rows.iter().map(part).collect();
            let missed = rows.iter().zip(&parts).find(|(_, part)| !part.is_met());
            let was_met = |row: usize| self.rows.rows[row].off(unrounded.values[row]) == 0.0;
            let reached = match missed {
                None => Reached::Yes,
                Some((&row, _)) if was_met(row) => Reached::BetweenSteps,
                Some((&row, part)) => self.why(row, part, found, numbers),
            };
            GoalOutcome { goal, parts, reached }
        };
        self.rows.goals.iter().enumerate().map(of).collect()
    }

    /// Why a row is not met.
    fn why(&self, row: usize, part: &GoalPart, found: &Point, numbers: &[Changed]) -> Reached {
        let is_smooth = self.rows.rows[row].is_smooth();
        let slopes = if is_smooth { &self.slopes[row] } else { &self.gains };
        if slopes.iter().all(|slope| *slope == 0.0) {
            return Reached::NothingMovesIt;
        }
        let change = self.change(found);
        // Toward more where it lacks, and toward less where it has too much.
        let wanted = if part.off() < 0.0 { 1.0 } else { -1.0 };
        let is_bound = |&i: &usize| {
            let up = slopes[i] * wanted > 0.0;
            let [low, high] = self.bounds[i];
            let room = if up { high - change[i] } else { change[i] - low };
            let number = &self.freed[i];
            let step = number.step.size() / (number.most - number.least);
            slopes[i] != 0.0 && numbers[i].bound.is_some() && room < step
        };
        let binds: Vec<usize> = (0..slopes.len()).filter(is_bound).collect();
        if binds.is_empty() { Reached::OthersInTheWay } else { Reached::BoundBy(binds) }
    }
}

/// The findings of one evaluation that another has none like, by code and work.
fn only_in(these: &Evaluation, those: &Evaluation) -> Vec<Finding> {
    let is_like = |a: &Finding, b: &Finding| (a.code, a.work) == (b.code, b.work);
    let is_new = |one: &&Finding| !those.findings.iter().any(|other| is_like(one, other));
    these.findings.iter().filter(is_new).cloned().collect()
}
