//! From the working mesh to the order in which results are given.

use super::canonical;
use super::mesh::{Mesh, next, prev};
use super::planar::Mesh2;
use crate::{Face, Lattice, LatticePoint, NONE, Tag};

/// The kept part of a working mesh in canonical order: vertices along the Hilbert curve, each face
/// from its first vertex on, faces by their corners.
pub(super) struct Finished<'a> {
    mesh: &'a Mesh,
    /// The working mesh's vertices, in order.
    order: Vec<u32>,
    /// Where each of the working mesh's vertices went, or [`NONE`].
    pub(super) vertex_of: Vec<u32>,
    /// The half-edge that leaves each face's first vertex, in order.
    starts: Vec<u32>,
    /// Where each of the working mesh's triangles went, or [`NONE`].
    face_of: Vec<u32>,
}

/// Puts the triangles that `keep` accepts in order; the first `n_ordered` of the mesh's vertices
/// are known to be in canonical order among themselves.
pub(super) fn finish(mesh: &Mesh, n_ordered: usize, keep: impl Fn(u32) -> bool) -> Finished<'_> {
    let kept = |t: &u32| !mesh.is_ghost(*t) && keep(*t);
    let kept: Vec<u32> = (0..mesh.n_triangles()).filter(kept).collect();
    let mut vertex_of = vec![NONE; mesh.points.len()];
    for &t in &kept {
        mesh.triangle(t).iter().for_each(|&v| vertex_of[v as usize] = 0);
    }
    let mut order: Vec<u32> =
        (0..mesh.points.len() as u32).filter(|&v| vertex_of[v as usize] != NONE).collect();
    if order.len() != n_ordered || mesh.points.len() != n_ordered {
        // The curve runs through the box of what is left.
        let left: Vec<LatticePoint> = order.iter().map(|&v| mesh.point(v)).collect();
        let indices = canonical::order(&left).indices;
        order = indices.into_iter().map(|k| order[k as usize]).collect();
    }
    order.iter().zip(0..).for_each(|(&old, new)| vertex_of[old as usize] = new);
    let starts = starts_in_order(mesh, &kept, &vertex_of, order.len());
    let mut face_of = vec![NONE; mesh.n_triangles() as usize];
    starts.iter().zip(0..).for_each(|(&e, new)| face_of[e as usize / 3] = new);
    Finished { mesh, order, vertex_of, starts, face_of }
}

/// The half-edge from each triangle's first vertex, sorted by that vertex and the next: counted into
/// place by the first, and the few of one vertex sorted by the second.
fn starts_in_order(mesh: &Mesh, kept: &[u32], vertex_of: &[u32], n_vertices: usize) -> Vec<u32> {
    let rank = |e: u32| vertex_of[mesh.origin(e) as usize];
    let start_of = |t: u32| {
        let [a, b, c] = [3 * t, 3 * t + 1, 3 * t + 2].map(rank);
        if a < b && a < c {
            3 * t
        } else if b < c {
            3 * t + 1
        } else {
            3 * t + 2
        }
    };
    let mut ends = vec![0_u32; n_vertices + 1];
    let first_edges: Vec<u32> = kept.iter().map(|&t| start_of(t)).collect();
    first_edges.iter().for_each(|&e| ends[rank(e) as usize + 1] += 1);
    for v in 0..n_vertices {
        ends[v + 1] += ends[v];
    }
    let mut starts = vec![0; kept.len()];
    let mut filled = ends.clone();
    for &e in &first_edges {
        let place = &mut filled[rank(e) as usize];
        starts[*place as usize] = e;
        *place += 1;
    }
    for v in 0..n_vertices {
        let same = &mut starts[ends[v] as usize..ends[v + 1] as usize];
        if same.len() > 1 {
            same.sort_unstable_by_key(|&e| rank(next(e)));
        }
    }
    starts
}

impl Finished<'_> {
    fn corners(&self, start: u32) -> [u32; 3] {
        let corner = |e: u32| self.vertex_of[self.mesh.origin(e) as usize];
        [start, next(start), prev(start)].map(corner)
    }

    fn neighbours(&self, start: u32) -> [u32; 3] {
        let across = |e: u32| self.face_of[self.mesh.twin(e) as usize / 3];
        [start, next(start), prev(start)].map(across)
    }

    fn fixed(&self, start: u32, neighbours: [u32; 3]) -> u8 {
        let edges = [start, next(start), prev(start)];
        let bit = |k: usize| u8::from(neighbours[k] == NONE || self.mesh.is_fixed(edges[k])) << k;
        bit(0) | bit(1) | bit(2)
    }

    /// The places of the vertices.
    pub(super) fn places(&self) -> Vec<LatticePoint> {
        self.order.iter().map(|&v| self.mesh.point(v)).collect()
    }

    /// Values of the working mesh's vertices, in the new order.
    pub(super) fn in_order(&self, values: &[f64]) -> Vec<f64> {
        self.order.iter().map(|&v| values[v as usize]).collect()
    }

    /// The faces of a surface whose corners have their vertices' heights.
    pub(super) fn faces(&self, tag: Tag) -> Vec<Face> {
        let face = |&start: &u32| {
            let (vertices, neighbours) = (self.corners(start), self.neighbours(start));
            let fixed = self.fixed(start, neighbours);
            Face { vertices, heights: vertices, neighbours, plane: NONE, tag, fixed }
        };
        self.starts.iter().map(face).collect()
    }

    /// The faces as a plain mesh.
    pub(super) fn planar(&self, lattice: Lattice) -> Mesh2 {
        let starts = || self.starts.iter().copied();
        Mesh2 {
            lattice,
            vertices: self.places(),
            triangles: starts().map(|e| self.corners(e)).collect(),
            neighbours: starts().map(|e| self.neighbours(e)).collect(),
            fixed: starts().map(|e| self.fixed(e, self.neighbours(e))).collect(),
            merged: Vec::new(),
        }
    }
}
