//! The water sheet: what the pumps move, by a slider; how thick the water falls, where the levels come
//! to; and below it every number of pumps and pipes.
//!
//! What it says is what the report says, row for row.

use std::collections::BTreeMap;

use design::Severity;
use egui::{RichText, Ui};
use exchange::report::{RUNNING_WATER, WaterRow};
use site::{Edit, Site, field};

use super::card::{self, groups_ui};
use super::change::{Around, change_ui};
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
    /// What the sheet said and whose pumps they were when the hand took hold; none while it holds nothing.
    pub before: Option<Before<'a>>,
}

/// The sheet as it was when the hand took hold.
#[derive(Clone, Copy)]
pub(crate) struct Before<'a> {
    /// The report's rows.
    pub report: &'a [WaterRow],
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
        Some(report) => {
            let old = sheet.before.map_or(&[][..], |before| before.report);
            let changes = changes(report, old);
            report.iter().zip(&changes).for_each(|(row, was)| row_ui(ui, row, was.as_deref()));
        }
    }
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Pumps and pipes").font(bold(size::BODY)));
    let rows = field::settings(&site.circulation);
    let old = sheet.before.map(|before| field::settings(&before.site.circulation));
    let around = Around { site, before: old.as_deref().unwrap_or_default() };
    let given = groups_ui(ui, &rows.iter().collect::<Vec<_>>(), around);
    let edit = |given| {
        let unit = site.frame.unit;
        settings::apply(&site.circulation, &given, &rows, unit, Edit::SetCirculation)
    };
    given.and_then(edit).map(Answer::Card).or(answer)
}

/// What each row's number was when the hand took hold, where it read otherwise.
fn changes(report: &[WaterRow], before: &[WaterRow]) -> Vec<Option<String>> {
    // A number is known by its name under its subject, and by which of that name it is.
    let named = |rows: &[WaterRow]| {
        let mut subject = String::new();
        let mut counts = BTreeMap::<String, usize>::new();
        let mut keys = Vec::with_capacity(rows.len());
        for row in rows {
            let key = match row {
                WaterRow::Subject(name, _) => {
                    subject.clone_from(name);
                    None
                }
                WaterRow::Number(name, number) | WaterRow::Part(name, number) => {
                    let nth = counts.entry(format!("{subject}: {name}")).or_default();
                    *nth += 1;
                    Some((format!("{subject}: {name} {nth}"), number.clone()))
                }
                _ => None,
            };
            keys.push(key);
        }
        keys
    };
    let old: BTreeMap<String, String> = named(before).into_iter().flatten().collect();
    let was =
        |(key, number): (String, String)| old.get(&key).filter(|old| **old != number).cloned();
    named(report).into_iter().map(|row| row.and_then(was)).collect()
}

fn row_ui(ui: &mut Ui, row: &WaterRow, was: Option<&str>) {
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
                ui.vertical(|ui| {
                    ui.add(egui::Label::new(words(number)).wrap());
                    if let Some(was) = was {
                        change_ui(ui, &format!("was {was}"));
                    }
                });
            });
        }
        WaterRow::Note(note) => drop(ui.add(egui::Label::new(words(note)).wrap())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_a_drag_changes_tells_what_it_was_under_its_own_subject() {
        let rows = |flows: [&str; 2]| {
            let of = |(idx, flow): (usize, &&str)| {
                let subject = WaterRow::Subject(format!("Pump {idx}"), String::new());
                [subject, WaterRow::Number("moves".into(), (*flow).to_owned())]
            };
            flows.iter().enumerate().flat_map(of).collect::<Vec<_>>()
        };
        let now = rows(["76 gpm", "40 gpm"]);
        assert_eq!(changes(&now, &now), [None, None, None, None]);
        let was = changes(&now, &rows(["76 gpm", "38 gpm"]));
        assert_eq!(was, [None, None, None, Some("38 gpm".to_owned())]);
        assert_eq!(changes(&now, &[]), [None, None, None, None]);
    }
}
