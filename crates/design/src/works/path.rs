//! The path: cross sections along its line, doubled at each riser of a step.
//!
//! ```text
//!                      ___ tread
//!                  ___|           between two drawn points that rise too steeply: half the ramp,
//!        ____-----|   riser       a flight of even risers, the other half
//!   ----
//! ```
//! The ramp takes what the largest grade allows, the flight the rest.

use ground::curve::{Closure, Path as Way};
use ground::patch::{self, Section};
use ground::{Lattice, curve};
use site::Curve;
use site::works::Path;

use super::bank::BankLine;
use super::outline::Outline;
use super::vessel::{Vessel, sunk};
use super::{Body, CHORD_M, Form, number};
use crate::part::Part;
use crate::{Problem, Shape, Stone};

/// What a path takes from the basin that it crosses.
pub(super) struct Crossed<'s> {
    pub(super) outline: &'s Curve,
    pub(super) water_m: f64,
}

pub(super) fn form(
    path: &Path,
    owner: u32,
    crossed: Option<Crossed<'_>>,
    lattice: Lattice,
) -> Form {
    let mut shape = Shape::default();
    let vessel = vessel(path, owner, crossed, lattice, &mut shape);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

fn vessel(
    path: &Path,
    owner: u32,
    crossed: Option<Crossed<'_>>,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Vessel, Problem> {
    let at_m = path.line.points.first().copied().unwrap_or_default();
    let problem = |message: String| Problem { message, at_m };
    let line = Outline::line(lattice, &path.line, CHORD_M)?;
    let way = Way::new(&line.points, Closure::Open).map_err(|e| problem(e.to_string()))?;
    let profile = profile(path, &way)?;
    let sections = sections(path, &way, &profile).map_err(problem)?;
    let core = patch::corridor(lattice, &sections, owner, &[number(Part::Path)])
        .map_err(|e| problem(e.to_string()))?;
    let water = crossed.as_ref().and_then(|crossed| super::outline_ring(lattice, crossed.outline));
    if let (Some(ring), Some(crossed)) = (&water, &crossed) {
        shape.stones = stones(path, &way, ring, crossed.water_m);
    }
    let kept: Vec<Vec<[f64; 2]>> = water.into_iter().collect();
    Ok(Vessel {
        owner,
        sunk: sunk(&core, &kept),
        core,
        lines: vec![around(&sections)],
        cut_bank: path.cut_bank,
        fill_bank: path.fill_bank,
        no_fill: kept.clone(),
        no_cut: kept,
        running: None,
    })
}

/// A path's middle by distance: pairs of station and elevation; two at one station are a riser.
type Profile = Vec<[f64; 2]>;

fn profile(path: &Path, way: &Way) -> Result<Profile, Problem> {
    let level_m = |i: usize| path.level_m[if path.level_m.len() == 1 { 0 } else { i }];
    let stations: Vec<f64> = path.line.points.iter().map(|&p| way.nearest(p).station_m).collect();
    let mut profile = vec![[stations[0], level_m(0)]];
    for i in 1..stations.len() {
        let leg = Leg {
            from: [stations[i - 1], level_m(i - 1)],
            to: [stations[i], level_m(i)],
            largest_grade: path.largest_grade,
        };
        let laid = leg.laid(path).map_err(|message| Problem {
            message: format!("between points {i} and {}: {message}", i + 1),
            at_m: path.line.points[i - 1],
        })?;
        profile.extend(laid);
    }
    Ok(profile)
}

/// The stretch between two drawn points.
struct Leg {
    from: [f64; 2],
    to: [f64; 2],
    largest_grade: f64,
}

/// Grades that differ by less are alike.
const SAME_GRADE: f64 = 1e-9;

impl Leg {
    /// The profile after its start: one slope, or a slope, a flight of steps, and a slope.
    ///
    /// A flight of n risers R with treads T = K - 2 R takes n T of the length L; the ramps rise the
    /// largest grade g over the rest: n R + g (L - n T) is the rise, so
    /// R = (rise - g L + g n K) / (n (1 + 2 g)). The least n whose riser is low enough is taken.
    fn laid(&self, path: &Path) -> Result<Profile, String> {
        let length_m = self.to[0] - self.from[0];
        let (rise_m, sign) =
            ((self.to[1] - self.from[1]).abs(), (self.to[1] - self.from[1]).signum());
        let grade = self.largest_grade;
        if length_m <= 0.0 {
            return if rise_m == 0.0 {
                Ok(Vec::new())
            } else {
                Err("two levels stand at one place of the line".into())
            };
        }
        if rise_m <= (grade + SAME_GRADE) * length_m {
            return Ok(vec![self.to]);
        }
        let (going_m, highest_m) = (path.steps.two_risers_and_tread_m, path.steps.riser_m);
        let riser_m =
            |n: f64| (rise_m - grade * length_m + grade * n * going_m) / (n * (1.0 + 2.0 * grade));
        // The riser falls toward g K / (1 + 2 g) as risers are added.
        let n = (1..=MOST_RISERS).map(f64::from).find(|&n| riser_m(n) <= highest_m + SAME_GRADE);
        let Some(n) = n else {
            return Err("no flight of steps is low enough in the riser".into());
        };
        let riser_m = riser_m(n);
        let tread_m = going_m - 2.0 * riser_m;
        let flight_m = n * tread_m;
        if flight_m > length_m + SAME_GRADE {
            return Err(format!(
                "{n} steps of {:.0} mm need {flight_m:.2} m of length, and there are {length_m:.2} m",
                1000.0 * riser_m
            ));
        }
        let ramp_m = 0.5 * (length_m - flight_m).max(0.0);
        let mut laid = Vec::new();
        let (mut station_m, mut level_m) =
            (self.from[0] + ramp_m, self.from[1] + sign * grade * ramp_m);
        if ramp_m > 0.0 {
            laid.push([station_m, level_m]);
        }
        for _ in 0..n as u32 {
            level_m += sign * riser_m;
            laid.push([station_m, level_m]);
            station_m += tread_m;
            laid.push([station_m, level_m]);
        }
        laid.push(self.to);
        if ramp_m <= 0.0 {
            laid.pop();
        }
        Ok(laid)
    }
}

/// No flight has more.
const MOST_RISERS: u32 = 500;

/// Cross sections at every vertex of the line and of the profile.
fn sections(path: &Path, way: &Way, profile: &Profile) -> Result<Vec<Section>, String> {
    let half_m = 0.5 * path.width_m;
    let knots = knots(way, profile);
    let places: Vec<[f64; 2]> = knots.iter().map(|[s, _]| way.at_station(*s).at).collect();
    let lines = patch::cross_lines(&places, &vec![[half_m; 2]; places.len()])
        .map_err(|error| error.to_string())?;
    let across_m = path.cross_fall * half_m;
    let section = |(line, [_, z]): (patch::CrossLine, [f64; 2])| Section {
        points: vec![
            (line.at_offset(half_m), z + across_m),
            (line.at_offset(-half_m), z - across_m),
        ],
    };
    Ok(lines.into_iter().zip(knots).map(section).collect())
}

/// Knots nearer than this are one, metres.
const SAME_KNOT_M: f64 = 1e-6;

/// The profile with the line's own vertices between its points.
fn knots(way: &Way, profile: &Profile) -> Profile {
    let mut knots = vec![profile[0]];
    for pair in profile.windows(2) {
        let [[a, a_m], [b, b_m]] = [pair[0], pair[1]];
        let inner =
            way.stations_m().iter().filter(|s| **s > a + SAME_KNOT_M && **s < b - SAME_KNOT_M);
        knots.extend(inner.map(|&s| [s, a_m + (b_m - a_m) * (s - a) / (b - a)]));
        knots.push(pair[1]);
    }
    knots
}

/// The core's outer edge, from which banks run: down its right side and back up its left.
fn around(sections: &[Section]) -> BankLine {
    let side = |k: usize| sections.iter().map(move |section| section.points[k]);
    let mut points: Vec<_> = side(1).chain(side(0).rev()).collect();
    points.dedup_by(|b, a| a.0 == b.0);
    BankLine { points, closure: Closure::Closed }
}

/// Stones along the stretches of the line that lie over the water.
fn stones(path: &Path, way: &Way, ring: &[[f64; 2]], water_m: f64) -> Vec<Stone> {
    let Some(rule) = path.stones else { return Vec::new() };
    let pitch_m = rule.stone_m + rule.gap_m;
    let n = (way.length_m() / pitch_m).floor() as usize;
    // The row is even about the middle of the line.
    let first_m = 0.5 * (way.length_m() - n as f64 * pitch_m);
    (0..=n)
        .map(|i| way.at_station(first_m + i as f64 * pitch_m).at)
        .filter(|&at| curve::contains(ring, at))
        .map(|at_m| Stone {
            at_m,
            radius_m: 0.5 * rule.stone_m,
            top_m: water_m + rule.above_water_m,
        })
        .collect()
}
