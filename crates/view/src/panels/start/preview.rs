//! What is understood of a survey, and what a person tells to put it right.

use egui::{RichText, Ui};
use exchange::points::Point;
use exchange::understood::{Correction, Understood};
use units::LengthUnit;

use super::super::words::small;
use super::ways::unit_ui;
use super::{Sheet, Way};
use crate::keep::First;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// Doubts told one by one.
const SHOWN_DOUBTS: usize = 30;

/// Room for the longest name of a fact, points.
const NAMES_WIDTH: f32 = 220.0;

/// What can be told where nothing could be read.
const ALL: [Correction; 6] = [
    Correction::Unit,
    Correction::Columns,
    Correction::Lines,
    Correction::Bench,
    Correction::Axes,
    Correction::Error,
];

/// Shows what is understood, with fields that correct it.
pub(super) fn preview_ui(ui: &mut Ui, sheet: &mut Sheet) {
    ui.label(RichText::new("What is understood").font(bold(size::BODY)));
    let understood = sheet.understood.clone();
    match &understood {
        None => {
            small(ui, "Nothing is chosen yet.");
            return;
        }
        Some(Err(why)) => {
            ui.label(RichText::new(why).color(paper::STOP.ink()));
            if sheet.way != Way::Slope {
                corrections_ui(ui, sheet, &ALL);
            }
            return;
        }
        Some(Ok(understood)) => facts_ui(ui, understood),
    }
    let Some(Ok(understood)) = understood else { return };
    if sheet.way != Way::Slope {
        corrections_ui(ui, sheet, &understood.corrections);
    }
    doubts_ui(ui, sheet, &understood);
    points_ui(ui, sheet, &understood);
}

fn facts_ui(ui: &mut Ui, understood: &Understood) {
    ui.label(&understood.kind);
    let grid = egui::Grid::new("facts").num_columns(2).spacing([12.0, 2.0]);
    // A survey of many codes is told in several lines, not in one beyond the window.
    let told_width = (ui.available_width() - NAMES_WIDTH - 12.0).max(NAMES_WIDTH);
    grid.max_col_width(told_width).show(ui, |ui| {
        for fact in &understood.facts {
            small(ui, if fact.of.is_empty() { "written as" } else { &fact.of });
            ui.label(RichText::new(&fact.told).font(text(size::SMALL)));
            ui.end_row();
        }
    });
    if let Some(why) = &understood.no_ground {
        ui.label(RichText::new(format!("No ground comes of it: {why}")).color(paper::STOP.ink()));
    }
}

fn corrections_ui(ui: &mut Ui, sheet: &mut Sheet, corrections: &[Correction]) {
    ui.add_space(6.0);
    small(ui, "Put right what was misread; what is left empty is as the file tells it");
    let told = &mut sheet.told;
    egui::Grid::new("corrections").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        for correction in corrections {
            match correction {
                Correction::Unit => {
                    small(ui, "Unit");
                    unit_ui(ui, &mut told.unit, "as the file tells");
                }
                Correction::Columns => {
                    field_ui(ui, "Columns", &mut told.columns, "name,y,x,z,code");
                }
                Correction::Lines => {
                    field_ui(ui, "Codes that join", &mut told.lines, "BANK,EDGE");
                }
                Correction::Bench => {
                    field_ui(ui, "First mark's level", &mut told.bench, "50.000");
                }
                Correction::Error => field_ui(ui, "Thin to within", &mut told.error, "3 cm"),
                Correction::Axes => {
                    small(ui, "Places");
                    first_ui(ui, &mut told.first);
                }
            }
            ui.end_row();
        }
        field_ui(ui, "Datum of places", &mut told.horizontal_datum, "as the file tells");
        ui.end_row();
        field_ui(ui, "Datum of levels", &mut told.vertical_datum, "as the file tells");
        ui.end_row();
    });
}

fn field_ui(ui: &mut Ui, word: &str, slot: &mut String, hint: &str) {
    small(ui, word);
    let field = ui.add(egui::TextEdit::singleline(slot).hint_text(hint).desired_width(220.0));
    marks::note(ui.ctx(), &format!("tell {word}"), field.rect);
}

fn first_ui(ui: &mut Ui, first: &mut First) {
    let word = |first: First| match first {
        First::Standard => "as its standard has them",
        First::Easting => "easting first",
        First::Northing => "northing first",
    };
    egui::ComboBox::from_id_salt("first").selected_text(word(*first)).show_ui(ui, |ui| {
        for choice in [First::Standard, First::Easting, First::Northing] {
            ui.selectable_value(first, choice, word(choice));
        }
    });
}

fn doubts_ui(ui: &mut Ui, sheet: &mut Sheet, understood: &Understood) {
    if understood.doubts.is_empty() && understood.notes.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.label(RichText::new("Look at").font(bold(size::BODY)).color(paper::LOOK_AT.ink()));
    for note in &understood.notes {
        ui.label(RichText::new(note).font(text(size::SMALL)));
    }
    for (doubt, name) in understood.doubts.iter().take(SHOWN_DOUBTS) {
        ui.horizontal_wrapped(|ui| {
            if let Some(name) = name {
                aside_ui(ui, sheet, name);
            }
            let words = format!("line {}: {}", doubt.line, doubt.message);
            ui.label(RichText::new(words).font(text(size::SMALL)));
        });
    }
    if understood.doubts.len() > SHOWN_DOUBTS {
        small(ui, format!("and {} more", understood.doubts.len() - SHOWN_DOUBTS));
    }
}

/// Sets a point aside, or takes it back.
fn aside_ui(ui: &mut Ui, sheet: &mut Sheet, name: &str) {
    let is_aside = sheet.told.set_aside.contains(name);
    let word = if is_aside { "take it back" } else { "set aside" };
    let words = RichText::new(word).font(text(size::SMALL)).color(paper::MARKING.ink());
    let response = ui.add(egui::Button::new(words).frame(false));
    marks::note(ui.ctx(), &format!("aside {name}"), response.rect);
    let tip = "A point that is set aside stays in the list and makes no ground";
    if response.on_hover_text(tip).clicked() {
        if is_aside {
            sheet.told.set_aside.remove(name);
        } else {
            sheet.told.set_aside.insert(name.to_owned());
        }
    }
}

fn points_ui(ui: &mut Ui, sheet: &Sheet, understood: &Understood) {
    if understood.points.is_empty() {
        return;
    }
    let unit = understood.unit.unwrap_or(LengthUnit::Metre);
    ui.add_space(6.0);
    small(ui, "The first points as they are read");
    let table = egui::Grid::new("points").num_columns(5).striped(true).spacing([16.0, 1.0]);
    table.show(ui, |ui| {
        for head in ["name", "easting", "northing", "elevation", "code"] {
            small(ui, head);
        }
        ui.end_row();
        for point in &understood.points {
            let is_aside = sheet.told.set_aside.contains(&point.name);
            for cell in cells(point, unit) {
                let words = RichText::new(cell).font(text(size::SMALL));
                ui.label(if is_aside { words.strikethrough() } else { words });
            }
            ui.end_row();
        }
    });
}

/// A point's name, places in its file's unit, and code.
fn cells(point: &Point, unit: LengthUnit) -> [String; 5] {
    let [x, y, z] = point.at_m.map(|c| format!("{:.3}", unit.from_metres(c)));
    [point.name.clone(), x, y, z, point.code.clone()]
}
