//! The order of building: what another order would change is worked out before it is accepted.

use std::collections::BTreeSet;
use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Evaluation, Evaluator, Threads};
use site::{Edit, Site, WorkId, apply};

use crate::document::Document;
use crate::scene::present::Switch;
use crate::schedule::ViewSet;

/// The list in building order, and the order that is proposed: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Order {
    /// Whether works are listed as they are built.
    pub shown: Switch,
    /// What is tried out.
    proposal: Option<Proposal>,
}

/// Works whose water, stones and plants are not drawn: view state, neither stored nor undone.
#[derive(Resource, Default, PartialEq)]
pub(crate) struct Hidden(pub BTreeSet<WorkId>);

/// Another order, tried out.
struct Proposal {
    /// The revision of the document that it was made from.
    revision: u64,
    site: Arc<Site>,
    evaluation: Option<Arc<Evaluation>>,
}

/// What is being worked out.
#[derive(Resource, Default)]
struct Trying {
    evaluator: Option<Evaluator>,
    task: Option<Task<(Arc<Site>, Evaluation, Evaluator)>>,
}

impl Order {
    /// Tries a work as number `to`, counted from 0, in the order that is shown.
    pub(crate) fn try_move(&mut self, document: &Document, id: WorkId, to: usize) {
        let from = self.proposed().unwrap_or(document.site());
        let Ok(site) = apply(from, &Edit::MoveWork { id, to }) else { return };
        let is_back = site.works == document.site().works;
        let (site, revision) = (Arc::new(site), document.revision());
        self.proposal = (!is_back).then_some(Proposal { revision, site, evaluation: None });
    }

    /// Tries a work so many places later; earlier below zero.
    pub(crate) fn try_shift(&mut self, document: &Document, id: WorkId, by: isize) {
        let works = &self.proposed().unwrap_or(document.site()).works;
        let at = works.iter().position(|work| work.id == id);
        if let Some(to) = at.and_then(|at| at.checked_add_signed(by)) {
            self.try_move(document, id, to);
        }
    }

    /// The site in the order that is proposed.
    pub(crate) fn proposed(&self) -> Option<&Arc<Site>> {
        self.proposal.as_ref().map(|proposal| &proposal.site)
    }

    /// What the proposed order would make, once it is worked out.
    pub(crate) fn outcome(&self) -> Option<&Arc<Evaluation>> {
        self.proposal.as_ref()?.evaluation.as_ref()
    }

    /// Ends the trial; answers with the site in its order.
    pub(crate) fn take(&mut self) -> Option<Arc<Site>> {
        self.proposal.take().map(|proposal| proposal.site)
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Order>();
    app.init_resource::<Hidden>();
    app.init_resource::<Trying>();
    app.add_systems(Update, work_out.in_set(ViewSet::Derive));
}

fn work_out(document: Res<Document>, mut order: ResMut<Order>, mut trying: ResMut<Trying>) {
    if let Some(task) = &mut trying.task {
        let Some((of, evaluation, evaluator)) = block_on(poll_once(task)) else { return };
        (trying.task, trying.evaluator) = (None, Some(evaluator));
        if let Some(proposal) = &mut order.proposal
            && Arc::ptr_eq(&proposal.site, &of)
        {
            proposal.evaluation = Some(Arc::new(evaluation));
        }
    }
    let Some(proposal) = &order.proposal else { return };
    // An order belongs to the site that it was tried on.
    if proposal.revision != document.revision() {
        order.proposal = None;
    } else if proposal.evaluation.is_none() {
        let site = proposal.site.clone();
        let evaluator = trying.evaluator.take();
        let mut evaluator = evaluator.unwrap_or_else(|| Evaluator::on(Threads::One));
        trying.task = Some(AsyncComputeTaskPool::get().spawn(async move {
            let evaluation = evaluator.evaluate(&site);
            (site, evaluation, evaluator)
        }));
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::document::Ask;

    #[test]
    fn another_order_is_worked_out_before_it_changes_anything() {
        AsyncComputeTaskPool::get_or_init(Default::default);
        let site = crate::demo::rear_garden();
        let first = site.works[0].id;
        let mut app = App::new();
        app.add_plugins((crate::schedule::plugin, crate::document::plugin, plugin))
            .init_resource::<Time<Real>>()
            .add_message::<AppExit>()
            .insert_resource(Document::opened(site.clone()));
        let shift = |app: &mut App, by| {
            app.world_mut().resource_scope(|world, mut order: Mut<Order>| {
                order.try_shift(world.resource::<Document>(), first, by);
            });
        };
        shift(&mut app, -1);
        assert!(app.world().resource::<Order>().proposed().is_none());
        shift(&mut app, 1);
        shift(&mut app, 1);
        let start = Instant::now();
        while app.world().resource::<Order>().outcome().is_none() {
            assert!(start.elapsed() < Duration::from_secs(60), "no answer came");
            app.update();
        }
        assert_eq!(**app.world().resource::<Document>().site(), site);
        let order = app.world().resource::<Order>();
        let tried = order.proposed().unwrap().clone();
        assert_eq!(tried.works[2].id, first);
        let fresh = design::evaluate(&tried);
        let outcome = order.outcome().unwrap();
        assert_eq!(outcome.earth.cut_bank_m3.to_bits(), fresh.earth.cut_bank_m3.to_bits());
        assert_eq!(outcome.findings, fresh.findings);
        // Back where it stood there is nothing to accept.
        shift(&mut app, -1);
        shift(&mut app, -1);
        assert!(app.world().resource::<Order>().proposed().is_none());
        // A change of the site ends a trial.
        shift(&mut app, 3);
        let other = Site { title: "Other".into(), ..site };
        app.world_mut().write_message(Ask::Replace(Arc::new(other)));
        app.update();
        app.update();
        assert!(app.world().resource::<Order>().proposed().is_none());
    }
}
