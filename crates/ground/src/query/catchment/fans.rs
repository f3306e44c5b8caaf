//! Where water goes from a vertex: the faces around it, the steepest way, and level ground.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::facet::Facet;
use crate::query::side::{between, cross, next, steps};
use crate::{NONE, Surface};

/// The faces around each vertex, in sets of those that share edges one after the other: where parts
/// of a surface touch in a single point, each has a fan of its own.
pub(super) struct Fans {
    /// The fan of each corner of each face.
    pub(super) at: Vec<[u32; 3]>,
    /// The corners of each fan: the first of each, and one past the last.
    start: Vec<u32>,
    corners: Vec<(u32, u8)>,
    /// The lowest height of each fan.
    low_m: Vec<f64>,
}

/// The way of water from a vertex.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Straight down a face, from a corner of it.
    Down(u32, usize),
    /// Along an edge of a face to a corner of it.
    Along(u32, usize, usize),
    /// Off the surface.
    Off,
    /// Over level ground.
    Level,
    /// Nowhere.
    Pit,
}

/// Level ground: where the water of each vertex on it goes.
pub(super) struct Levels {
    /// The fan from which it falls, nearest along level edges; [`NONE`] where there is none.
    pub(super) outlet: Vec<u32>,
    /// Of level ground without any, the first of its fans; [`NONE`] for others.
    pub(super) flat: Vec<u32>,
}

impl Fans {
    pub(super) fn of(surface: &Surface) -> Self {
        let faces = surface.faces();
        let mut fans = Self {
            at: vec![[NONE; 3]; faces.len()],
            start: vec![0],
            corners: Vec::with_capacity(3 * faces.len()),
            low_m: Vec::with_capacity(surface.vertices().len()),
        };
        for face_idx in 0..faces.len() as u32 {
            for k in 0..3 {
                if fans.at[face_idx as usize][k] == NONE {
                    fans.walk(surface, face_idx, k);
                }
            }
        }
        fans
    }

    /// Goes round a vertex: over the edge that starts in it, and at the border the other way too.
    fn walk(&mut self, surface: &Surface, face_idx: u32, corner: usize) {
        let number = self.start.len() as u32 - 1;
        let vertex = surface.faces()[face_idx as usize].vertices[corner];
        self.add(number, face_idx, corner);
        'turns: for turn in [0, 2] {
            let (mut f, mut k) = (face_idx, corner);
            loop {
                let other = surface.faces()[f as usize].neighbours[(k + turn) % 3];
                if other == face_idx {
                    break 'turns;
                }
                if other == NONE {
                    break;
                }
                let there = (0..3).find(|&c| surface.faces()[other as usize].vertices[c] == vertex);
                (f, k) = (other, there.expect("neighbours share their edge's ends"));
                self.add(number, f, k);
            }
        }
        let first = self.start[number as usize] as usize;
        let z = |&(f, k): &(u32, u8)| surface.corner_heights(f)[k as usize];
        self.low_m.push(self.corners[first..].iter().map(z).fold(f64::INFINITY, f64::min));
        self.start.push(self.corners.len() as u32);
    }

    fn add(&mut self, number: u32, face_idx: u32, corner: usize) {
        self.at[face_idx as usize][corner] = number;
        self.corners.push((face_idx, corner as u8));
    }

    pub(super) fn len(&self) -> usize {
        self.start.len() - 1
    }

    /// The corners that meet in a fan.
    pub(super) fn corners(&self, fan: u32) -> impl Iterator<Item = (u32, usize)> + '_ {
        let range = self.start[fan as usize] as usize..self.start[fan as usize + 1] as usize;
        self.corners[range].iter().map(|&(f, k)| (f, k as usize))
    }

    /// The lowest height in a fan.
    pub(super) fn low_m(&self, fan: u32) -> f64 {
        self.low_m[fan as usize]
    }

    /// The vertex of a fan.
    pub(super) fn vertex(&self, surface: &Surface, fan: u32) -> u32 {
        let (f, k) = self.corners[self.start[fan as usize] as usize];
        surface.faces()[f as usize].vertices[k as usize]
    }

    /// The way from a fan, by the rules of [`descend`](crate::query::descend).
    pub(super) fn way(&self, surface: &Surface, facets: &[Facet], fan: u32) -> Way {
        let z = self.low_m(fan);
        let lowest = || self.corners(fan).filter(|&(f, k)| surface.corner_heights(f)[k] == z);
        // By squared grades; of equal ways the one on the first face, and there the first.
        let mut best: Option<(f64, u32, u8, Way)> = None;
        let mut offer = |grade: f64, face: u32, rank: u8, way: Way| {
            let is_better = best.is_none_or(|(steepest, f, r, _)| {
                grade > steepest || (grade == steepest && (face, rank) < (f, r))
            });
            if grade > 0.0 && is_better {
                best = Some((grade, face, rank, way));
            }
        };
        for (f, k) in lowest() {
            let heights = surface.corner_heights(f);
            let (after, before) = (next(k), next(next(k)));
            let leans = facets[f as usize].leans;
            if leans[k] > 0 && leans[before] > 0 {
                offer(facets[f as usize].squared_grade, f, 0, Way::Down(f, k));
            }
            let corners = surface.corners(f).map(steps);
            let falls = |end: usize| {
                let run = between(corners[k], corners[end]);
                let drop = (heights[k] - heights[end]).max(0.0);
                drop * drop / (run[0] * run[0] + run[1] * run[1])
            };
            offer(falls(after), f, 1, Way::Along(f, k, after));
            offer(falls(before), f, 2, Way::Along(f, before, before));
        }
        if let Some((_, _, _, way)) = best {
            return way;
        }
        let is_open = |(f, k): (u32, usize)| {
            let neighbours = surface.faces()[f as usize].neighbours;
            neighbours[k] == NONE || neighbours[next(next(k))] == NONE
        };
        let is_level = |(f, k): (u32, usize)| {
            let heights = surface.corner_heights(f);
            heights[next(k)] == z || heights[next(next(k))] == z
        };
        if self.corners(fan).any(is_open) {
            Way::Off
        } else if lowest().any(is_level) {
            Way::Level
        } else {
            Way::Pit
        }
    }

    /// The steepest edge down from a fan, for water that would wind for ever: the fan at its end.
    pub(super) fn along_edges(&self, surface: &Surface, fan: u32) -> Option<u32> {
        let z = self.low_m(fan);
        let mut best: Option<(f64, u32)> = None;
        for (f, k) in self.corners(fan).filter(|&(f, k)| surface.corner_heights(f)[k] == z) {
            let corners = surface.corners(f).map(steps);
            for end in [next(k), next(next(k))] {
                let run = between(corners[k], corners[end]);
                let drop = z - surface.corner_heights(f)[end];
                let grade = drop * drop / (run[0] * run[0] + run[1] * run[1]);
                if drop > 0.0 && best.is_none_or(|(steepest, _)| grade > steepest) {
                    best = Some((grade, self.at[f as usize][end]));
                }
            }
        }
        best.map(|(_, end)| end)
    }
}

/// A level edge, in lattice steps.
#[derive(Clone, Copy, Debug)]
struct Arc {
    to: u32,
    from: u32,
    run: f64,
}

/// A fan on level ground at a distance from one from which ground falls.
#[derive(Clone, Copy, Debug)]
struct Near {
    distance: f64,
    outlet: u32,
    fan: u32,
}

impl Levels {
    /// Spreads over level edges from where ground falls, nearest first.
    ///
    /// # Source
    /// E. W. Dijkstra, "A note on two problems in connexion with graphs", Numerische Mathematik 1
    /// (1959).
    pub(super) fn of(
        surface: &Surface,
        facets: &[Facet],
        fans: &Fans,
        ways: &mut [Option<Way>],
    ) -> Self {
        let n = fans.len();
        let mut levels = Self { outlet: vec![NONE; n], flat: vec![NONE; n] };
        let still = still_fans(surface, facets, fans, ways);
        // Level edges by the fan that they lead to: those to ground that falls, and the others.
        let (mut outs, mut arcs): (Vec<Arc>, Vec<Arc>) = (Vec::new(), Vec::new());
        for fan in (0..n as u32).filter(|&fan| still[fan as usize]) {
            let z = fans.low_m(fan);
            for (f, k) in fans.corners(fan) {
                let heights = surface.corner_heights(f);
                let corners = surface.corners(f).map(steps);
                for end in [next(k), next(next(k))] {
                    if heights[k] == z && heights[end] == z {
                        let run = between(corners[k], corners[end]);
                        let to = fans.at[f as usize][end];
                        let falls = !still[to as usize] || fans.low_m(to) < z;
                        let arc = Arc { to, from: fan, run: libm::hypot(run[0], run[1]) };
                        if falls { outs.push(arc) } else { arcs.push(arc) }
                    }
                }
            }
        }
        arcs.sort_by(|a, b| (a.to, a.from).cmp(&(b.to, b.from)).then(a.run.total_cmp(&b.run)));
        levels.find_outlets(&outs, &arcs);
        levels.join_flats(&still, &arcs);
        levels
    }

    fn find_outlets(&mut self, outs: &[Arc], arcs: &[Arc]) {
        let near = |out: &Arc| Reverse(Near { distance: out.run, outlet: out.to, fan: out.from });
        let mut ahead: BinaryHeap<Reverse<Near>> = outs.iter().map(near).collect();
        while let Some(Reverse(near)) = ahead.pop() {
            // Of equally near outlets the first is taken.
            if self.outlet[near.fan as usize] != NONE {
                continue;
            }
            self.outlet[near.fan as usize] = near.outlet;
            for arc in leading_to(arcs, near.fan) {
                if self.outlet[arc.from as usize] == NONE {
                    let distance = near.distance + arc.run;
                    ahead.push(Reverse(Near { distance, fan: arc.from, ..near }));
                }
            }
        }
    }

    /// Names each piece of level ground without an outlet by its first fan.
    fn join_flats(&mut self, still: &[bool], arcs: &[Arc]) {
        let mut stack = Vec::new();
        for first in 0..still.len() as u32 {
            let is_new = |flat: &[u32], outlet: &[u32], fan: u32| {
                still[fan as usize] && outlet[fan as usize] == NONE && flat[fan as usize] == NONE
            };
            let is_level = || leading_to(arcs, first).next().is_some();
            if !is_new(&self.flat, &self.outlet, first) || !is_level() {
                continue;
            }
            self.flat[first as usize] = first;
            stack.push(first);
            while let Some(fan) = stack.pop() {
                for from in leading_to(arcs, fan).map(|arc| arc.from) {
                    if is_new(&self.flat, &self.outlet, from) {
                        self.flat[from as usize] = first;
                        stack.push(from);
                    }
                }
            }
        }
    }
}

fn leading_to(arcs: &[Arc], fan: u32) -> impl Iterator<Item = &Arc> {
    let first = arcs.partition_point(|arc| arc.to < fan);
    arcs[first..].iter().take_while(move |arc| arc.to == fan)
}

/// The fans on level edges from which no ground falls.
fn still_fans(
    surface: &Surface,
    facets: &[Facet],
    fans: &Fans,
    ways: &mut [Option<Way>],
) -> Vec<bool> {
    let mut still = vec![false; fans.len()];
    for f in 0..surface.faces().len() as u32 {
        let z = surface.corner_heights(f);
        for k in (0..3).filter(|&k| z[k] == z[next(k)]) {
            for fan in [k, next(k)].map(|end| fans.at[f as usize][end]) {
                let way = &mut ways[fan as usize];
                let way = way.get_or_insert_with(|| fans.way(surface, facets, fan));
                still[fan as usize] = !matches!(way, Way::Down(..) | Way::Along(..));
            }
        }
    }
    still
}

impl PartialEq for Near {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Near {}

impl PartialOrd for Near {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Near {
    fn cmp(&self, other: &Self) -> Ordering {
        self.distance
            .total_cmp(&other.distance)
            .then(self.outlet.cmp(&other.outlet))
            .then(self.fan.cmp(&other.fan))
    }
}

/// Where a place in a level face goes: the shares of the face's area nearest to each corner.
pub(super) fn nearest_shares(surface: &Surface, f: u32) -> [f64; 3] {
    let areas = [0, 1, 2].map(|k| area(&nearest_ring(surface, f, k)));
    let sum = areas[0] + areas[1] + areas[2];
    areas.map(|area| area / sum)
}

/// The part of a face that lies nearer to a corner than to the others, in lattice steps from corner
/// zero.
pub(super) fn nearest_ring(surface: &Surface, f: u32, corner: usize) -> Vec<[f64; 2]> {
    let c = surface.corners(f).map(steps);
    let local = c.map(|p| between(c[0], p));
    let mut ring = local.to_vec();
    for other in [next(corner), next(next(corner))] {
        let (a, b) = (local[corner], local[other]);
        let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
        let toward = between(b, a);
        let nearer = |p: &[f64; 2]| {
            let from = between(middle, *p);
            from[0] * toward[0] + from[1] * toward[1]
        };
        let mut kept = Vec::with_capacity(ring.len() + 1);
        for (i, p) in ring.iter().enumerate() {
            let q = &ring[(i + 1) % ring.len()];
            let (at_p, at_q) = (nearer(p), nearer(q));
            if at_p >= 0.0 {
                kept.push(*p);
            }
            if (at_p > 0.0 && at_q < 0.0) || (at_p < 0.0 && at_q > 0.0) {
                let share = at_p / (at_p - at_q);
                kept.push([0, 1].map(|i| p[i] + share * (q[i] - p[i])));
            }
        }
        ring = kept;
    }
    ring
}

fn area(ring: &[[f64; 2]]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    0.5 * ring.windows(2).map(|p| cross(between(o, p[0]), between(o, p[1]))).sum::<f64>()
}
