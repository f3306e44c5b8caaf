//! The first sheet of a window without a site: where the ground comes from, what is understood of it,
//! and what is to be put right, before a site is made.

mod preview;
#[cfg(test)]
mod tests;
mod ways;

use std::path::{Path, PathBuf};

use egui::{Align, Layout, RichText, Ui, vec2};
use exchange::understood::Understood;

use super::words::{plain_button, small};
use crate::keep::{Entry, Slope, Source, Told};
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// Width of the part in which the ground is chosen, in points.
const LEFT: f32 = 400.0;

/// What stands on the sheet.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheet {
    /// Which way is shown.
    pub way: Way,
    /// The folder that is looked into.
    pub folder: PathBuf,
    /// The path as it is typed.
    pub typed_path: String,
    /// What the folder holds, or why it cannot be looked into.
    pub entries: Option<Result<Vec<Entry>, String>>,
    /// The file that was chosen.
    pub file: Option<PathBuf>,
    /// Points or level notes as typed.
    pub text: String,
    /// The plain slope.
    pub slope: Slope,
    /// What is told about the survey; its source is that of the way.
    pub told: Told,
    /// The new site's folder, as typed.
    pub site_folder: String,
    /// What is understood of the survey as it was last read, or why it cannot be.
    pub understood: Option<Result<Understood, String>>,
    /// Why no site was made or opened.
    pub trouble: Option<String>,
    /// What is under way.
    pub busy: Busy,
}

/// Where the ground comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Way {
    /// A file, or a site that stands.
    #[default]
    File,
    /// Points or level notes typed here.
    Text,
    /// A plain slope.
    Slope,
}

/// What is under way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Busy {
    /// Nothing.
    #[default]
    No,
    /// The survey is read.
    Reading,
    /// The site is made.
    Making,
}

/// What was asked for on the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Wish {
    /// Look into this folder, or take this file.
    Look(PathBuf),
    /// Open the site in this folder.
    Open(PathBuf),
    /// Make the site.
    Make,
}

impl Sheet {
    /// What is to be read, once there is something to read.
    pub(crate) fn survey(&self) -> Option<Told> {
        let source = match self.way {
            Way::File => Source::File(self.file.clone()?),
            Way::Text if self.text.trim().is_empty() => return None,
            Way::Text => Source::Text(self.text.clone()),
            Way::Slope => Source::Slope(self.slope.clone()),
        };
        Some(Told { source, ..self.told.clone() })
    }

    /// Takes a file as the survey; what was told of another one is forgotten.
    pub(crate) fn take_file(&mut self, path: PathBuf) {
        let name = path.file_stem().map(|name| name.to_string_lossy().into_owned());
        self.told = Told { title: name.unwrap_or_default(), ..Told::default() };
        let beside = path.parent().map(Path::to_path_buf).unwrap_or_default();
        self.site_folder = beside.join(format!("{}-site", self.told.title)).display().to_string();
        (self.way, self.file) = (Way::File, Some(path));
        (self.understood, self.trouble) = (None, None);
    }

    /// Whether a site can be made of what stands here.
    pub(crate) fn is_ready(&self) -> bool {
        let is_ground = matches!(&self.understood, Some(Ok(what)) if what.no_ground.is_none());
        is_ground && self.busy == Busy::No && !self.site_folder.trim().is_empty()
    }
}

/// Shows the sheet; answers with what was asked for.
pub(crate) fn start_ui(ui: &mut Ui, sheet: &mut Sheet) -> Option<Wish> {
    let mut wish = None;
    ui.label(RichText::new("Begin a site").font(bold(size::HEAD)));
    small(ui, "Drop a survey on this window, or choose where the ground comes from.");
    ui.add_space(8.0);
    let height = (ui.available_height() - 140.0).max(160.0);
    let down = Layout::top_down(Align::Min);
    // The line between the two takes all the height that it is given.
    let (both, across) = (vec2(ui.available_width(), height), Layout::left_to_right(Align::Min));
    ui.allocate_ui_with_layout(both, across, |ui| {
        ui.allocate_ui_with_layout(vec2(LEFT, height), down, |ui| {
            ui.set_width(LEFT);
            wish = ways::ways_ui(ui, sheet, height);
        });
        ui.separator();
        ui.allocate_ui_with_layout(vec2(ui.available_width(), height), down, |ui| {
            let scroll = egui::ScrollArea::vertical().id_salt("understood").max_height(height);
            scroll.min_scrolled_height(height).show(ui, |ui| {
                ui.set_width(ui.available_width());
                preview::preview_ui(ui, sheet);
            });
        });
    });
    ui.separator();
    foot_ui(ui, sheet).or(wish)
}

/// What the site is called, where it stands, and the word that makes it.
fn foot_ui(ui: &mut Ui, sheet: &mut Sheet) -> Option<Wish> {
    let mut wish = None;
    ui.horizontal(|ui| {
        small(ui, "Called");
        let title = egui::TextEdit::singleline(&mut sheet.told.title).desired_width(220.0);
        let title = ui.add(title);
        marks::note(ui.ctx(), "title", title.rect);
        small(ui, "in the new folder");
        let folder = egui::TextEdit::singleline(&mut sheet.site_folder).desired_width(380.0);
        let folder = ui.add(folder);
        marks::note(ui.ctx(), "site folder", folder.rect);
        let make =
            ui.add_enabled_ui(sheet.is_ready(), |ui| plain_button(ui, "Make the site")).inner;
        if make.clicked() {
            wish = Some(Wish::Make);
        }
    });
    match (&sheet.trouble, sheet.busy) {
        (_, Busy::Reading) => drop(small(ui, "Reading")),
        (_, Busy::Making) => drop(small(ui, "Making the site")),
        (Some(why), Busy::No) => {
            ui.label(RichText::new(why).font(text(size::BODY)).color(paper::STOP.ink()));
        }
        (None, Busy::No) => drop(small(ui, "Nothing is written before the site is made.")),
    }
    wish
}
