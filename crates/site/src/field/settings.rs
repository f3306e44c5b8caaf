//! Fields of works in general, and of the site's limits and viewpoints.

use super::Quantity::{self, Elevation, Length, Number, RunPerRise, Share};
use super::walk::{ELEVATION, Parameters, REACH_M, Visitor, flag, number, place, says, text};
use super::{basin, filter_bed, hill, intake_bay, pad, path, plane_grade};
use super::{stream, strip, trench, wall};
use crate::{Limits, Viewpoint, Work, WorkKind};

impl Parameters for Work {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        text(visitor, says("note", "Note"), &mut self.note);
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
        let Self {
            flank_run_per_rise,
            wall_clearance_m,
            wall_fall_run_per_rise,
            stream_closure_m,
            natural_run_per_rise,
            mound_advice,
            mound_heap,
            mound_least_height_m,
            lip_backdrop_rise_m,
            lip_backdrop_reach_m,
            lip_backdrop_share,
            survey_spacing_m,
            survey_spike_deviations,
        } = self;
        rows(
            visitor,
            "",
            "",
            [
                (
                    "flank_run_per_rise",
                    "Steepest flank",
                    RunPerRise,
                    (0.5, 100.0),
                    flank_run_per_rise,
                ),
                ("wall_clearance_m", "Wall top above lip", Length, (0.0, 2.0), wall_clearance_m),
                (
                    "wall_fall_run_per_rise",
                    "Wall top may fall past the water",
                    RunPerRise,
                    (0.1, 1000.0),
                    wall_fall_run_per_rise,
                ),
                (
                    "stream_closure_m",
                    "Stream levels may miss by",
                    Length,
                    (0.0, 1.0),
                    stream_closure_m,
                ),
                (
                    "natural_run_per_rise",
                    "Natural grade",
                    RunPerRise,
                    (0.5, 100.0),
                    natural_run_per_rise,
                ),
                ("mound_advice", "Mound measure, advice from", Number, (0.0, 10.0), mound_advice),
                ("mound_heap", "Mound measure, a heap from", Number, (0.0, 10.0), mound_heap),
                (
                    "mound_least_height_m",
                    "Least height of a hill",
                    Length,
                    (0.0, 10.0),
                    mound_least_height_m,
                ),
                (
                    "lip_backdrop_rise_m",
                    "Ground behind the lip rises",
                    Length,
                    (0.0, 10.0),
                    lip_backdrop_rise_m,
                ),
                (
                    "lip_backdrop_reach_m",
                    "Looked for behind the lip within",
                    Length,
                    (0.01, 100.0),
                    lip_backdrop_reach_m,
                ),
                (
                    "lip_backdrop_share",
                    "Share of the half circle",
                    Share,
                    (0.0, 1.0),
                    lip_backdrop_share,
                ),
                (
                    "survey_spacing_m",
                    "Longest survey edge",
                    Length,
                    (0.01, 1000.0),
                    survey_spacing_m,
                ),
                (
                    "survey_spike_deviations",
                    "A shot is doubtful from, deviations",
                    Number,
                    (1.0, 1000.0),
                    survey_spike_deviations,
                ),
            ],
        );
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
