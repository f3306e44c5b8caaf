//! What stays in the garden, as it stands, and as it is marked on the ground.
//!
//! Trees, gates and drains stand there whatever is shown; lines, rings and heaps are marks of the
//! keep-outs' layer. The marks are ink on a pale casing, told apart by their strokes and by the word
//! beside them, never by colour: they follow no utility's colour code.

mod fixture;
mod heap;
mod mark;
mod tree;
mod words;

use design::Evaluation;
use design::job::Built;
use site::keep_out::{BuriedLine, Service, Tree};
use site::{KeepOut, KeepOutKind, Site, Stockpile};

use self::mark::{Brush, Stroke};
use super::shape::Shape;
use super::terrain::Lie;
use super::{Piece, Scene};
use crate::frame::SceneFrame;

/// What is written beside a thing that stays.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct KeptWord {
    /// Where, local metres.
    pub at: [f64; 3],
    /// Its name, what it is, and its number.
    pub text: String,
}

/// What a keep-out is drawn from.
struct Place<'a> {
    lie: &'a Lie,
    frame: SceneFrame,
}

/// Names the pieces of everything that stays.
pub(crate) fn pieces(scene: &Scene, site: &Site) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for (idx, kept) in site.keep_outs.iter().enumerate() {
        pieces.push(Piece::KeptMarks(idx));
        match &kept.kind {
            KeepOutKind::Tree(_) => pieces.extend([Piece::Crown(idx), Piece::KeptPlan(idx)]),
            KeepOutKind::Drain(_) | KeepOutKind::Gate(_) => pieces.push(Piece::Kept(idx)),
            KeepOutKind::BuriedLine(_) | KeepOutKind::Boundary(_) | KeepOutKind::Septic(_) => {}
        }
    }
    for idx in 0..site.stockpiles.len() {
        // Before anything is dug, and when all is built, nothing is heaped: only the place is marked.
        if matches!(scene.dress, Built::Earth | Built::Liner) {
            pieces.extend([Piece::Heap(idx), Piece::HeapPlan(idx)]);
        } else {
            pieces.push(Piece::HeapMarks(idx));
        }
    }
    pieces
}

/// One of those pieces.
pub(crate) fn shape(piece: Piece, scene: &Scene, site: &Site) -> Shape {
    let place = Place { lie: &scene.finished, frame: scene.frame };
    let kind = |idx: usize| site.keep_outs.get(idx).map(|kept| &kept.kind);
    match piece {
        Piece::KeptMarks(idx) => site.keep_outs.get(idx).map(|kept| marks(kept, &place)),
        Piece::Crown(idx) => match kind(idx) {
            Some(KeepOutKind::Tree(tree)) => Some(tree::standing(tree, &place)),
            _ => None,
        },
        Piece::KeptPlan(idx) => match kind(idx) {
            Some(KeepOutKind::Tree(tree)) => Some(tree::in_plan(tree, &place)),
            _ => None,
        },
        Piece::Kept(idx) => match kind(idx) {
            Some(KeepOutKind::Drain(drain)) => Some(fixture::drain(drain, &place)),
            Some(KeepOutKind::Gate(gate)) => Some(fixture::gate(gate, &place)),
            _ => None,
        },
        Piece::Heap(idx) => site.stockpiles.get(idx).map(|pile| heap::shape(pile, &place)),
        Piece::HeapPlan(idx) | Piece::HeapMarks(idx) => {
            site.stockpiles.get(idx).map(|pile| heap_marks(pile, &place))
        }
        _ => None,
    }
    .unwrap_or_default()
}

/// The words beside everything that stays, in the site's order.
pub(crate) fn words(scene: &Scene, site: &Site, evaluation: &Evaluation) -> Vec<KeptWord> {
    words::of(site, evaluation, &scene.finished)
}

/// Places at which what stays would hide what lies behind it, local metres, with heights above the
/// ground: the round of each tree's crown.
pub(crate) fn hiding_places(site: &Site) -> Vec<[f64; 3]> {
    let trees = site.keep_outs.iter().filter_map(|kept| match &kept.kind {
        KeepOutKind::Tree(tree) => Some(tree),
        _ => None,
    });
    trees.flat_map(tree::crown_places).collect()
}

/// The outline of a heap's place with strokes down its slopes.
fn heap_marks(pile: &Stockpile, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let mut brush = Brush { shape: &mut shape, lie: place.lie, frame: place.frame };
    brush.closed(&pile.outline_m, Stroke::ROOTS);
    brush.slope_ticks(&pile.outline_m, pile.run_per_rise * pile.height_m);
    shape
}

/// Places around the top, the middle and the foot of a tree's crown, with heights above the ground.
pub(super) fn crown_round(tree: &Tree) -> impl Iterator<Item = [f64; 3]> {
    tree::crown_round(tree)
}

/// What is marked on the ground for one keep-out.
fn marks(kept: &KeepOut, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let mut brush = Brush { shape: &mut shape, lie: place.lie, frame: place.frame };
    match &kept.kind {
        KeepOutKind::Tree(tree) => {
            brush.ring(tree.at, tree.roots_m(), Stroke::ROOTS);
            brush.ticks(tree.at, tree.roots_m());
            if (tree.roots_m() - tree.published_roots_m()).abs() > 0.01 {
                brush.ring(tree.at, tree.published_roots_m(), Stroke::PUBLISHED);
            }
        }
        KeepOutKind::BuriedLine(line) => {
            brush.line(&line.line_m, stroke_of(line));
            brush.around_line(&line.line_m, line.clearance_m, Stroke::DISTANCE);
        }
        KeepOutKind::Boundary(boundary) => {
            brush.line(&boundary.line_m, Stroke::BOUNDARY);
            brush.around_line(&boundary.line_m, boundary.setback_m, Stroke::DISTANCE);
        }
        KeepOutKind::Septic(septic) => {
            brush.closed(&septic.outline_m, Stroke::OUTLINE);
            brush.around(&septic.outline_m, septic.setback_m, Stroke::DISTANCE);
        }
        KeepOutKind::Gate(gate) => brush.line(&[gate.from, gate.to], Stroke::DISTANCE),
        KeepOutKind::Drain(drain) => brush.ring(drain.at, 0.35, Stroke::DISTANCE),
    }
    shape
}

/// A stroke for what a line carries.
fn stroke_of(line: &BuriedLine) -> Stroke {
    match line.carries {
        Service::Power => Stroke::POWER,
        Service::Gas => Stroke::GAS,
        Service::Water => Stroke::WATER,
        Service::Sewer => Stroke::SEWER,
        Service::Data => Stroke::DATA,
        Service::Unknown => Stroke::UNKNOWN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_services_are_marked_alike() {
        let strokes = [
            Stroke::POWER,
            Stroke::GAS,
            Stroke::WATER,
            Stroke::SEWER,
            Stroke::DATA,
            Stroke::UNKNOWN,
        ];
        for (i, a) in strokes.iter().enumerate() {
            assert!(strokes[i + 1..].iter().all(|b| a.pattern_m != b.pattern_m), "{a:?}");
        }
    }
}
