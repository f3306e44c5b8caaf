//! Water: still sheets with their depth, running ones, and the curtains of falls.

use bevy::math::Vec3;
use design::WaterBody;
use design::part::Part;
use site::{Site, WorkId, WorkKind};

use super::shape::{Corner, Shape};
use super::steps::{Run, Step};
use super::terrain::{Lie, split};
use crate::frame::SceneFrame;

/// Longest edge of a sheet, in metres, so that depth is carried finely enough.
const EDGE_M: f64 = 0.30;

/// Depth at which water over a filter's gravel is drawn, in metres.
const OVER_GRAVEL_M: f32 = 0.05;

/// Still water of a thin even depth.
pub(crate) fn over_gravel(triangles: &[[[f64; 3]; 3]], frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for triangle in triangles {
        shape.facet(triangle.map(|at| Corner::wet(frame.scene(at), Vec3::Y, OVER_GRAVEL_M, 0.0)));
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

/// The sheet of one body of water.
pub(crate) fn sheet(body: &WaterBody, finished: &Lie, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for triangle in &body.sheet {
        let flow = flow_of(triangle);
        let steep = (flow.length() - 0.25).clamp(0.0, 0.75) / 0.75;
        split(*triangle, EDGE_M, &mut |piece| {
            shape.facet(piece.map(|at| {
                let ground = finished.elevation([at[0], at[1]]).unwrap_or(at[2]);
                let depth = (at[2] - ground) as f32;
                Corner::wet(frame.scene(at), Vec3::Y, depth, steep).tinted(flow_tint(flow))
            }));
        });
    }
    shape
}

/// The curtains of the falls of one stream.
pub(crate) fn curtains(
    runs: &[Run],
    site: &Site,
    stream: WorkId,
    waters: &[WaterBody],
    frame: SceneFrame,
) -> Shape {
    let depth = match site.work(stream).map(|work| &work.kind) {
        Some(WorkKind::Stream(stream)) => stream.water_depth_m,
        _ => 0.03,
    };
    let mut shape = Shape::default();
    for step in runs.iter().flatten() {
        let level = |owner: u32, ground: f64| {
            let pond = waters.iter().find(|w| w.work.0 == owner && !w.stages.is_empty());
            pond.map_or(ground + depth, |pond| pond.level_m.max(ground))
        };
        let foot = step.low.map(|ground| level(step.lower.owner, ground));
        let head = step.high.map(|ground| ground + depth);
        if head[0] - foot[0] > 0.03 || head[1] - foot[1] > 0.03 {
            curtain(&mut shape, step, head, foot, frame);
        }
    }
    shape
}

/// Whether a step is a fall of this stream.
pub(crate) fn is_fall(step: &Step, stream: WorkId) -> bool {
    step.upper.owner == stream.0 && Part::of(step.upper.part) == Part::Bed
}

/// A sheet that bends over the crest, is thrown out and whitens toward its foot.
fn curtain(shape: &mut Shape, step: &Step, head: [f64; 2], foot: [f64; 2], frame: SceneFrame) {
    const N: usize = 9;
    let out = step.outward();
    let mut rows: Vec<[u32; 2]> = Vec::with_capacity(N + 3);
    let mut row = |shape: &mut Shape, reach: f32, z: [f64; 2], depth: f32, falling: f32| {
        let names = [0, 1].map(|end| {
            let [x, y] = step.ends[end];
            let at = frame.scene([x, y, z[end]]) + out * reach;
            let normal = (out + Vec3::Y * 0.4).normalize();
            let flow = out * 0.8;
            shape.corner(
                Corner::wet(at, normal, depth, falling)
                    .tinted(flow_tint(Vec3::new(flow.x, 0.0, flow.z))),
            )
        });
        rows.push(names);
    };
    row(shape, -0.22, head.map(|z| z + 0.002), 0.04, 0.0);
    row(shape, -0.05, head, 0.04, 0.30);
    let mean_drop = 0.5 * (head[0] - foot[0] + head[1] - foot[1]);
    // A slow sheet leaves the crest at about half a metre a second.
    let throw = (0.5 * libm::sqrt(2.0 * mean_drop.max(0.0) / 9.81)) as f32;
    for k in 0..=N {
        let t = k as f64 / N as f64;
        let z = [0, 1].map(|end| head[end] + (foot[end] - head[end]) * t * t);
        row(shape, 0.07 + throw * t as f32, z, 0.05, 0.55 + 0.45 * t as f32);
    }
    // Where it lands the water stays white for a hand's breadth or two.
    row(shape, 0.07 + throw + 0.16, foot.map(|z| z + 0.006), 0.10, 0.85);
    row(shape, 0.07 + throw + 0.45, foot.map(|z| z + 0.003), 0.20, 0.0);
    for pair in rows.windows(2) {
        let [[a, b], [c, d]] = [pair[0], pair[1]];
        shape.triangle([a, b, d]);
        shape.triangle([a, d, c]);
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

fn flow_tint(flow: Vec3) -> Vec3 {
    let speed = flow.length();
    if speed < 1e-5 {
        return Vec3::splat(0.5);
    }
    // Running water moves visibly even where its bed is almost level.
    let shown = flow / speed * (0.25 + speed * 2.0).min(0.95);
    Vec3::new(shown.x * 0.5 + 0.5, shown.z * 0.5 + 0.5, 0.0)
}
