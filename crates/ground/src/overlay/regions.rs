//! Which won parts stand: connected regions that have a breadth and touch a root.

use super::buckets::Hooks;
use super::compose::Rooted;
use super::overlap::NO_EDGE;
use super::places::Places;
use super::winners::{PartCorner, Parts};
use crate::surface::Surface;

/// Gives back to the ground every connected won region that is narrow throughout, being the trace of
/// a rounded line, or that touches no root.
pub(crate) fn keep_standing(parts: &mut Parts, patch: &Surface, rooted: Rooted<'_>) {
    let any_thin = parts.parts.iter().any(|part| part.thin);
    if !parts.any_won || (!any_thin && matches!(rooted, Rooted::Anywhere)) {
        return;
    }
    let mut regions = joined(parts);
    let mut broad = vec![false; parts.parts.len()];
    let mut holds_root = vec![false; parts.parts.len()];
    for (i, part) in parts.parts.iter().enumerate().filter(|(_, part)| part.won) {
        let region = regions.root(i as u32) as usize;
        broad[region] |= !part.thin;
        holds_root[region] |= rooted.is_root(patch, part.patch);
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

/// Joins the won parts that lie on both sides of some stretch.
fn joined(parts: &Parts) -> Forest {
    let mut regions = Forest::new(parts.parts.len());
    let mut known: Hooks<Stretch> = Hooks::below(parts.places.len());
    for (i, part) in parts.parts.iter().enumerate().filter(|(_, part)| part.won) {
        let corners = parts.corners(part);
        for (k, corner) in corners.iter().enumerate() {
            if corner.ground_edge == NO_EDGE && corner.patch_edge == NO_EDGE {
                continue;
            }
            let following = corners[if k + 1 == corners.len() { 0 } else { k + 1 }];
            let here = stretch(&parts.places, corner, following.vertex, i as u32);
            for there in known.on(here.between[0]).filter(|there| there.meets(&here)) {
                regions.join(there.part, here.part);
            }
            known.hang(here.between[0], here);
        }
    }
    regions
}

impl Stretch {
    /// Whether both run along some length of the same edge.
    fn meets(&self, other: &Self) -> bool {
        self.between == other.between && self.from.max(other.from) < self.to.min(other.to)
    }
}

fn stretch(places: &Places, corner: &PartCorner, to: u32, part: u32) -> Stretch {
    let from = corner.vertex;
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
