//! Fields of works in general, and of the site's limits and viewpoints.

use super::Quantity::{self, Elevation, Length};
use super::walk::{ELEVATION, Parameters, REACH_M, Visitor, flag, number, place, says, text};
use super::{basin, filter_bed, hill, intake_bay, pad, path, plane_grade};
use super::{stream, strip, trench, wall};
use crate::{Limits, Viewpoint, Work, WorkKind};

impl Parameters for Work {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        text(visitor, says("note", "Note"), &mut self.note);
        text(visitor, says("group", "Group"), &mut self.group);
        flag(visitor, says("visible", "Built"), &mut self.visible);
        match &mut self.kind {
            WorkKind::Basin(of) => basin::walk(of, visitor),
            WorkKind::Stream(of) => stream::walk(of, visitor),
            WorkKind::Hill(of) => hill::walk(of, visitor),
            WorkKind::Wall(of) => wall::walk(of, visitor),
            WorkKind::FilterBed(of) => filter_bed::walk(of, visitor),
            WorkKind::IntakeBay(of) => intake_bay::walk(of, visitor),
            WorkKind::Pad(of) => pad::walk(of, visitor),
            WorkKind::Path(of) => path::walk(of, visitor),
            WorkKind::PlaneGrade(of) => plane_grade::walk(of, visitor),
            WorkKind::Trench(of) => trench::walk(of, visitor),
            WorkKind::Strip(of) => strip::walk(of, visitor),
        }
    }
}

/// A number's path, label, quantity, range and place.
pub(super) type Row<'a> = (&'static str, &'static str, Quantity, (f64, f64), &'a mut f64);

/// Visits numbers whose paths and labels begin alike.
pub(super) fn rows<const N: usize>(
    visitor: &mut dyn Visitor,
    path: &str,
    label: &str,
    rows: [Row<'_>; N],
) {
    for (field, what, quantity, (least, most), slot) in rows {
        let says = says(format!("{path}{field}"), format!("{label}{what}"));
        number(visitor, says.is(quantity, least, most), slot);
    }
}

impl Parameters for Limits {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        for limit in Limits::TABLE {
            let says = says(limit.field, limit.label);
            number(visitor, says.is(limit.quantity, limit.least, limit.most), (limit.slot)(self));
        }
    }
}

impl Parameters for Viewpoint {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        place(visitor, says("at_m", "Eye's place"), &mut self.at_m);
        let [east, north, up] = &mut self.toward_m;
        rows(
            visitor,
            "",
            "",
            [
                ("eye_m", "Eye height", Length, (0.0, 100.0), &mut self.eye_m),
                ("toward_m[0]", "Looks toward, east", Length, (-REACH_M, REACH_M), east),
                ("toward_m[1]", "Looks toward, north", Length, (-REACH_M, REACH_M), north),
                ("toward_m[2]", "Looks toward, level", Elevation, ELEVATION, up),
            ],
        );
    }
}
