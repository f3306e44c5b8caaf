//! The job as it runs: its step, what has moved by then, and what must be seen to before the next.

use design::Severity;
use design::job::Step;
use egui::{Pos2, Rect, RichText, Sense, Stroke, Ui, pos2, vec2};
use units::{LengthUnit, earth_text, loads_text};

use super::words::{sign_ui, small};
use crate::command::Command;
use crate::marks;
use crate::scene::present::Switch;
use crate::theme::{bold, paper, size, text};

/// What was done with the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Chosen {
    /// Let it go on, or hold it.
    RunOrHold,
    /// Go to a step.
    Go(usize),
    /// Close it.
    Close,
}

/// Height of the whole strip with its margins, in points.
pub(crate) const STRIP: f32 = 132.0;

/// Shows the job at a step; `runs` while it goes on by itself.
pub(crate) fn play_ui(
    ui: &mut Ui,
    steps: Option<&[Step]>,
    at: usize,
    runs: Switch,
    unit: LengthUnit,
) -> Option<Chosen> {
    let mut chosen = None;
    // Steps with less to say leave the way where it is under the hand.
    ui.set_min_height(STRIP - 34.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 12.0;
        ui.label(RichText::new("The job").font(bold(size::BODY)));
        let word = if runs == Switch::On { "hold" } else { "go on" };
        let run = ui.add(egui::Button::new(RichText::new(word).font(text(size::BODY))));
        marks::note(ui.ctx(), "job run", run.rect);
        let tip = format!("{} ({})", Command::RunJob.tooltip(), Command::RunJob.key_text());
        if run.on_hover_text(tip).clicked() {
            chosen = Some(Chosen::RunOrHold);
        }
        if let Some(step) = steps.and_then(|steps| steps.get(at)) {
            let words = format!("{} of {}", at + 1, steps.map_or(0, <[Step]>::len));
            small(ui, words);
            ui.label(RichText::new(&step.name).font(bold(size::BODY)));
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close job", close.rect);
            let tip = format!("Put the job away ({})", Command::Play.key_text());
            if close.on_hover_text(tip).clicked() {
                chosen = Some(Chosen::Close);
            }
        });
    });
    let Some(steps) = steps else {
        small(ui, "Working out the steps…");
        return chosen;
    };
    let Some(step) = steps.get(at) else {
        small(ui, "There is nothing to build yet");
        return chosen;
    };
    chosen = way_ui(ui, steps, at).map(Chosen::Go).or(chosen);
    ui.label(RichText::new(moved_text(step, unit)).font(text(size::BODY)));
    if let Some(wait) = step.wait {
        ui.horizontal(|ui| {
            sign_ui(ui, Severity::LookAt);
            let words = RichText::new(format!("Before it goes on. {wait}"));
            ui.add(egui::Label::new(words.font(text(size::SMALL))).wrap());
        });
    }
    chosen
}

/// What has moved by a step.
fn moved_text(step: &Step, unit: LengthUnit) -> String {
    let mut words =
        format!("cut {} · fill {}", earth_text(step.cut_m3, unit), earth_text(step.fill_m3, unit));
    if let Some(loads) = step.loads {
        words += &format!(" · {} of subsoil", loads_text(loads));
    }
    words + " so far"
}

/// The steps as places along a line: those that are done filled, those that wait with a bar across.
fn way_ui(ui: &mut Ui, steps: &[Step], at: usize) -> Option<usize> {
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), 26.0), Sense::click_and_drag());
    marks::note(ui.ctx(), "job way", rect);
    let last = steps.len().saturating_sub(1).max(1) as f32;
    let line = Rect::from_min_max(rect.min + vec2(8.0, 0.0), rect.max - vec2(8.0, 0.0));
    let place = |idx: usize| pos2(line.left() + line.width() * idx as f32 / last, line.center().y);
    let painter = ui.painter();
    painter.line_segment([place(0), place(steps.len() - 1)], Stroke::new(2.0, paper::RULE.ink()));
    painter.line_segment([place(0), place(at)], Stroke::new(2.0, paper::MARKING.ink()));
    for (idx, step) in steps.iter().enumerate() {
        paint_step(painter, place(idx), step, idx <= at);
    }
    painter.circle_filled(place(at), 7.0, paper::MARKING.ink());
    let pointer = response.interact_pointer_pos()?;
    let share = ((pointer.x - line.left()) / line.width()).clamp(0.0, 1.0);
    let idx = (share * last).round() as usize;
    ((response.clicked() || response.dragged()) && idx != at).then_some(idx)
}

fn paint_step(painter: &egui::Painter, at: Pos2, step: &Step, is_done: bool) {
    let ink = if is_done { paper::MARKING.ink() } else { paper::SECOND.ink() };
    if step.wait.is_some() {
        painter.vline(at.x, at.y - 9.0..=at.y + 9.0, Stroke::new(2.0, paper::LOOK_AT.ink()));
    }
    painter.circle_filled(at, 4.0, if is_done { ink } else { paper::SHEET.ink() });
    painter.circle_stroke(at, 4.0, Stroke::new(1.5, ink));
}

#[cfg(test)]
mod tests {
    use egui_kittest::Harness;

    use super::*;

    struct Bench {
        steps: Vec<Step>,
        at: usize,
        chosen: Option<Chosen>,
        marks: marks::Marks,
        passes: usize,
    }

    #[test]
    fn a_click_on_the_way_goes_to_the_nearest_step() {
        let site = crate::demo::rear_garden();
        let steps = design::job::job(&site, &design::evaluate(&site));
        let last = steps.len() - 1;
        let state = Bench { steps, at: 0, chosen: None, marks: marks::Marks::new(), passes: 0 };
        let mut harness = Harness::builder().with_size(vec2(800.0, STRIP)).build_ui_state(
            |ui, bench: &mut Bench| {
                // Fonts are there from the pass after the one that names them.
                bench.passes += 1;
                if bench.passes == 1 {
                    return crate::theme::install(ui.ctx());
                }
                marks::keep(ui.ctx());
                let steps = Some(&bench.steps[..]);
                let chosen = play_ui(ui, steps, bench.at, Switch::Off, LengthUnit::FootInch);
                bench.chosen = chosen.or(bench.chosen);
                bench.marks = marks::take(ui.ctx());
            },
            state,
        );
        harness.run_steps(3);
        let way = harness.state().marks["job way"];
        let at = pos2(way.right() - 10.0, way.center().y);
        for pressed in [true, false] {
            harness.event(egui::Event::PointerMoved(at));
            harness.event(egui::Event::PointerButton {
                pos: at,
                button: egui::PointerButton::Primary,
                pressed,
                modifiers: egui::Modifiers::NONE,
            });
            harness.run_steps(1);
        }
        harness.run_steps(2);
        assert_eq!(harness.state().chosen, Some(Chosen::Go(last)));
    }
}
