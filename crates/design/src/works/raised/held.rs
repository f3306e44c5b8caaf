//! A hill against a wall: what it raises in front of the wall goes, but for what comes round the ends.
//!
//! ```text
//!                  crest
//!        ____________________________
//!          |      |      |      |         straight ways down
//!       ___E======= wall =======F___
//!      `. /:                    :\ .'     between the ways down from both ends nothing is raised
//!        / :  shadow            : \       but the cones about E and F
//! ```
//! The wall stands in the way of the earth that comes straight down from the crest. Its *shadow* is
//! bounded by the wall and by the ways down past its two ends. Into it earth comes only round an
//! end: there the flank goes on falling as it does on the way down, in every direction, so that the
//! ground is whole beside the wall's end.

use ground::Surface;
use ground::curve::{self, Closure, Path};
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{Section, corridor};
use ground::query::{Ahead, Locator, section};

use crate::Problem;
use crate::part::Part;
use crate::works::bank::{self, FACET_ANGLE_RAD, Way};
use crate::works::number;

/// Flatter ground than this falls no way: a crest.
const LEVEL_GRADE: f64 = 1e-6;

/// A way down that leaves the wall at a smaller angle than this (its sine) runs along it.
const ALONG_SINE: f64 = 0.05;

/// A crest this near to the wall stands on it: what a crew sets out to.
const ON_WALL_M: f64 = 0.01;

/// Ways down that part by less run alike.
const SAME_WAY_RAD: f64 = 1e-9;

/// The widest piece of the shadow's far side.
const FAR_ANGLE_RAD: f64 = std::f64::consts::FRAC_PI_4;

/// An end of the wall and the way straight down past it.
#[derive(Clone, Copy, Debug)]
struct End {
    at: [f64; 2],
    way: [f64; 2],
    /// Which way round from the way down the wall lies: 1 counter-clockwise, -1 clockwise.
    turn: f64,
}

/// A hill's bound with nothing raised in a wall's shadow but round its ends.
///
/// The wall's places have its front on their right.
///
/// # Errors
/// A problem where the crest itself runs in the shadow, or the wall makes no clear one.
pub(super) fn behind(
    hill: &Surface,
    wall: &[[f64; 2]],
    crest: &[([f64; 2], f64)],
    owner: u32,
) -> Result<Surface, Problem> {
    let lattice = hill.lattice();
    let locator = Locator::new(hill);
    let last = wall.len() - 1;
    let ends = [(0, 1, 1.0), (last, last - 1, -1.0)].map(|(i, next, turn)| {
        let along = unit(wall[i], wall[next]);
        // In front is on the right of the wall as it goes from its first place.
        let front = [turn * along[1], -turn * along[0]];
        End { at: wall[i], way: way_down(&locator, wall[i], front), turn }
    });
    let far_m = far_m(hill, wall);
    let shadow = shadow(wall, ends, far_m);
    if curve::first_crossing(lattice, &shadow, Closure::Closed) != Ok(None) {
        let message = "the wall that holds it has no clear front: earth from both its ends crosses";
        return Err(Problem { message: message.into(), at_m: wall[0] });
    }
    if let Some(&(at_m, _)) = crest.iter().find(|(at, _)| lies_in(&shadow, wall, *at)) {
        let message = "its crest runs in front of the wall that holds it".into();
        return Err(Problem { message, at_m });
    }
    let unbound = bank::unbound(hill, &shadow, Way::Down);
    let mut held = unbound.unwrap_or_else(|| hill.clone());
    for end in ends {
        let Some(fan) = fan(hill, wall, end, owner, far_m) else { continue };
        let fan = fan.map_err(|message| Problem { message, at_m: end.at })?;
        // No higher than the hill would stand without a wall.
        let low = compose(&fan, hill, Keep::Lowest, Domain::Ground, Rooted::Anywhere).surface;
        held = compose(&held, &low, Keep::Highest, Domain::Union, Rooted::Anywhere).surface;
    }
    Ok(held)
}

/// Whether a place lies in a wall's shadow and not on the wall.
fn lies_in(shadow: &[[f64; 2]], wall: &[[f64; 2]], at: [f64; 2]) -> bool {
    let off_m = Path::new(wall, Closure::Open).map_or(0.0, |path| path.nearest(at).distance_m);
    off_m > ON_WALL_M && curve::contains(shadow, at)
}

/// The way in which a hill falls at a wall's end; square to the wall where it stands on level ground,
/// where the hill does not reach, or where it does not fall to the front.
fn way_down(hill: &Locator<&Surface>, at: [f64; 2], front: [f64; 2]) -> [f64; 2] {
    let lattice = hill.surface().lattice();
    let Some(face) = hill.face_at(at) else { return front };
    let plane = hill.surface().plane(face);
    let grade = plane.grade(lattice);
    if grade < LEVEL_GRADE {
        return front;
    }
    let way = plane.rise.map(|rise| -rise / (lattice.step_m() * grade));
    if way[0] * front[0] + way[1] * front[1] > ALONG_SINE { way } else { front }
}

/// A distance beyond all of a hill and a wall.
fn far_m(hill: &Surface, wall: &[[f64; 2]]) -> f64 {
    let lattice = hill.lattice();
    let places = || hill.vertices().iter().map(|&p| lattice.metres(p)).chain(wall.iter().copied());
    let [low, high] = [f64::min, f64::max]
        .map(|pick| [0, 1].map(|k| places().map(|p| p[k]).reduce(pick).unwrap_or_default()));
    1.2 * libm::hypot(high[0] - low[0], high[1] - low[1])
}

/// The outline of a wall's shadow.
fn shadow(wall: &[[f64; 2]], [first, last]: [End; 2], far_m: f64) -> Vec<[f64; 2]> {
    let mut ring = wall.to_vec();
    if let Some(meeting) = meeting(first, last, far_m) {
        ring.push(meeting);
        return ring;
    }
    let out = |at: [f64; 2], [x, y]: [f64; 2]| [at[0] + far_m * x, at[1] + far_m * y];
    // Clockwise from the last end's way down to the first's.
    let turn = turn_between(first.way, last.way);
    let turn = if turn < -SAME_WAY_RAD { turn + std::f64::consts::TAU } else { turn.max(0.0) };
    let n = (turn / FAR_ANGLE_RAD).ceil().max(1.0) as u32;
    for k in 0..=n {
        let share = f64::from(k) / f64::from(n);
        let way = turned(last.way, -turn * share);
        let from = [0, 1].map(|k| last.at[k] + share * (first.at[k] - last.at[k]));
        ring.push(out(from, way));
    }
    ring
}

/// Where the ways down from both ends meet, if they do.
fn meeting(first: End, last: End, far_m: f64) -> Option<[f64; 2]> {
    let turn = cross(first.way, last.way);
    if turn.abs() < SAME_WAY_RAD {
        return None;
    }
    let apart = [0, 1].map(|k| last.at[k] - first.at[k]);
    let out_m = [cross(apart, last.way) / turn, cross(apart, first.way) / turn];
    let meets = out_m.iter().all(|out_m| *out_m > 0.0 && *out_m < far_m);
    meets.then(|| [0, 1].map(|k| first.at[k] + out_m[0] * first.way[k]))
}

/// The flank that goes round an end, from the way down to the wall; none where the hill does not stand
/// at that end.
fn fan(
    hill: &Surface,
    wall: &[[f64; 2]],
    end: End,
    owner: u32,
    far_m: f64,
) -> Option<Result<Surface, String>> {
    let (profile, parts) = profile(hill, end, far_m)?;
    let reach_m = profile.last()?[0];
    // The wall may bend away from its end's own direction.
    let angle_rad = wall
        .iter()
        .map(|p| [p[0] - end.at[0], p[1] - end.at[1]])
        .filter(|to| (1e-9..=reach_m).contains(&libm::hypot(to[0], to[1])))
        .chain([direction(wall, end)])
        .map(|to| end.turn * turn_between(end.way, to))
        .fold(0.0, f64::max);
    let at_angle = |angle_rad: f64, stretch: f64| {
        let way = turned(end.way, end.turn * angle_rad);
        let place = |&[out, z]: &[f64; 2]| ([0, 1].map(|k| end.at[k] + stretch * out * way[k]), z);
        Section { points: profile.iter().map(place).collect() }
    };
    // The flank beside the way down is the first half of a facet of the cone.
    let n = (angle_rad / FACET_ANGLE_RAD - 0.5).ceil().max(0.0);
    let step = angle_rad / (n + 0.5);
    let stretch = 1.0 / libm::cos(0.5 * step);
    let rays = (0..=n as u32).map(|k| at_angle(step * (f64::from(k) + 0.5), stretch));
    let sections: Vec<Section> = std::iter::once(at_angle(0.0, 1.0)).chain(rays).collect();
    let swept = corridor(hill.lattice(), &sections, owner, &parts);
    Some(swept.map_err(|error| format!("its flank round the wall's end cannot be drawn: {error}")))
}

/// Distances and elevations of a hill straight down from a wall's end, and the part of each piece.
fn profile(hill: &Surface, end: End, far_m: f64) -> Option<(Vec<[f64; 2]>, Vec<u32>)> {
    let to = [0, 1].map(|k| end.at[k] + far_m * end.way[k]);
    let (mut profile, mut parts): (Vec<[f64; 2]>, Vec<u32>) = (Vec::new(), Vec::new());
    for point in section(hill, end.at, to).ok()? {
        // What rises again on the way is not followed.
        let lowest_m = profile.last().map_or(f64::INFINITY, |last| last[1]);
        profile.push([point.station_m, point.z.min(lowest_m)]);
        match point.ahead {
            Ahead::Face(face) => parts.push(hill.faces()[face as usize].tag.part),
            Ahead::Step => parts.push(number(Part::Flank)),
            Ahead::Gap | Ahead::End => break,
        }
    }
    let starts = profile.first().is_some_and(|first| first[0] <= hill.lattice().step_m());
    (starts && profile.len() > 1 && parts.len() + 1 == profile.len()).then_some((profile, parts))
}

/// From a wall's end along it.
fn direction(wall: &[[f64; 2]], end: End) -> [f64; 2] {
    let next = if end.turn > 0.0 { wall[1] } else { wall[wall.len() - 2] };
    unit(end.at, next)
}

fn unit(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length_m = libm::hypot(d[0], d[1]);
    d.map(|c| c / length_m)
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// The turn from one direction to another, counter-clockwise, within half a circle.
fn turn_between(from: [f64; 2], to: [f64; 2]) -> f64 {
    libm::atan2(cross(from, to), from[0] * to[0] + from[1] * to[1])
}

fn turned([x, y]: [f64; 2], by_rad: f64) -> [f64; 2] {
    let (sin, cos) = libm::sincos(by_rad);
    [x * cos - y * sin, x * sin + y * cos]
}
