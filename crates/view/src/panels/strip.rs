//! The strip below: the three looks, the stages of the ground, what lies over them, and where people
//! look from.

use egui::{RichText, Ui};
use site::{Edit, Site};

use super::viewpoint::viewpoint_ui;
use super::words::state_button;
use crate::command::Command;
use crate::look::Look;
use crate::marks;
use crate::scene::Stage;
use crate::scene::present::{Layers, Switch};
use crate::theme::{paper, size, text};

/// What was chosen on the strip.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Chosen {
    /// A command.
    Command(Command),
    /// A viewpoint, by its place in the list.
    Viewpoint(usize),
    /// A viewpoint renamed or let go.
    Edit(Box<Edit>),
}

/// What is open beside the garden.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Open {
    /// The section.
    pub section: Switch,
    /// The job.
    pub job: Switch,
    /// The balance of the earth.
    pub balance: Switch,
    /// Another version.
    pub beside: Switch,
}

/// Shows the strip.
pub(crate) fn strip_ui(
    ui: &mut Ui,
    site: &Site,
    look: Look,
    layers: Layers,
    open: Open,
    viewpoint: Option<usize>,
) -> Option<Chosen> {
    // What a narrow window has no room for is reached by sliding.
    let words = egui::ScrollArea::horizontal().id_salt("words");
    let mut chosen = words.show(ui, |ui| words_ui(ui, look, layers, open.section)).inner;
    // More places than the window is wide are reached by sliding.
    egui::ScrollArea::horizontal().show(ui, |ui| {
        ui.horizontal(|ui| {
            let visited = places_ui(ui, site, (look, layers.grid), viewpoint, open);
            if visited.is_some() {
                chosen = visited;
            }
        });
    });
    chosen
}

/// The commands in a row: looks, grounds, and what lies over them.
fn words_ui(ui: &mut Ui, look: Look, layers: Layers, section: Switch) -> Option<Chosen> {
    let mut chosen = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 12.0;
        let groups: [&[(Command, bool)]; 3] = [
            &[
                (Command::Plan, look == Look::Plan),
                (Command::BirdsEye, look == Look::BirdsEye),
                (Command::Walk, look == Look::Walk),
            ],
            &[
                (Command::Before, layers.stage == Stage::Before),
                (Command::Stripped, layers.stage == Stage::Stripped),
                (Command::Subgrade, layers.stage == Stage::Subgrade),
                (Command::Liner, layers.stage == Stage::Liner),
                (Command::Finished, layers.stage == Stage::Finished),
            ],
            &[
                (Command::Depths, layers.depths == Switch::On),
                (Command::Slopes, layers.slopes == Switch::On),
                (Command::Existing, layers.existing == Switch::On),
                (Command::KeepOuts, layers.keep_outs == Switch::On),
                (Command::SurveyPoints, layers.survey == Switch::On),
                (Command::Section, section == Switch::On),
            ],
        ];
        for (idx, group) in groups.into_iter().enumerate() {
            if idx > 0 {
                divider(ui);
            }
            for (command, holds) in group {
                if state_button(ui, *command, *holds).clicked() {
                    chosen = Some(Chosen::Command(*command));
                }
            }
        }
    });
    chosen
}

/// Where people look from, and what is seldom turned.
fn places_ui(
    ui: &mut Ui,
    site: &Site,
    (look, grid): (Look, Switch),
    viewpoint: Option<usize>,
    open: Open,
) -> Option<Chosen> {
    let mut chosen = None;
    ui.spacing_mut().item_spacing.x = 12.0;
    ui.label(RichText::new("Stand at").font(text(size::SMALL)).color(paper::SECOND.ink()));
    for (idx, place) in site.viewpoints.iter().enumerate() {
        if look == Look::Walk && viewpoint == Some(idx) {
            if let Some(edit) = viewpoint_ui(ui, site, idx) {
                chosen = Some(Chosen::Edit(Box::new(edit)));
            }
            continue;
        }
        let word = RichText::new(&place.name).font(text(size::SMALL)).color(paper::INK.ink());
        let response = ui.add(egui::Button::new(word).frame(false));
        marks::note(ui.ctx(), &format!("viewpoint {idx}"), response.rect);
        if response.on_hover_text("Stand here").clicked() {
            chosen = Some(Chosen::Viewpoint(idx));
        }
    }
    let others = [
        (Command::KeepView, Switch::Off),
        (Command::Whole, Switch::Off),
        (Command::Grid, grid),
        (Command::Play, open.job),
        (Command::Balance, open.balance),
        (Command::Beside, open.beside),
        (Command::Units, Switch::Off),
        (Command::Evening, Switch::Off),
    ];
    divider(ui);
    // Squares are true to scale only where one looks straight down.
    let is_offered = |command: Command| command != Command::Grid || look == Look::Plan;
    for (command, holds) in others.into_iter().filter(|(command, _)| is_offered(*command)) {
        if state_button(ui, command, holds == Switch::On).clicked() {
            chosen = Some(Chosen::Command(command));
        }
    }
    chosen
}

fn divider(ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(egui::vec2(1.0, 18.0), egui::Sense::hover());
    ui.painter().vline(rect.center().x, rect.y_range(), (1.0, paper::RULE.ink()));
}
