//! Words that are commands, and the little signs that stand beside words.

use design::Severity;
use egui::{Align2, Color32, Pos2, Rect, Response, RichText, Sense, Stroke, Ui, vec2};

use crate::command::Command;
use crate::marks;
use crate::theme::{Paper, Rgb, paper, size, text};

/// A command as a word; its tooltip names its key.
pub(crate) fn word_button(ui: &mut Ui, command: Command, enabled: bool) -> Response {
    let word = RichText::new(command.label()).font(text(size::BODY));
    // What cannot be pressed is faded once more by its being disabled.
    let word = word.color(if enabled { paper::INK.ink() } else { paper::SECOND.ink() });
    let response = ui.add_enabled(enabled, egui::Button::new(word).frame(false));
    marks::note(ui.ctx(), &format!("command {}", command.label()), response.rect);
    let tip = format!("{} ({})", command.tooltip(), command.key_text());
    response.on_hover_text(tip)
}

/// A command as a word that is underlined in marking paint while it holds.
pub(crate) fn state_button(ui: &mut Ui, command: Command, holds: bool) -> Response {
    let response = word_button(ui, command, true);
    if holds {
        let y = response.rect.bottom() + 1.0;
        let stroke = Stroke::new(2.0, paper::MARKING.ink());
        ui.painter().hline(response.rect.x_range(), y, stroke);
    }
    response
}

/// Words to press that are no command of every day.
pub(crate) fn plain_button(ui: &mut Ui, words: &str) -> Response {
    let response = ui.button(RichText::new(words).font(text(size::BODY)));
    marks::note(ui.ctx(), &format!("button {words}"), response.rect);
    response
}

/// The colour of a severity.
pub(crate) fn colour(severity: Severity) -> Paper {
    match severity {
        Severity::LookAt => paper::LOOK_AT,
        Severity::Stop => paper::STOP,
    }
}

/// A severity's sign: a half-filled disc for a look, a filled square for a stop.
pub(crate) fn paint_sign(painter: &egui::Painter, at: Pos2, severity: Severity) {
    let ink = colour(severity).ink();
    match severity {
        Severity::Stop => {
            painter.rect_filled(Rect::from_center_size(at, vec2(11.0, 11.0)), 1.0, ink);
        }
        Severity::LookAt => {
            painter.circle_stroke(at, 5.5, Stroke::new(1.5, ink));
            let half: Vec<Pos2> = (0..=12)
                .map(|k| {
                    let angle = std::f32::consts::PI * (k as f32 / 12.0 - 0.5);
                    at + vec2(angle.cos(), angle.sin()) * 5.5
                })
                .collect();
            painter.add(egui::Shape::convex_polygon(half, ink, Stroke::NONE));
        }
    }
}

/// A sign of a severity that takes its room in a row.
pub(crate) fn sign_ui(ui: &mut Ui, severity: Severity) {
    let (rect, _) = ui.allocate_exact_size(vec2(14.0, 18.0), Sense::hover());
    paint_sign(ui.painter(), rect.center(), severity);
}

/// Small print in second ink.
pub(crate) fn small(ui: &mut Ui, words: impl Into<String>) -> Response {
    ui.label(RichText::new(words).font(text(size::SMALL)).color(paper::SECOND.ink()))
}

/// Text on a scrap of paper, so that it reads over the garden.
pub(crate) fn label_on_paper(
    painter: &egui::Painter,
    at: Pos2,
    anchor: Align2,
    words: &str,
    ink: Color32,
) -> Rect {
    let galley = painter.layout_no_wrap(words.to_owned(), text(size::SMALL), ink);
    let rect = anchor.anchor_size(at, galley.size());
    let Rgb(r, g, b) = paper::SHEET.rgb();
    let back = Color32::from_rgba_unmultiplied(r, g, b, 225);
    painter.rect_filled(rect.expand2(vec2(4.0, 2.0)), 2.0, back);
    painter.galley(rect.min, galley, ink);
    rect
}
