//! The line walked with the swept side to the right: headings, slopes and the way panels fall.
//!
//! ```text
//!        heading
//!           ^      fall = heading - quarter turn + tilt
//!           |    .
//!           |  .   tilt: towards the low end of a segment that slopes
//!           o- - - - > square to the right
//! ```
//! Angles are counted on, not wrapped, so that the turn at a joint may exceed half a circle.

use super::{Profile, falls};
use crate::curve::{Closure, cross, dot, norm, sub};
use crate::overlay::Keep;

/// A station of a walk.
#[derive(Clone, Debug)]
pub(super) struct Stop {
    /// The place in metres, on the lattice.
    pub(super) at: [f64; 2],
    pub(super) z: f64,
    /// The profiles of the panel that arrives and of the one that leaves.
    pub(super) profiles: [Profile; 2],
    /// Whether the panel that leaves starts at another height, so that the two do not join.
    pub(super) drops: bool,
}

/// What a segment carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Way {
    /// A panel that falls in the direction of this angle.
    Panel { fall_rad: f64 },
    /// Nothing: the line sinks away from its first stop faster than the profile.
    Sinks,
    /// Nothing: it climbs to its second stop faster than the profile.
    Climbs,
}

/// A walk: stops, and what lies between each and the next.
#[derive(Clone, Debug)]
pub(super) struct Walk {
    pub(super) stops: Vec<Stop>,
    pub(super) closure: Closure,
    /// Unwrapped direction of each segment. A closed walk repeats its first, one round later.
    pub(super) headings: Vec<f64>,
    pub(super) ways: Vec<Way>,
}

/// Below this share of the profile's grade short of it, a panel's fall would run along the line.
const STEEP_SHARE: f64 = 1.0 - 1e-6;

/// Directions and slopes of a walk. Stops that repeat the one before them become one.
pub(super) fn walk_headings(stops: Vec<Stop>, closure: Closure, keep: Keep) -> Walk {
    let stops = merged(stops, closure);
    let n_segments = closure.n_segments(stops.len());
    let next = |i: usize| (i + 1) % stops.len();
    let run = |i: usize| sub(stops[next(i)].at, stops[i].at);
    let ascent = |i: usize| falls(keep) * (stops[next(i)].z - stops[i].z);
    let mut headings = raw_headings(n_segments, closure, run, ascent);
    let mut ways = Vec::with_capacity(n_segments);
    for (i, heading) in headings.iter().enumerate().take(n_segments) {
        let length = norm(run(i));
        let steepest = steepest_fall(&stops[i].profiles[1], keep)
            .max(steepest_fall(&stops[next(i)].profiles[0], keep));
        let slope = ascent(i) / length;
        let way = if length > 0.0 && steepest == 0.0 {
            // A level profile falls nowhere: it lies square to the line.
            Way::Panel { fall_rad: heading - std::f64::consts::FRAC_PI_2 }
        } else if length > 0.0 && slope.abs() < steepest * STEEP_SHARE {
            let tilt = -libm::asin(slope / steepest);
            Way::Panel { fall_rad: heading - std::f64::consts::FRAC_PI_2 + tilt }
        } else if ascent(i) < 0.0 {
            Way::Sinks
        } else {
            Way::Climbs
        };
        ways.push(way);
    }
    if closure == Closure::Closed && n_segments > 0 {
        let turn = turn_between(headings[n_segments - 1], headings[0]);
        headings.push(headings[n_segments - 1] + turn);
    }
    Walk { stops, closure, headings, ways }
}

/// Directions, unwrapped; a drop takes that of the segment that it governs.
fn raw_headings(
    n_segments: usize,
    closure: Closure,
    run: impl Fn(usize) -> [f64; 2],
    ascent: impl Fn(usize) -> f64,
) -> Vec<f64> {
    let has_length = |i: usize| run(i) != [0.0, 0.0];
    let Some(first) = (0..n_segments).find(|&i| has_length(i)) else {
        return vec![0.0; n_segments];
    };
    let around = |i: usize, step: usize| -> Option<usize> {
        let mut k = i;
        for _ in 0..n_segments {
            k = match closure {
                Closure::Closed => (k + step) % n_segments,
                Closure::Open if step == 1 && k + 1 < n_segments => k + 1,
                Closure::Open if step != 1 && k > 0 => k - 1,
                Closure::Open => return None,
            };
            if has_length(k) {
                return Some(k);
            }
        }
        None
    };
    let governing = |i: usize| {
        let (next, previous) = (around(i, 1), around(i, n_segments - 1));
        let chosen = if ascent(i) < 0.0 { next.or(previous) } else { previous.or(next) };
        chosen.unwrap_or(first)
    };
    let mut headings: Vec<f64> = Vec::with_capacity(n_segments);
    for i in 0..n_segments {
        let d = run(if has_length(i) { i } else { governing(i) });
        let plain = libm::atan2(d[1], d[0]);
        let heading = headings.last().map_or(plain, |last| last + turn_between(*last, plain));
        headings.push(heading);
    }
    headings
}

/// The turn from one direction to another, above minus half a circle and at most half a circle.
fn turn_between(from: f64, to: f64) -> f64 {
    const NEARLY_BACK: f64 = 1e-9;
    let ((s0, c0), (s1, c1)) = (libm::sincos(from), libm::sincos(to));
    let turn = libm::atan2(cross([c0, s0], [c1, s1]), dot([c0, s0], [c1, s1]));
    // Turning back counts as going round the outside of the end.
    if turn < NEARLY_BACK - std::f64::consts::PI { turn + std::f64::consts::TAU } else { turn }
}

/// Stops at the same place and elevation as the one before become one, which keeps the profile with
/// which the first arrives and the last leaves; of stops at one place only first and last stay.
fn merged(stops: Vec<Stop>, closure: Closure) -> Vec<Stop> {
    let mut out: Vec<Stop> = Vec::with_capacity(stops.len());
    for stop in stops {
        let n = out.len();
        if n > 1 && out[n - 1].at == stop.at && out[n - 2].at == stop.at {
            out.pop();
        }
        match out.last_mut() {
            Some(last) if last.at == stop.at && last.z == stop.z => {
                last.profiles[1] = stop.profiles[1].clone();
            }
            _ => out.push(stop),
        }
    }
    let same = |a: &Stop, b: &Stop| a.at == b.at && a.z == b.z;
    while closure == Closure::Closed && out.len() > 1 && same(&out[0], &out[out.len() - 1]) {
        let last = out.remove(out.len() - 1);
        out[0].profiles[0] = last.profiles[0].clone();
    }
    out
}

/// The steepest grade with which a profile falls from the line, as the envelope sees it.
fn steepest_fall(profile: &Profile, keep: Keep) -> f64 {
    profile
        .windows(2)
        .filter(|w| w[1][0] > w[0][0])
        .map(|w| -falls(keep) * (w[1][1] - w[0][1]) / (w[1][0] - w[0][0]))
        .fold(0.0, f64::max)
}
