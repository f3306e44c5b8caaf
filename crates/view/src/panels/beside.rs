//! Two versions of a site in numbers: what one has more or less than the other, and where they differ.

use egui::{Align, Layout, RichText, Ui, vec2};
use exchange::versions::Row;

use super::words::small;
use crate::beside::Which;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// Height of the strip with the gap under it, in points.
pub(crate) const STRIP: f32 = 196.0;

/// Height of the strip's inside, in points.
const INSIDE: f32 = STRIP - 36.0;

/// Width of the names of the rows, and of a column of numbers, in points.
const NAMES: f32 = 96.0;
const COLUMN: f32 = 92.0;

/// What the strip reads.
pub(crate) struct Ledger<'a> {
    /// The version that is looked at, if one could be read.
    pub which: Option<&'a Which>,
    /// What others the folder offers.
    pub offered: &'a [String],
    /// The numbers side by side, once both are worked out.
    pub rows: Option<&'a [Row]>,
    /// The parameters in which they differ, a sentence each.
    pub differing: &'a [String],
    /// The present version's numbers are still worked out.
    pub waits: Waits,
}

/// Whether numbers are still to come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Waits {
    /// They are.
    Yes,
    /// They stand.
    No,
}

/// What was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Look at another version.
    Look(Which),
    /// Close the parting.
    Close,
}

/// Shows the strip; `typed` is the path of another version as it is typed.
pub(crate) fn beside_ui(ui: &mut Ui, ledger: &Ledger<'_>, typed: &mut String) -> Option<Answer> {
    let answer = choose_ui(ui, ledger, typed);
    ui.separator();
    let slide = egui::ScrollArea::both().id_salt("ledger").max_height(INSIDE);
    slide.min_scrolled_height(INSIDE - 40.0).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        match ledger.rows {
            Some(rows) => rows_ui(ui, ledger, rows),
            None => drop(small(ui, "Working the other version out…")),
        }
        if ledger.rows.is_some() {
            differing_ui(ui, ledger.differing);
        }
    });
    answer
}

/// The versions that can be looked at.
fn choose_ui(ui: &mut Ui, ledger: &Ledger<'_>, typed: &mut String) -> Option<Answer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Beside the present one").font(bold(size::BODY)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close beside", close.rect);
            if close.on_hover_text("One version again (Escape)").clicked() {
                answer = Some(Answer::Close);
            }
            let field = egui::TextEdit::singleline(typed).desired_width(150.0);
            let field = ui.add(field.hint_text("another folder"));
            marks::note(ui.ctx(), "other version", field.rect);
            let enter = ui.input(|input| input.key_pressed(egui::Key::Enter));
            if field.lost_focus() && enter && !typed.trim().is_empty() {
                answer = Some(Answer::Look(Which::Named(typed.trim().to_owned())));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let slide = egui::ScrollArea::horizontal().id_salt("versions");
                slide.show(ui, |ui| {
                    ui.horizontal(|ui| {
                        let named = ledger.offered.iter().cloned().map(Which::Named);
                        for which in [Which::Opened, Which::Saved].into_iter().chain(named) {
                            let chosen = ledger.which == Some(&which);
                            if which_ui(ui, &which, chosen).clicked() {
                                answer = Some(Answer::Look(which));
                            }
                        }
                    });
                });
            });
        });
    });
    answer
}

/// A version as a word, underlined while it is looked at.
fn which_ui(ui: &mut Ui, which: &Which, is_chosen: bool) -> egui::Response {
    let words = RichText::new(which.words()).font(text(size::BODY)).color(paper::INK.ink());
    let response = ui.add(egui::Button::new(words).frame(false));
    marks::note(ui.ctx(), &format!("version {}", which.words()), response.rect);
    if is_chosen {
        let y = response.rect.bottom() + 1.0;
        ui.painter().hline(response.rect.x_range(), y, (2.0, paper::MARKING.ink()));
    }
    response
}

/// Both versions and what the present one has more or less, a column for each number.
fn rows_ui(ui: &mut Ui, ledger: &Ledger<'_>, rows: &[Row]) {
    let name = ledger.which.map(Which::words).unwrap_or_default();
    let line = |ui: &mut Ui, name: &str, cell: &dyn Fn(&Row) -> (String, RichInk)| {
        ui.horizontal(|ui| {
            ui.allocate_ui_with_layout(
                vec2(NAMES, 18.0),
                Layout::left_to_right(Align::Center),
                |ui| {
                    ui.set_width(NAMES);
                    let words = RichText::new(name).font(text(size::SMALL));
                    ui.add(egui::Label::new(words.color(paper::SECOND.ink())).truncate());
                },
            );
            for row in rows {
                let (words, ink) = cell(row);
                ui.allocate_ui_with_layout(
                    vec2(COLUMN, 18.0),
                    Layout::right_to_left(Align::Center),
                    |ui| {
                        ui.set_width(COLUMN);
                        let ink = match ink {
                            RichInk::Plain => paper::INK,
                            RichInk::Second => paper::SECOND,
                            RichInk::Marking => paper::MARKING,
                        };
                        ui.label(RichText::new(words).font(text(size::SMALL)).color(ink.ink()));
                    },
                );
            }
        });
    };
    line(ui, "", &|row| (row.label.to_owned(), RichInk::Second));
    line(ui, &name, &|row| (row.values[0].clone(), RichInk::Plain));
    line(ui, "as it stands", &|row| (row.values[1].clone(), RichInk::Plain));
    let words = if ledger.waits == Waits::Yes { "difference…" } else { "difference" };
    line(ui, words, &|row| {
        let ink = if row.change == "same" { RichInk::Second } else { RichInk::Marking };
        (row.change.clone(), ink)
    });
}

/// Which ink a cell is written in.
#[derive(Clone, Copy)]
enum RichInk {
    Plain,
    Second,
    Marking,
}

fn differing_ui(ui: &mut Ui, differing: &[String]) {
    ui.add_space(4.0);
    match differing.len() {
        0 => small(ui, "Nothing in the plan differs."),
        1 => small(ui, "One thing differs, from that one to the present one"),
        n => small(ui, format!("{n} things differ, from that one to the present one")),
    };
    for words in differing {
        ui.label(RichText::new(words).font(text(size::SMALL)));
    }
}

#[cfg(test)]
mod tests {
    use super::super::bench::{bench, click, press, type_words};
    use super::*;

    fn row(label: &'static str, change: &str) -> Row {
        Row { label, values: ["1.0 yd3".into(), "2.0 yd3".into()], change: change.into() }
    }

    #[test]
    fn versions_are_chosen_named_and_left() {
        let offered = ["garden-2".to_owned()];
        let rows = [row("cut", "1.0 yd3 more"), row("fill", "same")];
        let state: (String, Vec<Answer>) = Default::default();
        let mut harness = bench(vec2(960.0, STRIP), state, |ui, (typed, answers)| {
            let ledger = Ledger {
                which: Some(&Which::Opened),
                offered: &offered,
                rows: Some(&rows),
                differing: &["Pond, Ring 1 depth: 1 ft to 2 ft".to_owned()],
                waits: Waits::No,
            };
            answers.extend(beside_ui(ui, &ledger, typed));
        });
        for mark in ["version as saved", "version garden-2", "close beside"] {
            click(&mut harness, mark);
        }
        click(&mut harness, "other version");
        type_words(&mut harness, "../old");
        press(&mut harness, egui::Key::Enter);
        let named = |name: &str| Answer::Look(Which::Named(name.to_owned()));
        let answers = &harness.state().state.1;
        let expected =
            [Answer::Look(Which::Saved), named("garden-2"), Answer::Close, named("../old")];
        assert_eq!(*answers, expected);
    }
}
