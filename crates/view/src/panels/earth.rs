//! The earth sheet: what is dug, placed, left over and hauled, between which grounds, by lift and by work.
//!
//! What it says is what the report says, row for row.

use design::{Evaluation, Lift};
use egui::{RichText, Ui};
use exchange::report::{EARTH, earth_rows};
use site::{Site, WorkId};
use units::{LengthUnit, earth_text, length_text, loads_text};

use super::words::{small, word_button};
use crate::command::Command;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// What was done with the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Open the card of a work.
    Open(WorkId),
    /// A command.
    Command(Command),
}

/// Volumes below this are not told, cubic metres.
const SHOWN_M3: f64 = 0.005;

/// Shows the sheet.
pub(crate) fn earth_ui(
    ui: &mut Ui,
    site: &Site,
    evaluation: Option<&Evaluation>,
) -> Option<Answer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("The earth").font(bold(size::HEAD)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close earth", close.rect);
            if close.on_hover_text("Close the sheet (Escape)").clicked() {
                answer = Some(Answer::Command(Command::Earth));
            }
        });
    });
    let Some(evaluation) = evaluation else {
        small(ui, "Working it out…");
        return answer;
    };
    let unit = site.frame.unit;
    heading(ui, EARTH);
    for (name, words) in earth_rows(site, evaluation) {
        row(ui, name, &words);
    }
    lifts_ui(ui, &evaluation.lifts, unit);
    topsoil_ui(ui, evaluation, unit);
    answer = works_ui(ui, site, evaluation).map(Answer::Open).or(answer);
    ui.add_space(8.0);
    ui.separator();
    if word_button(ui, Command::Balance, true).clicked() {
        answer = Some(Answer::Command(Command::Balance));
    }
    answer
}

fn lifts_ui(ui: &mut Ui, lifts: &[Lift], unit: LengthUnit) {
    if lifts.is_empty() {
        return;
    }
    heading(ui, "By depth below existing ground");
    for lift in lifts {
        let [from, to] = [lift.from_m, lift.to_m].map(|m| length_text(m, unit));
        row(ui, &format!("{from} to {to}"), &earth_text(lift.dug_m3, unit));
    }
}

fn topsoil_ui(ui: &mut Ui, evaluation: &Evaluation, unit: LengthUnit) {
    let topsoil = &evaluation.earth.topsoil;
    heading(ui, "Topsoil, apart from that");
    row(ui, "stripped", &earth_text(topsoil.strip_m3, unit));
    row(ui, "spread again", &earth_text(topsoil.respread_m3, unit));
    let word = if topsoil.surplus_m3 < 0.0 { "brought in" } else { "left over" };
    let mut words = earth_text(topsoil.surplus_m3.abs(), unit);
    if let Some(loads) = evaluation.haul.topsoil_loads {
        words += &format!(", {}", loads_text(loads));
    }
    row(ui, word, &words);
}

/// Each work with what it digs and places; answers with the one that was clicked.
fn works_ui(ui: &mut Ui, site: &Site, evaluation: &Evaluation) -> Option<WorkId> {
    let mut chosen = None;
    heading(ui, "By work, in building order");
    for outcome in &evaluation.works {
        let Some(work) = site.work(outcome.work) else { continue };
        let [cut, fill] = [outcome.cut_m3, outcome.fill_m3].map(|m3| earth_text(m3, unit_of(site)));
        let mut words = format!("cut {cut}, fill {fill}");
        if outcome.recut_m3 > SHOWN_M3 {
            let again = earth_text(outcome.recut_m3, unit_of(site));
            words += &format!("; of the cut {again} was placed before");
        }
        let response = row(ui, &work.name, &words).interact(egui::Sense::click());
        marks::note(ui.ctx(), &format!("earth of {}", work.id.0), response.rect);
        if response.on_hover_text("Open its card").clicked() {
            chosen = Some(work.id);
        }
    }
    chosen
}

fn unit_of(site: &Site) -> LengthUnit {
    site.frame.unit
}

fn heading(ui: &mut Ui, words: &str) {
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new(words).font(bold(size::BODY)));
}

/// A name in second ink with what is said of it beside.
fn row(ui: &mut Ui, name: &str, words: &str) -> egui::Response {
    let letters = |words: &str| RichText::new(words).font(text(size::SMALL));
    let row = ui.horizontal_top(|ui| {
        ui.allocate_ui(egui::vec2(104.0, 16.0), |ui| {
            ui.set_min_width(104.0);
            ui.add(egui::Label::new(letters(name).color(paper::SECOND.ink())).wrap());
        });
        ui.add(egui::Label::new(letters(words)).wrap());
    });
    row.response
}

#[cfg(test)]
mod tests {
    use egui::vec2;
    use egui_kittest::kittest::Queryable as _;

    use super::super::bench::{bench, click};
    use super::*;

    #[test]
    fn the_sheet_says_what_the_report_says_and_opens_a_works_card() {
        let site = crate::demo::rear_garden();
        let evaluation = design::evaluate(&site);
        let report = exchange::report::text(&site, &evaluation);
        let rows = earth_rows(&site, &evaluation);
        assert!(rows.len() >= 5);
        let first = site.works[0].id;
        let mut harness = bench(vec2(276.0, 1600.0), Vec::new(), move |ui, answers| {
            answers.extend(earth_ui(ui, &site, Some(&evaluation)));
        });
        for (_, words) in &rows {
            assert!(report.contains(words.as_str()), "{words}");
            assert!(harness.query_by_label(words).is_some(), "{words} is not shown");
        }
        click(&mut harness, &format!("earth of {}", first.0));
        assert_eq!(harness.state().state, [Answer::Open(first)]);
        click(&mut harness, "close earth");
        assert_eq!(harness.state().state[1..], [Answer::Command(Command::Earth)]);
    }
}
