//! The ways in which ground comes: a file, typed rows, a plain slope.

use std::path::PathBuf;

use egui::{RichText, Ui};
use units::LengthUnit;

use super::super::words::small;
use super::{Sheet, Way, Wish};
use crate::keep::{Entry, EntryKind, Slope};
use crate::marks;
use crate::theme::{paper, size, text};

/// What typed rows may look like.
const EXAMPLE: &str = "name,x,y,z,code\n1,0.0,0.0,10.00,\n2,12.5,0.0,10.20,\n3,12.5,18.0,10.90,EDGE\n\n\
                       or level notes:\nname,BS,IS,FS,known,x,y\nBM,1.250,,,50.00,,\nA,,1.105,,,4.0,6.0";

/// Shows the ways and the one that is chosen.
pub(super) fn ways_ui(ui: &mut Ui, sheet: &mut Sheet, height: f32) -> Option<Wish> {
    ui.horizontal(|ui| {
        for (way, word) in
            [(Way::File, "A file"), (Way::Text, "Typed or pasted"), (Way::Slope, "A plain slope")]
        {
            let is_chosen = sheet.way == way;
            let ink = if is_chosen { paper::MARKING } else { paper::INK };
            let words = RichText::new(word).font(text(size::BODY)).color(ink.ink());
            let response = ui.add(egui::Button::new(words).frame(false));
            marks::note(ui.ctx(), &format!("way {word}"), response.rect);
            if is_chosen {
                let y = response.rect.bottom() + 1.0;
                ui.painter().hline(response.rect.x_range(), y, (2.0, paper::MARKING.ink()));
            }
            if response.clicked() && !is_chosen {
                sheet.way = way;
                (sheet.understood, sheet.trouble) = (None, None);
            }
        }
    });
    ui.add_space(6.0);
    match sheet.way {
        Way::File => file_ui(ui, sheet, height - 40.0),
        Way::Text => {
            text_ui(ui, sheet, height - 70.0);
            None
        }
        Way::Slope => {
            slope_ui(ui, sheet);
            None
        }
    }
}

fn file_ui(ui: &mut Ui, sheet: &mut Sheet, height: f32) -> Option<Wish> {
    let mut wish = None;
    small(ui, "A folder or a file, typed; Enter looks there");
    let path = egui::TextEdit::singleline(&mut sheet.typed_path).desired_width(f32::INFINITY);
    let path = ui.add(path);
    marks::note(ui.ctx(), "path", path.rect);
    if path.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter)) {
        wish = Some(Wish::Look(sheet.folder.join(sheet.typed_path.trim())));
    }
    let list = egui::ScrollArea::vertical().id_salt("folder").max_height(height - 60.0);
    list.auto_shrink([false, false]).show(ui, |ui| {
        if let Some(above) = sheet.folder.parent()
            && row(ui, "the folder above", "", false, "above")
        {
            wish = Some(Wish::Look(above.to_path_buf()));
        }
        match &sheet.entries {
            Some(Ok(entries)) => {
                for entry in entries {
                    let path = sheet.folder.join(&entry.name);
                    let is_chosen = sheet.file.as_deref() == Some(&path);
                    wish = entry_ui(ui, entry, path, is_chosen).or(wish.take());
                }
                if entries.is_empty() {
                    small(ui, "No folder and no survey stands here");
                }
            }
            Some(Err(why)) => {
                ui.label(RichText::new(why).color(paper::STOP.ink()));
            }
            None => {}
        }
    });
    wish
}

fn entry_ui(ui: &mut Ui, entry: &Entry, path: PathBuf, is_chosen: bool) -> Option<Wish> {
    let word = match entry.kind {
        EntryKind::Site => "a site: opens it",
        EntryKind::Folder => "folder",
        EntryKind::Survey => "",
    };
    let clicked = row(ui, &entry.name, word, is_chosen, &entry.name);
    clicked.then_some(match entry.kind {
        EntryKind::Site => Wish::Open(path),
        EntryKind::Folder | EntryKind::Survey => Wish::Look(path),
    })
}

/// A row of the folder; answers whether it was clicked.
fn row(ui: &mut Ui, name: &str, word: &str, is_chosen: bool, mark: &str) -> bool {
    let ink = if is_chosen { paper::MARKING } else { paper::INK };
    let response = ui
        .horizontal(|ui| {
            let words = RichText::new(name).font(text(size::BODY)).color(ink.ink());
            let response = ui.add(egui::Button::new(words).frame(false));
            small(ui, word);
            response
        })
        .inner;
    marks::note(ui.ctx(), &format!("entry {mark}"), response.rect);
    response.clicked()
}

fn text_ui(ui: &mut Ui, sheet: &mut Sheet, height: f32) {
    small(ui, "Points, one a line, or level notes; a header names the columns");
    egui::ScrollArea::vertical().id_salt("rows").max_height(height).show(ui, |ui| {
        let rows = egui::TextEdit::multiline(&mut sheet.text)
            .hint_text(EXAMPLE)
            .font(egui::TextStyle::Monospace)
            .desired_rows(16)
            .desired_width(f32::INFINITY);
        let rows = ui.add(rows);
        marks::note(ui.ctx(), "rows", rows.rect);
    });
}

fn slope_ui(ui: &mut Ui, sheet: &mut Sheet) {
    small(ui, "Ground that nobody has measured yet: levels are guesses until a survey comes.");
    ui.add_space(4.0);
    egui::Grid::new("slope").num_columns(2).spacing([12.0, 8.0]).show(ui, |ui| {
        let Slope { east, north, level, percent, toward } = &mut sheet.slope;
        for (word, slot) in [
            ("West to east", east),
            ("South to north", north),
            ("Level of its middle", level),
            ("Falls, percent", percent),
        ] {
            small(ui, word);
            let field = ui.add(egui::TextEdit::singleline(slot).desired_width(120.0));
            marks::note(ui.ctx(), &format!("slope {word}"), field.rect);
            ui.end_row();
        }
        small(ui, "Toward");
        egui::ComboBox::from_id_salt("toward").selected_text(Slope::WAYS[*toward % 8]).show_ui(
            ui,
            |ui| {
                for (idx, way) in Slope::WAYS.iter().enumerate() {
                    ui.selectable_value(toward, idx, *way);
                }
            },
        );
        ui.end_row();
        small(ui, "The site's unit");
        unit_ui(ui, &mut sheet.told.unit, "metres");
        ui.end_row();
    });
}

/// Chooses a unit; none reads as `none`.
pub(super) fn unit_ui(ui: &mut Ui, unit: &mut Option<LengthUnit>, none: &str) {
    let word = |unit: Option<LengthUnit>| match unit {
        None => none.to_owned(),
        Some(LengthUnit::Metre) => "metres".to_owned(),
        Some(LengthUnit::Foot) => "feet, international".to_owned(),
        Some(LengthUnit::FootInch) => "feet and inches".to_owned(),
        Some(LengthUnit::UsSurveyFoot) => "feet, US survey".to_owned(),
    };
    let combo = egui::ComboBox::from_id_salt("unit").selected_text(word(*unit));
    let response = combo.show_ui(ui, |ui| {
        for choice in [
            None,
            Some(LengthUnit::Metre),
            Some(LengthUnit::Foot),
            Some(LengthUnit::FootInch),
            Some(LengthUnit::UsSurveyFoot),
        ] {
            let choice_ui = ui.selectable_value(unit, choice, word(choice));
            marks::note(ui.ctx(), &format!("unit {}", word(choice)), choice_ui.rect);
        }
    });
    marks::note(ui.ctx(), "unit", response.response.rect);
}
