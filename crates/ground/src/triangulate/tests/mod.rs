//! Builds driven through the public face; what several files need stands here.

mod hard;
mod lines;
mod outlines;
mod properties;
mod referee;
mod values;

use crate::predicates::{in_circle, orient};
use crate::{Breakline, Built, Lattice, LatticePoint, NONE, Surface, Terrain, build};

/// A place in metres on the micrometre lattice.
fn at(x: f64, y: f64) -> LatticePoint {
    Lattice::default().snap([x, y]).unwrap()
}

fn lattice_point(x: i32, y: i32) -> LatticePoint {
    LatticePoint { x, y }
}

fn flat(places: &[LatticePoint]) -> Terrain {
    Terrain { points: places.iter().map(|&p| (p, 0.0)).collect(), ..Terrain::default() }
}

fn line(vertices: &[(f64, f64, f64)]) -> Breakline {
    Breakline { vertices: vertices.iter().map(|&(x, y, z)| (at(x, y), z)).collect() }
}

/// A box of four points at height zero.
fn field(x: [f64; 2], y: [f64; 2]) -> Vec<(LatticePoint, f64)> {
    [(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])].map(|(x, y)| (at(x, y), 0.0)).to_vec()
}

fn built(terrain: &Terrain) -> Built {
    let built = build(terrain).unwrap();
    built.surface.check().unwrap();
    assert_legal(&built.surface);
    built
}

/// Twice the plan area in square steps.
fn twice_area(surface: &Surface) -> i128 {
    (0..surface.faces().len() as u32)
        .map(|f| surface.corners(f))
        .map(|[a, b, c]| i128::from(orient(a, b, c)))
        .sum()
}

fn plan_area_m2(surface: &Surface) -> f64 {
    let step_m = surface.lattice().step_m();
    twice_area(surface) as f64 * 0.5 * step_m * step_m
}

/// The number of edges with one face only.
fn n_outline(surface: &Surface) -> usize {
    surface.faces().iter().flat_map(|f| f.neighbours).filter(|&n| n == NONE).count()
}

/// The inner edges that are fixed, from the smaller place to the larger, in order.
fn fixed_edges(surface: &Surface) -> Vec<[LatticePoint; 2]> {
    let mut edges = Vec::new();
    for f in surface.faces() {
        for k in 0..3 {
            let ends = [k, (k + 1) % 3].map(|i| surface.vertices()[f.vertices[i] as usize]);
            if f.fixed >> k & 1 == 1 && f.neighbours[k] != NONE && ends[0] < ends[1] {
                edges.push(ends);
            }
        }
    }
    edges.sort_unstable();
    edges
}

/// Every free edge is Delaunay, and where four corners lie on one circle it runs through the
/// lexicographically smallest.
fn assert_legal(surface: &Surface) {
    for f in surface.faces() {
        let [a, b, c] = f.vertices.map(|v| surface.vertices()[v as usize]);
        for (k, [u, v, apex]) in [[a, b, c], [b, c, a], [c, a, b]].into_iter().enumerate() {
            let n = f.neighbours[k];
            if n == NONE || f.fixed >> k & 1 == 1 {
                continue;
            }
            let across = surface.faces()[n as usize].vertices;
            let across = across.map(|v| surface.vertices()[v as usize]);
            let d = across.into_iter().find(|p| ![u, v].contains(p)).unwrap();
            let inside = in_circle(a, b, c, d);
            assert!(inside < 0 || (inside == 0 && u.min(v) < apex.min(d)), "{u:?} {v:?}");
        }
    }
}

/// The convex hull, counter-clockwise, with the places on its sides.
fn hull(places: &[LatticePoint]) -> Vec<LatticePoint> {
    let mut sorted = places.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let half = |places: &mut dyn Iterator<Item = LatticePoint>| {
        let mut chain: Vec<LatticePoint> = Vec::new();
        for p in places {
            while let [.., a, b] = chain[..]
                && orient(a, b, p) < 0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut sorted.iter().copied());
    lower.extend(half(&mut sorted.iter().rev().copied()));
    lower
}

/// Twice the area of a ring.
fn twice_ring_area(ring: &[LatticePoint]) -> i128 {
    (1..ring.len()).map(|k| i128::from(orient(ring[0], ring[k - 1], ring[k]))).sum()
}

/// A repeatable sequence of numbers below `end`.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: u32) -> i32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % u64::from(end)) as i32
    }
}
