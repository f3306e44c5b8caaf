//! The trench's fields.

use super::Quantity;
use super::walk::{Ends, Visitor, curve, follow, number, says, spread};
use crate::works::Trench;

/// Trenches cave in (K-03), and lines lie where nobody looks for them (K-27).
const OPEN_TRENCH: &str = "Planning help only. Have buried lines marked before digging; from 5 ft, or \
                           where the side shows a crack, nobody goes in without the protection that \
                           local rules ask for.";

pub(super) fn walk(trench: &mut Trench, visitor: &mut dyn Visitor) {
    let n_before = trench.line.points.len();
    let edits = curve(visitor, ("line", "Middle line"), (Ends::Open, 2), &mut trench.line);
    follow(&mut trench.invert_m, &edits, n_before);
    let n_points = trench.line.points.len();
    let invert = ("invert_m", "Pipe invert", "Pipe invert");
    spread(visitor, invert, n_points, &mut trench.invert_m, |says| {
        says.elevation().caution(OPEN_TRENCH)
    });
    let width = says("width_m", "Bottom width").is(Quantity::Length, 0.05, 5.0);
    number(visitor, width, &mut trench.width_m);
    let side = says("side", "Side, run per rise").is(Quantity::RunPerRise, 0.0, 10.0);
    number(visitor, side.caution(OPEN_TRENCH), &mut trench.side);
    let bedding = says("bedding_m", "Bedding below the pipe").is(Quantity::Length, 0.0, 1.0);
    number(visitor, bedding, &mut trench.bedding_m);
    let pipe = says("pipe_m", "Pipe, outer diameter").is(Quantity::Length, 0.0, 2.0);
    number(visitor, pipe, &mut trench.pipe_m);
}
