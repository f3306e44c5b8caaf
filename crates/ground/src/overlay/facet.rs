//! A face of one of two surfaces, as its cells are measured against it.

use super::overlap::{next, share};
use crate::LatticePoint;
use crate::surface::{NONE, Plane, Surface};

/// A face with what its corners name.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Facet<'s> {
    surface: &'s Surface,
    pub(crate) face: u32,
    pub(crate) vertices: [u32; 3],
    pub(crate) corners: [LatticePoint; 3],
    pub(crate) heights: [f64; 3],
    pub(crate) plane: Plane,
}

/// Whether a face runs an edge against the edge's own direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turned {
    Yes,
    No,
}

impl<'s> Facet<'s> {
    #[inline]
    pub(crate) fn of(surface: &'s Surface, face: u32) -> Self {
        Self {
            surface,
            face,
            vertices: surface.faces()[face as usize].vertices,
            corners: surface.corners(face),
            heights: surface.corner_heights(face),
            plane: surface.plane(face),
        }
    }

    /// A number for one of its edges that is the same from both its sides, and the way it runs it.
    #[inline]
    pub(crate) fn edge(&self, edge: usize) -> (u32, Turned) {
        edge_number(self.surface, self.face, edge)
    }

    /// How far along an edge, in the edge's own direction, another edge crosses it, from the sides
    /// of that on which its corners lie.
    #[inline]
    pub(crate) fn crossing_share(&self, edge: usize, turned: Turned, sides: &[i64; 3]) -> f64 {
        let (before, after) = (sides[edge].abs(), sides[next(edge)].abs());
        match turned {
            Turned::No => share(before, after),
            Turned::Yes => share(after, before),
        }
    }

    /// The height on its side of an edge, at a share along the edge's own direction.
    #[inline]
    pub(crate) fn along(&self, edge: usize, turned: Turned, share: f64) -> f64 {
        let (start, end) = (self.heights[edge], self.heights[next(edge)]);
        match turned {
            Turned::No => start + share * (end - start),
            Turned::Yes => end + share * (start - end),
        }
    }

    /// The height on its side of an edge, at a lattice point that lies on it.
    pub(crate) fn on_edge(&self, edge: usize, at: LatticePoint) -> f64 {
        let run = |p: LatticePoint| {
            (i64::from(at.x) - i64::from(p.x)).abs() + (i64::from(at.y) - i64::from(p.y)).abs()
        };
        let (before, after) = (run(self.corners[edge]), run(self.corners[next(edge)]));
        let turned = self.edge(edge).1;
        let share = match turned {
            Turned::No => share(before, after),
            Turned::Yes => share(after, before),
        };
        self.along(edge, turned, share)
    }
}

/// A number for an edge that is the same from both its sides, and whether a face runs it the other
/// way.
#[inline]
pub(crate) fn edge_number(surface: &Surface, face: u32, edge: usize) -> (u32, Turned) {
    let here = face * 3 + edge as u32;
    let across = surface.faces()[face as usize].neighbours[edge];
    if across == NONE || across > face {
        return (here, Turned::No);
    }
    let back = surface.faces()[across as usize].neighbours.iter().position(|&n| n == face);
    (across * 3 + back.map_or(0, |b| b as u32), Turned::Yes)
}
