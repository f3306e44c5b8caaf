//! What of the scene before still holds: pieces on ground that no edit has touched.

use std::sync::Arc;

use site::{Work, WorkId};

use super::changed::Changed;
use super::shape::Shape;
use super::{Piece, Scene};
use crate::frame::Extent;

/// What stands or grows in a work reaches so far beyond its ground, metres: stones are seated beside it,
/// plants along its edge.
const BESIDE_M: f64 = 2.5;

/// A mark follows the ground so far beside it, metres.
const BESIDE_MARK_M: f64 = 0.5;

/// The scene before, dressed alike, and where the ground differs from it.
pub(crate) struct Before<'a> {
    /// That scene.
    pub scene: &'a Scene,
    /// Where the ground differs.
    pub changed: Changed,
}

impl<'a> Before<'a> {
    /// What of a scene of the same survey may hold in another; none where all is to be made anew.
    pub(crate) fn of(scene: &'a Scene, now: &Scene) -> Option<Self> {
        let is_alike = scene.dress == now.dress && scene.frame == now.frame;
        let changed = Changed::between(scene.finished.surface(), now.finished.surface())?;
        is_alike.then_some(Self { scene, changed })
    }

    /// A piece of a work, where neither the work nor the ground about it has changed.
    pub(crate) fn of_work(&self, piece: Piece, work: &Work, now: &Scene) -> Option<Arc<Shape>> {
        let is_same = self.scene.site.work(work.id) == Some(work);
        (is_same && !self.is_near_work(work.id, now)).then(|| self.shape(piece))
    }

    /// A piece that follows from the ground under it alone, where that has not changed.
    pub(crate) fn on_ground(&self, piece: Piece) -> Option<Arc<Shape>> {
        let shape = self.scene.pieces.get(&piece)?;
        let (a, b) = shape.span();
        let mut extent = Extent::nothing();
        [a, b].into_iter().for_each(|at| extent.take_in(self.scene.frame.local(at)));
        (!self.changed.is_near(extent, BESIDE_MARK_M)).then(|| shape.clone())
    }

    /// A piece as it was; one that had nothing is empty.
    pub(crate) fn shape(&self, piece: Piece) -> Arc<Shape> {
        self.scene.pieces.get(&piece).cloned().unwrap_or_default()
    }

    /// Whether ground differs about a work, as it lies or as it lay.
    fn is_near_work(&self, work: WorkId, now: &Scene) -> bool {
        let grounds = [&self.scene.owned, &now.owned];
        let mut own = grounds.into_iter().filter_map(|owned| owned.get(&work));
        own.any(|owned| self.changed.is_near(owned.extent, BESIDE_M))
    }
}
