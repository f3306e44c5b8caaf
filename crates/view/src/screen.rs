//! The screen: lays the paper pieces around the garden and turns their answers into requests.

mod act;
mod aids;
mod beside;
mod edges;
mod falls;
mod flowing;
mod freed;
mod garden;
mod hand;
mod hill;
mod job;
pub(crate) mod lay;
mod rounds;
mod section;
mod solver;
mod survey;
mod tools;

use std::sync::Arc;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use design::Evaluation;
use design::section::Section;
use egui::Context;
use exchange::report::WaterRow;
use site::Site;

use self::edges::on_sheet;
use self::lay::{Lay, Open};
use crate::beside::Beside;
use crate::camera::motion::{Glide, Viewer};
use crate::camera::steer::Under;
use crate::choice::Choice;
use crate::command::Command;
use crate::cut::Cut;
use crate::derive::Derived;
use crate::document::{Ask, Document, Notice, Saving};
use crate::flow::Flow;
use crate::hand::{Hand, Tool};
use crate::look::{Eye, Pane};
use crate::page::Page;
use crate::panels::{card, order, play, pump};
use crate::play::Play;
use crate::proposal::Proposal;
use crate::reading::Reading;
use crate::scene::present::{Layers, Shown, Switch};
use crate::solving::Solving;
use crate::start::Starting;
use crate::{marks, panels, theme};

/// Everything that the screen reads and moves, besides the document.
#[derive(SystemParam)]
pub(crate) struct Desk<'w, 's> {
    window: Query<'w, 's, &'static Window>,
    document: Res<'w, Document>,
    derived: Res<'w, Derived>,
    shown: Res<'w, Shown>,
    under: Res<'w, Under>,
    layers: ResMut<'w, Layers>,
    choice: ResMut<'w, Choice>,
    cut: ResMut<'w, Cut>,
    play: ResMut<'w, Play>,
    flow: ResMut<'w, Flow>,
    hand: ResMut<'w, Hand>,
    saving: Option<Res<'w, Saving>>,
    glide: ResMut<'w, Glide>,
    notice: ResMut<'w, Notice>,
    aids: aids::Aids<'w>,
    page: ResMut<'w, Page>,
    proposal: Res<'w, Proposal>,
    reading: Res<'w, Reading>,
    solving: ResMut<'w, Solving>,
    beside: ResMut<'w, Beside>,
    asks: MessageWriter<'w, Ask>,
}

impl Desk<'_, '_> {
    /// How paper shares the window.
    fn lay(&self) -> Option<Lay> {
        let sheets = [self.flow.shown, self.solving.shown, self.choice.earth];
        let is_open = self.choice.work.is_some() || sheets.contains(&Switch::On);
        let open = Open {
            card: if is_open { Switch::On } else { Switch::Off },
            section: self.cut.shown,
            job: self.play.shown,
            beside: self.beside.shown,
            tool: if matches!(self.hand.tool, Tool::Rest) { Switch::Off } else { Switch::On },
            put_away: self.hand.put_away,
        };
        Some(Lay::of(self.window.single().ok()?, self.page.scale, open))
    }

    /// The part of the window in which the present version stands.
    fn pane(&self) -> Option<Pane> {
        Some(self.lay()?.pane())
    }
}

/// What stood when a drag began.
#[derive(Resource, Default)]
pub(crate) struct Grasp(Option<Taken>);

/// The site, what followed from it and its section, as the hand found them.
struct Taken {
    site: Arc<Site>,
    evaluation: Option<Arc<Evaluation>>,
    section: Option<Arc<Section>>,
    water: Vec<WaterRow>,
}

impl Grasp {
    fn site(&self) -> Option<&Site> {
        Some(&self.0.as_ref()?.site)
    }

    /// What the water sheet said, and the site that it was of.
    fn water(&self) -> Option<(&[WaterRow], &Site)> {
        self.0.as_ref().map(|taken| (taken.water.as_slice(), &*taken.site))
    }

    fn evaluation(&self) -> Option<&Evaluation> {
        self.0.as_ref()?.evaluation.as_deref()
    }

    fn work(&self, id: site::WorkId) -> Option<&site::Work> {
        self.0.as_ref()?.site.work(id)
    }

    fn section(&self) -> Option<&Section> {
        self.0.as_ref()?.section.as_deref()
    }
}

/// What panels answered within one pass.
#[derive(Default)]
struct Answers {
    commands: Vec<Command>,
    asks: Vec<Ask>,
    viewpoint: Option<usize>,
    finding: Option<usize>,
    remedy: Option<usize>,
    choose: Option<site::WorkId>,
    close: bool,
    section: section::Answer,
    job: Option<play::Chosen>,
    hand: Vec<hand::Did>,
    order: Option<order::Chosen>,
    say: Option<String>,
    flow: Option<pump::Tried>,
    solver: Option<panels::solver::Answer>,
    beside: Option<panels::beside::Answer>,
}

impl Answers {
    /// Takes what a card answered.
    fn take(&mut self, answer: card::Answer) {
        match answer {
            card::Answer::Edit(edit, held) => self.asks.push(Ask::Edit(edit, held)),
            card::Answer::Refused(why) => self.say = Some(why),
            card::Answer::Close => self.close = true,
        }
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Choice>();
    app.init_resource::<Grasp>();
    app.init_resource::<Hand>();
    app.init_resource::<aids::Finder>();
    let has_site = not(resource_exists::<Starting>);
    app.add_systems(EguiPrimaryContextPass, (dress, show.run_if(has_site)).chain());
    app.init_resource::<Page>();
}

/// Puts type and ink into the context once.
pub(crate) fn dress(mut contexts: EguiContexts, mut done: Local<Option<()>>) -> Result {
    if done.is_none() {
        let ctx = contexts.ctx_mut()?;
        theme::install(ctx);
        if std::env::var_os(crate::probe::FILE).is_some() {
            marks::keep(ctx);
        }
        *done = Some(());
    }
    Ok(())
}

pub(crate) fn show(
    mut contexts: EguiContexts,
    mut desk: Desk<'_, '_>,
    mut grasp: ResMut<Grasp>,
    mut eye: Option<ResMut<Eye>>,
    viewer: Query<(&Camera, &GlobalTransform), With<Viewer>>,
    mut ready: Local<u8>,
    mut letters: Local<f32>,
) -> Result {
    let ctx = contexts.ctx_mut()?.clone();
    // Fonts are there from the pass after the one that named them.
    if *ready < 2 {
        *ready += 1;
        if *ready == 2 {
            theme::warm(&ctx);
        }
        return Ok(());
    }
    // Letters that are drawn for the first time show a frame later: see that there is one.
    let fill = ctx.fonts(|fonts| fonts.font_atlas_fill_ratio());
    if *letters != fill {
        *letters = fill;
        ctx.request_repaint();
    }
    desk.page.lay(&ctx);
    let mut answers = Answers::default();
    if let Ok((camera, global)) = viewer.single()
        && !desk.aids.take_keys()
    {
        tools::keys(&ctx, &desk, (camera, global), &mut answers);
    }
    keys(&ctx, &desk, &mut answers);
    hold(&ctx, &desk, &mut grasp);
    beside::part(&mut contexts, &mut desk);
    beside::over_garden(&contexts, &ctx.layer_painter(egui::LayerId::background()), &ctx, &desk);
    if let (Some(eye), Ok((camera, global))) = (&eye, viewer.single()) {
        garden::over_garden(&ctx, &desk, eye, (camera, global), &mut answers);
    }
    edges::top(&ctx, &desk, &grasp, &mut answers);
    edges::left(&ctx, &desk, &grasp, &mut answers);
    edges::right(&ctx, &desk, &grasp, &mut answers);
    tools::show(&ctx, &desk, &mut answers);
    if let Some(eye) = &eye {
        edges::bottom(&ctx, &desk, eye, &mut answers);
        edges::legend(&ctx, &desk, eye);
        section::below(&ctx, &desk, &grasp, &mut answers);
        job::below(&ctx, &desk, &mut answers);
        beside::below(&ctx, &mut desk, &mut answers);
    }
    edges::say(&ctx, &desk);
    aids::before(&ctx, &mut desk, &mut answers);
    if let Some(eye) = &mut eye {
        act::act(answers, &mut desk, eye);
    }
    Ok(())
}

fn keys(ctx: &Context, desk: &Desk<'_, '_>, answers: &mut Answers) {
    if ctx.egui_wants_keyboard_input() || desk.aids.take_keys() {
        return;
    }
    // Where plus needs a shift, the key alone will do.
    let equals = egui::KeyboardShortcut::new(egui::Modifiers::COMMAND, egui::Key::Equals);
    if ctx.input_mut(|input| input.consume_shortcut(&equals)) {
        answers.commands.push(Command::Larger);
    }
    for command in Command::ALL {
        if ctx.input_mut(|input| takes(input, command)) {
            answers.commands.push(command);
        }
    }
}

/// Takes a command's key; one that is held down gives only those commands again that are harmless.
fn takes(input: &mut egui::InputState, command: Command) -> bool {
    let shortcut = command.shortcut();
    let is_held = !input.events.iter().any(|event| {
        matches!(event, egui::Event::Key { key, repeat: false, pressed: true, .. }
            if *key == shortcut.logical_key)
    });
    input.consume_shortcut(&shortcut) && (!is_held || command.repeats())
}

/// Keeps what stood before a drag, so that its change can be shown.
fn hold(ctx: &Context, desk: &Desk<'_, '_>, grasp: &mut Grasp) {
    let drags = ctx.dragged_id().is_some() && ctx.input(|input| input.pointer.primary_down());
    match (drags, &grasp.0) {
        (true, None) => {
            grasp.0 = Some(Taken {
                site: desk.document.site().clone(),
                evaluation: desk.derived.evaluation.clone(),
                section: desk.cut.section.clone(),
                water: desk.flow.report().unwrap_or_default().to_vec(),
            });
        }
        (false, Some(_)) => grasp.0 = None,
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether a command's key does it when pressed, and when it is held on.
    fn pressed_and_held(command: Command) -> [bool; 2] {
        let ctx = Context::default();
        let shortcut = command.shortcut();
        let is_ctrl = shortcut.modifiers.command;
        let modifiers = egui::Modifiers { ctrl: is_ctrl, ..shortcut.modifiers };
        [0, 1].map(|_| {
            // What is pressed again without being let go is held.
            let event = egui::Event::Key {
                key: shortcut.logical_key,
                physical_key: None,
                pressed: true,
                repeat: false,
                modifiers,
            };
            let raw = egui::RawInput { events: vec![event], ..Default::default() };
            ctx.begin_pass(raw);
            let taken = ctx.input_mut(|input| takes(input, command));
            ctx.end_pass().textures_delta.clear();
            taken
        })
    }

    #[test]
    fn a_held_delete_takes_one_thing_and_a_held_undo_goes_on() {
        assert_eq!(pressed_and_held(Command::TakeOut), [true, false]);
        assert_eq!(pressed_and_held(Command::Undo), [true, true]);
        for command in Command::ALL {
            assert_eq!(pressed_and_held(command), [true, command.repeats()], "{command:?}");
        }
    }
}
