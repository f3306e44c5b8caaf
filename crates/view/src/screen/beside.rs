//! Two versions side by side on the screen: the other one's picture at the left, the parting between
//! them, and their numbers below.

use std::sync::Arc;

use bevy_egui::{EguiContexts, EguiTextureHandle};
use egui::{Align2, Color32, Context, Painter, Rect, pos2, vec2};
use exchange::versions::{Row, differing, rows};

use super::{Answers, Desk, on_sheet};
use crate::beside::{Parting, Which};
use crate::derive::Freshness;
use crate::look::{BirdsEye, Eye, Focus, PlanEye};
use crate::marks;
use crate::panels::beside::{Answer, Ledger, STRIP, Waits, beside_ui};
use crate::panels::words;
use crate::scene::present::Switch;
use crate::theme::paper;

/// Notes where the window is parted, and lends the other version's picture to the paper.
pub(super) fn part(contexts: &mut EguiContexts<'_, '_>, desk: &mut Desk<'_, '_>) {
    let half = desk.pane().filter(|_| desk.beside.shown == Switch::On);
    let parting = half.map(|pane| {
        let scale = desk.page.scale;
        let [at, right] = [pane.open[0], pane.open[2]].map(|x| x as f32 * scale);
        Parting { at, apart: right - at }
    });
    if desk.beside.parting != parting {
        desk.beside.parting = parting;
    }
    let picture = desk.beside.picture.clone();
    if let Some(picture) = picture.filter(|picture| contexts.image_id(picture).is_none()) {
        contexts.add_image(EguiTextureHandle::Weak(picture.id()));
    }
}

/// Paints the other version over the left half, and the parting.
pub(super) fn over_garden(
    contexts: &EguiContexts<'_, '_>,
    painter: &Painter,
    ctx: &Context,
    desk: &Desk<'_, '_>,
) {
    let Some(Parting { at, apart }) = desk.beside.parting else { return };
    let whole = ctx.content_rect();
    let [at, apart] = [at, apart].map(|x| x / desk.page.scale);
    let left = Rect::from_min_max(whole.min, pos2(at, whole.bottom()));
    let picture = desk.beside.picture.as_ref().and_then(|picture| contexts.image_id(picture));
    match picture {
        Some(id) => {
            let across = |x: f32| (x + apart) / whole.width();
            let uv = Rect::from_min_max(pos2(across(0.0), 0.0), pos2(across(at), 1.0));
            painter.image(id, left, uv, Color32::WHITE);
        }
        None => drop(painter.rect_filled(left, 0.0, paper::WASH.ink())),
    }
    painter.vline(at, whole.y_range(), (3.0, paper::SHEET.ink()));
    painter.vline(at, whole.y_range(), (1.0, paper::INK.ink()));
    let Some(pane) = desk.pane() else { return };
    let foot = pane.open[3] as f32 - 12.0;
    let other = desk.beside.version.as_ref().map(|version| version.which.words());
    let ink = paper::INK.ink();
    let [left, right] = [(Align2::RIGHT_BOTTOM, -12.0), (Align2::LEFT_BOTTOM, 12.0)];
    let other = other.unwrap_or_else(|| "no version".to_owned());
    words::label_on_paper(painter, pos2(at + left.1, foot), left.0, &other, ink);
    words::label_on_paper(painter, pos2(at + right.1, foot), right.0, "as it stands", ink);
}

/// Tells the other version's level under the pointer, and the present one's.
pub(super) fn tell(ctx: &Context, desk: &Desk<'_, '_>, at: [f64; 3], level: &str) {
    let scene = desk.beside.composed().and_then(|composed| composed.scene.as_ref());
    let there = scene.and_then(|scene| scene.finished.elevation([at[0], at[1]]));
    let Some(there) = there else { return };
    let there = units::elevation_text(there, desk.document.site().frame.unit);
    let words = format!("{there} here, {level} as it stands");
    let at = desk.under.pointer / desk.page.scale;
    let painter = ctx.layer_painter(egui::LayerId::background());
    let at = pos2(at.x + 16.0, at.y + 14.0);
    words::label_on_paper(&painter, at, Align2::LEFT_TOP, &words, paper::INK.ink());
}

/// Shows the numbers, between the list of works and the card.
pub(super) fn below(ctx: &Context, desk: &mut Desk<'_, '_>, answers: &mut Answers) {
    let Some(lay) = desk.lay().filter(|lay| lay.has_ledger()) else { return };
    let unit = desk.document.site().frame.unit;
    let composed = desk.beside.composed().map(|composed| composed.evaluation.clone());
    let both = composed.zip(desk.derived.evaluation.clone());
    let told: Option<Vec<Row>> = both.map(|(other, present)| rows([&other, &present], unit));
    let which = desk.beside.version.as_ref().map(|version| version.which.clone());
    let differs = match (&desk.beside.version, &desk.derived.site) {
        (Some(version), Some(site)) if !Arc::ptr_eq(&version.site, site) => {
            differing([&version.site, site], [&version.which.words(), "the present one"], unit)
        }
        _ => Vec::new(),
    };
    let is_current = desk.derived.freshness(&desk.document) == Freshness::Current;
    let offered = desk.beside.offered.clone();
    let ledger = Ledger {
        which: which.as_ref(),
        offered: &offered,
        rows: told.as_deref(),
        differing: &differs,
        waits: if is_current { Waits::No } else { Waits::Yes },
    };
    let (left, right) = (lay.paper().left(), lay.paper().right());
    // Over the section and the job, and no higher than the garden's foot.
    let up = lay.foot() - STRIP;
    let mut typed = desk.beside.typed.clone();
    on_sheet(ctx, "beside", (Align2::LEFT_BOTTOM, vec2(left + 6.0, -up)), |ui| {
        let width = (right - left - 32.0).max(240.0);
        ui.set_width(width);
        ui.set_height(STRIP - 34.0);
        marks::note(ctx, "beside", ui.max_rect());
        answers.beside = beside_ui(ui, &ledger, &mut typed);
    });
    if desk.beside.typed != typed {
        desk.beside.typed = typed;
    }
}

/// Does what the sheet asks for.
pub(super) fn answer(answer: Option<Answer>, desk: &mut Desk<'_, '_>, eye: &mut Eye) {
    match answer {
        Some(Answer::Look(which)) => look(which, desk),
        Some(Answer::Close) => close(desk, eye),
        None => {}
    }
}

/// Parts the window, or closes the parting.
pub(super) fn turn(desk: &mut Desk<'_, '_>, eye: &mut Eye) {
    if desk.beside.shown == Switch::On {
        return close(desk, eye);
    }
    desk.beside.shown = Switch::On;
    desk.beside.eye = Some(*eye);
    let keep = desk.saving.as_ref().map(|saving| saving.keep.clone());
    desk.beside.offered = keep.map(|keep| keep.versions()).unwrap_or_default();
    let which = desk.beside.version.as_ref().map(|version| version.which.clone());
    // What was saved may be another one by now.
    look(which.unwrap_or(Which::Opened), desk);
    let (Some(scene), Some(pane)) = (&desk.shown.scene, desk.pane()) else { return };
    eye.plan = PlanEye::whole(scene, &pane);
    eye.birds_eye = BirdsEye::over(&Focus::of(scene), eye.birds_eye.heading, &pane);
}

/// One version again, seen as before the window was parted.
pub(super) fn close(desk: &mut Desk<'_, '_>, eye: &mut Eye) {
    desk.beside.shown = Switch::Off;
    let look = eye.look;
    if let Some(before) = desk.beside.eye.take() {
        *eye = Eye { look, walk: eye.walk, ..before };
    }
}

fn look(which: Which, desk: &mut Desk<'_, '_>) {
    let chosen = desk.beside.choose(which, &desk.document, desk.saving.as_deref());
    if let Err(why) = chosen {
        desk.notice.say(crate::document::sentence(&why));
    }
}
