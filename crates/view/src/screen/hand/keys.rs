//! Keys that belong to the hand while it is in the middle of something.

use egui::{Context, Event, Key, Modifiers};

use super::super::{Answers, Desk};
use super::{Did, Sight, pointer_of};
use crate::hand::Tool;

/// Takes the keys that are the hand's, before commands read theirs.
pub(in super::super) fn take(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    sight: &Sight<'_>,
    answers: &mut Answers,
) {
    if ctx.egui_wants_keyboard_input() || !desk.hand.is_busy() {
        return;
    }
    let pressed = |key| ctx.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let draws = matches!(&desk.hand.tool, Tool::Draw(drawing) if !drawing.points.is_empty());
    let can_type = desk.hand.held.is_some() || draws || matches!(desk.hand.tool, Tool::Height);
    let typed = desk.hand.typed.clone();
    if pressed(Key::Escape) {
        answers.hand.push(Did::Left);
        return;
    }
    let is_empty = typed.as_ref().is_none_or(String::is_empty);
    if pressed(Key::Enter) {
        match (typed, pointer_of(desk, sight)) {
            (Some(words), Some(pointer)) if !words.trim().is_empty() => {
                answers.hand.push(Did::Said(words, pointer));
            }
            _ => answers.hand.push(Did::Ended),
        }
        return;
    }
    if pressed(Key::Backspace) {
        match typed {
            Some(mut words) if !is_empty => {
                words.pop();
                answers.hand.push(Did::Typed((!words.is_empty()).then_some(words)));
            }
            _ => answers.hand.push(Did::Back),
        }
        return;
    }
    if can_type {
        type_on(ctx, typed, answers);
    }
}

/// A digit begins a typed line, and Space one that begins with a word; then all letters are its own.
fn type_on(ctx: &Context, typed: Option<String>, answers: &mut Answers) {
    // With Alt a digit switches what is snapped to.
    if ctx.input(|input| input.modifiers.alt) {
        return;
    }
    let text: String = ctx.input(|input| {
        let texts = input.events.iter().filter_map(|event| match event {
            Event::Text(text) => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    });
    let begins = text.starts_with(|c: char| c.is_ascii_digit() || ".- ".contains(c));
    if typed.is_none() && !begins {
        return;
    }
    // What is typed is no command.
    ctx.input_mut(|input| {
        input.events.retain(|event| match event {
            Event::Key { modifiers, .. } => modifiers.command,
            Event::Text(_) => false,
            _ => true,
        });
    });
    if !text.is_empty() {
        let line = typed.unwrap_or_default() + &text;
        answers.hand.push(Did::Typed(Some(line.trim_start().to_owned())));
    }
}
