//! The slow surface, followed upstream, and the fast one, followed downstream.

use crate::Station;
use crate::energy::{energy_m, force_m3};
use crate::section::critical;
use crate::solve::{first_that, root_within};

/// Friction over one part of a step stays below this share of the energy above the bed at the known
/// end, so that a thin sheet or a drawdown does not lie within one step.
const FRICTION_SHARE: f64 = 0.05;

/// How exactly the depth at the end of a part is found, as a share of it: far below what a step errs.
const CLOSE_SHARE: f64 = 1.0e-11;

/// Parts of one step, at most.
const MOST_PARTS: f64 = 64.0;

/// The slow depth at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SlowDepth {
    /// Depth, metres; the critical one where no slower water has the energy.
    pub(super) depth_m: f64,
    /// Whether slow water holds here; else the flow goes through critical.
    pub(super) holds: bool,
}

/// What friction takes for each metre.
pub(super) fn friction(at: &Station, flow_m3_s: f64, depth_m: f64) -> f64 {
    let ratio = flow_m3_s / at.roughness.conveyance_m3_s(at.section, depth_m);
    ratio * ratio
}

/// Friction between two places: the harmonic mean, which is near the lesser where one is far greater,
/// as at the brink of a drawdown.
fn mean_friction(a: f64, b: f64) -> f64 {
    2.0 * a / (1.0 + a / b)
}

/// The slow surface at all nodes, from that at the end.
pub(super) fn slow_depths(nodes: &[Station], flow_m3_s: f64, end: SlowDepth) -> Vec<SlowDepth> {
    let mut depths = vec![end; nodes.len()];
    for i in (0..nodes.len() - 1).rev() {
        depths[i] = slow_step(&nodes[i], (&nodes[i + 1], depths[i + 1].depth_m), flow_m3_s);
    }
    depths
}

/// The fast depth at each node where fast water stands.
pub(super) fn fast_depths(
    nodes: &[Station],
    flow_m3_s: f64,
    slow: &[SlowDepth],
    first_fast_m: Option<f64>,
) -> Vec<Option<f64>> {
    let mut fast: Vec<Option<f64>> = vec![None; nodes.len()];
    for (i, node) in nodes.iter().enumerate() {
        let before_m = if i > 0 { fast[i - 1] } else { None };
        let arriving = match before_m {
            Some(before_m) => fast_step((&nodes[i - 1], before_m), node, flow_m3_s),
            None if i == 0 => first_fast_m,
            None => None,
        };
        let force = |depth_m: f64| force_m3(node.section, flow_m3_s, depth_m);
        fast[i] = match arriving {
            Some(fast_m) if !slow[i].holds || force(fast_m) > force(slow[i].depth_m) => {
                Some(fast_m)
            }
            // The water goes through critical here, and is fast from here on.
            _ if !slow[i].holds => Some(slow[i].depth_m),
            _ => None,
        };
        if before_m.is_some() && arriving.is_none() && !slow[i].holds {
            back_up(&mut fast[..i], &slow[..i]);
        }
    }
    fast
}

/// Takes the fast water away above a place that it cannot pass, as far as slow water can stand.
fn back_up(fast: &mut [Option<f64>], slow: &[SlowDepth]) {
    for (fast, _) in fast.iter_mut().zip(slow).rev().take_while(|(_, slow)| slow.holds) {
        *fast = None;
    }
}

/// The slow depth at the upper of two nodes from the depth at the lower.
fn slow_step(up: &Station, (down, depth_m): (&Station, f64), flow_m3_s: f64) -> SlowDepth {
    // The bed of a step is that of its upper end.
    let down = Station { roughness: up.roughness, ..*down };
    let parts = n_parts(up, &down, flow_m3_s, depth_m);
    let (mut at, mut known) = (down, SlowDepth { depth_m, holds: true });
    for part in (0..parts).rev() {
        let next = up.part_way(down, f64::from(part) / f64::from(parts));
        known = slow_part(&next, (&at, known.depth_m), flow_m3_s);
        at = next;
    }
    known
}

fn slow_part(up: &Station, (down, depth_m): (&Station, f64), flow_m3_s: f64) -> SlowDepth {
    let run_m = down.along_m - up.along_m;
    let fall_m = up.invert_m - down.invert_m;
    let known_m = energy_m(down.section, flow_m3_s, depth_m) - fall_m;
    let known_friction = friction(down, flow_m3_s, depth_m);
    let taken_m = |y: f64| run_m * mean_friction(friction(up, flow_m3_s, y), known_friction);
    let excess = |y: f64| energy_m(up.section, flow_m3_s, y) - taken_m(y) - known_m;
    // Rises from the critical depth on: energy does, and friction falls.
    let critical_m = critical(up.section, flow_m3_s);
    if excess(critical_m) >= 0.0 {
        return SlowDepth { depth_m: critical_m, holds: false };
    }
    // A depth that is more than the energy and all friction together.
    let most_m = known_m + taken_m(critical_m);
    SlowDepth {
        depth_m: root_within(
            CLOSE_SHARE * critical_m,
            critical_m,
            most_m.max(critical_m) * 1.001,
            excess,
        ),
        holds: true,
    }
}

/// The fast depth at the lower of two nodes from that at the upper; none where the water has not the
/// energy to stay fast.
pub(super) fn fast_step(
    (up, depth_m): (&Station, f64),
    down: &Station,
    flow_m3_s: f64,
) -> Option<f64> {
    let down = Station { roughness: up.roughness, ..*down };
    let parts = n_parts(up, &down, flow_m3_s, depth_m);
    let (mut at, mut known_m) = (*up, depth_m);
    for part in 1..=parts {
        let next = up.part_way(down, f64::from(part) / f64::from(parts));
        known_m = fast_part((&at, known_m), &next, flow_m3_s)?;
        at = next;
    }
    Some(known_m)
}

fn fast_part((up, depth_m): (&Station, f64), down: &Station, flow_m3_s: f64) -> Option<f64> {
    let run_m = down.along_m - up.along_m;
    let fall_m = up.invert_m - down.invert_m;
    let known_m = energy_m(up.section, flow_m3_s, depth_m) + fall_m;
    let known_friction = friction(up, flow_m3_s, depth_m);
    let excess = |y: f64| {
        let taken_m = run_m * mean_friction(known_friction, friction(down, flow_m3_s, y));
        energy_m(down.section, flow_m3_s, y) + taken_m - known_m
    };
    // Falls towards the critical depth: energy does, and friction.
    let critical_m = critical(down.section, flow_m3_s);
    if excess(critical_m) > 0.0 {
        return None;
    }
    let thin_m = first_that(0.5 * critical_m, 0.5, 200, |y| excess(y) >= 0.0)?;
    Some(root_within(CLOSE_SHARE * thin_m, thin_m, critical_m, excess))
}

/// Parts into which a step is divided by the friction at its known end.
fn n_parts(up: &Station, down: &Station, flow_m3_s: f64, known_m: f64) -> u32 {
    let taken_m = (down.along_m - up.along_m) * friction(up, flow_m3_s, known_m);
    let there_m = FRICTION_SHARE * energy_m(up.section, flow_m3_s, known_m);
    (taken_m / there_m).ceil().clamp(1.0, MOST_PARTS) as u32
}
