//! Lines enforced in a mesh, exactly, with vertices where they cross.

use super::cavity::clear;
use super::mesh::{GHOST, Mesh, Spot, next, prev};
use crate::LatticePoint;
use crate::predicates::orient;
use std::collections::BTreeMap;

/// What a constrained edge is part of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Label {
    /// Whether a breakline runs here.
    pub(super) breakline: bool,
    /// By how much the number of times that the boundary winds rises from right to left.
    pub(super) boundary: i32,
    /// The same for the voids.
    pub(super) voids: i32,
    /// The same for the outline of the survey.
    pub(super) survey: i32,
}

/// A piece of a line, from its lexicographically smaller end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) ends: [u32; 2],
    pub(super) label: Label,
}

/// Two lines, or a line and a vertex, that name heights at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Met {
    pub(super) vertex: u32,
    pub(super) heights: [f64; 2],
    pub(super) crossed: bool,
}

/// A mesh with heights at its vertices and lines among its edges.
#[derive(Debug)]
pub(super) struct Lines {
    pub(super) mesh: Mesh,
    pub(super) heights: Vec<f64>,
    pub(super) met: Vec<Met>,
    pub(super) overlaps: Vec<[LatticePoint; 2]>,
    labels: BTreeMap<[u32; 2], Label>,
    pending: Vec<Piece>,
}

/// What stands first on the way along a piece.
enum Way {
    /// An edge runs along it.
    Along(u32),
    /// Free edges cross it, from right to left, before the next vertex on it.
    Crossed(Vec<u32>, u32),
    /// A constrained edge crosses it.
    Blocked(u32),
}

impl Label {
    pub(super) fn reversed(self) -> Self {
        let Self { breakline, boundary, voids, survey } = self;
        Self { breakline, boundary: -boundary, voids: -voids, survey: -survey }
    }

    pub(super) fn joined(self, other: Self) -> Self {
        Self {
            breakline: self.breakline || other.breakline,
            boundary: self.boundary + other.boundary,
            voids: self.voids + other.voids,
            survey: self.survey + other.survey,
        }
    }

    /// Whether only a boundary or a void runs here, which lies on the ground and has no height of
    /// its own.
    fn is_draped(self) -> bool {
        !self.breakline && self.survey == 0 && (self.boundary != 0 || self.voids != 0)
    }
}

impl Lines {
    pub(super) fn new(mesh: Mesh, heights: Vec<f64>) -> Self {
        Self {
            mesh,
            heights,
            met: Vec::new(),
            overlaps: Vec::new(),
            labels: BTreeMap::new(),
            pending: Vec::new(),
        }
    }

    /// The label of a half-edge as seen along it.
    pub(super) fn label(&self, e: u32) -> Label {
        let ends = [self.mesh.origin(e), self.mesh.origin(next(e))];
        self.label_between(ends)
    }

    fn label_between(&self, [u, v]: [u32; 2]) -> Label {
        if u < v {
            self.labels.get(&[u, v]).copied().unwrap_or_default()
        } else {
            self.labels.get(&[v, u]).copied().unwrap_or_default().reversed()
        }
    }

    pub(super) fn join_label(&mut self, [u, v]: [u32; 2], label: Label) {
        let (key, label) = if u < v { ([u, v], label) } else { ([v, u], label.reversed()) };
        let entry = self.labels.entry(key).or_default();
        *entry = entry.joined(label);
    }

    /// Frees every constrained edge that no line asks for.
    pub(super) fn keep_labelled(&mut self) {
        self.mesh.fixed.fill(false);
        for (&[u, v], &label) in &self.labels {
            if label != Label::default() {
                let e = self.mesh.edge_between(u, v).expect("what is labelled is an edge");
                self.mesh.set_fixed(e, true);
            }
        }
    }

    fn take_label(&mut self, [u, v]: [u32; 2]) -> Label {
        let label = self.label_between([u, v]);
        self.labels.remove(&[u.min(v), u.max(v)]);
        label
    }

    /// Makes edges of the pieces, splitting them where they cross others.
    ///
    /// The pieces are taken in the order of their places, so their order in the list is of no
    /// account. Ends always: every split lies within the boxes of the pieces it parts, so it keeps
    /// the sum of their lengths along x and along y and adds a piece at least one step long. Ends
    /// soon: a crossing makes no vertex where one of the four ends already stands for it.
    pub(super) fn enforce(&mut self, pieces: Vec<Piece>) {
        self.pending = pieces.into_iter().map(|piece| self.forward(piece)).collect();
        let place = |v: u32| self.mesh.point(v);
        self.pending.sort_by_key(|piece| std::cmp::Reverse(piece.ends.map(place)));
        while let Some(piece) = self.pending.pop() {
            if piece.ends[0] != piece.ends[1] {
                self.lay(piece);
            }
        }
    }

    /// The piece from its lexicographically smaller end.
    fn forward(&self, piece: Piece) -> Piece {
        let [a, b] = piece.ends;
        if self.mesh.point(a) <= self.mesh.point(b) {
            piece
        } else {
            Piece { ends: [b, a], label: piece.label.reversed() }
        }
    }

    fn push(&mut self, ends: [u32; 2], label: Label) {
        let piece = self.forward(Piece { ends, label });
        self.pending.push(piece);
    }

    fn lay(&mut self, piece: Piece) {
        let [a, b] = piece.ends;
        let reached = match self.way(a, b) {
            Way::Along(e) => {
                let w = self.mesh.origin(next(e));
                if self.mesh.is_fixed(e) && self.label(e).breakline && piece.label.breakline {
                    self.overlaps.push([self.mesh.point(a), self.mesh.point(w)]);
                }
                self.mesh.set_fixed(e, true);
                w
            }
            Way::Crossed(crossed, w) => {
                self.open(a, w, &crossed);
                w
            }
            Way::Blocked(e) => return self.cross(piece, e),
        };
        self.join_label([a, reached], piece.label);
        if reached != b && piece.label.breakline {
            let z = self.height_along(piece.ends, reached);
            self.meet(reached, [self.heights[reached as usize], z], false);
        }
        self.push([reached, b], piece.label);
    }

    fn meet(&mut self, vertex: u32, heights: [f64; 2], crossed: bool) {
        self.met.push(Met { vertex, heights, crossed });
    }

    /// Looks from `a` towards `b`.
    fn way(&self, a: u32, b: u32) -> Way {
        let mesh = &self.mesh;
        let (pa, pb) = (mesh.point(a), mesh.point(b));
        let side = |v: u32| orient(pa, pb, mesh.point(v));
        let mut crossing = None;
        for e in mesh.around(a) {
            let (u, v) = (mesh.origin(next(e)), mesh.origin(prev(e)));
            if u == GHOST {
                continue;
            }
            let side_u = side(u);
            if side_u == 0 && is_ahead(pa, pb, mesh.point(u)) {
                return Way::Along(e);
            }
            if v != GHOST && side_u < 0 && side(v) > 0 {
                crossing = Some(next(e));
            }
        }
        let mut e = crossing.expect("the hull is convex, so the way to a vertex lies inside it");
        let mut crossed = Vec::new();
        loop {
            if mesh.is_fixed(e) {
                return Way::Blocked(e);
            }
            crossed.push(e);
            let f = mesh.twin(e);
            let apex = mesh.origin(prev(f));
            match side(apex) {
                0 => return Way::Crossed(crossed, apex),
                1.. => e = next(f),
                _ => e = prev(f),
            }
        }
    }

    /// Makes an edge from `a` to `w` in place of the free edges that cross the way.
    fn open(&mut self, a: u32, w: u32, crossed: &[u32]) {
        let mesh = &mut self.mesh;
        let doubtful = clear(mesh, a, w, crossed);
        let along = mesh.edge_between(a, w).expect("the way was cleared for it");
        mesh.set_fixed(along, true);
        mesh.legalize(doubtful);
    }

    /// Splits a piece and the constrained edge in its way where they cross, and puts the parts back
    /// on the pile.
    ///
    /// An end of one that the other passes within its rounding is where they meet: only the other is
    /// split, there.
    fn cross(&mut self, piece: Piece, e: u32) {
        let [a, b] = piece.ends;
        let Piece { ends: [c, d], label } = self.forward(Piece {
            ends: [self.mesh.origin(e), self.mesh.origin(next(e))],
            label: self.label(e),
        });
        let at = meeting([a, b].map(|v| self.mesh.point(v)), [c, d].map(|v| self.mesh.point(v)));
        let (x, is_new) = self.vertex_at(at, [c, d], e);
        let heights = [[a, b], [c, d]].map(|ends| self.height_along(ends, x));
        if is_new || self.heights[x as usize].is_nan() {
            self.heights[x as usize] = match [piece.label, label].map(Label::is_draped) {
                [false, true] => heights[0],
                [true, false] => heights[1],
                [false, false] => 0.5 * (heights[0] + heights[1]),
                // The caller knows the ground.
                [true, true] => f64::NAN,
            };
        }
        if piece.label.breakline && label.breakline {
            self.meet(x, heights, true);
        }
        if x != c && x != d {
            self.push([c, x], label);
            self.push([x, d], label);
        }
        self.push([x, b], piece.label);
        self.push([a, x], piece.label);
    }

    /// The vertex at the crossing `at` of the constrained edge `e`, made if need be; unless it is
    /// an end of that edge, the edge is freed.
    fn vertex_at(&mut self, at: LatticePoint, ends: [u32; 2], e: u32) -> (u32, bool) {
        if let Some(end) = ends.into_iter().find(|&v| self.mesh.point(v) == at) {
            return (end, false);
        }
        self.take_label(ends);
        self.mesh.set_fixed(e, false);
        self.mesh.legalize([e]);
        self.insert(at)
    }

    /// The vertex at a place, made if need be with a height still to be given.
    pub(super) fn insert(&mut self, at: LatticePoint) -> (u32, bool) {
        let spot = self.mesh.locate(at);
        if let Spot::Vertex(v) = spot {
            return (v, false);
        }
        let vertex = self.mesh.push_point(at);
        self.heights.push(f64::NAN);
        let split = match spot {
            Spot::Edge(e) if self.mesh.is_fixed(e) => {
                Some([self.mesh.origin(e), self.mesh.origin(next(e))])
            }
            _ => None,
        };
        self.mesh.insert(vertex);
        if let Some([u, v]) = split {
            let label = self.take_label([u, v]);
            self.join_label([u, vertex], label);
            self.join_label([vertex, v], label);
        }
        (vertex, true)
    }

    /// The height at `vertex` of the straight line between two vertices.
    pub(super) fn height_along(&self, [a, b]: [u32; 2], vertex: u32) -> f64 {
        let [pa, pb, p] = [a, b, vertex].map(|v| self.mesh.point(v));
        let (za, zb) = (self.heights[a as usize], self.heights[b as usize]);
        let (run, part) = (offset(pa, pb), offset(pa, p));
        let share = (part[0] * run[0] + part[1] * run[1]) / (run[0] * run[0] + run[1] * run[1]);
        za + (zb - za) * share
    }
}

/// The way from one place to another, in steps.
pub(super) fn offset(from: LatticePoint, to: LatticePoint) -> [f64; 2] {
    [f64::from(to.x) - f64::from(from.x), f64::from(to.y) - f64::from(from.y)]
}

/// Whether `p`, on the line through `a` and `b`, lies on `b`'s side of `a`.
fn is_ahead(a: LatticePoint, b: LatticePoint, p: LatticePoint) -> bool {
    let ahead = |a: i32, b: i32, p: i32| (b > a && p > a) || (b < a && p < a);
    ahead(a.x, b.x, p.x) || ahead(a.y, b.y, p.y)
}

/// Where two properly crossing segments are to meet: an end of one whose rounding the other passes
/// through, the smallest if there are several, or else the lattice place nearest to the crossing.
///
/// A crossing beside such an end would round to a place next to it, from where the pieces run on
/// almost as before; a third line beside them then crosses them one step farther, and so on, step by
/// step along the whole line.
///
/// # Source
/// The rule that a line goes through every vertex whose lattice square it enters: J. D. Hobby,
/// "Practical segment intersection with finite precision output", Computational Geometry 13 (1999);
/// here only for the ends of lines that cross.
fn meeting(ab: [LatticePoint; 2], cd: [LatticePoint; 2]) -> LatticePoint {
    let of_ab = ab.into_iter().filter(|&p| enters_square(cd, p));
    let of_cd = cd.into_iter().filter(|&p| enters_square(ab, p));
    of_ab.chain(of_cd).min().unwrap_or_else(|| crossing(ab, cd))
}

/// Whether a segment enters the open square, one step wide, of the places that round to `p`.
///
/// Then `p` lies in the box of the segment's ends: rounding keeps the order of coordinates.
fn enters_square([a, b]: [LatticePoint; 2], p: LatticePoint) -> bool {
    let between = |a: i32, b: i32, p: i32| (a.min(b)..=a.max(b)).contains(&p);
    let [dx, dy] = [(a.x, b.x), (a.y, b.y)].map(|(a, b)| i64::from(a.abs_diff(b)));
    between(a.x, b.x, p.x) && between(a.y, b.y, p.y) && 2 * orient(a, b, p).abs() < dx + dy
}

/// The lattice place nearest to where two properly crossing segments meet.
fn crossing([a, b]: [LatticePoint; 2], [c, d]: [LatticePoint; 2]) -> LatticePoint {
    let (from_a, from_b) = (i128::from(orient(c, d, a)), i128::from(orient(c, d, b)));
    let (num, den) =
        if from_a > from_b { (from_a, from_a - from_b) } else { (-from_a, from_b - from_a) };
    let along = |from: i32, to: i32| {
        let run = i128::from(to) - i128::from(from);
        let steps = (2 * run * num + den).div_euclid(2 * den);
        // The crossing lies between the ends, so the sum is within the lattice.
        (i128::from(from) + steps) as i32
    };
    LatticePoint { x: along(a.x, b.x), y: along(a.y, b.y) }
}
