//! From the document to an evaluation and a scene, off the main thread.
//!
//! An evaluation counts as current only when its revision is the document's; an older one may be
//! shown meanwhile, and is marked stale.

use std::sync::{Arc, Mutex};

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Evaluation, Evaluator, Threads};
use site::Site;

use crate::document::Document;
use crate::flow::Flow;
use crate::play::Play;
use crate::scene::present::{Layers, Shown, Switch};
use crate::scene::{self, Asked, Scene, Stage};
use crate::schedule::ViewSet;

/// The newest evaluation that came back.
#[derive(Resource, Default)]
pub(crate) struct Derived {
    /// The document's revision that it belongs to.
    pub revision: u64,
    /// What it says.
    pub evaluation: Option<Arc<Evaluation>>,
    /// The site that it was made of: while a hand drags, the document is a step ahead of it.
    pub site: Option<Arc<Site>>,
}

/// Whether shown numbers belong to the document as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Freshness {
    /// They do.
    Current,
    /// They belong to an earlier state.
    Stale,
}

impl Derived {
    /// How fresh the evaluation is.
    pub(crate) fn freshness(&self, document: &Document) -> Freshness {
        if self.revision == document.revision() { Freshness::Current } else { Freshness::Stale }
    }
}

/// What a scene is of: the document's revision, the stage of the ground, the shares of their flows that
/// pumps move, and whether the old ground shows.
#[derive(Clone, Debug, Default, PartialEq)]
struct Wanted {
    revision: u64,
    stage: Stage,
    shares: Vec<f64>,
    ghost: Switch,
}

/// What is being computed.
#[derive(Resource, Default)]
pub(crate) struct Deriving {
    evaluator: Arc<Mutex<Evaluator>>,
    asked: u64,
    evaluating: Option<Evaluating>,
    composed: Wanted,
    composing: Option<(Wanted, Task<Option<Scene>>)>,
}

/// An evaluation under way, of a revision of the document.
struct Evaluating {
    revision: u64,
    site: Arc<Site>,
    task: Task<Option<Evaluation>>,
}

impl Deriving {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.evaluating.is_some() || self.composing.is_some()
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Derived>();
    app.insert_resource(Deriving { evaluator: evaluator(), ..Deriving::default() });
    app.add_systems(Update, (evaluate, compose).chain().in_set(ViewSet::Derive));
}

/// An evaluator on two threads, where the machine has them.
fn evaluator() -> Arc<Mutex<Evaluator>> {
    let n_threads = std::thread::available_parallelism().map_or(1, usize::from);
    Arc::new(Mutex::new(Evaluator::on(if n_threads > 1 { Threads::Two } else { Threads::One })))
}

fn evaluate(document: Res<Document>, mut deriving: ResMut<Deriving>, mut derived: ResMut<Derived>) {
    if let Some(Evaluating { revision, site, task }) = &mut deriving.evaluating {
        let (revision, site) = (*revision, Some(site.clone()));
        let Some(answer) = block_on(poll_once(task)) else { return };
        deriving.evaluating = None;
        if let Some(evaluation) = answer
            && revision > derived.revision
        {
            *derived = Derived { revision, evaluation: Some(Arc::new(evaluation)), site };
        }
    }
    if deriving.asked != document.revision() {
        let (site, evaluator) = (document.site().clone(), deriving.evaluator.clone());
        let revision = document.revision();
        let asked = site.clone();
        let task = AsyncComputeTaskPool::get()
            .spawn(async move { Some(evaluator.lock().ok()?.evaluate(&asked)) });
        deriving.asked = revision;
        deriving.evaluating = Some(Evaluating { revision, site, task });
    }
}

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn compose(
    derived: Res<Derived>,
    play: Res<Play>,
    flow: Res<Flow>,
    mut deriving: ResMut<Deriving>,
    mut shown: ResMut<Shown>,
    mut layers: ResMut<Layers>,
) {
    if let Some((wanted, task)) = &mut deriving.composing {
        let wanted = wanted.clone();
        let Some(scene) = block_on(poll_once(task)) else { return };
        deriving.composing = None;
        if let Some(scene) = scene {
            shown.scene = Some(scene);
            shown.changes += 1;
            shown.revision = wanted.revision;
        }
        deriving.composed = wanted;
    }
    // The scene is drawn from the site that its evaluation belongs to, never from a newer one.
    let Some((evaluation, site)) = derived.evaluation.clone().zip(derived.site.clone()) else {
        return;
    };
    let (revision, stage) = (derived.revision, layers.stage);
    let ghost = layers.existing;
    let wanted = Wanted { revision, stage, shares: flow.shares.clone(), ghost };
    // A step of the job waits until the job is worked out.
    let steps = match layers.stage {
        Stage::Job(_) => match play.steps_of(derived.revision) {
            Some(steps) => steps,
            None => return,
        },
        _ => Arc::default(),
    };
    if deriving.composed != wanted {
        let end = scene::depth::scale_end_m(
            evaluation.earth.deepest_cut_m,
            evaluation.earth.highest_fill_m,
            site.frame.unit,
        ) as f32;
        if layers.depth_end_m != end {
            layers.depth_end_m = end;
        }
        let before = shown.scene.clone();
        let (composed, asked) = (&deriving.composed, wanted.clone());
        let only_flows = Wanted { shares: asked.shares.clone(), ..composed.clone() } == asked;
        let task = AsyncComputeTaskPool::get().spawn(async move {
            if let Some(before) = before.as_ref().filter(|_| only_flows) {
                let mut scene = before.with_pumps_at(&site, &evaluation, &asked.shares);
                scene.share(before);
                return Some(scene);
            }
            let asked = Asked { stage, job: &steps, shares: &asked.shares, ghost };
            let mut scene = scene::scene_after(&site, &evaluation, asked, before.as_ref())?;
            if let Some(before) = &before {
                scene.share(before);
            }
            Some(scene)
        });
        deriving.composing = Some((wanted, task));
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use site::Edit;

    use super::*;
    use crate::document::{Ask, Held};

    #[test]
    fn frames_go_on_while_an_evaluation_is_under_way_and_its_numbers_are_stale_until_then() {
        AsyncComputeTaskPool::get_or_init(Default::default);
        let text = include_str!("../../../demo-sites/rear-garden/site.ron");
        let site = site::file::parse(text).unwrap();
        let mut work = site.works[0].clone();
        let mut app = App::new();
        app.add_plugins((crate::schedule::plugin, crate::document::plugin, plugin))
            .init_resource::<Time<Real>>()
            .init_resource::<Shown>()
            .init_resource::<Layers>()
            .init_resource::<Play>()
            .init_resource::<Flow>()
            .insert_resource(Document::opened(site));
        let is_current = |app: &App| {
            let derived = app.world().resource::<Derived>();
            derived.freshness(app.world().resource::<Document>()) == Freshness::Current
        };
        let settle = |app: &mut App| {
            let start = Instant::now();
            while !is_current(app) {
                assert!(start.elapsed() < Duration::from_secs(60), "no answer came");
                app.update();
            }
        };
        app.update();
        settle(&mut app);

        // Whoever evaluates now waits for this hand to let go; frames must not.
        let evaluator = app.world().resource::<Deriving>().evaluator.clone();
        let held = evaluator.lock().unwrap();
        work.name = "Another name".into();
        app.world_mut().write_message(Ask::Edit(Box::new(Edit::SetWork(work)), Held::Once));
        for _ in 0..20 {
            app.update();
        }
        assert!(!is_current(&app));
        assert!(app.world().resource::<Deriving>().is_busy());
        drop(held);
        settle(&mut app);
    }
}
