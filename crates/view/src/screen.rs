//! The screen: lays the paper pieces around the garden and turns their answers into requests.

mod act;
mod aids;
mod falls;
mod flowing;
mod hand;
mod hill;
mod job;
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
use egui::{Align2, Area, Context, Id, Order, pos2, vec2};
use site::{Edit, Site};

use crate::camera::motion::{Glide, Viewer};
use crate::camera::steer::Under;
use crate::choice::Choice;
use crate::command::Command;
use crate::cut::Cut;
use crate::derive::{Derived, Freshness};
use crate::document::{Ask, Document, Held, Notice, Saving};
use crate::flow::Flow;
use crate::hand::Hand;
use crate::look::{Eye, Look, Pane};
use crate::marks;
use crate::page::Page;
use crate::panels;
use crate::panels::balance::{Balance, Can, IsCurrent, Saved};
use crate::panels::{
    balance, card, findings, grid, legend, order, pins, plan, play, pump, strip, words, works,
};
use crate::play::Play;
use crate::proposal::Proposal;
use crate::reading::Reading;
use crate::scene::present::{Layers, Shown, Switch};
use crate::scene::{Scene, Stage};
use crate::solving::Solving;
use crate::start::Starting;
use crate::theme;

/// Width of the list of works, in points.
const LIST_WIDTH: f32 = 228.0;

/// In a window narrower than this, in points, the list makes room for a card.
const NARROW: f32 = 900.0;

/// Height of the strip below with what stands under it, in points.
const STRIP_HEIGHT: f32 = 92.0;

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
    asks: MessageWriter<'w, Ask>,
}

impl Desk<'_, '_> {
    /// The height of what stands over the strip: the section, the job.
    fn foot(&self) -> f32 {
        section::height(self.cut.shown) + job::height(self.play.shown)
    }

    /// Whether the tools are put away: by hand, or for want of room.
    fn are_tools_away(&self) -> bool {
        let width = self.window.single().map_or(0.0, |window| window.width() / self.page.scale);
        self.hand.put_away == Switch::On || width < NARROW
    }

    /// The part of the window that no paper covers.
    fn pane(&self) -> Option<Pane> {
        let sheets = [self.flow.shown, self.solving.shown];
        let is_open = self.choice.work.is_some() || sheets.contains(&Switch::On);
        let card = if is_open { Switch::On } else { Switch::Off };
        let mut pane = pane(self.window.single().ok()?, self.page.scale, card, self.foot());
        if self.are_tools_away() {
            pane.open[1] -= f64::from(tools::HEIGHT);
        }
        Some(pane)
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
}

impl Grasp {
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
    viewer: Query<(&Camera, &GlobalTransform, &Transform), With<Viewer>>,
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
    if let Ok((camera, global, _)) = viewer.single()
        && !desk.aids.take_keys()
    {
        tools::keys(&ctx, &desk, (camera, global), &mut answers);
    }
    keys(&ctx, &desk, &mut answers);
    hold(&ctx, &desk, &mut grasp);
    if let (Some(eye), Ok((camera, global, _))) = (&eye, viewer.single()) {
        over_garden(&ctx, &desk, eye, (camera, global), &mut answers);
    }
    top(&ctx, &desk, &grasp, &mut answers);
    left(&ctx, &desk, &grasp, &mut answers);
    right(&ctx, &desk, &grasp, &mut answers);
    tools::show(&ctx, &desk, &mut answers);
    if let Some(eye) = &eye {
        bottom(&ctx, &desk, eye, &mut answers);
        section::below(&ctx, &desk, &grasp, &mut answers);
        job::below(&ctx, &desk, &mut answers);
    }
    say(&ctx, &desk);
    aids::before(&ctx, &mut desk, &mut answers);
    let from = viewer.single().ok().map(|(_, _, transform)| *transform);
    if let Some(eye) = &mut eye {
        act::act(answers, &mut desk, eye, from);
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
            });
        }
        (false, Some(_)) => grasp.0 = None,
        _ => {}
    }
}

/// Shows a sheet of paper at a side of the window.
fn on_sheet(
    ctx: &Context,
    name: &str,
    (anchor, offset): (Align2, egui::Vec2),
    show: impl FnOnce(&mut egui::Ui),
) {
    let area = Area::new(Id::new(name)).order(Order::Middle).anchor(anchor, offset);
    area.movable(false).show(ctx, |ui| {
        if ui.is_sizing_pass() {
            marks::unsettled(ctx);
        }
        theme::sheet().show(ui, show);
    });
}

fn top(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let can = |yes| if yes { Can::Now } else { Can::NotNow };
    let sheet = Balance {
        site: &site,
        now: desk.derived.evaluation.as_deref(),
        before: grasp.evaluation(),
        is_current: match desk.derived.freshness(&desk.document) {
            Freshness::Current => IsCurrent::Yes,
            Freshness::Stale => IsCurrent::NotYet,
        },
        is_saved: if desk.document.is_saved() { Saved::Yes } else { Saved::NotYet },
        offers: [Command::Undo, Command::Redo, Command::Save],
        can: [
            can(desk.document.can_undo()),
            can(desk.document.can_redo()),
            can(!desk.document.is_saved()),
        ],
    };
    let width = ctx.content_rect().width() - 2.0 * theme::EDGE - 26.0;
    on_sheet(ctx, "balance", (Align2::CENTER_TOP, vec2(0.0, theme::EDGE)), |ui| {
        ui.set_width(width);
        answers.commands.extend(balance::balance_ui(ui, &sheet));
    });
}

fn left(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let evaluation = desk.derived.evaluation.as_deref();
    let is_card = desk.pane().is_none_or(|pane| pane.open[0] < f64::from(LIST_WIDTH));
    if is_card {
        return;
    }
    let height = ctx.content_rect().height() - 72.0 - theme::EDGE - 24.0;
    on_sheet(ctx, "works", (Align2::LEFT_TOP, vec2(theme::EDGE, 72.0)), |ui| {
        ui.set_width(LIST_WIDTH);
        let scroll = egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height);
        scroll.show(ui, |ui| {
            let works = match desk.aids.order.shown {
                Switch::On => {
                    aids::order_list(ui, desk, answers);
                    None
                }
                Switch::Off => {
                    let earth = works::Earth { now: evaluation, before: grasp.evaluation() };
                    works::works_ui(ui, &site, &earth, desk.choice.work)
                }
            };
            match works {
                Some(works::Chosen::Order) => answers.commands.push(Command::Order),
                Some(works::Chosen::Open(id)) => answers.choose = Some(id),
                Some(works::Chosen::Turn(id)) => {
                    if let Some(mut work) = site.work(id).cloned() {
                        work.visible = !work.visible;
                        let edit = Box::new(Edit::SetWork(work));
                        answers.asks.push(Ask::Edit(edit, Held::Once));
                    }
                }
                None => {}
            }
            let Some(evaluation) = evaluation else { return };
            ui.add_space(8.0);
            ui.separator();
            let read = desk.choice.finding;
            let revision = desk.document.revision();
            let proposed = read.and_then(|idx| desk.proposal.of(revision, idx));
            let both = (evaluation, grasp.evaluation());
            match findings::findings_ui(ui, both, read, proposed, &site) {
                Some(findings::Chosen::Go(idx)) => answers.finding = Some(idx),
                Some(findings::Chosen::Take(idx)) => answers.remedy = Some(idx),
                Some(findings::Chosen::Limit(answer)) => answers.take(answer),
                None => {}
            }
        });
    });
}

fn right(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let work = desk.choice.work.and_then(|id| site.work(id));
    let sheets = [desk.flow.shown, desk.solving.shown];
    if work.is_none() && !sheets.contains(&Switch::On) {
        return;
    }
    let height = ctx.content_rect().height() - 100.0 - STRIP_HEIGHT;
    on_sheet(ctx, "card", (Align2::RIGHT_TOP, vec2(-theme::EDGE, 72.0)), |ui| {
        ui.set_width(theme::CARD_WIDTH - 24.0);
        let scroll = egui::ScrollArea::vertical()
            .id_salt(work.map(|work| work.id.0))
            .max_height(height)
            .min_scrolled_height(height);
        scroll.show(ui, |ui| match work {
            Some(work) => {
                if let Some(answer) = card::card_ui(ui, work, grasp.work(work.id), &site) {
                    answers.take(answer);
                }
            }
            None if desk.solving.shown == Switch::On => solver::sheet(ui, desk, answers),
            None => flowing::sheet(ui, desk, answers),
        });
    });
}

fn bottom(ctx: &Context, desk: &Desk<'_, '_>, eye: &Eye, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let offset = vec2(0.5 * (LIST_WIDTH + theme::EDGE + 32.0), -theme::EDGE);
    let most = ctx.content_rect().width() - LIST_WIDTH - 3.0 * theme::EDGE - 56.0;
    on_sheet(ctx, "strip", (Align2::CENTER_BOTTOM, offset), |ui| {
        ui.set_max_width(most);
        match strip::strip_ui(
            ui,
            &site,
            eye.look,
            *desk.layers,
            strip::Open {
                section: desk.cut.shown,
                job: desk.play.shown,
                balance: desk.solving.shown,
            },
            desk.choice.viewpoint,
        ) {
            Some(strip::Chosen::Command(command)) => answers.commands.push(command),
            Some(strip::Chosen::Viewpoint(idx)) => answers.viewpoint = Some(idx),
            Some(strip::Chosen::Edit(edit)) => answers.asks.push(Ask::Edit(edit, Held::Once)),
            None => {}
        }
    });
    if desk.layers.coloured() == Switch::On {
        // Above the strip; in the plan the scale and the north stand between them.
        let hint = if tools::hint(desk).is_empty() { 0.0 } else { tools::HINT_HEIGHT };
        let plan = if eye.look == Look::Plan { 80.0 } else { 0.0 };
        let up = STRIP_HEIGHT + desk.foot() + hint.max(plan);
        let offset = vec2(LIST_WIDTH + theme::EDGE + 36.0, -up);
        on_sheet(ctx, "legend", (Align2::LEFT_BOTTOM, offset), |ui| {
            if let Some(heights) = desk.layers.heights {
                legend::heights_ui(ui, heights, site.frame.unit);
            } else if desk.layers.slopes == Switch::On {
                legend::slopes_ui(ui);
            } else {
                let end = f64::from(desk.layers.depth_end_m);
                legend::legend_ui(ui, end, site.frame.unit);
            }
        });
    }
}

/// What is written over the garden itself: pins, the plan's words, the level at the pointer.
fn over_garden(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    eye: &Eye,
    (camera, transform): (&Camera, &GlobalTransform),
    answers: &mut Answers,
) {
    let Some(scene) = &desk.shown.scene else { return };
    let unit = desk.document.site().frame.unit;
    let on_screen = |local: [f64; 3]| {
        let at = camera.world_to_viewport(transform, scene.frame.scene(local)).ok()?;
        Some(pos2(at.x, at.y) / desk.page.scale)
    };
    let painter = ctx.layer_painter(egui::LayerId::background());
    let Some(pane) = desk.pane() else { return };
    let bounds = open_rect(&pane);
    let mut room = plan::Room::within(bounds);
    // Findings are of the finished plan: before it, and while the job runs, they would stand over nothing.
    // A hand that draws clicks on the ground, not on what stands over it.
    let draws = desk.hand.is_busy() || desk.cut.drawing.is_some();
    let squares = (eye.look == Look::Plan && desk.layers.grid == Switch::On)
        .then(|| squares(ctx, desk, eye, &on_screen))
        .flatten();
    if let Some(squares) = &squares {
        grid::rule(&painter, squares, ctx.content_rect());
    }
    let is_planned = scene.stage != Stage::Before && desk.play.shown == Switch::Off;
    let reads = is_planned && !draws;
    let judged = desk.derived.evaluation.as_ref().filter(|_| reads);
    if let Some(evaluation) = judged {
        // Who stands in the garden sees no place behind a bank.
        let from = scene.frame.local(transform.translation());
        let pins: Vec<pins::Pin> = evaluation
            .findings
            .iter()
            .enumerate()
            .filter(|(_, found)| eye.look != Look::Walk || is_in_sight(scene, from, found.at_m))
            .filter_map(|(finding, found)| Some(pins::Pin { finding, at: on_screen(found.at_m)? }))
            .filter(|pin| bounds.expand(4.0).contains(pin.at))
            .collect();
        let flags = pins::flags(&painter, evaluation, &pins, desk.choice.finding, unit, bounds);
        room.taken.extend(flags.iter().map(|flag| flag.rect));
        answers.finding = pins::pins_ui(ctx, evaluation, &flags).or(answers.finding);
    }
    section::over_garden(ctx, desk, &on_screen, bounds, answers);
    flowing::over_garden(&painter, desk, &on_screen, &mut room);
    hill::over_garden(&painter, desk, &on_screen, &mut room);
    survey::over_garden(&painter, desk, &on_screen, &mut room);
    if eye.look == Look::Plan {
        let points_per_m = ctx.content_rect().height() / eye.plan.height_m as f32;
        let foot = bounds.left_bottom() + vec2(0.0, -40.0);
        room.taken.push(plan::north(&painter, foot + vec2(16.0, 8.0)));
        room.taken.push(plan::scale(&painter, foot + vec2(104.0, 20.0), 120.0, points_per_m, unit));
        if let Some(squares) = &squares {
            room.taken.push(grid::tell(&painter, squares, foot + vec2(176.0, 14.0)));
        }
        let sheet = plan::PlanSheet::of(desk.document.site(), scene, points_per_m, &on_screen);
        let sheet = sheet.with_kept(scene, desk.layers.keep_outs, &on_screen);
        sheet.paint(&painter, &mut room);
    } else if desk.layers.keep_outs == Switch::On {
        let words = plan::kept_words(scene, &on_screen);
        plan::write(&painter, &words, theme::paper::INK.ink(), &mut room);
    }
    if desk.hand.held.is_none() {
        falls::over_garden(&painter, desk, &on_screen, &mut room);
    }
    rounds::over_garden(&painter, desk, &on_screen, &mut room);
    let sight = hand::Sight { on_screen: &on_screen, bounds };
    hand::over_garden(ctx, desk, &sight, answers);
    if desk.hand.is_busy() {
        return;
    }
    if let Some(at) = desk.under.at.filter(|_| !ctx.is_pointer_over_egui()) {
        let level = units::elevation_text(at[2], unit);
        let before = scene.existing.as_ref().and_then(|lie| lie.elevation([at[0], at[1]]));
        let words = match before.map(|before| at[2] - before) {
            Some(rise) if rise > 0.01 => {
                format!("{level}, fill {}", units::length_text(rise, unit))
            }
            Some(rise) if rise < -0.01 => {
                format!("{level}, cut {}", units::length_text(-rise, unit))
            }
            _ => level,
        };
        let pointer = desk.under.pointer / desk.page.scale;
        let pointer = pos2(pointer.x + 16.0, pointer.y + 14.0);
        words::label_on_paper(&painter, pointer, Align2::LEFT_TOP, &words, theme::paper::INK.ink());
    }
}

/// Squared paper over the plan as it lies on the screen.
fn squares(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    eye: &Eye,
    on_screen: &dyn Fn([f64; 3]) -> Option<egui::Pos2>,
) -> Option<grid::Grid> {
    let points_per_m = ctx.content_rect().height() / eye.plan.height_m as f32;
    let [east, north] = eye.plan.centre;
    let height_m = desk.shown.scene.as_ref()?.extent.high[2];
    // From a place that is surely seen: far from it, single precision tells no places apart.
    let seen = on_screen([east, north, height_m])?;
    let origin = seen + vec2(-east as f32, north as f32) * points_per_m;
    Some(grid::Grid { origin, points_per_m, unit: desk.document.site().frame.unit })
}

/// Whether nothing of the ground stands between the eye and a place.
fn is_in_sight(scene: &Scene, from: [f64; 3], at: [f64; 3]) -> bool {
    const STRIDE_M: f64 = 0.15;
    const HAIR_M: f64 = 0.03;
    let way: [f64; 3] = std::array::from_fn(|i| from[i] - at[i]);
    let n = (libm::hypot(way[0], way[1]) / STRIDE_M).ceil().clamp(1.0, 2000.0) as usize;
    (1..n).all(|k| {
        let t = k as f64 / n as f64;
        let place: [f64; 3] = std::array::from_fn(|i| at[i] + way[i] * t);
        let ground = scene.finished.elevation([place[0], place[1]]);
        ground.is_none_or(|ground| ground < place[2] + HAIR_M)
    })
}

/// The part of the window that no paper covers.
/// `scale` is how many points of the window are one point of paper, `foot` the height of what stands
/// over the strip, in points of paper.
pub(crate) fn pane(window: &Window, scale: f32, card: Switch, foot: f32) -> Pane {
    let whole = [window.width() / scale, window.height() / scale];
    let is_narrow = whole[0] < NARROW && card == Switch::On;
    let right = match card {
        Switch::On => theme::CARD_WIDTH + theme::EDGE,
        Switch::Off => 0.0,
    };
    let open = [
        if is_narrow { theme::EDGE } else { LIST_WIDTH + theme::EDGE + 32.0 },
        72.0 + tools::HEIGHT,
        (whole[0] - right - 8.0).max(LIST_WIDTH + 120.0),
        (whole[1] - STRIP_HEIGHT - foot).max(120.0),
    ];
    Pane { whole: whole.map(f64::from), open: open.map(f64::from) }
}

fn open_rect(pane: &Pane) -> egui::Rect {
    let [left, top, right, bottom] = pane.open.map(|side| side as f32);
    egui::Rect::from_min_max(pos2(left, top), pos2(right, bottom))
}

fn say(ctx: &Context, desk: &Desk<'_, '_>) {
    if desk.notice.text.is_empty() {
        return;
    }
    let hint = if tools::hint(desk).is_empty() { 0.0 } else { tools::HINT_HEIGHT };
    let up = STRIP_HEIGHT + desk.foot() + hint;
    on_sheet(ctx, "notice", (Align2::CENTER_BOTTOM, vec2(0.5 * LIST_WIDTH, -up)), |ui| {
        ui.label(&desk.notice.text);
    });
}
