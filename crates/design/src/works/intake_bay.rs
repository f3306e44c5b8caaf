//! The intake bay: a pit whose rim is notched at the sill over which the pond's water comes in.
//!
//! ```text
//!     pond        rim        bay
//!   ~~~~~~~~.............~~~~~~~~~   water
//!           \___________|            sill: the rim's notch, widened into the pond
//!            \          |
//! ```
//! The bay digs through whatever rim the pond has at the sill, and fills nothing within the pond.

use ground::{Lattice, curve};
use site::Curve;
use site::works::IntakeBay;
use units::{LengthUnit, length_text};

use super::notch::{Notch, Notched, Pit};
use super::outline::{Outline, crossing_share};
use super::vessel::Vessel;
use super::{Body, Form};
use crate::{Problem, Shape, Sheet, SheetMaterial};

/// The longest channel from a pond to its bay, metres: beyond it the bay is no part of the pond.
const LONGEST_CHANNEL_M: f64 = 3.0;

/// How far the channel goes on into the pond for each metre by which the rim stands above the sill: a
/// side that is flatter than 1 in 4 is a shelf, common practice.
const INTO_POND_RUN: f64 = 4.0;

/// The narrowest rim beside a channel, metres.
const LEAST_RIM_M: f64 = 0.01;

/// A bay with what it needs of the site around it.
pub(super) struct Drawn<'s> {
    pub(super) bay: &'s IntakeBay,
    /// The outline of the pond that it draws from.
    pub(super) pond: Option<&'s Curve>,
    /// The unit in which a refusal gives its numbers.
    pub(super) unit: LengthUnit,
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice) -> Form {
    let mut shape = Shape::default();
    let vessel = vessel(drawn, owner, lattice, &mut shape);
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

fn vessel(
    drawn: &Drawn<'_>,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Vessel, Problem> {
    let bay = drawn.bay;
    if bay.sill.depth_m >= bay.depth_m {
        let [sill, floor] =
            [bay.sill.depth_m, bay.depth_m].map(|depth_m| length_text(depth_m, drawn.unit));
        let message = format!("its sill lies {sill} below the water, and its floor only {floor}");
        return Err(Problem { message, at_m: bay.sill.at });
    }
    let outline = Outline::ring(lattice, &bay.outline)?;
    let notch = Notch {
        at: bay.sill.at,
        width_m: bay.sill.width_m,
        level_m: bay.water_level_m - bay.sill.depth_m,
        edge_m: bay.water_level_m + bay.freeboard_m,
    };
    let notched = notch.cut(&outline)?;
    let pond = drawn.pond.and_then(|pond| super::outline_ring(lattice, pond));
    let into_m = INTO_POND_RUN * (notch.edge_m - notch.level_m);
    let channel = pond.as_ref().map(|pond| channel(&notched, pond, into_m)).unwrap_or_default();
    shape.sheets.push(water(lattice, bay, &outline.points, &channel));
    if pond.is_some() && channel.is_empty() {
        let most = length_text(LONGEST_CHANNEL_M, drawn.unit);
        let message =
            format!("its sill does not face its pond within {most}, so no water comes in");
        shape.problems.push(Problem { message, at_m: bay.sill.at });
    }
    let pit = Pit {
        rim_width_m: rim_widths(bay, notched.edge.len(), &channel),
        edge: notched.edge,
        side: bay.side,
        height_m: bay.depth_m + bay.freeboard_m,
        floor_m: bay.water_level_m - bay.depth_m,
    };
    let vessel = pit.vessel(owner, [bay.cut_bank, bay.fill_bank], lattice, shape)?;
    Ok(match pond {
        Some(pond) => vessel.without_fill_in(pond),
        None => vessel,
    })
}

/// Where the channel leaves the bay, and how far the pond is.
struct Leaves {
    /// Index among the places of the bay's edge.
    place: usize,
    at: [f64; 2],
    /// The place on the pond's outline that it comes to.
    to: [f64; 2],
    /// How far it goes, some way into the pond.
    length_m: f64,
}

/// The channel from each place of the sill square across to the pond; empty where one of them does
/// not find it.
fn channel(notched: &Notched, pond: &[[f64; 2]], into_m: f64) -> Vec<Leaves> {
    let (edge, n) = (&notched.edge, notched.edge.len());
    let leaves = |place: usize| {
        let [before, at, after] = [place + n - 1, place, place + 1].map(|i| edge[i % n].0);
        let way = [after[1] - before[1], before[0] - after[0]];
        let length_m = libm::hypot(way[0], way[1]);
        let most_m = LONGEST_CHANNEL_M + into_m;
        let end = [0, 1].map(|k| at[k] + most_m * way[k] / length_m);
        let mut hits_m: Vec<f64> = (0..pond.len())
            .map(|k| [pond[k], pond[(k + 1) % pond.len()]])
            .filter_map(|side| Some(most_m * crossing_share([at, end], side)?))
            .collect();
        hits_m.sort_by(f64::total_cmp);
        if curve::contains(pond, at) {
            hits_m.insert(0, 0.0);
        }
        let to_m = hits_m.first().copied().filter(|to_m| *to_m <= LONGEST_CHANNEL_M)?;
        // Not through to a small pond's other side.
        let across_m = hits_m.get(1).map_or(f64::INFINITY, |far_m| far_m - to_m);
        Some(Leaves {
            place,
            at,
            to: [0, 1].map(|k| at[k] + to_m * way[k] / length_m),
            length_m: to_m + into_m.min(0.5 * across_m),
        })
    };
    let sill = (0..n).filter(|&i| notched.is_open[i]);
    sill.map(leaves).collect::<Option<Vec<_>>>().unwrap_or_default()
}

/// The rim's width at each place of the edge: as drawn, and over the sill as long as the channel.
fn rim_widths(bay: &IntakeBay, n_places: usize, channel: &[Leaves]) -> Vec<f64> {
    let least_m = if channel.is_empty() { 0.0 } else { LEAST_RIM_M };
    let mut widths_m = vec![bay.rim_width_m.max(least_m); n_places];
    for leaves in channel {
        widths_m[leaves.place] = bay.rim_width_m.max(leaves.length_m);
    }
    widths_m
}

/// The water in the bay, and over the channel up to the pond's own.
fn water(lattice: Lattice, bay: &IntakeBay, outline: &[[f64; 2]], channel: &[Leaves]) -> Sheet {
    let z_m = bay.water_level_m;
    let mut triangles = super::flat_triangles(lattice, outline, z_m);
    for pair in channel.windows(2).filter(|pair| pair[1].place == pair[0].place + 1) {
        let [a, b, c, d] =
            [pair[0].at, pair[0].to, pair[1].to, pair[1].at].map(|[x, y]| [x, y, z_m]);
        triangles.extend([[a, b, c], [a, c, d]]);
    }
    Sheet { material: SheetMaterial::Water, triangles }
}
