//! The way of a line through a mesh, cleared and triangulated again.
//!
//! ```text
//!        x1 --- x2        The triangles that the line from a to w crosses form a strip. Seen from
//!       / |   / | \       the line, its rim is one chain of vertices on the left and one on the
//!      a -|--/--|- w      right. Each chain with the line as its base is triangulated by itself.
//!       \ | /   | /
//!        y1 --- y2
//! ```

use super::mesh::{Mesh, next, prev};
use crate::predicates::in_circle_sign;
use std::cmp::Ordering;

/// The strip of triangles that a line crosses.
struct Strip {
    triangles: Vec<u32>,
    /// From `a` to `w` along the line's left side.
    left: Vec<u32>,
    /// From `a` to `w` along its right side.
    right: Vec<u32>,
    rim: Vec<Rim>,
}

/// An edge on the rim of the strip, as it runs inside.
struct Rim {
    ends: [u32; 2],
    outside: u32,
    is_fixed: bool,
}

/// Makes an edge from `a` to `w`, which `crossed` edges part: half-edges that run from right to left
/// in the order in which the line meets them. Returns the half-edges whose legality is in doubt.
///
/// The chains may visit a vertex twice, where an edge ends inside the strip. Every visit can be seen
/// from the line, so the vertex whose circle through the base is empty sees the whole base, and the
/// two chains that are left on either side of it are seen from their own bases.
///
/// # Source
/// M. V. Anglada, "An improved incremental algorithm for constructing restricted Delaunay
/// triangulations", Computers & Graphics 21 (1997), section 3.
pub(super) fn clear(mesh: &mut Mesh, a: u32, w: u32, crossed: &[u32]) -> Vec<u32> {
    let strip = strip(mesh, a, w, crossed);
    let right: Vec<u32> = strip.right.iter().rev().copied().collect();
    let mut made = triangulate(mesh, &strip.left);
    made.extend(triangulate(mesh, &right));
    debug_assert_eq!(made.len(), strip.triangles.len());
    let mut sides = Vec::with_capacity(3 * made.len());
    for (&t, &corners) in strip.triangles.iter().zip(&made) {
        mesh.set_triangle(t, corners);
        let edges = [3 * t, 3 * t + 1, 3 * t + 2];
        sides.extend(edges.map(|e| ([mesh.origin(e), mesh.origin(next(e))], e)));
    }
    sides.sort_unstable();
    let inside = |ends: [u32; 2]| {
        sides.binary_search_by_key(&ends, |side| side.0).ok().map(|found| sides[found].1)
    };
    for &([u, v], e) in &sides {
        if let Some(f) = inside([v, u]) {
            mesh.link(e, f);
        }
    }
    for rim in &strip.rim {
        let e = inside(rim.ends).expect("the rim stays");
        let [u, v] = rim.ends;
        if inside([v, u]).is_none() {
            mesh.link(e, rim.outside);
        }
        mesh.set_fixed(e, rim.is_fixed);
    }
    sides.into_iter().map(|side| side.1).collect()
}

fn strip(mesh: &Mesh, a: u32, w: u32, crossed: &[u32]) -> Strip {
    let first = crossed[0];
    let mut strip = Strip {
        triangles: vec![first / 3],
        left: vec![a, mesh.origin(next(first))],
        right: vec![a, mesh.origin(first)],
        rim: Vec::with_capacity(crossed.len() + 3),
    };
    strip.rim.extend([next(first), prev(first)].map(|e| rim(mesh, e)));
    for (k, &e) in crossed.iter().enumerate() {
        let f = mesh.twin(e);
        strip.triangles.push(f / 3);
        // In f's triangle next(f) leads from the right side to the apex, prev(f) from there to the
        // left side; the line leaves through one of them.
        match crossed.get(k + 1) {
            Some(&onward) if onward == next(f) => {
                strip.left.push(mesh.origin(prev(f)));
                strip.rim.push(rim(mesh, prev(f)));
            }
            Some(_) => {
                strip.right.push(mesh.origin(prev(f)));
                strip.rim.push(rim(mesh, next(f)));
            }
            None => strip.rim.extend([next(f), prev(f)].map(|e| rim(mesh, e))),
        }
    }
    strip.left.push(w);
    strip.right.push(w);
    strip
}

fn rim(mesh: &Mesh, e: u32) -> Rim {
    let ends = [mesh.origin(e), mesh.origin(next(e))];
    Rim { ends, outside: mesh.twin(e), is_fixed: mesh.is_fixed(e) }
}

/// The triangles between a chain and its base, the straight line from its first to its last vertex;
/// the chain lies left of its base.
fn triangulate(mesh: &Mesh, chain: &[u32]) -> Vec<[u32; 3]> {
    let mut made = Vec::with_capacity(chain.len());
    let mut open = vec![chain];
    while let Some(chain) = open.pop() {
        let [first, inner @ .., last] = chain else { continue };
        if inner.is_empty() {
            continue;
        }
        let (pa, pb) = (mesh.point(*first), mesh.point(*last));
        let mut nearest = 0;
        for (k, &v) in inner.iter().enumerate().skip(1) {
            let apex = mesh.point(inner[nearest]);
            if in_circle_sign(pa, pb, apex, mesh.point(v)) == Ordering::Greater {
                nearest = k;
            }
        }
        made.push([*first, *last, inner[nearest]]);
        open.extend([&chain[..=nearest + 1], &chain[nearest + 1..]]);
    }
    made
}
