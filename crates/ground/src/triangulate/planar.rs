//! Plain planar constrained triangulations, for builders that bring their own heights.

use super::canonical;
use super::constrain::{Label, Lines, Piece};
use super::delaunay::{Degenerate, delaunay};
use super::mesh::Mesh;
use crate::{Lattice, LatticePoint, NONE};

/// A planar triangulation: vertices in canonical order, triangles counter-clockwise.
///
/// Edge i of a triangle runs from its corner i to corner i + 1, as in [`crate::Face`].
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh2 {
    /// The lattice on which the vertices lie.
    pub lattice: Lattice,
    /// Distinct places, along a Hilbert curve over their bounding box.
    pub vertices: Vec<LatticePoint>,
    /// Corners by index among the vertices, from the smallest on, in ascending order.
    pub triangles: Vec<[u32; 3]>,
    /// The triangle across each edge, or [`NONE`].
    pub neighbours: Vec<[u32; 3]>,
    /// Bit i is set when edge i is one of the edges asked for.
    pub fixed: Vec<u8>,
    /// The vertex at which each vertex asked for came to stand.
    pub merged: Vec<u32>,
}

/// Why no planar triangulation could be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConstrainedError {
    /// Fewer than three distinct places.
    #[error("a triangulation needs three points, not {0}")]
    NeedsThree(usize),
    /// No three places span a triangle.
    #[error("the points are all on one line")]
    OneLine,
    /// A vertex lies beyond the lattice.
    #[error("vertex {0} lies beyond the lattice")]
    Beyond(usize),
    /// An edge names a vertex that is not there.
    #[error("edge {0} names a vertex that is not there")]
    NoSuchVertex(usize),
}

/// The constrained Delaunay triangulation of the convex hull of `vertices`, with `edges` among its
/// edges.
///
/// Vertices at one place become one, and where edges cross a vertex is made at the nearest lattice
/// place and both are split there. An edge through a vertex is split there; an edge from a place to
/// itself counts for nothing. The triangulation depends on the places alone, not on the order of
/// vertices or edges.
///
/// # Errors
/// Fewer than three distinct places, all places on one line, a vertex beyond [`Lattice::REACH`], an
/// edge that names no vertex.
pub fn constrained(
    lattice: Lattice,
    vertices: &[LatticePoint],
    edges: &[[u32; 2]],
) -> Result<Mesh2, ConstrainedError> {
    if let Some(beyond) = vertices.iter().position(|&p| !is_on_lattice(p)) {
        return Err(ConstrainedError::Beyond(beyond));
    }
    let n = vertices.len() as u32;
    if let Some(bad) = edges.iter().position(|ends| ends.iter().any(|&v| v >= n)) {
        return Err(ConstrainedError::NoSuchVertex(bad));
    }
    let (places, merged) = distinct(vertices);
    let mesh = delaunay(&places).map_err(|degenerate| match degenerate {
        Degenerate::TooFew => ConstrainedError::NeedsThree(places.len()),
        Degenerate::OneLine => ConstrainedError::OneLine,
    })?;
    let heights = vec![0.0; places.len()];
    let mut lines = Lines::new(mesh, heights);
    let label = Label { breakline: true, ..Label::default() };
    let pieces = edges.iter().map(|ends| Piece { ends: ends.map(|v| merged[v as usize]), label });
    lines.enforce(pieces.collect());
    let mut finished = finish(lattice, &lines.mesh, |_| true);
    finished.mesh.merged = merged.into_iter().map(|v| finished.vertex_of[v as usize]).collect();
    Ok(finished.mesh)
}

impl Mesh2 {
    /// The part of the mesh whose triangles `keep` accepts, without the vertices that no triangle
    /// needs any more; in `merged` those become [`NONE`].
    ///
    /// Edges along what was dropped are outlines and marked fixed.
    pub fn retain(self, mut keep: impl FnMut(u32) -> bool) -> Self {
        let mut triangle_of = vec![NONE; self.triangles.len()];
        let mut kept = Vec::new();
        for t in 0..self.triangles.len() as u32 {
            if keep(t) {
                triangle_of[t as usize] = kept.len() as u32;
                kept.push(t as usize);
            }
        }
        let mut needed = vec![false; self.vertices.len()];
        for &t in &kept {
            self.triangles[t].iter().for_each(|&v| needed[v as usize] = true);
        }
        let places = self.vertices.iter().zip(&needed).filter(|&(_, &needed)| needed);
        let places: Vec<LatticePoint> = places.map(|(&p, _)| p).collect();
        let order = canonical::order(&places);
        let mut rank = vec![NONE; places.len()];
        order.iter().zip(0..).for_each(|(&old, new)| rank[old as usize] = new);
        let mut ranks = rank.into_iter();
        let vertex_of: Vec<u32> = needed
            .iter()
            .map(|&needed| if needed { ranks.next().expect("one rank a place") } else { NONE })
            .collect();
        let relabel = |v: &u32| if *v == NONE { NONE } else { vertex_of[*v as usize] };
        let mut loose: Vec<Loose> = Vec::with_capacity(kept.len());
        for &t in &kept {
            let neighbours =
                self.neighbours[t].map(|n| if n == NONE { NONE } else { triangle_of[n as usize] });
            let mut fixed = self.fixed[t];
            (0..3).filter(|&k| neighbours[k] == NONE).for_each(|k| fixed |= 1 << k);
            let corners = self.triangles[t].map(|v| vertex_of[v as usize]);
            loose.push(Loose { corners, neighbours, fixed });
        }
        let parts = in_order(loose);
        Self {
            lattice: self.lattice,
            vertices: order.iter().map(|&v| places[v as usize]).collect(),
            triangles: parts.triangles,
            neighbours: parts.neighbours,
            fixed: parts.fixed,
            merged: self.merged.iter().map(relabel).collect(),
        }
    }
}

pub(super) fn is_on_lattice(p: LatticePoint) -> bool {
    [p.x, p.y].iter().all(|c| c.unsigned_abs() <= Lattice::REACH.unsigned_abs())
}

/// The distinct places in canonical order, and where each vertex went.
pub(super) fn distinct(vertices: &[LatticePoint]) -> (Vec<LatticePoint>, Vec<u32>) {
    let mut merged = vec![NONE; vertices.len()];
    let mut places: Vec<LatticePoint> = Vec::with_capacity(vertices.len());
    for idx in canonical::order(vertices) {
        let p = vertices[idx as usize];
        if places.last() != Some(&p) {
            places.push(p);
        }
        merged[idx as usize] = places.len() as u32 - 1;
    }
    (places, merged)
}

/// A finished mesh and where the working mesh's vertices went.
pub(super) struct Finished {
    pub(super) mesh: Mesh2,
    pub(super) vertex_of: Vec<u32>,
}

/// A triangle that has not found its place yet; neighbours by index in the same list.
struct Loose {
    corners: [u32; 3],
    neighbours: [u32; 3],
    fixed: u8,
}

/// The kept triangles of a working mesh, in canonical order.
pub(super) fn finish(lattice: Lattice, mesh: &Mesh, keep: impl Fn(u32) -> bool) -> Finished {
    let mut index = vec![NONE; mesh.n_triangles() as usize];
    let mut kept = Vec::with_capacity(index.len());
    for t in 0..mesh.n_triangles() {
        if !mesh.is_ghost(t) && keep(t) {
            index[t as usize] = kept.len() as u32;
            kept.push(t);
        }
    }
    let mut vertex_of = vec![NONE; mesh.points.len()];
    let mut order = canonical::order(&mesh.points);
    let mut needed = vec![false; mesh.points.len()];
    for &t in &kept {
        mesh.triangle(t).iter().for_each(|&v| needed[v as usize] = true);
    }
    order.retain(|&v| needed[v as usize]);
    if order.len() < mesh.points.len() {
        // The curve runs through the box of what is left.
        let left: Vec<LatticePoint> = order.iter().map(|&v| mesh.point(v)).collect();
        order = canonical::order(&left).into_iter().map(|k| order[k as usize]).collect();
    }
    order.iter().zip(0..).for_each(|(&old, new)| vertex_of[old as usize] = new);
    let loose = kept.iter().map(|&t| {
        let edges = [3 * t, 3 * t + 1, 3 * t + 2];
        let neighbours = edges.map(|e| index[mesh.twin(e) as usize / 3]);
        let fixed = (0..3).filter(|&k| neighbours[k] == NONE || mesh.is_fixed(edges[k]));
        Loose {
            corners: mesh.triangle(t).map(|v| vertex_of[v as usize]),
            neighbours,
            fixed: fixed.fold(0, |bits, k| bits | 1 << k),
        }
    });
    let parts = in_order(loose.collect());
    let mesh = Mesh2 {
        lattice,
        vertices: order.iter().map(|&v| mesh.point(v)).collect(),
        triangles: parts.triangles,
        neighbours: parts.neighbours,
        fixed: parts.fixed,
        merged: Vec::new(),
    };
    Finished { mesh, vertex_of }
}

struct Parts {
    triangles: Vec<[u32; 3]>,
    neighbours: Vec<[u32; 3]>,
    fixed: Vec<u8>,
}

/// Starts each triangle at its first vertex and sorts them.
fn in_order(mut loose: Vec<Loose>) -> Parts {
    for triangle in &mut loose {
        let smallest = (0..3).min_by_key(|&k| triangle.corners[k]).expect("three corners");
        triangle.corners.rotate_left(smallest);
        triangle.neighbours.rotate_left(smallest);
        let bits = triangle.fixed;
        triangle.fixed =
            (0..3).fold(0, |turned, k| turned | (bits >> ((k + smallest) % 3) & 1) << k);
    }
    let mut order: Vec<u32> = (0..loose.len() as u32).collect();
    order.sort_unstable_by_key(|&t| loose[t as usize].corners);
    let mut rank = vec![NONE; loose.len()];
    order.iter().zip(0..).for_each(|(&old, new)| rank[old as usize] = new);
    let sorted = || order.iter().map(|&t| &loose[t as usize]);
    Parts {
        triangles: sorted().map(|t| t.corners).collect(),
        neighbours: sorted()
            .map(|t| t.neighbours.map(|n| if n == NONE { NONE } else { rank[n as usize] }))
            .collect(),
        fixed: sorted().map(|t| t.fixed).collect(),
    }
}
