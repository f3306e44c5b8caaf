//! A face of one of two surfaces, as its cells are measured against it.

use super::overlap::{next, share};
use crate::LatticePoint;
use crate::surface::{NONE, Plane, Surface};

/// A face with what its corners name.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Facet {
    pub(crate) face: u32,
    pub(crate) vertices: [u32; 3],
    pub(crate) corners: [LatticePoint; 3],
    pub(crate) heights: [f64; 3],
    pub(crate) plane: Plane,
    /// Rise of the plane per lattice step along its steepest way, in metres.
    pub(crate) steepness_m: f64,
    edges: [(u32, Turned); 3],
}

/// The facets of a surface that were asked for lately.
#[derive(Debug)]
pub(crate) struct Facets<'s> {
    surface: &'s Surface,
    latest: Vec<Facet>,
}

impl<'s> Facets<'s> {
    /// None yet.
    pub(crate) fn of(surface: &'s Surface) -> Self {
        Self { surface, latest: vec![BLANK; N_LATEST] }
    }

    /// The facet of a face.
    #[inline]
    pub(crate) fn at(&mut self, face: u32) -> &Facet {
        let slot = &mut self.latest[face as usize % N_LATEST];
        if slot.face != face {
            *slot = Facet::of(self.surface, face);
        }
        slot
    }
}

/// A walk comes back to a face while it goes around it: these are more faces than lie around one.
const N_LATEST: usize = 512;

const BLANK: Facet = Facet {
    face: NONE,
    vertices: [NONE; 3],
    corners: [LatticePoint { x: 0, y: 0 }; 3],
    heights: [0.0; 3],
    plane: Plane { anchor: LatticePoint { x: 0, y: 0 }, z: 0.0, rise: [0.0; 2] },
    steepness_m: 0.0,
    edges: [(NONE, Turned::No); 3],
};

/// Whether a face runs an edge against the edge's own direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turned {
    Yes,
    No,
}

impl Facet {
    fn of(surface: &Surface, face: u32) -> Self {
        let plane = surface.plane(face);
        Self {
            face,
            vertices: surface.faces()[face as usize].vertices,
            corners: surface.corners(face),
            heights: surface.corner_heights(face),
            plane,
            steepness_m: steepness_m(&plane),
            edges: [0, 1, 2].map(|edge| edge_number(surface, face, edge)),
        }
    }

    /// A number for one of its edges that is the same from both its sides, and the way it runs it.
    #[inline]
    pub(crate) fn edge(&self, edge: usize) -> (u32, Turned) {
        self.edges[edge]
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

/// Rise of a plane per lattice step along its steepest way, in metres.
#[inline]
pub(crate) fn steepness_m(plane: &Plane) -> f64 {
    (plane.rise[0] * plane.rise[0] + plane.rise[1] * plane.rise[1]).sqrt()
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
