//! The filter bed: a box with a rim that is notched where the water leaves.
//!
//! ```text
//!   rim ______            ______ rim        lip + freeboard
//!             \__________/                  lip, over its width
//!          ramp|  width  |ramp
//! ```

use ground::Lattice;
use site::works::FilterBed;

use super::notch::{Notch, Pit};
use super::outline::Outline;
use super::vessel::Vessel;
use super::{Body, Form};
use crate::{Problem, Shape, Sheet, SheetMaterial};

pub(super) fn form(bed: &FilterBed, owner: u32, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let vessel = vessel(bed, owner, lattice, &mut shape);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

fn vessel(
    bed: &FilterBed,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Vessel, Problem> {
    let outline = Outline::ring(lattice, &bed.outline)?;
    let lip_m = bed.lip.elevation_m;
    let notch = Notch {
        at: bed.lip.at,
        width_m: bed.lip.width_m,
        level_m: lip_m,
        edge_m: lip_m + bed.freeboard_m,
    };
    let pit = Pit {
        edge: notch.cut(&outline)?,
        rim_width_m: bed.rim_width_m,
        side: bed.side,
        height_m: bed.depth_m + bed.freeboard_m,
        floor_m: lip_m - bed.depth_m,
    };
    shape.sheets.extend(sheets(bed, lattice, &outline.points));
    pit.vessel(owner, [bed.cut_bank, bed.fill_bank], lattice, shape)
}

/// The gravel's top, and the water over it where it stands below the lip.
fn sheets(bed: &FilterBed, lattice: Lattice, outline: &[[f64; 2]]) -> Vec<Sheet> {
    let sheet = |material, z_m: f64| Sheet {
        material,
        triangles: super::flat_triangles(lattice, outline, z_m),
    };
    let lip_m = bed.lip.elevation_m;
    let mut sheets = vec![sheet(SheetMaterial::Gravel, lip_m - bed.gravel_below_lip_m)];
    if bed.gravel_below_lip_m > 0.0 {
        sheets.push(sheet(SheetMaterial::Water, lip_m));
    }
    sheets
}
