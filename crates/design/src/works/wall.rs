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

use ground::Lattice;
use ground::curve::Closure;
use site::Curve;
use site::works::{Side as Retained, Wall};

use super::outline::{Outline, lifted, traced};
use super::raised::{Raised, Side, Slope};
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

pub(super) fn form(wall: &Wall, owner: u32, held: Option<&Curve>, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let raised = raised(wall, owner, held, lattice);
    shape.wall_tops.extend(raised.iter().map(|raised| traced(&raised.line, Closure::Open)));
    Form::new(raised.map(Body::Raised), shape)
}

fn raised(
    wall: &Wall,
    owner: u32,
    held: Option<&Curve>,
    lattice: Lattice,
) -> Result<Raised, Problem> {
    let line = Outline::line(lattice, &wall.line, CHORD_M)?;
    if line.points.len() < 2 {
        let message = "its line needs two different points".into();
        return Err(Problem { message, at_m: line.points[0] });
    }
    let top = lifted(&line.points, &line.blended(&wall.top_m));
    let falls = falls(&top);
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
    let front = (wall.batter >= LEAST_BATTER).then(|| side(0.0, wall.batter, Part::WallFace));
    let (left, right) = match wall.retains {
        Retained::Left => (Some(behind), front),
        Retained::Right => (front, Some(behind)),
    };
    let no_fill = held.and_then(|held| super::outline_ring(lattice, held)).into_iter().collect();
    Ok(Raised { owner, line: top, left, right, no_fill })
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
