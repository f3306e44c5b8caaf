//! The exact Delaunay triangulation of distinct places.
//!
//! The places are divided into quarters of quarters along their Hilbert curve. `delaunator`
//! triangulates each small block, what it says is proven and made exact while the block is in the
//! cache, and the blocks are then joined two by two.

use super::mesh::{GHOST, Mesh, next, prev};
use crate::LatticePoint;
use crate::predicates::orient;
use std::ops::Range;

/// The most places in a block, unless a single cell of the curve holds more: measured, see
/// README.md.
const BLOCK: usize = 512;

/// Why no triangle could be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Degenerate {
    /// Fewer than three places.
    TooFew,
    /// All places lie on one line.
    OneLine,
}

/// Triangulates distinct places in canonical order; `cells` tells where on the curve each lies.
///
/// Where four places lie on one circle the diagonal runs through the lexicographically smallest,
/// so that the result does not depend on the order of the places.
pub(super) fn delaunay(points: Vec<LatticePoint>, cells: &[u32]) -> Result<Mesh, Degenerate> {
    let corners = first_triangle(&points)?;
    let n = points.len();
    let mut work = Work { mesh: Mesh::of_points(points), lost: Vec::new(), places: Vec::new() };
    if work.divide(cells, 0..n, 2 * super::canonical::KEY_BITS).is_none() {
        work.mesh.open_with(corners);
    }
    let Work { mut mesh, lost, .. } = work;
    for vertex in lost {
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

struct Work {
    mesh: Mesh,
    /// Places of blocks that have no triangle of their own.
    lost: Vec<u32>,
    /// Room for a block's coordinates.
    places: Vec<delaunator::Point>,
}

/// A finished part of the mesh, by the vertices that stand out of it.
#[derive(Clone, Copy)]
struct Part {
    west: u32,
    east: u32,
    south: u32,
    north: u32,
}

impl Work {
    /// Triangulates the places of a square whose cells share all but the last `bits` bits.
    fn divide(&mut self, cells: &[u32], range: Range<usize>, bits: u32) -> Option<Part> {
        if range.len() <= BLOCK || bits == 0 {
            return self.block(range);
        }
        let bits = bits - 2;
        let mut start = range.start;
        let mut quarters = [None; 4];
        for (digit, quarter) in (0..4).zip(&mut quarters) {
            let inside = |&cell: &u32| cell >> bits & 3 <= digit;
            let end = start + cells[start..range.end].partition_point(inside);
            *quarter = self.divide(cells, start..end, bits);
            start = end;
        }
        let [a, b, c, d] = quarters;
        let (first, second) = (self.join(a, b), self.join(c, d));
        self.join(first, second)
    }

    fn block(&mut self, range: Range<usize>) -> Option<Part> {
        if range.is_empty() {
            return None;
        }
        let vertices = range.start as u32..range.end as u32;
        let origin = self.mesh.points[range.start];
        self.places.clear();
        self.places.extend(self.mesh.points[range.clone()].iter().map(|p| delaunator::Point {
            x: f64::from(p.x) - f64::from(origin.x),
            // `delaunator` turns its triangles the way of a picture whose rows count downwards.
            y: f64::from(origin.y) - f64::from(p.y),
        }));
        let first_pass = delaunator::triangulate(&self.places);
        if !adopt(&mut self.mesh, &vertices, &first_pass) && !self.insert_all(&vertices) {
            self.lost.extend(vertices);
            return None;
        }
        Some(self.part(vertices))
    }

    /// Triangulates a block by exact insertion alone.
    fn insert_all(&mut self, vertices: &Range<u32>) -> bool {
        let places = self.mesh.points[vertices.start as usize..vertices.end as usize].to_vec();
        let Ok(corners) = first_triangle(&places) else { return false };
        let mut block = Mesh::of_points(places);
        block.open_with(corners);
        for vertex in 0..vertices.len() as u32 {
            if block.leaving[vertex as usize] == GHOST {
                block.insert(vertex);
            }
        }
        self.mesh.append(&block, vertices.start);
        true
    }

    fn part(&self, vertices: Range<u32>) -> Part {
        let by_x = |&v: &u32| self.mesh.point(v);
        let by_y = |&v: &u32| (self.mesh.point(v).y, self.mesh.point(v).x);
        let first = vertices.start;
        Part {
            west: vertices.clone().min_by_key(by_x).unwrap_or(first),
            east: vertices.clone().max_by_key(by_x).unwrap_or(first),
            south: vertices.clone().min_by_key(by_y).unwrap_or(first),
            north: vertices.max_by_key(by_y).unwrap_or(first),
        }
    }

    /// Joins two parts that a line along an axis separates.
    ///
    /// A bridge between the nearest vertices of the two on either side of that line meets neither
    /// part. It makes the outline concave at both its ends, and filling the outline's concave
    /// corners, each new triangle made legal in turn, ends with the triangulation of both.
    fn join(&mut self, first: Option<Part>, second: Option<Part>) -> Option<Part> {
        let (Some(p), Some(q)) = (first, second) else { return first.or(second) };
        let point = |v: u32| self.mesh.point(v);
        let (a, b) = if point(p.east).x < point(q.west).x {
            (p.east, q.west)
        } else if point(q.east).x < point(p.west).x {
            (q.east, p.west)
        } else if point(p.north).y < point(q.south).y {
            (p.north, q.south)
        } else {
            (q.north, p.south)
        };
        let by_x = |v: &u32| point(*v);
        let by_y = |v: &u32| (point(*v).y, point(*v).x);
        let joined = Part {
            west: std::cmp::min_by_key(p.west, q.west, by_x),
            east: std::cmp::max_by_key(p.east, q.east, by_x),
            south: std::cmp::min_by_key(p.south, q.south, by_y),
            north: std::cmp::max_by_key(p.north, q.north, by_y),
        };
        self.bridge(a, b);
        Some(joined)
    }

    fn bridge(&mut self, a: u32, b: u32) {
        let mesh = &mut self.mesh;
        let outward = |mesh: &Mesh, v: u32| {
            let mut edges = mesh.around(v);
            edges.find(|&e| mesh.origin(next(e)) == GHOST).expect("the vertex is on its outline")
        };
        let (out_a, out_b) = (outward(mesh, a), outward(mesh, b));
        let (in_a, in_b) = (mesh.twin(out_a), mesh.twin(out_b));
        let lower = mesh.push_triangle([b, a, GHOST]);
        let upper = mesh.push_triangle([a, b, GHOST]);
        mesh.link(lower, upper);
        mesh.link(in_a, lower + 1);
        mesh.link(lower + 2, out_b);
        mesh.link(in_b, upper + 1);
        mesh.link(upper + 2, out_a);
        mesh.legalize([lower + 1, lower + 2, upper + 1, upper + 2]);
    }
}

/// Takes over what `delaunator` made of a block if it can be proven a triangulation of the block's
/// hull, and makes it exact.
///
/// Proven is: all half-edges pair up, every triangle turns left, every place is used, and the
/// outline is one loop that nowhere turns right and goes round once. Then the number of triangles
/// says that the angles around each inner vertex sum up to one full turn.
fn adopt(mesh: &mut Mesh, vertices: &Range<u32>, first_pass: &delaunator::Triangulation) -> bool {
    let base = mesh.origins.len();
    let is_proven = copy(mesh, vertices.start, first_pass)
        && vertices.clone().all(|v| mesh.leaving[v as usize] != GHOST)
        && close(mesh, base as u32, vertices.len());
    if !is_proven {
        mesh.truncate(base, vertices);
        return false;
    }
    let end = base + first_pass.triangles.len();
    for e in base as u32..end as u32 {
        if e < mesh.twin(e) && mesh.is_illegal(e) {
            mesh.legalize([e]);
        }
    }
    true
}

/// Copies the triangles; `false` when one does not turn left or half-edges do not pair up.
fn copy(mesh: &mut Mesh, first_vertex: u32, first_pass: &delaunator::Triangulation) -> bool {
    let base = mesh.origins.len() as u32;
    let (corners, halfedges) = (&first_pass.triangles, &first_pass.halfedges);
    if corners.is_empty() || corners.len() != halfedges.len() {
        return false;
    }
    for triangle in corners.chunks_exact(3) {
        let [a, b, c] = [0, 1, 2].map(|k| first_vertex + triangle[k] as u32);
        if orient(mesh.point(a), mesh.point(b), mesh.point(c)) <= 0 {
            return false;
        }
        mesh.push_triangle([a, b, c]);
    }
    let end_of = |e: usize| corners[next(e as u32) as usize];
    for (e, &twin) in halfedges.iter().enumerate() {
        if twin == delaunator::EMPTY {
            continue;
        }
        let pairs = twin < corners.len()
            && halfedges[twin] == e
            && corners[twin] == end_of(e)
            && corners[e] == end_of(twin);
        if !pairs {
            return false;
        }
        mesh.twins[base as usize + e] = base + twin as u32;
    }
    true
}

/// Puts ghosts around the triangles from half-edge `base` on; `false` when their outline is not a
/// convex loop or there are not as many as `n` places make.
fn close(mesh: &mut Mesh, base: u32, n: usize) -> bool {
    let end = mesh.origins.len() as u32;
    let n_outer = (base..end).filter(|&e| mesh.twin(e) == GHOST).count();
    let Some(first) = (base..end).find(|&e| mesh.twin(e) == GHOST) else { return false };
    if (end - base) as usize / 3 + n_outer + 2 != 2 * n {
        return false;
    }
    let mut outline = Vec::with_capacity(n_outer);
    let mut e = first;
    loop {
        outline.push(e);
        e = next(e);
        while mesh.twin(e) != GHOST {
            e = next(mesh.twin(e));
        }
        if e == first || outline.len() > n_outer {
            break;
        }
    }
    if outline.len() != n_outer || !is_convex(mesh, &outline) {
        return false;
    }
    let first_ghost = mesh.origins.len() as u32;
    for &e in &outline {
        let ghost = mesh.push_triangle([mesh.origin(next(e)), mesh.origin(e), GHOST]);
        mesh.link(e, ghost);
    }
    let last_ghost = mesh.origins.len() as u32 - 3;
    for ghost in (first_ghost..=last_ghost).step_by(3) {
        let after = if ghost == last_ghost { first_ghost } else { ghost + 3 };
        mesh.link(prev(ghost), after + 1);
    }
    true
}

/// Whether a loop of half-edges nowhere turns right and goes round once.
fn is_convex(mesh: &Mesh, outline: &[u32]) -> bool {
    let place = |k: usize| mesh.point(mesh.origin(outline[k % outline.len()]));
    let mut n_westmost = 0;
    for k in 0..outline.len() {
        let [a, b, c] = [place(k), place(k + 1), place(k + 2)];
        if orient(a, b, c) < 0 {
            return false;
        }
        n_westmost += usize::from(b < a && b < c);
    }
    n_westmost == 1
}
