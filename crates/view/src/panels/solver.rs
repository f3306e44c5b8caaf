//! The balance of the earth: which numbers may change and how far, what they are to reach, and what the
//! least change is.

use design::solver::{Adjustable, Freed, Goal, Number};
use egui::{RichText, Ui};
use site::Site;
use site::field::{Field, FieldValue, number_text};

use super::change::{between, change_ui};
use super::control::control;
use super::words::small;
use crate::marks;
use crate::solving::Found;
use crate::theme::{bold, paper, size, text};

/// What the sheet reads.
pub(crate) struct Sheet<'a> {
    /// The site.
    pub site: &'a Site,
    /// The site as it was when the hand took hold of something; none while it holds nothing.
    pub before: Option<&'a Site>,
    /// Every number that can be freed.
    pub known: &'a [Adjustable],
    /// The numbers that may change.
    pub freed: &'a [Freed],
    /// What is to be reached.
    pub goals: &'a [Goal],
    /// What was found for the site as it stands.
    pub found: Option<&'a Found>,
    /// Whether the solver is at work.
    pub at_work: AtWork,
}

/// Whether the solver is at work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum AtWork {
    Yes,
    No,
}

/// What was done with the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Answer {
    /// Free a number, or hold it again.
    Turn(Number),
    /// Set the least (0) or the greatest (1) value of a freed number, in SI.
    Bound(usize, usize, f64),
    /// Ask for a goal, or no longer.
    Goal(Goal),
    /// Find the least change.
    Run,
    /// Take what was found.
    Take,
    /// Close the sheet.
    Close,
}

/// The goals with their words.
const GOALS: [(Goal, &str, &str); 4] = [
    (Goal::NoTruck, "no truck", "What is dug fills what is raised, of subsoil and of topsoil"),
    (Goal::NoSpoil, "no subsoil left over", "Nothing of the subsoil is left over or brought"),
    (Goal::NoMound, "no hill reads as a mound", "Every hill stays below the limit of its measure"),
    (Goal::WallTopsAtLip, "walls as high as their lips ask", "No lower, and a step higher at most"),
];

/// Shows the sheet.
pub(crate) fn solver_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Option<Answer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Balance the earth").font(bold(size::HEAD)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close balance", close.rect);
            if close.on_hover_text("Close the sheet (Escape)").clicked() {
                answer = Some(Answer::Close);
            }
        });
    });
    small(ui, "The least change that reaches what is asked, with nothing new to stop for.");
    heading(ui, "What is to be reached");
    for (goal, words, tip) in GOALS {
        let mut asked = sheet.goals.contains(&goal);
        let check = ui.checkbox(&mut asked, RichText::new(words).font(text(size::BODY)));
        marks::note(ui.ctx(), &format!("goal {words}"), check.rect);
        if check.on_hover_text(tip).clicked() {
            answer = Some(Answer::Goal(goal));
        }
    }
    heading(ui, "What may change");
    answer = freed_ui(ui, sheet).or(answer);
    answer = choose_ui(ui, sheet).or(answer);
    ui.add_space(8.0);
    answer = run_ui(ui, sheet).or(answer);
    if let Some(found) = sheet.found {
        answer = found_ui(ui, found).or(answer);
    }
    answer
}

fn heading(ui: &mut Ui, words: &str) {
    ui.add_space(8.0);
    ui.label(RichText::new(words).font(bold(size::BODY)));
}

/// The freed numbers, each with its bounds.
fn freed_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Option<Answer> {
    let mut answer = None;
    if sheet.freed.is_empty() {
        small(ui, "Nothing yet: choose a number below.");
    }
    for (idx, freed) in sheet.freed.iter().enumerate() {
        let known = sheet.known.iter().find(|known| known.number == freed.number);
        let Some(known) = known else { continue };
        let now = number_text(known.value, known.quantity, sheet.site.frame.unit);
        ui.horizontal(|ui| {
            let words = format!("{}, now {now}", known.label());
            let words = RichText::new(words).font(text(size::SMALL));
            ui.allocate_ui(egui::vec2(220.0, 20.0), |ui| {
                ui.set_width(220.0);
                ui.add(egui::Label::new(words).wrap());
            });
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let hold = ui.add(egui::Button::new("hold").frame(false));
                marks::note(ui.ctx(), &format!("hold {idx}"), hold.rect);
                if hold.on_hover_text("Let it stay as it is").clicked() {
                    answer = Some(Answer::Turn(freed.number.clone()));
                }
            });
        });
        let old = sheet.before.and_then(|before| freed.number.on(before));
        let unit = sheet.site.frame.unit;
        if let Some(change) =
            old.and_then(|old| between(old.value, known.value, known.quantity, unit))
        {
            change_ui(ui, &change);
        }
        ui.horizontal(|ui| {
            small(ui, "from");
            for (end, value) in [freed.least, freed.most].into_iter().enumerate() {
                let field = Field {
                    path: format!("bound {idx} {end}"),
                    label: String::new(),
                    quantity: known.quantity,
                    range: known.range,
                    value: FieldValue::Number(value),
                    note: None,
                };
                if end == 1 {
                    small(ui, "to");
                }
                if let Some(given) = control(ui, &field, sheet.site)
                    && let FieldValue::Number(value) = given.value
                {
                    answer = Some(Answer::Bound(idx, end, value));
                }
            }
        });
    }
    answer
}

/// Every number that can be freed, by work.
fn choose_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Option<Answer> {
    let mut answer = None;
    for of_work in sheet.known.chunk_by(|a, b| a.number.work() == b.number.work()) {
        let name = of_work.first().map_or("", |known| known.work.as_str());
        let title = RichText::new(name).font(text(size::SMALL));
        let id = of_work.first().map(|known| known.number.work().0);
        let fold = egui::CollapsingHeader::new(title).id_salt(("free", id)).show(ui, |ui| {
            for known in of_work {
                let mut is_freed = sheet.freed.iter().any(|freed| freed.number == known.number);
                let words = RichText::new(&known.words).font(text(size::SMALL));
                let check = ui.checkbox(&mut is_freed, words);
                marks::note(ui.ctx(), &format!("free {}", known.label()), check.rect);
                if check.clicked() {
                    answer = Some(Answer::Turn(known.number.clone()));
                }
            }
        });
        marks::note(ui.ctx(), &format!("free {name}"), fold.header_response.rect);
    }
    answer
}

fn run_ui(ui: &mut Ui, sheet: &Sheet<'_>) -> Option<Answer> {
    if sheet.at_work == AtWork::Yes {
        small(ui, "Looking for the least change; the garden stays as it is…");
        return None;
    }
    let can = !sheet.freed.is_empty() && !sheet.goals.is_empty();
    let words = RichText::new("Find it").font(bold(size::BODY));
    let run = ui.add_enabled(can, egui::Button::new(words));
    marks::note(ui.ctx(), "balance run", run.rect);
    if !can {
        small(ui, "Choose what is to be reached and what may change.");
    }
    run.clicked().then_some(Answer::Run)
}

/// What was found, line by line as the command line tells it, and the way to take it.
fn found_ui(ui: &mut Ui, found: &Found) -> Option<Answer> {
    let told = match found {
        Ok(told) => told,
        Err(why) => {
            let words = RichText::new(why.to_string()).color(paper::STOP.ink());
            ui.add(egui::Label::new(words).wrap());
            return None;
        }
    };
    ui.separator();
    let lines = told.words.lines().skip(1).filter(|line| !line.trim().is_empty());
    lines.for_each(|line| line_ui(ui, line));
    let changed = told.outcome.numbers.iter().any(|number| number.to != number.from);
    let words = RichText::new("Do that").font(bold(size::BODY)).color(paper::MARKING.ink());
    let take = ui.add_enabled(changed, egui::Button::new(words).frame(false));
    marks::note(ui.ctx(), "balance take", take.rect);
    let take = take.on_hover_text("Change the site so; it can be undone");
    take.clicked().then_some(Answer::Take)
}

/// Width of a column of numbers, in points.
const COLUMN: f32 = 84.0;

/// A line of what was found: cells that the command line sets apart by blanks stand in columns.
fn line_ui(ui: &mut Ui, line: &str) {
    let cells: Vec<&str> = line.split("  ").map(str::trim).filter(|s| !s.is_empty()).collect();
    let words = |words: &str| RichText::new(words).font(text(size::SMALL));
    match cells[..] {
        [name, before, now] => drop(ui.horizontal(|ui| {
            ui.label(words(name).color(paper::SECOND.ink()));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                for cell in [now, before] {
                    let layout = egui::Layout::right_to_left(egui::Align::Center);
                    ui.allocate_ui_with_layout(egui::vec2(COLUMN, 18.0), layout, |ui| {
                        ui.set_width(COLUMN);
                        ui.label(words(cell));
                    });
                }
            });
        })),
        _ if line.starts_with(' ') => {
            drop(ui.add(egui::Label::new(words(&cells.join(", "))).wrap()));
        }
        _ => {
            let heading = RichText::new(cells.join(" ")).font(bold(size::SMALL));
            ui.add(egui::Label::new(heading).wrap());
        }
    }
}
