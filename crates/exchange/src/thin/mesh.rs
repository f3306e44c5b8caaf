//! Triangles that take the farthest of their points, one after the other.
//!
//! ```text
//!            c
//!           / \          the points over a triangle hang in a list; the farthest, p, goes in:
//!          / p \         every triangle whose circle holds p gives way to a fan around p,
//!         a-----b        and its points move to the fan
//! ```

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use ground::predicates::{in_circle_sign, orient};
use ground::{Lattice, LatticePoint, NONE};

use super::spots::Spots;
use crate::watch::{CalledOff, Watch, tell};

/// A triangulation under way.
pub(super) struct Refined<'a> {
    spots: &'a Spots,
    triangles: Vec<Triangle>,
    /// The next point in the list of a triangle.
    next: Vec<u32>,
    free: Vec<u32>,
    heap: BinaryHeap<Waiting>,
    kept: Vec<u32>,
    /// Used again for each point that goes in.
    work: Work,
}

#[derive(Clone, Copy)]
struct Triangle {
    corners: [u32; 3],
    /// Across the edge from corner i to corner i + 1.
    across: [u32; 3],
    /// First point of its list.
    first: u32,
    /// Its farthest point.
    farthest: u32,
    error_m: f64,
    /// How often its place in memory was used: tells what waits for a triangle that is gone.
    turn: u32,
}

/// A triangle whose farthest point waits.
struct Waiting {
    error_m: f64,
    triangle: u32,
    turn: u32,
    spot: u32,
}

#[derive(Default)]
struct Work {
    cavity: Vec<u32>,
    rim: Vec<Rim>,
    fan: Vec<Fan>,
    loose: Vec<u32>,
}

/// An edge of the cavity, counter-clockwise, and what lies beyond.
#[derive(Clone, Copy)]
struct Rim {
    a: u32,
    b: u32,
    beyond: u32,
}

/// A new triangle a, b, p and its plane about p.
struct Fan {
    triangle: u32,
    a: LatticePoint,
    b: LatticePoint,
    rise: [f64; 2],
}

impl PartialEq for Waiting {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Waiting {}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> Ordering {
        // Points are numbered by their places alone: no order of the cloud shows.
        self.error_m.total_cmp(&other.error_m).then(other.spot.cmp(&self.spot))
    }
}

/// Points between two words to the watcher.
const STRIDE: usize = 1 << 14;

impl<'a> Refined<'a> {
    /// The triangles of the seeds, which must hold the hull's corners; none where they make none.
    pub(super) fn new(spots: &'a Spots, lattice: Lattice, seeds: &[u32]) -> Option<Self> {
        let places: Vec<LatticePoint> = seeds.iter().map(|&s| spots.at[s as usize]).collect();
        let mesh = ground::constrained(lattice, &places, &[]).ok()?;
        let mut spot_of = vec![NONE; mesh.vertices.len()];
        for (&spot, &vertex) in seeds.iter().zip(&mesh.merged) {
            spot_of[vertex as usize] = spot;
        }
        let triangles = mesh
            .triangles
            .iter()
            .zip(&mesh.neighbours)
            .map(|(corners, across)| Triangle {
                corners: corners.map(|v| spot_of[v as usize]),
                across: *across,
                first: NONE,
                farthest: NONE,
                error_m: 0.0,
                turn: 0,
            })
            .collect();
        let mut refined = Self {
            spots,
            triangles,
            next: vec![NONE; spots.at.len()],
            free: Vec::new(),
            heap: BinaryHeap::new(),
            kept: seeds.to_vec(),
            work: Work::default(),
        };
        refined.hang_all(seeds);
        Some(refined)
    }

    /// Takes in points until none is farther than the tolerance; answers all that are kept.
    pub(super) fn run(
        mut self,
        tolerance_m: f64,
        watch: &mut Watch<'_>,
    ) -> Result<Vec<u32>, CalledOff> {
        (0..self.triangles.len() as u32).for_each(|t| self.wait(t, tolerance_m));
        while let Some(waiting) = self.heap.pop() {
            if self.triangles[waiting.triangle as usize].turn != waiting.turn {
                continue;
            }
            self.take_in(waiting.triangle, waiting.spot, tolerance_m);
            if self.kept.len().is_multiple_of(STRIDE) {
                tell(watch, "thinning", self.kept.len(), self.spots.at.len())?;
            }
        }
        Ok(self.kept)
    }

    /// Hangs every point that is no seed over its triangle.
    fn hang_all(&mut self, seeds: &[u32]) {
        let mut seed = seeds.iter().copied().peekable();
        let mut t = 0;
        for spot in 0..self.spots.at.len() as u32 {
            if seed.peek() == Some(&spot) {
                seed.next();
                continue;
            }
            t = self.over(t, self.spots.at[spot as usize]);
            let error_m = self.error_m(t, spot);
            let triangle = &mut self.triangles[t as usize];
            self.next[spot as usize] = std::mem::replace(&mut triangle.first, spot);
            if error_m > triangle.error_m {
                (triangle.error_m, triangle.farthest) = (error_m, spot);
            }
        }
    }

    /// Walks from a triangle to the one that holds a place.
    fn over(&self, from: u32, p: LatticePoint) -> u32 {
        let mut t = from;
        loop {
            let triangle = &self.triangles[t as usize];
            let corners = triangle.corners.map(|s| self.spots.at[s as usize]);
            let outside = (0..3).find(|&k| orient(corners[k], corners[(k + 1) % 3], p) < 0);
            match outside.map(|k| triangle.across[k]) {
                // Every point lies in the hull, so a walk never leaves it.
                Some(NONE) | None => return t,
                Some(next) => t = next,
            }
        }
    }

    fn error_m(&self, t: u32, spot: u32) -> f64 {
        let [a, b, c] = self.triangles[t as usize].corners;
        let rise = rise(self.spots, a, b, c);
        (self.spots.z_m[spot as usize] - height(self.spots, a, rise, spot)).abs()
    }

    fn wait(&mut self, t: u32, tolerance_m: f64) {
        let Triangle { error_m, farthest, turn, .. } = self.triangles[t as usize];
        if error_m > tolerance_m {
            self.heap.push(Waiting { error_m, triangle: t, turn, spot: farthest });
        }
    }

    fn take_in(&mut self, t: u32, p: u32, tolerance_m: f64) {
        let mut work = std::mem::take(&mut self.work);
        self.dig(t, p, &mut work);
        self.fill(p, &mut work);
        self.move_points(p, &mut work);
        for fan in &work.fan {
            self.wait(fan.triangle, tolerance_m);
        }
        self.kept.push(p);
        self.work = work;
    }

    /// Gathers the triangles whose circles hold p, their rim and their points.
    fn dig(&mut self, t: u32, p: u32, work: &mut Work) {
        let at = &self.spots.at;
        work.cavity.clear();
        work.rim.clear();
        work.loose.clear();
        work.cavity.push(t);
        let mut nth = 0;
        while nth < work.cavity.len() {
            let here = self.triangles[work.cavity[nth] as usize];
            nth += 1;
            for k in 0..3 {
                let beyond = here.across[k];
                if beyond != NONE && work.cavity.contains(&beyond) {
                    continue;
                }
                let gives_way = beyond != NONE && {
                    let [a, b, c] = self.triangles[beyond as usize].corners.map(|s| at[s as usize]);
                    in_circle_sign(a, b, c, at[p as usize]) == Ordering::Greater
                };
                if gives_way {
                    work.cavity.push(beyond);
                } else {
                    work.rim.push(Rim { a: here.corners[k], b: here.corners[(k + 1) % 3], beyond });
                }
            }
        }
        for &gone in &work.cavity {
            let mut spot = self.triangles[gone as usize].first;
            while spot != NONE {
                if spot != p {
                    work.loose.push(spot);
                }
                spot = self.next[spot as usize];
            }
            self.triangles[gone as usize].turn += 1;
            self.free.push(gone);
        }
    }

    /// Makes the fan around p.
    fn fill(&mut self, p: u32, work: &mut Work) {
        work.fan.clear();
        let place = |spot: u32| self.spots.at[spot as usize];
        for rim in &work.rim {
            // On the hull the side that p stands on has no triangle.
            if orient(place(rim.a), place(rim.b), place(p)) == 0 {
                continue;
            }
            let triangle = self.free.pop().unwrap_or_else(|| {
                self.triangles.push(Triangle {
                    corners: [NONE; 3],
                    across: [NONE; 3],
                    first: NONE,
                    farthest: NONE,
                    error_m: 0.0,
                    turn: 0,
                });
                self.triangles.len() as u32 - 1
            });
            let turn = self.triangles[triangle as usize].turn;
            self.triangles[triangle as usize] = Triangle {
                corners: [rim.a, rim.b, p],
                across: [rim.beyond, NONE, NONE],
                first: NONE,
                farthest: NONE,
                error_m: 0.0,
                turn,
            };
            if rim.beyond != NONE {
                let other = &mut self.triangles[rim.beyond as usize];
                let edge = (0..3)
                    .find(|&k| other.corners[k] == rim.b && other.corners[(k + 1) % 3] == rim.a);
                other.across[edge.expect("neighbours share an edge")] = triangle;
            }
            let rise = rise(self.spots, p, rim.a, rim.b);
            work.fan.push(Fan { triangle, a: place(rim.a), b: place(rim.b), rise });
        }
        for i in 0..work.fan.len() {
            for j in 0..work.fan.len() {
                if work.fan[i].b == work.fan[j].a {
                    let [one, other] = [work.fan[i].triangle, work.fan[j].triangle];
                    self.triangles[one as usize].across[1] = other;
                    self.triangles[other as usize].across[2] = one;
                }
            }
        }
    }

    /// Hangs the points of what gave way over the fan.
    fn move_points(&mut self, p: u32, work: &mut Work) {
        let (at, z_m) = (&self.spots.at, &self.spots.z_m);
        let (middle, z) = (at[p as usize], z_m[p as usize]);
        let mut last = 0;
        for &spot in &work.loose {
            let q = at[spot as usize];
            let holds = |fan: &Fan| orient(middle, fan.a, q) >= 0 && orient(middle, fan.b, q) <= 0;
            // Neighbours in the list are neighbours on the ground.
            if !holds(&work.fan[last]) {
                last = work.fan.iter().position(holds).unwrap_or(last);
            }
            let fan = &work.fan[last];
            let [dx, dy] = offset(middle, q);
            let error_m = (z_m[spot as usize] - (z + (fan.rise[0] * dx + fan.rise[1] * dy))).abs();
            let triangle = &mut self.triangles[fan.triangle as usize];
            self.next[spot as usize] = std::mem::replace(&mut triangle.first, spot);
            if error_m > triangle.error_m
                || (error_m == triangle.error_m && spot < triangle.farthest)
            {
                (triangle.error_m, triangle.farthest) = (error_m, spot);
            }
        }
    }
}

fn offset(from: LatticePoint, to: LatticePoint) -> [f64; 2] {
    [f64::from(to.x) - f64::from(from.x), f64::from(to.y) - f64::from(from.y)]
}

/// Rise per step east and north of the plane through three places.
fn rise(spots: &Spots, a: u32, b: u32, c: u32) -> [f64; 2] {
    let place = |s: u32| (spots.at[s as usize], spots.z_m[s as usize]);
    ground::Plane::through([place(a), place(b), place(c)]).rise
}

fn height(spots: &Spots, from: u32, rise: [f64; 2], spot: u32) -> f64 {
    let [dx, dy] = offset(spots.at[from as usize], spots.at[spot as usize]);
    spots.z_m[from as usize] + (rise[0] * dx + rise[1] * dy)
}
