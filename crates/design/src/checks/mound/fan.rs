//! The fan: how the ground falls away from the summit, bearing by bearing.

use ground::query::Ahead;
use ground::{Locator, Surface};

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
    finished: &Locator<&Surface>,
    summit_m: [f64; 3],
    length_m: f64,
    natural: f64,
) -> Vec<Bearing> {
    let ray = |i: u32| {
        let bearing_rad = (2.5 + 5.0 * f64::from(i)).to_radians();
        ray(finished, summit_m, (bearing_rad, length_m), natural)
    };
    (0..N_BEARINGS).map(ray).collect()
}

fn ray(
    finished: &Locator<&Surface>,
    [x, y, z]: [f64; 3],
    (bearing_rad, length_m): (f64, f64),
    natural: f64,
) -> Bearing {
    let (sin, cos) = libm::sincos(bearing_rad);
    let end_m = [x + length_m * sin, y + length_m * cos];
    let line = finished.section([x, y], end_m).unwrap_or_default();
    // What lies beyond a gap in the survey is another ground.
    let gap = line.iter().position(|p| p.ahead == Ahead::Gap).map_or(line.len(), |i| i + 1);
    let line = &line[..gap];
    let last = line.last().filter(|p| p.station_m >= LEAST_SHARE * length_m);
    let fall = last.map(|p| (z - p.z) / p.station_m);
    let closed = fall.is_some_and(|fall| fall >= natural * (1.0 - SAME_GRADE));
    let weight = match (closed, closed && crosses_wall(finished.surface(), line)) {
        (true, true) => 0.5,
        (true, false) => 1.0,
        (false, _) => 0.0,
    };
    Bearing { bearing_rad, end_m, fall, weight }
}

fn crosses_wall(surface: &Surface, line: &[ground::query::SectionPoint]) -> bool {
    line.windows(2).any(|pair| match pair[0].ahead {
        Ahead::Step => (pair[1].z - pair[0].z).abs() > LEAST_STEP_M,
        Ahead::Face(face) => {
            Part::of(surface.faces()[face as usize].tag.part) == Part::WallFace
                && (pair[1].z - pair[0].z).abs() > LEAST_STEP_M
        }
        _ => false,
    })
}
