//! The water sheet: what the pumps move, how thick the water falls, where the levels come to; and below
//! it every number of pumps and pipes.
//!
//! What it says is what the report says, line for line.

use egui::{RichText, Ui};
use site::{Edit, Site, field};

use design::Severity;

use super::card::{Answer, groups_ui};
use super::settings;
use super::words::{sign_ui, small};
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// One line of the report, by what it is.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Line<'a> {
    /// What the lines below it are about.
    Heading(&'a str),
    /// A pump, a filter, a stream or a pond, and what is said of it in the same line.
    Subject(&'a str, &'a str),
    /// What can hurt somebody.
    Caution(&'a str),
    /// A number with its name, which may be missing.
    Number(&'a str, &'a str),
}

/// Where a number begins in a line of the report: after its name, padded.
const NAMED: std::ops::Range<usize> = 4..26;

/// Shows the sheet; `report` is nothing until it is worked out, and empty where no water is planned.
pub(crate) fn water_ui(ui: &mut Ui, report: Option<&str>, site: &Site) -> Option<Answer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("The water").font(bold(size::HEAD)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close water", close.rect);
            if close.on_hover_text("Close the sheet (Escape)").clicked() {
                answer = Some(Answer::Close);
            }
        });
    });
    match report {
        None => drop(small(ui, "Working it out…")),
        Some("") => drop(small(ui, "No pump is planned yet: add one below.")),
        Some(report) => report.lines().filter_map(line_of).for_each(|line| line_ui(ui, line)),
    }
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Pumps and pipes").font(bold(size::BODY)));
    let rows = field::settings(&site.circulation);
    let given = groups_ui(ui, &rows.iter().collect::<Vec<_>>(), site);
    let edit = |given| {
        let unit = site.frame.unit;
        settings::apply(&site.circulation, &given, &rows, unit, Edit::SetCirculation)
    };
    given.and_then(edit).or(answer)
}

/// What a line of the report is; nothing where it is empty.
fn line_of(line: &str) -> Option<Line<'_>> {
    let words = line.trim();
    if words.is_empty() {
        return None;
    }
    if let Some(caution) = words.strip_prefix("caution: ") {
        return Some(Line::Caution(caution));
    }
    Some(match line.len() - line.trim_start().len() {
        0 => Line::Heading(words),
        2 => {
            let (subject, said) = words.split_once(": ").unwrap_or((words, ""));
            Line::Subject(subject, said)
        }
        _ => match (line.get(NAMED), line.get(NAMED.end..)) {
            // A name is padded by two spaces or more, which no sentence has.
            (Some(name), Some(number)) if name.ends_with("  ") => Line::Number(name.trim(), number),
            _ => Line::Number("", words),
        },
    })
}

fn line_ui(ui: &mut Ui, line: Line<'_>) {
    let words = |words: &str| RichText::new(words).font(text(size::SMALL));
    match line {
        Line::Heading(heading) => {
            ui.add_space(8.0);
            ui.label(RichText::new(heading).font(bold(size::BODY)));
        }
        Line::Subject(subject, said) => {
            ui.add_space(4.0);
            ui.label(RichText::new(subject).font(bold(size::SMALL)));
            if !said.is_empty() {
                ui.add(egui::Label::new(words(said)).wrap());
            }
        }
        Line::Caution(caution) => {
            ui.horizontal(|ui| {
                sign_ui(ui, Severity::LookAt);
                ui.add(egui::Label::new(words(caution)).wrap());
            });
        }
        Line::Number(name, number) => {
            ui.horizontal(|ui| {
                if !name.is_empty() {
                    let name = words(name).color(paper::SECOND.ink());
                    let label = egui::Label::new(name).wrap();
                    ui.allocate_ui(egui::vec2(104.0, 16.0), |ui| {
                        ui.set_min_width(104.0);
                        ui.add(label);
                    });
                }
                ui.add(egui::Label::new(words(number)).wrap());
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_the_report_are_told_by_where_they_begin() {
        let told = [
            "Running water",
            "  Stream pump: moves 2.00 L/s",
            "    stays in the gravel   6 minutes",
            "    along its bed up to 3 in deep",
            "  caution: electricity beside water kills",
            "",
        ]
        .map(line_of);
        assert_eq!(
            told,
            [
                Some(Line::Heading("Running water")),
                Some(Line::Subject("Stream pump", "moves 2.00 L/s")),
                Some(Line::Number("stays in the gravel", "6 minutes")),
                Some(Line::Number("", "along its bed up to 3 in deep")),
                Some(Line::Caution("electricity beside water kills")),
                None,
            ]
        );
    }
}
