//! The tools of the hand: what can be drawn, what is done with a work, how the ground is judged, and
//! to what the hand is drawn.

use design::hand::{Snap, Snaps};
use egui::{Response, RichText, Stroke, Ui};

use super::words::small;
use crate::command::{Command, DEEDS, DRAWS, JUDGES};
use crate::marks;
use crate::theme::{paper, size, text};

/// What the tools show.
pub(crate) struct Tools<'a> {
    /// The commands whose tools are in the hand, or whose layers show.
    pub active: &'a [Command],
    /// How the tool is used; empty where the hand rests.
    pub hint: String,
    /// What is snapped to.
    pub snaps: &'a Snaps,
    /// Whether a work is chosen on which something can be done.
    pub has_work: HasWork,
}

/// Whether a work is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum HasWork {
    Yes,
    No,
}

/// Shows the tools; answers with the command that was chosen.
pub(crate) fn tools_ui(ui: &mut Ui, tools: &Tools<'_>) -> Option<Command> {
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| words(ui, "Draw", &DRAWS, tools.active, &mut chosen));
    ui.horizontal_wrapped(|ui| {
        words(ui, "Judge", &JUDGES, tools.active, &mut chosen);
        if tools.has_work == HasWork::Yes {
            ui.add_space(10.0);
            words(ui, "This work", &DEEDS, tools.active, &mut chosen);
            words(ui, "", &[Command::AddPoint, Command::TakeOut], &[], &mut chosen);
        }
    });
    chosen
}

/// Shows how the tool in the hand is used, and the switches of what it is drawn to.
pub(crate) fn hint_ui(ui: &mut Ui, tools: &Tools<'_>) -> Option<Command> {
    let mut chosen = None;
    ui.label(RichText::new(&tools.hint).font(text(size::SMALL)).color(paper::MARKING.ink()));
    ui.horizontal_wrapped(|ui| {
        small(ui, "Snap to");
        for snap in Snap::ALL {
            let command = Command::Snap(snap);
            let is_on = tools.snaps.is_on(snap);
            let sign = if is_on { "+" } else { "−" };
            if tool_word(ui, command, &format!("{sign} {}", command.label()), is_on).clicked() {
                chosen = Some(command);
            }
        }
    });
    chosen
}

fn words(
    ui: &mut Ui,
    name: &str,
    commands: &[Command],
    active: &[Command],
    chosen: &mut Option<Command>,
) {
    ui.spacing_mut().item_spacing.x = 10.0;
    if !name.is_empty() {
        small(ui, name);
    }
    for command in commands {
        if tool_word(ui, *command, command.label(), active.contains(command)).clicked() {
            *chosen = Some(*command);
        }
    }
}

/// A tool as a small word, underlined in marking paint while it is in the hand.
fn tool_word(ui: &mut Ui, command: Command, words: &str, holds: bool) -> Response {
    let word = RichText::new(words).font(text(size::SMALL)).color(paper::INK.ink());
    let response = ui.add(egui::Button::new(word).frame(false));
    marks::note(ui.ctx(), &format!("command {}", command.label()), response.rect);
    if holds {
        let y = response.rect.bottom();
        let stroke = Stroke::new(2.0, paper::MARKING.ink());
        ui.painter().hline(response.rect.x_range(), y, stroke);
    }
    response.on_hover_text(format!("{} ({})", command.tooltip(), command.key_text()))
}
