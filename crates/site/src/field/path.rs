//! The path's fields.

use super::walk::{Ends, Visitor, curve, follow, number, says, spread, work_or_none};
use super::{Quantity, build_up};
use crate::WorkId;
use crate::works::{Path, SteppingStones};

/// Stones in water are a fall into water.
const STONES: &str = "Planning help only. Stepping stones over deep water can drown a child: see what \
                      local codes ask for beside water.";

pub(super) fn walk(path: &mut Path, visitor: &mut dyn Visitor) {
    let n_before = path.line.points.len();
    let edits = curve(visitor, ("line", "Middle line"), (Ends::Open, 2), &mut path.line);
    follow(&mut path.level_m, &edits, n_before);
    let n_points = path.line.points.len();
    spread(visitor, ("level_m", "Level", "Level"), n_points, &mut path.level_m, |says| {
        says.elevation()
    });
    let width = says("width_m", "Width").is(Quantity::Length, 0.1, 20.0);
    number(visitor, width, &mut path.width_m);
    let across = says("cross_fall", "Fall to the right").is(Quantity::Share, -0.2, 0.2);
    number(visitor, across, &mut path.cross_fall);
    let grade = says("largest_grade", "Steepest without steps").is(Quantity::Share, 0.0, 0.5);
    number(visitor, grade, &mut path.largest_grade);
    let riser = says("steps.riser_m", "Highest riser").is(Quantity::Length, 0.05, 0.3);
    number(visitor, riser, &mut path.steps.riser_m);
    let going = says("steps.two_risers_and_tread_m", "Two risers and a tread");
    let going = going.is(Quantity::Length, 0.5, 0.9);
    number(visitor, going, &mut path.steps.two_risers_and_tread_m);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut path.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut path.fill_bank);
    walk_stones(&mut path.stones, visitor);
    build_up::walk(visitor, ("build_up", "Path"), &mut path.build_up);
    build_up::walk(visitor, ("bank_build_up", "Banks"), &mut path.bank_build_up);
}

/// The stones come with the basin that they cross, and go with it.
fn walk_stones(stones: &mut Option<SteppingStones>, visitor: &mut dyn Visitor) {
    let mut across: Option<WorkId> = stones.map(|stones| stones.across);
    work_or_none(visitor, says("stones.across", "Crosses the water of"), &mut across);
    *stones = across.map(|across| match *stones {
        Some(stones) => SteppingStones { across, ..stones },
        None => SteppingStones { across, stone_m: 0.5, gap_m: 0.15, above_water_m: 0.1 },
    });
    let Some(stones) = stones else { return };
    let size = says("stones.stone_m", "Stepping stone").is(Quantity::Length, 0.1, 3.0);
    number(visitor, size.caution(STONES), &mut stones.stone_m);
    let gap = says("stones.gap_m", "Gap between stones").is(Quantity::Length, 0.0, 1.0);
    number(visitor, gap, &mut stones.gap_m);
    let above = says("stones.above_water_m", "Stones above water").is(Quantity::Length, 0.0, 1.0);
    number(visitor, above, &mut stones.above_water_m);
}
