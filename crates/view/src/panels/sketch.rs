//! A work's own section, drawn to its numbers, with its chief dimensions as fields on it.

mod profile;

use std::collections::BTreeSet;

use egui::{Align2, Color32, Pos2, Rect, Sense, Stroke, Ui, pos2, vec2};
use site::Work;
use site::field::Field;

use self::profile::{Line, Profile, Stand};
use super::change::Around;
use super::control::{Given, control};
use super::words::label_on_paper;
use crate::marks;
use crate::theme::{Rgb, paper, size, text};

/// Height of the drawing, in points.
const HEIGHT: f32 = 138.0;

/// Height of the line above the drawing that says how it is drawn, in points.
const CAPTION: f32 = 14.0;

/// Size of a field on the drawing, in points.
const FIELD: egui::Vec2 = vec2(74.0, 20.0);

/// Draws the sketch with its fields; notes in `shown` which fields stand on it.
pub(crate) fn sketch_ui(
    ui: &mut Ui,
    work: &Work,
    fields: &[Field],
    around: Around<'_>,
    shown: &mut BTreeSet<String>,
) -> Option<Given> {
    let profile = profile::of(&work.kind);
    let width = ui.available_width();
    let rows = Rows::of(&profile, width);
    let height = CAPTION + HEIGHT + rows.height();
    let (whole, _) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
    marks::note(ui.ctx(), "sketch", whole);
    let rect = Rect::from_min_size(whole.min + vec2(0.0, CAPTION), vec2(width, HEIGHT));
    let place = Fit::new(&profile, rect);
    paint(ui, &profile, &place, rect);
    let mut given = None;
    let mut changes = Vec::new();
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
                let spot = rows.spot(dimension, rect);
                let foot = if from.y > to.y { from } else { to };
                leader(ui.painter(), foot, spot, rect);
                spot
            }
        };
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(spot));
        child.spacing_mut().interact_size = FIELD;
        child.spacing_mut().button_padding = vec2(3.0, 1.0);
        child.style_mut().override_font_id = Some(text(size::SMALL_VALUE));
        given = control(&mut child, field, around.site).or(given);
        changes.extend(around.change(field).map(|change| (spot, change)));
        shown.insert(field.path.clone());
    }
    // Last, so that no other field covers them.
    for (spot, change) in changes {
        let at = keep_beside(Rect::from_center_size(spot.center_bottom(), FIELD), rect);
        let ink = paper::MARKING.ink();
        label_on_paper(ui.painter(), at.center(), Align2::CENTER_TOP, &change, ink);
    }
    given
}

/// Fields that stand below a sketch, in the order of the places that they measure: where there are
/// more than one row holds, every other one stands in the next.
struct Rows {
    paths: Vec<String>,
    n_rows: usize,
}

impl Rows {
    fn of(profile: &Profile, width: f32) -> Self {
        let mut below: Vec<_> =
            profile.dimensions.iter().filter(|d| d.stand == Stand::Below).collect();
        below.sort_by(|a, b| a.from[0].total_cmp(&b.from[0]));
        let paths: Vec<String> = below.iter().map(|d| d.path.clone()).collect();
        let n_rows = (paths.len() as f32 * (FIELD.x + 4.0) / width).ceil() as usize;
        Self { paths, n_rows }
    }

    fn height(&self) -> f32 {
        self.n_rows as f32 * (FIELD.y + 6.0)
    }

    /// Where a field stands, below a sketch that fills `rect`.
    fn spot(&self, dimension: &profile::Dimension, rect: Rect) -> Rect {
        let place = self.paths.iter().position(|path| *path == dimension.path).unwrap_or(0);
        let n = self.paths.len().max(1) as f32;
        let row = (place % self.n_rows.max(1)) as f32;
        let x = rect.left() + rect.width() * (place as f32 + 0.5) / n;
        let y = rect.bottom() + (row + 0.5) * (FIELD.y + 6.0);
        keep_beside(Rect::from_center_size(pos2(x, y), FIELD), rect)
    }
}

/// Moves a field back between a sketch's sides.
fn keep_beside(spot: Rect, rect: Rect) -> Rect {
    let dx = (rect.left() - spot.left()).max(0.0) - (spot.right() - rect.right()).max(0.0);
    spot.translate(vec2(dx, 0.0))
}

/// A fine line from a dimension's foot to its field. All lines go straight down, then across within
/// one band, then down again: in order as they are, none crosses another.
fn leader(painter: &egui::Painter, foot: Pos2, spot: Rect, rect: Rect) {
    let (from, to) = (rect.bottom() - 16.0, rect.bottom() - 2.0);
    let x = spot.center().x;
    let way = vec![foot, pos2(foot.x, foot.y.max(from)), pos2(x, to), pos2(x, spot.top())];
    painter.line(way, Stroke::new(0.8, paper::SECOND.ink().gamma_multiply(0.55)));
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
        let Rgb(r, g, b) = paper::WATER.rgb();
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
    ui.painter().text(
        rect.left_top(),
        Align2::LEFT_BOTTOM,
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
