//! The section below: a paper strip on which the garden is cut open along a line.

mod frame;
mod hatch;
pub(crate) mod points;

use design::section::{Gap, Grade, MarkKind, Section, level_at};
use egui::{Align2, Color32, Painter, Pos2, Rect, RichText, Sense, Shape, Stroke, Ui, pos2, vec2};
use ground::query::{Ahead, SectionPoint};
use site::{Site, WorkId};
use units::{LengthUnit, area_text, elevation_text, length_text, run_per_rise_text};

use self::frame::Frame;
use self::points::{Point, Pull};
use super::change::change_ui;
use super::plan::Room;
use super::words::{label_on_paper, word_button};
use crate::command::Command;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// What the strip's name and margins add to the height of the drawing, in points.
pub(crate) const MARGINS: f32 = 66.0;

/// What the section is of, and whether its line is being drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sheet<'a> {
    pub name: &'a str,
    /// The section; none where the line meets no ground, or until it is cut.
    pub section: Option<&'a Section>,
    /// The section as it was when the hand took hold of something.
    pub before: Option<&'a Section>,
    pub site: &'a Site,
    /// What a hand can pull up and down on it.
    pub points: &'a [Point],
    /// Height of the drawing, in points.
    pub height: f32,
    /// Whether places of a new line are being clicked.
    pub is_drawing: IsDrawing,
}

/// Whether the next click on the ground sets the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum IsDrawing {
    Yes,
    No,
}

/// What the strip answers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Answer {
    /// A command that was chosen.
    pub command: Option<Command>,
    /// The station under the pointer, metres.
    pub read_m: Option<f64>,
    /// A work that was clicked.
    pub work: Option<WorkId>,
    /// A point that the hand has taken hold of.
    pub pull: Option<Pull>,
}

/// "88 ft 6 in long · 73 ft2 cut · 15 ft2 fill".
fn measures(section: &Section, unit: LengthUnit) -> String {
    format!(
        "{} long · {} cut · {} fill",
        length_text(section.length_m, unit),
        area_text(section.cut_m2, unit),
        area_text(section.fill_m2, unit)
    )
}

/// Shows the strip.
pub(crate) fn section_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Answer {
    let mut answer = Answer::default();
    let unit = sheet.site.frame.unit;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            for command in [Command::Section, Command::PrintSection, Command::DrawLine] {
                let response = match command {
                    Command::Section => {
                        let close = ui.add(egui::Button::new("close").frame(false));
                        marks::note(ui.ctx(), "close section", close.rect);
                        close.on_hover_text("Close the section (X)")
                    }
                    _ => word_button(ui, command, true),
                };
                if response.clicked() {
                    answer.command = Some(command);
                }
            }
            // What a narrow window has no room for is cut short, never the words to press.
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let name = RichText::new(sheet.name).font(bold(size::BODY));
                ui.add(egui::Label::new(name).truncate());
                if let Some(section) = sheet.section {
                    let words = RichText::new(measures(section, unit)).font(text(size::SMALL));
                    let words = words.color(paper::SECOND.ink());
                    ui.add(egui::Label::new(words).truncate());
                    let before = sheet.before;
                    if let Some(change) = before.and_then(|before| change(before, section, unit)) {
                        change_ui(ui, &change);
                    }
                }
            });
        });
    });
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), sheet.height), Sense::click());
    marks::note(ui.ctx(), "section", rect);
    let painter = ui.painter().with_clip_rect(rect.expand(2.0));
    match sheet.section.filter(|_| sheet.is_drawing == IsDrawing::No) {
        Some(section) => {
            let frame = Frame::fitting(section, rect);
            paint(&painter, section, &frame, (unit, sheet.points));
            answer.pull = points::points_ui(ui, sheet.points, &frame);
            let is_still = sheet.points.iter().all(|point| point.held.is_none());
            if let Some(pointer) = response.hover_pos().filter(|_| is_still) {
                answer.read_m = read(&painter, section, &frame, pointer, unit);
            }
            if let (true, Some(at)) = (response.clicked(), response.interact_pointer_pos()) {
                answer.work = work_at(section, &frame, at);
            }
        }
        None => {
            let words = match sheet.is_drawing {
                IsDrawing::Yes => {
                    "Click on the ground where the section begins, then where it ends; with Shift \
                     it bends there and goes on"
                }
                IsDrawing::No => "The line meets no ground: draw another",
            };
            let ink = paper::SECOND.ink();
            painter.text(rect.center(), Align2::CENTER_CENTER, words, text(size::BODY), ink);
        }
    }
    answer
}

/// How cut and fill along the line have changed.
fn change(before: &Section, now: &Section, unit: LengthUnit) -> Option<String> {
    let told = |old: f64, new: f64, word: &str| {
        let by = area_text((new - old).abs(), unit);
        let more = if new > old { "more" } else { "less" };
        (area_text(old, unit) != area_text(new, unit)).then(|| format!("{by} {more} {word}"))
    };
    let cut = told(before.cut_m2, now.cut_m2, "cut");
    let fill = told(before.fill_m2, now.fill_m2, "fill");
    let words: Vec<String> = cut.into_iter().chain(fill).collect();
    (!words.is_empty()).then(|| words.join(" · "))
}

fn paint(
    painter: &Painter,
    section: &Section,
    frame: &Frame,
    (unit, points): (LengthUnit, &[Point]),
) {
    levels(painter, frame, unit);
    hatch::moved(painter, section, frame);
    for gap in section.wet.iter().flat_map(|wet| &wet.gaps) {
        fill(painter, gap, frame, paper::POOL.ink());
        let top = [0, 1].map(|end| frame.at([gap.stations[end], gap.levels[1][end]]));
        painter.line_segment(top, Stroke::new(1.4, paper::WATER.ink()));
    }
    section.gravel.iter().for_each(|gap| fill(painter, gap, frame, paper::GRAVEL.ink()));
    profile(painter, &section.subgrade, frame, Stroke::new(0.7, paper::INK.ink()), Dashed::No);
    profile(painter, &section.liner, frame, Stroke::new(1.2, paper::WATER.ink()), Dashed::No);
    profile(painter, &section.existing, frame, Stroke::new(1.2, paper::SECOND.ink()), Dashed::Yes);
    profile(painter, &section.finished, frame, Stroke::new(2.0, paper::INK.ink()), Dashed::No);
    section.grades.iter().for_each(|grade| letter(painter, grade, frame));
    let mut room = Room::within(frame.rect);
    room.taken = points.iter().map(|point| points::room(point, frame)).collect();
    flags(painter, section, frame, unit, &mut room);
    let words = frame.proportion_text();
    let ink = paper::SECOND.ink();
    let foot = frame.rect.right_bottom() - vec2(2.0, 0.0);
    painter.text(foot, Align2::RIGHT_BOTTOM, words, text(size::SMALL), ink);
}

/// Fills what lies in a gap. A bare mesh has no soft edge, so neighbours meet without a seam.
fn fill(painter: &Painter, gap: &Gap, frame: &Frame, colour: Color32) {
    let mut mesh = egui::Mesh::default();
    frame.quad(gap).into_iter().for_each(|corner| mesh.colored_vertex(corner, colour));
    mesh.add_triangle(0, 1, 2);
    mesh.add_triangle(0, 2, 3);
    painter.add(mesh);
}

#[derive(Clone, Copy, PartialEq)]
enum Dashed {
    Yes,
    No,
}

fn profile(
    painter: &Painter,
    points: &[SectionPoint],
    frame: &Frame,
    stroke: Stroke,
    dashed: Dashed,
) {
    for piece in points.split_inclusive(|point| point.ahead == Ahead::Gap) {
        let places: Vec<Pos2> = piece.iter().map(|p| frame.at([p.station_m, p.z])).collect();
        match dashed {
            Dashed::Yes => painter.extend(Shape::dashed_line(&places, stroke, 5.0, 4.0)),
            Dashed::No => drop(painter.line(places, stroke)),
        }
    }
}

/// Fine lines at round levels, with their numbers at the left.
fn levels(painter: &Painter, frame: &Frame, unit: LengthUnit) {
    for level_m in frame.round_levels_m(unit) {
        let y = frame.at([0.0, level_m]).y;
        painter.hline(frame.rect.x_range(), y, Stroke::new(0.6, paper::RULE.ink()));
        let words = elevation_text(level_m, unit);
        let at = pos2(frame.rect.left() + 2.0, y);
        painter.text(at, Align2::LEFT_BOTTOM, words, text(size::SMALL - 2.0), paper::SECOND.ink());
    }
}

/// The grade of a stretch, lettered along it where it finds room.
fn letter(painter: &Painter, grade: &Grade, frame: &Frame) {
    let [a, b] = [0, 1].map(|end| frame.at([grade.stations[end], grade.levels[end]]));
    let words = run_per_rise_text(grade.run_per_rise);
    let galley = painter.layout_no_wrap(words, text(size::SMALL), paper::INK.ink());
    let way = b - a;
    if way.length() < galley.size().x + 6.0 {
        return;
    }
    let (along, middle) = (way.normalized(), a + 0.5 * way);
    let down = vec2(-along.y, along.x);
    let corner = middle - 0.5 * galley.size().x * along + 3.0 * down;
    let angle = along.y.atan2(along.x);
    painter.add(egui::epaint::TextShape::new(corner, galley, paper::INK.ink()).with_angle(angle));
}

/// What stands on the line: a small flag, and a word with its level where there is room.
fn flags(painter: &Painter, section: &Section, frame: &Frame, unit: LengthUnit, room: &mut Room) {
    for mark in &section.marks {
        let at = frame.at([mark.station_m, mark.z]);
        let (word, ink) = match mark.kind {
            MarkKind::Lip => ("lip", paper::MARKING.ink()),
            MarkKind::WallTop => ("wall top", paper::MARKING.ink()),
            MarkKind::LinerEdge => ("liner edge", paper::WATER.ink()),
        };
        let flag = vec![at, at + vec2(-3.5, -6.0), at + vec2(3.5, -6.0)];
        painter.add(Shape::convex_polygon(flag, ink, Stroke::NONE));
        let words = format!("{word} {}", elevation_text(mark.z, unit));
        let size = painter.layout_no_wrap(words.clone(), text(size::SMALL), ink).size();
        let above = |up: f32| at - vec2(0.0, 16.0 + up);
        let free = [0.0, 18.0, 36.0]
            .map(above)
            .into_iter()
            .find(|place| room.is_free(Rect::from_center_size(*place, size)));
        if let Some(place) = free {
            let ink = paper::INK.ink();
            let rect = label_on_paper(painter, place, Align2::CENTER_CENTER, &words, ink);
            room.taken.push(rect);
        }
    }
}

/// Reads both levels under the pointer; answers with the station.
fn read(
    painter: &Painter,
    section: &Section,
    frame: &Frame,
    pointer: Pos2,
    unit: LengthUnit,
) -> Option<f64> {
    let station_m = frame.station_m(pointer.x).filter(|s| (0.0..=section.length_m).contains(s))?;
    let [existing, finished] =
        [&section.existing, &section.finished].map(|profile| level_at(profile, station_m));
    let ink = Stroke::new(1.0, paper::MARKING.ink());
    painter.vline(pointer.x, frame.rect.y_range(), ink);
    for level_m in [existing, finished].into_iter().flatten() {
        painter.circle_filled(frame.at([station_m, level_m]), 3.0, paper::MARKING.ink());
    }
    let mut words = format!("at {}", length_text(station_m, unit));
    if let Some(level_m) = existing {
        words += &format!(" · existing {}", elevation_text(level_m, unit));
    }
    if let Some(level_m) = finished {
        words += &format!(" · finished {}", elevation_text(level_m, unit));
    }
    if let Some((from, to)) = existing.zip(finished).filter(|(from, to)| (to - from).abs() > 5e-4) {
        let word = if to > from { "fill" } else { "cut" };
        words += &format!(" · {word} {}", length_text((to - from).abs(), unit));
    }
    let is_right = pointer.x > frame.rect.center().x;
    let (anchor, aside) =
        if is_right { (Align2::RIGHT_TOP, -8.0) } else { (Align2::LEFT_TOP, 8.0) };
    let at = pos2(pointer.x + aside, frame.rect.top() + 2.0);
    label_on_paper(painter, at, anchor, &words, paper::INK.ink());
    Some(station_m)
}

/// The work whose mark is nearest to a place, within a finger's breadth.
fn work_at(section: &Section, frame: &Frame, at: Pos2) -> Option<WorkId> {
    const BREADTH: f32 = 14.0;
    let off = |mark: &design::section::Mark| (frame.at([mark.station_m, mark.z]) - at).length();
    let nearest = section.marks.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(nearest) < BREADTH).then_some(nearest.work)
}

#[cfg(test)]
mod tests;
