//! The intake bay: a pit whose rim is notched at the sill over which the pond's water comes in.
//!
//! ```text
//!     pond     channel      bay
//!   ~~~~~~~~~~~~~~~~~~~~~~~~~~~~~   water
//!        \______________
//!                       \           sill: as wide and as high from the bay into the pond
//!                        \______
//! ```
//! The bay digs through whatever rim the pond has at the sill, and fills nothing within the pond.

use ground::curve::{self, Closure, Path};
use ground::patch::{self, Section};
use ground::{Lattice, Surface};
use site::Curve;
use site::works::IntakeBay;
use units::{LengthUnit, length_text};

use super::kept::Kept;
use super::notch::{NOTCH_RUN_PER_RISE, Notch, Pit};
use super::outline::{Outline, crossing_share};
use super::vessel::Vessel;
use super::{Body, Form, number};
use crate::part::Part;
use crate::{Problem, Shape, Sheet, SheetMaterial};

/// The longest channel from a pond to its bay, metres: beyond it the bay is no part of the pond.
const LONGEST_CHANNEL_M: f64 = 3.0;

/// How far the channel goes on into the pond for each metre by which the rim stands above the sill: a
/// side that is flatter than 1 in 4 is a shelf, common practice.
const INTO_POND_RUN: f64 = 4.0;

/// How far within the bay the channel begins, metres.
const WITHIN_M: f64 = 0.05;

/// A bay with what it needs of the site around it.
pub(super) struct Drawn<'s> {
    pub(super) bay: &'s IntakeBay,
    /// The outline of the pond that it draws from.
    pub(super) pond: Option<&'s Curve>,
    /// The unit in which a refusal gives its numbers.
    pub(super) unit: LengthUnit,
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice, kept: &mut Kept) -> Form {
    let mut shape = Shape::default();
    let opened = opened(drawn, owner, lattice, &mut shape);
    let vessel = opened.map(|(vessel, channel, pond)| match pond {
        Some(pond) => vessel.opened(channel.as_slice(), pond, kept),
        None => vessel,
    });
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

/// The pit of a bay, its channel, and the outline of the pond into which that runs.
type Opened = (Vessel, Option<Surface>, Option<Vec<[f64; 2]>>);

fn opened(
    drawn: &Drawn<'_>,
    owner: u32,
    lattice: Lattice,
    shape: &mut Shape,
) -> Result<Opened, Problem> {
    let (bay, at_m) = (drawn.bay, drawn.bay.sill.at);
    if bay.sill.depth_m >= bay.depth_m {
        let [sill, floor] =
            [bay.sill.depth_m, bay.depth_m].map(|depth_m| length_text(depth_m, drawn.unit));
        let message = format!("its sill lies {sill} below the water, and its floor only {floor}");
        return Err(Problem { message, at_m });
    }
    let outline = Outline::ring(lattice, &bay.outline)?;
    let notch = Notch {
        at: bay.sill.at,
        width_m: bay.sill.width_m,
        level_m: bay.water_level_m - bay.sill.depth_m,
        edge_m: bay.water_level_m + bay.freeboard_m,
    };
    let mut water = super::flat_triangles(lattice, &outline.points, bay.water_level_m);
    let pond = drawn.pond.and_then(|pond| super::outline_ring(lattice, pond));
    let channel = pond.as_ref().map(|pond| Channel::new(&notch, &outline, pond));
    if let Some(Some(channel)) = &channel {
        water.extend(channel.water(bay.water_level_m));
    } else if channel.is_some() {
        let most = length_text(LONGEST_CHANNEL_M, drawn.unit);
        let message = format!("its sill does not face its pond within {most}: no water comes in");
        shape.problems.push(Problem { message, at_m });
    }
    shape.sheets.push(Sheet { material: SheetMaterial::Water, triangles: water });
    let pit = Pit {
        edge: notch.cut(&outline)?,
        rim_width_m: bay.rim_width_m,
        side: bay.side,
        height_m: bay.depth_m + bay.freeboard_m,
        floor_m: bay.water_level_m - bay.depth_m,
    };
    let vessel = pit.vessel(owner, [bay.cut_bank, bay.fill_bank], lattice, shape)?;
    let channel = channel.flatten().map(|channel| channel.surface(lattice, owner)).transpose()?;
    Ok((vessel, channel, pond))
}

/// The straight way of the water from the pond over the sill.
struct Channel {
    /// Its middle on the bay's outline, and the direction in which it leaves the bay.
    from: [f64; 2],
    way: [f64; 2],
    /// How far it goes to the pond on either side, and in all.
    to_pond_m: [f64; 2],
    length_m: f64,
    half_m: f64,
    /// Its floor and its edge.
    z_m: [f64; 2],
}

impl Channel {
    /// The channel square from the bay's outline; none where it does not find the pond.
    fn new(notch: &Notch, outline: &Outline, pond: &[[f64; 2]]) -> Option<Self> {
        let around = Path::new(&outline.points, Closure::Closed).ok()?;
        let point = around.at_station(around.nearest(notch.at).station_m);
        let mut channel = Self {
            from: point.at,
            way: [point.tangent[1], -point.tangent[0]],
            to_pond_m: [0.0; 2],
            length_m: 0.0,
            half_m: 0.5 * notch.width_m,
            z_m: [notch.level_m, notch.edge_m.max(notch.level_m)],
        };
        let into_m = INTO_POND_RUN * (channel.z_m[1] - channel.z_m[0]);
        let reaches_m = [channel.half_m, 0.0, -channel.half_m]
            .map(|offset_m| channel.reaches_m(offset_m, pond, LONGEST_CHANNEL_M + into_m));
        let [left, middle, right] = reaches_m;
        let reaches_m = [left?, middle?, right?];
        let to_m = reaches_m.iter().fold(0.0, |most, reach| f64::max(most, reach[0]));
        // Not through to a small pond's other side.
        let far_m = reaches_m.iter().fold(f64::INFINITY, |least, reach| f64::min(least, reach[1]));
        channel.to_pond_m = [reaches_m[0][0], reaches_m[2][0]];
        channel.length_m = to_m + into_m.min(0.5 * (far_m - to_m).max(0.0));
        (to_m <= LONGEST_CHANNEL_M).then_some(channel)
    }

    /// How far the pond's near and far shore lie from a place of the sill; none where neither does.
    fn reaches_m(&self, offset_m: f64, pond: &[[f64; 2]], most_m: f64) -> Option<[f64; 2]> {
        let (from, to) = (self.place(0.0, offset_m), self.place(most_m, offset_m));
        let mut hits_m: Vec<f64> = (0..pond.len())
            .filter_map(|k| crossing_share([from, to], [pond[k], pond[(k + 1) % pond.len()]]))
            .map(|share| most_m * share)
            .collect();
        hits_m.sort_by(f64::total_cmp);
        if curve::contains(pond, from) {
            hits_m.insert(0, 0.0);
        }
        Some([*hits_m.first()?, hits_m.get(1).copied().unwrap_or(f64::INFINITY)])
    }

    /// The place so far out, to the left of the way above zero.
    fn place(&self, out_m: f64, offset_m: f64) -> [f64; 2] {
        let [x, y] = self.way;
        [self.from[0] + out_m * x - offset_m * y, self.from[1] + out_m * y + offset_m * x]
    }

    /// Its ground: the sill's level between the ramps of the notch.
    fn surface(&self, lattice: Lattice, owner: u32) -> Result<Surface, Problem> {
        let [floor_m, edge_m] = self.z_m;
        let edge = self.half_m + NOTCH_RUN_PER_RISE * (edge_m - floor_m);
        let profile =
            [(edge, edge_m), (self.half_m, floor_m), (-self.half_m, floor_m), (-edge, edge_m)];
        let section = |out_m: f64| Section {
            points: profile.map(|(offset_m, z_m)| (self.place(out_m, offset_m), z_m)).to_vec(),
        };
        let sections = [-WITHIN_M, self.length_m].map(section);
        patch::corridor(lattice, &sections, owner, &[number(Part::Rim); 3])
            .map_err(|error| Problem { message: error.to_string(), at_m: self.from })
    }

    /// The water on it, from the bay's to the pond's own.
    fn water(&self, z_m: f64) -> [[[f64; 3]; 3]; 2] {
        let [left_m, right_m] = self.to_pond_m;
        let (h, place) = (self.half_m, |out_m, offset_m| self.place(out_m, offset_m));
        let corners = [place(0.0, h), place(0.0, -h), place(right_m, -h), place(left_m, h)];
        let [a, b, c, d] = corners.map(|[x, y]| [x, y, z_m]);
        [[a, b, c], [a, c, d]]
    }
}
