//! The filter bed's fields.

use super::walk::{Ends, Visitor, curve, number, number_or_none, place, says};
use super::{Quantity, build_up};
use crate::works::FilterBed;

pub(super) fn walk(filter: &mut FilterBed, visitor: &mut dyn Visitor) {
    let lip = &mut filter.lip;
    number(visitor, says("lip.elevation_m", "Lip level").elevation(), &mut lip.elevation_m);
    let width = says("lip.width_m", "Lip width").is(Quantity::Length, 0.01, 20.0);
    number(visitor, width, &mut lip.width_m);
    place(visitor, says("lip.at", "Lip place"), &mut lip.at);
    let depth = says("depth_m", "Floor below lip").is(Quantity::Length, 0.0, 5.0);
    number(visitor, depth, &mut filter.depth_m);
    let gravel = says("gravel_below_lip_m", "Gravel below lip").is(Quantity::Length, -1.0, 5.0);
    number(visitor, gravel, &mut filter.gravel_below_lip_m);
    let voids = says("void_share", "Voids in the gravel").is(Quantity::Share, 0.2, 0.6);
    number_or_none(visitor, voids, 0.4, &mut filter.void_share);
    let stone = says("gravel_m", "Gravel, size of its stones").is(Quantity::Length, 0.001, 0.3);
    number_or_none(visitor, stone, 0.02, &mut filter.gravel_m);
    let side = says("side", "Inner side, run per rise").is(Quantity::RunPerRise, 0.0, 50.0);
    number(visitor, side, &mut filter.side);
    let freeboard = says("freeboard_m", "Liner edge above lip").is(Quantity::Length, 0.0, 2.0);
    number(visitor, freeboard, &mut filter.freeboard_m);
    let rim = says("rim_width_m", "Rim width").is(Quantity::Length, 0.0, 20.0);
    number(visitor, rim, &mut filter.rim_width_m);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut filter.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut filter.fill_bank);
    build_up::walk(visitor, ("build_up", "Floor and sides"), &mut filter.build_up);
    build_up::walk(visitor, ("bank_build_up", "Rim and banks"), &mut filter.bank_build_up);
    curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut filter.outline);
}
