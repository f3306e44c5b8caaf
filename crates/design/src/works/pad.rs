//! Plane places: the pad and the graded lawn.
//!
//! ```text
//!            at            toward
//!   ground    +--------------+            level at `at`, falling toward `toward`
//!        \___________________________
//!        cut bank                    \___ fill bank
//! ```

use ground::Lattice;
use ground::curve::Closure;
use site::Curve;
use site::works::{Pad, Plane, PlaneGrade};

use super::bank::BankLine;
use super::outline::{Outline, lifted};
use super::vessel::{Ring, Vessel, core};
use super::{Body, Form};
use crate::part::Part;
use crate::{Problem, Shape};

pub(super) fn form(pad: &Pad, owner: u32, lattice: Lattice) -> Form {
    let banks = [pad.cut_bank, pad.fill_bank];
    let vessel = vessel((&pad.outline, Part::Pad), &pad.plane, banks, owner, lattice);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), Shape::default())
}

/// The form of a lawn that falls one way.
pub(super) fn lawn(grade: &PlaneGrade, owner: u32, lattice: Lattice) -> Form {
    let banks = [grade.cut_bank, grade.fill_bank];
    let vessel = vessel((&grade.outline, Part::Lawn), &grade.plane, banks, owner, lattice);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), Shape::default())
}

fn vessel(
    (outline, part): (&Curve, Part),
    plane: &Plane,
    banks: [f64; 2],
    owner: u32,
    lattice: Lattice,
) -> Result<Vessel, Problem> {
    let outline = Outline::ring(lattice, outline)?;
    let falls = falls(plane)?;
    let level_m = |p: &[f64; 2]| {
        let away = [p[0] - plane.at[0], p[1] - plane.at[1]];
        plane.level_m - away[0] * falls[0] - away[1] * falls[1]
    };
    let edge = lifted(&outline.points, &outline.points.iter().map(level_m).collect::<Vec<_>>());
    let core = core(lattice, &[Ring { points: edge.clone(), part, band: 0 }], owner)?;
    let lines = vec![BankLine { points: edge, closure: Closure::Closed }];
    Ok(Vessel::still(owner, core, lines, banks))
}

/// Fall for each metre east and north.
fn falls(plane: &Plane) -> Result<[f64; 2], Problem> {
    let way = [plane.toward[0] - plane.at[0], plane.toward[1] - plane.at[1]];
    let length_m = libm::hypot(way[0], way[1]);
    if plane.fall == 0.0 {
        return Ok([0.0; 2]);
    }
    if length_m == 0.0 {
        let message = "it falls toward the very place whose level is given".into();
        return Err(Problem { message, at_m: plane.at });
    }
    Ok(way.map(|w| plane.fall * w / length_m))
}
