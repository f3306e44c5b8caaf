//! The height that the shots around a place explain.
//!
//! ```text
//!        q . . . . p . . . . r     between: p lies on the way from q to r
//!        p . . . q . . . r         beyond: the way from r to q goes on to p
//!        p-.                       a quarter: the plane through all shots within a right angle
//!        |   `.                    seen from p, whichever way it is turned
//!        | * *  `
//! ```
//! A sound shot on a slope, a terrace's edge, a kerb or a corner of the survey lies on one of these;
//! one that none of them reaches stands out whatever the ground is. Shots on one side alone
//! extrapolate, and the farther they do the less they know: each explanation says by how many times
//! the error of a single shot it may be off.

use crate::curve::{cross, dot, norm, sub};

/// A shot near the one in question.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shot {
    /// Its place off the one in question, in metres.
    pub(super) off: [f64; 2],
    pub(super) z: f64,
}

/// A height that shots explain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Explained {
    pub(super) z: f64,
    /// The standard error of the shot in question against this height, for shots whose own is one.
    pub(super) error: f64,
}

/// A shot lies on the line of two others when it is off it by no more than this share of its length.
const ON_LINE: f64 = 0.1;

/// A right angle, and what rounding to the lattice turns.
const QUARTER_RAD: f64 = std::f64::consts::FRAC_PI_2 + 1e-4;

/// Shots that know less of a height than this explain none: they lie nearly on one line.
const MOST_ERROR: f64 = 3.0;

/// The explanation nearest to height `z` by the share of what `limit_m` allows at its error, and of
/// equals the one that knows most; none where nothing explains any height.
pub(super) fn nearest(shots: &[Shot], z: f64, limit_m: impl Fn(f64) -> f64) -> Option<Explained> {
    let lines = shots.iter().flat_map(|q| shots.iter().filter_map(move |r| by_line(q, r)));
    let all = lines.chain(quarters(shots).into_iter().filter_map(|quarter| by_plane(&quarter)));
    all.filter(|e| e.error <= MOST_ERROR).min_by(|a, b| {
        let off = |e: &Explained| (e.z - z).abs() / limit_m(e.error);
        off(a).total_cmp(&off(b)).then(a.error.total_cmp(&b.error))
    })
}

/// The height on the line through two shots, between them or no farther beyond the first than they
/// are apart.
fn by_line(q: &Shot, r: &Shot) -> Option<Explained> {
    let along = sub(r.off, q.off);
    let length = norm(along);
    let share = -dot(q.off, along) / (length * length);
    let is_on = cross(along, q.off).abs() <= ON_LINE * length * length;
    (is_on && (-1.0..1.0).contains(&share)).then(|| Explained {
        z: q.z + share * (r.z - q.z),
        error: (1.0 + (1.0 - share) * (1.0 - share) + share * share).sqrt(),
    })
}

/// The shots within a right angle from each shot's direction on.
fn quarters(shots: &[Shot]) -> Vec<Vec<Shot>> {
    let turn = |from: &Shot, to: &Shot| {
        let angle = libm::atan2(cross(from.off, to.off), dot(from.off, to.off));
        if angle < -1e-4 { angle + std::f64::consts::TAU } else { angle }
    };
    let within = |from: &Shot| {
        shots.iter().filter(|to| turn(from, to) <= QUARTER_RAD).copied().collect::<Vec<Shot>>()
    };
    shots.iter().map(within).filter(|quarter| quarter.len() > 2).collect()
}

/// The height of the plane of least squares through some shots.
fn by_plane(shots: &[Shot]) -> Option<Explained> {
    let n = shots.len() as f64;
    let mean = |value: fn(&Shot) -> f64| shots.iter().map(value).sum::<f64>() / n;
    let (x, y, z) = (mean(|s| s.off[0]), mean(|s| s.off[1]), mean(|s| s.z));
    let [mut xx, mut xy, mut yy, mut xz, mut yz] = [0.0; 5];
    for shot in shots {
        let (dx, dy, dz) = (shot.off[0] - x, shot.off[1] - y, shot.z - z);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
        xz += dx * dz;
        yz += dy * dz;
    }
    let whole = xx * yy - xy * xy;
    let grade = [(xz * yy - yz * xy) / whole, (yz * xx - xz * xy) / whole];
    let leverage = (x * x * yy - 2.0 * x * y * xy + y * y * xx) / whole;
    let explained =
        Explained { z: z - grade[0] * x - grade[1] * y, error: (1.0 + 1.0 / n + leverage).sqrt() };
    (explained.z.is_finite() && explained.error.is_finite()).then_some(explained)
}
