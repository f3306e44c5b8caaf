//! Composing again on a ground that is the same where it was read.

use super::compose::Keep;
use super::outcome::Changed;
use super::overlap::overlap;
use super::pieces::alike;
use super::replacement::Replacement;
use super::walk::pairs_of;
use super::winners::may_win;
use crate::surface::{Face, NONE, Surface};

/// What a composition read of the ground, and what it did to it.
///
/// An edit elsewhere leaves both as they were: then the composition need not be found anew.
#[derive(Clone, Debug)]
pub struct Trace {
    keep: Keep,
    /// Faces of the ground on which the result rests, ascending.
    read: Vec<u32>,
    /// Faces around these, ascending: of them the plan matters, and what heights they name where the
    /// result has corners.
    near: Vec<u32>,
    /// Other faces that the patch covers or meets, ascending: of them only that matters that the patch
    /// loses there.
    lost: Vec<u32>,
    /// Whether the ground lies under all of the patch's roots.
    is_covered: bool,
    new: Replacement,
}

/// What is lost may be told by more faces than are met, to no effect on what is composed.
impl PartialEq for Trace {
    fn eq(&self, other: &Self) -> bool {
        (self.keep, self.is_covered) == (other.keep, other.is_covered)
            && (&self.read, &self.near) == (&other.read, &other.near)
            && self.new == other.new
    }
}

/// A trace of a ground on another: where its faces, vertices, heights and planes went.
struct Moved<'s> {
    from: &'s Surface,
    to: &'s Surface,
    faces: Vec<u32>,
    vertices: Vec<u32>,
    heights: Vec<u32>,
    planes: Vec<u32>,
    /// The vertices of the first at which new faces have corners.
    is_corner: Vec<bool>,
}

/// What of a face must be alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Extent {
    All,
    /// Its plan, and its heights where new faces have corners.
    Plan,
}

impl Trace {
    /// A trace of what is read, of what else is met, and of what lies near.
    pub(crate) fn new(
        keep: Keep,
        [mut read, lost, near]: [Vec<u32>; 3],
        changed: &Changed,
        new: Replacement,
    ) -> Self {
        read.extend(&new.replaced);
        let read = ascending(read);
        let [lost, near] = [lost, near].map(|faces| {
            let mut faces = ascending(faces);
            faces.retain(|face| read.binary_search(face).is_err());
            faces
        });
        Self { keep, read, near, lost, is_covered: changed.beyond_area_m2 == 0.0, new }
    }

    /// The composition of the same patch with another ground that covers the same plan.
    ///
    /// The very bytes that composing would give; none when the ground differs where the composition
    /// read it, or names what it read in another order, or may be won anew. `from` is the ground that
    /// was composed.
    ///
    /// ```text
    /// reads faces of:   from  . . [3 4 7 9] . .      to  . [2 3 5 6] . . .      in the same order
    /// ```
    ///
    /// # Panics
    /// May panic when `from` is not the ground that was composed, or `patch` not what was composed.
    pub fn again(&self, patch: &Surface, from: &Surface, to: &Surface) -> Option<Composition> {
        if from.lattice() != to.lattice() {
            return None;
        }
        let moved = Moved::find(self, from, to)?;
        let lost = self.still_lost(patch, from, to)?;
        let new = moved.carry(&self.new)?;
        let surface = new.put_into(to).ok()?;
        let went = |faces: &[u32]| faces.iter().map(|&face| moved.faces[face as usize]).collect();
        let (read, near) = (went(&self.read), went(&self.near));
        Some(Composition { surface, trace: Self { read, near, lost, new, ..*self } })
    }

    /// The faces of the other ground in place of those at which the patch lost; none when it may win
    /// from one of them.
    ///
    /// Which part of the plan the patch's roots cover does not change; where they reach beyond the
    /// ground, though, the area of that is summed over the very faces.
    fn still_lost(&self, patch: &Surface, from: &Surface, to: &Surface) -> Option<Vec<u32>> {
        let mut candidates = 0..to.faces().len() as u32;
        let is_same = |face: u32, new: u32| {
            from.corners(face) == to.corners(new) && from.plane(face) == to.plane(new)
        };
        let same = |&face: &u32| candidates.find(|&new| is_same(face, new));
        let all: Option<Vec<u32>> = self.lost.iter().map(same).collect();
        if all.is_some() || !self.is_covered {
            return all;
        }
        let was = alike(from, to);
        let mut may_any = false;
        let mut lost = Vec::new();
        let is_new = |face: u32| was[face as usize] == NONE;
        pairs_of(to, patch, is_new, |under, above, _| {
            lost.push(under);
            let planes = [to.plane(under), patch.plane(above)];
            let corners = [patch.corners(above), to.corners(under)];
            // Told from the patch's side, to the bit as a flood tells it.
            let shared = overlap(corners[0], corners[1]);
            may_any |= shared.is_some_and(|shared| may_win(self.keep, planes, corners, &shared));
        });
        let is_known = |&new: &u32| {
            let old = was[new as usize];
            old != NONE && self.lost.binary_search(&old).is_ok()
        };
        lost.extend((0..to.faces().len() as u32).filter(is_known));
        (!may_any).then(|| ascending(lost))
    }
}

fn ascending(mut faces: Vec<u32>) -> Vec<u32> {
    faces.sort_unstable();
    faces.dedup();
    faces
}

/// A composed surface and the trace that leads to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Composition {
    /// The composed surface.
    pub surface: Surface,
    /// What it rests on.
    pub trace: Trace,
}

impl<'s> Moved<'s> {
    /// Where the faces went that were read or lay near; none when one of them is gone, changed or out
    /// of order.
    fn find(trace: &Trace, from: &'s Surface, to: &'s Surface) -> Option<Self> {
        let of =
            |faces: &[u32], extent| faces.iter().map(move |&f| (f, extent)).collect::<Vec<_>>();
        let mut faces = [of(&trace.read, Extent::All), of(&trace.near, Extent::Plan)].concat();
        faces.sort_unstable();
        let mut moved = Self {
            from,
            to,
            faces: vec![NONE; from.faces().len()],
            vertices: vec![NONE; from.vertices().len()],
            heights: vec![NONE; from.heights().len()],
            planes: vec![NONE; from.planes().len()],
            is_corner: vec![false; from.vertices().len()],
        };
        for vertex in trace.new.made.iter().flat_map(|face| face.vertices) {
            if let Some(is_corner) = moved.is_corner.get_mut(vertex as usize) {
                *is_corner = true;
            }
        }
        let mut candidates = 0..to.faces().len() as u32;
        for &(face, extent) in &faces {
            let new = candidates.find(|&new| from.corners(face) == to.corners(new))?;
            moved.put(face, new, extent)?;
        }
        let all_alike = faces.iter().all(|&(face, _)| moved.has_like_neighbours(face));
        let in_order = is_rising(&moved.vertices) && is_rising(&moved.heights);
        (all_alike && in_order).then_some(moved)
    }

    /// Notes that a face went to another, when that says the same of its plan and, as far as that
    /// matters, of its heights and maker.
    fn put(&mut self, face: u32, new: u32, extent: Extent) -> Option<()> {
        let (old_face, new_face) =
            (&self.from.faces()[face as usize], &self.to.faces()[new as usize]);
        let all = extent == Extent::All;
        let is_made_alike = || {
            old_face.tag == new_face.tag
                && (old_face.plane == NONE) == (new_face.plane == NONE)
                && self.from.plane(face) == self.to.plane(new)
        };
        let alike = old_face.fixed == new_face.fixed && (!all || is_made_alike());
        let [old_m, new_m] = [self.from.corner_heights(face), self.to.corner_heights(new)];
        let one_to_one = |slots: &mut [u32], old: u32, new: u32| {
            let before = std::mem::replace(&mut slots[old as usize], new);
            before == NONE || before == new
        };
        let alike = alike
            && (0..3).all(|k| {
                let names = all || self.is_corner[old_face.vertices[k] as usize];
                let [old, new] = [old_face.heights[k], new_face.heights[k]];
                one_to_one(&mut self.vertices, old_face.vertices[k], new_face.vertices[k])
                    && (!names || old_m[k] == new_m[k] && one_to_one(&mut self.heights, old, new))
            });
        if all && old_face.plane != NONE {
            // Equal planes may stand twice: either will do.
            self.planes[old_face.plane as usize] = new_face.plane;
        }
        self.faces[face as usize] = new;
        alike.then_some(())
    }

    /// Whether a face has the same faces beside it among those that are noted, and borders where it
    /// had borders.
    fn has_like_neighbours(&self, face: u32) -> bool {
        let new = self.faces[face as usize];
        let beside = |surface: &Surface, face: u32| surface.faces()[face as usize].neighbours;
        let pairs = beside(self.from, face).into_iter().zip(beside(self.to, new));
        pairs.into_iter().all(|(old, new)| {
            let went = if old == NONE { NONE } else { self.faces[old as usize] };
            (old == NONE) == (new == NONE) && (went == NONE || went == new)
        })
    }

    /// The same replacement in the other ground's indices.
    fn carry(&self, new: &Replacement) -> Option<Replacement> {
        let carry = |slots: &[u32], n_to: usize, i: u32| match slots.get(i as usize) {
            Some(&went) => (went != NONE).then_some(went),
            None => Some(n_to as u32 + i - slots.len() as u32),
        };
        let all = |slots: &[u32], n_to: usize, three: [u32; 3]| -> Option<[u32; 3]> {
            let [a, b, c] = three.map(|i| carry(slots, n_to, i));
            Some([a?, b?, c?])
        };
        let carried = |face: &Face| -> Option<Face> {
            Some(Face {
                vertices: all(&self.vertices, self.to.vertices().len(), face.vertices)?,
                heights: all(&self.heights, self.to.heights().len(), face.heights)?,
                plane: match face.plane {
                    NONE => NONE,
                    plane => carry(&self.planes, self.to.planes().len(), plane)?,
                },
                ..*face
            })
        };
        let gone = |&face: &u32| {
            let went = self.faces[face as usize];
            (went != NONE).then_some(went)
        };
        Some(Replacement {
            replaced: new.replaced.iter().map(gone).collect::<Option<_>>()?,
            made: new.made.iter().map(carried).collect::<Option<_>>()?,
            vertices: new.vertices.clone(),
            heights: new.heights.clone(),
            planes: new.planes.clone(),
            n_of_ground: new.n_of_ground,
        })
    }
}

/// Whether what is there ascends.
fn is_rising(slots: &[u32]) -> bool {
    slots.iter().filter(|slot| **slot != NONE).is_sorted_by(|a, b| a < b)
}
