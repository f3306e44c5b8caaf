//! Ctrl, Shift and Alt as they were held when a key went down: in a slow frame they may come and go
//! with the key, and would be read as they stand at its end.

use std::collections::VecDeque;

use bevy::input::ButtonState;
use bevy::input::keyboard::{Key, KeyboardFocusLost, KeyboardInput};
use bevy::prelude::*;
use bevy_egui::helpers::{bevy_to_egui_key, bevy_to_egui_physical_key};
use bevy_egui::input::EguiInputEvent;
use bevy_egui::{EguiInputSet, EguiPreUpdateSet};
use egui::Modifiers;

/// A key that went down or up, and what was held then.
type Stamp = (egui::Key, ButtonState, Modifiers);

pub(crate) fn plugin(app: &mut App) {
    let between = stamp
        .in_set(EguiPreUpdateSet::ProcessInput)
        .after(EguiInputSet::ReadBevyMessages)
        .before(EguiInputSet::WriteEguiEvents);
    app.add_systems(PreUpdate, between);
}

fn stamp(
    mut keys: MessageReader<KeyboardInput>,
    mut lost: MessageReader<KeyboardFocusLost>,
    mut held: Local<Modifiers>,
    mut events: MessageMutator<EguiInputEvent>,
) {
    if lost.read().count() > 0 {
        *held = Modifiers::NONE;
    }
    let mut stamps = VecDeque::new();
    for message in keys.read() {
        hold(&mut held, message);
        let key = bevy_to_egui_key(&message.logical_key);
        if let Some(key) = key.or(bevy_to_egui_physical_key(&message.key_code)) {
            stamps.push_back((key, message.state, *held));
        }
    }
    restamp(events.read().map(|event| &mut event.event), stamps);
}

fn hold(held: &mut Modifiers, message: &KeyboardInput) {
    let is_down = message.state.is_pressed();
    match message.logical_key {
        Key::Shift => held.shift = is_down,
        Key::Control => (held.ctrl, held.command) = (is_down, is_down),
        Key::Alt => held.alt = is_down,
        _ => {}
    }
}

/// Gives each key what was held with it; a letter that was a command is no text.
fn restamp<'a>(events: impl Iterator<Item = &'a mut egui::Event>, mut stamps: VecDeque<Stamp>) {
    let mut typed: Option<&mut String> = None;
    for event in events {
        match event {
            egui::Event::Text(text) => typed = Some(text),
            egui::Event::Key { key, pressed, modifiers, .. } => {
                let is_it = |(of, state, _): &Stamp| of == key && state.is_pressed() == *pressed;
                let Some(at) = stamps.iter().position(is_it) else { continue };
                *modifiers = stamps[at].2;
                stamps.drain(..=at);
                if let Some(text) = typed.take().filter(|_| modifiers.ctrl || modifiers.alt) {
                    text.clear();
                }
            }
            _ => typed = None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(key: egui::Key, pressed: bool) -> egui::Event {
        let modifiers = Modifiers::NONE;
        egui::Event::Key { key, physical_key: None, pressed, repeat: false, modifiers }
    }

    #[test]
    fn a_key_has_what_was_held_with_it_though_it_was_let_go_within_the_frame() {
        let z = egui::Key::Z;
        let mut events = [
            egui::Event::Text("z".into()),
            key(z, true),
            key(z, false),
            egui::Event::Text("z".into()),
            key(z, true),
        ];
        let (down, up) = (ButtonState::Pressed, ButtonState::Released);
        let stamps = [
            (z, down, Modifiers::COMMAND.plus(Modifiers::CTRL)),
            (z, up, Modifiers::NONE),
            (z, down, Modifiers::NONE),
        ];
        restamp(events.iter_mut(), stamps.into());
        let held = |event: &egui::Event| match event {
            egui::Event::Key { modifiers, .. } => modifiers.command,
            _ => false,
        };
        assert_eq!(events.each_ref().map(held), [false, true, false, false, false]);
        assert_eq!(events[0], egui::Event::Text(String::new()));
        assert_eq!(events[3], egui::Event::Text("z".into()));
    }
}
