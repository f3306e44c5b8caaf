//! The balance of the earth on the screen: numbers that may change, what they are to reach, and what the
//! solver made of it. It runs off the main thread and changes nothing until its answer is taken.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::Evaluator;
use design::solver::{Adjustable, Freed, Goal, Number, Outcome, SolveError, adjustables, solve};
use site::Site;
use site::field::Quantity;

use crate::document::Document;
use crate::scene::present::Switch;
use crate::schedule::ViewSet;

/// Room that a number is given at first: a foot up and down for what is set out by level.
const ROOM_M: f64 = 0.3;
/// Other numbers get a quarter of what they are, and where that is next to nothing this much.
const ROOM_SHARE: f64 = 0.25;
const LEAST_ROOM: f64 = 0.05;

/// What the solver found, or why it found nothing.
pub(crate) type Found = Result<Told, SolveError>;

/// What the solver found, with its words.
#[derive(Clone, Debug)]
pub(crate) struct Told {
    /// The least change.
    pub outcome: Outcome,
    /// Line by line as the command line tells it.
    pub words: String,
}

/// What is asked, and what came of it: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Solving {
    /// Whether its sheet is open.
    pub shown: Switch,
    /// The numbers that may change, with their bounds.
    pub freed: Vec<Freed>,
    /// What is to be reached.
    pub goals: Vec<Goal>,
    known: Option<(u64, Arc<Vec<Adjustable>>)>,
    found: Option<(u64, Arc<Found>)>,
    under_way: Option<(u64, Task<Found>)>,
}

impl Solving {
    /// Whether the solver is at work.
    pub(crate) fn is_busy(&self) -> bool {
        self.under_way.is_some()
    }

    /// Every number that can be freed, once the sheet is open.
    pub(crate) fn known(&self) -> &[Adjustable] {
        self.known.as_ref().map_or(&[], |(_, known)| known)
    }

    /// What was found for the document as it stands.
    pub(crate) fn found(&self, revision: u64) -> Option<&Found> {
        self.found.as_ref().filter(|(of, _)| *of == revision).map(|(_, found)| &**found)
    }

    /// Lets a number change, within some room about what it is; or holds it again.
    pub(crate) fn turn(&mut self, number: &Number, site: &Site) {
        self.forget();
        if let Some(idx) = self.freed.iter().position(|freed| freed.number == *number) {
            self.freed.remove(idx);
            return;
        }
        let Some(known) = number.on(site) else { return };
        let [least, most] = match known.quantity {
            Quantity::Elevation | Quantity::Length => [known.value - ROOM_M, known.value + ROOM_M],
            _ => {
                let room = (ROOM_SHARE * known.value.abs()).max(LEAST_ROOM);
                [known.value - room, known.value + room]
            }
        };
        let (low, high) = known.range;
        let (least, most) = (least.max(low), most.min(high));
        self.freed.push(Freed { number: number.clone(), least, most });
    }

    /// Sets a bound of a freed number.
    pub(crate) fn bound(&mut self, idx: usize, end: usize, value: f64) {
        self.forget();
        if let Some(freed) = self.freed.get_mut(idx) {
            *(if end == 0 { &mut freed.least } else { &mut freed.most }) = value;
        }
    }

    /// Asks for a goal, or no longer.
    pub(crate) fn turn_goal(&mut self, goal: Goal) {
        self.forget();
        match self.goals.iter().position(|asked| *asked == goal) {
            Some(idx) => drop(self.goals.remove(idx)),
            None => self.goals.push(goal),
        }
    }

    /// Sets the solver to work on the document as it stands.
    pub(crate) fn run(&mut self, revision: u64, site: Arc<Site>) {
        self.forget();
        let (freed, goals) = (self.freed.clone(), self.goals.clone());
        // Its own evaluator, so that edits meanwhile need not wait for it.
        let task = AsyncComputeTaskPool::get().spawn(async move {
            let outcome = solve(&mut Evaluator::default(), &site, &freed, &goals)?;
            Ok(Told { words: exchange::balance::text(&site, &outcome), outcome })
        });
        self.under_way = Some((revision, task));
    }

    /// Drops what was found, and what is still looked for: it answers what was asked before.
    fn forget(&mut self) {
        (self.found, self.under_way) = (None, None);
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Solving>();
    app.add_systems(Update, fetch.in_set(ViewSet::Derive));
}

fn fetch(document: Res<Document>, mut solving: ResMut<Solving>) {
    let solving = solving.bypass_change_detection();
    if let Some((revision, task)) = &mut solving.under_way
        && let Some(found) = block_on(poll_once(task))
    {
        solving.found = Some((*revision, Arc::new(found)));
        solving.under_way = None;
    }
    let revision = document.revision();
    let is_known = solving.known.as_ref().is_some_and(|(of, _)| *of == revision);
    if solving.shown == Switch::On && !is_known {
        solving.known = Some((revision, Arc::new(adjustables(document.site()))));
    }
    // A work that is gone takes its freed numbers along.
    if !document.is_changed() {
        return;
    }
    let site = document.site();
    if solving.freed.iter().any(|freed| freed.number.on(site).is_none()) {
        solving.freed.retain(|freed| freed.number.on(site).is_some());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_is_freed_gets_room_about_what_it_is_and_is_held_again() {
        let site = crate::demo::rear_garden();
        let known = design::solver::adjustables(&site);
        let mut solving = Solving::default();
        for known in &known {
            solving.turn(&known.number, &site);
            let freed = solving.freed.last().unwrap();
            let within = freed.least >= known.range.0 && freed.most <= known.range.1;
            assert!(within && freed.least < freed.most, "{}: {freed:?}", known.label());
        }
        for known in &known {
            solving.turn(&known.number, &site);
        }
        assert!(solving.freed.is_empty());
    }

    #[test]
    fn an_answer_to_what_is_asked_no_longer_is_dropped() {
        AsyncComputeTaskPool::get_or_init(Default::default);
        let mut solving = Solving::default();
        solving.run(1, Arc::new(crate::demo::rear_garden()));
        assert!(solving.is_busy());
        solving.turn_goal(Goal::NoTruck);
        assert!(!solving.is_busy(), "its answer would be to another question");
    }
}
