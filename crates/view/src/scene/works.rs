//! What stands and grows in each work: stones, treads, plants.

use std::sync::Arc;

use design::part::Part;
use design::{Evaluation, SheetMaterial, WorkOutcome};
use site::works::WallMaterial;
use site::{Site, Work, WorkKind};

use super::before::Before;
use super::shape::Shape;
use super::steps::{self, Step};
use super::stones::{self, Stone};
use super::{Piece, Scene, laid, masonry, planting, shore, strand, threads, water};

/// What lies in a work: its stones, still to be hewn, and what is none.
#[derive(Default)]
struct Laid {
    stones: Vec<Stone>,
    shape: Shape,
}

/// So many stones are hewn at a time.
const BATCH: usize = 24;

/// The shapes of what lies in works. Most of a scene's time goes into hewing: all threads share it.
fn hewn(laid: &[Laid]) -> Vec<Shape> {
    let batches: Vec<(usize, &[Stone])> = (laid.iter().enumerate())
        .flat_map(|(idx, laid)| laid.stones.chunks(BATCH).map(move |stones| (idx, stones)))
        .collect();
    let hewn = threads::each(&batches, |(_, batch)| {
        let mut shape = Shape::default();
        batch.iter().for_each(|stone| stones::add(&mut shape, stone));
        shape
    });
    let mut shapes: Vec<Shape> = laid.iter().map(|laid| laid.shape.clone()).collect();
    for ((idx, _), shape) in batches.iter().zip(&hewn) {
        shapes[*idx].append(shape);
    }
    shapes
}

impl Scene {
    pub(super) fn add_stones(
        &mut self,
        site: &Site,
        evaluation: &Evaluation,
        before: Option<&Before<'_>>,
    ) {
        let steps = steps::steps(self.finished.surface());
        let mut anew = Vec::new();
        for work in &site.works {
            let piece = Piece::Stones(work.id);
            // Stepping stones follow the water that they cross.
            let alone = !matches!(&work.kind, WorkKind::Path(path) if path.stones.is_some());
            match before.filter(|_| alone).and_then(|b| b.of_work(piece, work, self)) {
                Some(kept) => drop(self.pieces.insert(piece, kept)),
                None => anew.push(work),
            }
        }
        let laid = threads::each(&anew, |work| self.laid(work, &steps, evaluation));
        let hewn = hewn(&laid);
        for (work, shape) in anew.into_iter().zip(hewn) {
            self.put(Piece::Stones(work.id), shape);
        }
    }

    pub(super) fn add_plants(
        &mut self,
        site: &Site,
        evaluation: &Evaluation,
        before: Option<&Before<'_>>,
    ) {
        let works: Vec<&Work> = site.works.iter().filter(|work| work.visible).collect();
        let made = threads::each(&works, |work| {
            let outcome = evaluation.works.iter().find(|outcome| outcome.work == work.id);
            let piece = Piece::Plants(work.id);
            let kept = before
                .filter(|before| self.has_same_gravel(outcome, before))
                .and_then(|before| before.of_work(piece, work, self));
            kept.unwrap_or_else(|| Arc::new(self.plants(work, site, outcome)))
        });
        for (work, shape) in works.into_iter().zip(made) {
            self.pieces.insert(Piece::Plants(work.id), shape);
        }
    }

    fn laid(&self, work: &Work, steps: &[Step], evaluation: &Evaluation) -> Laid {
        let mut laid = Laid::default();
        match &work.kind {
            WorkKind::Wall(wall) => self.lay_wall(&mut laid, work, wall.material, steps),
            WorkKind::Basin(_) => self.line_water(&mut laid, (work, 0.36), steps),
            WorkKind::Stream(_) => self.line_water(&mut laid, (work, 0.20), steps),
            WorkKind::IntakeBay(_) => self.line_water(&mut laid, (work, 0.13), steps),
            WorkKind::Pad(_) | WorkKind::Path(_) => {
                self.lay_floor(&mut laid.shape, work, steps, evaluation);
            }
            WorkKind::Hill(_)
            | WorkKind::FilterBed(_)
            | WorkKind::PlaneGrade(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_) => {}
        }
        laid
    }

    fn lay_wall(&self, laid: &mut Laid, work: &Work, material: WallMaterial, steps: &[Step]) {
        let own = |step: &&Step| {
            step.upper.owner == work.id.0
                && Part::of(step.upper.part) == Part::WallTop
                && step.lower.owner != work.id.0
        };
        let mut brinks = steps::brinks(&self.finished, work.id);
        brinks.extend(steps.iter().filter(own));
        for run in steps::runs(&brinks, |_| true) {
            masonry::lay_wall(&mut laid.stones, &run, material, self.frame);
        }
    }

    /// Stones along a work's water, of which the largest are so long, metres.
    fn line_water(&self, laid: &mut Laid, (work, largest_m): (&Work, f32), steps: &[Step]) {
        let (finished, frame) = (&*self.finished, self.frame);
        let ground = strand::Ground { finished, frame, largest_m };
        for shore in shore::shores(self.finished.surface(), work.id) {
            strand::line(&mut laid.stones, &shore, ground);
        }
        // Banks that break off beside a fall are held by boulders.
        let breaks = |step: &Step| {
            [step.upper, step.lower].iter().any(|tag| tag.owner == work.id.0)
                && !water::is_fall(step, work.id)
                && Part::of(step.upper.part) != Part::WallTop
        };
        for run in steps::runs(steps, breaks) {
            masonry::lay_wall(&mut laid.stones, &run, WallMaterial::Boulder, self.frame);
        }
        for run in steps::runs(steps, |step| water::is_fall(step, work.id)) {
            masonry::crown_fall(&mut laid.stones, &run, self.frame);
        }
    }

    fn lay_floor(&self, shape: &mut Shape, work: &Work, steps: &[Step], evaluation: &Evaluation) {
        laid::edge(shape, self.finished.surface(), work.id, self.frame);
        let risers = steps::runs(steps, |step| laid::is_riser(step, work.id));
        laid::treads(shape, &risers, self.frame);
        for outcome in evaluation.works.iter().filter(|outcome| outcome.work == work.id) {
            laid::stepping_stones(shape, &outcome.shape.stones, &self.finished, self.frame);
        }
    }

    fn plants(&self, work: &Work, site: &Site, outcome: Option<&WorkOutcome>) -> Shape {
        let bed = planting::Bed { site, finished: &self.finished, frame: self.frame };
        let own = self.owned.get(&work.id);
        let mut shape =
            own.map_or_else(Shape::default, |own| planting::planted(&bed, work.id, own.extent));
        for sheet in outcome.iter().flat_map(|outcome| &outcome.shape.sheets) {
            if sheet.material == SheetMaterial::Gravel {
                planting::on_gravel(&mut shape, &bed, &sheet.triangles);
            }
        }
        shape
    }

    /// Whether the gravel in which rushes stand lies as before.
    fn has_same_gravel(&self, outcome: Option<&WorkOutcome>, before: &Before<'_>) -> bool {
        let mut sheets = outcome.iter().flat_map(|outcome| &outcome.shape.sheets);
        let has_gravel = sheets.any(|sheet| sheet.material == SheetMaterial::Gravel);
        let piece = outcome.map(|outcome| Piece::Sheet(outcome.work));
        let [then, now] =
            [before.scene, self].map(|scene| piece.and_then(|piece| scene.pieces.get(&piece)));
        match has_gravel {
            true => then.is_some() && then == now,
            false => then.is_none(),
        }
    }
}
