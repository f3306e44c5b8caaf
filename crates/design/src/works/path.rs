//! The path: cross sections along its line, doubled at each riser of a step.
//!
//! ```text
//!                      ___ tread
//!                  ___|           between two drawn points that rise too steeply: half the ramp,
//!        ____-----|   riser       a flight of even risers, the other half
//!   ----
//! ```
//! A flight of n risers R with treads T = K - 2 R takes n T of the length L between two drawn points;
//! the ramps rise the largest grade g over the rest. Banks run from the line through the feet of the
//! risers, so that no soil lies on a tread.

mod stones;

use std::sync::Arc;

use ground::Lattice;
use ground::curve::{Closure, Path as Way};
use ground::patch::{self, Section};
use site::Curve;
use site::works::{Path, StepRule};
use units::{LengthUnit, length_text};

use super::bank::BankLine;
use super::kept::Kept;
use super::outline::Outline;
use super::vessel::{Vessel, sunk, sunk_beside};
use super::{Body, CHORD_M, Form, number};
use crate::part::Part;
use crate::{Problem, Shape};

/// What a path takes from the basin that it crosses.
pub(super) struct Crossed<'s> {
    pub(super) outline: &'s Curve,
    pub(super) water_m: f64,
}

/// A path with what it needs of the site around it.
pub(super) struct Drawn<'s> {
    pub(super) path: &'s Path,
    pub(super) crossed: Option<Crossed<'s>>,
    /// The unit in which a refusal gives its numbers.
    pub(super) unit: LengthUnit,
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice, kept: &mut Kept) -> Form {
    let mut shape = Shape::default();
    let vessel = vessel(drawn, owner, lattice, &mut shape);
    let vessel = vessel.map(|vessel| Vessel {
        sunk: sunk_beside(&vessel.sunk, &vessel.core, &vessel.no_fill, kept),
        ..vessel
    });
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

/// A path's line and its middle by station; none where it has no shape.
pub(crate) fn walked(path: &Path, lattice: Lattice) -> Option<(Way, Profile)> {
    let line = Outline::line(lattice, &path.line, CHORD_M).ok()?;
    let way = Way::new(&line.points, Closure::Open).ok()?;
    let profile = profile(&Drawn { path, crossed: None, unit: LengthUnit::Metre }, &way).ok()?;
    Some((way, profile))
}

fn vessel(
    drawn: &Drawn<'_>,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Vessel, Problem> {
    let path = drawn.path;
    let at_m = path.line.points.first().copied().unwrap_or_default();
    let problem = |message: String| Problem { message, at_m };
    let line = Outline::line(lattice, &path.line, CHORD_M)?;
    let way = Way::new(&line.points, Closure::Open).map_err(|e| problem(e.to_string()))?;
    let profile = profile(drawn, &way)?;
    let sections = sections(path, &way, &profile).map_err(problem)?;
    let core = patch::corridor(lattice, &sections, owner, &[number(Part::Path)])
        .map_err(|e| problem(e.to_string()))?;
    let crossed = drawn.crossed.as_ref();
    let water = crossed.and_then(|crossed| super::outline_ring(lattice, crossed.outline));
    if let (Some(ring), Some(crossed), Some(rule)) = (&water, crossed, path.stones) {
        shape.stones = stones::across(&way, ring, rule, crossed.water_m);
        if shape.stones.is_empty() {
            let message = "its stepping stones find no water: its line does not cross the basin";
            shape.problems.push(problem(message.into()));
        }
    }
    let crossed: Vec<Vec<[f64; 2]>> = water.into_iter().collect();
    Ok(Vessel {
        owner,
        sunk: Arc::new(sunk(&core)),
        lid: None,
        core: Arc::new(core),
        lines: vec![around(&sections, lattice)],
        cut_bank: path.cut_bank,
        fill_bank: path.fill_bank,
        no_fill: crossed.clone(),
        no_cut: crossed,
        running: None,
        held: Vec::new(),
    })
}

/// A path's middle by distance: pairs of station and elevation; two at one station are a riser.
pub(crate) type Profile = Vec<[f64; 2]>;

fn profile(drawn: &Drawn<'_>, way: &Way) -> Result<Profile, Problem> {
    let path = drawn.path;
    let place = |i: usize| {
        let at_m = path.line.points[i];
        let level_m = path.level_m.get(if path.level_m.len() == 1 { 0 } else { i });
        match level_m.filter(|level_m| level_m.is_finite()) {
            Some(&level_m) => Ok([way.nearest(at_m).station_m, level_m]),
            None => Err(Problem { message: format!("it has no level at point {}", i + 1), at_m }),
        }
    };
    let mut from = place(0)?;
    let mut profile = vec![from];
    for i in 1..path.line.points.len() {
        let to = place(i)?;
        let laid = laid(path, from, to, drawn.unit).map_err(|message| Problem {
            message: format!("between points {i} and {}, {message}", i + 1),
            at_m: path.line.points[i - 1],
        })?;
        profile.extend(laid);
        from = to;
    }
    Ok(profile)
}

/// The profile from one drawn point to the next, without its start.
///
/// A flight down is the flight up that is met when walking the other way.
fn laid(path: &Path, from: [f64; 2], to: [f64; 2], unit: LengthUnit) -> Result<Profile, String> {
    if to[1] >= from[1] {
        return laid_up(path, from, to, unit);
    }
    let back = |[station_m, level_m]: [f64; 2]| [-station_m, level_m];
    let up = laid_up(path, back(to), back(from), unit)?;
    Ok(up.into_iter().rev().skip(1).map(back).chain([to]).collect())
}

/// The profile up from one place to another, without its start: one slope, or a slope, a flight of
/// steps, and a slope.
fn laid_up(path: &Path, from: [f64; 2], to: [f64; 2], unit: LengthUnit) -> Result<Profile, String> {
    let climb = Climb {
        length_m: to[0] - from[0],
        rise_m: to[1] - from[1],
        largest_grade: path.largest_grade,
    };
    if climb.length_m <= 0.0 {
        let two_levels = || "two levels stand at one place of the line".to_owned();
        return if climb.rise_m == 0.0 { Ok(Vec::new()) } else { Err(two_levels()) };
    }
    if climb.is_walked() {
        return Ok(vec![to]);
    }
    let flight = climb.flight(path.steps).ok_or_else(|| climb.refusal(path.steps, unit))?;
    let ramp_m = 0.5 * (climb.length_m - f64::from(flight.n) * flight.tread_m);
    let ramp_m = if ramp_m < SAME_KNOT_M { 0.0 } else { ramp_m };
    let mut laid = Vec::new();
    let mut at = [from[0] + ramp_m, from[1] + climb.largest_grade * ramp_m];
    if ramp_m > 0.0 {
        laid.push(at);
    }
    for _ in 0..flight.n {
        at[1] += flight.riser_m;
        laid.push(at);
        at[0] += flight.tread_m;
        laid.push(at);
    }
    // The flight's last tread ends where it meets the ramp, or at the very place.
    if ramp_m <= 0.0 {
        laid.pop();
    }
    laid.push(to);
    Ok(laid)
}

/// What is to be climbed between two drawn points.
#[derive(Clone, Copy, Debug)]
struct Climb {
    length_m: f64,
    rise_m: f64,
    largest_grade: f64,
}

/// Steps of one height and depth.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Flight {
    n: u32,
    riser_m: f64,
    tread_m: f64,
}

/// Grades, risers and lengths that differ by less are alike.
const SAME: f64 = 1e-9;

/// The shortest tread that takes a foot: common practice.
const LEAST_TREAD_M: f64 = 0.25;

/// No flight has more risers.
const MOST_RISERS: u32 = 500;

impl Climb {
    fn is_walked(self) -> bool {
        self.rise_m <= (self.largest_grade + SAME) * self.length_m
    }

    /// The flight with the fewest risers that are low enough, if it fits the length.
    ///
    /// n R + g (L - n T) is the rise, so R = (rise - g L + g n K) / (n (1 + 2 g)): with every riser
    /// more they are lower, and the flight is longer.
    fn flight(self, rule: StepRule) -> Option<Flight> {
        let (grade, going_m) = (self.largest_grade, rule.two_risers_and_tread_m);
        let of = |n: u32| {
            let steep_m = self.rise_m - grade * self.length_m;
            let riser_m = steep_m / (f64::from(n) * (1.0 + 2.0 * grade))
                + grade * going_m / (1.0 + 2.0 * grade);
            Flight { n, riser_m, tread_m: going_m - 2.0 * riser_m }
        };
        let highest_m = highest_riser_m(rule);
        let flight = (1..=MOST_RISERS).map(of).find(|f| f.riser_m <= highest_m + SAME)?;
        (f64::from(flight.n) * flight.tread_m <= self.length_m + SAME).then_some(flight)
    }

    /// Why no flight fits, with the length that would do: of a flight alone, or of a slope where that
    /// is shorter than any flight.
    fn refusal(self, rule: StepRule, unit: LengthUnit) -> String {
        let n = (self.rise_m / highest_riser_m(rule) - SAME).ceil().max(1.0);
        let flight_m = n * rule.two_risers_and_tread_m - 2.0 * self.rise_m;
        let slope_m = self.rise_m / self.largest_grade;
        let there_are = format!("and there are {}", length_text(self.length_m, unit));
        if flight_m < slope_m {
            let (riser, need) = (length_text(self.rise_m / n, unit), length_text(flight_m, unit));
            format!("{n} steps of {riser} need {need} of length, {there_are}")
        } else {
            let need = length_text(slope_m, unit);
            format!("its steepest grade needs {need} of length, {there_are}")
        }
    }
}

/// The highest riser that the rule allows and that leaves a tread.
fn highest_riser_m(rule: StepRule) -> f64 {
    rule.riser_m.min(0.5 * (rule.two_risers_and_tread_m - LEAST_TREAD_M))
}

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

/// The line from which banks run: down its right side and back up its left.
fn around(sections: &[Section], lattice: Lattice) -> BankLine {
    let feet = feet(sections);
    let right = edge(&feet, 1, lattice);
    let mut left = edge(&feet, 0, lattice);
    left.reverse();
    BankLine { points: [right, left].concat(), closure: Closure::Closed }
}

/// The sections with those at a riser drawn together at its foot.
fn feet(sections: &[Section]) -> Vec<Section> {
    let mut feet: Vec<Section> = Vec::new();
    for section in sections {
        let is_riser =
            |last: &Section| last.points.iter().zip(&section.points).all(|(a, b)| a.0 == b.0);
        match feet.last_mut().filter(|last| is_riser(last)) {
            Some(last) => {
                for (foot, top) in last.points.iter_mut().zip(&section.points) {
                    foot.1 = foot.1.min(top.1);
                }
            }
            None => feet.push(section.clone()),
        }
    }
    feet
}

/// One side as the corridor draws it: where cross lines share a pivot, at their mean height.
fn edge(feet: &[Section], side: usize, lattice: Lattice) -> Vec<([f64; 2], f64)> {
    let place = |section: &Section| lattice.snap(section.points[side].0).ok();
    feet.chunk_by(|a, b| place(a) == place(b))
        .map(|shared| {
            let sum_m: f64 = shared.iter().map(|section| section.points[side].1).sum();
            (shared[0].points[side].0, sum_m / shared.len() as f64)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const RULE: StepRule = StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 };

    fn climb(length_m: f64, rise_m: f64, largest_grade: f64) -> Climb {
        Climb { length_m, rise_m, largest_grade }
    }

    #[test]
    fn steps_of_the_book_follow_the_rule() {
        // *Construction for Landscape Architecture* (2011), Steps: 2R + T = 22 to 30 in with risers
        // of 4 to 5 in (A-07): a 5 in riser by 26 in has a tread of 16 in.
        let inch = 0.0254;
        let rule = StepRule { riser_m: 5.0 * inch, two_risers_and_tread_m: 26.0 * inch };
        let flight = climb(4.0 * 16.0 * inch, 20.0 * inch, 0.0).flight(rule).unwrap();
        assert_eq!(flight.n, 4);
        assert!((flight.riser_m - 5.0 * inch).abs() < 1e-12, "{flight:?}");
        assert!((flight.tread_m - 16.0 * inch).abs() < 1e-12, "{flight:?}");
    }

    #[test]
    fn ramps_and_flight_make_up_the_rise() {
        for (length_m, rise_m, grade) in [(4.0, 0.9, 0.08), (9.0, 1.4, 0.1), (3.2, 0.5, 0.0)] {
            let climb = climb(length_m, rise_m, grade);
            let flight = climb.flight(RULE).unwrap();
            let n = f64::from(flight.n);
            let ramps_m = length_m - n * flight.tread_m;
            assert!(ramps_m >= -SAME && flight.riser_m <= RULE.riser_m + SAME, "{flight:?}");
            assert!((n * flight.riser_m + grade * ramps_m - rise_m).abs() < 1e-12, "{flight:?}");
            assert!((2.0 * flight.riser_m + flight.tread_m - 0.65).abs() < 1e-12, "{flight:?}");
        }
    }

    #[test]
    fn the_length_that_a_refusal_names_is_the_least_that_does() {
        // 0.9 m in six risers of 0.15 m: six treads of 0.35 m.
        let told = climb(1.9, 0.9, 0.1).refusal(RULE, LengthUnit::Metre);
        assert_eq!(told, "6 steps of 0.15 m need 2.10 m of length, and there are 1.90 m");
        assert_eq!(climb(2.09, 0.9, 0.1).flight(RULE), None);
        assert_eq!(climb(2.1, 0.9, 0.1).flight(RULE).map(|flight| flight.n), Some(6));
        // Steps of the rule climb 0.15 in 0.35: no more steeply than 1 in 2.
        let told = climb(1.0, 0.9, 0.5).refusal(RULE, LengthUnit::Metre);
        assert_eq!(told, "its steepest grade needs 1.80 m of length, and there are 1.00 m");
        assert_eq!(climb(1.79, 0.9, 0.5).flight(RULE), None);
        assert!(climb(1.8, 0.9, 0.5).is_walked());
    }

    #[test]
    fn a_riser_leaves_a_tread() {
        let rule = StepRule { riser_m: 0.3, two_risers_and_tread_m: 0.55 };
        let flight = climb(3.0, 0.6, 0.0).flight(rule).unwrap();
        assert!(flight.tread_m >= LEAST_TREAD_M - SAME && flight.n == 4, "{flight:?}");
    }
}
