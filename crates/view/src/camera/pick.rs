//! The ground under the pointer, asked of the surface itself.

use bevy::math::Ray3d;

use crate::scene::Scene;

/// Length of the strides along a ray, in metres; a ridge narrower than this may be missed.
const STRIDE_M: f64 = 0.12;

/// Farthest ground that is looked for, in metres.
const REACH_M: f64 = 400.0;

/// Where a ray of the scene first goes under the finished ground, in local metres.
pub(crate) fn ground_hit(scene: &Scene, ray: Ray3d) -> Option<[f64; 3]> {
    let from = scene.frame.local(ray.origin);
    let tip = scene.frame.local(ray.origin + ray.direction.as_vec3());
    let way: [f64; 3] = std::array::from_fn(|i| tip[i] - from[i]);
    let at = |t: f64| -> [f64; 3] { std::array::from_fn(|i| from[i] + way[i] * t) };
    let (first, last) = span(scene, from, way)?;
    let mut above = first;
    let mut t = first;
    while t <= last {
        let p = at(t);
        match scene.finished.elevation([p[0], p[1]]) {
            Some(ground) if p[2] <= ground => return Some(settle(scene, at, above, t)),
            _ => above = t,
        }
        t += STRIDE_M;
    }
    None
}

/// Where a ray of the scene meets level ground at the middle of the site's heights, in plan.
pub(crate) fn level_hit(scene: &Scene, ray: Ray3d) -> Option<[f64; 2]> {
    let from = scene.frame.local(ray.origin);
    let tip = scene.frame.local(ray.origin + ray.direction.as_vec3());
    let fall = tip[2] - from[2];
    let t = (scene.extent.centre()[2] - from[2]) / fall;
    let is_near = t.is_finite() && (0.0..=REACH_M).contains(&t);
    is_near.then(|| [0, 1].map(|i| from[i] + (tip[i] - from[i]) * t))
}

/// The part of a ray over the ground's box.
fn span(scene: &Scene, from: [f64; 3], way: [f64; 3]) -> Option<(f64, f64)> {
    let (mut first, mut last) = (0.0f64, REACH_M);
    for axis in 0..2 {
        let (low, high) = (scene.extent.low[axis], scene.extent.high[axis]);
        if way[axis].abs() < 1e-9 {
            if from[axis] < low || from[axis] > high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - from[axis]) / way[axis], (high - from[axis]) / way[axis]);
        first = first.max(a.min(b));
        last = last.min(a.max(b));
    }
    (first <= last).then_some((first, last))
}

fn settle(scene: &Scene, at: impl Fn(f64) -> [f64; 3], above: f64, below: f64) -> [f64; 3] {
    let (mut above, mut below) = (above, below);
    for _ in 0..24 {
        let middle = 0.5 * (above + below);
        let p = at(middle);
        match scene.finished.elevation([p[0], p[1]]) {
            Some(ground) if p[2] <= ground => below = middle,
            _ => above = middle,
        }
    }
    at(below)
}
