//! The way that water takes down the ground.
//!
//! The path goes straight down each face and, where the faces on both sides of an edge lean towards
//! it, along the edge. Rules where the ground alone does not decide:
//!
//! - At a step it falls to the lower ground; where a step blocks its way it runs along the foot.
//! - In a vertex it takes the steepest way down among the faces and edges around it, after falling to
//!   the lowest of the faces that meet there; of equal ways, that on the first face.
//! - On level ground it goes straight to the nearest corner of its face or end of its edge, and from
//!   there along edges, the shortest way, to the nearest vertex from which ground falls; of equally near
//!   ones to the first. Where there is none, it ends where it came.
//! - It leaves the surface over an edge of the border that its face leans to, and in a vertex of the
//!   border from which no ground falls.

use super::flat::Flat;
use super::locate::Locator;
use super::side::{
    Lies, Side, among_faces_at, between, cross, edge_towards, faces_at, fan, height_at, metres,
    next, steps,
};
use crate::{LatticePoint, NONE, Plane, Surface};
use std::borrow::Borrow;

/// The way of water from a place to where it stands or leaves the surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Descent {
    /// The path, never rising; where it falls over a step, two points stand in one place.
    pub points: Vec<PathPoint>,
    /// How it ends.
    pub end: End,
}

/// A point of a path on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// The place in local metres.
    pub at: [f64; 2],
    /// Height in metres.
    pub z: f64,
}

/// How a path down the ground ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// In a vertex from which no ground falls.
    Pit,
    /// On level ground, or in a level trough, from which no ground falls.
    Flat,
    /// On the border of the surface.
    Border,
}

/// The steepest way down from a place, or none when it lies off the surface or is not a number.
pub fn descend(surface: &Surface, from: [f64; 2]) -> Option<Descent> {
    let p = surface.lattice().snap(from).ok()?;
    descend_among(surface, faces_at(surface, p), p)
}

impl<S: Borrow<Surface>> Locator<S> {
    /// As [`descend`], without looking at every face for the start.
    pub fn descend(&self, from: [f64; 2]) -> Option<Descent> {
        let p = self.surface().lattice().snap(from).ok()?;
        let faces = among_faces_at(self.surface(), self.near(p).iter().copied(), p);
        descend_among(self.surface(), faces, p)
    }
}

/// A path nearer than this to a vertex that does not stand higher has reached it, in lattice steps:
/// it keeps a path that winds around a pit from winding for ever.
const REACHED_STEPS: f64 = 1.0;

fn descend_among(surface: &Surface, faces: Vec<(u32, Lies)>, p: LatticePoint) -> Option<Descent> {
    let highest = |a: &(u32, Lies), b: &(u32, Lies)| {
        let z = |&(f, lies): &(u32, Lies)| height_at(surface, f, p, lies);
        z(a).total_cmp(&z(b)).then(b.0.cmp(&a.0))
    };
    let (face_idx, lies) = faces.into_iter().max_by(highest)?;
    let mut path = Path { surface, points: Vec::new(), n_moves: 0 };
    path.push(steps(p), height_at(surface, face_idx, p, lies));
    let mut stand = match lies {
        Lies::AtCorner(k) => Stand::Corner(face_idx, k),
        Lies::OnEdge(k) => Stand::Edge(face_idx, k, Side::of(surface, face_idx, k).share_of(p)),
        Lies::Inside | Lies::Outside => Stand::Face(face_idx, steps(p)),
    };
    loop {
        stand = match path.go_on(stand) {
            Ok(stand) => stand,
            Err(end) => return Some(Descent { points: path.points, end }),
        };
    }
}

/// Where a path stands.
#[derive(Clone, Copy, Debug)]
enum Stand {
    /// On a face, about to run straight down it; in lattice steps.
    Face(u32, [f64; 2]),
    /// On an edge of a face, at the share of the way between its ends.
    Edge(u32, usize, f64),
    /// In a corner of a face.
    Corner(u32, usize),
}

struct Path<'a> {
    surface: &'a Surface,
    points: Vec<PathPoint>,
    n_moves: usize,
}

impl Path<'_> {
    fn go_on(&mut self, stand: Stand) -> Result<Stand, End> {
        self.n_moves += 1;
        match stand {
            Stand::Face(face_idx, p) => self.cross(face_idx, p),
            Stand::Edge(face_idx, k, share) => self.leave_edge(face_idx, k, share),
            Stand::Corner(face_idx, k) => self.leave_corner(face_idx, k),
        }
    }

    /// After more moves than any plain path takes, the path keeps to vertices, of which each is lower
    /// than the one before, so that it ends.
    fn is_winding(&self) -> bool {
        self.n_moves > 4 * self.surface.faces().len() + 64
    }

    /// Runs straight down a face to its rim.
    fn cross(&mut self, face_idx: u32, p: [f64; 2]) -> Result<Stand, End> {
        let z = self.surface.corner_heights(face_idx);
        if z[0] == z[1] && z[1] == z[2] {
            let from = [0, 1, 2].map(|k| (face_idx, k));
            return self.cross_flat(&from, p, z[0]);
        }
        if self.is_winding() {
            let lowest = (1..3).fold(0, |low, k| if z[k] < z[low] { k } else { low });
            return Ok(self.reach_corner(face_idx, lowest));
        }
        let (k, exit) = self.exit(face_idx, p);
        let side = Side::of(self.surface, face_idx, k);
        let (lo, run) = (steps(side.lo), between(steps(side.lo), steps(side.hi)));
        let along = (exit[0] - lo[0]) * run[0] + (exit[1] - lo[1]) * run[1];
        let share = (along / (run[0] * run[0] + run[1] * run[1])).clamp(0.0, 1.0);
        for (corner, end) in [(k, side.share_of_start()), (next(k), side.share_of_end())] {
            let gap = (share - end).abs() * libm::hypot(run[0], run[1]);
            if gap <= REACHED_STEPS && z[corner] <= self.height() {
                return Ok(self.reach_corner(face_idx, corner));
            }
        }
        self.push(side.at(share), side.z(share));
        Ok(Stand::Edge(face_idx, k, share))
    }

    /// The edge through which the straight way down from `p` leaves a face, and the place.
    fn exit(&self, face_idx: u32, p: [f64; 2]) -> (usize, [f64; 2]) {
        let (c, down) = (self.surface.corners(face_idx).map(steps), self.down(face_idx));
        let mut first = (0, f64::INFINITY);
        for k in 0..3 {
            let edge = between(c[k], c[next(k)]);
            let closing = -cross(edge, down);
            if closing > 0.0 {
                let after = (cross(edge, between(c[k], p)) / closing).max(0.0);
                if after < first.1 {
                    first = (k, after);
                }
            }
        }
        (first.0, [p[0] + first.1 * down[0], p[1] + first.1 * down[1]])
    }

    /// Goes on from a place on an edge: over a step, into a face, or down along the edge.
    fn leave_edge(&mut self, face_idx: u32, k: usize, share: f64) -> Result<Stand, End> {
        let side = Side::of(self.surface, face_idx, k);
        let z = side.z(share);
        let across = self.across(face_idx, k);
        if let Some((other, j)) = across
            && Side::of(self.surface, other, j).z(share) < z
        {
            self.push(side.at(share), Side::of(self.surface, other, j).z(share));
            return Ok(self.fall_or_run(&[(other, j)], share));
        }
        if across.is_none() && self.leans_in(face_idx, k) < 0.0 {
            return Err(End::Border);
        }
        let level = |&(f, j): &(u32, usize)| Side::of(self.surface, f, j).z(share) == z;
        let sides = across.into_iter().filter(level).chain([(face_idx, k)]).collect::<Vec<_>>();
        if side.z_lo == side.z_hi && sides.iter().all(|&(f, j)| self.leans_in(f, j) <= 0.0) {
            let ends = sides.iter().flat_map(|&(f, j)| [(f, j), (f, next(j))]).collect::<Vec<_>>();
            return self.cross_flat(&ends, side.at(share), z);
        }
        Ok(self.fall_or_run(&sides, share))
    }

    /// From a place on an edge into the steepest of the `sides` that fall away from it, else down
    /// along the edge on the side that is steepest there.
    fn fall_or_run(&mut self, sides: &[(u32, usize)], share: f64) -> Stand {
        let grade = |f: u32| libm::hypot(self.down(f)[0], self.down(f)[1]);
        let mut falling = sides.to_vec();
        falling.retain(|&(f, j)| self.leans_in(f, j) > 0.0);
        falling.sort_by(|a, b| grade(b.0).total_cmp(&grade(a.0)).then(a.0.cmp(&b.0)));
        if let Some(&(f, j)) = falling.first() {
            return Stand::Face(f, Side::of(self.surface, f, j).at(share));
        }
        let drop = |&(f, j): &(u32, usize)| {
            let side = Side::of(self.surface, f, j);
            (side.z_lo - side.z_hi).abs()
        };
        let steepest = sides.iter().max_by(|a, b| drop(a).total_cmp(&drop(b)).then(b.0.cmp(&a.0)));
        let &(f, j) = steepest.expect("a place on an edge lies on a side");
        let z = self.surface.corner_heights(f);
        self.run_along(f, j, Some(share), if z[next(j)] < z[j] { next(j) } else { j })
    }

    /// Runs down along edge `j` of a face to its corner `end`, unless the ground beside it drops
    /// below the edge on the way.
    fn run_along(&mut self, f: u32, j: usize, from: Option<f64>, end: usize) -> Stand {
        let side = Side::of(self.surface, f, j);
        if let Some((other, i)) = self.across(f, j).filter(|_| !self.is_winding()) {
            let beside = Side::of(self.surface, other, i);
            let (over_lo, over_hi) = (side.z_lo - beside.z_lo, side.z_hi - beside.z_hi);
            let ends_at_lo = (end == j) == side.runs_up;
            let (over_start, over_end) =
                if ends_at_lo { (over_hi, over_lo) } else { (over_lo, over_hi) };
            let share = over_lo / (over_lo - over_hi);
            let is_ahead =
                from.is_none_or(|from| if ends_at_lo { share < from } else { share > from });
            if over_start < 0.0 && over_end > 0.0 && is_ahead {
                self.push(side.at(share), side.z(share));
                return self.fall_or_run(&[(other, i)], share);
            }
        }
        self.reach_corner(f, end)
    }

    /// Goes on from a vertex.
    fn leave_corner(&mut self, face_idx: u32, corner: usize) -> Result<Stand, End> {
        let around = fan(self.surface, face_idx, corner);
        let z_of = |&(f, k): &(u32, usize)| self.surface.corner_heights(f)[k];
        let z = around.iter().map(z_of).fold(f64::INFINITY, f64::min);
        let at = self.corner_at(face_idx, corner);
        let mut lowest = around.clone();
        lowest.retain(|named| z_of(named) == z);
        lowest.sort_unstable();
        self.push(at, z);
        if let Some(way) = self.steepest(&lowest) {
            return Ok(match way {
                Way::Down(f) => Stand::Face(f, at),
                Way::Along(f, edge, end) => self.run_along(f, edge, None, end),
            });
        }
        let open = |&(f, k): &(u32, usize)| {
            let neighbours = self.surface.faces()[f as usize].neighbours;
            neighbours[k] == NONE || neighbours[next(next(k))] == NONE
        };
        if around.iter().any(open) {
            return Err(End::Border);
        }
        let level = |&(f, k): &(u32, usize)| {
            let heights = self.surface.corner_heights(f);
            heights[next(k)] == z || heights[next(next(k))] == z
        };
        if lowest.iter().any(level) {
            return self.cross_flat(&lowest, at, z);
        }
        Err(End::Pit)
    }

    /// The steepest way down from a vertex over the given faces around it.
    fn steepest(&self, around: &[(u32, usize)]) -> Option<Way> {
        let mut best: Option<(f64, Way)> = None;
        let mut offer = |grade: f64, way: Way| {
            if grade > 0.0 && best.is_none_or(|(steepest, _)| grade > steepest) {
                best = Some((grade, way));
            }
        };
        for &(f, k) in around {
            let (c, z) = (self.surface.corners(f).map(steps), self.surface.corner_heights(f));
            let (after, before) = (next(k), next(next(k)));
            let (out, back) = (between(c[k], c[after]), between(c[k], c[before]));
            let down = self.down(f);
            if cross(out, down) > 0.0 && cross(down, back) > 0.0 && !self.is_winding() {
                offer(libm::hypot(down[0], down[1]), Way::Down(f));
            }
            offer((z[k] - z[after]) / libm::hypot(out[0], out[1]), Way::Along(f, k, after));
            offer(
                (z[k] - z[before]) / libm::hypot(back[0], back[1]),
                Way::Along(f, before, before),
            );
        }
        best.map(|(_, way)| way)
    }

    /// Goes over level ground at `z` to the nearest vertex from which ground falls: along edges from
    /// the nearest of the `corners`, which are in sight of `from`.
    fn cross_flat(
        &mut self,
        corners: &[(u32, usize)],
        from: [f64; 2],
        z: f64,
    ) -> Result<Stand, End> {
        let mut flat = Flat::new(self.surface, z);
        let away = |&(f, k): &(u32, usize)| {
            let at = self.corner_at(f, k);
            libm::hypot(at[0] - from[0], at[1] - from[1])
        };
        let nearest = corners.iter().map(away).fold(f64::INFINITY, f64::min);
        for corner in corners.iter().filter(|corner| away(corner) == nearest) {
            flat.offer(*corner, nearest, NONE);
        }
        while let Some((face_idx, k)) = flat.next() {
            let around = fan(self.surface, face_idx, k);
            let z_of = |&(f, k): &(u32, usize)| self.surface.corner_heights(f)[k];
            let level = around.iter().copied().filter(|named| z_of(named) == z).collect::<Vec<_>>();
            if around.iter().any(|named| z_of(named) < z) || self.steepest(&level).is_some() {
                for vertex in flat.way_to(face_idx, k) {
                    self.push(steps(self.surface.vertices()[vertex as usize]), z);
                }
                return Ok(Stand::Corner(face_idx, k));
            }
            flat.spread(&level);
        }
        Err(End::Flat)
    }

    fn across(&self, face_idx: u32, k: usize) -> Option<(u32, usize)> {
        let face = &self.surface.faces()[face_idx as usize];
        let other = face.neighbours[k];
        (other != NONE)
            .then(|| (other, edge_towards(self.surface, other, face_idx, face.vertices[k])))
    }

    /// How fast the way down a face leads away from its edge `j` into the face; below zero when it
    /// leads out over the edge.
    fn leans_in(&self, f: u32, j: usize) -> f64 {
        let c = self.surface.corners(f).map(steps);
        cross(between(c[j], c[next(j)]), self.down(f))
    }

    /// Downhill on a face by its corner heights, as long as it is steep, per lattice step.
    fn down(&self, f: u32) -> [f64; 2] {
        let (p, z) = (self.surface.corners(f), self.surface.corner_heights(f));
        Plane::through([(p[0], z[0]), (p[1], z[1]), (p[2], z[2])]).rise.map(|rise| -rise)
    }

    fn corner_at(&self, f: u32, k: usize) -> [f64; 2] {
        steps(self.surface.corners(f)[k])
    }

    fn reach_corner(&mut self, f: u32, k: usize) -> Stand {
        self.push(self.corner_at(f, k), self.surface.corner_heights(f)[k]);
        Stand::Corner(f, k)
    }

    fn height(&self) -> f64 {
        self.points[self.points.len() - 1].z
    }

    fn push(&mut self, at_steps: [f64; 2], z: f64) {
        let at = metres(self.surface.lattice(), at_steps);
        // A height met again across an edge may differ in its last digit; the path never rises.
        let z = self.points.last().map_or(z, |last| z.min(last.z));
        if self.points.last().is_none_or(|last| last.at != at || last.z != z) {
            self.points.push(PathPoint { at, z });
        }
    }
}

/// A way down from a vertex.
#[derive(Clone, Copy, Debug)]
enum Way {
    /// Straight down a face.
    Down(u32),
    /// Along an edge of a face to a corner of it.
    Along(u32, usize, usize),
}

#[cfg(test)]
#[path = "descend_tests.rs"]
mod tests;
