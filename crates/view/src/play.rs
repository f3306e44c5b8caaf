//! Play the job: the steps from survey to water, one after another.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::job::{Step, job};

use crate::derive::Derived;
use crate::document::Document;
use crate::scene::Stage;
use crate::scene::present::{Layers, Shown, Switch};
use crate::schedule::ViewSet;

/// Seconds for which a step is seen before the next one comes.
const STEP_S: f32 = 1.8;

/// The steps, and where the job stands: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Play {
    /// Whether the job is shown.
    pub shown: Switch,
    /// Whether it goes on by itself.
    pub runs: Switch,
    /// The step that is shown.
    pub at: usize,
    /// The steps, of the document's revision beside them.
    pub steps: Option<(u64, Arc<Vec<Step>>)>,
    seen_s: f32,
}

impl Play {
    /// The steps that belong to a revision.
    pub(crate) fn steps_of(&self, revision: u64) -> Option<Arc<Vec<Step>>> {
        let (known, steps) = self.steps.as_ref()?;
        (*known == revision).then(|| Arc::clone(steps))
    }

    /// The last step's number, once there are steps.
    pub(crate) fn last(&self) -> usize {
        self.steps.as_ref().map_or(0, |(_, steps)| steps.len().saturating_sub(1))
    }

    /// Opens the job at its start, or closes it.
    pub(crate) fn turn(&mut self) {
        *self = Self { shown: self.shown.turned(), steps: self.steps.take(), ..Self::default() };
    }

    /// Goes to a step, and stays there.
    pub(crate) fn go(&mut self, at: usize) {
        (self.at, self.seen_s, self.runs) = (at.min(self.last()), 0.0, Switch::Off);
    }

    /// Lets the job go on, or holds it; at its end it begins again.
    pub(crate) fn run_or_hold(&mut self) {
        self.runs = self.runs.turned();
        self.seen_s = 0.0;
        if self.runs == Switch::On && self.at >= self.last() {
            self.at = 0;
        }
    }

    /// Goes on by a time while it runs; waits where the job must wait.
    fn pass(&mut self, seconds: f32) {
        let Some((_, steps)) = &self.steps else { return };
        self.seen_s += seconds;
        if self.runs == Switch::Off || self.seen_s < STEP_S {
            return;
        }
        self.seen_s = 0.0;
        self.at = (self.at + 1).min(self.last());
        let waits = steps.get(self.at).is_some_and(|step| step.wait.is_some());
        if waits || self.at == self.last() {
            self.runs = Switch::Off;
        }
    }
}

/// The steps that are being worked out.
#[derive(Resource, Default)]
pub(crate) struct Planning(Option<(u64, Task<Vec<Step>>)>);

impl Planning {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.0.is_some()
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Play>();
    app.init_resource::<Planning>();
    app.add_systems(Update, (plan, pass, show).chain().in_set(ViewSet::Derive));
}

/// Makes the steps anew where the site has changed.
fn plan(
    document: Res<Document>,
    derived: Res<Derived>,
    mut play: ResMut<Play>,
    mut planning: ResMut<Planning>,
) {
    if let Some((revision, task)) = &mut planning.0 {
        let Some(steps) = block_on(poll_once(task)) else { return };
        play.steps = Some((*revision, Arc::new(steps)));
        planning.0 = None;
        play.at = play.at.min(play.last());
    }
    let Some(evaluation) = derived.evaluation.clone() else { return };
    let is_current = derived.revision == document.revision();
    if play.shown == Switch::On && is_current && play.steps_of(derived.revision).is_none() {
        let site = document.site().clone();
        let task = AsyncComputeTaskPool::get().spawn(async move { job(&site, &evaluation) });
        planning.0 = Some((derived.revision, task));
    }
}

/// Time passes for a step once it is on the screen.
fn pass(time: Res<Time<Real>>, shown: Res<Shown>, mut play: ResMut<Play>) {
    let is_seen = shown.scene.as_ref().is_some_and(|scene| scene.stage == Stage::Job(play.at));
    if play.runs == Switch::On && is_seen {
        play.pass(time.delta_secs());
    }
}

/// The ground that is drawn follows the job while it is shown.
fn show(play: Res<Play>, mut layers: ResMut<Layers>) {
    let wanted = match (play.shown, layers.stage) {
        (Switch::On, _) => Stage::Job(play.at),
        (Switch::Off, Stage::Job(_)) => Stage::Finished,
        (Switch::Off, other) => other,
    };
    if layers.stage != wanted {
        layers.stage = wanted;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_job_goes_on_waits_where_it_must_and_ends() {
        let site = crate::demo::rear_garden();
        let steps = job(&site, &design::evaluate(&site));
        let n = steps.len();
        let waits: Vec<usize> = (1..n).filter(|&at| steps[at].wait.is_some()).collect();
        let mut play = Play { steps: Some((1, Arc::new(steps))), ..Play::default() };
        play.turn();
        let mut stops = Vec::new();
        for _ in 0..3 * n {
            if play.runs == Switch::Off {
                stops.push(play.at);
                if play.at == n - 1 {
                    break;
                }
                play.run_or_hold();
            }
            play.pass(STEP_S);
        }
        let expected: Vec<usize> = [0].into_iter().chain(waits).chain([n - 1]).collect();
        assert_eq!(stops, expected);
        play.run_or_hold();
        assert_eq!((play.at, play.runs), (0, Switch::On));
    }
}
