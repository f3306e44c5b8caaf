//! Level ground that water crosses, along its edges, nearest vertex first.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap};

use super::side::{between, next, steps};
use crate::{NONE, Surface};

/// The vertices of level ground in the order of their distance.
pub(crate) struct Flat<'a> {
    surface: &'a Surface,
    z: f64,
    /// How each vertex was reached: the distance, and the vertex before.
    reached: BTreeMap<u32, (f64, u32)>,
    ahead: BinaryHeap<Reverse<Near>>,
}

/// A corner at a distance in lattice steps.
#[derive(Clone, Copy, Debug)]
struct Near {
    distance: f64,
    vertex: u32,
    corner: (u32, usize),
}

impl<'a> Flat<'a> {
    pub(crate) fn new(surface: &'a Surface, z: f64) -> Self {
        Self { surface, z, reached: BTreeMap::new(), ahead: BinaryHeap::new() }
    }

    pub(crate) fn offer(&mut self, corner: (u32, usize), distance: f64, before: u32) {
        let vertex = self.surface.faces()[corner.0 as usize].vertices[corner.1];
        let is_level = self.surface.corner_heights(corner.0)[corner.1] == self.z;
        if is_level && self.reached.get(&vertex).is_none_or(|&(known, _)| distance < known) {
            self.reached.insert(vertex, (distance, before));
            self.ahead.push(Reverse(Near { distance, vertex, corner }));
        }
    }

    /// Offers the ends of the level edges that start in a vertex.
    pub(crate) fn spread(&mut self, around: &[(u32, usize)]) {
        for &(f, k) in around {
            let vertex = self.surface.faces()[f as usize].vertices[k];
            let (distance, _) = self.reached[&vertex];
            let c = self.surface.corners(f).map(steps);
            for end in [next(k), next(next(k))] {
                let run = between(c[k], c[end]);
                self.offer((f, end), distance + libm::hypot(run[0], run[1]), vertex);
            }
        }
    }

    /// The vertices on the way to a corner, its own last.
    pub(crate) fn way_to(&self, f: u32, k: usize) -> Vec<u32> {
        let mut way = vec![self.surface.faces()[f as usize].vertices[k]];
        while let Some(&(_, before)) = self.reached.get(&way[way.len() - 1])
            && before != NONE
        {
            way.push(before);
        }
        way.reverse();
        way
    }
}

impl Iterator for Flat<'_> {
    type Item = (u32, usize);

    fn next(&mut self) -> Option<(u32, usize)> {
        loop {
            let Reverse(near) = self.ahead.pop()?;
            if self.reached[&near.vertex].0 == near.distance {
                return Some(near.corner);
            }
        }
    }
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
        self.distance.total_cmp(&other.distance).then(self.vertex.cmp(&other.vertex))
    }
}
