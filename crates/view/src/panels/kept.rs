//! What stays, as rows of the list of works: houses, keep-outs and heaps, each with a small drawing.

use egui::{Painter, Pos2, Rect, Sense, Stroke, Ui, pos2, vec2};
use site::{KeepOutKind, Site};

use crate::theme::{paper, size, text};

/// Room of a drawing in a row, in points.
const ICON: egui::Vec2 = vec2(34.0, 22.0);

/// Whether the list has anything to show.
pub(crate) fn is_any(site: &Site) -> bool {
    !(site.houses.is_empty() && site.keep_outs.is_empty() && site.stockpiles.is_empty())
}

/// Shows the rows.
pub(crate) fn kept_ui(ui: &mut Ui, site: &Site) {
    for house in &site.houses {
        row(ui, &house.name, "a house that stays", house_icon);
    }
    for kept in &site.keep_outs {
        let (what, icon): (&str, fn(&Drawing<'_>)) = match &kept.kind {
            KeepOutKind::Tree(_) => ("a tree with its roots", tree_icon),
            KeepOutKind::BuriedLine(_) => ("a buried line", line_icon),
            KeepOutKind::Drain(_) => ("a drain", drain_icon),
            KeepOutKind::Boundary(_) => ("a boundary", boundary_icon),
            KeepOutKind::Septic(_) => ("a septic tank or field", septic_icon),
            KeepOutKind::Gate(_) => ("a gate", gate_icon),
        };
        row(ui, &kept.name, what, icon);
    }
    for pile in &site.stockpiles {
        row(ui, &pile.name, "a place for a heap", heap_icon);
    }
}

fn row(ui: &mut Ui, name: &str, what: &str, icon: fn(&Drawing<'_>)) {
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, 26.0), Sense::hover());
    let stroke = Stroke::new(1.4, paper::INK.ink());
    let room = Rect::from_min_size(rect.min + vec2(0.0, 2.0), ICON);
    icon(&Drawing { painter: ui.painter(), room, stroke });
    ui.painter().text(
        pos2(rect.left() + 42.0, rect.center().y),
        egui::Align2::LEFT_CENTER,
        name,
        text(size::BODY),
        paper::INK.ink(),
    );
    response.on_hover_text(what);
}

/// A small drawing in strokes, its places as shares of its room.
struct Drawing<'a> {
    painter: &'a Painter,
    room: Rect,
    stroke: Stroke,
}

impl Drawing<'_> {
    fn at(&self, (x, y): (f32, f32)) -> Pos2 {
        self.room.min + vec2(x * self.room.width(), y * self.room.height())
    }

    fn line(&self, points: &[(f32, f32)]) {
        self.painter.line(points.iter().map(|p| self.at(*p)).collect(), self.stroke);
    }

    fn dashes(&self, points: &[(f32, f32)]) {
        let points: Vec<Pos2> = points.iter().map(|p| self.at(*p)).collect();
        self.painter.extend(egui::Shape::dashed_line(&points, self.stroke, 5.0, 3.0));
    }

    fn ring(&self, at: (f32, f32), share: f32) {
        self.painter.circle_stroke(self.at(at), share * self.room.height(), self.stroke);
    }
}

fn house_icon(draw: &Drawing<'_>) {
    draw.line(&[(0.15, 0.86), (0.15, 0.42), (0.47, 0.10), (0.79, 0.42), (0.79, 0.86)]);
    draw.line(&[(0.0, 0.86), (1.0, 0.86)]);
}

fn tree_icon(draw: &Drawing<'_>) {
    draw.ring((0.48, 0.34), 0.30);
    draw.line(&[(0.48, 0.64), (0.48, 0.90)]);
    draw.line(&[(0.24, 1.0), (0.48, 0.90), (0.72, 1.0)]);
}

fn line_icon(draw: &Drawing<'_>) {
    draw.line(&[(0.0, 0.30), (1.0, 0.30)]);
    draw.dashes(&[(0.0, 0.74), (1.0, 0.74)]);
}

fn drain_icon(draw: &Drawing<'_>) {
    draw.line(&[(0.25, 0.2), (0.75, 0.2), (0.75, 0.9), (0.25, 0.9), (0.25, 0.2)]);
    for x in [0.38, 0.50, 0.62] {
        draw.line(&[(x, 0.32), (x, 0.78)]);
    }
}

fn boundary_icon(draw: &Drawing<'_>) {
    draw.dashes(&[(0.0, 0.62), (1.0, 0.62)]);
    for x in [0.12, 0.88] {
        draw.line(&[(x, 0.28), (x, 0.92)]);
    }
}

fn septic_icon(draw: &Drawing<'_>) {
    draw.line(&[(0.0, 0.22), (1.0, 0.22)]);
    draw.line(&[(0.2, 0.38), (0.8, 0.38), (0.8, 0.92), (0.2, 0.92), (0.2, 0.38)]);
    draw.line(&[(0.2, 0.58), (0.8, 0.58)]);
}

fn gate_icon(draw: &Drawing<'_>) {
    for (x, out) in [(0.28, 0.0), (0.72, 1.0)] {
        draw.line(&[(x, 0.14), (x, 0.92)]);
        for y in [0.36, 0.64] {
            draw.line(&[(x, y), (out, y)]);
        }
    }
}

fn heap_icon(draw: &Drawing<'_>) {
    draw.line(&[(0.0, 0.88), (0.12, 0.88), (0.40, 0.26), (0.60, 0.26), (0.88, 0.88), (1.0, 0.88)]);
    for at in [(0.38, 0.70), (0.52, 0.48), (0.62, 0.72)] {
        draw.painter.circle_filled(draw.at(at), 1.1, draw.stroke.color);
    }
}
