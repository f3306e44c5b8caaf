//! The wall: an upright or leaning face, a top of its thickness, and the fill behind.
//!
//! ```text
//!       line
//!        |<- thickness ->|
//!        +---------------+ top
//!        |                \
//!   face |                  \  backfill, until it meets ground
//! _______|
//! ```
//! Fill falls off from its top at its own grade in every direction, so it cannot lie flatter than the
//! top falls along the wall: it would stand above the wall's lower end. Where the top falls, the
//! fill behind is drawn steep enough to fall away from the wall as it falls along it.
//!
//! A filter or a pond that it holds stays open: no fill goes inside its outline.
//!
//! An upright face has no width: it is where the wall's patch ends, an exact step.
//!
//! A wall in tiers, or one whose top steps, is a [`Terraced`].

use ground::Lattice;
use ground::curve::Closure;
use site::Curve;
use site::works::{Side as Retained, TopRun, Wall};
use units::{LengthUnit, length_text};

use super::outline::{Outline, lifted, traced};
use super::raised::{Raised, Side, Slope};
use super::terraced::{Section, Terraced, room_m, top_edge};
use super::{Body, CHORD_M, Form};
use crate::part::Part;
use crate::{Problem, Shape};

/// The least thickness of a wall: a flat stone on edge.
const LEAST_THICKNESS_M: f64 = 0.02;

/// A face that leans less than this is upright: 1 in 1000 is within a mason's eye.
const LEAST_BATTER: f64 = 1e-3;

/// Grade of the fill for each grade of the top along the wall: as steep away from the wall as along
/// it, so that it falls aslant at half a right angle.
const FALLS_AWAY: f64 = std::f64::consts::SQRT_2;

/// A wall as it is drawn, and what it takes from other works.
pub(super) struct Drawn<'a> {
    pub(super) wall: &'a Wall,
    /// The outline of the water that it holds.
    pub(super) held: Option<&'a Curve>,
    /// The unit of the numbers in what it refuses.
    pub(super) unit: LengthUnit,
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let body = body(drawn, owner, lattice, &mut shape);
    Form::new(body, shape)
}

fn body(
    drawn: &Drawn<'_>,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Body, Problem> {
    let &Drawn { wall, held, unit } = drawn;
    let line = top(wall, lattice)?;
    let no_fill = held.and_then(|held| super::outline_ring(lattice, held)).into_iter().collect();
    shape.wall_tops.push(traced(&line, Closure::Open));
    if wall.tiers.is_empty() && !steps(&line) {
        return Ok(Body::Raised(raised(wall, owner, line, no_fill)));
    }
    let (section, said) = section(wall, &line, unit);
    shape.problems.extend(said.into_iter().map(|message| Problem { message, at_m: line[0].0 }));
    let tops = section.tiers.iter().map(|&tier| top_edge(&line, wall.retains, tier));
    shape.wall_tops.extend(tops.map(|top| traced(&top, Closure::Open)));
    let retains = wall.retains;
    Ok(Body::Terraced(Box::new(Terraced { owner, line, retains, section, no_fill })))
}

/// The exposed top edge in front; two places, one above the other, where it steps.
fn top(wall: &Wall, lattice: Lattice) -> Result<Vec<([f64; 2], f64)>, Problem> {
    let line = Outline::line(lattice, &wall.line, CHORD_M)?;
    if line.points.len() < 2 {
        let message = "its line needs two different points".into();
        return Err(Problem { message, at_m: line.points[0] });
    }
    Ok(match wall.top_run {
        TopRun::Sloping => lifted(&line.points, &line.blended(&wall.top_m)),
        TopRun::Stepped => line.stepped(&wall.top_m),
    })
}

fn steps(line: &[([f64; 2], f64)]) -> bool {
    line.windows(2).any(|pair| pair[0].0 == pair[1].0)
}

/// The section with the tiers that have room, in section and along the line, and what is said of
/// those that have none.
fn section(wall: &Wall, line: &[([f64; 2], f64)], unit: LengthUnit) -> (Section, Vec<String>) {
    let size = [wall.thickness_m.max(LEAST_THICKNESS_M), lean(wall)];
    let (mut section, said) = Section::of(wall, size, unit);
    let mut said: Vec<String> = said.into_iter().collect();
    let places: Vec<[f64; 2]> = line.iter().map(|point| point.0).collect();
    let room = |tier: &[f64; 2]| room_m(&places, wall.retains, tier[0]);
    if let Some((i, room_m)) =
        section.tiers.iter().enumerate().find_map(|(i, tier)| Some((i, room(tier)?)))
    {
        let [back, room] = [section.tiers[i][0], room_m].map(|m| length_text(m, unit));
        said.push(format!(
            "wall {} of its tiers stands {back} behind the line, which bends too tightly for more \
             than {room}",
            i + 2,
        ));
        section.tiers.truncate(i);
    }
    (section, said)
}

/// The line in front of which a wall lets nothing down: the top edge of its hindmost tier, with the
/// side that is not retained on its right.
pub(super) fn holding_line(wall: &Wall, lattice: Lattice) -> Option<Vec<[f64; 2]>> {
    let line = top(wall, lattice).ok()?;
    let (section, _) = section(wall, &line, LengthUnit::Metre);
    let edge = match section.tiers.last() {
        Some(&tier) => top_edge(&line, wall.retains, tier),
        None => line,
    };
    let mut places: Vec<[f64; 2]> = edge.into_iter().map(|point| point.0).collect();
    places.dedup();
    if wall.retains == Retained::Right {
        places.reverse();
    }
    (places.len() > 1).then_some(places)
}

/// Lean of the exposed faces; zero where they are upright.
fn lean(wall: &Wall) -> f64 {
    if wall.batter >= LEAST_BATTER { wall.batter } else { 0.0 }
}

fn raised(
    wall: &Wall,
    owner: u32,
    line: Vec<([f64; 2], f64)>,
    no_fill: Vec<Vec<[f64; 2]>>,
) -> Raised {
    let falls = falls(&line);
    let side = |level_m: f64, run_per_rise: f64, face| Side {
        slopes: (falls.iter())
            .map(|fall| Slope {
                level_m,
                run_per_rise: run_per_rise.min(1.0 / (FALLS_AWAY * fall)),
                shoulder_m: 0.0,
                toe_m: 0.0,
            })
            .collect(),
        top: Part::WallTop,
        face,
    };
    let behind = side(wall.thickness_m.max(LEAST_THICKNESS_M), wall.backfill, Part::Backfill);
    let batter = lean(wall);
    let front = (batter > 0.0).then(|| side(0.0, batter, Part::WallFace));
    let (left, right) = match wall.retains {
        Retained::Left => (Some(behind), front),
        Retained::Right => (front, Some(behind)),
    };
    Raised { owner, line, left, right, no_fill, held: None }
}

/// The steepest fall of the line beside each of its places.
fn falls(line: &[([f64; 2], f64)]) -> Vec<f64> {
    let fall = |pair: &[([f64; 2], f64)]| {
        let [(a, a_m), (b, b_m)] = [pair[0], pair[1]];
        (b_m - a_m).abs() / libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    let pieces: Vec<f64> = line.windows(2).map(fall).collect();
    let steepest = |i: usize| {
        let beside = &pieces[i.saturating_sub(1)..(i + 1).min(pieces.len())];
        beside.iter().copied().fold(0.0, f64::max)
    };
    (0..line.len()).map(steepest).collect()
}
