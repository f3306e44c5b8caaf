//! The water's surface along a reach: slow water held back by what stands below, fast water ruled by
//! what comes from above, and the jump between.
//!
//! ```text
//!  foot of a fall      jump        pool            drawdown
//!   \                 .~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~--._
//!    \_______________/                                   \   crest
//!   ========================================================|
//! ```
//!
//! How: the slow surface is followed up from the outlet, by energy and friction from step to step;
//! where no slow depth has the energy, the flow is critical. The fast surface is followed down from
//! the inlet and from every such place. Where both exist, the one with more force stands, and the
//! water jumps where they change places. Fast water that has not the energy to pass a place, a bed
//! that narrows or rises, backs up from there.

mod branch;

use crate::energy::{Regime, depth_of_energy, force_m3, jump, running_at};
use crate::range::{elevation, flow, positive};
use crate::reach::volume_m3;
use crate::section::critical;
use crate::{Crest, HydraulicJump, OutOfRange, Reach, ReachError, Station, Trust};
use branch::{SlowDepth, fast_depths, fast_step, slow_depths};

/// Step for a garden's stream, metres: a crest's drawdown is some of these long.
pub const COMMON_STEP_M: f64 = 0.05;

/// Beds steeper than this, fall for each metre, are steeper than the reckoning of a gentle bed holds.
///
/// # Source
/// Chow 1959, ch. 9: depth and pressure on slopes below 1 in 10.
pub const GENTLE_BED: f64 = 0.1;

/// How the water comes to the head of a reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inlet {
    /// From still or slow water.
    Quiet,
    /// From a fall or chute, at a velocity in metres per second; it spreads over the bed.
    Shooting(f64),
}

/// What the water comes to at the end of a reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlet<'a> {
    /// Standing water of a level, metres.
    Level(f64),
    /// A drop with nothing below.
    Free,
    /// A crest, with water below it if any stands there, metres.
    Crest(&'a Crest, Option<f64>),
}

/// Both ends of a reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends<'a> {
    /// How the water comes.
    pub inlet: Inlet,
    /// What it comes to.
    pub outlet: Outlet<'a>,
}

/// The water at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Distance along the stream, metres.
    pub along_m: f64,
    /// Elevation of the bed, metres.
    pub invert_m: f64,
    /// Depth, metres.
    pub depth_m: f64,
    /// Elevation of the surface, metres.
    pub level_m: f64,
    /// Mean velocity, metres per second.
    pub velocity_m_s: f64,
    /// Froude number: below 1 slow, above 1 fast.
    pub froude: f64,
    /// Elevation of the energy line, metres.
    pub energy_m: f64,
    /// Area of the water over its wetted perimeter, metres.
    pub hydraulic_radius_m: f64,
    /// What friction takes for each metre along the bed.
    pub friction_slope: f64,
    /// Slow or fast.
    pub regime: Regime,
    /// Height of the liner's edge above the surface, metres, left and right; below zero it overtops.
    pub edge_above_water_m: [f64; 2],
    /// An estimate where the bed's roughness or its slope is beyond what was measured.
    pub trust: Trust,
}

/// A jump within a reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JumpAt {
    /// Distance along the stream, metres.
    pub along_m: f64,
    /// Its depths, loss and length.
    pub jump: HydraulicJump,
}

/// What becomes of water that shoots into the head of a reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Foot {
    /// The water came quietly.
    Quiet,
    /// It runs on fast.
    Free,
    /// The water below stands over it: it plunges, and boils at the foot.
    Drowned,
}

/// The water's surface along a reach.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Places from head to end; two at one distance where the water jumps.
    pub points: Vec<Point>,
    /// Jumps, from head to end. One weaker than a ripple is left out.
    pub jumps: Vec<JumpAt>,
    /// What becomes of water that shoots in at the head.
    pub foot: Foot,
    /// Water in the reach, cubic metres.
    pub volume_m3: f64,
}

/// Why a reach has no profile.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The reach cannot be divided into steps.
    #[error(transparent)]
    Reach(#[from] ReachError),
}

impl Profile {
    /// Elevation of the surface at the head, metres.
    pub fn head_level_m(&self) -> f64 {
        self.points[0].level_m
    }

    /// Elevation of the energy line at the head, metres: the level at which still water before the
    /// reach would stand.
    pub fn head_energy_m(&self) -> f64 {
        self.points[0].energy_m
    }

    /// The place where a liner's edge stands least above the water.
    pub fn least_edge(&self) -> Point {
        let edge = |p: &Point| p.edge_above_water_m[0].min(p.edge_above_water_m[1]);
        let lower = |a: Point, &b: &Point| if edge(&b) < edge(&a) { b } else { a };
        self.points.iter().fold(self.points[0], lower)
    }
}

/// The water's surface along a reach at a steady flow.
///
/// `step_m` is the longest step; the surface found comes nearer to the true one as it shrinks, with
/// its square where the water neither jumps nor is critical. [`COMMON_STEP_M`] suits a garden. The
/// depth is vertical and the bed taken as gentle; on one steeper than [`GENTLE_BED`] the points are
/// marked as estimates. What a bed that widens or narrows takes beyond jumps and friction is left out.
/// Sides go up as far as the water does: what stands above an edge is told by `edge_above_water_m`,
/// not spilt.
///
/// # Errors
/// [`ProfileError`] for a flow that is not above zero, a level or velocity out of range, or more
/// steps than are reckoned.
///
/// # Source
/// Standard step method, with the harmonic mean of the friction at both ends; Chow 1959, ch. 10. Place of
/// the jump by specific force: Chow 1959, ch. 15.
pub fn profile(
    reach: &Reach,
    flow_m3_s: f64,
    ends: Ends<'_>,
    step_m: f64,
) -> Result<Profile, ProfileError> {
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let nodes = reach.stepped(step_m)?;
    let first_fast_m = match ends.inlet {
        Inlet::Quiet => None,
        Inlet::Shooting(velocity_m_s) => {
            let velocity_m_s = positive("the velocity of incoming water, m/s,", velocity_m_s)?;
            let section = nodes[0].section;
            let depth_m = section.depth_of_area_m(flow_m3_s / velocity_m_s);
            Some(depth_m).filter(|&depth_m| depth_m < critical(section, flow_m3_s))
        }
    };
    let end_slow = outlet_depth(&nodes[nodes.len() - 1], flow_m3_s, ends.outlet)?;
    let slow = slow_depths(&nodes, flow_m3_s, end_slow);
    let fast = fast_depths(&nodes, flow_m3_s, &slow, first_fast_m);
    let foot = match (first_fast_m, fast[0]) {
        (None, _) => Foot::Quiet,
        (Some(_), Some(_)) => Foot::Free,
        (Some(_), None) => Foot::Drowned,
    };
    Ok(joined(&nodes, flow_m3_s, (&slow, &fast), foot))
}

/// The slow depth that the outlet holds at the end of a reach.
fn outlet_depth(
    end: &Station,
    flow_m3_s: f64,
    outlet: Outlet<'_>,
) -> Result<SlowDepth, OutOfRange> {
    let critical_m = critical(end.section, flow_m3_s);
    let held = match outlet {
        Outlet::Free => None,
        Outlet::Level(level_m) => {
            Some(elevation("the level of water, m,", level_m)? - end.invert_m)
        }
        Outlet::Crest(crest, below_m) => {
            let energy_m = crest.level_for_m(flow_m3_s, below_m)? - end.invert_m;
            depth_of_energy(end.section, flow_m3_s, energy_m, Regime::Slow)
        }
    };
    let holds = held.filter(|&depth_m| depth_m > critical_m);
    Ok(SlowDepth { depth_m: holds.unwrap_or(critical_m), holds: holds.is_some() })
}

/// Both surfaces made into one: the fast depth where there is one, else the slow.
fn joined(
    nodes: &[Station],
    flow_m3_s: f64,
    (slow, fast): (&[SlowDepth], &[Option<f64>]),
    foot: Foot,
) -> Profile {
    let mut points = Vec::with_capacity(nodes.len());
    let mut jumps = Vec::new();
    let mut areas_m2 = Vec::with_capacity(nodes.len());
    for (i, node) in nodes.iter().enumerate() {
        let jumps_here = i > 0 && fast[i].is_none();
        if let Some(before_m) = fast[i.saturating_sub(1)].filter(|_| jumps_here) {
            let pair = [(&nodes[i - 1], slow[i - 1].depth_m), (node, slow[i].depth_m)];
            if let Some((at, jump)) = jump_between(pair, flow_m3_s, before_m) {
                let bed_slope = bed_slope_at(nodes, i - 1);
                points.push(point(&at, bed_slope, flow_m3_s, jump.before_m));
                points.push(point(&at, bed_slope, flow_m3_s, jump.after_m));
                jumps.push(JumpAt { along_m: at.along_m, jump });
            }
        }
        let depth_m = fast[i].unwrap_or(slow[i].depth_m);
        areas_m2.push(node.section.area_m2(depth_m));
        points.push(point(node, bed_slope_at(nodes, i), flow_m3_s, depth_m));
    }
    Profile { points, jumps, foot, volume_m3: volume_m3(nodes, &areas_m2) }
}

/// Where the fast water that is `before_m` deep at the first of two places jumps, and how.
fn jump_between(
    [(up, slow_up_m), (down, slow_down_m)]: [(&Station, f64); 2],
    flow_m3_s: f64,
    before_m: f64,
) -> Option<(Station, HydraulicJump)> {
    let excess = |at: &Station, fast_m: f64, slow_m: f64| {
        force_m3(at.section, flow_m3_s, fast_m) - force_m3(at.section, flow_m3_s, slow_m)
    };
    let at_up = excess(up, before_m, slow_up_m).max(0.0);
    // Fast water that cannot come as far as the lower place is taken to stay as thin as it is.
    let fast_down_m = fast_step((up, before_m), down, flow_m3_s).unwrap_or(before_m);
    let at_down = excess(down, fast_down_m, slow_down_m);
    let share = if at_down < 0.0 { at_up / (at_up - at_down) } else { 1.0 };
    let fast_m = before_m + share * (fast_down_m - before_m);
    let at = up.part_way(*down, share);
    let jump = jump(at.section, flow_m3_s, fast_m).ok()?;
    (jump.froude_before > 1.0 + 1.0e-3).then_some((at, jump))
}

/// The fall of the bed from a node to the next, or to it from the one before at the end.
fn bed_slope_at(nodes: &[Station], i: usize) -> f64 {
    let i = i.min(nodes.len() - 2);
    (nodes[i].invert_m - nodes[i + 1].invert_m) / (nodes[i + 1].along_m - nodes[i].along_m)
}

fn point(at: &Station, bed_slope: f64, flow_m3_s: f64, depth_m: f64) -> Point {
    let running = running_at(at.section, flow_m3_s, depth_m);
    let hydraulic_radius_m = at.section.hydraulic_radius_m(depth_m);
    let level_m = at.invert_m + depth_m;
    let gentle = Trust::when(bed_slope.abs() <= GENTLE_BED);
    Point {
        along_m: at.along_m,
        invert_m: at.invert_m,
        depth_m,
        level_m,
        velocity_m_s: running.velocity_m_s,
        froude: running.froude,
        energy_m: at.invert_m + running.energy_m,
        hydraulic_radius_m,
        friction_slope: branch::friction(at, flow_m3_s, depth_m),
        regime: running.regime,
        edge_above_water_m: at.edges_m.map(|edge_m| edge_m - level_m),
        trust: at.roughness.trust(hydraulic_radius_m).and(gentle),
    }
}

#[cfg(test)]
mod tests;
