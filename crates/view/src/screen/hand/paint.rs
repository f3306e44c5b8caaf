//! How the hand's things look over the garden: stakes, pegs, staffs and whiskers, the line under way.

use design::hand::{Grip, Pull, Target, flattened};
use egui::{Align2, Color32, Context, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use site::Work;
use site::field::{FieldValue, fields, number_text};
use site::shape::Ends;
use units::LengthUnit;

use super::super::Desk;
use super::{REACH, Sight, level_at, wish};
use crate::hand::drawing::Drawing;
use crate::hand::{Tool, judge};
use crate::panels::words::label_on_paper;
use crate::theme::paper;

/// Length of the pieces in which lines are laid on the ground, metres.
const PIECE_M: f64 = 0.25;

/// The room of a handle on the screen, its foot at a place.
pub(super) fn room(pull: &Pull, foot: Pos2) -> Rect {
    match pull {
        Pull::Point { .. } => Rect::from_min_size(foot - vec2(8.0, 20.0), vec2(18.0, 26.0)),
        _ => Rect::from_center_size(foot, vec2(18.0, 18.0)),
    }
}

/// A handle, lit in marking paint while the hand is on it; `root` is where a whisker begins.
pub(super) fn handle(
    painter: &Painter,
    (pull, lit): (&Pull, bool),
    (foot, root): (Pos2, Option<Pos2>),
) {
    let ink = if lit { paper::MARKING.ink() } else { paper::INK.ink() };
    let sheet = paper::SHEET.ink();
    let (line, halo) = (Stroke::new(1.8, ink), Stroke::new(4.0, sheet));
    let wide = painter.with_clip_rect(painter.ctx().content_rect());
    match pull {
        Pull::Point { .. } => {
            let top = foot - vec2(0.0, 16.0);
            painter.line_segment([foot, top], halo);
            painter.line_segment([foot, top], line);
            let flag = vec![top, top + vec2(8.0, 3.0), top + vec2(0.0, 6.0)];
            painter.add(Shape::convex_polygon(flag, ink, Stroke::new(0.8, sheet)));
            painter.circle(foot, 3.0, ink, Stroke::new(1.0, sheet));
        }
        Pull::NewPoint { .. } => {
            painter.circle(foot, 4.5, sheet, Stroke::new(1.4, ink));
            painter.line_segment([foot - vec2(2.5, 0.0), foot + vec2(2.5, 0.0)], line);
            painter.line_segment([foot - vec2(0.0, 2.5), foot + vec2(0.0, 2.5)], line);
        }
        Pull::Place { .. } | Pull::Along { .. } => {
            painter.circle(foot, 5.5, sheet, Stroke::new(1.8, ink));
            painter.circle_filled(foot, 2.2, ink);
        }
        Pull::Rise { .. } => {
            // A levelling staff with its slider.
            let staff = [foot + vec2(0.0, 8.0), foot - vec2(0.0, 8.0)];
            if let Some(root) = root.filter(|root| (*root - foot).length() > 9.0) {
                wide.extend(Shape::dashed_line(&[root, foot], Stroke::new(1.2, ink), 3.0, 3.0));
            }
            painter.line_segment(staff, halo);
            painter.line_segment(staff, line);
            let slider = vec![
                foot - vec2(6.0, 0.0),
                foot - vec2(0.0, 4.0),
                foot + vec2(6.0, 0.0),
                foot + vec2(0.0, 4.0),
            ];
            painter.add(Shape::convex_polygon(slider, sheet, Stroke::new(1.5, ink)));
        }
        Pull::Spread { .. } => {
            let root = root.unwrap_or(foot);
            let way = (foot - root).normalized();
            let across = vec2(-way.y, way.x) * 5.0;
            wide.line_segment([root, foot], Stroke::new(1.3, ink));
            painter.line_segment([foot - across, foot + across], halo);
            painter.line_segment([foot - across, foot + across], Stroke::new(2.4, ink));
        }
        Pull::Whole => {
            painter.circle(foot, 7.0, sheet, Stroke::new(1.6, ink));
            for quarter in 0..4 {
                let way = egui::Vec2::angled(std::f32::consts::FRAC_PI_2 * quarter as f32);
                painter.line_segment([foot + way * 3.0, foot + way * 8.5], line);
            }
        }
        Pull::Turn => {
            let arc: Vec<Pos2> =
                (0..=10).map(|k| foot + egui::Vec2::angled(k as f32 * 0.45 - 3.8) * 6.5).collect();
            let end = arc[arc.len() - 1];
            painter.circle_filled(foot, 8.5, sheet);
            painter.line(arc, line);
            painter.circle_filled(end, 2.6, ink);
        }
    }
}

/// A point that stays while another one is pulled.
pub(super) fn faint(ctx: &Context, foot: Pos2) {
    let painter = ctx.layer_painter(egui::LayerId::background());
    painter.circle(foot, 2.5, paper::SECOND.ink(), Stroke::new(1.0, paper::SHEET.ink()));
}

/// What a handle says when the pointer rests on it.
pub(super) fn words(grip: &Grip, work: &Work, unit: LengthUnit) -> String {
    let path = match &grip.pull {
        Pull::Point { .. } => {
            return format!("{} of {}: drag it; Delete takes it out", grip.label, work.name);
        }
        Pull::NewPoint { .. } => return "Drag a new point out of the line".into(),
        Pull::Whole | Pull::Turn => return format!("{} with all that is on it", grip.label),
        Pull::Place { path }
        | Pull::Rise { path, .. }
        | Pull::Spread { path, .. }
        | Pull::Along { path } => path,
    };
    let field = fields(work).into_iter().find(|field| field.path == *path);
    match field.map(|field| (field.value, field.quantity)) {
        Some((FieldValue::Number(number), quantity)) => {
            format!("{}, {}", grip.label, number_text(number, quantity, unit))
        }
        _ => format!("{}: drag it", grip.label),
    }
}

/// What the tool in the hand shows on the ground.
pub(super) fn tool(ctx: &Context, desk: &Desk<'_, '_>, sight: &Sight<'_>) {
    let painter = ctx.layer_painter(egui::LayerId::background()).with_clip_rect(sight.bounds);
    if let Some(held) = &desk.hand.held {
        target(&painter, desk, sight, held.now.target.as_ref(), held.now.at);
    }
    match &desk.hand.tool {
        Tool::Rest => {}
        Tool::Draw(drawing) => under_way(&painter, desk, sight, drawing),
        Tool::Deed(_, places) => {
            let ends: Vec<[f64; 2]> = places.iter().copied().chain(desk.under.plan).collect();
            line(&painter, desk, sight, &ends, paper::MARKING.ink());
        }
        Tool::Levels(places) => levels(&painter, desk, sight, places),
        Tool::Rain(Some(rain)) => {
            let way: Vec<Pos2> = rain.way.iter().filter_map(|at| (sight.on_screen)(*at)).collect();
            painter.line(way.clone(), Stroke::new(5.0, paper::SHEET.ink()));
            painter.line(way.clone(), Stroke::new(3.0, paper::WATER.ink()));
            if let (Some(first), Some(last)) = (way.first(), way.last()) {
                painter.circle_filled(*first, 4.0, paper::WATER.ink());
                painter.circle(
                    *last,
                    5.0,
                    paper::SHEET.ink(),
                    Stroke::new(2.0, paper::WATER.ink()),
                );
                // Toward the middle, where there is room.
                let (at, anchor) = if last.x > sight.bounds.center().x {
                    (*last + vec2(-10.0, 10.0), Align2::RIGHT_TOP)
                } else {
                    (*last + vec2(10.0, 10.0), Align2::LEFT_TOP)
                };
                label_on_paper(&painter, at, anchor, &rain.end, paper::INK.ink());
            }
        }
        Tool::Rain(None) | Tool::Height => {}
    }
}

fn under_way(painter: &Painter, desk: &Desk<'_, '_>, sight: &Sight<'_>, drawing: &Drawing) {
    let snapped = desk.under.plan.map(|at| {
        let reach_m = f64::from(REACH) * sight.metres_per_point(level_at(desk, at));
        if drawing.closes(at, reach_m) {
            return (drawing.points[0], None, true);
        }
        let wish = wish(at, &drawing.points, reach_m, desk);
        let snapped = desk.hand.snapped(&wish);
        (snapped.at, snapped.to, false)
    });
    let closes = snapped.as_ref().is_some_and(|(.., closes)| *closes);
    let pointer = snapped.as_ref().filter(|(.., closes)| !closes).map(|(at, ..)| *at);
    if let Some((at, to, _)) = &snapped {
        target(painter, desk, sight, to.as_ref(), *at);
    }
    let curve = drawing.curve(pointer);
    let ends = if closes { Ends::Closed } else { Ends::Open };
    let mut points = flattened(&curve, ends);
    if closes {
        points.extend(points.first().copied());
    }
    line(painter, desk, sight, &points, paper::MARKING.ink());
    if drawing.kind.ends() == Ends::Closed && curve.points.len() >= 3 && !closes {
        // How it would close from here.
        let home = [curve.points[curve.points.len() - 1], curve.points[0]];
        let home: Vec<Pos2> =
            home.iter().filter_map(|at| (sight.on_screen)(level_at(desk, *at))).collect();
        painter.extend(Shape::dashed_line(&home, Stroke::new(1.2, paper::MARKING.ink()), 3.0, 5.0));
    }
    for (k, at) in drawing.points.iter().enumerate() {
        let Some(foot) = (sight.on_screen)(level_at(desk, *at)) else { continue };
        let first = k == 0 && drawing.kind.ends() == Ends::Closed && drawing.points.len() >= 3;
        painter.circle(foot, 4.0, paper::MARKING.ink(), Stroke::new(1.2, paper::SHEET.ink()));
        if first {
            painter.circle_stroke(foot, REACH, Stroke::new(1.5, paper::MARKING.ink()));
        }
    }
    if let Some(at) = drawing.crossing(pointer).and_then(|at| (sight.on_screen)(level_at(desk, at)))
    {
        painter.rect_filled(Rect::from_center_size(at, vec2(13.0, 13.0)), 1.0, paper::STOP.ink());
        let at = at + vec2(12.0, -4.0);
        label_on_paper(painter, at, Align2::LEFT_BOTTOM, "crosses here", paper::STOP.ink());
    }
}

/// Lights what a place is drawn to.
fn target(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    sight: &Sight<'_>,
    to: Option<&Target>,
    at: [f64; 2],
) {
    let Some(foot) = (sight.on_screen)(level_at(desk, at)) else { return };
    let ink = Stroke::new(2.0, paper::WATER.ink());
    match to {
        None => {}
        Some(Target::Point { .. }) => {
            painter.circle_stroke(foot, 9.0, ink);
            painter.circle_stroke(foot, 12.0, Stroke::new(1.0, paper::SHEET.ink()));
        }
        Some(Target::Line { piece, .. }) => {
            line(painter, desk, sight, piece, paper::WATER.ink());
            painter.circle_stroke(foot, 6.0, ink);
        }
        Some(Target::Square { from }) => {
            if let Some(from) = (sight.on_screen)(level_at(desk, *from)) {
                painter.extend(Shape::dashed_line(&[from, foot], ink, 8.0, 4.0));
            }
        }
        Some(Target::Length { .. }) => {
            painter.circle_stroke(foot, 6.0, ink);
        }
    }
}

fn levels(painter: &Painter, desk: &Desk<'_, '_>, sight: &Sight<'_>, places: &[[f64; 3]]) {
    let unit = desk.document.site().frame.unit;
    let ink = paper::MARKING.ink();
    let feet: Vec<Pos2> = places.iter().filter_map(|at| (sight.on_screen)(*at)).collect();
    for (foot, place) in feet.iter().zip(places) {
        painter.circle(*foot, 4.0, ink, Stroke::new(1.2, paper::SHEET.ink()));
        let level = units::elevation_text(place[2], unit);
        let at = *foot + vec2(0.0, -10.0);
        label_on_paper(painter, at, Align2::CENTER_BOTTOM, &level, paper::INK.ink());
    }
    if let ([a, b], [p, q]) = (places, feet.as_slice()) {
        painter.line_segment([*p, *q], Stroke::new(2.0, ink));
        let amid = pos2(0.5 * (p.x + q.x), 0.5 * (p.y + q.y)) + vec2(0.0, 8.0);
        let words = judge::between(*a, *b, unit)[1..].join("\n");
        label_on_paper(painter, amid, Align2::CENTER_TOP, &words, paper::INK.ink());
    }
}

/// A line laid on the ground; what lies off the survey is dashed in brick and says so.
fn line(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    sight: &Sight<'_>,
    points: &[[f64; 2]],
    ink: Color32,
) {
    let Some(scene) = &desk.shown.scene else { return };
    let mut told = false;
    for pair in points.windows(2) {
        let run_m = libm::hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        let n = (run_m / PIECE_M).ceil().clamp(1.0, 400.0) as usize;
        let at =
            |k: usize| [0, 1].map(|c| pair[0][c] + (pair[1][c] - pair[0][c]) * k as f64 / n as f64);
        for k in 0..n {
            let ends = [at(k), at(k + 1)];
            let on = ends.iter().all(|at| scene.finished.elevation(*at).is_some());
            let [Some(a), Some(b)] = ends.map(|at| (sight.on_screen)(level_at(desk, at))) else {
                continue;
            };
            if on {
                painter.line_segment([a, b], Stroke::new(4.0, paper::SHEET.ink()));
                painter.line_segment([a, b], Stroke::new(2.2, ink));
            } else {
                painter.extend(Shape::dashed_line(
                    &[a, b],
                    Stroke::new(2.2, paper::STOP.ink()),
                    4.0,
                    4.0,
                ));
                if !told {
                    told = true;
                    let at = a + vec2(8.0, -6.0);
                    label_on_paper(
                        painter,
                        at,
                        Align2::LEFT_BOTTOM,
                        "off the survey",
                        paper::STOP.ink(),
                    );
                }
            }
        }
    }
}
