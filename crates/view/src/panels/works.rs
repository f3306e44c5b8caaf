//! The works, as a crew speaks of them, each with a small drawing and its share of the earth.

use design::Evaluation;
use egui::{Pos2, Rect, RichText, Sense, Stroke, Ui, pos2, vec2};
use site::{Site, Work, WorkId, WorkKind};
use units::{LengthUnit, earth_text};

use super::kept;
use crate::command::Command;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// A crew's word for what happens to the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Group {
    /// Ponds and streams.
    Dug,
    /// Hills.
    Raised,
    /// Walls.
    Held,
    /// Gravel and plants.
    Laid,
    /// What stays as it is.
    Kept,
}

/// What was chosen in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Chosen {
    /// Open this work's card.
    Open(WorkId),
    /// Show this work, or leave it out.
    Turn(WorkId),
    /// List the works as they are built.
    Order,
}

/// What the works' earth is read from.
pub(crate) struct Earth<'a> {
    /// The newest evaluation, if any has come back.
    pub now: Option<&'a Evaluation>,
    /// The evaluation as it was when the hand took hold of something.
    pub before: Option<&'a Evaluation>,
}

impl Earth<'_> {
    /// How a work's cut or fill has changed since the hand took hold, whichever has more: a row has no room
    /// for both, which the marks on its bar show. Nothing where neither has.
    fn change(&self, work: WorkId, unit: LengthUnit) -> Option<String> {
        let (now, before) = (self.now?, self.before?);
        let [new, old] = [now, before].map(|evaluation| earth_m3(Some(evaluation), work));
        let by_m3 = [0, 1].map(|side| (new[side] - old[side]).abs());
        let (side, word) = if by_m3[1] > by_m3[0] { (1, "fill") } else { (0, "cut") };
        let said = [old[side], new[side]].map(|m3| earth_text(m3, unit));
        let more = if new[side] > old[side] { "more" } else { "less" };
        (said[0] != said[1]).then(|| format!("{} {more} {word}", earth_text(by_m3[side], unit)))
    }
}

/// A work's cut and fill, in shares of the greatest of all works.
struct Share {
    now: [f64; 2],
    before: Option<[f64; 2]>,
    change: Option<String>,
}

impl Group {
    const ALL: [Self; 5] = [Self::Dug, Self::Raised, Self::Held, Self::Laid, Self::Kept];

    /// The group of a work.
    pub(crate) fn of(kind: &WorkKind) -> Self {
        match kind {
            WorkKind::Basin(_)
            | WorkKind::Stream(_)
            | WorkKind::IntakeBay(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_) => Self::Dug,
            WorkKind::Hill(_) | WorkKind::PlaneGrade(_) => Self::Raised,
            WorkKind::Wall(_) => Self::Held,
            WorkKind::FilterBed(_) | WorkKind::Pad(_) | WorkKind::Path(_) => Self::Laid,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Dug => "dug",
            Self::Raised => "raised",
            Self::Held => "held",
            Self::Laid => "laid",
            Self::Kept => "kept",
        }
    }
}

/// Shows the list; answers with what was chosen.
pub(crate) fn works_ui(
    ui: &mut Ui,
    site: &Site,
    earth: &Earth<'_>,
    open: Option<WorkId>,
) -> Option<Chosen> {
    let mut chosen = None;
    let most = greatest_m3(earth.now);
    let share_of = |work: &Work| Share {
        now: earth_m3(earth.now, work.id).map(|m3| m3 / most),
        before: earth.before.map(|before| earth_m3(Some(before), work.id).map(|m3| m3 / most)),
        change: earth.change(work.id, site.frame.unit),
    };
    ui.horizontal(|ui| {
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let words = RichText::new("order").font(text(size::SMALL));
            let order = ui.add(egui::Button::new(words).frame(false));
            marks::note(ui.ctx(), "order", order.rect);
            let tip = format!("{} ({})", Command::Order.tooltip(), Command::Order.key_text());
            if order.on_hover_text(tip).clicked() {
                chosen = Some(Chosen::Order);
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let title = RichText::new(&site.title).font(bold(size::BODY));
                ui.add(egui::Label::new(title).truncate());
            });
        });
    });
    for name in named_groups(site) {
        ui.add_space(1.0);
        let word = RichText::new(name).font(text(size::SMALL)).color(paper::INK.ink());
        ui.label(word.italics());
        for work in site.works.iter().filter(|work| work.group == name) {
            chosen = row(ui, work, &share_of(work), open == Some(work.id)).or(chosen);
        }
    }
    for group in Group::ALL {
        let is_here = |w: &&Work| w.group.is_empty() && Group::of(&w.kind) == group;
        let works: Vec<&Work> = site.works.iter().filter(is_here).collect();
        if works.is_empty() && (group != Group::Kept || !kept::is_any(site)) {
            continue;
        }
        ui.add_space(1.0);
        ui.label(RichText::new(group.word()).font(text(size::SMALL)).color(paper::SECOND.ink()));
        for work in works {
            chosen = row(ui, work, &share_of(work), open == Some(work.id)).or(chosen);
        }
        if group == Group::Kept {
            kept::kept_ui(ui, site);
        }
    }
    chosen
}

/// The names of groups, in the order in which their first works are built.
fn named_groups(site: &Site) -> Vec<&str> {
    let mut names = Vec::new();
    for work in site.works.iter().filter(|work| !work.group.is_empty()) {
        if !names.contains(&work.group.as_str()) {
            names.push(work.group.as_str());
        }
    }
    names
}

/// Cut and fill of a work, cubic metres in the bank and compacted.
fn earth_m3(evaluation: Option<&Evaluation>, work: WorkId) -> [f64; 2] {
    let own = evaluation.and_then(|e| e.works.iter().find(|own| own.work == work));
    own.map_or([0.0, 0.0], |own| [own.cut_m3, own.fill_m3])
}

fn greatest_m3(evaluation: Option<&Evaluation>) -> f64 {
    let works = evaluation.map_or(&[][..], |e| &e.works);
    works.iter().map(|o| o.cut_m3.max(o.fill_m3)).fold(1e-9, f64::max)
}

fn row(ui: &mut Ui, work: &Work, share: &Share, is_open: bool) -> Option<Chosen> {
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, 31.0), Sense::click());
    marks::note(ui.ctx(), &format!("work {}", work.id.0), rect);
    let painter = ui.painter();
    if is_open || response.hovered() {
        painter.rect_filled(rect.expand2(vec2(6.0, 0.0)), 2.0, paper::WASH.ink());
    }
    if is_open {
        let edge =
            Rect::from_min_max(rect.min - vec2(6.0, 0.0), pos2(rect.left() - 3.0, rect.bottom()));
        painter.rect_filled(edge, 0.0, paper::MARKING.ink());
    }
    let ink = if work.visible { paper::INK.ink() } else { paper::SECOND.ink() };
    let icon = Rect::from_min_size(rect.min + vec2(0.0, 3.0), vec2(34.0, 24.0));
    draw_kind(painter, icon, &work.kind, Stroke::new(1.4, ink));
    // What a drag changes stands beside the name, which gives way to it.
    let change = share.change.as_ref().map(|change| {
        let ink = paper::MARKING.ink();
        painter.layout_no_wrap(change.clone(), text(size::SMALL), ink)
    });
    let taken = change.as_ref().map_or(0.0, |change| change.size().x + 8.0);
    let font = if is_open { bold(size::BODY) } else { text(size::BODY) };
    let mut name = egui::text::LayoutJob::simple_singleline(work.name.clone(), font, ink);
    name.wrap = egui::text::TextWrapping::truncate_at_width(width - 70.0 - taken);
    let name = ui.ctx().fonts_mut(|fonts| fonts.layout_job(name));
    painter.galley(rect.min + vec2(42.0, 1.0), name, ink);
    let bar = Rect::from_min_size(rect.min + vec2(42.0, 22.0), vec2(width - 70.0, 5.0));
    draw_share(painter, bar, share.now);
    if let Some(change) = change {
        draw_before(painter, bar, share.before);
        let spot = pos2(rect.right() - 24.0 - change.size().x, rect.top() + 2.0);
        painter.galley(spot, change, paper::MARKING.ink());
    }
    let eye = Rect::from_center_size(pos2(rect.right() - 8.0, rect.center().y), vec2(18.0, 26.0));
    let id = ui.id().with(("shown", work.id.0));
    let turn = ui.interact(eye, id, Sense::click());
    marks::note(ui.ctx(), &format!("shown {}", work.id.0), eye);
    draw_shown(ui.painter(), eye.center(), work.visible, ink);
    let word = if work.visible { "Leave it out" } else { "Build it" };
    if turn.on_hover_text(word).clicked() {
        return Some(Chosen::Turn(work.id));
    }
    response.clicked().then_some(Chosen::Open(work.id))
}

fn draw_shown(painter: &egui::Painter, at: Pos2, visible: bool, ink: egui::Color32) {
    let stroke = Stroke::new(1.3, ink);
    let lid = |sign: f32| -> Vec<Pos2> {
        (0..=8)
            .map(|k| {
                let t = k as f32 / 8.0 * 2.0 - 1.0;
                at + vec2(t * 7.0, sign * 4.0 * (1.0 - t * t))
            })
            .collect()
    };
    painter.line(lid(1.0), stroke);
    if visible {
        painter.line(lid(-1.0), stroke);
        painter.circle_filled(at, 1.9, ink);
    }
}

/// Cut to the left of the middle in brown, fill to the right in teal.
fn draw_share(painter: &egui::Painter, rect: Rect, [cut, fill]: [f64; 2]) {
    let middle = rect.center().x;
    let half = 0.5 * rect.width();
    painter.hline(rect.x_range(), rect.center().y, Stroke::new(1.0, paper::RULE.ink()));
    let bar =
        |from: f32, to: f32| Rect::from_min_max(pos2(from, rect.top()), pos2(to, rect.bottom()));
    painter.rect_filled(bar(middle - half * cut as f32, middle), 1.0, paper::CUT.ink());
    painter.rect_filled(bar(middle, middle + half * fill as f32), 1.0, paper::FILL.ink());
    painter.vline(middle, rect.expand(2.0).y_range(), Stroke::new(1.0, paper::SECOND.ink()));
}

/// Ticks in marking paint where the bar ended when the hand took hold.
fn draw_before(painter: &egui::Painter, rect: Rect, before: Option<[f64; 2]>) {
    let Some([cut, fill]) = before else { return };
    let (middle, half) = (rect.center().x, 0.5 * rect.width());
    for share in [-cut as f32, fill as f32] {
        let x = middle + half * share.clamp(-1.0, 1.0);
        painter.vline(x, rect.expand(2.0).y_range(), Stroke::new(1.6, paper::MARKING.ink()));
    }
}

/// Each kind in section, with a few strokes.
pub(crate) fn draw_kind(painter: &egui::Painter, rect: Rect, kind: &WorkKind, stroke: Stroke) {
    let at = |x: f32, y: f32| rect.min + vec2(x * rect.width(), y * rect.height());
    let line = |points: &[(f32, f32)]| {
        painter.line(points.iter().map(|(x, y)| at(*x, *y)).collect(), stroke);
    };
    let water = Stroke::new(stroke.width, paper::WATER.ink());
    match kind {
        WorkKind::Basin(_) => {
            line(&[
                (0.0, 0.25),
                (0.14, 0.25),
                (0.20, 0.52),
                (0.36, 0.54),
                (0.44, 0.92),
                (0.66, 0.92),
                (0.76, 0.54),
                (0.84, 0.52),
                (0.90, 0.25),
                (1.0, 0.25),
            ]);
            painter.line_segment([at(0.16, 0.38), at(0.88, 0.38)], water);
        }
        WorkKind::Stream(_) => {
            line(&[
                (0.0, 0.18),
                (0.30, 0.24),
                (0.30, 0.52),
                (0.62, 0.58),
                (0.62, 0.86),
                (1.0, 0.92),
            ]);
            painter.line(
                vec![
                    at(0.0, 0.08),
                    at(0.34, 0.14),
                    at(0.36, 0.42),
                    at(0.66, 0.48),
                    at(0.68, 0.76),
                    at(1.0, 0.82),
                ],
                water,
            );
        }
        WorkKind::Hill(_) => {
            line(&[
                (0.0, 0.86),
                (0.16, 0.80),
                (0.32, 0.46),
                (0.44, 0.24),
                (0.56, 0.22),
                (0.70, 0.40),
                (0.86, 0.76),
                (1.0, 0.86),
            ]);
        }
        WorkKind::Wall(_) => {
            line(&[(0.0, 0.92), (0.34, 0.92)]);
            line(&[(0.34, 0.92), (0.34, 0.62), (0.62, 0.62), (0.62, 0.92), (0.34, 0.92)]);
            line(&[(0.38, 0.62), (0.38, 0.36), (0.64, 0.36), (0.62, 0.62)]);
            line(&[(0.42, 0.36), (0.43, 0.14), (0.64, 0.14), (0.64, 0.36)]);
            line(&[(0.66, 0.16), (1.0, 0.22)]);
        }
        WorkKind::FilterBed(_) => {
            line(&[
                (0.0, 0.40),
                (0.16, 0.40),
                (0.22, 0.92),
                (0.80, 0.92),
                (0.86, 0.52),
                (1.0, 0.56),
            ]);
            for (x, y) in [
                (0.30, 0.82),
                (0.42, 0.74),
                (0.54, 0.82),
                (0.66, 0.76),
                (0.36, 0.66),
                (0.60, 0.64),
                (0.74, 0.66),
            ] {
                painter.circle_filled(at(x, y), 1.2, stroke.color);
            }
            for (x, lean) in [(0.36, -0.06), (0.50, 0.02), (0.66, 0.07)] {
                line(&[(x, 0.52), (x + lean * 0.4, 0.28), (x + lean, 0.06)]);
            }
            painter.line_segment([at(0.20, 0.50), at(1.0, 0.50)], water);
        }
        WorkKind::IntakeBay(_) => {
            line(&[(0.0, 0.28), (0.18, 0.28), (0.24, 0.92), (0.66, 0.92), (0.72, 0.50)]);
            line(&[(0.72, 0.50), (0.84, 0.50), (1.0, 0.78)]);
            painter.line_segment([at(0.19, 0.40), at(1.0, 0.40)], water);
            line(&[(0.36, 0.92), (0.36, 0.70), (0.52, 0.70), (0.52, 0.92)]);
        }
        WorkKind::Pad(_) => {
            line(&[(0.0, 0.44), (0.14, 0.60), (0.86, 0.66), (1.0, 0.82)]);
            for x in [0.22, 0.40, 0.58, 0.76] {
                line(&[(x, 0.61), (x, 0.74)]);
            }
            line(&[(0.14, 0.74), (0.86, 0.79)]);
        }
        WorkKind::Path(_) => {
            line(&[(0.0, 0.86), (0.26, 0.80), (0.26, 0.66), (0.44, 0.66), (0.44, 0.52)]);
            line(&[(0.44, 0.52), (0.62, 0.52), (0.62, 0.38), (1.0, 0.30)]);
        }
        WorkKind::PlaneGrade(_) => {
            line(&[(0.0, 0.42), (1.0, 0.72)]);
            for x in [0.12, 0.30, 0.48, 0.66, 0.84] {
                let foot = 0.42 + 0.30 * x;
                line(&[(x, foot), (x + 0.03, foot - 0.18)]);
            }
        }
        WorkKind::Trench(_) => {
            line(&[
                (0.0, 0.22),
                (0.30, 0.22),
                (0.38, 0.90),
                (0.62, 0.90),
                (0.70, 0.22),
                (1.0, 0.22),
            ]);
            painter.circle_stroke(at(0.5, 0.72), 0.12 * rect.height(), stroke);
        }
        WorkKind::Strip(_) => {
            line(&[
                (0.0, 0.34),
                (0.22, 0.34),
                (0.22, 0.56),
                (0.78, 0.56),
                (0.78, 0.34),
                (1.0, 0.34),
            ]);
            line(&[(0.30, 0.34), (0.42, 0.16), (0.60, 0.16), (0.70, 0.34)]);
        }
    }
}
