//! The running water on the screen: the water sheet's rows, worked out off the main thread, and what
//! the pumps move while somebody tries another flow.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use exchange::report::WaterRow;
use site::Circulation;

use crate::derive::Derived;
use crate::document::Document;
use crate::scene::present::Switch;
use crate::schedule::ViewSet;

/// The water sheet: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Flow {
    /// Whether it is open.
    pub shown: Switch,
    /// What each pump moves of what it would as planned, while another flow is tried; those that are
    /// left out run as planned.
    pub shares: Vec<f64>,
    /// The pumps and pipes on which that is tried.
    tried_on: Option<Circulation>,
    /// What it says, with the document's revision that it is of.
    report: Option<(u64, Arc<[WaterRow]>)>,
}

impl Flow {
    /// What the sheet says, once it is worked out; an older one until a newer is.
    pub(crate) fn report(&self) -> Option<&[WaterRow]> {
        self.report.as_ref().map(|(_, report)| &**report)
    }

    /// Opens the sheet or closes it; a flow that was tried goes with it.
    pub(crate) fn turn(&mut self, to: Switch) {
        self.shown = to;
        self.shares.clear();
    }

    /// Tries a share of what a pump moves as planned.
    pub(crate) fn try_share(&mut self, pump: usize, share: f64) {
        if self.shares.len() <= pump {
            self.shares.resize(pump + 1, 1.0);
        }
        self.shares[pump] = share;
        if self.shares.iter().all(|share| (share - 1.0).abs() < 1e-9) {
            self.shares.clear();
        }
    }
}

impl Flow {
    /// Lets go of what is tried once the pumps are others than those on which it was tried.
    fn keep_to(&mut self, circulation: &Circulation) {
        if self.shares.is_empty() {
            self.tried_on = None;
        } else if self.tried_on.get_or_insert_with(|| circulation.clone()) != circulation {
            self.shares.clear();
            self.tried_on = None;
        }
    }
}

/// The sheet that is being worked out.
#[derive(Resource, Default)]
pub(crate) struct Reckoning(Option<(u64, Task<Vec<WaterRow>>)>);

impl Reckoning {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.0.is_some()
    }
}

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
    flow.bypass_change_detection().keep_to(&document.site().circulation);
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
        let task = pool.spawn(async move { exchange::report::water_rows(&site, &evaluation) });
        reckoning.0 = Some((derived.revision, task));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flow_that_is_tried_goes_when_it_is_as_planned_or_the_sheet_is_closed() {
        let mut flow = Flow::default();
        flow.try_share(1, 1.4);
        assert_eq!(flow.shares, [1.0, 1.4]);
        flow.try_share(1, 1.0);
        assert!(flow.shares.is_empty());
        flow.try_share(0, 0.2);
        let mut circulation = crate::demo::rear_garden().circulation;
        flow.keep_to(&circulation);
        assert_eq!(flow.shares, [0.2]);
        circulation.pumps.clear();
        flow.keep_to(&circulation);
        assert!(flow.shares.is_empty(), "the pump on which it was tried is gone");
        flow.try_share(0, 0.2);
        flow.turn(Switch::Off);
        assert!(flow.shares.is_empty() && flow.shown == Switch::Off);
    }
}
