//! The filter bed: a box with a rim that is notched where the water leaves.
//!
//! ```text
//!   rim ______            ______ rim        lip + freeboard
//!             \__________/                  lip, over its width
//!          ramp|  width  |ramp
//! ```

use ground::Lattice;
use ground::curve::{self, Closure, Path, Run};
use site::works::FilterBed;

use super::outline::{Outline, traced};
use super::vessel::{Ring, Vessel, core, rim};
use super::{Body, Form, LEAST_RUN_M};
use crate::part::Part;
use crate::{Problem, Shape, Sheet, SheetMaterial};

/// Run of the notch's ends for each metre that they rise: a stone's lean, common practice.
const NOTCH_RUN_PER_RISE: f64 = 1.0;

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
    let edge = notched(bed, &outline)?;
    shape.liner_edges.push(traced(&edge, Closure::Closed));
    let (mut rings, lines) = rim(lattice, &edge, bed.rim_width_m)?;

    let floor_m = bed.lip.elevation_m - bed.depth_m;
    let run_m = (bed.side * (bed.depth_m + bed.freeboard_m)).max(LEAST_RUN_M);
    let places: Vec<[f64; 2]> = edge.iter().map(|point| point.0).collect();
    let floor = curve::inset(lattice, &places, Run::Even(run_m))
        .map_err(|error| Problem { message: error.to_string(), at_m: places[0] })?;
    if floor.is_empty() {
        let message = "its sides meet before they reach the floor".into();
        return Err(Problem { message, at_m: bed.lip.at });
    }
    rings.push(Ring { points: edge, part: Part::Side });
    rings.extend(floor.into_iter().map(|ring| Ring {
        points: ring.points.into_iter().map(|p| (p, floor_m)).collect(),
        part: Part::Floor,
    }));
    shape.sheets.extend(sheets(bed, lattice, &places));
    let core = core(lattice, &rings, owner)?;
    Ok(Vessel::still(owner, core, lines, [bed.cut_bank, bed.fill_bank]))
}

/// The outline with its edge's elevations: level, and notched at the lip.
fn notched(bed: &FilterBed, outline: &Outline) -> Result<Vec<([f64; 2], f64)>, Problem> {
    let lip = &bed.lip;
    let path = Path::new(&outline.points, Closure::Closed)
        .map_err(|error| Problem { message: error.to_string(), at_m: lip.at })?;
    let (lip_m, length_m) = (path.nearest(lip.at).station_m, path.length_m());
    let half_m = (0.5 * lip.width_m).min(0.5 * length_m);
    let ramp_m = NOTCH_RUN_PER_RISE * bed.freeboard_m.max(0.0);
    let mut stations: Vec<f64> = path.stations_m()[..outline.points.len()].to_vec();
    for offset in [-half_m - ramp_m, -half_m, half_m, half_m + ramp_m] {
        if half_m + ramp_m < 0.5 * length_m {
            stations.push((lip_m + offset).rem_euclid(length_m));
        }
    }
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|b, a| *b - *a < LEAST_PIECE_M);
    let edge_m = |station: f64| {
        let along = (station - lip_m).rem_euclid(length_m);
        let away = along.min(length_m - along) - half_m;
        let share = if ramp_m > 0.0 { (away / ramp_m).clamp(0.0, 1.0) } else { 1.0 };
        // Rounding must not leave the lip a hair above itself.
        let share = if away < LEAST_PIECE_M { 0.0 } else { share };
        lip.elevation_m + share * bed.freeboard_m
    };
    Ok(stations.into_iter().map(|s| (path.at_station(s).at, edge_m(s))).collect())
}

/// Pieces of the outline below this are no pieces.
const LEAST_PIECE_M: f64 = 1e-4;

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
