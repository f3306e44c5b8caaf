//! The paper at the window's edges: the balance above, the works at the left, the card at the right, the
//! strip below, and what is said between.

use egui::{Align2, Area, Context, Id, Order, vec2};
use site::Edit;

use super::lay::{LIST_WIDTH, TOP};
use super::{Answers, Desk, Grasp, aids, flowing, solver, tools};
use crate::command::Command;
use crate::derive::Freshness;
use crate::document::Ask;
use crate::document::Held;
use crate::look::{Eye, Look};
use crate::panels::balance::{Balance, Can, IsCurrent, Saved};
use crate::panels::{balance, card, earth, findings, legend, strip, works};
use crate::scene::present::Switch;
use crate::{marks, theme};

pub(super) fn top(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
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

pub(super) fn left(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let evaluation = desk.derived.evaluation.as_deref();
    if desk.lay().is_none_or(|lay| lay.list == Switch::Off) {
        return;
    }
    let height = ctx.content_rect().height() - TOP - theme::EDGE - 24.0;
    on_sheet(ctx, "works", (Align2::LEFT_TOP, vec2(theme::EDGE, TOP)), |ui| {
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

pub(super) fn right(ctx: &Context, desk: &Desk<'_, '_>, grasp: &Grasp, answers: &mut Answers) {
    let site = desk.document.site().clone();
    let work = desk.choice.work.and_then(|id| site.work(id));
    let sheets = [desk.flow.shown, desk.solving.shown, desk.choice.earth];
    if work.is_none() && !sheets.contains(&Switch::On) {
        return;
    }
    let Some(lay) = desk.lay() else { return };
    let height = ctx.content_rect().height() - TOP - 28.0 - lay.under();
    on_sheet(ctx, "card", (Align2::RIGHT_TOP, vec2(-theme::EDGE, TOP)), |ui| {
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
            None if desk.solving.shown == Switch::On => solver::sheet(ui, desk, grasp, answers),
            None if desk.choice.earth == Switch::On => {
                match earth::earth_ui(ui, &site, desk.derived.evaluation.as_deref()) {
                    Some(earth::Answer::Open(work)) => answers.choose = Some(work),
                    Some(earth::Answer::Command(command)) => answers.commands.push(command),
                    None => {}
                }
            }
            None => flowing::sheet(ui, desk, grasp, answers),
        });
    });
}

pub(super) fn bottom(ctx: &Context, desk: &Desk<'_, '_>, eye: &Eye, answers: &mut Answers) {
    if desk.lay().is_none_or(|lay| lay.strip == Switch::Off) {
        return;
    }
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
                beside: desk.beside.shown,
            },
            desk.choice.viewpoint,
        ) {
            Some(strip::Chosen::Command(command)) => answers.commands.push(command),
            Some(strip::Chosen::Viewpoint(idx)) => answers.viewpoint = Some(idx),
            Some(strip::Chosen::Edit(edit)) => answers.asks.push(Ask::Edit(edit, Held::Once)),
            None => {}
        }
    });
}

/// The legend of what is coloured, over what stands below.
pub(super) fn legend(ctx: &Context, desk: &Desk<'_, '_>, eye: &Eye) {
    let Some(lay) = desk.lay().filter(|_| desk.layers.coloured() == Switch::On) else { return };
    let site = desk.document.site();
    // Above the strip; in the plan the scale and the north stand between them.
    let hint = if tools::hint(desk).is_empty() { 0.0 } else { tools::HINT_HEIGHT };
    let plan = if eye.look == Look::Plan { 80.0 } else { 0.0 };
    let up = lay.foot() + hint.max(plan);
    let offset = vec2(lay.garden().left() + 10.0, -up);
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

pub(super) fn say(ctx: &Context, desk: &Desk<'_, '_>) {
    if desk.notice.text.is_empty() {
        return;
    }
    let hint = if tools::hint(desk).is_empty() { 0.0 } else { tools::HINT_HEIGHT };
    let Some(lay) = desk.lay() else { return };
    let at = vec2(lay.aside(), -lay.foot() - hint);
    on_sheet(ctx, "notice", (Align2::CENTER_BOTTOM, at), |ui| {
        ui.set_max_width(lay.paper().width() - 40.0);
        ui.label(&desk.notice.text);
    });
}

/// Shows a sheet of paper at a side of the window.
pub(super) fn on_sheet(
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
