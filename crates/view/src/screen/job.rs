//! The job on the screen, over the section where that is open.

use egui::{Align2, Context, vec2};

use super::{Answers, Desk, on_sheet, section};
pub(super) use crate::panels::play::STRIP as HEIGHT;
use crate::panels::play::play_ui;
use crate::scene::present::Switch;

/// Shows the job between the list of works and the card.
pub(super) fn below(ctx: &Context, desk: &Desk<'_, '_>, answers: &mut Answers) {
    let Some(lay) = desk.lay().filter(|lay| lay.job == Switch::On) else { return };
    let (left, right) = (lay.paper().left() + 6.0, lay.paper().right());
    let up = lay.under() + lay.section.map_or(0.0, section::height);
    let steps = desk.play.steps_of(desk.document.revision());
    let unit = desk.document.site().frame.unit;
    on_sheet(ctx, "job", (Align2::LEFT_BOTTOM, vec2(left, -up)), |ui| {
        ui.set_width((right - left - 26.0).max(240.0));
        let steps = steps.as_deref().map(Vec::as_slice);
        answers.job = play_ui(ui, steps, desk.play.at, desk.play.runs, unit);
    });
}
