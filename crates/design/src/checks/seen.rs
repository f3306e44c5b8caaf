//! What the checks look at: the site, its evaluation, and the ground to ask.

use std::collections::BTreeMap;

use ground::{Locator, Surface};
use site::{Site, Work, WorkId, WorkKind};
use units::LengthUnit;

use crate::{Evaluation, WorkOutcome};

/// A site with its evaluation, ready to be asked.
pub(super) struct Seen<'a> {
    pub(super) site: &'a Site,
    pub(super) evaluation: &'a Evaluation,
    /// The unit that messages are written in.
    pub(super) unit: LengthUnit,
    finished: Option<Locator<&'a Surface>>,
    names: BTreeMap<u32, &'a Work>,
}

impl<'a> Seen<'a> {
    pub(super) fn new(site: &'a Site, evaluation: &'a Evaluation) -> Self {
        Self {
            site,
            evaluation,
            unit: site.frame.unit,
            finished: evaluation.finished.as_deref().map(Locator::new),
            names: site.works.iter().map(|work| (work.id.0, work)).collect(),
        }
    }

    /// The finished ground, to be asked for elevations.
    pub(super) fn finished(&self) -> Option<&Locator<&'a Surface>> {
        self.finished.as_ref()
    }

    /// The works that are built, each with what it does to the ground.
    pub(super) fn built(&self) -> impl Iterator<Item = (&'a Work, &'a WorkOutcome)> {
        let work = |outcome: &'a WorkOutcome| Some((self.work(outcome.work)?, outcome));
        self.evaluation.works.iter().filter_map(work)
    }

    /// The works that are to be seen, in the order of building.
    pub(super) fn visible(&self) -> impl Iterator<Item = &'a Work> {
        self.site.works.iter().filter(|work| work.visible)
    }

    /// The work with this id.
    pub(super) fn work(&self, id: WorkId) -> Option<&'a Work> {
        self.names.get(&id.0).copied()
    }

    /// The work that owns a face, if one does.
    pub(super) fn owner(&self, owner: u32) -> Option<&'a Work> {
        self.names.get(&owner).copied()
    }

    /// A place with the finished ground's elevation; beyond the ground that of its lowest place.
    pub(super) fn on_ground(&self, at_m: [f64; 2]) -> [f64; 3] {
        let finished = self.finished();
        let lowest = || {
            let surface = self.evaluation.finished.as_deref()?;
            ground::query::extent_z(surface).map(|[low, _]| low)
        };
        let z_m = finished.and_then(|g| g.elevation(at_m)).or_else(lowest).unwrap_or(f64::NAN);
        [at_m[0], at_m[1], z_m]
    }

    /// The site with one work's parameters changed.
    pub(super) fn with(&self, id: WorkId, change: impl FnOnce(&mut WorkKind)) -> Option<Box<Site>> {
        let mut site = self.site.clone();
        let work = site.works.iter_mut().find(|work| work.id == id)?;
        change(&mut work.kind);
        (site != *self.site).then(|| Box::new(site))
    }
}
