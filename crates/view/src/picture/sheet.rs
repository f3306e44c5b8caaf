//! The lettering of plan pictures: levels, names, findings, and a card with the key.

use design::Evaluation;
use egui::{Context, Id, Pos2, Rect, RichText, Sense, Stroke, Ui, pos2, vec2};
use image::RgbaImage;
use site::Site;
use units::{earth_text, length_text};

use super::{Shot, raster};
use crate::look::Pane;
use crate::panels::words::{paint_sign, small};
use crate::panels::{legend, pins, plan};
use crate::scene::Scene;
use crate::scene::present::Switch;
use crate::theme::{self, bold, paper, size, text};

/// Height of every lettered picture in points, whatever its pixels.
const HEIGHT: f32 = 720.0;

/// Room for the card beside the plan, and below it where the picture is narrow, in points.
const BESIDE: f32 = 340.0;
const BELOW: f32 = 250.0;

/// Where the plan stands in a picture, in points.
struct Layout {
    whole: Rect,
    plan: Rect,
    card: Rect,
}

impl Layout {
    fn of([width, height]: [u32; 2]) -> Self {
        let aspect = width as f32 / height as f32;
        let whole = Rect::from_min_size(Pos2::ZERO, vec2(HEIGHT * aspect, HEIGHT));
        let (plan, card) = if aspect > 1.2 {
            whole.split_left_right_at_x(whole.right() - BESIDE)
        } else {
            whole.split_top_bottom_at_y(whole.bottom() - BELOW)
        };
        Self { whole, plan, card }
    }
}

/// The pane whose open part is the plan's.
pub(super) fn pane(size: [u32; 2]) -> Pane {
    let Layout { whole, plan, .. } = Layout::of(size);
    let sides = [plan.left(), plan.top(), plan.right(), plan.bottom()];
    Pane { whole: [whole.width(), whole.height()].map(f64::from), open: sides.map(f64::from) }
}

/// What the lettering reads.
pub(super) struct Sheets<'a> {
    pub site: &'a Site,
    pub evaluation: &'a Evaluation,
    pub scene: Scene,
}

impl Sheets<'_> {
    /// Letters a picture of the plan.
    pub(super) fn letter(&self, picture: &mut RgbaImage, shot: &Shot) {
        let layout = Layout::of(shot.size);
        raster::over(picture, HEIGHT, |ctx| {
            self.over_plan(ctx, shot, &layout);
            self.card(ctx, shot, &layout);
        });
    }

    fn over_plan(&self, ctx: &Context, shot: &Shot, layout: &Layout) {
        let eye = shot.eye.plan;
        let points_per_m = HEIGHT / eye.height_m as f32;
        let on_screen = |[x, y, _]: [f64; 3]| {
            let off = [x - eye.centre[0], y - eye.centre[1]].map(|c| c as f32 * points_per_m);
            Some(layout.whole.center() + vec2(off[0], -off[1]))
        };
        let painter = ctx.layer_painter(egui::LayerId::background());
        let unit = self.site.frame.unit;
        let bounds = layout.plan.shrink(6.0);
        let mut room = plan::Room::within(bounds);
        if shot.depths == Switch::Off {
            let pins: Vec<pins::Pin> = self
                .evaluation
                .findings
                .iter()
                .enumerate()
                .filter_map(|(finding, found)| {
                    Some(pins::Pin { finding, at: on_screen(found.at_m)? })
                })
                .filter(|pin| bounds.contains(pin.at))
                .collect();
            let flags = pins::flags(&painter, self.evaluation, &pins, None, unit, &room);
            room.taken.extend(flags.iter().map(|flag| flag.rect));
            room.taken
                .extend(pins.iter().map(|pin| Rect::from_center_size(pin.at, vec2(8.0, 8.0))));
            for flag in &flags {
                pins::paint(&painter, flag);
            }
        }
        plan::PlanSheet::of(self.site, &self.scene, points_per_m, &on_screen)
            .with_kept(&self.scene, shot.keep_outs(), &on_screen)
            .paint(&painter, &mut room);
    }

    fn card(&self, ctx: &Context, shot: &Shot, layout: &Layout) {
        let room = layout.card.shrink(theme::EDGE);
        let points_per_m = HEIGHT / shot.eye.plan.height_m as f32;
        egui::Area::new(Id::new("key")).fixed_pos(room.min).fade_in(false).show(ctx, |ui| {
            theme::sheet().show(ui, |ui| {
                ui.set_width(room.width() - 26.0);
                ui.label(RichText::new(&self.site.title).font(bold(size::HEAD)));
                match shot.depths {
                    Switch::Off => self.key_ui(ui),
                    Switch::On => self.depths_ui(ui, f64::from(shot.depth_end_m)),
                }
                ui.add_space(10.0);
                let (foot, _) =
                    ui.allocate_exact_size(vec2(ui.available_width(), 62.0), Sense::hover());
                plan::north(ui.painter(), pos2(foot.left() + 14.0, foot.center().y + 8.0));
                let middle = pos2(foot.center().x + 16.0, foot.center().y + 14.0);
                let most = foot.width() - 70.0;
                plan::scale(ui.painter(), middle, most, points_per_m, self.site.frame.unit);
            });
        });
    }

    fn key_ui(&self, ui: &mut Ui) {
        small(ui, "Plan of the finished ground");
        ui.add_space(6.0);
        for part in exchange::report::balance_line(self.site, self.evaluation).split(" · ") {
            let mut letters = part.chars();
            let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            let words = format!("{first}{}", letters.as_str());
            ui.label(RichText::new(words).font(bold(size::BODY)));
        }
        ui.add_space(6.0);
        ui.separator();
        if let Some(interval) = self.interval_text() {
            line_ui(
                ui,
                &format!("contours every {interval}, levels in {}", self.sign()),
                |p, r| {
                    p.hline(r.x_range(), r.center().y, Stroke::new(1.2, paper::INK.ink()));
                },
            );
        }
        line_ui(ui, "edge of the survey", |p, r| {
            let ends = [r.left_center(), r.right_center()];
            let ink = Stroke::new(2.0, paper::SECOND.ink());
            p.extend(egui::Shape::dashed_line(&ends, ink, 7.0, 5.0));
        });
        if !self.site.keep_outs.is_empty() {
            for (words, dash, breadth) in [
                ("what stays: its word stands beside it", [12.0, 4.0], 2.0),
                ("roots or distance to keep", [4.0, 3.0], 1.2),
            ] {
                line_ui(ui, words, |p, r| {
                    let ends = [r.left_center(), r.right_center()];
                    let ink = Stroke::new(breadth, paper::INK.ink());
                    p.extend(egui::Shape::dashed_line(&ends, ink, dash[0], dash[1]));
                });
            }
        }
        for finding in [design::Severity::Stop, design::Severity::LookAt] {
            if self.evaluation.findings.iter().any(|f| f.severity == finding) {
                line_ui(ui, finding.as_str(), |p, r| paint_sign(p, r.center(), finding));
            }
        }
    }

    fn depths_ui(&self, ui: &mut Ui, end_m: f64) {
        let unit = self.site.frame.unit;
        ui.add_space(2.0);
        legend::legend_ui(ui, end_m, unit);
        ui.add_space(8.0);
        ui.separator();
        row_ui(ui, ["", "cut", "fill"], text(size::SMALL));
        for outcome in &self.evaluation.works {
            let name = self.site.work(outcome.work).map_or("", |work| work.name.as_str());
            let [cut, fill] = [outcome.cut_m3, outcome.fill_m3].map(|m3| earth_text(m3, unit));
            row_ui(ui, [name, &cut, &fill], text(size::BODY));
        }
        ui.add_space(6.0);
        let earth = &self.evaluation.earth;
        let words = format!(
            "Deepest cut {}, highest fill {}",
            length_text(earth.deepest_cut_m, unit),
            length_text(earth.highest_fill_m, unit)
        );
        ui.label(RichText::new(words).font(text(size::SMALL)));
    }

    fn sign(&self) -> &'static str {
        self.site.frame.unit.sign()
    }

    /// The rise from one contour to the next.
    fn interval_text(&self) -> Option<String> {
        let mut levels: Vec<f64> = self.scene.contours.iter().map(|c| c.z).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let pair = levels.get(..2)?;
        Some(length_text(pair[1] - pair[0], self.site.frame.unit))
    }
}

/// One row of a table: a name, and two numbers that stand under each other.
fn row_ui(ui: &mut Ui, words: [&str; 3], font: egui::FontId) {
    let (row, _) = ui.allocate_exact_size(vec2(ui.available_width(), 22.0), Sense::hover());
    let columns = [row.left(), row.left() + 0.70 * row.width(), row.right()];
    let sides = [egui::Align2::LEFT_CENTER, egui::Align2::RIGHT_CENTER, egui::Align2::RIGHT_CENTER];
    for ((words, x), side) in words.into_iter().zip(columns).zip(sides) {
        let at = pos2(x, row.center().y);
        ui.painter().text(at, side, words, font.clone(), paper::INK.ink());
    }
}

/// One line of the key: a sign and what it means.
fn line_ui(ui: &mut Ui, words: &str, sign: impl FnOnce(&egui::Painter, Rect)) {
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(30.0, 18.0), Sense::hover());
        sign(ui.painter(), rect);
        ui.label(RichText::new(words).font(text(size::SMALL)));
    });
}
