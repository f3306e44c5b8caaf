//! Every command by name: a few letters find it, the arrows choose, Enter does it.

use egui::{Key, Modifiers, RichText, Ui};

use super::words::small;
use crate::command::Command;
use crate::marks;
use crate::theme::{paper, size, text};

/// What was typed, and which of the commands found is chosen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Palette {
    words: String,
    at: usize,
}

/// What was done with the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Chosen {
    /// Do this.
    Do(Command),
    /// Do nothing.
    Close,
}

/// The commands that hold every word typed in their names, then those that hold them in what they do.
pub(crate) fn matching(words: &str) -> Vec<Command> {
    let words: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
    let holds = |text: &str| {
        let text = text.to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    let all = Command::ALL.into_iter().filter(|command| *command != Command::Find);
    let named: Vec<Command> = all.clone().filter(|command| holds(command.name())).collect();
    let does = |command: &Command| {
        holds(&format!("{} {} {}", command.name(), command.tooltip(), command.key_text()))
    };
    let told = all.filter(|command| !named.contains(command) && does(command));
    named.iter().copied().chain(told).collect()
}

/// Shows the list; answers with what is to be done.
pub(crate) fn palette_ui(ui: &mut Ui, palette: &mut Palette) -> Option<Chosen> {
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    // Before the field takes them.
    let [up, down, enter, escape] =
        [Key::ArrowUp, Key::ArrowDown, Key::Enter, Key::Escape].map(pressed);
    let field = egui::TextEdit::singleline(&mut palette.words)
        .hint_text("What do you want to do")
        .desired_width(f32::INFINITY);
    let field = ui.add(field);
    marks::note(ui.ctx(), "palette", field.rect);
    field.request_focus();
    if field.changed() {
        palette.at = 0;
    }
    let found = matching(&palette.words);
    let last = found.len().saturating_sub(1);
    let step = usize::from(down);
    palette.at = (palette.at + step).saturating_sub(usize::from(up)).min(last);
    let mut chosen = escape.then_some(Chosen::Close);
    if enter {
        chosen = found.get(palette.at).map(|command| Chosen::Do(*command)).or(chosen);
    }
    ui.add_space(4.0);
    if found.is_empty() {
        small(ui, "Nothing is called that");
    }
    egui::ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
        for (idx, command) in found.iter().enumerate() {
            let response = row(ui, *command, idx == palette.at);
            if idx == palette.at && (up || down) {
                response.scroll_to_me(None);
            }
            if response.clicked() {
                chosen = Some(Chosen::Do(*command));
            }
        }
    });
    chosen
}

fn row(ui: &mut Ui, command: Command, is_chosen: bool) -> egui::Response {
    let fill = if is_chosen { paper::WASH.ink() } else { egui::Color32::TRANSPARENT };
    let frame = egui::Frame::new().fill(fill).inner_margin(egui::Margin::symmetric(6, 3));
    let inner = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            let name = RichText::new(command.name()).font(text(size::BODY));
            ui.label(if is_chosen { name.color(paper::MARKING.ink()) } else { name });
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                small(ui, command.key_text());
            });
        });
        if is_chosen {
            small(ui, command.tooltip());
        }
    });
    let id = ui.id().with(("command", command.label()));
    let response = ui.interact(inner.response.rect, id, egui::Sense::click());
    marks::note(ui.ctx(), &format!("found {}", command.label()), response.rect);
    response
}

#[cfg(test)]
mod tests {
    use egui::vec2;

    use super::super::bench::{bench, press, type_words};
    use super::*;

    #[test]
    fn names_come_before_what_commands_do() {
        assert_eq!(matching("undo").first(), Some(&Command::Undo));
        // "ground" stands in one name and in many sentences.
        let found = matching("GROUND");
        assert_eq!(found.first(), Some(&Command::Existing));
        assert!(found.contains(&Command::Subgrade));
        assert_eq!(matching("cut line"), matching("line cut"));
        assert_eq!(matching("xyzzy"), []);
        // Every command can be found by its own name.
        for command in Command::ALL.into_iter().filter(|command| *command != Command::Find) {
            assert!(matching(command.name()).contains(&command), "{command:?}");
        }
    }

    #[test]
    fn letters_arrows_and_enter_are_enough() {
        let state = (Palette::default(), None);
        let mut harness = bench(vec2(420.0, 500.0), state, |ui, (palette, chosen)| {
            *chosen = palette_ui(ui, palette).or(*chosen);
        });
        type_words(&mut harness, "ground");
        press(&mut harness, Key::ArrowDown);
        press(&mut harness, Key::Enter);
        assert_eq!(harness.state().state.1, Some(Chosen::Do(matching("ground")[1])));
        press(&mut harness, Key::Escape);
        assert_eq!(harness.state().state.1, Some(Chosen::Close));
    }
}
