//! The balance of the earth on the screen: its sheet at the right.

use std::sync::Arc;

use egui::Ui;

use super::{Answers, Desk, Grasp};
use crate::document::Ask;
use crate::panels::solver::{Answer, AtWork, Sheet, solver_ui};
use crate::scene::present::Switch;

/// Shows the sheet.
pub(super) fn sheet(ui: &mut Ui, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let sheet = Sheet {
        site: desk.document.site(),
        before: grasp.site(),
        known: desk.solving.known(),
        freed: &desk.solving.freed,
        goals: &desk.solving.goals,
        found: desk.solving.found(desk.document.revision()),
        at_work: if desk.solving.is_busy() { AtWork::Yes } else { AtWork::No },
    };
    answers.solver = solver_ui(ui, &sheet);
}

/// Does what the sheet asks for.
pub(super) fn answer(answer: Option<Answer>, desk: &mut Desk<'_, '_>) {
    let revision = desk.document.revision();
    let site = desk.document.site().clone();
    match answer {
        Some(Answer::Turn(number)) => desk.solving.turn(&number, &site),
        Some(Answer::Bound(idx, end, value)) => desk.solving.bound(idx, end, value),
        Some(Answer::Goal(goal)) => desk.solving.turn_goal(goal),
        Some(Answer::Run) => desk.solving.run(revision, site),
        Some(Answer::Take) => {
            if let Some(Ok(told)) = desk.solving.found(revision) {
                let taken = Arc::new(told.outcome.site.clone());
                desk.asks.write(Ask::Replace(taken));
            }
        }
        Some(Answer::Close) => desk.solving.shown = Switch::Off,
        None => {}
    }
}
