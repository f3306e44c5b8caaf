//! The water sheet: what the pumps move, by a slider; how thick the water falls, where the levels come
//! to; and below it every number of pumps and pipes.
//!
//! What it says is what the report says, row for row.

use design::Severity;
use egui::{RichText, Ui};
use exchange::report::{RUNNING_WATER, WaterRow};
use site::{Edit, Site, field};

use super::card::{self, groups_ui};
use super::pump::{Pumps, Tried, pump_ui};
use super::settings;
use super::words::{sign_ui, small};
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// What the sheet reads.
pub(crate) struct Sheet<'a> {
    /// The report's rows; nothing until they are worked out, none where no water is planned.
    pub report: Option<&'a [WaterRow]>,
    /// What the pumps move, once it is drawn.
    pub pumps: Option<Pumps<'a>>,
    /// The site.
    pub site: &'a Site,
}

/// What was done with the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Answer {
    /// A number of pumps and pipes, or the sheet is closed.
    Card(card::Answer),
    /// Another flow is tried.
    Try(Tried),
}

/// Shows the sheet.
pub(crate) fn water_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Option<Answer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("The water").font(bold(size::HEAD)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close water", close.rect);
            if close.on_hover_text("Close the sheet (Escape)").clicked() {
                answer = Some(Answer::Card(card::Answer::Close));
            }
        });
    });
    let site = sheet.site;
    if let Some(pumps) = sheet.pumps {
        answer = pump_ui(ui, pumps, site).map(Answer::Try).or(answer);
    }
    match sheet.report {
        None => drop(small(ui, "Working it out…")),
        Some([]) => drop(small(ui, "No pump is planned yet: add one below.")),
        Some(report) => report.iter().for_each(|row| row_ui(ui, row)),
    }
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Pumps and pipes").font(bold(size::BODY)));
    let rows = field::settings(&site.circulation);
    let given = groups_ui(ui, &rows.iter().collect::<Vec<_>>(), site.into());
    let edit = |given| {
        let unit = site.frame.unit;
        settings::apply(&site.circulation, &given, &rows, unit, Edit::SetCirculation)
    };
    given.and_then(edit).map(Answer::Card).or(answer)
}

fn row_ui(ui: &mut Ui, row: &WaterRow) {
    let words = |words: &str| RichText::new(words).font(text(size::SMALL));
    match row {
        WaterRow::Heading(heading) => {
            ui.add_space(8.0);
            ui.separator();
            let heading = match *heading {
                RUNNING_WATER => "As planned",
                other => other,
            };
            ui.label(RichText::new(heading).font(bold(size::BODY)));
        }
        WaterRow::Subject(subject, said) => {
            ui.add_space(4.0);
            ui.add(egui::Label::new(RichText::new(subject).font(bold(size::SMALL))).wrap());
            if !said.is_empty() {
                ui.add(egui::Label::new(words(said)).wrap());
            }
        }
        WaterRow::Caution(caution) => {
            ui.horizontal_top(|ui| {
                sign_ui(ui, Severity::LookAt);
                ui.add(egui::Label::new(words(caution)).wrap());
            });
        }
        WaterRow::Number(name, number) | WaterRow::Part(name, number) => {
            ui.horizontal_top(|ui| {
                ui.allocate_ui(egui::vec2(104.0, 16.0), |ui| {
                    ui.set_min_width(104.0);
                    let name = words(name).color(paper::SECOND.ink());
                    ui.add(egui::Label::new(name).wrap());
                });
                ui.add(egui::Label::new(words(number)).wrap());
            });
        }
        WaterRow::Note(note) => drop(ui.add(egui::Label::new(words(note)).wrap())),
    }
}
