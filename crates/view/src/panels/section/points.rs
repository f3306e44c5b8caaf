//! Points of the section that a hand pulls up and down: levels and depths of the works that it cuts.

use egui::{Align2, Rect, Sense, Shape, Stroke, Ui, vec2};

use super::frame::Frame;
use crate::marks;
use crate::panels::words::label_on_paper;
use crate::theme::paper;

/// A level on the line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Point {
    /// Names it among all points.
    pub name: String,
    /// What it is.
    pub label: String,
    /// Where, metres along the line.
    pub station_m: f64,
    /// Its level, metres.
    pub level_m: f64,
    /// What the hand that holds it has come to, line by line.
    pub held: Option<String>,
}

/// A point that the hand has just taken hold of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pull {
    /// The point, by its place in the list.
    pub point: usize,
    /// How far down the screen the button was pressed, in points.
    pub down: f32,
    /// Metres of height to a point of the screen.
    pub rise_per_point_m: f64,
}

/// Shows the points; answers with the one that is taken hold of.
pub(super) fn points_ui(ui: &mut Ui, points: &[Point], frame: &Frame) -> Option<Pull> {
    let mut pull = None;
    for (idx, point) in points.iter().enumerate() {
        let at = frame.at([point.station_m, point.level_m]);
        let room = room(point, frame);
        let response = ui.interact(room, ui.id().with(("point", &point.name)), Sense::drag());
        marks::note(ui.ctx(), &format!("section {}", point.name), room);
        let lit = response.hovered() || response.dragged() || point.held.is_some();
        let ink = if lit { paper::MARKING.ink() } else { paper::INK.ink() };
        let slider =
            [vec2(-5.0, 0.0), vec2(0.0, -4.0), vec2(5.0, 0.0), vec2(0.0, 4.0)].map(|way| at + way);
        let painter = ui.painter();
        painter.vline(at.x, at.y - 8.0..=at.y + 8.0, Stroke::new(1.6, ink));
        painter.add(Shape::convex_polygon(
            slider.to_vec(),
            paper::SHEET.ink(),
            Stroke::new(1.5, ink),
        ));
        let press = ui.input(|input| input.pointer.press_origin());
        if let Some(press) = press.filter(|_| response.drag_started()) {
            let rise_per_point_m = frame.rise_per_point_m();
            pull = Some(Pull { point: idx, down: press.y, rise_per_point_m });
        }
        // The number beside it says more while it is held.
        if point.held.is_none() {
            response.on_hover_text(format!("{}: drag it up or down", point.label));
        }
    }
    points.iter().for_each(|point| tell(ui, point, frame));
    pull
}

/// What a point takes of the strip.
pub(super) fn room(point: &Point, frame: &Frame) -> Rect {
    Rect::from_center_size(frame.at([point.station_m, point.level_m]), vec2(16.0, 18.0))
}

/// Writes what a held point has come to beside it, over all others.
fn tell(ui: &Ui, point: &Point, frame: &Frame) {
    let Some(words) = &point.held else { return };
    let at = frame.at([point.station_m, point.level_m]);
    let is_right = at.x > frame.rect.center().x;
    let (anchor, aside) =
        if is_right { (Align2::RIGHT_CENTER, -14.0) } else { (Align2::LEFT_CENTER, 14.0) };
    label_on_paper(ui.painter(), at + vec2(aside, 0.0), anchor, words, paper::INK.ink());
}
