//! What is laid to be walked on: the edges of pads and paths, the treads of a flight, and stepping
//! stones.
//!
//! ```text
//!            ____________ tread, a little proud of the ground and of the riser
//!           |    ________|
//!     ______|   |  riser, an upright face of the ground
//!     tread     |
//! ```

use bevy::math::Vec3;
use design::Stone;
use design::part::Part;
use ground::Surface;
use site::WorkId;

use super::seed::Seed;
use super::shape::{Corner, Shape};
use super::steps::{Run, Step};
use super::stuff::Stuff;
use super::terrain::{Lie, corner_places};
use crate::frame::SceneFrame;

/// Width and height of the stones that hold an edge, in metres.
const EDGE_M: [f32; 2] = [0.09, 0.02];

/// Longest of those stones, in metres.
const STONE_M: f32 = 0.42;

/// How far a tread's slab stands over its riser, above its ground and down from its top, in metres.
const NOSE_M: f32 = 0.025;
const PROUD_M: f32 = 0.022;
const SLAB_M: f32 = 0.065;

/// Depth of the slab at the head of a flight, where no riser follows, in metres.
const LANDING_M: f64 = 0.36;

/// Treads whose levels differ by less follow each other, in metres.
const SAME_LEVEL_M: f64 = 0.04;

/// No tread is deeper, in metres: what lies farther apart is another flight.
const DEEPEST_M: f64 = 1.2;

/// Sides of a stepping stone.
const N_SIDES: usize = 14;

/// Sets stones along the border of a work's own part, where no other work adjoins it.
pub(crate) fn edge(shape: &mut Shape, surface: &Surface, work: WorkId, frame: SceneFrame) {
    let is_laid = |part: u32| matches!(Part::of(part), Part::Pad | Part::Path);
    for (idx, face) in surface.faces().iter().enumerate() {
        if face.tag.owner != work.0 || !is_laid(face.tag.part) {
            continue;
        }
        let places = corner_places(surface, idx as u32);
        for side in 0..3 {
            let Some(across) = surface.faces().get(face.neighbours[side] as usize) else {
                continue;
            };
            let is_own = across.tag.owner == work.0;
            if (is_own && !is_laid(across.tag.part)) || across.tag.owner == 0 {
                let ends = [places[side], places[(side + 1) % 3]].map(|at| frame.scene(at));
                kerbs(shape, ends);
            }
        }
    }
}

/// The risers of a work's flights, as steps of the ground.
pub(crate) fn is_riser(step: &Step, work: WorkId) -> bool {
    [step.upper, step.lower]
        .iter()
        .all(|tag| tag.owner == work.0 && Part::of(tag.part) == Part::Path)
}

/// Lays a slab on the tread behind each riser.
pub(crate) fn treads(shape: &mut Shape, risers: &[Run], frame: SceneFrame) {
    let risers: Vec<Riser> = risers.iter().map(Riser::of).collect();
    for riser in &risers {
        let next = risers
            .iter()
            .filter(|next| (next.low - riser.high).abs() < SAME_LEVEL_M)
            .map(|next| (riser.ahead_m(next), next))
            .filter(|(ahead, _)| (0.05..DEEPEST_M).contains(ahead))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let back = match next {
            Some((_, next)) => next.ends,
            None => riser.ends.map(|[x, y, z]| {
                [x + riser.inward[0] * LANDING_M, y + riser.inward[1] * LANDING_M, z]
            }),
        };
        slab(shape, riser, back, frame);
    }
}

/// Lays stepping stones, each on a pier that reaches down to the ground.
pub(crate) fn stepping_stones(shape: &mut Shape, stones: &[Stone], lie: &Lie, frame: SceneFrame) {
    for (number, stone) in stones.iter().enumerate() {
        let mut seed = Seed::of_cell(stone.at_m.map(|c| (c * 100.0) as i32), 0x57E9);
        let tint = Vec3::splat(seed.between(1.02, 1.24));
        let ground = lie.elevation(stone.at_m).unwrap_or(stone.top_m - 0.2);
        let middle = frame.scene([stone.at_m[0], stone.at_m[1], stone.top_m]);
        let foot = (stone.top_m - ground + 0.05).max(0.12) as f32;
        let radius = stone.radius_m as f32;
        let round: Vec<Vec3> = (0..N_SIDES)
            .map(|k| {
                let angle = std::f32::consts::TAU * k as f32 / N_SIDES as f32;
                // Never wider than the design has it: the gap is what is stepped over.
                let reach = radius * seed.between(0.90, 1.0);
                Vec3::new(angle.cos(), 0.0, -angle.sin()) * reach
            })
            .collect();
        let ring = |scale: f32, down: f32| -> Vec<Vec3> {
            round.iter().map(|way| middle + *way * scale - Vec3::Y * down).collect()
        };
        let rings = [
            ring(0.93, 0.0),
            ring(1.0, 0.025),
            ring(0.97, 0.11),
            ring(0.60, 0.115),
            ring(0.66, foot.max(0.13)),
        ];
        cap(shape, middle, &rings[0], tint);
        for pair in rings.windows(2) {
            skirt(shape, &pair[0], &pair[1], tint * (0.96 - 0.02 * (number % 3) as f32));
        }
    }
}

/// The upper edge of one riser.
struct Riser {
    /// Its ends, local metres, the tread that it leads up to on the left.
    ends: [[f64; 3]; 2],
    /// The level way onto that tread.
    inward: [f64; 2],
    high: f64,
    low: f64,
}

impl Riser {
    fn of(run: &Run) -> Self {
        let (first, last) = (&run[0], &run[run.len() - 1]);
        let (a, b) = (first.ends[0], last.ends[1]);
        let (east, north) = (b[0] - a[0], b[1] - a[1]);
        let length = libm::hypot(east, north).max(1e-9);
        Self {
            ends: [[a[0], a[1], first.high[0]], [b[0], b[1], last.high[1]]],
            inward: [-north / length, east / length],
            high: 0.5 * (first.high[0] + last.high[1]),
            low: 0.5 * (first.low[0] + last.low[1]),
        }
    }

    fn middle(&self) -> [f64; 2] {
        [0, 1].map(|i| 0.5 * (self.ends[0][i] + self.ends[1][i]))
    }

    /// How far another riser's middle lies onto the tread.
    fn ahead_m(&self, other: &Self) -> f64 {
        let (own, theirs) = (self.middle(), other.middle());
        (theirs[0] - own[0]) * self.inward[0] + (theirs[1] - own[1]) * self.inward[1]
    }
}

fn slab(shape: &mut Shape, riser: &Riser, back: [[f64; 3]; 2], frame: SceneFrame) {
    let mut seed = Seed::of_cell([0, 1].map(|i| (riser.ends[0][i] * 50.0) as i32), 0x7EAD);
    let tint = Vec3::splat(seed.between(1.10, 1.26));
    let [a, b] = riser.ends.map(|at| frame.scene(at));
    let [c, d] = [back[1], back[0]].map(|[x, y, _]| {
        frame.scene([x, y, riser.high]) // a tread is level along the path
    });
    let inward = Vec3::new(riser.inward[0] as f32, 0.0, -riser.inward[1] as f32);
    let side = (b - a).normalize_or(Vec3::X) * NOSE_M;
    let up = Vec3::Y * PROUD_M;
    let c = Vec3::new(c.x, b.y, c.z);
    let d = Vec3::new(d.x, a.y, d.z);
    let top = [
        a - inward * NOSE_M - side + up,
        b - inward * NOSE_M + side + up,
        c + side + up,
        d - side + up,
    ];
    let foot = top.map(|at| at - Vec3::Y * SLAB_M);
    facing(shape, top, tint);
    for k in 0..4 {
        let next = (k + 1) % 4;
        facing(shape, [foot[k], foot[next], top[next], top[k]], tint * 0.92);
    }
}

/// Low stones along one edge, each with a tint of its own.
fn kerbs(shape: &mut Shape, [a, b]: [Vec3; 2]) {
    let n = (a.distance(b) / STONE_M).ceil().max(1.0) as i32;
    for k in 0..n {
        let ends = [k, k + 1].map(|end| a.lerp(b, end as f32 / n as f32));
        let place = [ends[0].x, ends[0].z].map(|c| (c * 100.0) as i32);
        let tint = Vec3::splat(Seed::of_cell(place, 0x6E8B).between(0.80, 1.06));
        kerb(shape, ends, tint);
    }
}

/// A low stone along one edge, the laid ground on the left of its way.
fn kerb(shape: &mut Shape, [a, b]: [Vec3; 2], tint: Vec3) {
    let [width, height] = EDGE_M;
    let along = (b - a).normalize_or(Vec3::X);
    let left = Vec3::new(along.z, 0.0, -along.x).normalize_or(Vec3::Z) * width;
    let up = Vec3::Y * height;
    let down = Vec3::Y * 0.12;
    facing(shape, [a + up, b + up, b + left + up, a + left + up], tint);
    facing(shape, [a - down, b - down, b + up, a + up], tint * 0.9);
    facing(shape, [b + left, a + left, a + left + up, b + left + up], tint * 0.9);
}

/// A flat stone face, counter-clockwise seen from outside.
fn facing(shape: &mut Shape, at: [Vec3; 4], tint: Vec3) {
    let normal = (at[1] - at[0]).cross(at[3] - at[0]).normalize_or(Vec3::Y);
    let names = at.map(|at| shape.corner(Corner::new(at, normal, Stuff::Stone).tinted(tint)));
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}

fn cap(shape: &mut Shape, middle: Vec3, rim: &[Vec3], tint: Vec3) {
    let corner = |at| Corner::new(at, Vec3::Y, Stuff::Stone).tinted(tint);
    let centre = shape.corner(corner(middle));
    let names: Vec<u32> = rim.iter().map(|at| shape.corner(corner(*at))).collect();
    for k in 0..names.len() {
        shape.triangle([centre, names[k], names[(k + 1) % names.len()]]);
    }
}

fn skirt(shape: &mut Shape, upper: &[Vec3], lower: &[Vec3], tint: Vec3) {
    let n = upper.len();
    for k in 0..n {
        let next = (k + 1) % n;
        facing(shape, [lower[k], lower[next], upper[next], upper[k]], tint);
    }
}

#[cfg(test)]
mod tests {
    use ground::Tag;

    use super::*;

    fn riser(at_m: f64, low: f64) -> Run {
        let tag = Tag { owner: 7, part: Part::Path as u32 };
        // Upper ground on the left: the path climbs north, a riser runs from east to west.
        vec![Step::between([[0.0, at_m], [1.0, at_m]], [low + 0.15, low], tag)]
    }

    #[test]
    fn a_slab_reaches_to_the_next_riser_and_the_last_one_to_a_landing() {
        let mut shape = Shape::default();
        let frame = SceneFrame::default();
        treads(&mut shape, &[riser(0.0, 1.0), riser(0.4, 1.15)], frame);
        // A top and four sides for each.
        assert_eq!(shape.n_triangles(), 2 * 5 * 2);
        let (low, high) = shape.span();
        assert!((low.z + 0.4 + LANDING_M as f32).abs() < 1e-5, "{low}");
        assert!((high.z - NOSE_M).abs() < 1e-5, "{high}");
        assert!((high.y - (1.30 + PROUD_M)).abs() < 1e-5, "{high}");
    }
}
