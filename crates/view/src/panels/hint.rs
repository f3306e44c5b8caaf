//! The hint of a tool, the first time that it is taken up.

use egui::{RichText, Ui};

use super::words::small;
use crate::command::Command;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// Shows a hint; answers whether it was read.
pub(crate) fn hint_ui(ui: &mut Ui, (tool, says): (Command, &str)) -> Option<()> {
    let mut read = None;
    ui.horizontal(|ui| {
        let name = RichText::new(tool.name()).font(bold(size::BODY)).color(paper::MARKING.ink());
        ui.label(name);
        small(ui, tool.key_text());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("understood").frame(false));
            marks::note(ui.ctx(), "hint read", close.rect);
            read = close.clicked().then_some(());
        });
    });
    ui.label(RichText::new(says).font(text(size::BODY)));
    read
}

#[cfg(test)]
mod tests {
    use egui::vec2;

    use super::super::bench::{bench, click};
    use super::*;

    #[test]
    fn a_hint_goes_when_it_was_read() {
        let mut harness = bench(vec2(420.0, 120.0), None, |ui, read| {
            *read = hint_ui(ui, (Command::Walk, "W walks")).or(*read);
        });
        assert_eq!(harness.state().state, None);
        click(&mut harness, "hint read");
        assert_eq!(harness.state().state, Some(()));
    }
}
