//! The legends of depth, height and slope colours: numbers, and for depths and heights hatching that survives a
//! black-and-white print; slopes go from dark to light.

use egui::{Align2, Rect, Sense, Stroke, Ui, pos2, vec2};
use units::{LengthUnit, elevation_text, length_text, run_per_rise_text};

use super::words::small;
use crate::scene::depth::{N_STEPS, STEPS};
use crate::scene::present::Heights;
use crate::scene::slope::{CLASSES, ENDS, N_CLASSES};
use crate::theme::{paper, size, text};

/// Shows the scale from the deepest cut to the highest fill.
pub(crate) fn legend_ui(ui: &mut Ui, end_m: f64, unit: LengthUnit) {
    scale_ui(ui, "Finished ground against existing", ["cut", "fill"], (end_m, unit));
}

/// Shows the scale of heights below and above a level.
pub(crate) fn heights_ui(ui: &mut Ui, heights: Heights, unit: LengthUnit) {
    let title = format!("Heights against {}", elevation_text(heights.level_m, unit));
    scale_ui(ui, &title, ["below", "above"], (heights.end_m, unit));
}

fn scale_ui(ui: &mut Ui, title: &str, ends: [&str; 2], (end_m, unit): (f64, LengthUnit)) {
    small(ui, title);
    let (rect, _) = ui.allocate_exact_size(vec2(264.0, 54.0), Sense::hover());
    let painter = ui.painter();
    let width = rect.width() / N_STEPS as f32;
    for (idx, step) in STEPS.iter().enumerate() {
        let left = rect.left() + idx as f32 * width;
        let swatch =
            Rect::from_min_max(pos2(left, rect.top()), pos2(left + width, rect.top() + 18.0));
        painter.rect_filled(swatch, 0.0, step.ink());
        hatch(painter, swatch, idx);
    }
    let band = Rect::from_min_max(rect.min, pos2(rect.right(), rect.top() + 18.0));
    painter.rect_stroke(band, 0.0, Stroke::new(1.0, paper::SECOND.ink()), egui::StrokeKind::Inside);
    let say = |x: f32, anchor: Align2, words: String| {
        painter.text(
            pos2(x, rect.top() + 21.0),
            anchor,
            words,
            text(size::SMALL),
            paper::INK.ink(),
        );
    };
    say(rect.left(), Align2::LEFT_TOP, length_text(end_m, unit));
    say(rect.center().x, Align2::CENTER_TOP, "0".into());
    say(rect.right(), Align2::RIGHT_TOP, length_text(end_m, unit));
    let word = |x: f32, anchor: Align2, words: &str| {
        painter.text(pos2(x, rect.bottom()), anchor, words, text(size::SMALL), paper::SECOND.ink());
    };
    word(rect.left(), Align2::LEFT_BOTTOM, ends[0]);
    word(rect.right(), Align2::RIGHT_BOTTOM, ends[1]);
}

/// Shows the classes of slope, each with the slope at which it ends.
pub(crate) fn slopes_ui(ui: &mut Ui) {
    small(ui, "How steep the ground is, face by face");
    let width = 44.0;
    let (rect, _) = ui.allocate_exact_size(vec2(width * N_CLASSES as f32, 54.0), Sense::hover());
    let painter = ui.painter();
    for (class, colour) in CLASSES.iter().enumerate() {
        let left = rect.left() + class as f32 * width;
        let swatch =
            Rect::from_min_max(pos2(left, rect.top()), pos2(left + width, rect.top() + 18.0));
        painter.rect_filled(swatch, 0.0, colour.ink());
        if let Some(end) = ENDS.get(class) {
            let at = pos2(left + width, rect.top() + 21.0);
            let words = run_per_rise_text(*end);
            let font = text(size::SMALL - 2.0);
            painter.text(at, Align2::CENTER_TOP, words, font, paper::INK.ink());
        }
    }
    let word = |x: f32, anchor: Align2, words: &str| {
        painter.text(pos2(x, rect.bottom()), anchor, words, text(size::SMALL), paper::SECOND.ink());
    };
    word(rect.left(), Align2::LEFT_BOTTOM, "level");
    word(rect.right(), Align2::RIGHT_BOTTOM, "steep");
}

/// Cut is hatched, the deeper the closer; fill is stippled, the higher the closer.
fn hatch(painter: &egui::Painter, swatch: Rect, idx: usize) {
    let middle = N_STEPS / 2;
    if idx < middle {
        let gap = 2.5 + 1.6 * idx as f32;
        let ink = Stroke::new(0.8, if idx < 2 { STEPS[4].ink() } else { STEPS[0].ink() });
        let clipped = painter.with_clip_rect(swatch);
        let mut x = swatch.left() - swatch.height();
        while x < swatch.right() {
            clipped.line_segment(
                [pos2(x, swatch.bottom()), pos2(x + swatch.height(), swatch.top())],
                ink,
            );
            x += gap;
        }
    } else if idx > middle {
        let gap = 3.0 + 1.4 * (N_STEPS - 1 - idx) as f32;
        let ink = if idx > N_STEPS - 3 { STEPS[6].ink() } else { STEPS[10].ink() };
        let mut y = swatch.top() + 2.0;
        let mut row = 0;
        while y < swatch.bottom() {
            let mut x = swatch.left() + 2.0 + if row % 2 == 0 { 0.0 } else { 0.5 * gap };
            while x < swatch.right() {
                painter.circle_filled(pos2(x, y), 0.7, ink);
                x += gap;
            }
            y += gap;
            row += 1;
        }
    }
}
