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
//! An upright face has no width: it is where the wall's patch ends, an exact step.

use ground::Lattice;
use ground::curve::Closure;
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

pub(super) fn form(wall: &Wall, owner: u32, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let raised = raised(wall, owner, lattice);
    shape.wall_tops.extend(raised.iter().map(|raised| traced(&raised.line, Closure::Open)));
    Form::new(raised.map(Body::Raised), shape)
}

fn raised(wall: &Wall, owner: u32, lattice: Lattice) -> Result<Raised, Problem> {
    let line = Outline::line(lattice, &wall.line, CHORD_M)?;
    if line.points.len() < 2 {
        let message = "its line needs two different points".into();
        return Err(Problem { message, at_m: line.points[0] });
    }
    let top = lifted(&line.points, &line.blended(&wall.top_m));
    let n = top.len();
    let side = |level_m: f64, run_per_rise: f64, face| Side {
        slopes: vec![Slope { level_m, run_per_rise, shoulder_m: 0.0, toe_m: 0.0 }; n],
        top: Part::WallTop,
        face,
    };
    let behind = side(wall.thickness_m.max(LEAST_THICKNESS_M), wall.backfill, Part::Backfill);
    let front = (wall.batter >= LEAST_BATTER).then(|| side(0.0, wall.batter, Part::WallFace));
    let (left, right) = match wall.retains {
        Retained::Left => (Some(behind), front),
        Retained::Right => (front, Some(behind)),
    };
    Ok(Raised { owner, line: top, left, right })
}
