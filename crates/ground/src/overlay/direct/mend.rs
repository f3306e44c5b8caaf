//! Unfolding outlines that rounding has folded.
//!
//! ```text
//!       n                  n' true places lie so that all outlines are sound, rounded ones may not
//!     a---b   folded,    a---b   when parts are as small as a step: a node is moved by a step, or
//!      \ /    as n is     \ /    two are, so that all that meet there is sound again
//!       c     above b      c
//! ```

use super::outline::{Outline, Source};
use super::sew::{Sewing, Unsewn};
use crate::LatticePoint;
use crate::predicates::orient;
use crate::surface::NONE;

/// The places to which a node may be moved, in steps.
const MOVES: [[i32; 2]; 9] =
    [[0, 0], [1, 0], [0, 1], [-1, 0], [0, -1], [1, 1], [-1, 1], [-1, -1], [1, -1]];

/// Sews the owners whose outlines are folded, moving nodes on the zero line by a step.
pub(super) fn mend(sewing: &mut Sewing<'_, '_>) -> Result<(), Unsewn> {
    let mut outline = Outline::default();
    for owner in std::mem::take(&mut sewing.folded) {
        let source = Source::of(sewing.field, owner);
        outline.find(sewing.field, owner).map_err(|_| Unsewn)?;
        if !unfold(sewing, &outline) {
            return Err(Unsewn);
        }
        sewing.put_cut(&source, &outline)?;
    }
    Ok(())
}

/// Moves one or two nodes so that an outline can be cut and what is sewn about them stays sound.
fn unfold(sewing: &mut Sewing<'_, '_>, outline: &Outline) -> bool {
    if sewing.cut(&outline.pieces).is_some() {
        return true;
    }
    let movable: Vec<u32> =
        outline.pieces.iter().map(|p| p.from).filter(|&n| sewing.field.is_inner_mark(n)).collect();
    let about: Vec<Vec<[u32; 3]>> = sewing.faces_about(&movable);
    for (i, &first) in movable.iter().enumerate() {
        for (j, &second) in movable.iter().enumerate().take(i + 1) {
            let places = [first, second].map(|n| sewing.at[n as usize]);
            for moves in MOVES.iter().flat_map(|a| MOVES.iter().map(move |b| [a, b])) {
                if i == j && moves[1] != &[0, 0] {
                    continue;
                }
                sewing.move_to(second, moved(places[1], *moves[1]));
                sewing.move_to(first, moved(places[0], *moves[0]));
                let is_sound = |t: &[u32; 3]| {
                    let [a, b, c] = t.map(|v| sewing.vertices[v as usize]);
                    orient(a, b, c) > 0
                };
                if about[i].iter().chain(&about[j]).all(is_sound)
                    && sewing.cut(&outline.pieces).is_some()
                {
                    return true;
                }
            }
            sewing.move_to(second, places[1]);
            sewing.move_to(first, places[0]);
        }
    }
    false
}

fn moved(from: LatticePoint, [x, y]: [i32; 2]) -> LatticePoint {
    LatticePoint { x: from.x + x, y: from.y + y }
}

impl Sewing<'_, '_> {
    fn move_to(&mut self, node: u32, place: LatticePoint) {
        self.at[node as usize] = place;
        let vertex = self.vertex_of[node as usize];
        if vertex != NONE {
            self.vertices[vertex as usize] = place;
        }
    }

    /// The corners of the faces sewn about each of some nodes.
    fn faces_about(&self, nodes: &[u32]) -> Vec<Vec<[u32; 3]>> {
        let vertices: Vec<u32> = nodes.iter().map(|&n| self.vertex_of[n as usize]).collect();
        let mut about = vec![Vec::new(); nodes.len()];
        for face in &self.faces {
            for (about, vertex) in about.iter_mut().zip(&vertices) {
                if face.vertices.contains(vertex) {
                    about.push(face.vertices);
                }
            }
        }
        about
    }
}
