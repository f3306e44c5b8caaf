//! Rounding an arrangement to the lattice without turning anything over.
//!
//! ```text
//!       +---+                 a segment that crosses the pixel of a vertex is bent through it, so
//!    ___|_v_|______           that what lay left of it lies left of it still, or on it
//!       +---+      -------
//! ```
//!
//! # Source
//! J. D. Hobby, "Practical segment intersection with finite precision output", Computational
//! Geometry 13 (1999).

use super::buckets::Hooks;
use super::places::{Place, Places};
use super::plan_grid::PlanGrid;
use crate::LatticePoint;
use crate::predicates::orient;
use crate::surface::NONE;

/// Segments as chains of straight pieces between lattice points, none of which cross.
#[derive(Debug, Default)]
pub(crate) struct Snapped {
    /// The lattice points.
    pub(crate) nodes: Vec<LatticePoint>,
    /// For each segment the nodes along it, from its first vertex to its second.
    pub(crate) paths: Paths,
    known: Known,
}

/// Nodes by the cells that they lie in: nodes near each other in plan are near in memory too, as they
/// would not be when hashed.
#[derive(Debug, Default)]
struct Known {
    grid: PlanGrid,
    nodes: Hooks<u32>,
}

/// The nodes along each of many segments.
#[derive(Debug, Default)]
pub(crate) struct Paths {
    ends: Vec<u32>,
    nodes: Vec<u32>,
}

/// A segment of the arrangement.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Segment {
    /// The vertices at its ends.
    pub(crate) vertices: [u32; 2],
    /// What it runs along.
    pub(crate) carrier: u32,
}

/// Two lattice points on the line that a carrier stands for, when that is an edge.
pub(crate) trait Lines {
    fn line(&self, carrier: u32) -> Option<[LatticePoint; 2]>;
}

/// Rounds segments to the lattice.
pub(crate) fn snap(places: &Places, segments: &[Segment], lines: &impl Lines) -> Snapped {
    let grid = PlanGrid::over(segments.iter().map(|s| places.place(s.vertices[0]).nearest));
    let known = Known { nodes: Hooks::below(grid.n_cells()), grid };
    let mut snapped = Snapped { known, ..Snapped::default() };
    let mut ends = Vec::with_capacity(segments.len());
    let mut node_of = vec![NONE; places.len()];
    for segment in segments {
        ends.push(segment.vertices.map(|v| {
            if node_of[v as usize] == NONE {
                node_of[v as usize] = snapped.node(places.place(v).nearest);
            }
            node_of[v as usize]
        }));
    }
    let tight = snapped.bend(places, segments, &ends, lines);
    if snapped.untangle(|path| tight[path]) {
        for _ in 0..MOST_ROUNDS {
            if !snapped.untangle(|_| true) {
                break;
            }
        }
    }
    snapped
}

/// Only segments that pass this near to a vertex, in steps, may come to cross by rounding.
const TIGHT_STEPS: f64 = 6.0;

/// Rounded crossings seldom make more than one further crossing.
const MOST_ROUNDS: usize = 64;

impl Paths {
    /// The nodes along a segment.
    pub(crate) fn at(&self, segment: u32) -> &[u32] {
        let i = segment as usize;
        let first = if i == 0 { 0 } else { self.ends[i - 1] };
        &self.nodes[first as usize..self.ends[i] as usize]
    }

    /// The nodes along each segment in turn.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &[u32]> {
        (0..self.ends.len() as u32).map(|i| self.at(i))
    }

    /// Adds the nodes along one more segment; a node that comes twice in a row counts once.
    pub(crate) fn push(&mut self, path: impl IntoIterator<Item = u32>) {
        let first = self.nodes.len();
        for node in path {
            if self.nodes.len() == first || self.nodes.last() != Some(&node) {
                self.nodes.push(node);
            }
        }
        self.ends.push(self.nodes.len() as u32);
    }
}

impl Snapped {
    /// The node at a lattice point, a new one if there is none.
    pub(crate) fn node(&mut self, at: LatticePoint) -> u32 {
        self.known_node(at).unwrap_or_else(|| {
            self.nodes.push(at);
            let node = self.nodes.len() as u32 - 1;
            self.known.nodes.hang(self.known.grid.cell_at(at), node);
            node
        })
    }

    /// The node at a lattice point, if there is one.
    pub(crate) fn known_node(&self, at: LatticePoint) -> Option<u32> {
        let mut in_cell = self.known.nodes.on(self.known.grid.cell_at(at));
        in_cell.find(|&&node| self.nodes[node as usize] == at).copied()
    }

    /// Bends every segment through the nodes whose pixels it crosses; returns which segments pass near
    /// a node, or end at one that another passes near.
    fn bend(
        &mut self,
        places: &Places,
        segments: &[Segment],
        ends: &[[u32; 2]],
        lines: &impl Lines,
    ) -> Vec<bool> {
        let mut passed = vec![false; self.nodes.len()];
        let mut passing = vec![false; segments.len()];
        let mut grid = PlanGrid::over(self.nodes.iter().copied());
        grid.fill(self.nodes.len(), |node| [self.nodes[node]; 2]);
        let in_cells: Vec<LatticePoint> =
            grid.things().iter().map(|&node| self.nodes[node as usize]).collect();
        let mut met: Vec<(f64, u32)> = Vec::new();
        for (i, (segment, &[first, last])) in segments.iter().zip(ends).enumerate() {
            let [from, to] = segment.vertices.map(|v| places.place(v));
            let way = from.to(to);
            let reach = TIGHT_STEPS * (way[0].abs() + way[1].abs());
            let around = Room::around(from.nearest, to.nearest);
            met.clear();
            let within =
                |w: f64, a: f64| a >= w.min(0.0) - TIGHT_STEPS && a <= w.max(0.0) + TIGHT_STEPS;
            grid.along([from.nearest, to.nearest], |cell| {
                let nodes = in_cells[cell.clone()].iter().zip(&grid.things()[cell]);
                for (&lattice_at, &node) in nodes.filter(|(at, _)| around.holds(**at)) {
                    let at = from.to(&Place::on(lattice_at));
                    if (way[0] * at[1] - way[1] * at[0]).abs() > reach
                        || !within(way[0], at[0])
                        || !within(way[1], at[1])
                        || node == first
                        || node == last
                    {
                        continue;
                    }
                    passed[node as usize] = true;
                    passing[i] = true;
                    let near = lines.line(segment.carrier).map_or_else(
                        || line_crosses_pixel(way, at),
                        |line| edge_crosses_pixel(line, lattice_at),
                    );
                    if near && reaches_pixel(way, at) {
                        met.push((at[0] * way[0] + at[1] * way[1], node));
                    }
                }
            });
            met.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let between = met.iter().map(|&(_, node)| node);
            self.paths.push(std::iter::once(first).chain(between).chain([last]));
        }
        let is_tight = |(passes, ends): (bool, &[u32; 2])| {
            passes || ends.iter().any(|&node| passed[node as usize])
        };
        passing.into_iter().zip(ends).map(is_tight).collect()
    }

    /// Splits pieces of some paths at nodes on them and where two cross; true when anything was
    /// split.
    fn untangle(&mut self, counts: impl Fn(usize) -> bool) -> bool {
        let mut pieces: Vec<[u32; 2]> = self
            .paths
            .iter()
            .enumerate()
            .filter(|(i, _)| counts(*i))
            .flat_map(|(_, path)| path.windows(2).map(|w| [w[0].min(w[1]), w[0].max(w[1])]))
            .collect();
        if pieces.is_empty() {
            return false;
        }
        pieces.sort_unstable();
        pieces.dedup();
        let mut splits: Vec<([u32; 2], u32)> = Vec::new();
        let mut grid = PlanGrid::over(self.nodes.iter().copied());
        grid.fill(pieces.len(), |i| pieces[i].map(|v| self.nodes[v as usize]));
        let mut meetings = Vec::new();
        grid.each_group(|group| {
            for (i, &a) in group.iter().enumerate() {
                for &b in &group[i + 1..] {
                    if meet(&self.nodes, pieces[a as usize], pieces[b as usize]) {
                        meetings.push([a, b]);
                    }
                }
            }
        });
        meetings.sort_unstable();
        meetings.dedup();
        for [a, b] in meetings {
            let (a, b) = (pieces[a as usize], pieces[b as usize]);
            self.split_where_they_meet(a, b, &mut splits);
        }
        if splits.is_empty() {
            return false;
        }
        splits.sort_unstable();
        splits.dedup();
        self.apply(&splits);
        true
    }

    fn split_where_they_meet(
        &mut self,
        a: [u32; 2],
        b: [u32; 2],
        splits: &mut Vec<([u32; 2], u32)>,
    ) {
        let mut touched = false;
        for (piece, other) in [(a, b), (b, a)] {
            for node in other {
                if !piece.contains(&node) && lies_on(&self.nodes, piece, node) {
                    splits.push((piece, node));
                    touched = true;
                }
            }
        }
        if touched {
            return;
        }
        let [p, q] = a.map(|v| self.nodes[v as usize]);
        let [r, s] = b.map(|v| self.nodes[v as usize]);
        let (before, after) = (orient(r, s, p), orient(r, s, q));
        let share = super::overlap::share(before.abs(), after.abs());
        let at = Place::on(p).towards(&Place::on(q), share).nearest;
        let node = self.node(at);
        for piece in [a, b] {
            if !piece.contains(&node) {
                splits.push((piece, node));
            }
        }
    }

    /// Puts each new node into every path that runs along its piece.
    fn apply(&mut self, splits: &[([u32; 2], u32)]) {
        let mut paths = Paths::default();
        let mut longer = Vec::new();
        for path in self.paths.iter() {
            longer.clear();
            for pair in path.windows(2) {
                longer.push(pair[0]);
                let piece = [pair[0].min(pair[1]), pair[0].max(pair[1])];
                let first = splits.partition_point(|s| s.0 < piece);
                let added: Vec<u32> =
                    splits[first..].iter().take_while(|s| s.0 == piece).map(|s| s.1).collect();
                if !added.is_empty() {
                    longer.extend(along(&self.nodes, pair[0], pair[1], added));
                }
            }
            longer.extend(path.last());
            paths.push(longer.iter().copied());
        }
        self.paths = paths;
    }
}

/// A box with more room around a segment than nodes near it need.
struct Room {
    least: LatticePoint,
    most: LatticePoint,
}

impl Room {
    fn around(p: LatticePoint, q: LatticePoint) -> Self {
        const STEPS: i32 = TIGHT_STEPS as i32 + 2;
        Self {
            least: LatticePoint { x: p.x.min(q.x) - STEPS, y: p.y.min(q.y) - STEPS },
            most: LatticePoint { x: p.x.max(q.x) + STEPS, y: p.y.max(q.y) + STEPS },
        }
    }

    #[inline]
    fn holds(&self, p: LatticePoint) -> bool {
        (self.least.x <= p.x) & (p.x <= self.most.x) & (self.least.y <= p.y) & (p.y <= self.most.y)
    }
}

/// Whether a segment from the origin along `way` is not over before the pixel about `at`.
fn reaches_pixel(way: [f64; 2], at: [f64; 2]) -> bool {
    let within = |w: f64, a: f64| a > w.min(0.0) - 0.5 && a <= w.max(0.0) + 0.5;
    within(way[0], at[0]) && within(way[1], at[1])
}

/// Whether a line through the origin along `way` crosses the pixel about `at`.
///
/// A pixel has its western and southern side and the corner between them, as rounding has it.
fn line_crosses_pixel(way: [f64; 2], at: [f64; 2]) -> bool {
    let side = way[0] * at[1] - way[1] * at[0];
    let reach = 0.5 * (way[0].abs() + way[1].abs());
    side.abs() < reach || (side.abs() == reach && way[0] * side >= 0.0 && way[1] * side <= 0.0)
}

/// The same for a line between lattice points, exactly: parts of one edge must agree.
fn edge_crosses_pixel([p, q]: [LatticePoint; 2], at: LatticePoint) -> bool {
    let run = |a: i32, b: i32| i64::from(b) - i64::from(a);
    let (dx, dy) = (run(p.x, q.x), run(p.y, q.y));
    let side = orient(p, q, at);
    let (twice, reach) = (2 * side.unsigned_abs(), dx.unsigned_abs() + dy.unsigned_abs());
    twice < reach
        || (twice == reach && dx.signum() * side.signum() >= 0 && dy.signum() * side.signum() <= 0)
}

/// Whether two pieces share more than an end of both.
fn meet(nodes: &[LatticePoint], a: [u32; 2], b: [u32; 2]) -> bool {
    let [p, q] = a.map(|v| nodes[v as usize]);
    let [r, s] = b.map(|v| nodes[v as usize]);
    let apart = |p: i32, q: i32, r: i32, s: i32| p.max(q) < r.min(s) || r.max(s) < p.min(q);
    if apart(p.x, q.x, r.x, s.x) || apart(p.y, q.y, r.y, s.y) {
        return false;
    }
    let shared = a.iter().any(|v| b.contains(v));
    let (rp, rq) = (orient(r, s, p).signum(), orient(r, s, q).signum());
    let (pr, ps) = (orient(p, q, r).signum(), orient(p, q, s).signum());
    if shared || rp * rq == 0 || pr * ps == 0 {
        return b.iter().any(|&v| !a.contains(&v) && lies_on(nodes, a, v))
            || a.iter().any(|&v| !b.contains(&v) && lies_on(nodes, b, v));
    }
    rp != rq && pr != ps
}

/// Whether a node lies inside a piece.
fn lies_on(nodes: &[LatticePoint], piece: [u32; 2], node: u32) -> bool {
    let [p, q] = piece.map(|v| nodes[v as usize]);
    let at = nodes[node as usize];
    let within = |p: i32, q: i32, v: i32| v >= p.min(q) && v <= p.max(q);
    within(p.x, q.x, at.x) && within(p.y, q.y, at.y) && orient(p, q, at) == 0
}

/// Nodes in the order in which they come from one node to another.
fn along(nodes: &[LatticePoint], from: u32, to: u32, mut added: Vec<u32>) -> Vec<u32> {
    let start = Place::on(nodes[from as usize]);
    let way = start.to(&Place::on(nodes[to as usize]));
    let dot = |v: u32| {
        let at = start.to(&Place::on(nodes[v as usize]));
        at[0] * way[0] + at[1] * way[1]
    };
    added.sort_by(|&a, &b| dot(a).total_cmp(&dot(b)).then(a.cmp(&b)));
    added
}
