//! What the checks look at: the site, its evaluation, and the ground to ask.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use site::{Site, Work, WorkId, WorkKind};
use units::LengthUnit;

use super::drainage::Drainage;
use super::near::{Grouped, Near};
use super::worked::{self, OpenTrench};
use crate::built::{BuiltCells, Measure};
use crate::running::{KeptRuns, rounds_again, running_again};
use crate::{Evaluation, PondRounds, Running, WorkOutcome};

/// A site with its evaluation, ready to be asked.
pub(crate) struct Seen<'a> {
    pub(crate) site: &'a Site,
    pub(crate) evaluation: &'a Evaluation,
    /// The unit that messages are written in.
    pub(super) unit: LengthUnit,
    /// The ground outside each house whose rain came to its walls before the works, square metres.
    pub(super) at_houses_before: Option<&'a [f64]>,
    names: BTreeMap<u32, &'a Work>,
    cells: OnceLock<Option<Arc<BuiltCells>>>,
    grouped: OnceLock<Option<Grouped<'a>>>,
    trenches: OnceLock<Vec<OpenTrench>>,
    drainage: OnceLock<Option<Drainage<'a>>>,
    running: OnceLock<Running>,
    rounds: OnceLock<Vec<PondRounds>>,
    runs: Option<&'a KeptRuns>,
}

/// What an evaluator knows beside an evaluation.
#[derive(Clone, Copy)]
pub(crate) struct Beside<'a> {
    /// The pieces of finished ground that works made; none where there is no ground.
    pub(crate) cells: Option<&'a Arc<BuiltCells>>,
    /// What came to the houses before the works.
    pub(crate) at_houses: Option<&'a [f64]>,
    /// What ran before.
    pub(crate) runs: &'a KeptRuns,
}

/// Half the side of the box in which the ground under one place is looked for, metres.
const UNDER_M: f64 = 0.001;

impl<'a> Seen<'a> {
    pub(crate) fn new(site: &'a Site, evaluation: &'a Evaluation) -> Self {
        Self {
            site,
            evaluation,
            unit: site.frame.unit,
            at_houses_before: None,
            names: site.works.iter().map(|work| (work.id.0, work)).collect(),
            cells: OnceLock::new(),
            grouped: OnceLock::new(),
            trenches: OnceLock::new(),
            drainage: OnceLock::new(),
            running: OnceLock::new(),
            rounds: OnceLock::new(),
            runs: None,
        }
    }

    /// The same with what is known beside the evaluation, so that it need not be found.
    pub(super) fn beside(self, known: Beside<'a>) -> Self {
        let cells = known.cells.map(|cells| OnceLock::from(Some(Arc::clone(cells))));
        Self {
            cells: cells.unwrap_or_default(),
            at_houses_before: known.at_houses,
            runs: Some(known.runs),
            ..self
        }
    }

    /// The pieces of finished ground that works made, found once; none where there is no ground.
    pub(super) fn cells(&self) -> Option<&BuiltCells> {
        let find = || {
            let existing = self.evaluation.existing.as_ref()?;
            let finished = self.evaluation.finished.as_ref()?;
            Some(Arc::new(BuiltCells::between(existing, finished, &Measure::default(), None)))
        };
        self.cells.get_or_init(find).as_deref()
    }

    /// The finished ground near some places.
    pub(super) fn near(&self, places: &[[f64; 2]], reach_m: f64) -> Option<Near> {
        let group = || self.evaluation.finished.as_deref().map(Grouped::new);
        Some(Near::new(self.grouped.get_or_init(group).as_ref()?, places, reach_m))
    }

    /// The trenches while they are open, found once.
    pub(super) fn trenches(&self) -> &[OpenTrench] {
        self.trenches.get_or_init(|| worked::trenches(self))
    }

    /// Where rain on the finished ground runs, found once; none where there is no ground.
    pub(crate) fn drainage(&self) -> Option<&Drainage<'a>> {
        self.drainage.get_or_init(|| Drainage::of(self)).as_ref()
    }

    /// The water while the pumps run, found once; nothing where none is planned.
    pub(super) fn running(&self) -> &Running {
        let find = || match self.runs {
            Some(runs) => running_again(self.site, self.evaluation, &[], runs),
            None => crate::running(self.site, self.evaluation),
        };
        self.running.get_or_init(find)
    }

    /// How the water of each pond goes round, found once.
    pub(super) fn rounds(&self) -> &[PondRounds] {
        let running = self.running();
        let find = || match self.runs {
            Some(runs) => rounds_again(self.site, self.evaluation, running, runs),
            None => crate::rounds(self.site, self.evaluation, running),
        };
        self.rounds.get_or_init(find)
    }

    /// The owner of a face of the finished ground; zero is existing ground.
    pub(super) fn owner_of(&self, face: u32) -> u32 {
        self.evaluation.finished.as_deref().map_or(0, |s| s.faces()[face as usize].tag.owner)
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
        let lowest = || {
            let surface = self.evaluation.finished.as_deref()?;
            ground::query::extent_z(surface).map(|[low, _]| low)
        };
        let under = self.near(&[at_m], UNDER_M).and_then(|near| near.face_at(at_m));
        let z_m = under.map(|(_, z_m)| z_m).or_else(lowest).unwrap_or(f64::NAN);
        [at_m[0], at_m[1], z_m]
    }

    /// The middle of the lowest face that a work left in the finished ground.
    pub(super) fn lowest_place(&self, id: WorkId) -> Option<[f64; 2]> {
        let surface = self.evaluation.finished.as_deref()?;
        let own = surface.faces().iter().filter(|face| face.tag.owner == id.0);
        let height_m = |face: &ground::Face| -> f64 {
            face.heights.iter().map(|&h| surface.heights()[h as usize]).sum()
        };
        let lowest = own.min_by(|a, b| height_m(a).total_cmp(&height_m(b)))?;
        let places =
            lowest.vertices.map(|v| surface.lattice().metres(surface.vertices()[v as usize]));
        Some([0, 1].map(|k| places.iter().map(|p| p[k]).sum::<f64>() / 3.0))
    }

    /// The site with one work's parameters changed.
    pub(super) fn with(&self, id: WorkId, change: impl FnOnce(&mut WorkKind)) -> Option<Box<Site>> {
        let mut site = self.site.clone();
        let work = site.works.iter_mut().find(|work| work.id == id)?;
        change(&mut work.kind);
        (site != *self.site).then(|| Box::new(site))
    }
}
