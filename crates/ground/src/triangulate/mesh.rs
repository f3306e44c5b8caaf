//! The working mesh: half-edges over lattice places, closed by ghost triangles.
//!
//! ```text
//!             c                half-edge e runs from a to b, its triangle lies left of it;
//!           /   \              next(e) runs from b to c, prev(e) from c to a;
//!         /   e   \            twin(e) = f runs from b to a.
//!       a --------- b
//!         \   f   /            Every hull edge carries a ghost triangle whose third corner is
//!           \   /              GHOST, the vertex outside everything, so that no edge lacks a twin
//!             d                and a place outside the hull lies in a ghost triangle.
//! ```

use crate::LatticePoint;
use crate::predicates::{in_circle_sign, orient};
use std::cmp::Ordering;

/// The corner that all ghost triangles share.
pub(super) const GHOST: u32 = u32::MAX;

/// Where a place lies in a mesh.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spot {
    /// At a vertex.
    Vertex(u32),
    /// Inside an edge, named by one of its half-edges.
    Edge(u32),
    /// Inside a triangle, or outside the hull in a ghost triangle.
    Face(u32),
}

/// A triangulation of the convex hull of its vertices.
#[derive(Clone, Debug, Default)]
pub(super) struct Mesh {
    pub(super) points: Vec<LatticePoint>,
    /// The vertex from which each half-edge runs; three in a row are a triangle.
    pub(super) origins: Vec<u32>,
    pub(super) twins: Vec<u32>,
    /// Whether each half-edge is a constraint that no flip may remove.
    pub(super) fixed: Vec<bool>,
    /// One half-edge that leaves each vertex, or `GHOST` for a vertex not yet in the mesh.
    pub(super) leaving: Vec<u32>,
    /// Half-edges whose legality is in doubt.
    doubtful: Vec<u32>,
    /// Where the next walk starts.
    hint: u32,
}

#[inline]
pub(super) fn next(e: u32) -> u32 {
    if e % 3 == 2 { e - 2 } else { e + 1 }
}

#[inline]
pub(super) fn prev(e: u32) -> u32 {
    if e.is_multiple_of(3) { e + 2 } else { e - 1 }
}

impl Mesh {
    /// Places without triangles.
    pub(super) fn of_points(points: Vec<LatticePoint>) -> Self {
        let n = points.len();
        let mut mesh = Self { leaving: vec![GHOST; n], points, ..Self::default() };
        // Hulls of blocks leave a few triangles more than the two for each vertex.
        mesh.reserve(2 * n + n / 4);
        mesh
    }

    /// Opens a mesh without triangles with its first one; `corners` must turn left.
    pub(super) fn open_with(&mut self, corners: [u32; 3]) {
        let [a, b, c] = corners;
        self.push_triangle([a, b, c]);
        for (k, [u, v]) in (0..).zip([[a, b], [b, c], [c, a]]) {
            let ghost = self.push_triangle([v, u, GHOST]);
            self.link(k, ghost);
        }
        // Ghost k holds the edges (v, u), (u, GHOST), (GHOST, v); its neighbour at u is the ghost
        // of the edge that ends at u.
        for k in 0..3 {
            let (own, before) = (3 + 3 * k, 3 + 3 * ((k + 2) % 3));
            self.link(own + 1, before + 2);
        }
    }

    /// Appends a mesh of some of this mesh's places, which stand from `first_vertex` on.
    pub(super) fn append(&mut self, other: &Self, first_vertex: u32) {
        let base = self.origins.len() as u32;
        let vertex = |v: u32| if v == GHOST { GHOST } else { first_vertex + v };
        for t in 0..other.n_triangles() {
            self.push_triangle(other.triangle(t).map(vertex));
        }
        for (e, &twin) in (base as usize..).zip(&other.twins) {
            self.twins[e] = base + twin;
        }
    }

    /// Takes back the triangles from half-edge `base` on, which use the given vertices only.
    pub(super) fn truncate(&mut self, base: usize, vertices: &std::ops::Range<u32>) {
        self.origins.truncate(base);
        self.twins.truncate(base);
        self.fixed.truncate(base);
        self.leaving[vertices.start as usize..vertices.end as usize].fill(GHOST);
    }

    pub(super) fn reserve(&mut self, n_triangles: usize) {
        self.origins.reserve(3 * n_triangles);
        self.twins.reserve(3 * n_triangles);
        self.fixed.reserve(3 * n_triangles);
    }

    /// Appends a triangle without twins and returns its first half-edge.
    pub(super) fn push_triangle(&mut self, corners: [u32; 3]) -> u32 {
        let first = self.origins.len() as u32;
        self.origins.extend(corners);
        self.twins.extend([GHOST; 3]);
        self.fixed.extend([false; 3]);
        for (k, v) in corners.into_iter().enumerate() {
            self.set_leaving(v, first + k as u32);
        }
        first
    }

    /// Gives a triangle other corners; its half-edges are still to be linked.
    pub(super) fn set_triangle(&mut self, t: u32, corners: [u32; 3]) {
        for (e, v) in (3 * t..).zip(corners) {
            self.origins[e as usize] = v;
            self.fixed[e as usize] = false;
            self.set_leaving(v, e);
        }
    }

    #[inline]
    pub(super) fn link(&mut self, e: u32, f: u32) {
        self.twins[e as usize] = f;
        self.twins[f as usize] = e;
    }

    #[inline]
    fn set_leaving(&mut self, vertex: u32, e: u32) {
        if vertex != GHOST {
            self.leaving[vertex as usize] = e;
        }
    }

    #[inline]
    pub(super) fn origin(&self, e: u32) -> u32 {
        self.origins[e as usize]
    }

    #[inline]
    pub(super) fn twin(&self, e: u32) -> u32 {
        self.twins[e as usize]
    }

    #[inline]
    pub(super) fn point(&self, vertex: u32) -> LatticePoint {
        self.points[vertex as usize]
    }

    pub(super) fn is_fixed(&self, e: u32) -> bool {
        self.fixed[e as usize]
    }

    /// Marks or unmarks both half-edges of an edge.
    pub(super) fn set_fixed(&mut self, e: u32, fixed: bool) {
        let f = self.twin(e);
        self.fixed[e as usize] = fixed;
        self.fixed[f as usize] = fixed;
    }

    pub(super) fn n_triangles(&self) -> u32 {
        (self.origins.len() / 3) as u32
    }

    pub(super) fn triangle(&self, t: u32) -> [u32; 3] {
        let e = 3 * t as usize;
        [self.origins[e], self.origins[e + 1], self.origins[e + 2]]
    }

    pub(super) fn is_ghost(&self, t: u32) -> bool {
        self.triangle(t).contains(&GHOST)
    }

    /// The half-edge that leaves `from` and ends at `to`, if they share an edge.
    pub(super) fn edge_between(&self, from: u32, to: u32) -> Option<u32> {
        self.around(from).find(|&e| self.origin(next(e)) == to)
    }

    /// The half-edges that leave `vertex`, counter-clockwise.
    pub(super) fn around(&self, vertex: u32) -> impl Iterator<Item = u32> + '_ {
        let first = self.leaving[vertex as usize];
        let mut e = first;
        let mut begun = first == GHOST;
        std::iter::from_fn(move || {
            if begun && e == first {
                return None;
            }
            begun = true;
            let this = e;
            e = self.twin(prev(e));
            Some(this)
        })
    }

    /// Appends a place that is not yet part of the triangulation.
    pub(super) fn push_point(&mut self, p: LatticePoint) -> u32 {
        self.points.push(p);
        self.leaving.push(GHOST);
        (self.points.len() - 1) as u32
    }

    /// Finds a place by walking from where the last search ended.
    ///
    /// The walk crosses any edge that has the place strictly on its other side; the edge that is
    /// tried first follows a fixed pseudo-random sequence, because a walk that always tries in one
    /// order can circle for ever where constraints stand.
    pub(super) fn locate(&mut self, p: LatticePoint) -> Spot {
        let spot = self.walk(p);
        self.hint = match spot {
            Spot::Vertex(v) => self.leaving[v as usize] / 3,
            Spot::Edge(e) => e / 3,
            Spot::Face(t) => t,
        };
        spot
    }

    fn walk(&self, p: LatticePoint) -> Spot {
        let mut t = self.real_near(self.hint);
        let mut came_by = GHOST;
        let mut turn = 1_u32;
        loop {
            turn = turn.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let first = (turn >> 16) % 3;
            let mut on_line = [GHOST; 2];
            let mut n_on_line = 0;
            let mut cross = GHOST;
            for k in 0..3 {
                let e = 3 * t + (first + k) % 3;
                if e == came_by {
                    continue;
                }
                let side = orient(self.point(self.origin(e)), self.point(self.origin(next(e))), p);
                if side < 0 {
                    cross = e;
                    break;
                }
                if side == 0 {
                    on_line[n_on_line] = e;
                    n_on_line += 1;
                }
            }
            if cross == GHOST {
                return match n_on_line {
                    0 => Spot::Face(t),
                    1 => Spot::Edge(on_line[0]),
                    _ if next(on_line[0]) == on_line[1] => Spot::Vertex(self.origin(on_line[1])),
                    _ => Spot::Vertex(self.origin(on_line[0])),
                };
            }
            came_by = self.twin(cross);
            t = came_by / 3;
            if self.origin(prev(came_by)) == GHOST {
                return Spot::Face(t);
            }
        }
    }

    /// The triangle itself, or the real one beside a ghost.
    fn real_near(&self, t: u32) -> u32 {
        match self.triangle(t).iter().position(|&v| v == GHOST) {
            None => t,
            Some(k) => self.twin(next(3 * t + k as u32)) / 3,
        }
    }

    /// Puts a vertex into the mesh at its place and makes the mesh legal again.
    ///
    /// Returns the vertex that stands there: another one when the place was taken.
    pub(super) fn insert(&mut self, vertex: u32) -> u32 {
        match self.locate(self.point(vertex)) {
            Spot::Vertex(taken) => return taken,
            Spot::Face(t) => {
                let outer = self.split_face(t, vertex);
                self.doubtful.extend(outer);
            }
            Spot::Edge(e) => self.split_edge(e, vertex),
        }
        self.legalize_around_new();
        vertex
    }

    /// Splits a triangle at a vertex inside it; returns the three edges that face the vertex.
    fn split_face(&mut self, t: u32, vertex: u32) -> [u32; 3] {
        let [e0, e1, e2] = [3 * t, 3 * t + 1, 3 * t + 2];
        let [a, b, c] = self.triangle(t);
        let (twin1, twin2) = (self.twin(e1), self.twin(e2));
        let (fixed1, fixed2) = (self.is_fixed(e1), self.is_fixed(e2));
        let n = self.push_triangle([b, c, vertex]);
        let m = self.push_triangle([c, a, vertex]);
        self.link(n, twin1);
        self.link(m, twin2);
        self.fixed[n as usize] = fixed1;
        self.fixed[m as usize] = fixed2;
        self.origins[e2 as usize] = vertex;
        self.fixed[e1 as usize] = false;
        self.fixed[e2 as usize] = false;
        self.link(e1, n + 2);
        self.link(e2, m + 1);
        self.link(n + 1, m + 2);
        self.set_leaving(a, e0);
        [e0, n, m]
    }

    /// Splits an edge and both its triangles at a vertex on it; constraints stay constraints.
    fn split_edge(&mut self, e: u32, vertex: u32) {
        let was_fixed = self.is_fixed(e);
        let outer = self.split_face(e / 3, vertex);
        // The triangle between the vertex and `e` has no area: flipping `e` removes it.
        let flat = outer
            .into_iter()
            .find(|&o| self.twin(o) != GHOST && self.faces_flat(o, vertex))
            .expect("the vertex lies on one of the triangle's edges");
        self.doubtful.extend(outer.into_iter().filter(|&o| o != flat));
        let f = self.twin(flat);
        self.flip(flat);
        self.doubtful.extend([flat, next(f)]);
        self.set_fixed(next(flat), was_fixed);
        self.set_fixed(f, was_fixed);
    }

    fn faces_flat(&self, e: u32, vertex: u32) -> bool {
        let (a, b) = (self.origin(e), self.origin(next(e)));
        a != GHOST && b != GHOST && orient(self.point(a), self.point(b), self.point(vertex)) == 0
    }

    /// Turns the diagonal of the two triangles beside `e`.
    ///
    /// Afterwards `e` runs d to b, its twin c to a, and the diagonal is `prev` of both.
    pub(super) fn flip(&mut self, e: u32) {
        let f = self.twin(e);
        let (e1, e2, f1, f2) = (next(e), prev(e), next(f), prev(f));
        let (a, b, c, d) = (self.origin(e), self.origin(f), self.origin(e2), self.origin(f2));
        let (twin_ca, twin_db) = (self.twin(e2), self.twin(f2));
        self.origins[e as usize] = d;
        self.origins[f as usize] = c;
        self.link(e, twin_db);
        self.link(f, twin_ca);
        self.link(e2, f2);
        self.fixed[e as usize] = self.fixed[f2 as usize];
        self.fixed[f as usize] = self.fixed[e2 as usize];
        self.fixed[e2 as usize] = false;
        self.fixed[f2 as usize] = false;
        self.set_leaving(a, f1);
        self.set_leaving(b, e1);
    }

    /// Whether exactness or the tie rule asks for the other diagonal.
    ///
    /// Beside a ghost this asks whether the hull is concave at the edge's real end.
    #[inline]
    pub(super) fn is_illegal(&self, e: u32) -> bool {
        let f = self.twin(e);
        let (a, b) = (self.origin(e), self.origin(f));
        let (c, d) = (self.origin(prev(e)), self.origin(prev(f)));
        if c == GHOST || d == GHOST {
            return false;
        }
        if a == GHOST {
            return orient(self.point(d), self.point(b), self.point(c)) > 0;
        }
        if b == GHOST {
            return orient(self.point(c), self.point(a), self.point(d)) > 0;
        }
        let [pa, pb, pc, pd] = [a, b, c, d].map(|v| self.point(v));
        match in_circle_sign(pa, pb, pc, pd) {
            Ordering::Less => false,
            Ordering::Greater => true,
            Ordering::Equal => pc.min(pd) < pa.min(pb),
        }
    }

    /// Flips until every edge that faces the newest vertex is legal.
    fn legalize_around_new(&mut self) {
        while let Some(e) = self.doubtful.pop() {
            if self.is_fixed(e) || !self.is_illegal(e) {
                continue;
            }
            let f = self.twin(e);
            self.flip(e);
            self.doubtful.extend([e, next(f)]);
        }
    }

    /// Flips until the given edges, and all that they put in doubt, are legal.
    pub(super) fn legalize(&mut self, edges: impl IntoIterator<Item = u32>) {
        self.doubtful.extend(edges);
        while let Some(e) = self.doubtful.pop() {
            if self.is_fixed(e) || !self.is_illegal(e) {
                continue;
            }
            let f = self.twin(e);
            self.flip(e);
            self.doubtful.extend([e, next(e), f, next(f)]);
        }
    }
}
