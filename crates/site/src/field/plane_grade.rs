//! The plane grade's fields.

use super::walk::{Ends, Visitor, curve, number, says};
use super::{Quantity, build_up, pad};
use crate::works::PlaneGrade;

pub(super) fn walk(grade: &mut PlaneGrade, visitor: &mut dyn Visitor) {
    pad::walk_plane(&mut grade.plane, visitor);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut grade.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut grade.fill_bank);
    build_up::walk(visitor, ("build_up", "Lawn"), &mut grade.build_up);
    curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut grade.outline);
}
