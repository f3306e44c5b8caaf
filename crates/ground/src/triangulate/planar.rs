//! Plain planar constrained triangulations, for builders that bring their own heights.

use super::canonical;
use super::constrain::{Label, Lines, Piece};
use super::delaunay::{Degenerate, delaunay};
use super::finish::finish;
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
    let Distinct { places, cells, merged } = distinct(vertices);
    let n_places = places.len();
    let mesh = delaunay(places, &cells).map_err(|degenerate| match degenerate {
        Degenerate::TooFew => ConstrainedError::NeedsThree(n_places),
        Degenerate::OneLine => ConstrainedError::OneLine,
    })?;
    let heights = vec![0.0; n_places];
    let mut lines = Lines::new(mesh, heights);
    let label = Label { breakline: true, ..Label::default() };
    let pieces = edges.iter().map(|ends| Piece { ends: ends.map(|v| merged[v as usize]), label });
    lines.enforce(pieces.collect());
    let finished = finish(&lines.mesh, n_places, |_| true);
    let mut planar = finished.planar(lattice);
    planar.merged = merged.into_iter().map(|v| finished.vertex_of[v as usize]).collect();
    Ok(planar)
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
        let order = canonical::order(&places).indices;
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

/// Places without repetition, in canonical order.
pub(super) struct Distinct {
    pub(super) places: Vec<LatticePoint>,
    /// Where on the curve each lies.
    pub(super) cells: Vec<u32>,
    /// Where each of the places asked for went.
    pub(super) merged: Vec<u32>,
}

pub(super) fn distinct(vertices: &[LatticePoint]) -> Distinct {
    let order = canonical::order(vertices);
    let mut merged = vec![NONE; vertices.len()];
    let mut places: Vec<LatticePoint> = Vec::with_capacity(vertices.len());
    let mut cells = Vec::with_capacity(vertices.len());
    for (&idx, &cell) in order.indices.iter().zip(&order.cells) {
        let p = vertices[idx as usize];
        if places.last() != Some(&p) {
            places.push(p);
            cells.push(cell);
        }
        merged[idx as usize] = places.len() as u32 - 1;
    }
    Distinct { places, cells, merged }
}

/// A triangle that has not found its place yet; neighbours by index in the same list.
struct Loose {
    corners: [u32; 3],
    neighbours: [u32; 3],
    fixed: u8,
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
