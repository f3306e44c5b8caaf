//! Pins: a leader line to the exact place of a finding, a flag with what was measured.

use std::sync::Arc;

use design::Evaluation;
use egui::{Align2, Color32, Context, Galley, Id, Painter, Pos2, Rect, Sense, Stroke, vec2};
use units::LengthUnit;

use super::findings::flag_text;
use super::plan::Room;
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

/// A pin with its flag where there is room for it.
pub(crate) struct Flag {
    pin: Pin,
    /// The flag, in points.
    pub rect: Rect,
    words: Arc<Galley>,
    ink: Color32,
    severity: design::Severity,
}

/// Height of a pole, in points.
const POLE: f32 = 34.0;

/// Flags stand in at most so many rows above or below where they would stand alone.
const MOST_UP: usize = 9;

/// Finds room for the flags, off what is taken already; the one that is read comes first and stands out.
pub(crate) fn flags(
    painter: &Painter,
    evaluation: &Evaluation,
    pins: &[Pin],
    read: Option<usize>,
    unit: LengthUnit,
    room: &Room,
) -> Vec<Flag> {
    let mut flags: Vec<Flag> = Vec::new();
    let mut pins: Vec<&Pin> = pins.iter().collect();
    pins.sort_by_key(|pin| read != Some(pin.finding));
    for pin in pins {
        let Some(finding) = evaluation.findings.get(pin.finding) else { continue };
        let is_read = read == Some(pin.finding);
        let font = if is_read { bold(size::SMALL) } else { text(size::SMALL) };
        let words = painter.layout_no_wrap(flag_text(finding, unit), font, paper::INK.ink());
        let size = words.size() + vec2(30.0, 8.0);
        let first = Align2::LEFT_BOTTOM.anchor_size(pin.at - vec2(0.0, POLE), size);
        // Where the garden is crowded a flag is left out, and its finding stands in the list.
        let Some(rect) = free(within(first, room.bounds), &flags, room) else { continue };
        let ink = if is_read { paper::MARKING.ink() } else { colour(finding.severity).ink() };
        flags.push(Flag { pin: *pin, rect, words, ink, severity: finding.severity });
    }
    flags
}

/// Paints a flag, its pole and its foot.
pub(crate) fn paint(painter: &Painter, flag: &Flag) {
    paint_pole(painter, flag);
    paint_flag(painter, flag);
}

/// Shows the pins; answers with the finding whose flag was clicked.
pub(crate) fn pins_ui(ctx: &Context, evaluation: &Evaluation, flags: &[Flag]) -> Option<usize> {
    let mut chosen = None;
    for flag in flags {
        paint_pole(&ctx.layer_painter(egui::LayerId::background()), flag);
        let area = egui::Area::new(Id::new(("pin", flag.pin.finding)))
            .order(egui::Order::Background)
            .fixed_pos(flag.rect.min)
            .constrain(false)
            .show(ctx, |ui| {
                let (_, response) = ui.allocate_exact_size(flag.rect.size(), Sense::click());
                paint_flag(ui.painter(), flag);
                response
            });
        marks::note(ctx, &format!("pin {}", flag.pin.finding), flag.rect);
        let message = &evaluation.findings[flag.pin.finding].message;
        if area.inner.on_hover_text(message).clicked() {
            chosen = Some(flag.pin.finding);
        }
    }
    chosen
}

fn paint_pole(painter: &Painter, flag: &Flag) {
    let at = flag.pin.at;
    let top = flag.rect.clamp(at);
    painter.line_segment([at, top], Stroke::new(1.6, flag.ink));
    painter.circle_filled(at, 3.0, flag.ink);
    painter.circle_stroke(at, 3.0, Stroke::new(1.0, paper::SHEET.ink()));
}

fn paint_flag(painter: &Painter, flag: &Flag) {
    let rect = flag.rect;
    painter.rect_filled(rect, 1.0, paper::SHEET.ink());
    painter.rect_stroke(rect, 1.0, Stroke::new(1.0, flag.ink), egui::StrokeKind::Inside);
    paint_sign(painter, rect.left_center() + vec2(12.0, 0.0), flag.severity);
    painter.galley(rect.min + vec2(23.0, 4.0), flag.words.clone(), paper::INK.ink());
}

/// The nearest place for a flag that hides no other: on a longer pole, or in a row of poles beside.
fn free(first: Rect, flags: &[Flag], room: &Room) -> Option<Rect> {
    let step = vec2(0.5 * first.width() + 6.0, first.height() + 4.0);
    let aside = [0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0, 6.0, -6.0];
    let up = (0..MOST_UP).map(|k| -(k as f32)).chain((1..MOST_UP).map(|k| k as f32));
    let places = up.flat_map(|up| aside.map(|aside| (up, aside)));
    let mut places: Vec<Rect> =
        places.map(|(up, aside)| first.translate(vec2(aside, up) * step)).collect();
    let far = |rect: &Rect| rect.min.distance_sq(first.min);
    places.sort_by(|a, b| far(a).total_cmp(&far(b)));
    places.into_iter().find(|rect| {
        room.bounds.contains_rect(*rect)
            && !room.taken.iter().any(|taken| taken.intersects(*rect))
            && !flags.iter().any(|other| other.rect.expand(2.0).intersects(*rect))
    })
}

fn within(rect: Rect, bounds: Rect) -> Rect {
    let dx = (bounds.left() - rect.left()).max(0.0) - (rect.right() - bounds.right()).max(0.0);
    let dy = (bounds.top() - rect.top()).max(0.0) - (rect.bottom() - bounds.bottom()).max(0.0);
    rect.translate(vec2(dx, dy))
}
