//! Lines as drawn: smooth curves, lengths, offsets and crossings, in local metres.
//!
//! A line is a list of places `[x, y]` in metres from the site's local origin. A closed line does
//! not repeat its first place; a ring is a closed line that does not cross itself. Results feed the
//! lattice: what has to be exact is decided there.

mod clean;
mod crossing;
mod inset;
mod measure;
mod smooth;

pub use crossing::{Crossing, first_crossing};
pub(crate) use crossing::{Meeting, meet, meeting_pairs, meeting_place};
pub use inset::{FACET_ANGLE_RAD, OffsetError, OffsetRing, Run, inset, outset};
pub(crate) use measure::nearest_on_segment;
pub use measure::{
    Nearest, Path, PathPoint, contains, counter_clockwise, length_m, signed_area_m2,
};
pub use smooth::{Blend, Smoothed, interpolate, smooth};

/// Whether a line returns from its last place to its first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Closure {
    /// The line ends at its last place.
    Open,
    /// The line returns to its first place, which is not repeated.
    Closed,
}

/// Why a line was refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// A coordinate is not a number or infinite.
    #[error("point {point} has a coordinate that is not finite")]
    NotFinite {
        /// Index of the point.
        point: usize,
    },
    /// The tolerance is not a positive number.
    #[error("the tolerance must be above zero, not {tolerance_m} m")]
    Tolerance {
        /// The tolerance as given, in metres.
        tolerance_m: f64,
    },
    /// The line has no length.
    #[error("the line needs two different points")]
    NoLength,
}

impl Closure {
    /// How many segments a line of `n_points` places has.
    pub fn n_segments(self, n_points: usize) -> usize {
        match self {
            Closure::Open => n_points.saturating_sub(1),
            Closure::Closed if n_points > 1 => n_points,
            Closure::Closed => 0,
        }
    }
}

pub(crate) fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

pub(crate) fn along(a: [f64; 2], direction: [f64; 2], distance: f64) -> [f64; 2] {
    [a[0] + direction[0] * distance, a[1] + direction[1] * distance]
}

pub(crate) fn lerp(a: [f64; 2], b: [f64; 2], fraction: f64) -> [f64; 2] {
    along(a, sub(b, a), fraction)
}

pub(crate) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

pub(crate) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(crate) fn norm(a: [f64; 2]) -> f64 {
    libm::hypot(a[0], a[1])
}

/// The direction turned a quarter to the left.
pub(crate) fn left_of(direction: [f64; 2]) -> [f64; 2] {
    [-direction[1], direction[0]]
}

/// The direction turned by an angle, counter-clockwise.
pub(crate) fn turned(direction: [f64; 2], angle_rad: f64) -> [f64; 2] {
    let (sin, cos) = libm::sincos(angle_rad);
    [direction[0] * cos - direction[1] * sin, direction[0] * sin + direction[1] * cos]
}

/// The direction from `a` to `b` with length one; none where they coincide.
pub(crate) fn unit(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let d = sub(b, a);
    let length = norm(d);
    (length > 0.0).then(|| [d[0] / length, d[1] / length])
}
