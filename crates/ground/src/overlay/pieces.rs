//! What lies between two surfaces, cell by cell, found again where neither has changed.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use super::measure::{Cell, visit_cells_but, visit_cells_of};
use super::places::Mix;
use super::walk::{pairs_of, shared_faces};
use crate::LatticePoint;
use crate::surface::{NONE, Surface};

/// What was measured of each cell between two surfaces, by the faces of the second.
///
/// Faces that composing has left as they were have no cells: nothing changes in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Pieces<T> {
    /// For each face of the second surface where its cells start, and at last where they end.
    starts: Vec<u32>,
    /// The face of the first surface with what was measured, ascending within each face.
    cells: Vec<(u32, T)>,
    /// For each face of the second surface the one of the first that is the same, or [`NONE`].
    twins: Vec<u32>,
}

impl<T: Clone> Pieces<T> {
    /// Measures every cell in which something may have changed.
    ///
    /// What is measured may depend on the cell and on what its two faces say, but not on their
    /// numbers.
    ///
    /// # Panics
    /// When the surfaces lie on different lattices.
    pub fn of(from: &Surface, to: &Surface, mut measure: impl FnMut(&Cell<'_>) -> T) -> Self {
        let shared = shared_faces(from, to);
        let mut found = Vec::new();
        visit_cells_but(from, to, &shared, |cell| {
            found.push(Found { to: cell.to_face, from: cell.from_face, value: measure(cell) });
        });
        Self::put_together(twins(to, &shared), found, |_, _| {})
    }

    /// The very same, when `known` surfaces gave `self`: only cells whose faces have changed are
    /// measured.
    ///
    /// # Panics
    /// When the surfaces lie on different lattices, or the known ones are not those that gave `self`.
    pub fn again(
        &self,
        known: [&Surface; 2],
        [from, to]: [&Surface; 2],
        mut measure: impl FnMut(&Cell<'_>) -> T,
    ) -> Self {
        let [from_was, mut was] = [alike(known[0], from), alike(known[1], to)];
        let mut from_is = vec![NONE; known[0].faces().len()];
        (0..).zip(&from_was).filter(|(_, old)| **old != NONE).for_each(|(new, &old)| {
            from_is[old as usize] = new;
        });
        let twins = twins(to, &shared_faces(from, to));
        for (face, old) in was.iter_mut().enumerate().filter(|(_, old)| **old != NONE) {
            let twin_is = |twin: u32| if twin == NONE { NONE } else { from_is[twin as usize] };
            let twin_was = self.twins[*old as usize];
            let same =
                twin_is(twin_was) == twins[face] && (twin_was == NONE) == (twins[face] == NONE);
            if !same || self.on(*old).iter().any(|cell| from_is[cell.0 as usize] == NONE) {
                *old = NONE;
            }
        }
        let mut is_twin = vec![false; from.faces().len()];
        twins.iter().filter(|twin| **twin != NONE).for_each(|&twin| is_twin[twin as usize] = true);
        let is_new = |face: u32| from_was[face as usize] == NONE && !is_twin[face as usize];
        pairs_of(from, to, is_new, |_, to_face, _| was[to_face as usize] = NONE);
        let is_changed = |face: u32| was[face as usize] == NONE && twins[face as usize] == NONE;
        let mut found = Vec::new();
        visit_cells_of(from, to, is_changed, |cell| {
            found.push(Found { to: cell.to_face, from: cell.from_face, value: measure(cell) });
        });
        Self::put_together(twins, found, |face, cells| {
            let old = was[face as usize];
            if old != NONE {
                let first = cells.len();
                let known = self.on(old).iter();
                cells.extend(known.map(|(old, value)| (from_is[*old as usize], value.clone())));
                cells[first..].sort_by_key(|cell| cell.0);
            }
        })
    }

    /// The cells on a face of the second surface: the face of the first and what was measured.
    pub fn on(&self, to_face: u32) -> &[(u32, T)] {
        let i = to_face as usize;
        &self.cells[self.starts[i] as usize..self.starts[i + 1] as usize]
    }

    /// Every cell by the faces of the second surface and of the first, with what was measured.
    pub fn iter(&self) -> impl Iterator<Item = (u32, u32, &T)> {
        (0..self.twins.len() as u32)
            .flat_map(|face| self.on(face).iter().map(move |(from, value)| (face, *from, value)))
    }

    /// All that was measured, to be amended.
    pub fn values_mut(&mut self) -> impl Iterator<Item = &mut T> {
        self.cells.iter_mut().map(|(_, value)| value)
    }

    /// For each face of the second surface the same face of the first, where there is one.
    pub fn twins(&self) -> impl Iterator<Item = (u32, u32)> {
        (0..).zip(&self.twins).filter(|(_, twin)| **twin != NONE).map(|(face, &twin)| (face, twin))
    }

    /// Puts what was found beside what `put_kept` adds of each face.
    fn put_together(
        twins: Vec<u32>,
        found: Vec<Found<T>>,
        put_kept: impl Fn(u32, &mut Vec<(u32, T)>),
    ) -> Self {
        let mut order: Vec<(u32, u32, u32)> =
            (0..).zip(&found).map(|(i, found)| (found.to, found.from, i)).collect();
        order.sort_unstable();
        let mut found: Vec<Option<T>> = found.into_iter().map(|found| Some(found.value)).collect();
        let mut order = order.into_iter().peekable();
        let mut pieces =
            Self { starts: Vec::with_capacity(twins.len() + 1), cells: Vec::new(), twins };
        for face in 0..pieces.twins.len() as u32 {
            pieces.starts.push(pieces.cells.len() as u32);
            put_kept(face, &mut pieces.cells);
            while let Some((_, from, i)) = order.next_if(|next| next.0 == face) {
                pieces.cells.extend(found[i as usize].take().map(|value| (from, value)));
            }
        }
        pieces.starts.push(pieces.cells.len() as u32);
        pieces
    }
}

/// What was measured of one cell.
struct Found<T> {
    to: u32,
    from: u32,
    value: T,
}

fn twins(to: &Surface, shared: &[[u32; 2]]) -> Vec<u32> {
    let mut twins = vec![NONE; to.faces().len()];
    shared.iter().for_each(|&[from, to]| twins[to as usize] = from);
    twins
}

/// For each face of a surface the face of a known one that says the same of its plan, its plane and
/// its maker, or [`NONE`].
pub(super) fn alike(known: &Surface, now: &Surface) -> Vec<u32> {
    let n = now.faces().len() as u32;
    if std::ptr::eq(known, now) {
        return (0..n).collect();
    }
    let is_same = |face: u32, old: u32| {
        now.corners(face) == known.corners(old)
            && now.plane(face) == known.plane(old)
            && now.faces()[face as usize].tag == known.faces()[old as usize].tag
    };
    let n_known = known.faces().len() as u32;
    // Mostly faces follow one another in both, but for a few that only one of them has.
    let mut next = 0;
    let in_turn = |face: u32| {
        let ahead = next..(next + LOOK_AHEAD).min(n_known);
        let old = ahead.into_iter().find(|&old| is_same(face, old)).unwrap_or(NONE);
        next = if old == NONE { next } else { old + 1 };
        old
    };
    let mut found: Vec<u32> = (0..n).map(in_turn).collect();
    find_out_of_turn((known, now), &mut found, is_same);
    found
}

/// So many faces that only the known surface has may follow one another and the next is still found.
const LOOK_AHEAD: u32 = 16;

/// Finds those of the faces that have no like yet among the known ones that are none's.
fn find_out_of_turn(
    (known, now): (&Surface, &Surface),
    found: &mut [u32],
    is_same: impl Fn(u32, u32) -> bool,
) {
    if !found.contains(&NONE) {
        return;
    }
    let mut is_taken = vec![false; known.faces().len()];
    found.iter().filter(|&&old| old != NONE).for_each(|&old| is_taken[old as usize] = true);
    let free = (0..known.faces().len() as u32).filter(|&old| !is_taken[old as usize]);
    let by_corners: HashMap<[LatticePoint; 3], u32, BuildHasherDefault<Mix>> =
        free.map(|old| (known.corners(old), old)).collect();
    for (face, old) in (0..).zip(found).filter(|(_, old)| **old == NONE) {
        let like = by_corners.get(&now.corners(face)).copied();
        *old = like.filter(|&like| is_same(face, like)).unwrap_or(NONE);
    }
}
