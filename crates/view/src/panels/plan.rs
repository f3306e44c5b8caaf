//! What the plan writes over the garden: contour levels, names, a scale, north.

use egui::{Align2, Context, Pos2, Stroke, pos2, vec2};
use units::LengthUnit;

use super::words::label_on_paper;
use crate::theme::{paper, size, text};

/// A word at a place on the screen.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Word {
    pub at: Pos2,
    pub text: String,
}

/// Everything that is written over the plan, already on the screen.
#[derive(Clone, Debug, Default)]
pub(crate) struct PlanSheet {
    /// Levels, each on its contour.
    pub levels: Vec<Word>,
    /// Names of the works.
    pub names: Vec<Word>,
    /// Points on the screen for each metre.
    pub points_per_m: f32,
}

/// Paints the sheet behind the panels.
pub(crate) fn paint(ctx: &Context, sheet: &PlanSheet, unit: LengthUnit) {
    let painter = ctx.layer_painter(egui::LayerId::background());
    for word in &sheet.levels {
        let ink = paper::SECOND.ink();
        label_on_paper(&painter, word.at, Align2::CENTER_CENTER, &word.text, ink);
    }
    for word in &sheet.names {
        label_on_paper(&painter, word.at, Align2::CENTER_CENTER, &word.text, paper::INK.ink());
    }
    let screen = ctx.content_rect();
    let foot = screen.center_bottom() + vec2(0.0, -74.0);
    scale(&painter, foot, sheet.points_per_m, unit);
    north(&painter, screen.right_top() + vec2(-350.0, 92.0));
}

/// A scale bar of a round length near 140 points.
fn scale(painter: &egui::Painter, at: Pos2, points_per_m: f32, unit: LengthUnit) {
    let points_per_unit = points_per_m * unit.metres() as f32;
    let lengths = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let fits = |length: &f32| length * points_per_unit <= 190.0;
    let length = lengths.into_iter().rev().find(fits).unwrap_or(lengths[0]);
    let half = 0.5 * length * points_per_unit;
    let ink = Stroke::new(1.5, paper::INK.ink());
    painter.line_segment([at - vec2(half, 0.0), at + vec2(half, 0.0)], ink);
    for x in [-half, 0.0, half] {
        painter.line_segment([at + vec2(x, -4.0), at + vec2(x, 4.0)], ink);
    }
    let words = format!("{length:.0} {}", unit.sign());
    painter.text(
        at - vec2(0.0, 7.0),
        Align2::CENTER_BOTTOM,
        words,
        text(size::SMALL),
        paper::INK.ink(),
    );
}

fn north(painter: &egui::Painter, at: Pos2) {
    let ink = Stroke::new(1.5, paper::INK.ink());
    painter.line_segment([at + vec2(0.0, 18.0), at + vec2(0.0, -18.0)], ink);
    painter.line(vec![at + vec2(-6.0, -6.0), pos2(at.x, at.y - 18.0), at + vec2(6.0, -6.0)], ink);
    painter.text(
        at + vec2(0.0, -20.0),
        Align2::CENTER_BOTTOM,
        "N",
        text(size::SMALL),
        paper::INK.ink(),
    );
}
