//! Pins: a leader line to the exact place of a finding, a flag with what was measured.

use design::Evaluation;
use egui::{Align2, Context, Id, Pos2, Rect, Sense, Stroke, pos2, vec2};
use units::LengthUnit;

use super::findings::measured_text;
use super::words::{colour, paint_sign};
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// A finding's place on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pin {
    /// The finding, by its place in the list.
    pub finding: usize,
    /// Where its place is on the screen, in points.
    pub at: Pos2,
}

/// Shows the pins; answers with the finding whose flag was clicked.
pub(crate) fn pins_ui(
    ctx: &Context,
    evaluation: &Evaluation,
    pins: &[Pin],
    read: Option<usize>,
    unit: LengthUnit,
) -> Option<usize> {
    let mut chosen = None;
    let mut flags: Vec<Rect> = Vec::new();
    for pin in pins {
        let Some(finding) = evaluation.findings.get(pin.finding) else { continue };
        let is_read = read == Some(pin.finding);
        let words = measured_text(finding.measured.value, finding.measured, unit);
        let font = if is_read { bold(size::SMALL) } else { text(size::SMALL) };
        let painter = ctx.layer_painter(egui::LayerId::background());
        let galley = painter.layout_no_wrap(words, font, paper::INK.ink());
        let size = galley.size() + vec2(28.0, 8.0);
        let mut flag = Align2::LEFT_BOTTOM.anchor_size(pin.at + vec2(0.0, -34.0), size);
        // Flags that would hide each other stand on longer poles.
        while let Some(other) = flags.iter().find(|other| other.expand(2.0).intersects(flag)) {
            flag = flag.translate(vec2(0.0, other.top() - flag.bottom() - 4.0));
        }
        flags.push(flag);
        let ink = if is_read { paper::MARKING.ink() } else { colour(finding.severity).ink() };
        painter.line_segment([pin.at, pos2(pin.at.x, flag.top())], Stroke::new(1.6, ink));
        painter.circle_filled(pin.at, 3.0, ink);
        painter.circle_stroke(pin.at, 3.0, Stroke::new(1.0, paper::SHEET.ink()));
        let area = egui::Area::new(Id::new(("pin", pin.finding)))
            .order(egui::Order::Background)
            .fixed_pos(flag.min)
            .constrain(false)
            .show(ctx, |ui| {
                let (rect, response) = ui.allocate_exact_size(size, Sense::click());
                let painter = ui.painter();
                painter.rect_filled(rect, 1.0, paper::SHEET.ink());
                painter.rect_stroke(rect, 1.0, Stroke::new(1.0, ink), egui::StrokeKind::Inside);
                paint_sign(painter, rect.left_center() + vec2(12.0, 0.0), finding.severity);
                painter.galley(rect.min + vec2(23.0, 4.0), galley, paper::INK.ink());
                response
            });
        marks::note(ctx, &format!("pin {}", pin.finding), flag);
        if area.inner.on_hover_text(&finding.message).clicked() {
            chosen = Some(pin.finding);
        }
    }
    chosen
}
