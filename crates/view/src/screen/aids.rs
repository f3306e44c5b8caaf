//! What helps around the garden: the order of building, the list of commands, hints, and questions
//! that must be answered first.

use std::sync::Arc;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use egui::{Align2, Area, Context, Id, Order as Layer, vec2};
use site::WorkId;

use super::lay::TOP;
use super::{Answers, Desk, on_sheet};
use crate::command::Command;
use crate::document::Ask;
use crate::document::safe::Safe;
use crate::hints::Hints;
use crate::order::{Hidden, Order};
use crate::panels::palette::{self, Palette, palette_ui};
use crate::panels::{hint, order, question};
use crate::scene::present::Switch;
use crate::{marks, theme};

/// Width of a hint, in points.
const HINT_WIDTH: f32 = 400.0;

/// A hint is not shown where there is less room for it than this, in points.
const LEAST_HINT: f32 = 36.0;

/// What the aids read and move.
#[derive(SystemParam)]
pub(crate) struct Aids<'w> {
    /// The order of building, and the one that is tried.
    pub order: ResMut<'w, Order>,
    /// What is left undrawn.
    pub hidden: ResMut<'w, Hidden>,
    /// Hints of tools.
    pub hints: ResMut<'w, Hints>,
    finder: ResMut<'w, Finder>,
    safe: Res<'w, Safe>,
}

/// The list of commands while it is open.
#[derive(Resource, Default)]
pub(crate) struct Finder(Option<Palette>);

impl Aids<'_> {
    /// Whether something stands before the garden that takes the keys.
    pub(super) fn take_keys(&self) -> bool {
        self.finder.0.is_some() || self.safe.question.is_some()
    }
}

/// Shows what stands before the garden: the question first.
pub(super) fn before(ctx: &Context, desk: &mut Desk<'_, '_>, answers: &mut Answers) {
    if let Some(asked) = desk.aids.safe.question.clone() {
        let site = desk.document.site().clone();
        alone_before(ctx, "question", |ui| {
            if let Some(answer) = question::question_ui(ui, &asked, &site) {
                answers.asks.push(Ask::Settle(answer));
            }
        });
        return;
    }
    let finder = &mut desk.aids.finder;
    if let Some(mut open) = finder.0.clone() {
        let mut chosen = None;
        sheet_before(ctx, "finder", |ui| chosen = palette_ui(ui, &mut open));
        finder.0 = chosen.is_none().then_some(open);
        if let Some(palette::Chosen::Do(command)) = chosen {
            answers.commands.push(command);
        }
    }
    if desk.aids.finder.0.is_none() {
        hint_below(ctx, desk);
    }
}

/// Paper in the upper middle that goes before all other.
fn sheet_before(ctx: &Context, name: &str, show: impl FnOnce(&mut egui::Ui)) {
    let area = Area::new(Id::new(name)).order(Layer::Foreground).movable(false);
    area.anchor(Align2::CENTER_TOP, vec2(0.0, 120.0)).show(ctx, |ui| {
        if ui.is_sizing_pass() {
            marks::unsettled(ctx);
        }
        theme::sheet().show(ui, |ui| {
            ui.set_width(440.0);
            show(ui);
        });
    });
}

/// Paper in the upper middle before which nothing else can be reached.
fn alone_before(ctx: &Context, name: &str, show: impl FnOnce(&mut egui::Ui)) {
    let id = Id::new(name);
    let area = egui::Modal::default_area(id).anchor(Align2::CENTER_TOP, vec2(0.0, 120.0));
    let veil = theme::paper::INK.ink().gamma_multiply(0.35);
    let modal = egui::Modal::new(id).area(area).frame(theme::sheet()).backdrop_color(veil);
    modal.show(ctx, |ui| {
        if ui.is_sizing_pass() {
            marks::unsettled(ctx);
        }
        ui.set_width(440.0);
        show(ui);
    });
}

/// The hint of the tool that was taken up, at the right under the balance line.
fn hint_below(ctx: &Context, desk: &mut Desk<'_, '_>) {
    let (Some(now), Some(lay)) = (desk.aids.hints.now(), desk.lay()) else { return };
    let mut read = None;
    let garden = lay.garden();
    // Beside the tools where both find room, else under them: in the way of as little as can be.
    let is_beside = lay.tools == Switch::Off || garden.width() > HINT_WIDTH + super::tools::WIDTH;
    let down = if is_beside { TOP } else { garden.top() + 4.0 };
    // What a small window has no room for is reached by sliding: it must not cover the section. A hint
    // that finds no room at all waits until there is some.
    let most = garden.bottom() - down - 28.0;
    if most < LEAST_HINT {
        return;
    }
    // In a low window it lies flat.
    let width = if lay.is_low() { garden.width() } else { HINT_WIDTH };
    let aside = garden.right() - ctx.content_rect().right();
    on_sheet(ctx, "first hint", (Align2::RIGHT_TOP, vec2(aside, down)), |ui| {
        ui.set_width(width.min(garden.width() - 20.0) - 40.0);
        let scroll = egui::ScrollArea::vertical().max_height(most).min_scrolled_height(most);
        scroll.show(ui, |ui| read = hint::hint_ui(ui, now));
    });
    if read.is_some() {
        desk.aids.hints.read();
    }
}

/// The list in building order, in place of the works.
pub(super) fn order_list(ui: &mut egui::Ui, desk: &Desk<'_, '_>, answers: &mut Answers) {
    let aids = &desk.aids;
    let now = desk.derived.evaluation.as_deref();
    let trial = aids
        .order
        .proposed()
        .map(|site| order::Trial { site, outcome: aids.order.outcome().map(|outcome| &**outcome) });
    answers.order = order::order_ui(ui, desk.document.site(), now, trial, desk.choice.work);
}

/// Does what was chosen in the list in building order.
pub(super) fn follow(chosen: order::Chosen, desk: &mut Desk<'_, '_>, commands: &mut Vec<Command>) {
    match chosen {
        order::Chosen::Open(work) => desk.choice.work = Some(work),
        order::Chosen::Try(work, to) => desk.aids.order.try_move(&desk.document, work, to),
        order::Chosen::Accept => {
            if let Some(site) = desk.aids.order.take() {
                desk.asks.write(Ask::Replace(Arc::clone(&site)));
            }
        }
        order::Chosen::Leave => drop(desk.aids.order.take()),
        order::Chosen::Command(command) => commands.push(command),
    }
}

/// Obeys a command of the aids.
pub(super) fn obey(command: Command, desk: &mut Desk<'_, '_>) {
    let work = desk.choice.work;
    match (command, work) {
        (Command::Order, _) => desk.aids.order.shown = desk.aids.order.shown.turned(),
        (Command::Find, _) => desk.aids.finder.0 = Some(Palette::default()),
        (Command::HintsAgain, _) => desk.aids.hints.again(),
        (Command::Earlier, Some(work)) => shift(desk, work, -1),
        (Command::Later, Some(work)) => shift(desk, work, 1),
        (Command::Hide, Some(work)) => {
            if !desk.aids.hidden.0.remove(&work) {
                desk.aids.hidden.0.insert(work);
                desk.notice.say("What stands on it is not drawn; it is built all the same");
            }
        }
        _ => desk.notice.say("Choose a work first"),
    }
}

fn shift(desk: &mut Desk<'_, '_>, work: WorkId, by: isize) {
    desk.aids.order.shown = Switch::On;
    desk.aids.order.try_shift(&desk.document, work, by);
}
