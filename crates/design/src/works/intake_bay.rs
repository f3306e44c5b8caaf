//! The intake bay: a pit whose rim is notched at the sill over which the pond's water comes in.

use ground::Lattice;
use site::works::IntakeBay;

use super::notch::{Notch, Pit};
use super::outline::Outline;
use super::vessel::Vessel;
use super::{Body, Form};
use crate::{Problem, Shape, Sheet, SheetMaterial};

pub(super) fn form(bay: &IntakeBay, owner: u32, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let vessel = vessel(bay, owner, lattice, &mut shape);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

fn vessel(
    bay: &IntakeBay,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Vessel, Problem> {
    if bay.sill.depth_m >= bay.depth_m {
        let message = "its sill lies no higher than its floor".into();
        return Err(Problem { message, at_m: bay.sill.at });
    }
    let outline = Outline::ring(lattice, &bay.outline)?;
    shape.sheets.push(Sheet {
        material: SheetMaterial::Water,
        triangles: super::flat_triangles(lattice, &outline.points, bay.water_level_m),
    });
    let notch = Notch {
        at: bay.sill.at,
        width_m: bay.sill.width_m,
        level_m: bay.water_level_m - bay.sill.depth_m,
        edge_m: bay.water_level_m + bay.freeboard_m,
    };
    let pit = Pit {
        edge: notch.cut(&outline)?,
        rim_width_m: bay.rim_width_m,
        side: bay.side,
        height_m: bay.depth_m + bay.freeboard_m,
        floor_m: bay.water_level_m - bay.depth_m,
    };
    pit.vessel(owner, [bay.cut_bank, bay.fill_bank], lattice, shape)
}
