//! What the panels' answers do: requests to the document, moves of the eye, choices.

use std::sync::Arc;

use bevy::prelude::*;
use sheets::{SectionSheet, section_sheet};
use site::Edit;
use units::LengthUnit;

use super::{Answers, Desk, aids};
use crate::camera::motion::Motion;
use crate::command::Command;
use crate::cut::Course;
use crate::derive::Freshness;
use crate::document::{Ask, Held};
use crate::hand::Tool;
use crate::look::{BirdsEye, Eye, Focus, Look, WalkEye};
use crate::panels::pump::Tried;
use crate::panels::{play, viewpoint};
use crate::scene::Stage;
use crate::scene::present::Switch;

pub(super) fn act(answers: Answers, desk: &mut Desk<'_, '_>, eye: &mut ResMut<'_, Eye>) {
    let mut commands = answers.commands;
    if let Some(chosen) = answers.order {
        aids::follow(chosen, desk, &mut commands);
    }
    for ask in answers.asks {
        let n_places = desk.document.site().viewpoints.len();
        let lets_go =
            |edit: &Edit| matches!(edit, Edit::SetViewpoints(left) if left.len() < n_places);
        if matches!(&ask, Ask::Edit(edit, _) if lets_go(edit)) {
            // Else the next one would stand under the hand in its place.
            desk.choice.viewpoint = None;
        }
        desk.asks.write(ask);
    }
    if let Some(work) = answers.choose {
        desk.choice.work = Some(work);
    }
    if answers.close {
        put_down(desk);
    }
    if let Some(why) = answers.say {
        desk.notice.say(why);
    }
    section(&answers.section, desk);
    super::hand::act(answers.hand, desk);
    match answers.flow {
        Some(Tried::Share(pump, share)) => desk.flow.try_share(pump, share),
        Some(Tried::Planned) => desk.flow.shares.clear(),
        Some(Tried::Take) => super::flowing::take(desk),
        None => {}
    }
    super::solver::answer(answers.solver, desk);
    super::beside::answer(answers.beside, desk, eye);
    match answers.job {
        Some(play::Chosen::RunOrHold) => desk.play.run_or_hold(),
        Some(play::Chosen::Go(at)) => desk.play.go(at),
        Some(play::Chosen::Close) => desk.play.turn(),
        None => {}
    }
    if let Some(idx) = answers.remedy {
        take_remedy(desk, idx);
    }
    if let Some(idx) = answers.viewpoint {
        desk.glide.begin();
        stand(desk, eye, idx);
    }
    if let Some(idx) = answers.finding {
        desk.glide.begin();
        go(desk, eye, idx);
    }
    for command in commands {
        desk.aids.hints.meet(command);
        if matches!(
            command,
            Command::Plan
                | Command::BirdsEye
                | Command::Walk
                | Command::Whole
                | Command::NextViewpoint
                | Command::NextFinding
                | Command::Beside
        ) {
            desk.glide.begin();
        }
        obey(command, desk, eye);
    }
}

fn obey(command: Command, desk: &mut Desk<'_, '_>, eye: &mut ResMut<'_, Eye>) {
    match command {
        Command::Undo => drop(desk.asks.write(Ask::Undo)),
        Command::Redo => drop(desk.asks.write(Ask::Redo)),
        Command::Save => drop(desk.asks.write(Ask::Save)),
        Command::Plan => eye.look = Look::Plan,
        Command::BirdsEye => eye.look = Look::BirdsEye,
        Command::Walk => eye.look = Look::Walk,
        Command::Depths => {
            desk.layers.depths = desk.layers.depths.turned();
            desk.layers.slopes = Switch::Off;
            desk.layers.heights = None;
        }
        Command::Slopes => {
            desk.layers.slopes = desk.layers.slopes.turned();
            desk.layers.depths = Switch::Off;
            desk.layers.heights = None;
        }
        Command::Existing => desk.layers.existing = desk.layers.existing.turned(),
        Command::KeepOuts => desk.layers.keep_outs = desk.layers.keep_outs.turned(),
        Command::Finished => to_stage(desk, Stage::Finished),
        Command::Stripped => to_stage(desk, Stage::Stripped),
        Command::Subgrade => to_stage(desk, Stage::Subgrade),
        Command::Liner => to_stage(desk, Stage::Liner),
        Command::Before if desk.layers.stage == Stage::Before => to_stage(desk, Stage::Finished),
        Command::Before => to_stage(desk, Stage::Before),
        Command::SurveyPoints => desk.layers.survey = desk.layers.survey.turned(),
        Command::Pictures => turn_pictures(desk),
        Command::Grid => {
            desk.layers.grid = desk.layers.grid.turned();
            // It is true to scale only where one looks straight down.
            eye.look = if desk.layers.grid == Switch::On { Look::Plan } else { eye.look };
        }
        Command::KeepView => keep_view(desk, eye),
        Command::Units => {
            let unit = next_unit(desk.document.site().frame.unit);
            desk.asks.write(Ask::Edit(Box::new(Edit::SetUnit(unit)), Held::Once));
        }
        Command::Evening => desk.page.turn_light(),
        Command::Larger => desk.page.larger(),
        Command::Smaller => desk.page.smaller(),
        Command::Balance => {
            desk.solving.shown = desk.solving.shown.turned();
            desk.flow.turn(Switch::Off);
            (desk.choice.work, desk.choice.earth) = (None, Switch::Off);
        }
        Command::Earth => {
            desk.choice.earth = desk.choice.earth.turned();
            desk.flow.turn(Switch::Off);
            desk.solving.shown = Switch::Off;
            desk.choice.work = None;
        }
        Command::TakeRemedy => match desk.choice.finding {
            Some(idx) => take_remedy(desk, idx),
            None => desk.notice.say("Read a finding first (F): its remedy is what is done"),
        },
        Command::Play => desk.play.turn(),
        Command::Beside => super::beside::turn(desk, eye),
        Command::RunJob | Command::StepOn | Command::StepBack if desk.play.shown == Switch::Off => {
            desk.play.turn();
        }
        Command::RunJob => desk.play.run_or_hold(),
        Command::StepOn | Command::StepBack => {
            let at = desk.play.at;
            let is_on = command == Command::StepOn;
            desk.play.go(if is_on { at + 1 } else { at.saturating_sub(1) });
        }
        Command::Water => {
            let to = desk.flow.shown.turned();
            desk.flow.turn(to);
            desk.solving.shown = Switch::Off;
            (desk.choice.work, desk.choice.earth) = (None, Switch::Off);
        }
        Command::Whole => {
            if let (Some(scene), Some(pane)) = (&desk.shown.scene, desk.pane()) {
                let first = Eye::first(desk.document.site(), scene, &pane);
                let look = if eye.look == Look::Walk { Look::BirdsEye } else { eye.look };
                eye.plan = first.plan;
                eye.birds_eye = BirdsEye::over(&Focus::of(scene), eye.birds_eye.heading, &pane);
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
        Command::Section => open_section(desk),
        Command::DrawLine => {
            desk.hand.rest();
            desk.cut.shown = Switch::On;
            desk.cut.drawing = Some(Vec::new());
        }
        Command::PrintSection => print_section(desk),
        Command::Draw(kind) => {
            desk.cut.drawing = None;
            desk.hand.draw(kind);
        }
        Command::Deed(deed) => super::hand::begin_deed(deed, desk),
        Command::AddPoint => super::hand::add_after(desk),
        Command::TakeOut => super::hand::take_out(desk),
        Command::Levels => super::tools::turn(desk, Tool::Levels(Vec::new())),
        Command::Rain => super::tools::turn(desk, Tool::Rain(None)),
        Command::Arrows => desk.layers.arrows = desk.layers.arrows.turned(),
        Command::Rounds => desk.layers.rounds = desk.layers.rounds.turned(),
        Command::Heights => {
            if desk.layers.heights.take().is_some() {
                desk.hand.rest();
            } else {
                super::tools::turn(desk, Tool::Height);
            }
        }
        Command::Snap(snap) => desk.hand.snaps.turn(snap),
        Command::Tools => desk.hand.put_away = desk.hand.put_away.turned(),
        Command::PutDown => {
            desk.cut.drawing = None;
            desk.hand.point = None;
            put_down(desk);
            desk.choice.finding = None;
            super::beside::close(desk, eye);
        }
        Command::Still => {
            desk.glide.motion = match desk.glide.motion {
                Motion::Lively => Motion::Still,
                Motion::Still => Motion::Lively,
            };
        }
        Command::Order
        | Command::Earlier
        | Command::Later
        | Command::Hide
        | Command::Find
        | Command::HintsAgain => aids::obey(command, desk),
    }
}

/// Changes the site as a finding's remedy says, where that can be done.
fn take_remedy(desk: &mut Desk<'_, '_>, idx: usize) {
    let found = desk.derived.evaluation.as_ref().and_then(|e| e.findings.get(idx));
    let remedy = found.and_then(|finding| finding.remedy.clone());
    let Some(site) = remedy.and_then(|remedy| remedy.site) else {
        desk.notice.say("No number of the plan can be changed for you here");
        return;
    };
    // A remedy belongs to the site that it was computed for.
    if desk.derived.freshness(&desk.document) == Freshness::Current {
        desk.asks.write(Ask::Replace(Arc::new(*site)));
        // Another stands in its place now, which nobody has read.
        desk.choice.finding = None;
    }
}

/// Shows pictures or puts them away; where there is none, says how one comes in.
fn turn_pictures(desk: &mut Desk<'_, '_>) {
    if desk.document.site().pictures.is_empty() {
        desk.notice.say("No plan or aerial is draped: `tarnwright drape` fits one by known points");
    } else {
        desk.layers.pictures = desk.layers.pictures.turned();
    }
}

/// Closes the card; where none is open, the water sheet.
fn put_down(desk: &mut Desk<'_, '_>) {
    if desk.choice.work.take().is_some() {
        return;
    }
    if desk.solving.shown == Switch::On {
        desk.solving.shown = Switch::Off;
    } else if desk.choice.earth == Switch::On {
        desk.choice.earth = Switch::Off;
    } else {
        desk.flow.turn(Switch::Off);
    }
}

/// Shows a stage of the ground; the job is put away.
fn to_stage(desk: &mut Desk<'_, '_>, stage: Stage) {
    if desk.play.shown == Switch::On {
        desk.play.turn();
    }
    desk.layers.stage = stage;
}

/// Follows what the hand did with the section.
fn section(answer: &super::section::Answer, desk: &mut Desk<'_, '_>) {
    if desk.cut.read_m != answer.read_m {
        desk.cut.read_m = answer.read_m;
    }
    if let (Some(end), Some([east, north, _])) = (answer.pulled, desk.under.at) {
        desk.cut.pull(end, [east, north]);
    }
    if answer.work.is_some() {
        desk.choice.work = answer.work;
    }
}

/// Opens the section across what is chosen, or closes it.
fn open_section(desk: &mut Desk<'_, '_>) {
    desk.cut.shown = desk.cut.shown.turned();
    let has_room = desk.lay().is_none_or(|lay| lay.section.is_some());
    if desk.cut.shown == Switch::On && !has_room {
        desk.play.turn();
    }
    desk.cut.drawing = None;
    desk.cut.course = match desk.choice.work {
        Some(work) => Course::Across(work),
        None => Course::Along,
    };
}

fn print_section(desk: &mut Desk<'_, '_>) {
    let Some(section) = desk.cut.section.clone().filter(|_| desk.cut.shown == Switch::On) else {
        desk.notice.say("Open a section first: it is what is printed");
        return;
    };
    let site = desk.document.site().clone();
    let name = desk.cut.name(&site);
    let sheet = section_sheet(&SectionSheet { name: &name, section: &section, site: &site });
    let keep = desk.saving.as_ref().map(|saving| saving.keep.clone());
    let said = match keep.map(|keep| keep.print("section", &sheet)) {
        Some(Ok(path)) => format!("The section stands in {path}"),
        Some(Err(why)) => why,
        None => "There is no folder to print to".into(),
    };
    desk.notice.say(said);
}

fn stand(desk: &mut Desk<'_, '_>, eye: &mut ResMut<'_, Eye>, idx: usize) {
    let (Some(scene), Some(viewpoint), Some(pane)) =
        (&desk.shown.scene, desk.document.site().viewpoints.get(idx), desk.pane())
    else {
        return;
    };
    eye.walk = WalkEye::from_viewpoint(viewpoint, scene, &pane);
    eye.look = Look::Walk;
    desk.choice.viewpoint = Some(idx);
}

/// Keeps what is seen now as a viewpoint of the site.
fn keep_view(desk: &mut Desk<'_, '_>, eye: &mut ResMut<'_, Eye>) {
    let Some(scene) = &desk.shown.scene else { return };
    let Some(place) = eye.viewpoint(scene) else {
        desk.notice.say("Stand in the garden or look from the air first: a plan is no viewpoint");
        return;
    };
    let site = desk.document.site();
    desk.choice.viewpoint = Some(site.viewpoints.len());
    let edit = Box::new(viewpoint::kept(site, place));
    desk.asks.write(Ask::Edit(edit, Held::Once));
    desk.notice.say("Kept: type its name below");
}

/// Feet and inches, decimal feet, metres, and round again; survey feet are left for metres.
fn next_unit(unit: LengthUnit) -> LengthUnit {
    match unit {
        LengthUnit::FootInch => LengthUnit::Foot,
        LengthUnit::Foot | LengthUnit::UsSurveyFoot => LengthUnit::Metre,
        LengthUnit::Metre => LengthUnit::FootInch,
    }
}

/// Flies to a finding and opens the card of its work.
fn go(desk: &mut Desk<'_, '_>, eye: &mut ResMut<'_, Eye>, idx: usize) {
    let Some(evaluation) = &desk.derived.evaluation else { return };
    let Some(finding) = evaluation.findings.get(idx) else { return };
    desk.choice.finding = Some(idx);
    if finding.work.is_some() {
        desk.choice.work = finding.work;
    }
    let at_m = finding.at_m;
    let Some(pane) = desk.pane() else { return };
    match eye.look {
        Look::Plan => eye.plan.centre = [at_m[0], at_m[1]],
        Look::BirdsEye | Look::Walk => {
            eye.look = Look::BirdsEye;
            let heading = eye.birds_eye.heading;
            eye.birds_eye = BirdsEye::toward(at_m, heading, 0.50, 9.0, &pane);
        }
    }
}
