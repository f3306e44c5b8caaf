//! The section on the screen: its strip below, its line on the ground, and the stakes at its ends.

use design::hand::{Grip, Pull, Stands, grips};
use design::section::Section;
use egui::{Align2, Area, Context, Id, Order, Pos2, Sense, Shape, Stroke, vec2};
use ground::query::{Ahead, SectionPoint};
use site::{Work, WorkId};

use super::hand::Did;
use super::{Answers, Desk, Grasp, on_sheet};
use crate::cut::End;
use crate::hand::held::{Held, Now};
use crate::marks;
use crate::panels::section::points::Point;
use crate::panels::section::{self as panel, IsDrawing, Sheet, section_ui};
use crate::panels::words;
use crate::scene::present::Switch;
use crate::theme::paper;

/// What the hand did with the section.
#[derive(Default)]
pub(super) struct Answer {
    /// The station under the pointer, metres.
    pub read_m: Option<f64>,
    /// An end of its line that is dragged to the ground under the pointer.
    pub pulled: Option<End>,
    /// A work that was clicked in it.
    pub work: Option<WorkId>,
}

/// Shows the strip, between the list of works and the card.
pub(super) fn below(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let Some(lay) = desk.lay() else { return };
    let Some(drawing) = lay.section else { return };
    let site = desk.document.site().clone();
    let name = desk.cut.name(&site);
    let levels = levels(desk);
    let points: Vec<Point> = levels.iter().map(|level| level.point(desk)).collect();
    let sheet = Sheet {
        name: &name,
        section: desk.cut.section.as_deref(),
        before: grasp.section(),
        site: &site,
        points: &points,
        height: drawing,
        is_drawing: if desk.cut.drawing.is_some() { IsDrawing::Yes } else { IsDrawing::No },
    };
    let (left, right) = (lay.paper().left() + 6.0, lay.paper().right());
    let anchor = (Align2::LEFT_BOTTOM, vec2(left, -lay.under()));
    on_sheet(ctx, "section", anchor, |ui| {
        ui.set_width((right - left - 26.0).max(240.0));
        let answer = section_ui(ui, &sheet);
        answers.commands.extend(answer.command);
        answers.section.read_m = answer.read_m;
        answers.section.work = answer.work;
        if let Some(pull) = answer.pull {
            take_hold(pull, &levels, desk, answers);
        }
    });
}

/// A level or a depth of a work where the section cuts it.
struct Level {
    work: Work,
    grip: Grip,
    station_m: f64,
    level_m: f64,
}

/// A handle that stands nearer to the line than this is on it, metres.
const ON_LINE_M: f64 = 1.0;

/// What can be pulled up and down on the section: of the chosen work, else of all.
fn levels(desk: &Desk<'_, '_>) -> Vec<Level> {
    let Some(section) = &desk.cut.section else { return Vec::new() };
    let is_meant = |work: &&Work| match desk.choice.work {
        Some(chosen) => work.id == chosen,
        None => work.visible,
    };
    let mut levels = Vec::new();
    for work in desk.document.site().works.iter().filter(is_meant) {
        for grip in grips(work) {
            let (Pull::Rise { .. }, Stands::At(level_m)) = (&grip.pull, grip.stands) else {
                continue;
            };
            if let Some(station_m) = station_near(section, grip.at) {
                levels.push(Level { work: work.clone(), grip, station_m, level_m });
            }
        }
    }
    levels
}

/// The station of the line nearest to a place, where that is near enough to be on it.
fn station_near(section: &Section, at: [f64; 2]) -> Option<f64> {
    let (mut before_m, mut best) = (0.0, None::<(f64, f64)>);
    for leg in section.line_m.windows(2) {
        let way = [0, 1].map(|k| leg[1][k] - leg[0][k]);
        let length_m = libm::hypot(way[0], way[1]);
        let along = (0..2).map(|k| (at[k] - leg[0][k]) * way[k]).sum::<f64>();
        let t = (along / (length_m * length_m).max(1e-12)).clamp(0.0, 1.0);
        let off = [0, 1].map(|k| leg[0][k] + way[k] * t - at[k]);
        let off_m = libm::hypot(off[0], off[1]);
        if off_m < ON_LINE_M && best.is_none_or(|(least_m, _)| off_m < least_m) {
            best = Some((off_m, before_m + t * length_m));
        }
        before_m += length_m;
    }
    best.map(|(_, station_m)| station_m)
}

impl Level {
    fn is_held(&self, desk: &Desk<'_, '_>) -> bool {
        let held = desk.hand.held.as_ref();
        held.is_some_and(|held| held.work.id == self.work.id && held.grip.name == self.grip.name)
    }

    fn point(&self, desk: &Desk<'_, '_>) -> Point {
        let held = desk.hand.held.as_ref().filter(|_| self.is_held(desk));
        Point {
            name: format!("{} {}", self.work.id.0, self.grip.name),
            label: format!("{}, {}", self.grip.label, self.work.name),
            station_m: self.station_m,
            level_m: self.level_m,
            held: held.map(|held| super::hand::held_words(desk, held).join("\n")),
        }
    }
}

/// Takes hold of a point; from then on the hand moves it as it moves a handle in the garden.
fn take_hold(
    pull: panel::points::Pull,
    levels: &[Level],
    desk: &Desk<'_, '_>,
    answers: &mut Answers,
) {
    let Some(level) = levels.get(pull.point).filter(|_| desk.hand.held.is_none()) else { return };
    let at = level.grip.at;
    answers.hand.push(Did::TookHold(Box::new(Held {
        work: level.work.clone(),
        grip: level.grip.clone(),
        from: (desk.under.plan.unwrap_or(at), pull.down),
        rise_per_point_m: pull.rise_per_point_m,
        is_live: true,
        now: Now { at, ..Now::default() },
    })));
}

/// The height of its drawing in a window so high, in points: the garden keeps most of the window.
pub(super) fn drawing(window: f32) -> f32 {
    (0.24 * window).clamp(84.0, 150.0)
}

/// The height of its sheet with the gap over it, in points.
pub(super) fn height(drawing: f32) -> f32 {
    drawing + panel::MARGINS
}

/// Draws the line over the garden: where it runs, its ends as stakes to be dragged, and the place that
/// the strip reads.
pub(super) fn over_garden(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    bounds: egui::Rect,
    answers: &mut Answers,
) {
    if desk.cut.shown == Switch::Off {
        return;
    }
    let painter = ctx.layer_painter(egui::LayerId::background()).with_clip_rect(bounds);
    let ink = Stroke::new(2.0, paper::MARKING.ink());
    if let Some(places) = &desk.cut.drawing {
        let ground = |at: &[f64; 2]| desk.shown.scene.as_ref()?.finished.elevation(*at);
        let shown = places.iter().filter_map(|at| on_screen([at[0], at[1], ground(at)?]));
        let mut line: Vec<Pos2> = shown.collect();
        line.iter().for_each(|at| stake(&painter, *at));
        line.extend(desk.under.at.and_then(on_screen));
        painter.extend(Shape::dashed_line(&line, ink, 6.0, 4.0));
        return;
    }
    let Some(section) = &desk.cut.section else { return };
    let at = |point: &SectionPoint| on_screen([point.at[0], point.at[1], point.z]);
    for piece in section.finished.split_inclusive(|point| point.ahead == Ahead::Gap) {
        let line: Vec<Pos2> = piece.iter().filter_map(at).collect();
        painter.line(line, ink);
    }
    let ends = [(End::Start, section.finished.first()), (End::Finish, section.finished.last())];
    for (end, point) in ends {
        let Some(at) = point.and_then(at).filter(|at| bounds.contains(*at)) else { continue };
        let name = format!("section {end:?}").to_lowercase();
        let area = Area::new(Id::new(&name))
            .order(Order::Background)
            .fixed_pos(at - vec2(9.0, 24.0))
            .constrain(false)
            .show(ctx, |ui| {
                let (rect, response) = ui.allocate_exact_size(vec2(18.0, 30.0), Sense::drag());
                marks::note(ctx, &name, rect);
                stake(ui.painter(), at);
                response
            });
        let response = area.inner.on_hover_text("Drag the end of the section");
        if response.contains_pointer() || response.dragged() {
            answers.hand.push(super::hand::Did::Over);
        }
        if response.dragged() {
            answers.section.pulled = Some(end);
        }
    }
    let read = desk.cut.read_m.and_then(|station_m| {
        let at = section.place_m(station_m);
        let level_m = design::section::level_at(&section.finished, station_m)?;
        on_screen([at[0], at[1], level_m])
    });
    if let Some(at) = read.filter(|at| bounds.contains(*at)) {
        painter.circle_filled(at, 5.0, paper::MARKING.ink());
        painter.circle_stroke(at, 5.0, Stroke::new(1.5, paper::SHEET.ink()));
        let words = units::length_text(
            desk.cut.read_m.unwrap_or_default(),
            desk.document.site().frame.unit,
        );
        let ink = paper::INK.ink();
        words::label_on_paper(&painter, at + vec2(10.0, -6.0), Align2::LEFT_BOTTOM, &words, ink);
    }
}

/// A stake with a flag, its foot at the place.
fn stake(painter: &egui::Painter, at: Pos2) {
    let ink = paper::MARKING.ink();
    painter.line_segment([at, at - vec2(0.0, 22.0)], Stroke::new(2.0, ink));
    let flag = vec![at - vec2(0.0, 22.0), at + vec2(9.0, -18.5), at - vec2(0.0, 15.0)];
    painter.add(Shape::convex_polygon(flag, ink, Stroke::NONE));
    painter.circle_filled(at, 2.5, ink);
}
