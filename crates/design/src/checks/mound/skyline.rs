//! The hill against the sky: how it stands above what was there, from where people look.
//!
//! What was there is the existing ground and the houses, each as high as its eaves. Roofs, trees and
//! fences are not in the document: a skyline leaves them out.

use ground::curve;
use ground::{Locator, Surface};
use site::{House, Site, Viewpoint};

use super::Mound;
use super::raised::Raised;

/// Directions looked in, from one side of the hill to the other.
const N_DIRECTIONS: u32 = 120;

/// How a hill stands against the sky from one viewpoint.
#[derive(Clone, Debug, PartialEq)]
pub struct Skyline {
    /// Name of the viewpoint.
    pub viewpoint: String,
    /// The eye, local metres.
    pub eye_m: [f64; 3],
    /// The greatest angle by which the hill stands above what was there, radians; above zero.
    pub above_rad: f64,
    /// Where that is, clockwise from north, radians.
    pub bearing_rad: f64,
    /// Grades of the left and the right shoulder as seen: the outline's fall, drop over run, from the
    /// brow of its top to where it stands half as much above what was there.
    pub shoulders: [f64; 2],
    /// What stands highest in each direction across the hill, from left to right, local metres: when
    /// all is built, and before.
    pub outlines_m: [Vec<[f64; 3]>; 2],
}

/// The skyline from each viewpoint from which the hill rises above what was there.
pub(super) fn from_viewpoints(
    site: &Site,
    existing: &Locator<&Surface>,
    finished: &Locator<&Surface>,
    mound: &Mound,
    raised: &Raised,
) -> Vec<Skyline> {
    let outlines = Outlines { existing, finished, houses: &site.houses, mound, raised };
    site.viewpoints.iter().filter_map(|viewpoint| outlines.seen_from(viewpoint)).collect()
}

struct Outlines<'a, 'b> {
    existing: &'a Locator<&'b Surface>,
    finished: &'a Locator<&'b Surface>,
    houses: &'a [House],
    mound: &'a Mound,
    raised: &'a Raised,
}

/// The outline in one direction: off the direction to the summit, the slopes up to it, and how far off
/// it stands.
#[derive(Clone, Copy)]
struct Sight {
    off_rad: f64,
    finished: f64,
    existing: f64,
    away_m: [f64; 2],
}

/// What stands highest in one direction: the slope up to it, rise over run, and how far off it is.
#[derive(Clone, Copy)]
struct Highest {
    slope: f64,
    away_m: f64,
}

impl Highest {
    fn or(self, other: Option<Self>) -> Self {
        other.filter(|other| other.slope > self.slope).unwrap_or(self)
    }
}

impl Outlines<'_, '_> {
    fn seen_from(&self, viewpoint: &Viewpoint) -> Option<Skyline> {
        let at = viewpoint.at_m;
        let eye_m = [at[0], at[1], self.finished.elevation(at)? + viewpoint.eye_m];
        let [x, y, _] = self.mound.summit_m;
        let toward_rad = libm::atan2(x - at[0], y - at[1]);
        let (off, far_m) = self.sector(at, toward_rad)?;
        let sight = |i: u32| {
            let off_rad = off[0] + (off[1] - off[0]) * f64::from(i) / f64::from(N_DIRECTIONS);
            let (sin, cos) = libm::sincos(toward_rad + off_rad);
            let end = [at[0] + far_m * sin, at[1] + far_m * cos];
            let house = highest_house(self.houses, eye_m, end);
            let finished = highest_ground(self.finished, eye_m, end)?.or(house);
            let existing = highest_ground(self.existing, eye_m, end)?.or(house);
            Some(Sight {
                off_rad,
                finished: finished.slope,
                existing: existing.slope,
                away_m: [finished.away_m, existing.away_m],
            })
        };
        let sights: Vec<Sight> = (0..=N_DIRECTIONS).filter_map(sight).collect();
        let angle = |s: &Sight| libm::atan(s.finished) - libm::atan(s.existing);
        let peak =
            (0..sights.len()).max_by(|&a, &b| angle(&sights[a]).total_cmp(&angle(&sights[b])))?;
        let above_rad = angle(&sights[peak]);
        let run_m = libm::hypot(x - at[0], y - at[1]);
        let shoulders = [
            shoulder(&sights, peak, run_m, (0..peak).rev()),
            shoulder(&sights, peak, run_m, peak + 1..sights.len()),
        ];
        let bearing_rad =
            (toward_rad + sights[peak].off_rad).rem_euclid(2.0 * std::f64::consts::PI);
        let outline = |built: usize| {
            let place = |sight: &Sight| {
                let (sin, cos) = libm::sincos(toward_rad + sight.off_rad);
                let (slope, away_m) =
                    ([sight.finished, sight.existing][built], sight.away_m[built]);
                [at[0] + away_m * sin, at[1] + away_m * cos, eye_m[2] + away_m * slope]
            };
            sights.iter().map(place).collect()
        };
        (above_rad > 0.0).then(|| Skyline {
            viewpoint: viewpoint.name.clone(),
            eye_m,
            above_rad,
            bearing_rad,
            shoulders,
            outlines_m: [outline(0), outline(1)],
        })
    }

    /// The directions that the hill takes up, off the direction to its summit, and how far it
    /// reaches; none for an eye amid the hill.
    fn sector(&self, at: [f64; 2], toward_rad: f64) -> Option<([f64; 2], f64)> {
        let surface = self.finished.surface();
        let (mut off, mut far_m) = ([f64::INFINITY, f64::NEG_INFINITY], 0.0_f64);
        for &face in &self.raised.faces {
            for [x, y] in surface.corners(face).map(|p| surface.lattice().metres(p)) {
                let turn = libm::atan2(x - at[0], y - at[1]) - toward_rad;
                let (sin, cos) = libm::sincos(turn);
                let turn = libm::atan2(sin, cos);
                off = [off[0].min(turn), off[1].max(turn)];
                far_m = far_m.max(libm::hypot(x - at[0], y - at[1]));
            }
        }
        let is_ahead =
            off[0] > -std::f64::consts::FRAC_PI_2 && off[1] < std::f64::consts::FRAC_PI_2;
        is_ahead.then_some((off, BEYOND * far_m))
    }
}

/// The ground is looked along to this many times the hill's farthest place: what stood behind it.
const BEYOND: f64 = 3.0;
/// Ground nearer to the eye than this is under its feet, metres.
const AT_FEET_M: f64 = 0.5;

/// The steepest line of sight from the eye to the ground along a direction.
fn highest_ground(ground: &Locator<&Surface>, eye_m: [f64; 3], end: [f64; 2]) -> Option<Highest> {
    let line = ground.section([eye_m[0], eye_m[1]], end).ok()?;
    let ahead = line.iter().filter(|p| p.station_m > AT_FEET_M);
    let sights =
        ahead.map(|p| Highest { slope: (p.z - eye_m[2]) / p.station_m, away_m: p.station_m });
    sights.max_by(|a, b| a.slope.total_cmp(&b.slope))
}

/// The steepest line of sight to the eaves of a house along a direction; none past all.
///
/// A house that the eye is in hides nothing from it.
fn highest_house(houses: &[House], eye_m: [f64; 3], end: [f64; 2]) -> Option<Highest> {
    let eye = [eye_m[0], eye_m[1]];
    let seen = houses.iter().filter(|house| !curve::contains(&house.outline_m, eye));
    let slopes = seen.flat_map(|house| {
        let above_m = house.floor_m + house.height_m - eye_m[2];
        let at = move |away_m| Highest { slope: above_m / away_m, away_m };
        crossings_m(&house.outline_m, eye, end).into_iter().map(at)
    });
    slopes.max_by(|a, b| a.slope.total_cmp(&b.slope))
}

/// Distances from a place at which the way to an end crosses an outline.
fn crossings_m(outline: &[[f64; 2]], from: [f64; 2], end: [f64; 2]) -> Vec<f64> {
    let sub = |a: [f64; 2], b: [f64; 2]| [a[0] - b[0], a[1] - b[1]];
    let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let way = sub(end, from);
    let length_m = libm::hypot(way[0], way[1]);
    let sides = (0..outline.len()).map(|i| [outline[i], outline[(i + 1) % outline.len()]]);
    let crossing = |[a, b]: [[f64; 2]; 2]| {
        let (side, off) = (sub(b, a), sub(a, from));
        let across = cross(way, side);
        let (share, along) = (cross(off, side) / across, cross(off, way) / across);
        let meets = share > 0.0 && share <= 1.0 && (0.0..=1.0).contains(&along);
        meets.then_some(share * length_m)
    };
    sides.filter_map(crossing).collect()
}

/// The outline is the top as long as it stands this share of its greatest angle above what was there.
const BROW: f64 = 0.9;

/// The fall of the outline from its brow to where it stands half as much above what was there, in the
/// upright plane through the summit.
fn shoulder(
    sights: &[Sight],
    peak: usize,
    run_m: f64,
    outward: impl Iterator<Item = usize>,
) -> f64 {
    let place = |i: usize| {
        let (sin, cos) = libm::sincos(sights[i].off_rad);
        [run_m * sin / cos, run_m / cos * sights[i].finished]
    };
    let above = |i: usize| sights[i].finished - sights[i].existing;
    let (mut brow, mut last) = (peak, peak);
    for i in outward {
        last = i;
        if above(i) >= BROW * above(peak) {
            brow = i;
        }
        if above(i) <= 0.5 * above(peak) {
            break;
        }
    }
    let (top, side) = (place(brow), place(last));
    if last == brow { 0.0 } else { (top[1] - side[1]) / (side[0] - top[0]).abs() }
}
