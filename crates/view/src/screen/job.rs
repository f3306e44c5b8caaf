//! The job on the screen, over the section where that is open.

use egui::{Align2, Context, vec2};

use super::{Answers, Desk, STRIP_HEIGHT, on_sheet, section};
use crate::panels::play::{STRIP, play_ui};
use crate::scene::present::Switch;

/// Shows the job between the list of works and the card.
pub(super) fn below(ctx: &Context, desk: &Desk<'_, '_>, answers: &mut Answers) {
    if desk.play.shown == Switch::Off {
        return;
    }
    let Some(pane) = desk.pane() else { return };
    let left = pane.open[0] as f32 + 6.0;
    let right = pane.open[2] as f32;
    let up = STRIP_HEIGHT + section::height(desk.cut.shown);
    let steps = desk.play.steps_of(desk.document.revision());
    let unit = desk.document.site().frame.unit;
    on_sheet(ctx, "job", (Align2::LEFT_BOTTOM, vec2(left, -up)), |ui| {
        ui.set_width((right - left - 26.0).max(240.0));
        let steps = steps.as_deref().map(Vec::as_slice);
        answers.job = play_ui(ui, steps, desk.play.at, desk.play.runs, unit);
    });
}

/// The height of its sheet where it is shown, in points.
pub(super) fn height(shown: Switch) -> f32 {
    if shown == Switch::On { STRIP } else { 0.0 }
}
