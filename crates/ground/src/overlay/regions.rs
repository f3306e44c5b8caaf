//! Which won parts stand: connected regions that have a breadth and touch a root.

use super::buckets::Hooks;
use super::overlap::NO_EDGE;
use super::places::Places;
use super::winners::{Part, PartCorner, Parts};

/// Gives back to the ground every connected won region that is narrow throughout, being the trace of
/// a rounded line, or that touches no root.
pub(crate) fn keep_standing(parts: &mut Parts) {
    if !parts.parts.iter().any(|part| part.won && !stands_alone(parts, part)) {
        return;
    }
    let mut regions = joined(parts);
    let mut broad = vec![false; parts.parts.len()];
    let mut holds_root = vec![false; parts.parts.len()];
    for (i, part) in parts.parts.iter().enumerate().filter(|(_, part)| part.won) {
        let region = regions.root(i as u32) as usize;
        broad[region] |= !part.thin;
        holds_root[region] |= parts.roots[part.patch as usize];
    }
    for (i, part) in parts.parts.iter_mut().enumerate() {
        let region = regions.root(i as u32) as usize;
        part.won &= broad[region] && holds_root[region];
    }
    parts.any_won = parts.parts.iter().any(|part| part.won);
}

/// A stretch of an edge between two cells, along which a won part lies.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    between: [u32; 2],
    from: f64,
    to: f64,
    part: u32,
}

/// Whether a won part stands whatever it is joined to: it is broad, and a root.
fn stands_alone(parts: &Parts, part: &Part) -> bool {
    !part.thin && parts.roots[part.patch as usize]
}

/// Joins the won parts that lie on both sides of some stretch.
///
/// Only those ask what they are joined to that do not stand alone: what joins two others changes
/// nothing.
fn joined(parts: &Parts) -> Forest {
    let mut regions = Forest::new(parts.parts.len());
    let mut known = Stretches::new(parts.places.len());
    for asks in [true, false] {
        let wanted = |part: &&Part| part.won && stands_alone(parts, part) != asks;
        for (i, part) in (0..).zip(&parts.parts).filter(|(_, part)| wanted(part)) {
            for here in sides(parts, part, i) {
                if !asks && !known.may_meet(&here) {
                    continue;
                }
                let here = here.between(&parts.places);
                known.meeting(&here).for_each(|there| regions.join(there, i));
                if asks {
                    known.hang(here);
                }
            }
        }
    }
    regions
}

/// The stretches that are known, and at which vertices.
struct Stretches {
    hung: Hooks<Stretch>,
    ends: Vec<bool>,
}

impl Stretches {
    fn new(n_vertices: usize) -> Self {
        Self { hung: Hooks::below(n_vertices), ends: vec![false; n_vertices] }
    }

    fn hang(&mut self, stretch: Stretch) {
        stretch.between.iter().for_each(|&end| self.ends[end as usize] = true);
        self.hung.hang(stretch.between[0], stretch);
    }

    /// Whether a stretch between these vertices, or between others on the same edge, may be known.
    fn may_meet(&self, side: &Side) -> bool {
        self.ends[side.from as usize] || self.ends[side.to as usize]
    }

    /// The parts along the known stretches that a stretch meets.
    fn meeting(&self, here: &Stretch) -> impl Iterator<Item = u32> {
        let there = self.hung.on(here.between[0]).filter(|there| there.meets(here));
        there.map(|there| there.part)
    }
}

/// One side of a part, along an edge.
#[derive(Clone, Copy, Debug)]
struct Side {
    from: u32,
    to: u32,
    part: u32,
}

/// The sides of a part that run along edges.
fn sides<'p>(parts: &'p Parts, part: &Part, number: u32) -> impl Iterator<Item = Side> + 'p {
    let corners = parts.corners(part);
    let after = corners.iter().cycle().skip(1);
    let along_edge = |c: &PartCorner| c.ground_edge != NO_EDGE || c.patch_edge != NO_EDGE;
    let pairs = corners.iter().zip(after).filter(move |(corner, _)| along_edge(corner));
    pairs.map(move |(corner, next)| Side { from: corner.vertex, to: next.vertex, part: number })
}

impl Stretch {
    /// Whether both run along some length of the same edge.
    fn meets(&self, other: &Self) -> bool {
        self.between == other.between && self.from.max(other.from) < self.to.min(other.to)
    }
}

impl Side {
    fn between(&self, places: &Places) -> Stretch {
        let &Self { from, to, part } = self;
        for (zero, other) in [(from, to), (to, from)] {
            if let Some(on) = places.zero(zero)
                && on.between.contains(&other)
            {
                let upper = other == on.between[1];
                let (from, to) = if upper { (on.share, 1.0) } else { (0.0, on.share) };
                return Stretch { between: on.between, from, to, part };
            }
        }
        Stretch { between: [from.min(to), from.max(to)], from: 0.0, to: 1.0, part }
    }
}

/// Disjoint sets of parts.
struct Forest {
    parents: Vec<u32>,
}

impl Forest {
    fn new(n: usize) -> Self {
        Self { parents: (0..n as u32).collect() }
    }

    fn root(&mut self, mut i: u32) -> u32 {
        while self.parents[i as usize] != i {
            let grandparent = self.parents[self.parents[i as usize] as usize];
            self.parents[i as usize] = grandparent;
            i = grandparent;
        }
        i
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.parents[a.max(b) as usize] = a.min(b);
    }
}
