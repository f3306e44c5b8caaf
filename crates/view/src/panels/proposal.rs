//! What a remedy changes, in numbers: earth, trucks, and findings that go or come up.

use design::{Evaluation, Finding, Severity};
use egui::{RichText, Ui};
use units::{LengthUnit, earth_text, loads_text, water_text};

use super::findings::first_sentence;
use super::words::{sign_ui, small};
use crate::theme::{paper, size, text};

/// Volumes below this are no change, cubic metres.
const SAME_M3: f64 = 0.01;

/// A volume in words.
type Say = fn(f64, LengthUnit) -> String;

/// What changes, as it is said.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Changes {
    /// Earth, water and trucks: "0.4 yd3 more cut".
    pub numbers: Vec<String>,
    /// Findings that go.
    pub gone: Vec<String>,
    /// Findings that come up.
    pub come: Vec<(Severity, String)>,
}

/// What changes from one evaluation to another.
pub(crate) fn changes(before: &Evaluation, after: &Evaluation, unit: LengthUnit) -> Changes {
    let still = |e: &Evaluation| {
        let basins = e.water.iter().filter(|body| body.kind == design::WaterKind::Basin);
        basins.map(|body| body.volume_m3).sum::<f64>()
    };
    let mut numbers = Vec::new();
    let parts: [(f64, f64, &str, Say); 4] = [
        (before.earth.cut_bank_m3, after.earth.cut_bank_m3, "cut", earth_text),
        (before.earth.fill_compacted_m3, after.earth.fill_compacted_m3, "fill", earth_text),
        (before.earth.spoil_bank_m3, after.earth.spoil_bank_m3, "spoil in the bank", earth_text),
        (still(before), still(after), "water", water_text),
    ];
    for (old, new, name, say) in parts {
        if (new - old).abs() > SAME_M3 {
            let word = if new > old { "more" } else { "less" };
            numbers.push(format!("{} {word} {name}", say((new - old).abs(), unit)));
        }
    }
    if let (Some(old), Some(new)) = (before.haul.loads, after.haul.loads)
        && old != new
    {
        numbers.push(format!("{} instead of {}", loads_text(new), loads_text(old)));
    }
    let only_in = |a: &Evaluation, b: &Evaluation| -> Vec<Finding> {
        let same = |x: &Finding, y: &Finding| {
            let apart = libm::hypot(x.at_m[0] - y.at_m[0], x.at_m[1] - y.at_m[1]);
            x.code == y.code && x.work == y.work && apart < 1.0
        };
        a.findings.iter().filter(|x| !b.findings.iter().any(|y| same(x, y))).cloned().collect()
    };
    Changes {
        numbers,
        gone: only_in(before, after).iter().map(first_sentence).collect(),
        come: only_in(after, before).iter().map(|f| (f.severity, first_sentence(f))).collect(),
    }
}

/// Shows what a remedy changes; `after` is nothing until it is worked out.
pub(crate) fn changes_ui(
    ui: &mut Ui,
    before: &Evaluation,
    after: Option<&Evaluation>,
    unit: LengthUnit,
) {
    let Some(after) = after else {
        small(ui, "Working out what that changes…");
        return;
    };
    let changes = changes(before, after, unit);
    let line = |ui: &mut Ui, words: String| {
        let words = RichText::new(words).font(text(size::SMALL)).color(paper::MARKING.ink());
        ui.add(egui::Label::new(words).wrap());
    };
    if changes.numbers.is_empty() {
        line(ui, "no earth more or less".into());
    }
    for words in changes.numbers {
        line(ui, words);
    }
    for words in changes.gone {
        small(ui, format!("gone then: {words}"));
    }
    for (severity, words) in changes.come {
        ui.horizontal_top(|ui| {
            sign_ui(ui, severity);
            let words = RichText::new(format!("comes up then: {words}")).font(text(size::SMALL));
            ui.add(egui::Label::new(words).wrap());
        });
    }
    small(ui, "the ground that changes is marked in the garden");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::rear_garden;

    #[test]
    fn a_remedy_is_told_by_what_it_changes_and_by_the_finding_that_goes() {
        let site = rear_garden();
        let before = design::evaluate(&site);
        let nothing = changes(&before, &before, LengthUnit::Metre);
        assert_eq!(nothing, Changes::default());
        let remedy = before.findings.iter().find_map(|finding| {
            let site = finding.remedy.as_ref()?.site.as_deref()?;
            Some((first_sentence(finding), site))
        });
        let (said, taken) = remedy.expect("the demo has a finding that can be remedied");
        let found = changes(&before, &design::evaluate(taken), LengthUnit::Metre);
        assert!(found.gone.contains(&said), "{said}: {found:?}");
    }
}
