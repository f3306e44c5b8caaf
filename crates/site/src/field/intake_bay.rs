//! The intake bay's fields.

use super::walk::{Ends, Visitor, curve, number, place, says, work_or_none};
use super::{Quantity, build_up};
use crate::works::IntakeBay;

/// A pump in water is an electric hazard (K-13, K-14), and moving water draws in.
const PUMP: &str = "Planning help only. Electricity near water needs a licensed electrician and the \
                    protection that local codes ask for; screen the intake.";

pub(super) fn walk(bay: &mut IntakeBay, visitor: &mut dyn Visitor) {
    work_or_none(visitor, says("from", "Draws from"), &mut bay.from);
    number(visitor, says("water_level_m", "Water level").elevation(), &mut bay.water_level_m);
    let freeboard = says("freeboard_m", "Liner edge above water").is(Quantity::Length, 0.0, 2.0);
    number(visitor, freeboard, &mut bay.freeboard_m);
    let depth = says("depth_m", "Floor below water").is(Quantity::Length, 0.0, 5.0);
    number(visitor, depth.caution(PUMP), &mut bay.depth_m);
    let side = says("side", "Inner side, run per rise").is(Quantity::RunPerRise, 0.0, 50.0);
    number(visitor, side, &mut bay.side);
    let sill = &mut bay.sill;
    let below = says("sill.depth_m", "Sill below water").is(Quantity::Length, 0.0, 5.0);
    number(visitor, below, &mut sill.depth_m);
    let width = says("sill.width_m", "Sill width").is(Quantity::Length, 0.01, 20.0);
    number(visitor, width, &mut sill.width_m);
    place(visitor, says("sill.at", "Sill place"), &mut sill.at);
    let rim = says("rim_width_m", "Rim width").is(Quantity::Length, 0.0, 20.0);
    number(visitor, rim, &mut bay.rim_width_m);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut bay.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut bay.fill_bank);
    build_up::walk(visitor, ("build_up", "Floor and sides"), &mut bay.build_up);
    build_up::walk(visitor, ("bank_build_up", "Banks"), &mut bay.bank_build_up);
    curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut bay.outline);
}
