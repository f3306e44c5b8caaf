//! Composing again on a ground that is the same where it was read.

use super::replacement::Replacement;
use crate::surface::{Face, NONE, Surface};

/// What a composition read of the ground, and what it did to it.
///
/// An edit elsewhere leaves both as they were: then the composition need not be found anew.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Faces of the ground on which the result rests, ascending.
    read: Vec<u32>,
    new: Replacement,
}

/// A trace of a ground on another: where its faces, vertices, heights and planes went.
struct Moved<'s> {
    from: &'s Surface,
    to: &'s Surface,
    faces: Vec<u32>,
    vertices: Vec<u32>,
    heights: Vec<u32>,
    planes: Vec<u32>,
}

impl Trace {
    pub(crate) fn new(mut read: Vec<u32>, new: Replacement) -> Self {
        read.sort_unstable();
        read.dedup();
        Self { read, new }
    }

    /// The composition of the same patch with another ground that covers the same plan.
    ///
    /// The very bytes that composing would give; none when the ground differs where the composition
    /// read it, or names what it read in another order. `from` is the ground that was composed.
    ///
    /// ```text
    /// reads faces of:   from  . . [3 4 7 9] . .      to  . [2 3 5 6] . . .      in the same order
    /// ```
    ///
    /// # Panics
    /// May panic when `from` is not the ground that was composed.
    pub fn again(&self, from: &Surface, to: &Surface) -> Option<Composition> {
        if from.lattice() != to.lattice() {
            return None;
        }
        let moved = Moved::find(&self.read, from, to)?;
        let new = moved.carry(&self.new)?;
        let surface = new.put_into(to).ok()?;
        let read = self.read.iter().map(|&face| moved.faces[face as usize]).collect();
        Some(Composition { surface, trace: Self { read, new } })
    }
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
    /// Where the faces went that were read; none when one of them is gone, changed or out of order.
    fn find(read: &[u32], from: &'s Surface, to: &'s Surface) -> Option<Self> {
        let mut moved = Self {
            from,
            to,
            faces: vec![NONE; from.faces().len()],
            vertices: vec![NONE; from.vertices().len()],
            heights: vec![NONE; from.heights().len()],
            planes: vec![NONE; from.planes().len()],
        };
        let mut candidates = 0..to.faces().len() as u32;
        for &face in read {
            let new = candidates.find(|&new| from.corners(face) == to.corners(new))?;
            moved.put(face, new)?;
        }
        let all_alike = read.iter().all(|&face| moved.has_like_neighbours(face));
        let in_order = is_rising(&moved.vertices) && is_rising(&moved.heights);
        (all_alike && in_order).then_some(moved)
    }

    /// Notes that a face went to another, when that says the same of its plan, heights and maker.
    fn put(&mut self, face: u32, new: u32) -> Option<()> {
        let (old_face, new_face) =
            (&self.from.faces()[face as usize], &self.to.faces()[new as usize]);
        let alike = self.from.corner_heights(face) == self.to.corner_heights(new)
            && old_face.tag == new_face.tag
            && old_face.fixed == new_face.fixed
            && (old_face.plane == NONE) == (new_face.plane == NONE)
            && self.from.plane(face) == self.to.plane(new);
        let one_to_one = |slots: &mut [u32], old: u32, new: u32| {
            let before = std::mem::replace(&mut slots[old as usize], new);
            before == NONE || before == new
        };
        let alike = alike
            && (0..3).all(|k| {
                one_to_one(&mut self.vertices, old_face.vertices[k], new_face.vertices[k])
                    && one_to_one(&mut self.heights, old_face.heights[k], new_face.heights[k])
            });
        if old_face.plane != NONE {
            // Equal planes may stand twice: either will do.
            self.planes[old_face.plane as usize] = new_face.plane;
        }
        self.faces[face as usize] = new;
        alike.then_some(())
    }

    /// Whether a face has the same faces beside it among those that were read, and borders where it
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
        })
    }
}

/// Whether what is there ascends.
fn is_rising(slots: &[u32]) -> bool {
    slots.iter().filter(|slot| **slot != NONE).is_sorted_by(|a, b| a < b)
}
