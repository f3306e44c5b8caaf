//! Depth colours with hatching: brown where ground goes down, teal where it comes up.
//!
//! Source of the colours: ColorBrewer, scheme BrBG in eleven classes, Apache-2.0; its middle class is
//! not used, since ground that does not move is left as paper.

use units::LengthUnit;

use crate::svg::Svg;

/// Classes on each side of nought.
pub(crate) const N_CLASSES: usize = 5;

/// From the least change to the greatest: lower, then higher.
const COLOURS: [[&str; N_CLASSES]; 2] = [
    ["#f6e8c3", "#dfc27d", "#bf812d", "#8c510a", "#543005"],
    ["#c7eae5", "#80cdc1", "#35978f", "#01665e", "#003c30"],
];

/// The side of nought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Lower,
    Higher,
}

/// A class of change: a side, and how far from nought, counted from zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Class {
    pub side: Side,
    pub rank: usize,
}

impl Class {
    /// Every class, from the greatest fall to the greatest rise.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        let lower = (0..N_CLASSES).rev().map(|rank| Self { side: Side::Lower, rank });
        lower.chain((0..N_CLASSES).map(|rank| Self { side: Side::Higher, rank }))
    }

    pub(crate) fn colour(self) -> &'static str {
        COLOURS[self.side_idx()][self.rank]
    }

    /// The name of its hatching.
    pub(crate) fn hatch(self) -> String {
        format!("{}{}", ["lower", "higher"][self.side_idx()], self.rank + 1)
    }

    fn side_idx(self) -> usize {
        match self.side {
            Side::Lower => 0,
            Side::Higher => 1,
        }
    }

    /// Ink of the hatching: light on the dark classes.
    fn ink(self) -> &'static str {
        match (self.side, self.rank) {
            (Side::Lower, 0..=2) => "#543005",
            (Side::Higher, 0..=1) => "#003c30",
            _ => "#ffffff",
        }
    }
}

/// The width of a class in metres: round in people's unit, and wide enough that the classes reach
/// `reach_m`.
pub(crate) fn class_width_m(reach_m: f64, unit: LengthUnit) -> f64 {
    const ROUND: [f64; 4] = [0.01, 0.02, 0.025, 0.05];
    const INCHES: [f64; 10] = [0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 9.0, 12.0, 24.0];
    let least_m = reach_m / N_CLASSES as f64;
    // What rounding puts a hair beyond a round reach still fits it.
    let fits = |width_m: &f64| *width_m * (1.0 + 1e-9) >= least_m;
    if unit == LengthUnit::FootInch {
        let mut inches = INCHES.iter().map(|inches| inches * 0.0254);
        return inches.find(fits).unwrap_or_else(|| (least_m / 0.3048).ceil() * 0.3048);
    }
    let tens = (0..8).map(|power| 10.0_f64.powi(power));
    let mut widths = tens.flat_map(|ten| ROUND.map(|round| unit.to_metres(round * ten)));
    widths.find(fits).unwrap_or(least_m)
}

/// Defines the hatching: lines that lean, the closer the lower; dots, the closer the higher.
pub(crate) fn define_hatching(svg: &mut Svg) {
    for class in Class::all() {
        let gap_mm = 3.2 - 0.5 * class.rank as f64;
        let (name, ink) = (class.hatch(), class.ink());
        match class.side {
            Side::Lower => svg.raw(&format!(
                "<pattern id=\"{name}\" width=\"{gap_mm:.2}\" height=\"{gap_mm:.2}\" \
                 patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
                 <path d=\"M0 0V{gap_mm:.2}\" stroke=\"{ink}\" stroke-width=\"0.28\"/></pattern>"
            )),
            Side::Higher => {
                let (half, next) = (0.5 * gap_mm, 1.5 * gap_mm);
                let dots = [[half, half], [next, next]].map(|[x, y]| {
                    format!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"0.3\" fill=\"{ink}\"/>")
                });
                let size = 2.0 * gap_mm;
                svg.raw(&format!(
                    "<pattern id=\"{name}\" width=\"{size:.2}\" height=\"{size:.2}\" \
                     patternUnits=\"userSpaceOnUse\">{}</pattern>",
                    dots.concat()
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_are_round_and_reach_as_far_as_ground_moves() {
        let near = |width_m: f64, expected_m: f64| {
            assert!((width_m - expected_m).abs() < 1e-12, "{width_m} {expected_m}");
        };
        near(class_width_m(0.5, LengthUnit::Metre), 0.1);
        near(class_width_m(0.501, LengthUnit::Metre), 0.2);
        near(class_width_m(0.1, LengthUnit::Metre), 0.02);
        near(class_width_m(0.0, LengthUnit::Metre), 0.01);
        near(class_width_m(0.3 * 0.3048, LengthUnit::Foot), 0.1 * 0.3048);
        near(class_width_m(0.3, LengthUnit::FootInch), 3.0 * 0.0254);
        near(class_width_m(30.0, LengthUnit::FootInch), 20.0 * 0.3048);
        let (mut reach_m, most_m) = (0.001, 90.0);
        while reach_m < most_m {
            for unit in [LengthUnit::Metre, LengthUnit::FootInch, LengthUnit::UsSurveyFoot] {
                let width_m = class_width_m(reach_m, unit);
                assert!(width_m * N_CLASSES as f64 >= reach_m * (1.0 - 1e-8), "{reach_m}");
            }
            reach_m *= 1.07;
        }
    }

    #[test]
    fn hatching_names_every_class_once() {
        let mut names: Vec<String> = Class::all().map(Class::hatch).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), 2 * N_CLASSES);
    }
}
