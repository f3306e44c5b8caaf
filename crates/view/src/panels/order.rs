//! The works as they are built, one after another: pulled up and down, and what another order would
//! do to the earth, told before it is accepted.

use design::{Evaluation, Finding, Severity};
use egui::{Rect, RichText, Sense, Stroke, Ui, pos2, vec2};
use site::{Site, WorkId};
use units::{LengthUnit, earth_text};

use super::words::{paint_sign, plain_button, small, word_button};
use super::works::draw_kind;
use crate::command::Command;
use crate::hand::Deed;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// Height of a row, in points.
const ROW: f32 = 34.0;
/// Letters of a note that a row has room for.
const NOTE: usize = 26;
/// Findings told one by one.
const SHOWN: usize = 4;

/// Another order that is tried out.
pub(crate) struct Trial<'a> {
    /// The site in that order.
    pub site: &'a Site,
    /// What it would make, once that is worked out.
    pub outcome: Option<&'a Evaluation>,
}

/// What was done with the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Chosen {
    /// Open this work's card.
    Open(WorkId),
    /// Try this work as number `to`, counted from 0.
    Try(WorkId, usize),
    /// Build in the order that is tried.
    Accept,
    /// Leave the order as it was.
    Leave,
    /// A command.
    Command(Command),
}

/// Shows the list in the order that is tried, else in that of the site.
pub(crate) fn order_ui(
    ui: &mut Ui,
    site: &Site,
    now: Option<&Evaluation>,
    trial: Option<Trial<'_>>,
    open: Option<WorkId>,
) -> Option<Chosen> {
    let mut chosen = None;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Build order").font(bold(size::BODY)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close order", close.rect);
            if close.on_hover_text("Back to the works (B)").clicked() {
                chosen = Some(Chosen::Command(Command::Order));
            }
        });
    });
    small(ui, "First at the top. Pull a number up or down.");
    let shown = trial.as_ref().map_or(site, |trial| trial.site);
    let gap = std::mem::take(&mut ui.spacing_mut().item_spacing.y);
    let top = ui.cursor().top();
    for (at, work) in shown.works.iter().enumerate() {
        let was = site.works.iter().position(|other| other.id == work.id);
        let moved = was != Some(at);
        let row = Row { at, top, n: shown.works.len(), moved, is_open: open == Some(work.id) };
        chosen = row_ui(ui, work, &row).or(chosen);
    }
    ui.spacing_mut().item_spacing.y = gap;
    if open.is_some() {
        ui.horizontal(|ui| {
            for command in [Command::Earlier, Command::Later] {
                if word_button(ui, command, true).clicked() {
                    chosen = Some(Chosen::Command(command));
                }
            }
        });
        ui.horizontal(|ui| {
            for command in [Command::Hide, Command::Deed(Deed::Copy)] {
                if word_button(ui, command, true).clicked() {
                    chosen = Some(Chosen::Command(command));
                }
            }
        });
    }
    if let Some(trial) = trial {
        chosen = trial_ui(ui, site, now, &trial).or(chosen);
    }
    chosen
}

/// Where a row stands.
struct Row {
    at: usize,
    top: f32,
    n: usize,
    moved: bool,
    is_open: bool,
}

fn row_ui(ui: &mut Ui, work: &site::Work, row: &Row) -> Option<Chosen> {
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click_and_drag());
    marks::note(ui.ctx(), &format!("order {}", work.id.0), rect);
    let painter = ui.painter();
    if row.is_open || response.hovered() || response.has_focus() {
        painter.rect_filled(rect.expand2(vec2(6.0, 0.0)), 2.0, paper::WASH.ink());
    }
    let ink = match (row.moved, work.visible) {
        (true, _) => paper::MARKING.ink(),
        (false, true) => paper::INK.ink(),
        (false, false) => paper::SECOND.ink(),
    };
    let font = if row.is_open { bold(size::BODY) } else { text(size::BODY) };
    let middle = rect.center().y;
    let number = pos2(rect.left() + 18.0, middle);
    let word = (row.at + 1).to_string();
    painter.text(number, egui::Align2::RIGHT_CENTER, word, font.clone(), ink);
    let icon = Rect::from_min_size(pos2(rect.left() + 26.0, middle - 10.0), vec2(28.0, 20.0));
    draw_kind(painter, icon, &work.kind, Stroke::new(1.3, ink));
    let name = if work.visible { work.name.clone() } else { format!("{}, left out", work.name) };
    let told = if work.note.is_empty() { middle } else { middle - 7.0 };
    painter.text(pos2(rect.left() + 62.0, told), egui::Align2::LEFT_CENTER, name, font, ink);
    if !work.note.is_empty() {
        let note = shortened(&work.note);
        let at = pos2(rect.left() + 62.0, middle + 8.0);
        let second = paper::SECOND.ink();
        painter.text(at, egui::Align2::LEFT_CENTER, note, text(size::SMALL - 2.0), second);
    }
    let response = match work.note.as_str() {
        "" => response,
        note => response.on_hover_text(note),
    };
    if let Some(pointer) = response.interact_pointer_pos()
        && (response.dragged() || response.drag_stopped())
    {
        let to = (((pointer.y - row.top) / ROW).floor().max(0.0) as usize).min(row.n - 1);
        let y = row.top + ROW * (to + usize::from(to > row.at)) as f32;
        ui.painter().hline(rect.x_range(), y, Stroke::new(2.0, paper::MARKING.ink()));
        if response.drag_stopped() {
            return (to != row.at).then_some(Chosen::Try(work.id, to));
        }
    }
    response.clicked().then_some(Chosen::Open(work.id))
}

/// As much of a note as a row has room for.
fn shortened(note: &str) -> String {
    match note.char_indices().nth(NOTE) {
        Some((end, _)) => format!("{}…", note[..end].trim_end()),
        None => note.to_owned(),
    }
}

/// What the order that is tried would change, and whether to build so.
fn trial_ui(
    ui: &mut Ui,
    site: &Site,
    now: Option<&Evaluation>,
    trial: &Trial<'_>,
) -> Option<Chosen> {
    ui.add_space(8.0);
    ui.separator();
    ui.label(RichText::new("Built in this order").font(bold(size::BODY)));
    match (now, trial.outcome) {
        (Some(now), Some(then)) => change_ui(ui, now, then, site.frame.unit),
        _ => drop(small(ui, "Working out what that changes")),
    }
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        if plain_button(ui, "Build so").clicked() {
            chosen = Some(Chosen::Accept);
        }
        if plain_button(ui, "Leave as it was").clicked() {
            chosen = Some(Chosen::Leave);
        }
    });
    chosen
}

fn change_ui(ui: &mut Ui, now: &Evaluation, then: &Evaluation, unit: LengthUnit) {
    let rows = numbers(now, then, unit);
    if rows.is_empty() {
        small(ui, "No earth moves otherwise.");
    }
    egui::Grid::new("order change").num_columns(3).show(ui, |ui| {
        for [what, before, after] in rows {
            small(ui, what);
            ui.label(RichText::new(before).font(text(size::SMALL)));
            let after = RichText::new(format!("to {after}")).font(bold(size::SMALL));
            ui.label(after.color(paper::MARKING.ink()));
            ui.end_row();
        }
    });
    let [raised, gone] = findings(now, then);
    for (word, list) in [("comes up", &raised), ("goes", &gone)] {
        for finding in list.iter().take(SHOWN) {
            finding_ui(ui, word, finding);
        }
        if list.len() > SHOWN {
            small(ui, format!("and {} more {word}", list.len() - SHOWN));
        }
    }
    if raised.is_empty() && gone.is_empty() {
        small(ui, "The findings stay as they are.");
    }
}

fn finding_ui(ui: &mut Ui, word: &str, finding: &Finding) {
    ui.horizontal_wrapped(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(14.0, 16.0), Sense::hover());
        paint_sign(ui.painter(), rect.center(), finding.severity);
        let severity = match finding.severity {
            Severity::Stop => "stop",
            Severity::LookAt => "look at",
        };
        small(ui, format!("{word}, {severity}"));
        ui.label(RichText::new(&finding.message).font(text(size::SMALL)));
    });
}

/// The numbers that differ, before and after.
fn numbers(now: &Evaluation, then: &Evaluation, unit: LengthUnit) -> Vec<[String; 3]> {
    let volume = |what: &str, before: f64, after: f64| {
        [what.to_owned(), earth_text(before, unit), earth_text(after, unit)]
    };
    let (a, b) = (&now.earth, &then.earth);
    let mut rows = vec![
        volume("cut", a.cut_bank_m3, b.cut_bank_m3),
        volume("fill", a.fill_compacted_m3, b.fill_compacted_m3),
        volume("dug again", a.recut_m3, b.recut_m3),
        volume("spoil", a.spoil_bank_m3, b.spoil_bank_m3),
    ];
    let loads = |e: &Evaluation| e.haul.loads.map_or_else(|| "not known".into(), |n| n.to_string());
    rows.push(["loads".to_owned(), loads(now), loads(then)]);
    rows.retain(|[_, before, after]| before != after);
    rows
}

/// Findings that come up and that go, told apart by their code and their work.
fn findings<'a>(now: &'a Evaluation, then: &'a Evaluation) -> [Vec<&'a Finding>; 2] {
    let missing = |from: &'a Evaluation, of: &'a Evaluation| {
        let mut left: Vec<_> = from.findings.iter().map(|f| (f.code, f.work)).collect();
        let mut is_new = move |finding: &&Finding| {
            let twin = left.iter().position(|of| *of == (finding.code, finding.work));
            twin.map(|at| left.swap_remove(at)).is_none()
        };
        of.findings.iter().filter(|finding| is_new(finding)).collect()
    };
    [missing(now, then), missing(then, now)]
}

#[cfg(test)]
mod tests {
    use design::evaluate;
    use site::{Edit, apply};

    use super::super::bench::{bench, click};
    use super::*;

    #[test]
    fn a_row_pulled_down_is_tried_there_and_a_click_opens_it() {
        let site = crate::demo::rear_garden();
        let first = site.works[0].id;
        let mut harness = bench(vec2(228.0, 700.0), None, |ui, chosen: &mut Option<Chosen>| {
            *chosen = order_ui(ui, &site, None, None, None).or(chosen.take());
        });
        click(&mut harness, &format!("order {}", first.0));
        assert_eq!(harness.state().state, Some(Chosen::Open(first)));
        let marks = &harness.state().marks;
        let rect = |at: usize| marks[&format!("order {}", site.works[at].id.0)].center();
        let (from, to) = (rect(0), rect(2) + vec2(0.0, 4.0));
        let button = |pos, pressed| egui::Event::PointerButton {
            pos,
            pressed,
            button: egui::PointerButton::Primary,
            modifiers: egui::Modifiers::NONE,
        };
        for event in [
            egui::Event::PointerMoved(from),
            button(from, true),
            egui::Event::PointerMoved(from + vec2(0.0, 20.0)),
            egui::Event::PointerMoved(to),
            button(to, false),
        ] {
            harness.event(event);
            harness.run_steps(1);
        }
        harness.run_steps(1);
        assert_eq!(harness.state().state, Some(Chosen::Try(first, 2)));
    }

    #[test]
    fn what_another_order_changes_is_told_and_can_be_left() {
        let site = crate::demo::rear_garden();
        let last = site.works.len() - 1;
        let tried = apply(&site, &Edit::MoveWork { id: site.works[last].id, to: 0 }).unwrap();
        let (now, then) = (evaluate(&site), evaluate(&tried));
        let mut harness = bench(vec2(228.0, 1400.0), None, |ui, chosen: &mut Option<Chosen>| {
            let trial = Trial { site: &tried, outcome: Some(&then) };
            *chosen = order_ui(ui, &site, Some(&now), Some(trial), None).or(chosen.take());
        });
        click(&mut harness, "button Leave as it was");
        assert_eq!(harness.state().state, Some(Chosen::Leave));
        click(&mut harness, "button Build so");
        assert_eq!(harness.state().state, Some(Chosen::Accept));
    }

    #[test]
    fn a_long_note_is_shortened_between_letters() {
        assert_eq!(shortened("Dig by hand"), "Dig by hand");
        assert_eq!(shortened(&"ü".repeat(40)), format!("{}…", "ü".repeat(NOTE)));
    }

    #[test]
    fn only_what_differs_is_told() {
        let site = crate::demo::rear_garden();
        let now = evaluate(&site);
        assert!(numbers(&now, &now, site.frame.unit).is_empty());
        assert_eq!(findings(&now, &now).map(|list| list.len()), [0, 0]);
        // A hill that is raised after the pond is dug fills where the pond was: earth is dug anew.
        let mut worse = now.clone();
        worse.earth.recut_m3 += 10.0;
        let gone = worse.findings.remove(0);
        let rows = numbers(&now, &worse, site.frame.unit);
        assert_eq!(rows.iter().map(|row| row[0].as_str()).collect::<Vec<_>>(), ["dug again"]);
        let [raised, left] = findings(&now, &worse);
        assert!(raised.is_empty());
        assert_eq!(left.iter().map(|f| f.code).collect::<Vec<_>>(), [gone.code]);
    }
}
