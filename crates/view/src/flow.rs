//! The water sheet's words, worked out off the main thread.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};

use crate::derive::Derived;
use crate::document::Document;
use crate::scene::present::Switch;
use crate::schedule::ViewSet;

/// The water sheet: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Flow {
    /// Whether it is open.
    pub shown: Switch,
    /// What it says, with the document's revision that it is of.
    report: Option<(u64, Arc<str>)>,
}

impl Flow {
    /// What the sheet says, once it is worked out; an older one until a newer is.
    pub(crate) fn report(&self) -> Option<&str> {
        self.report.as_ref().map(|(_, report)| &**report)
    }
}

#[derive(Resource, Default)]
struct Reckoning(Option<(u64, Task<String>)>);

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Flow>();
    app.init_resource::<Reckoning>();
    app.add_systems(Update, reckon.in_set(ViewSet::Derive));
}

fn reckon(
    document: Res<Document>,
    derived: Res<Derived>,
    mut flow: ResMut<Flow>,
    mut reckoning: ResMut<Reckoning>,
) {
    if let Some((revision, task)) = &mut reckoning.0 {
        let Some(report) = block_on(poll_once(task)) else { return };
        flow.report = Some((*revision, report.into()));
        reckoning.0 = None;
    }
    let Some(evaluation) = derived.evaluation.clone() else { return };
    let is_known = flow.report.as_ref().is_some_and(|(of, _)| *of == derived.revision);
    let is_current = derived.revision == document.revision();
    if flow.shown == Switch::On && is_current && !is_known {
        let site = document.site().clone();
        let pool = AsyncComputeTaskPool::get();
        let task = pool.spawn(async move { exchange::report::water(&site, &evaluation) });
        reckoning.0 = Some((derived.revision, task));
    }
}
