//! What the window shows, published on request for tests that drive it from outside.
//!
//! When the environment names a file in `TARNWRIGHT_PROBE`, every change of what is shown is written
//! there whole: the document's revision, whether numbers are current, the balance line and its
//! numbers in SI, the eye, and where widgets are in pixels of the window.

use std::path::PathBuf;

use bevy::prelude::*;
use bevy_egui::input::EguiWantsInput;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use serde_json::{Map, Value, json};

use crate::beside::Beside;
use crate::camera::motion::Viewer;
use crate::camera::steer::Under;
use crate::choice::Choice;
use crate::cut::Cut;
use crate::derive::{Derived, Freshness};
use crate::document::safe::Safe;
use crate::document::{Document, Notice};
use crate::flow::Flow;
use crate::hand::{Hand, Tool};
use crate::look::{Eye, Look};
use crate::marks;
use crate::play::Play;
use crate::proposal::Proposal;
use crate::scene::Piece;
use crate::scene::present::{Layers, Shown, Switch};
use crate::start::Starting;

/// Names the file.
pub(crate) const FILE: &str = "TARNWRIGHT_PROBE";

#[derive(Resource)]
struct Probe {
    file: PathBuf,
    written: String,
    frames: u64,
}

pub(crate) fn plugin(app: &mut App) {
    if let Some(file) = std::env::var_os(FILE) {
        app.insert_resource(Probe { file: file.into(), written: String::new(), frames: 0 });
        app.add_systems(
            EguiPrimaryContextPass,
            publish.after(crate::screen::show).after(crate::start::show),
        );
    }
}

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn publish(
    mut contexts: EguiContexts,
    mut probe: ResMut<Probe>,
    document: Res<Document>,
    derived: Res<Derived>,
    shown: Res<Shown>,
    choice: Res<Choice>,
    notice: Res<Notice>,
    cut: Res<Cut>,
    play: Res<Play>,
    (flow, proposal, beside): (Res<Flow>, Res<Proposal>, Res<Beside>),
    (wants, under, hand): (Res<EguiWantsInput>, Res<Under>, Res<Hand>),
    eye: Option<Res<Eye>>,
    (safe, starting): (Res<Safe>, Option<Res<Starting>>),
    viewer: Query<(&Transform, &Projection), With<Viewer>>,
    (pieces, layers): (Query<(&Piece, &Visibility)>, Res<Layers>),
) -> Result {
    probe.frames += 1;
    let ctx = contexts.ctx_mut()?;
    let per_point = ctx.pixels_per_point();
    let widgets: Map<String, Value> = marks::take(ctx)
        .into_iter()
        .map(|(name, rect)| {
            let sides = [rect.min.x, rect.min.y, rect.width(), rect.height()];
            (name, json!(sides.map(|side| side * per_point)))
        })
        .collect();
    if widgets.is_empty() {
        return Ok(());
    }
    let site = document.site();
    let evaluation = derived.evaluation.as_deref();
    let state = json!({
        "revision": document.revision(),
        "current": derived.freshness(&document) == Freshness::Current,
        "scene_revision": shown.revision,
        "saved": document.is_saved(),
        "balance": evaluation.map(|e| exchange::report::balance_line(site, e)),
        "earth": evaluation.map(|e| json!({
            "cut_bank_m3": e.earth.cut_bank_m3,
            "fill_compacted_m3": e.earth.fill_compacted_m3,
            "spoil_bank_m3": e.earth.spoil_bank_m3,
            "spoil_loose_m3": e.haul.spoil_loose_m3,
            "loads": e.haul.loads,
        })),
        "over_paper": wants.wants_any_pointer_input(),
        "pointer": [under.pointer.x, under.pointer.y],
        "section": cut.section.as_ref().filter(|_| cut.shown == Switch::On).map(|section| json!({
            "length_m": section.length_m,
            "cut_m2": section.cut_m2,
            "fill_m2": section.fill_m2,
            "read_m": cut.read_m,
        })),
        "job": play.steps.as_ref().filter(|_| play.shown == Switch::On).map(|(_, steps)| json!({
            "at": play.at,
            "last": play.last(),
            "cut_m3": steps.get(play.at).map(|step| step.cut_m3),
            "fill_m3": steps.get(play.at).map(|step| step.fill_m3),
        })),
        "work": choice.work.map(|work| work.0),
        "question": safe.question.is_some(),
        "start": starting.map(|starting| starting.told()),
        "works": site.works.len(),
        "hand": tool_word(&hand),
        "drawn": match &hand.tool {
            Tool::Draw(drawing) => drawing.points.len(),
            _ => 0,
        },
        "typed": hand.typed,
        "notice": notice.text,
        "plan": eye.as_ref().map(|eye| json!([eye.plan.centre, eye.plan.height_m])),
        "finding": choice.finding,
        "findings": evaluation.map(|e| {
            let code = |finding: &design::Finding| finding.code.as_str();
            e.findings.iter().map(code).collect::<Vec<_>>()
        }),
        "proposed": choice.finding.and_then(|idx| {
            let proposed = proposal.of(document.revision(), idx)?;
            Some(proposed.evaluation.findings.len())
        }),
        "beside": beside.parting.map(|parting| json!({
            "at": parting.at,
            "apart": parting.apart,
            "which": beside.version.as_ref().map(|version| version.which.words()),
            "cut_bank_m3": beside.composed().map(|made| made.evaluation.earth.cut_bank_m3),
            "is_drawn": beside.picture.is_some(),
        })),
        "shares": flow.shares,
        "brinks_m": shown.scene.as_ref().map(|scene| {
            let streams = scene.running.streams.iter();
            let crests = streams.flat_map(|stream| stream.crests.as_deref().unwrap_or_default());
            crests.map(|crest| crest.brink_m).collect::<Vec<_>>()
        }),
        "unit": format!("{:?}", site.frame.unit),
        "viewpoints": site.viewpoints.iter().map(|v| v.name.as_str()).collect::<Vec<_>>(),
        "scale": per_point,
        "look": eye.as_ref().map(|eye| match eye.look {
            Look::Plan => "plan",
            Look::BirdsEye => "birds-eye",
            Look::Walk => "walk",
        }),
        "camera": viewer.single().ok().map(|(at, _)| at.translation.to_array()),
        "fov": viewer.single().ok().and_then(|(_, lens)| match lens {
            Projection::Perspective(lens) => Some(lens.fov),
            _ => None,
        }),
        "eye": eye.as_ref().map(|eye| json!({
            "at": eye.walk.at,
            "foothold": shown.scene.as_ref().and_then(|scene| scene.foothold(eye.walk.at)),
        })),
        "coloured": match (*layers).coloured() {
            Switch::Off => None,
            Switch::On if layers.slopes == Switch::On => Some("g"),
            Switch::On => Some("c"),
        },
        "stage": shown.scene.as_ref().map(|scene| format!("{:?}", scene.stage)),
        "drawn_pieces": drawn(&pieces),
        "widgets": widgets,
    });
    let text = state.to_string();
    if text != probe.written {
        let counted = format!("{{\"frames\":{},{}", probe.frames, &text[1..]);
        let beside = probe.file.with_extension("part");
        // A test that has gone away must not stop the program.
        if std::fs::write(&beside, counted)
            .and_then(|()| std::fs::rename(&beside, &probe.file))
            .is_ok()
        {
            probe.written = text;
        }
    }
    Ok(())
}

/// How many pieces of each kind are drawn, by the kind's name.
fn drawn(pieces: &Query<(&Piece, &Visibility)>) -> Map<String, Value> {
    let mut counts = Map::new();
    for (piece, _) in pieces.iter().filter(|(_, seen)| **seen != Visibility::Hidden) {
        let name = format!("{piece:?}");
        let kind = name.split('(').next().unwrap_or_default().to_owned();
        let count = counts.get(&kind).and_then(Value::as_u64).unwrap_or_default();
        counts.insert(kind, json!(count + 1));
    }
    counts
}

/// What the hand is about, in a word.
fn tool_word(hand: &Hand) -> &'static str {
    match (&hand.held, &hand.tool) {
        (Some(_), _) => "holds",
        (None, Tool::Rest) => "rests",
        (None, Tool::Draw(_)) => "draws",
        (None, Tool::Deed(..)) => "does",
        (None, Tool::Levels(_)) => "levels",
        (None, Tool::Rain(_)) => "rain",
        (None, Tool::Height) => "height",
    }
}
