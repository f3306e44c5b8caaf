//! The screen: lays the paper pieces around the garden and turns their answers into requests.

use std::sync::Arc;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use design::Evaluation;
use egui::{Align2, Area, Context, Id, Order, pos2, vec2};
use site::Edit;

use crate::camera::motion::{Glide, Motion, Viewer};
use crate::camera::steer::Under;
use crate::choice::Choice;
use crate::command::Command;
use crate::derive::{Derived, Freshness};
use crate::document::{Ask, Document, Held, Notice};
use crate::look::{BirdsEye, Eye, Focus, Look, WalkEye};
use crate::marks;
use crate::panels::balance::{Balance, Can, IsCurrent, Saved};
use crate::panels::{balance, card, findings, legend, pins, plan, strip, words, works};
use crate::scene::present::{Layers, Shown};
use crate::theme;

/// Everything that the screen reads and moves, besides the document.
#[derive(SystemParam)]
pub(crate) struct Desk<'w> {
    document: Res<'w, Document>,
    derived: Res<'w, Derived>,
    shown: Res<'w, Shown>,
    under: Res<'w, Under>,
    layers: ResMut<'w, Layers>,
    choice: ResMut<'w, Choice>,
    glide: ResMut<'w, Glide>,
    notice: ResMut<'w, Notice>,
    asks: MessageWriter<'w, Ask>,
}

/// The evaluation as it was when a drag began.
#[derive(Resource, Default)]
pub(crate) struct Grasp {
    before: Option<Arc<Evaluation>>,
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
    say: Option<String>,
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Choice>();
    app.init_resource::<Grasp>();
    app.add_systems(EguiPrimaryContextPass, (dress, show).chain());
}

/// Puts type and ink into the context once.
fn dress(mut contexts: EguiContexts, mut done: Local<Option<()>>) -> Result {
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
    mut desk: Desk<'_>,
    mut grasp: ResMut<Grasp>,
    mut eye: Option<ResMut<Eye>>,
    viewer: Query<(&Camera, &GlobalTransform, &Transform), With<Viewer>>,
    mut ready: Local<u8>,
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
    let mut answers = Answers::default();
    keys(&ctx, &mut answers);
    hold(&ctx, &desk, &mut grasp);
    if let (Some(eye), Ok((camera, global, _))) = (&eye, viewer.single()) {
        over_garden(&ctx, &desk, eye, (camera, global), &mut answers);
    }
    top(&ctx, &desk, &grasp, &mut answers);
    left(&ctx, &desk, &mut answers);
    right(&ctx, &desk, &mut answers);
    if let Some(eye) = &eye {
        bottom(&ctx, &desk, eye, &mut answers);
    }
    say(&ctx, &desk);
    let from = viewer.single().ok().map(|(_, _, transform)| *transform);
    if let Some(eye) = &mut eye {
        act(answers, &mut desk, eye, from);
    }
    Ok(())
}

fn keys(ctx: &Context, answers: &mut Answers) {
    if ctx.egui_wants_keyboard_input() {
        return;
    }
    for command in Command::ALL {
        if ctx.input_mut(|input| input.consume_shortcut(&command.shortcut())) {
            answers.commands.push(command);
        }
    }
}

/// Keeps the evaluation from before a drag, so that its change can be shown.
fn hold(ctx: &Context, desk: &Desk<'_>, grasp: &mut Grasp) {
    let drags = ctx.dragged_id().is_some() && ctx.input(|input| input.pointer.primary_down());
    match (drags, &grasp.before) {
        (true, None) => grasp.before.clone_from(&desk.derived.evaluation),
        (false, Some(_)) => grasp.before = None,
        _ => {}
    }
}

fn area(name: &str, anchor: Align2, offset: egui::Vec2) -> Area {
    Area::new(Id::new(name)).order(Order::Middle).anchor(anchor, offset).movable(false)
}

fn top(ctx: &Context, desk: &Desk<'_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let can = |yes| if yes { Can::Now } else { Can::NotNow };
    let sheet = Balance {
        site: &site,
        now: desk.derived.evaluation.as_deref(),
        before: grasp.before.as_deref(),
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
    area("balance", Align2::CENTER_TOP, vec2(0.0, theme::EDGE)).show(ctx, |ui| {
        theme::sheet().show(ui, |ui| {
            ui.set_width(width);
            answers.commands.extend(balance::balance_ui(ui, &sheet));
        });
    });
}

fn left(ctx: &Context, desk: &Desk<'_>, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let evaluation = desk.derived.evaluation.as_deref();
    let height = ctx.content_rect().height() - 166.0;
    area("works", Align2::LEFT_TOP, vec2(theme::EDGE, 72.0)).show(ctx, |ui| {
        theme::sheet().show(ui, |ui| {
            ui.set_width(228.0);
            let scroll =
                egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height);
            scroll.show(ui, |ui| {
                match works::works_ui(ui, &site, evaluation, desk.choice.work) {
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
                let unit = site.frame.unit;
                match findings::findings_ui(ui, evaluation, desk.choice.finding, unit) {
                    Some(findings::Chosen::Go(idx)) => answers.finding = Some(idx),
                    Some(findings::Chosen::Take(idx)) => answers.remedy = Some(idx),
                    None => {}
                }
            });
        });
    });
}

fn right(ctx: &Context, desk: &Desk<'_>, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let Some(work) = desk.choice.work.and_then(|id| site.work(id)) else { return };
    let height = ctx.content_rect().height() - 166.0;
    area("card", Align2::RIGHT_TOP, vec2(-theme::EDGE, 72.0)).show(ctx, |ui| {
        theme::sheet().show(ui, |ui| {
            ui.set_width(theme::CARD_WIDTH - 24.0);
            let scroll = egui::ScrollArea::vertical()
                .id_salt(work.id.0)
                .max_height(height)
                .min_scrolled_height(height);
            scroll.show(ui, |ui| match card::card_ui(ui, work, &site) {
                Some(card::Answer::Edit(edit, held)) => answers.asks.push(Ask::Edit(edit, held)),
                Some(card::Answer::Refused(why)) => answers.say = Some(why),
                Some(card::Answer::Close) => answers.close = true,
                None => {}
            });
        });
    });
}

fn bottom(ctx: &Context, desk: &Desk<'_>, eye: &Eye, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let offset = vec2(0.0, -theme::EDGE);
    area("strip", Align2::CENTER_BOTTOM, offset).show(ctx, |ui| {
        theme::sheet().show(ui, |ui| {
            match strip::strip_ui(ui, &site, eye.look, *desk.layers, desk.choice.viewpoint) {
                Some(strip::Chosen::Command(command)) => answers.commands.push(command),
                Some(strip::Chosen::Viewpoint(idx)) => answers.viewpoint = Some(idx),
                None => {}
            }
        });
    });
    if desk.layers.depths == crate::scene::present::Switch::On {
        let offset = vec2(-theme::EDGE, -theme::EDGE);
        area("legend", Align2::RIGHT_BOTTOM, offset).show(ctx, |ui| {
            theme::sheet().show(ui, |ui| {
                let end = f64::from(desk.layers.depth_end_m);
                legend::legend_ui(ui, end, site.frame.unit);
            });
        });
    }
}

/// What is written over the garden itself: pins, the plan's words, the level at the pointer.
fn over_garden(
    ctx: &Context,
    desk: &Desk<'_>,
    eye: &Eye,
    (camera, transform): (&Camera, &GlobalTransform),
    answers: &mut Answers,
) {
    let Some(scene) = &desk.shown.scene else { return };
    let unit = desk.document.site().frame.unit;
    let on_screen = |local: [f64; 3]| {
        let at = camera.world_to_viewport(transform, scene.frame.scene(local)).ok()?;
        Some(pos2(at.x, at.y))
    };
    if eye.look == Look::Plan {
        let sheet = plan_sheet(desk, eye, ctx.content_rect().height(), &on_screen);
        plan::paint(ctx, &sheet, unit);
    }
    if let Some(evaluation) = &desk.derived.evaluation {
        let pins: Vec<pins::Pin> = evaluation
            .findings
            .iter()
            .enumerate()
            .filter_map(|(finding, found)| Some(pins::Pin { finding, at: on_screen(found.at_m)? }))
            .filter(|pin| ctx.content_rect().contains(pin.at))
            .collect();
        answers.finding =
            pins::pins_ui(ctx, evaluation, &pins, desk.choice.finding, unit).or(answers.finding);
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
        let painter = ctx.layer_painter(egui::LayerId::background());
        let pointer = pos2(desk.under.pointer.x + 16.0, desk.under.pointer.y + 14.0);
        words::label_on_paper(&painter, pointer, Align2::LEFT_TOP, &words, theme::paper::INK.ink());
    }
}

fn plan_sheet(
    desk: &Desk<'_>,
    eye: &Eye,
    height: f32,
    on_screen: &dyn Fn([f64; 3]) -> Option<egui::Pos2>,
) -> plan::PlanSheet {
    let site = desk.document.site();
    let unit = site.frame.unit;
    let mut sheet = plan::PlanSheet {
        points_per_m: height / eye.plan.height_m as f32,
        ..plan::PlanSheet::default()
    };
    let Some(scene) = &desk.shown.scene else { return sheet };
    for contour in scene.contours.iter() {
        let length: f64 = contour
            .points
            .windows(2)
            .map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1]))
            .sum();
        if length * f64::from(sheet.points_per_m) < 160.0 {
            continue;
        }
        let middle = contour.points[contour.points.len() / 2];
        if let Some(at) = on_screen([middle[0], middle[1], contour.z]) {
            let number = unit.from_metres(contour.z);
            sheet.levels.push(plan::Word { at, text: format!("{number:.1}") });
        }
    }
    for (work, middle) in &scene.middles {
        let name = site.work(*work).map(|work| work.name.clone());
        if let (Some(text), Some(at)) = (name, on_screen(*middle)) {
            sheet.names.push(plan::Word { at, text });
        }
    }
    sheet
}

fn say(ctx: &Context, desk: &Desk<'_>) {
    if desk.notice.text.is_empty() {
        return;
    }
    area("notice", Align2::CENTER_BOTTOM, vec2(0.0, -66.0)).show(ctx, |ui| {
        theme::sheet().show(ui, |ui| ui.label(&desk.notice.text));
    });
}

fn act(answers: Answers, desk: &mut Desk<'_>, eye: &mut ResMut<'_, Eye>, from: Option<Transform>) {
    for ask in answers.asks {
        desk.asks.write(ask);
    }
    if let Some(work) = answers.choose {
        desk.choice.work = Some(work);
    }
    if answers.close {
        desk.choice.work = None;
    }
    if let Some(why) = answers.say {
        desk.notice.say(why);
    }
    let evaluation = desk.derived.evaluation.clone();
    if let Some(idx) = answers.remedy {
        let remedy = evaluation.as_ref().and_then(|e| e.findings.get(idx)?.remedy.clone());
        // A remedy belongs to the site that it was computed for.
        let current = desk.derived.freshness(&desk.document) == Freshness::Current;
        if let Some(site) = remedy.and_then(|remedy| remedy.site).filter(|_| current) {
            desk.asks.write(Ask::Replace(Arc::new(*site)));
        }
    }
    let glide = |glide: &mut Glide| {
        if let Some(from) = &from {
            glide.begin(from);
        }
    };
    if let Some(idx) = answers.viewpoint {
        glide(&mut desk.glide);
        stand(desk, eye, idx);
    }
    if let Some(idx) = answers.finding {
        glide(&mut desk.glide);
        go(desk, eye, idx);
    }
    for command in answers.commands {
        if matches!(
            command,
            Command::Plan
                | Command::BirdsEye
                | Command::Walk
                | Command::Whole
                | Command::NextViewpoint
                | Command::NextFinding
        ) {
            glide(&mut desk.glide);
        }
        obey(command, desk, eye);
    }
}

fn obey(command: Command, desk: &mut Desk<'_>, eye: &mut ResMut<'_, Eye>) {
    match command {
        Command::Undo => drop(desk.asks.write(Ask::Undo)),
        Command::Redo => drop(desk.asks.write(Ask::Redo)),
        Command::Save => drop(desk.asks.write(Ask::Save)),
        Command::Plan => eye.look = Look::Plan,
        Command::BirdsEye => eye.look = Look::BirdsEye,
        Command::Walk => eye.look = Look::Walk,
        Command::Depths => desk.layers.depths = desk.layers.depths.turned(),
        Command::Existing => desk.layers.existing = desk.layers.existing.turned(),
        Command::Whole => {
            if let Some(scene) = &desk.shown.scene {
                let first = Eye::first(desk.document.site(), scene);
                let look = if eye.look == Look::Walk { Look::BirdsEye } else { eye.look };
                eye.plan = first.plan;
                eye.birds_eye = BirdsEye::over(&Focus::of(scene), eye.birds_eye.heading);
                eye.look = look;
            }
        }
        Command::NextViewpoint => {
            let n = desk.document.site().viewpoints.len();
            if n > 0 {
                let next = desk.choice.viewpoint.map_or(0, |idx| (idx + 1) % n);
                stand(desk, eye, next);
            }
        }
        Command::NextFinding => {
            let n = desk.derived.evaluation.as_ref().map_or(0, |e| e.findings.len());
            if n > 0 {
                let next = desk.choice.finding.map_or(0, |idx| (idx + 1) % n);
                go(desk, eye, next);
            }
        }
        Command::PutDown => {
            desk.choice.work = None;
            desk.choice.finding = None;
        }
        Command::Still => {
            desk.glide.motion = match desk.glide.motion {
                Motion::Lively => Motion::Still,
                Motion::Still => Motion::Lively,
            };
        }
    }
}

fn stand(desk: &mut Desk<'_>, eye: &mut ResMut<'_, Eye>, idx: usize) {
    let (Some(scene), Some(viewpoint)) =
        (&desk.shown.scene, desk.document.site().viewpoints.get(idx))
    else {
        return;
    };
    eye.walk = WalkEye::from_viewpoint(viewpoint, scene);
    eye.look = Look::Walk;
    desk.choice.viewpoint = Some(idx);
}

/// Flies to a finding and opens the card of its work.
fn go(desk: &mut Desk<'_>, eye: &mut ResMut<'_, Eye>, idx: usize) {
    let Some(evaluation) = &desk.derived.evaluation else { return };
    let Some(finding) = evaluation.findings.get(idx) else { return };
    desk.choice.finding = Some(idx);
    if finding.work.is_some() {
        desk.choice.work = finding.work;
    }
    match eye.look {
        Look::Plan => eye.plan.centre = [finding.at_m[0], finding.at_m[1]],
        Look::BirdsEye | Look::Walk => {
            eye.look = Look::BirdsEye;
            let heading = eye.birds_eye.heading;
            eye.birds_eye = BirdsEye::toward(finding.at_m, heading, 0.50, 8.0);
        }
    }
}
