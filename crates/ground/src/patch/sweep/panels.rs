//! Rays, panels and facets along a walk.
//!
//! ```text
//!              ray        ray           A ray holds the profile's points in one direction from a
//!               \    f    /             stop. Between the two rays of a joint stand facets f; the
//!      panel     \   |   /    panel     panels on both sides reach from ray to ray. Each is
//!                 \  |  /               cut by the profile's points into planar pieces.
//!    ---- stop ----- stop ---- stop --
//! ```

use super::walk::{Walk, Way};
use super::{Profile, Sweep, SweepError};
use crate::curve::{Closure, lerp};
use crate::patch::weld::{Tile, is_proper};
use crate::{LatticePoint, Plane, Tag};

/// A panel or a facet: tiles over the profile's pieces between two rays.
#[derive(Clone, Debug)]
pub(super) struct Element {
    pub(super) tiles: Vec<Tile>,
    /// What the tiles' plane indices count from zero in.
    pub(super) planes: Vec<Plane>,
    /// Its outline on the lattice, counter-clockwise.
    pub(super) outline: Vec<LatticePoint>,
    /// Whether it shares its first ray with the element before it.
    pub(super) joins_last: bool,
}

/// A point of a ray: its place in metres, unrounded and on the lattice, and its height.
#[derive(Clone, Copy, Debug)]
struct RayPoint {
    plan: [f64; 2],
    at: LatticePoint,
    z: f64,
}

type Ray = Vec<RayPoint>;

/// How two panels meet at a stop where they close up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Closing {
    /// In the ray between them.
    Mitre,
    /// Not: each ends square and they overlap.
    Cut,
}

/// How a joint begins or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Bound {
    /// With a panel that falls this way.
    Panel(f64),
    /// With a ray of its own in this direction.
    Free(f64),
    /// Not at all: the stop is governed by another.
    Absent,
}

/// The rays of a joint, from the panel that arrives to the one that leaves.
#[derive(Clone, Debug, Default)]
struct Joint {
    /// Where the panel that arrives ends.
    arriving: Ray,
    /// Rays of the facets, consecutive ones a facet apart; empty without facets.
    fan: Vec<Ray>,
    /// Where the panel that leaves begins.
    leaving: Ray,
    /// Whether arriving and leaving panels are joined through the fan or in one ray.
    is_joined: bool,
}

/// Turns below this leave nothing between two rays on any lattice.
const STRAIGHT_RAD: f64 = 1e-9;

/// Panels that close up by more than this never meet in a mitre: it would run far out.
const WIDEST_MITRE_RAD: f64 = 2.0;

/// The panels and facets of a walk, in order.
pub(super) fn elements_of(sweep: &Sweep, walk: &Walk) -> Result<Vec<Element>, SweepError> {
    let n = walk.stops.len();
    let mut closing: Vec<Closing> = vec![Closing::Mitre; n];
    let mut joints: Vec<Joint> = Vec::with_capacity(n);
    for stop in 0..n {
        joints.push(joint(sweep, walk, stop, Closing::Mitre)?);
    }
    let mut panels: Vec<Option<Element>> = vec![None; walk.ways.len()];
    let mut open: Vec<usize> = (0..walk.ways.len()).collect();
    // A panel that its mitres consume has them cut, once each, so this ends.
    while let Some(segment) = open.pop() {
        if !matches!(walk.ways[segment], Way::Panel { .. }) {
            continue;
        }
        let next = (segment + 1) % n;
        let built = between(sweep, &joints[segment].leaving, &joints[next].arriving);
        if built.is_some() {
            panels[segment] = built;
            continue;
        }
        let cuts = [segment, next].map(|stop| {
            let cut = closing[stop] == Closing::Mitre && closes(walk, stop);
            cut.then_some(stop)
        });
        if cuts == [None, None] {
            return Err(SweepError::Folds { at: walk.stops[segment].at });
        }
        for stop in cuts.into_iter().flatten() {
            closing[stop] = Closing::Cut;
            joints[stop] = joint(sweep, walk, stop, Closing::Cut)?;
            open.push((stop + n - 1) % n);
            open.push(stop);
        }
        open.retain(|&s| s < walk.ways.len());
    }
    assembled(sweep, walk, &joints, panels)
}

fn assembled(
    sweep: &Sweep,
    walk: &Walk,
    joints: &[Joint],
    mut panels: Vec<Option<Element>>,
) -> Result<Vec<Element>, SweepError> {
    let mut elements: Vec<Element> = Vec::new();
    for (stop, joint) in joints.iter().enumerate() {
        let arrives = match (stop, walk.closure) {
            (0, Closure::Open) => false,
            _ => {
                !walk.ways.is_empty() && {
                    let before = (stop + walk.ways.len() - 1) % walk.ways.len();
                    matches!(walk.ways[before], Way::Panel { .. })
                }
            }
        };
        let mut joins_last = arrives && stop > 0;
        for rays in joint.fan.windows(2) {
            let facet = between(sweep, &rays[0], &rays[1]);
            // A facet may be narrower than the lattice; the next one then does not join.
            let Some(mut facet) = facet else { continue };
            facet.joins_last = joins_last;
            joins_last = true;
            elements.push(facet);
        }
        if let Some(mut panel) = panels.get_mut(stop).and_then(Option::take) {
            panel.joins_last = joint.is_joined && (stop > 0 || !elements.is_empty());
            elements.push(panel);
        }
    }
    Ok(elements)
}

/// Whether panels close up at a stop.
fn closes(walk: &Walk, stop: usize) -> bool {
    match bounds(walk, stop) {
        [Bound::Panel(from), Bound::Panel(to)] => to - from < -STRAIGHT_RAD,
        _ => false,
    }
}

/// How the joint at a stop begins and ends.
fn bounds(walk: &Walk, stop: usize) -> [Bound; 2] {
    let n = walk.stops.len();
    let n_segments = walk.ways.len();
    if n_segments == 0 {
        return [Bound::Free(0.0), Bound::Free(std::f64::consts::TAU)];
    }
    let half = std::f64::consts::PI;
    let before = match (stop, walk.closure) {
        (0, Closure::Open) => None,
        _ => Some((stop + n_segments - 1) % n_segments),
    };
    let after = (stop < n_segments).then_some(stop);
    // At the first stop of a closed walk the segment that leaves comes one round later.
    let later = match before {
        Some(before) if before >= stop => walk.headings[n_segments] - walk.headings[0],
        _ => 0.0,
    };
    let arriving = match before.map(|s| (walk.ways[s], walk.headings[s])) {
        Some((Way::Panel { fall_rad }, _)) => Bound::Panel(fall_rad),
        Some((Way::Climbs, heading)) => Bound::Free(heading - half),
        Some((Way::Sinks, _)) => Bound::Absent,
        None => Bound::Free(walk.headings[0] - half),
    };
    let leaving = match after.map(|s| (walk.ways[s], walk.headings[s] + later)) {
        Some((Way::Panel { fall_rad }, _)) => Bound::Panel(fall_rad + later),
        Some((Way::Sinks, heading)) => Bound::Free(heading),
        Some((Way::Climbs, _)) => Bound::Absent,
        None => Bound::Free(walk.headings[n - 2]),
    };
    [arriving, leaving]
}

fn joint(sweep: &Sweep, walk: &Walk, stop: usize, closing: Closing) -> Result<Joint, SweepError> {
    let ends_cut = walk.closure == Closure::Open && sweep.ends == super::Ends::Cut;
    let is_end = walk.closure == Closure::Open && (stop == 0 || stop + 1 == walk.stops.len());
    let [mut from, mut to] = bounds(walk, stop);
    if is_end && ends_cut {
        // An end that is cut has no facets, whatever else meets there.
        if matches!(from, Bound::Free(_)) {
            from = Bound::Absent;
        }
        if matches!(to, Bound::Free(_)) {
            to = Bound::Absent;
        }
    }
    let ray =
        |angle: f64, stretch: f64, share: f64| ray(sweep, walk, stop, [angle, stretch, share]);
    let (alpha, beta) = match (from, to) {
        (Bound::Panel(a) | Bound::Free(a), Bound::Panel(b) | Bound::Free(b)) => (a, b),
        (Bound::Panel(a), Bound::Absent) => {
            return Ok(Joint { arriving: ray(a, 1.0, 0.0)?, ..Joint::default() });
        }
        (Bound::Absent, Bound::Panel(b)) => {
            return Ok(Joint { leaving: ray(b, 1.0, 1.0)?, ..Joint::default() });
        }
        _ => return Ok(Joint::default()),
    };
    let turn = (beta - alpha).min(std::f64::consts::TAU);
    let (from_panel, to_panel) = (matches!(from, Bound::Panel(_)), matches!(to, Bound::Panel(_)));
    if turn <= STRAIGHT_RAD {
        let joined = turn >= -STRAIGHT_RAD
            || (closing == Closing::Mitre && from_panel && to_panel && turn > -WIDEST_MITRE_RAD);
        if joined {
            let middle = |share: f64| ray(alpha + 0.5 * turn, 1.0 / libm::cos(0.5 * turn), share);
            // At a drop both end there, each at its own height.
            let [from, to] = if walk.stops[stop].drops { [0.0, 1.0] } else { [0.5; 2] };
            let (arriving, leaving) = (middle(from)?, middle(to)?);
            return Ok(Joint { arriving, fan: Vec::new(), leaving, is_joined: true });
        }
        let (arriving, leaving) = (ray(alpha, 1.0, 0.0)?, ray(beta, 1.0, 1.0)?);
        return Ok(Joint { arriving, fan: Vec::new(), leaving, is_joined: false });
    }
    // Panels are facets of the cone too: they take half a facet of the turn on their side.
    let halves = 0.5 * (f64::from(u8::from(from_panel)) + f64::from(u8::from(to_panel)));
    let least = if halves == 0.0 { 1.0 } else { 0.0 };
    let n_facets = (turn / sweep.facet_angle_rad - halves).ceil().max(least);
    let step = turn / (n_facets + halves);
    let stretch = 1.0 / libm::cos(0.5 * step);
    let first = if from_panel { 0.5 } else { 0.0 };
    let drops = walk.stops[stop].drops;
    let mut fan = Vec::with_capacity(n_facets as usize + 1);
    for k in 0..=n_facets as usize {
        let along = step * (k as f64 + first);
        // Each panel keeps its own profile up to its last ray; the facets go from one to the other,
        // or at a drop belong to the one that leaves.
        let share = match n_facets > 0.0 {
            _ if drops => 1.0,
            true => k as f64 / n_facets,
            false => 0.5,
        };
        fan.push(ray(alpha + along, stretch, share)?);
    }
    if drops && from_panel {
        let leaving = fan[fan.len() - 1].clone();
        let arriving = ray(alpha + step * first, stretch, 0.0)?;
        return Ok(Joint { arriving, fan, leaving, is_joined: true });
    }
    if turn == std::f64::consts::TAU && !from_panel && !to_panel {
        let last = fan.len() - 1;
        fan[last] = fan[0].clone();
    }
    let (arriving, leaving) = (fan[0].clone(), fan[fan.len() - 1].clone());
    Ok(Joint { arriving, fan, leaving, is_joined: true })
}

/// The profile's points from a stop: direction, length for each metre of offset, and the share of
/// the leaving panel's profile.
fn ray(
    sweep: &Sweep,
    walk: &Walk,
    stop: usize,
    [angle, stretch, share]: [f64; 3],
) -> Result<Ray, SweepError> {
    let stop = &walk.stops[stop];
    let (sin, cos) = libm::sincos(angle);
    let [arriving, leaving]: &[Profile; 2] = &stop.profiles;
    arriving
        .iter()
        .zip(leaving)
        .map(|(&a, &b)| {
            let [offset, rise] = if a == b { a } else { lerp(a, b, share) };
            let reach = offset * stretch;
            let plan = [stop.at[0] + cos * reach, stop.at[1] + sin * reach];
            Ok(RayPoint { plan, at: sweep.lattice.snap(plan)?, z: stop.z + rise })
        })
        .collect()
}

/// The piece of surface between two rays; none when it turns over or has no area.
fn between(sweep: &Sweep, start: &Ray, end: &Ray) -> Option<Element> {
    let mut element = Element {
        tiles: Vec::new(),
        planes: Vec::new(),
        outline: outline(start, end),
        joins_last: false,
    };
    for (k, &part) in sweep.parts.iter().enumerate() {
        let corners = [start[k], start[k + 1], end[k + 1], end[k]];
        let tag = Tag { owner: sweep.owner, part };
        add_quad(sweep, &mut element, corners, tag)?;
    }
    (!element.tiles.is_empty()).then_some(element)
}

/// Out along the first ray and back along the second, places that repeat left out.
fn outline(start: &Ray, end: &Ray) -> Vec<LatticePoint> {
    let mut around: Vec<LatticePoint> =
        start.iter().chain(end.iter().rev()).map(|p| p.at).collect();
    around.dedup();
    while around.len() > 1 && around[0] == around[around.len() - 1] {
        around.pop();
    }
    around
}

/// Adds a quadrilateral as one planar piece or two; none when it turns over.
fn add_quad(sweep: &Sweep, element: &mut Element, q: [RayPoint; 4], tag: Tag) -> Option<()> {
    // The far edge is the longer one as a rule: the diagonal from its start keeps angles fair.
    let halves = [([q[0], q[1], q[2]], 0b011), ([q[0], q[2], q[3]], 0b110)];
    let others = [([q[0], q[1], q[3]], 0b101), ([q[1], q[2], q[3]], 0b011)];
    let corners = |t: [RayPoint; 3]| t.map(|p| (p.at, p.z));
    let is_twin = |t: [RayPoint; 3]| t[0].at == t[1].at || t[1].at == t[2].at || t[2].at == t[0].at;
    let sound = |cut: &[([RayPoint; 3], u8); 2]| {
        cut.iter().all(|(t, _)| is_twin(*t) || is_proper(corners(*t)))
    };
    let cut = [halves, others].into_iter().find(sound)?;
    let whole = plane_of_quad(sweep, q);
    if let Some(plane) = whole {
        element.planes.push(plane);
    }
    for (t, fixed) in cut.into_iter().filter(|(t, _)| !is_twin(*t)) {
        if whole.is_none() {
            element.planes.push(plane_through(sweep, t)?);
        }
        let plane = element.planes.len() as u32 - 1;
        element.tiles.push(Tile { corners: corners(t), tag, plane, fixed });
    }
    Some(())
}

/// The plane through a quadrilateral's unrounded corners, when they lie in one.
fn plane_of_quad(sweep: &Sweep, q: [RayPoint; 4]) -> Option<Plane> {
    /// Corners nearer to the plane than this are in it: rounding of heights on any site.
    const IN_PLANE_M: f64 = 1e-10;
    let halves = [[q[0], q[1], q[2]], [q[0], q[2], q[3]], [q[0], q[1], q[3]], [q[1], q[2], q[3]]];
    let wide = halves.into_iter().reduce(|a, b| if area(b) > area(a) { b } else { a })?;
    let plane = plane_through(sweep, wide)?;
    let step_m = sweep.lattice.step_m();
    let anchor = sweep.lattice.metres(plane.anchor);
    let off = |p: &RayPoint| {
        let d = [(p.plan[0] - anchor[0]) / step_m, (p.plan[1] - anchor[1]) / step_m];
        (plane.at_offset(d[0], d[1]) - p.z).abs()
    };
    q.iter().all(|p| off(p) <= IN_PLANE_M).then_some(plane)
}

fn area([a, b, c]: [RayPoint; 3]) -> f64 {
    crate::curve::cross(crate::curve::sub(b.plan, a.plan), crate::curve::sub(c.plan, a.plan))
}

/// The plane through three unrounded corners; none when they lie on a line.
fn plane_through(sweep: &Sweep, [a, b, c]: [RayPoint; 3]) -> Option<Plane> {
    let (u, v) = (crate::curve::sub(b.plan, a.plan), crate::curve::sub(c.plan, a.plan));
    let (uz, vz) = (b.z - a.z, c.z - a.z);
    let twice = crate::curve::cross(u, v);
    let grade = [(uz * v[1] - vz * u[1]) / twice, (vz * u[0] - uz * v[0]) / twice];
    let anchor_m = sweep.lattice.metres(a.at);
    let z = a.z + crate::curve::dot(grade, crate::curve::sub(anchor_m, a.plan));
    let rise = grade.map(|g| g * sweep.lattice.step_m());
    (z.is_finite() && rise.iter().all(|r| r.is_finite())).then_some(Plane { anchor: a.at, z, rise })
}
