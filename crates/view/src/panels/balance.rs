//! The balance line: one sentence along the top, read like speech.

use design::{Evaluation, Severity, WaterKind};
use egui::{Color32, RichText, Ui};
use site::Site;
use units::{LengthUnit, earth_text, water_text};

use crate::command::Command;
use crate::marks;
use crate::theme::{bold, paper, size, text};

use super::words::word_button;

/// What the line reads.
pub(crate) struct Balance<'a> {
    pub site: &'a Site,
    /// The newest evaluation, if any has come back.
    pub now: Option<&'a Evaluation>,
    /// The evaluation as it was when the hand took hold of something.
    pub before: Option<&'a Evaluation>,
    /// Whether `now` belongs to the site as it stands.
    pub is_current: IsCurrent,
    pub is_saved: Saved,
    pub offers: [Command; 3],
    pub can: [Can; 3],
}

/// Whether the numbers belong to the site as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum IsCurrent {
    Yes,
    NotYet,
}

/// Whether the folder holds the site as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Saved {
    Yes,
    NotYet,
}

/// Whether a command can be given now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Can {
    Now,
    NotNow,
}

/// The place of the water among the sentence's parts.
const WATER: usize = 3;

/// The place of the findings.
const FINDINGS: usize = 4;

/// The sheet that a part of the sentence opens.
fn opens(idx: usize) -> Command {
    match idx {
        0..WATER => Command::Earth,
        WATER => Command::Water,
        _ => Command::NextFinding,
    }
}

/// One part of the sentence, with its change while something is dragged.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Part {
    pub text: String,
    pub change: Option<String>,
}

/// The sentence's parts.
pub(crate) fn parts(site: &Site, now: &Evaluation, before: Option<&Evaluation>) -> Vec<Part> {
    let unit = site.frame.unit;
    let line = exchange::report::balance_line(site, now);
    let old = before.map(|before| exchange::report::balance_line(site, before));
    let old_parts: Vec<&str> = old.as_deref().map(split).unwrap_or_default();
    split(&line)
        .iter()
        .enumerate()
        .map(|(idx, part)| {
            let moved = old_parts.get(idx).is_some_and(|old| old != part);
            let change = before.filter(|_| moved).map(|before| change(idx, now, before, unit));
            Part { text: (*part).to_owned(), change }
        })
        .collect()
}

/// Shows the line; answers with the command that was chosen.
pub(crate) fn balance_ui(ui: &mut Ui, balance: &Balance<'_>) -> Option<Command> {
    let mut chosen = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            for (command, can) in balance.offers.iter().zip(balance.can).rev() {
                let response = word_button(ui, *command, can == Can::Now);
                if response.clicked() {
                    chosen = Some(*command);
                }
            }
            let state = match balance.is_saved {
                Saved::Yes => "saved",
                Saved::NotYet => "not saved yet",
            };
            ui.label(RichText::new(state).font(text(size::SMALL)).color(paper::SECOND.ink()));
            // What a narrow window has no room for is reached by sliding.
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let slide = egui::ScrollArea::horizontal().id_salt("sentence");
                let sentence = slide.show(ui, |ui| {
                    ui.horizontal(|ui| chosen = sentence_ui(ui, balance).or(chosen)).response
                });
                marks::note(ui.ctx(), "balance", sentence.inner.rect);
            });
        });
    });
    chosen
}

/// Shows the sentence; each part opens its sheet.
fn sentence_ui(ui: &mut Ui, balance: &Balance<'_>) -> Option<Command> {
    let mut chosen = None;
    let Some(now) = balance.now else {
        ui.label(RichText::new("Reading the ground…").color(paper::SECOND.ink()));
        return None;
    };
    let ink = match balance.is_current {
        IsCurrent::Yes => paper::INK.ink(),
        IsCurrent::NotYet => paper::SECOND.ink(),
    };
    let parts = parts(balance.site, now, balance.before);
    let last = parts.len().saturating_sub(1);
    for (idx, part) in parts.iter().enumerate() {
        let changed = part.change.is_some();
        let colour = if changed { paper::MARKING.ink() } else { colour_of(part, ink, balance) };
        let words = RichText::new(&part.text).font(bold(size::BODY)).color(colour);
        let command = opens(idx);
        let tip = format!("{} ({})", command.tooltip(), command.key_text());
        let label = ui.add(egui::Label::new(words).sense(egui::Sense::click()));
        let mark = if idx == WATER { "balance water".into() } else { format!("balance {idx}") };
        marks::note(ui.ctx(), &mark, label.rect);
        if label.on_hover_text(tip).clicked() {
            chosen = Some(command);
        }
        if let Some(change) = part.change.as_ref().filter(|change| !change.is_empty()) {
            let change = RichText::new(change).font(text(size::SMALL));
            ui.label(change.color(paper::MARKING.ink()));
        }
        if idx < last {
            ui.label(RichText::new("·").color(paper::SECOND.ink()));
        }
    }
    if balance.is_current == IsCurrent::NotYet {
        ui.label(RichText::new("…").font(bold(size::BODY)).color(paper::SECOND.ink()));
    }
    chosen
}

fn colour_of(part: &Part, ink: Color32, balance: &Balance<'_>) -> Color32 {
    if balance.is_current == IsCurrent::NotYet {
        return ink;
    }
    if part.text.contains("stop for") && !part.text.starts_with("nothing") {
        paper::STOP.ink()
    } else if part.text.contains("to look at") {
        paper::LOOK_AT.ink()
    } else {
        ink
    }
}

fn split(line: &str) -> Vec<&str> {
    line.split(" · ").collect()
}

fn change(idx: usize, now: &Evaluation, before: &Evaluation, unit: LengthUnit) -> String {
    let still = |e: &Evaluation| {
        let basins = e.water.iter().filter(|body| body.kind == WaterKind::Basin);
        basins.map(|body| body.volume_m3).sum::<f64>()
    };
    let (new, old, say): (f64, f64, fn(f64, LengthUnit) -> String) = match idx {
        0 => (now.earth.cut_bank_m3, before.earth.cut_bank_m3, earth_text),
        1 => (now.earth.fill_compacted_m3, before.earth.fill_compacted_m3, earth_text),
        2 => (now.haul.spoil_loose_m3, before.haul.spoil_loose_m3, earth_text),
        WATER => (still(now), still(before), water_text),
        FINDINGS => return findings_change(now, before),
        _ => return String::new(),
    };
    let word = if new > old { "more" } else { "less" };
    format!("{} {word}", say((new - old).abs(), unit))
}
/// "1 more to stop for, 2 fewer to look at"; nothing where as many of each stand.
fn findings_change(now: &Evaluation, before: &Evaluation) -> String {
    let told = [(Severity::Stop, "to stop for"), (Severity::LookAt, "to look at")];
    let changes = told.into_iter().filter_map(|(severity, words)| {
        let count = |e: &Evaluation| e.findings.iter().filter(|f| f.severity == severity).count();
        let (new, old) = (count(now), count(before));
        let word = if new > old { "more" } else { "fewer" };
        (new != old).then(|| format!("{} {word} {words}", new.abs_diff(old)))
    });
    changes.collect::<Vec<_>>().join(", ")
}
