//! The pad's fields, and those of a plane.

use super::walk::{Ends, Visitor, choice, curve, number, place, says};
use super::{Quantity, build_up};
use crate::works::{Pad, PadPurpose, Plane};

pub(super) fn walk(pad: &mut Pad, visitor: &mut dyn Visitor) {
    let purposes = [PadPurpose::Patio, PadPurpose::SittingPlace, PadPurpose::Building];
    let now = purposes.iter().position(|p| *p == pad.purpose).unwrap_or(0);
    let names = &["patio", "sitting place", "building"];
    if let Some(new) = choice(visitor, says("purpose", "Made for"), names, now) {
        pad.purpose = purposes[new];
    }
    walk_plane(&mut pad.plane, visitor);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut pad.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut pad.fill_bank);
    build_up::walk(visitor, ("build_up", "Pad"), &mut pad.build_up);
    build_up::walk(visitor, ("bank_build_up", "Banks"), &mut pad.bank_build_up);
    curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut pad.outline);
}

pub(super) fn walk_plane(plane: &mut Plane, visitor: &mut dyn Visitor) {
    number(visitor, says("plane.level_m", "Level").elevation(), &mut plane.level_m);
    place(visitor, says("plane.at", "Level given at"), &mut plane.at);
    number(visitor, says("plane.fall", "Fall").is(Quantity::Share, 0.0, 1.0), &mut plane.fall);
    place(visitor, says("plane.toward", "Falls toward"), &mut plane.toward);
}
