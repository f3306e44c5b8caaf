//! The exact Delaunay triangulation of distinct places.

use super::mesh::{GHOST, Mesh};
use crate::LatticePoint;
use crate::predicates::orient;

/// Why no triangle could be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Degenerate {
    /// Fewer than three places.
    TooFew,
    /// All places lie on one line.
    OneLine,
}

/// Triangulates places that are distinct; neighbours in the list should be neighbours in plan.
///
/// Where four places lie on one circle the diagonal runs through the lexicographically smallest,
/// so that the result does not depend on the order of the places.
pub(super) fn delaunay(points: &[LatticePoint]) -> Result<Mesh, Degenerate> {
    let corners = first_triangle(points)?;
    let mut mesh = Mesh::of_triangle(points.to_vec(), corners);
    for vertex in 0..points.len() as u32 {
        if mesh.leaving[vertex as usize] == GHOST {
            mesh.insert(vertex);
        }
    }
    Ok(mesh)
}

/// The first two places and the first one beside their line, turning left.
fn first_triangle(points: &[LatticePoint]) -> Result<[u32; 3], Degenerate> {
    let [a, b, rest @ ..] = points else { return Err(Degenerate::TooFew) };
    if rest.is_empty() {
        return Err(Degenerate::TooFew);
    }
    let (offset, side) = rest
        .iter()
        .map(|&c| orient(*a, *b, c))
        .enumerate()
        .find(|&(_, side)| side != 0)
        .ok_or(Degenerate::OneLine)?;
    let c = offset as u32 + 2;
    Ok(if side > 0 { [0, 1, c] } else { [1, 0, c] })
}
