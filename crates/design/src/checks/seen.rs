//! What the checks look at: the site, its evaluation, and the ground to ask.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use ground::{Surface, overlay};
use site::{Site, Work, WorkId, WorkKind};
use units::LengthUnit;

use super::near::Near;
use crate::{Evaluation, WorkOutcome};

/// A site with its evaluation, ready to be asked.
pub(super) struct Seen<'a> {
    pub(super) site: &'a Site,
    pub(super) evaluation: &'a Evaluation,
    /// The unit that messages are written in.
    pub(super) unit: LengthUnit,
    names: BTreeMap<u32, &'a Work>,
    cells: OnceCell<BuiltCells>,
}

/// Half the side of the box in which the ground under one place is looked for, metres.
const UNDER_M: f64 = 0.001;

/// The pieces of finished ground that works made, with their rise over existing ground.
#[derive(Clone, Debug, Default)]
pub(super) struct BuiltCells {
    pieces: Vec<(u32, u32, std::ops::Range<usize>)>,
    edges: Vec<CellEdge>,
}

/// An edge of a piece: both ends as places east and north in metres, and the rise.
pub(super) type CellEdge = [[f64; 3]; 2];

/// A convex piece of finished ground that a work made, over one face of existing ground.
#[derive(Clone, Copy, Debug)]
pub(super) struct BuiltCell<'c> {
    /// The face of existing ground.
    pub(super) from_face: u32,
    /// The face of finished ground.
    pub(super) to_face: u32,
    /// Its edges in no order.
    pub(super) edges: &'c [CellEdge],
}

impl BuiltCell<'_> {
    /// The greatest rise over existing ground, metres.
    pub(super) fn highest_m(&self) -> f64 {
        self.edges.iter().map(|e| e[0][2]).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Plan area, square metres.
    pub(super) fn area_m2(&self) -> f64 {
        let Some(&[[ox, oy, _], _]) = self.edges.first() else { return 0.0 };
        let twice = |[a, b]: &CellEdge| (a[0] - ox) * (b[1] - oy) - (a[1] - oy) * (b[0] - ox);
        0.5 * self.edges.iter().map(twice).sum::<f64>()
    }

    /// A place amid it.
    pub(super) fn middle(&self) -> [f64; 2] {
        let n = self.edges.len().max(1) as f64;
        [0, 1].map(|k| self.edges.iter().map(|e| e[0][k]).sum::<f64>() / n)
    }
}

impl BuiltCells {
    /// The pieces between two surfaces.
    pub(super) fn new(existing: &Surface, finished: &Surface) -> Self {
        let (lattice, mut cells) = (existing.lattice(), Self::default());
        let step_m = lattice.step_m();
        overlay::visit_changed_cells(existing, finished, |cell| {
            if finished.faces()[cell.to_face as usize].tag.owner != 0 {
                let [x, y] = lattice.metres(cell.anchor);
                let place = |c: overlay::Corner| [x + c.x * step_m, y + c.y * step_m, c.rise_m];
                let start = cells.edges.len();
                cells.edges.extend(cell.edges.iter().map(|e| e.map(place)));
                cells.pieces.push((cell.from_face, cell.to_face, start..cells.edges.len()));
            }
        });
        cells
    }

    /// Every piece.
    pub(super) fn iter(&self) -> impl Iterator<Item = BuiltCell<'_>> {
        self.pieces.iter().map(|(from_face, to_face, edges)| BuiltCell {
            from_face: *from_face,
            to_face: *to_face,
            edges: &self.edges[edges.clone()],
        })
    }
}

impl<'a> Seen<'a> {
    pub(super) fn new(site: &'a Site, evaluation: &'a Evaluation) -> Self {
        Self {
            site,
            evaluation,
            unit: site.frame.unit,
            names: site.works.iter().map(|work| (work.id.0, work)).collect(),
            cells: OnceCell::new(),
        }
    }

    /// The pieces of finished ground that works made; found once.
    pub(super) fn cells(&self) -> &BuiltCells {
        self.cells.get_or_init(|| match (&self.evaluation.existing, &self.evaluation.finished) {
            (Some(existing), Some(finished)) => BuiltCells::new(existing, finished),
            _ => BuiltCells::default(),
        })
    }

    /// The finished ground near some places.
    pub(super) fn near(&self, places: &[[f64; 2]], reach_m: f64) -> Option<Near> {
        Some(Near::new(self.evaluation.finished.as_deref()?, places, reach_m))
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

    /// The site with one work's parameters changed.
    pub(super) fn with(&self, id: WorkId, change: impl FnOnce(&mut WorkKind)) -> Option<Box<Site>> {
        let mut site = self.site.clone();
        let work = site.works.iter_mut().find(|work| work.id == id)?;
        change(&mut work.kind);
        (site != *self.site).then(|| Box::new(site))
    }
}
