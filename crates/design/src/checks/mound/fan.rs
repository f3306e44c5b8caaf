//! The fan: how the ground falls away from the summit, bearing by bearing.

use ground::Surface;

use crate::checks::near::{Grouped, Near, Piece};
use crate::part::Part;

/// Bearings around the circle.
const N_BEARINGS: u32 = 72;
/// A lower step than this is a kerb, no wall and no fall, metres.
const LEAST_STEP_M: f64 = 0.1;
/// A ray cut shorter than this share of its length by the survey's edge says nothing.
const LEAST_SHARE: f64 = 0.5;
/// A mean fall within this share of the natural grade is at it: a facet's rounding.
const SAME_GRADE: f64 = 1e-6;

/// One ray of the fan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// Clockwise from north, radians.
    pub bearing_rad: f64,
    /// Where the ray ends, local metres.
    pub end_m: [f64; 2],
    /// Mean fall of the finished ground along it, drop over run; none where it leaves the survey.
    pub fall: Option<f64>,
    /// What it counts: one when closed, half across a wall or a fall, else zero.
    pub weight: f64,
}

/// The fan of rays of one length around a summit, closed from a mean fall of `natural` on.
pub(super) fn around(
    finished: &Surface,
    summit_m: [f64; 3],
    length_m: f64,
    natural: f64,
) -> Vec<Bearing> {
    let near = Near::new(&Grouped::new(finished), &[[summit_m[0], summit_m[1]]], length_m);
    let ray = |i: u32| {
        let bearing_rad = (2.5 + 5.0 * f64::from(i)).to_radians();
        ray(finished, &near, summit_m, (bearing_rad, length_m, natural))
    };
    (0..N_BEARINGS).map(ray).collect()
}

fn ray(
    finished: &Surface,
    near: &Near,
    [x, y, z]: [f64; 3],
    (bearing_rad, length_m, natural): (f64, f64, f64),
) -> Bearing {
    let (sin, cos) = libm::sincos(bearing_rad);
    let end_m = [x + length_m * sin, y + length_m * cos];
    let line = near.section([x, y], end_m);
    // What lies beyond a gap in the survey is another ground.
    let is_gap = |pair: &[Piece]| pair[1].stations_m[0] > pair[0].stations_m[1] + GAP_M;
    let n_whole = line.windows(2).position(is_gap).map_or(line.len(), |i| i + 1);
    let line = &line[..n_whole];
    let last = line.last().filter(|p| p.stations_m[1] >= LEAST_SHARE * length_m);
    let fall = last.map(|p| (z - p.z_m[1]) / p.stations_m[1]);
    let closed = fall.is_some_and(|fall| fall >= natural * (1.0 - SAME_GRADE));
    let weight = match (closed, closed && crosses_wall(finished, line)) {
        (true, true) => 0.5,
        (true, false) => 1.0,
        (false, _) => 0.0,
    };
    Bearing { bearing_rad, end_m, fall, weight }
}

/// Pieces farther apart than this have no ground between them, metres.
const GAP_M: f64 = 1e-3;

fn crosses_wall(surface: &Surface, line: &[Piece]) -> bool {
    let steps = line.windows(2).any(|pair| (pair[1].z_m[0] - pair[0].z_m[1]).abs() > LEAST_STEP_M);
    steps
        || line.iter().any(|piece| {
            Part::of(surface.faces()[piece.face as usize].tag.part) == Part::WallFace
                && (piece.z_m[1] - piece.z_m[0]).abs() > LEAST_STEP_M
        })
}
