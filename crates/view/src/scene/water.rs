//! Water: still sheets with their depth, running ones, and the curtains of falls.

use bevy::math::Vec3;
use design::part::Part;
use design::{CrestOutcome, CrestPlace, WaterBody};
use site::WorkId;

use super::running::{Row, tint_of};
use super::shape::{Corner, Shape};
use super::steps::{Run, Step};
use super::terrain::{Lie, split};
use crate::frame::SceneFrame;

/// Longest edge of a sheet, in metres, so that depth is carried finely enough.
const EDGE_M: f64 = 0.30;

/// Depth at which water over a filter's gravel is drawn, in metres.
const OVER_GRAVEL_M: f32 = 0.05;

/// Running water nearer than this to a fall is its foot, metres.
const NEAR_M: f64 = 0.8;

/// Water thinner than this over a stone leaves it dry, metres.
const DRY_M: f64 = 0.001;

/// Still water of a thin even depth, at a level where one is known.
pub(crate) fn over_gravel(
    triangles: &[[[f64; 3]; 3]],
    level_m: Option<f64>,
    frame: SceneFrame,
) -> Shape {
    let mut shape = Shape::default();
    for triangle in triangles {
        shape.facet(triangle.map(|[x, y, z]| {
            let at = frame.scene([x, y, level_m.unwrap_or(z)]);
            Corner::wet(at, Vec3::Y, OVER_GRAVEL_M, 0.0)
        }));
    }
    shape
}

/// Still water over open ground, as deep as the ground lies below it.
pub(crate) fn over_ground(triangles: &[[[f64; 3]; 3]], ground: &Lie, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for triangle in triangles {
        split(*triangle, EDGE_M, &mut |piece| {
            shape.facet(piece.map(|at| {
                let z = ground.elevation([at[0], at[1]]).unwrap_or(at[2]);
                Corner::wet(frame.scene(at), Vec3::Y, (at[2] - z) as f32, 0.0)
            }));
        });
    }
    shape
}

/// The sheet of one body of water, at its drawn level or at the one to which it comes.
pub(crate) fn sheet(
    body: &WaterBody,
    level_m: Option<f64>,
    finished: &Lie,
    frame: SceneFrame,
) -> Shape {
    let mut shape = Shape::default();
    for triangle in &body.sheet {
        let flow = flow_of(triangle);
        let steep = (flow.length() - 0.25).clamp(0.0, 0.75) / 0.75;
        split(*triangle, EDGE_M, &mut |piece| {
            shape.facet(piece.map(|[x, y, z]| {
                let ground = finished.elevation([x, y]).unwrap_or(z);
                let z = level_m.unwrap_or(z);
                let at = frame.scene([x, y, z]);
                Corner::wet(at, Vec3::Y, (z - ground) as f32, steep).tinted(flow_tint(flow))
            }));
        });
    }
    shape
}

/// A fall of which nothing is reckoned is drawn so far out, metres.
const DRAWN_THROW_M: f64 = 0.15;

/// What is known of the water at a stream's falls.
pub(crate) struct Falling<'a> {
    /// The stream.
    pub stream: WorkId,
    /// Depth at which its water is drawn where nothing is reckoned, metres.
    pub drawn_m: f64,
    /// Its falls, where they are reckoned.
    pub crests: &'a [CrestOutcome],
    /// Its running water, cut at the falls.
    pub pieces: &'a [Vec<Row>],
    /// The waters into which it falls, with the levels at which they stand.
    pub waters: &'a [(WorkId, f64)],
}

/// The curtains of the falls of one stream.
pub(crate) fn curtains(runs: &[Run], falling: &Falling<'_>, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for step in runs.iter().flatten() {
        if let Some(curtain) = falling.at(step) {
            curtain.hang(&mut shape, step, frame);
        }
    }
    shape
}

impl Falling<'_> {
    /// The water that falls at a step; none where its stone stands dry or nothing falls.
    fn at(&self, step: &Step) -> Option<Curtain> {
        let middle = [0, 1].map(|i| 0.5 * (step.ends[0][i] + step.ends[1][i]));
        let off = |at: [f64; 2]| libm::hypot(at[0] - middle[0], at[1] - middle[1]);
        let crest = self.crests.iter().filter(|c| matches!(c.crest, CrestPlace::Fall(..)));
        let crest = crest
            .min_by(|a, b| off([a.at_m[0], a.at_m[1]]).total_cmp(&off([b.at_m[0], b.at_m[1]])));
        let below = self.pieces.iter().skip(1).filter_map(|piece| piece.first());
        let below = below.min_by(|a, b| off(a.at_m).total_cmp(&off(b.at_m)));
        let below_m = below.filter(|row| off(row.at_m) < NEAR_M).map(|row| row.level_m[0]);
        let pond = self.waters.iter().find(|(work, _)| work.0 == step.lower.owner);
        let foot = step.low.map(|ground| {
            let level = pond.map(|(_, level)| *level).or(below_m);
            level.unwrap_or(ground + self.drawn_m).max(ground)
        });
        let (head, throw_m) = match crest {
            Some(crest) => {
                let head_m = crest.at_m[2] + crest.brink_m;
                let throw_m = crest.throw_m.unwrap_or(0.0);
                (step.high.map(|ground| ground.max(head_m)), throw_m)
            }
            None => (step.high.map(|ground| ground + self.drawn_m), DRAWN_THROW_M),
        };
        let thick = [0, 1].map(|end| head[end] - step.high[end]);
        let is_wet = thick[0].max(thick[1]) > DRY_M;
        let falls = head[0] - foot[0] > 0.03 || head[1] - foot[1] > 0.03;
        (is_wet && falls).then_some(Curtain { head, foot, thick, throw_m: throw_m as f32 })
    }
}

/// Whether a step is a fall of this stream.
pub(crate) fn is_fall(step: &Step, stream: WorkId) -> bool {
    step.upper.owner == stream.0 && Part::of(step.upper.part) == Part::Bed
}

/// A sheet that bends over the crest, is thrown out and whitens toward its foot.
struct Curtain {
    /// Its level at the step's ends where it leaves, metres.
    head: [f64; 2],
    /// Its level where it lands, metres.
    foot: [f64; 2],
    /// How thick it leaves, metres.
    thick: [f64; 2],
    /// How far it is thrown, metres.
    throw_m: f32,
}

impl Curtain {
    fn hang(&self, shape: &mut Shape, step: &Step, frame: SceneFrame) {
        const N: usize = 9;
        let (head, foot) = (self.head, self.foot);
        let out = step.outward();
        let mut rows: Vec<[u32; 2]> = Vec::with_capacity(N + 4);
        let mut row = |shape: &mut Shape, reach: f32, z: [f64; 2], falling: f32| {
            let names = [0, 1].map(|end| {
                let [x, y] = step.ends[end];
                let at = frame.scene([x, y, z[end]]) + out * reach;
                let normal = (out + Vec3::Y * 0.4).normalize();
                let thick = (self.thick[end] as f32).max(0.0);
                shape.corner(Corner::wet(at, normal, thick, falling).tinted(tint_of(out * 0.8)))
            });
            rows.push(names);
        };
        row(shape, -0.20, head.map(|z| z + 0.002), 0.0);
        row(shape, -0.05, head, 0.30);
        for k in 0..=N {
            let t = k as f64 / N as f64;
            let z = [0, 1].map(|end| head[end] + (foot[end] - head[end]) * t * t);
            row(shape, 0.05 + self.throw_m * t as f32, z, 0.55 + 0.45 * t as f32);
        }
        // Where it lands the water stays white: the farther, the more of it lands.
        let far = 0.20 + (self.thick[0].max(self.thick[1]) as f32 * 12.0).min(0.5);
        row(shape, 0.05 + self.throw_m + 0.5 * far, foot.map(|z| z + 0.006), 0.85);
        row(shape, 0.05 + self.throw_m + far + 0.15, foot.map(|z| z + 0.003), 0.0);
        for pair in rows.windows(2) {
            let [[a, b], [c, d]] = [pair[0], pair[1]];
            shape.triangle([a, b, d]);
            shape.triangle([a, d, c]);
        }
    }
}

/// The way down of a triangle in the scene's plan, as long as its grade.
fn flow_of(triangle: &[[f64; 3]; 3]) -> Vec3 {
    // Subtract in double precision first, so that a far origin leaves no noise.
    let side = |p: usize| {
        Vec3::from_array(std::array::from_fn(|i| (triangle[p][i] - triangle[0][i]) as f32))
    };
    let up = side(1).cross(side(2));
    if up.z.abs() < 1e-9 {
        return Vec3::ZERO;
    }
    Vec3::new(up.x / up.z, 0.0, -up.y / up.z)
}

/// Running water of which nothing is reckoned moves visibly even where its bed is almost level.
fn flow_tint(flow: Vec3) -> Vec3 {
    let grade = flow.length();
    if grade < 1e-5 {
        return tint_of(Vec3::ZERO);
    }
    tint_of(flow / grade * (0.25 + grade * 2.0).min(0.95))
}
