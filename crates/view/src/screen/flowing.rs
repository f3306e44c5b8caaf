//! The running water on the screen: its sheet at the right, and over the garden how thick it falls, and
//! where it runs over its edge.

use design::{CrestPlace, StreamWater};
use egui::{Color32, Pos2, Stroke, Ui};
use site::{Edit, Site};
use units::{LengthUnit, length_text, thickness_text};

use super::{Answers, Desk, Grasp};
use crate::derive::Freshness;
use crate::document::{Ask, Held};
use crate::panels::plan::{self, Room, Word};
use crate::panels::pump::{Fall, Pumps};
use crate::panels::water::{self, Before, Sheet, water_ui};
use crate::scene::present::Switch;
use crate::theme::paper;

/// Shows the water sheet.
pub(super) fn sheet(ui: &mut Ui, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let pumps = desk.shown.scene.as_ref().map(|scene| Pumps {
        running: &scene.running,
        planned: &scene.planned,
        shares: &desk.flow.shares,
    });
    let before = grasp.water().map(|(report, site)| Before { report, site });
    let sheet = Sheet { report: desk.flow.report(), pumps, site: desk.document.site(), before };
    match water_ui(ui, &sheet) {
        Some(water::Answer::Card(answer)) => answers.take(answer),
        Some(water::Answer::Try(tried)) => answers.flow = Some(tried),
        None => {}
    }
}

/// Makes the flows that are tried the plan: one edit of pumps and pipes, and what it was in words.
pub(super) fn take(desk: &mut Desk<'_, '_>) {
    if desk.derived.freshness(&desk.document) != Freshness::Current {
        return desk.notice.say("The water is still being worked out.");
    }
    let (Some(scene), Some(evaluation)) = (&desk.shown.scene, desk.derived.evaluation.clone())
    else {
        return;
    };
    let mut site = Site::clone(desk.document.site());
    let mut told = Vec::new();
    for (idx, share) in desk.flow.shares.iter().enumerate().filter(|(_, share)| **share != 1.0) {
        let pump = scene.planned.pumps.get(idx);
        let Some(Ok(duty)) = pump.map(|pump| &pump.duty) else { continue };
        match design::with_flow(&site, &evaluation, idx, share * duty.flow_m3_s) {
            Ok(taken) => {
                site.circulation = taken.circulation;
                told.push(taken.message);
            }
            Err(why) => return desk.notice.say(format!("That cannot be made the plan: {why}.")),
        }
    }
    if !told.is_empty() {
        let edit = Edit::SetCirculation(site.circulation);
        desk.asks.write(Ask::Edit(Box::new(edit), Held::Once));
        desk.notice.say(told.join(" "));
    }
}

/// While the sheet is open: the thickness at each fall, and the stretches on which water runs over the
/// edge.
pub(super) fn over_garden(
    painter: &egui::Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let Some(scene) = desk.shown.scene.as_ref().filter(|_| desk.flow.shown == Switch::On) else {
        return;
    };
    let site = desk.document.site();
    let unit = site.frame.unit;
    let mut words: Vec<(Word, Color32)> = Vec::new();
    for stream in &scene.running.streams {
        for crest in stream.crests.as_deref().unwrap_or_default() {
            if let (CrestPlace::Fall(..), Some(at)) = (crest.crest, on_screen(crest.at_m)) {
                let fall = Fall::of(crest, &site.limits);
                let ink = if fall == Fall::Good { paper::WATER } else { paper::LOOK_AT };
                let thick = thickness_text(crest.brink_m, unit);
                let text = format!("{thick}, {}", fall.words());
                words.push((Word::beside(at, text), ink.ink()));
            }
        }
        if let Ok(water) = &stream.water {
            let over = overtopped(painter, water, on_screen, unit);
            words.extend(over.map(|word| (word, paper::STOP.ink())));
        }
    }
    for (word, ink) in words {
        plan::write(painter, &[word], ink, room);
    }
}

/// Draws the stretches of a stream on which it runs over its edge; answers with what is said of the
/// worst place.
fn overtopped(
    painter: &egui::Painter,
    water: &StreamWater,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    unit: LengthUnit,
) -> Option<Word> {
    let least =
        |point: &design::RunPoint| point.edge_above_water_m[0].min(point.edge_above_water_m[1]);
    for stretch in water.points.chunk_by(|a, b| (least(a) < 0.0) == (least(b) < 0.0)) {
        if stretch.first().is_some_and(|point| least(point) < 0.0) {
            let at = |p: &design::RunPoint| on_screen([p.at_m[0], p.at_m[1], p.level_m]);
            let line: Vec<Pos2> = stretch.iter().filter_map(at).collect();
            painter.line(line, Stroke::new(3.0, paper::STOP.ink()));
        }
    }
    let worst = water.points.iter().min_by(|a, b| least(a).total_cmp(&least(b)))?;
    let deep = -least(worst);
    let at = on_screen([worst.at_m[0], worst.at_m[1], worst.level_m]).filter(|_| deep > 0.0)?;
    let side =
        if worst.edge_above_water_m[0] < worst.edge_above_water_m[1] { "left" } else { "right" };
    let text = format!("{} over its {side} edge", length_text(deep, unit));
    Some(Word::beside(at, text))
}
