//! What a remedy would make of the garden, before it is taken: the changed ground in marking paint, and
//! its numbers. Worked out off the main thread when a finding is read.

use std::sync::{Arc, Mutex};

use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Evaluation, Evaluator};

use crate::choice::Choice;
use crate::derive::Derived;
use crate::document::Document;
use crate::scene::material::Palette;
use crate::scene::present::Shown;
use crate::scene::shape::Shape;
use crate::scene::terrain::{self, Lie};
use crate::schedule::ViewSet;

/// Which remedy is meant: the document's revision and the finding's place in its list.
type Of = (u64, usize);

/// A remedy as if it were taken.
pub(crate) struct Proposed {
    of: Of,
    /// What follows from the site with it.
    pub evaluation: Evaluation,
    /// Where the ground would change.
    ground: Shape,
}

/// The remedy of the finding that is read, once it is worked out: view state.
#[derive(Resource, Default)]
pub(crate) struct Proposal {
    proposed: Option<Arc<Proposed>>,
}

impl Proposal {
    /// The remedy of a finding as the document stands.
    pub(crate) fn of(&self, revision: u64, finding: usize) -> Option<&Proposed> {
        self.proposed.as_deref().filter(|proposed| proposed.of == (revision, finding))
    }
}

/// The ground that a remedy would change, as an entity.
#[derive(Component)]
struct Changed(Of);

/// The remedy that is being worked out.
#[derive(Resource, Default)]
pub(crate) struct Work {
    evaluator: Arc<Mutex<Evaluator>>,
    under_way: Option<Task<Option<Proposed>>>,
}

impl Work {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.under_way.is_some()
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Proposal>();
    app.init_resource::<Work>();
    app.add_systems(Update, (propose.in_set(ViewSet::Derive), show.in_set(ViewSet::Present)));
}

fn propose(
    document: Res<Document>,
    derived: Res<Derived>,
    choice: Res<Choice>,
    shown: Res<Shown>,
    mut proposal: ResMut<Proposal>,
    mut work: ResMut<Work>,
) {
    if let Some(task) = &mut work.under_way {
        let Some(proposed) = block_on(poll_once(task)) else { return };
        work.under_way = None;
        if let Some(proposed) = proposed {
            proposal.proposed = Some(Arc::new(proposed));
        }
    }
    let wanted = choice.finding.filter(|_| derived.revision == document.revision());
    let Some(of) = wanted.map(|finding| (derived.revision, finding)) else {
        if proposal.proposed.is_some() && choice.finding.is_none() {
            proposal.proposed = None;
        }
        return;
    };
    if proposal.proposed.as_ref().is_some_and(|proposed| proposed.of == of) {
        return;
    }
    let finding = derived.evaluation.as_ref().and_then(|e| e.findings.get(of.1));
    let remedy = finding.and_then(|finding| finding.remedy.as_ref()?.site.as_ref());
    let (Some(site), Some(scene)) = (remedy, shown.scene.as_ref()) else { return };
    let site = site.clone();
    let now = derived.evaluation.as_ref().and_then(|e| e.finished.clone());
    let (evaluator, frame) = (work.evaluator.clone(), scene.frame);
    let task = AsyncComputeTaskPool::get().spawn(async move {
        let evaluation = evaluator.lock().ok()?.evaluate(&site);
        let ground = match (now, &evaluation.finished) {
            (Some(now), Some(then)) => {
                terrain::changed(&Lie::new(then.clone()), &Lie::new(now), frame)
            }
            _ => Shape::default(),
        };
        Some(Proposed { of, evaluation, ground })
    });
    work.under_way = Some(task);
}

/// Shows the changed ground of the remedy that is read, and no other.
fn show(
    mut commands: Commands,
    proposal: Res<Proposal>,
    document: Res<Document>,
    choice: Res<Choice>,
    palette: Res<Palette>,
    mut meshes: ResMut<Assets<Mesh>>,
    changed: Query<(Entity, &Changed)>,
) {
    let read = choice.finding.and_then(|finding| proposal.of(document.revision(), finding));
    let stands = changed.single().ok();
    if stands.map(|(_, changed)| changed.0) == read.map(|proposed| proposed.of) {
        return;
    }
    if let Some((entity, _)) = stands {
        commands.entity(entity).despawn();
    }
    if let Some(proposed) = read {
        commands.spawn((
            Changed(proposed.of),
            Mesh3d(meshes.add(proposed.ground.clone().mesh())),
            MeshMaterial3d(palette.ghost.clone()),
            NotShadowCaster,
            NotShadowReceiver,
        ));
    }
}
