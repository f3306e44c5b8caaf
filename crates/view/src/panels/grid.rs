//! Squared paper over the plan: true to scale, quiet, its step told beside the scale.

use egui::{Align2, Painter, Pos2, Rect, Stroke, pos2, vec2};
use units::LengthUnit;

use super::words::label_on_paper;
use crate::theme::paper;

/// Squares are no narrower than this, in points.
const LEAST: f32 = 12.0;

/// Every so manyth line is bolder.
const BOLD: i64 = 5;

/// Squared paper under a plan with north up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Grid {
    /// Where the site's origin lies on the screen, in points.
    pub origin: Pos2,
    /// Points of the screen to a metre.
    pub points_per_m: f32,
    /// The unit in which its step is round.
    pub unit: LengthUnit,
}

impl Grid {
    /// Its step: the least round length whose squares are wide enough, in the unit.
    pub(crate) fn step(&self) -> f64 {
        let wide = |step: &f64| self.points(*step) >= LEAST;
        let rounds = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
        rounds.into_iter().find(wide).unwrap_or(1000.0)
    }

    /// What is told of it.
    pub(crate) fn words(&self) -> String {
        let step = self.step();
        let bold = step * BOLD as f64;
        format!("squares of {step} {}, bold {bold} {}", self.unit.sign(), self.unit.sign())
    }

    /// Lines within `bounds` along one axis, 0 to the right and 1 up: where they lie, in points, and
    /// how many steps they are from the site's origin.
    fn lines(&self, bounds: Rect, axis: usize) -> Vec<(f32, i64)> {
        let step = self.points(self.step());
        let (origin, low, high) = match axis {
            0 => (self.origin.x, bounds.left(), bounds.right()),
            _ => (-self.origin.y, -bounds.bottom(), -bounds.top()),
        };
        let first = ((low - origin) / step).ceil() as i64;
        let last = ((high - origin) / step).floor() as i64;
        let sign = if axis == 0 { 1.0 } else { -1.0 };
        (first..=last).map(|k| (sign * (origin + k as f32 * step), k)).collect()
    }

    fn points(&self, step: f64) -> f32 {
        (self.unit.to_metres(step) * f64::from(self.points_per_m)) as f32
    }
}

/// Rules the paper within `bounds`.
pub(crate) fn rule(painter: &Painter, grid: &Grid, bounds: Rect) {
    let ink = |k: i64| {
        let strength = if k % BOLD == 0 { 0.34 } else { 0.15 };
        Stroke::new(1.0, paper::INK.ink().gamma_multiply(strength))
    };
    for (x, k) in grid.lines(bounds, 0) {
        painter.line_segment([pos2(x, bounds.top()), pos2(x, bounds.bottom())], ink(k));
    }
    for (y, k) in grid.lines(bounds, 1) {
        painter.line_segment([pos2(bounds.left(), y), pos2(bounds.right(), y)], ink(k));
    }
}

/// Tells the step, its words beginning at a place.
pub(crate) fn tell(painter: &Painter, grid: &Grid, at: Pos2) -> Rect {
    let ink = paper::INK.ink();
    label_on_paper(painter, at, Align2::LEFT_CENTER, &grid.words(), ink).expand2(vec2(4.0, 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_lie_at_whole_steps_and_the_step_is_round_and_wide_enough() {
        let origin = pos2(100.0, 300.0);
        let grid = Grid { origin, points_per_m: 20.0, unit: LengthUnit::Metre };
        assert_eq!(grid.step(), 1.0);
        assert_eq!(grid.words(), "squares of 1 m, bold 5 m");
        let bounds = Rect::from_min_max(pos2(50.0, 190.0), pos2(145.0, 310.0));
        assert_eq!(
            grid.lines(bounds, 0),
            [(60.0, -2), (80.0, -1), (100.0, 0), (120.0, 1), (140.0, 2)]
        );
        let up: Vec<i64> = grid.lines(bounds, 1).into_iter().map(|(_, k)| k).collect();
        assert_eq!(up, [0, 1, 2, 3, 4, 5]);
        assert_eq!(grid.lines(bounds, 1)[5], (200.0, 5));
        // A foot is 0.3048 m: 6.1 points, too narrow; two feet are 12.2.
        let feet = Grid { unit: LengthUnit::Foot, ..grid };
        assert_eq!(feet.step(), 2.0);
    }
}
