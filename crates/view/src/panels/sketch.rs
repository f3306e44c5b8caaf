//! A work's own section, drawn to its numbers, with its chief dimensions as fields on it.

mod profile;

use std::collections::BTreeSet;

use egui::{Color32, Pos2, Rect, Sense, Stroke, Ui, pos2, vec2};
use site::field::Field;
use site::{Site, Work};

use self::profile::{Line, Profile, Stand};
use super::control::{Given, control};
use crate::marks;
use crate::theme::{Rgb, paper, size, text};

/// Height of the drawing, in points.
const HEIGHT: f32 = 138.0;

/// Size of a field on the drawing, in points.
const FIELD: egui::Vec2 = vec2(74.0, 20.0);

/// Draws the sketch with its fields; notes in `shown` which fields stand on it.
pub(crate) fn sketch_ui(
    ui: &mut Ui,
    work: &Work,
    fields: &[Field],
    site: &Site,
    shown: &mut BTreeSet<String>,
) -> Option<Given> {
    let profile = profile::of(&work.kind);
    let below = profile.dimensions.iter().filter(|d| d.stand == Stand::Below).count();
    let width = ui.available_width();
    let columns = ((width / (FIELD.x + 6.0)) as usize).max(1);
    let rows = below.div_ceil(columns);
    let height = HEIGHT + rows as f32 * (FIELD.y + 6.0);
    let (whole, _) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
    marks::note(ui.ctx(), "sketch", whole);
    let rect = Rect::from_min_size(whole.min, vec2(width, HEIGHT));
    let place = Fit::new(&profile, rect);
    paint(ui, &profile, &place, rect);
    let mut given = None;
    let mut n_below = 0;
    for dimension in &profile.dimensions {
        let Some(field) = fields.iter().find(|f| f.path == dimension.path) else { continue };
        let (from, to) = (place.at(dimension.from), place.at(dimension.to));
        let ink = Stroke::new(1.0, paper::SECOND.ink());
        whisker(ui.painter(), from, to, ink);
        let spot = match dimension.stand {
            Stand::Beside => {
                keep_within(Rect::from_center_size(place.at(dimension.at), FIELD), rect)
            }
            Stand::Below => {
                let (row, column) = (n_below / columns, n_below % columns);
                n_below += 1;
                let in_row = (below - row * columns).min(columns) as f32;
                let pitch = width / in_row;
                let x = whole.left() + (column as f32 + 0.5) * pitch;
                let y = rect.bottom() + (row as f32 + 0.5) * (FIELD.y + 6.0);
                let spot = Rect::from_center_size(pos2(x, y), FIELD);
                let foot = if from.y > to.y { from } else { to };
                let leader = Stroke::new(0.7, paper::RULE.ink());
                ui.painter().line_segment([foot, spot.center_top()], leader);
                spot
            }
        };
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(spot));
        child.spacing_mut().interact_size = FIELD;
        child.spacing_mut().button_padding = vec2(3.0, 1.0);
        child.style_mut().override_font_id = Some(text(size::SMALL_VALUE));
        given = control(&mut child, field, site).or(given);
        shown.insert(field.path.clone());
    }
    given
}

/// A dimension line with short ticks.
fn whisker(painter: &egui::Painter, from: Pos2, to: Pos2, stroke: Stroke) {
    painter.line_segment([from, to], stroke);
    let way = (to - from).normalized();
    let tick = vec2(-way.y, way.x) * 3.5;
    for end in [from, to] {
        painter.line_segment([end - tick, end + tick], stroke);
    }
}

fn keep_within(rect: Rect, outer: Rect) -> Rect {
    let dx = (outer.left() - rect.left()).max(0.0) - (rect.right() - outer.right()).max(0.0);
    let dy = (outer.top() - rect.top()).max(0.0) - (rect.bottom() - outer.bottom()).max(0.0);
    rect.translate(vec2(dx, dy))
}

fn paint(ui: &Ui, profile: &Profile, place: &Fit, rect: Rect) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    if let Some((water, level)) = &profile.water {
        let mut outline: Vec<Pos2> = water.iter().map(|p| place.at(*p)).collect();
        let y = place.at([0.0, *level]).y;
        let Rgb(r, g, b) = paper::WATER;
        let wash = Color32::from_rgba_unmultiplied(r, g, b, 90);
        for pair in outline.windows(2) {
            let quad = vec![pair[0], pair[1], pos2(pair[1].x, y), pos2(pair[0].x, y)];
            if pair[1].x - pair[0].x > 0.05 {
                painter.add(egui::Shape::convex_polygon(quad, wash, Stroke::NONE));
            }
        }
        if let (Some(first), Some(last)) = (outline.first().copied(), outline.pop()) {
            let stroke = Stroke::new(1.5, paper::WATER.ink());
            painter.line_segment([pos2(first.x, y), pos2(last.x, y)], stroke);
        }
    }
    for line in &profile.lines {
        let (points, stroke, dashed) = match line {
            Line::Finished(points) => (points, Stroke::new(2.0, paper::INK.ink()), false),
            Line::Existing(points) => (points, Stroke::new(1.2, paper::SECOND.ink()), true),
            Line::Stone(points) => (points, Stroke::new(1.6, paper::INK.ink()), false),
            Line::Water(points) => (points, Stroke::new(1.5, paper::WATER.ink()), false),
        };
        let points: Vec<Pos2> = points.iter().map(|p| place.at(*p)).collect();
        if dashed {
            painter.extend(egui::Shape::dashed_line(&points, stroke, 5.0, 4.0));
        } else {
            painter.line(points, stroke);
        }
    }
    let words = if (place.stretch - 1.0).abs() < 0.05 {
        "section, true proportion".to_owned()
    } else {
        format!("section, heights drawn {:.1} times", place.stretch)
    };
    painter.text(
        rect.left_bottom(),
        egui::Align2::LEFT_BOTTOM,
        words,
        text(size::SMALL - 2.0),
        paper::SECOND.ink(),
    );
}

/// From the profile's metres to the drawing; heights are stretched by a stated amount.
struct Fit {
    origin: Pos2,
    low: [f64; 2],
    scale: [f32; 2],
    stretch: f32,
}

impl Fit {
    fn new(profile: &Profile, rect: Rect) -> Self {
        let (low, high) = profile.extent();
        let room = rect.shrink2(vec2(8.0, 20.0));
        let span = [(high[0] - low[0]).max(0.1) as f32, (high[1] - low[1]).max(0.05) as f32];
        let along = room.width() / span[0];
        let up = (room.height() / span[1]).min(along * 6.0);
        let up = if up < along { room.height() / span[1] } else { up };
        let along = along.min(up.max(along * 0.2));
        let left = room.center().x - 0.5 * span[0] * along;
        let bottom = room.center().y + 0.5 * span[1] * up;
        Self { origin: pos2(left, bottom), low, scale: [along, up], stretch: up / along }
    }

    fn at(&self, p: [f64; 2]) -> Pos2 {
        let along = (p[0] - self.low[0]) as f32 * self.scale[0];
        let up = (p[1] - self.low[1]) as f32 * self.scale[1];
        self.origin + vec2(along, -up)
    }
}
