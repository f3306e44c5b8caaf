//! Findings: a list with shape and word, and the one that is read with its remedy.

use design::{Code, Evaluation, Finding, Measured, Unit};
use egui::{RichText, Ui};
use site::Site;
use units::{
    LengthUnit, area_text, earth_text, elevation_text, flow_text, length_text, mass_text,
    run_per_rise_text, velocity_text,
};

use super::change::change_ui;
use super::proposal::changes_ui;
use super::words::{colour, sign_ui, small};
use super::{card, limits};
use crate::command::Command;
use crate::marks;
use crate::proposal::Proposed;
use crate::theme::{bold, paper, size, text};

/// What was chosen among the findings.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Chosen {
    /// Go to this finding and open its work's card.
    Go(usize),
    /// Take the remedy of this finding.
    Take(usize),
    /// Change a limit.
    Limit(card::Answer),
}

/// Shows the list, and how it differs from the one before a hand took hold; answers with what was chosen.
pub(crate) fn findings_ui(
    ui: &mut Ui,
    (evaluation, before): (&Evaluation, Option<&Evaluation>),
    read: Option<usize>,
    proposed: Option<&Proposed>,
    site: &Site,
) -> Option<Chosen> {
    let mut chosen = None;
    if evaluation.findings.is_empty() {
        small(ui, "Nothing found to stop for or to look at.");
    }
    // What is read anew comes into sight, however far down it stands.
    let id = ui.id().with("read");
    let is_new = ui.data(|data| data.get_temp::<Option<usize>>(id)) != Some(read);
    ui.data_mut(|data| data.insert_temp(id, read));
    for (idx, finding) in evaluation.findings.iter().enumerate() {
        let is_read = read == Some(idx);
        let row_id = ui.id().with(("row", idx));
        let height = ui.data(|data| data.get_temp::<f32>(row_id)).unwrap_or(0.0);
        let is_cut = !is_read && is_cut(ui.cursor().top(), height, ui.clip_rect());
        let row = ui.horizontal_top(|ui| {
            if is_cut {
                ui.set_opacity(0.0);
            }
            sign_ui(ui, finding.severity);
            ui.vertical(|ui| {
                let words = if is_read { finding.message.clone() } else { first_sentence(finding) };
                let font = if is_read { text(size::BODY) } else { text(size::SMALL) };
                let label = egui::Label::new(RichText::new(words).font(font)).wrap();
                let label = ui.add(label.sense(egui::Sense::click()));
                if let Some(change) = change(evaluation, before, idx, site.frame.unit) {
                    change_ui(ui, &change);
                }
                label
            })
            .inner
        });
        ui.data_mut(|data| data.insert_temp(row_id, row.response.rect.height()));
        marks::note(ui.ctx(), &format!("finding {idx}"), row.inner.rect);
        if is_read && is_new {
            row.inner.scroll_to_me(Some(egui::Align::TOP));
        }
        if row.inner.on_hover_text("Go there").clicked() {
            chosen = Some(Chosen::Go(idx));
        }
        if is_read {
            chosen = read_ui(ui, (idx, finding), (evaluation, proposed), site).or(chosen);
        }
    }
    for gone in before.iter().flat_map(|before| settled(before, evaluation, site.frame.unit)) {
        change_ui(ui, &gone);
    }
    ui.add_space(8.0);
    limits::all_ui(ui, site).map(Chosen::Limit).or(chosen)
}

/// How a finding has changed since the hand took hold: what its flag said, or that it is new.
fn change(
    now: &Evaluation,
    before: Option<&Evaluation>,
    idx: usize,
    unit: LengthUnit,
) -> Option<String> {
    let words = flag_text(&now.findings[idx], unit);
    match twin(&now.findings, idx, &before?.findings) {
        None => Some("new".into()),
        Some(old) => {
            Some(flag_text(old, unit)).filter(|was| *was != words).map(|was| format!("was {was}"))
        }
    }
}

/// What was found when the hand took hold, and is found no longer.
fn settled(before: &Evaluation, now: &Evaluation, unit: LengthUnit) -> Vec<String> {
    let old = &before.findings;
    let gone = (0..old.len()).filter(|idx| twin(old, *idx, &now.findings).is_none());
    gone.map(|idx| format!("settled: {}", flag_text(&old[idx], unit))).collect()
}

/// The finding of another list that is about the same: the first, second and so on of its code and work.
fn twin<'a>(of: &[Finding], idx: usize, among: &'a [Finding]) -> Option<&'a Finding> {
    let is_same = |other: &&Finding| (other.code, other.work) == (of[idx].code, of[idx].work);
    let rank = of[..idx].iter().filter(is_same).count();
    among.iter().filter(is_same).nth(rank)
}

/// Whether the end of the list would cut a sentence off: it is left out until it is reached by sliding.
fn is_cut(top: f32, height: f32, sight: egui::Rect) -> bool {
    top + height > sight.bottom() + 1.0 && height < sight.height()
}

fn read_ui(
    ui: &mut Ui,
    (idx, finding): (usize, &Finding),
    (evaluation, proposed): (&Evaluation, Option<&Proposed>),
    site: &Site,
) -> Option<Chosen> {
    let mut chosen = None;
    let unit = site.frame.unit;
    ui.indent(("finding", idx), |ui| {
        let word = RichText::new(finding.severity.as_str()).font(bold(size::SMALL));
        ui.label(word.color(colour(finding.severity).ink()));
        small(
            ui,
            format!(
                "measured {}, limit {}",
                measured_text(finding, finding.measured.value, unit),
                measured_text(finding, finding.measured.limit, unit)
            ),
        );
        if let Some(remedy) = &finding.remedy {
            ui.add(egui::Label::new(RichText::new(&remedy.message).font(text(size::BODY))).wrap());
            if remedy.site.is_some() {
                let then = proposed.map(|proposed| &proposed.evaluation);
                changes_ui(ui, evaluation, then, unit);
                let take = RichText::new("Do that").font(bold(size::BODY));
                let take = ui.add(egui::Button::new(take.color(paper::MARKING.ink())).frame(false));
                marks::note(ui.ctx(), &format!("remedy {idx}"), take.rect);
                let key = Command::TakeRemedy.key_text();
                let tip = format!("Change the site so; it can be undone ({key})");
                if take.on_hover_text(tip).clicked() {
                    chosen = Some(Chosen::Take(idx));
                }
            }
        }
        if let Some(caution) = finding.caution {
            ui.add(egui::Label::new(RichText::new(caution).font(text(size::SMALL))).wrap());
        }
        small(ui, format!("source: {}", finding.source));
        let fields = finding.code.limits();
        chosen = limits::limits_ui(ui, fields, site).map(Chosen::Limit).or(chosen.take());
    });
    chosen
}

/// What the flag on a finding's pin says: the number that the finding is about, with its unit and what it
/// is the number of.
pub(crate) fn flag_text(finding: &Finding, unit: LengthUnit) -> String {
    let Measured { value, limit, unit: measured_in } = finding.measured;
    if !value.is_finite() {
        return "survey".into();
    }
    let measured = measured_text(finding, value, unit);
    let short = || length_text((limit - value).abs(), unit);
    let percent = || format!("{:.0} %", 100.0 * value);
    match (finding.code, measured_in) {
        (Code::WallBelowLip, _) => format!("wall {} short", short()),
        (Code::RimLow, _) => format!("edge {} low", short()),
        (Code::StreamDoesNotClose, _) => format!("levels {} out", short()),
        (Code::FlankTooSteep, _) => format!("flank {measured}"),
        (Code::ReadsAsMound, _) => format!("mound {measured}"),
        (Code::WaterFromSummit, _) => format!("backed {}", percent()),
        (Code::WallNeedsEngineer, _) => format!("wall {measured} high"),
        (Code::TooDeepHere, _) => format!("water {measured} deep"),
        (Code::DrainsToHouse, Unit::SquareMetre) => format!("{measured} to the house"),
        (Code::DrainsToHouse, _) => format!("falls {measured} off the house"),
        (Code::RunoffEntersPond, _) => format!("{measured} drains in"),
        (Code::BareSoilDrainsIn, _) => format!("{measured} of bare soil"),
        (Code::GroundwaterLiftsLiner, _) => format!("{measured} of the lift held"),
        (Code::RootZoneCut, Unit::Ratio) => format!("roots {}", percent()),
        (Code::RootZoneCut, _) => format!("{measured} from the stem"),
        (Code::BuriedLineNear, _) => format!("line {measured} off"),
        (Code::OverBoundary, _) => format!("{measured} from the line"),
        (Code::WalkOutOfRange, Unit::RunPerRise) => format!("path {measured}"),
        (Code::WalkOutOfRange, Unit::Ratio) => format!("cross fall {}", percent()),
        (Code::WalkOutOfRange, Unit::Count) => format!("{measured} steps in a row"),
        (Code::WalkOutOfRange, _) => format!("step {measured}"),
        (Code::LawnTooSteep, _) => format!("lawn {measured}"),
        (Code::FillUnderfoot, _) => format!("settles {measured}"),
        (Code::ShelfOutOfRange, _) => format!("shelf {measured}"),
        (Code::LinerSubgrade, _) => format!("liner on {measured}"),
        (Code::BankUnsafeToDig, _) => format!("dug bank {measured} high"),
        (Code::WallTooLight, _) => format!("wall's safety {measured}"),
        (Code::OrderTrap, Unit::Ratio) => format!("{} in fill", percent()),
        (Code::OrderTrap, Unit::Kilogram) => format!("stone {measured}"),
        (Code::OrderTrap, Unit::CubicMetre) => format!("{measured} to carry"),
        (Code::OrderTrap, Unit::Count) => "build order".into(),
        (Code::OrderTrap, _) => format!("build order, {measured}"),
        (Code::CircuitIncomplete, _) => "pump incomplete".into(),
        (Code::PumpFallsShort, Unit::Metre) => format!("pump lifts {measured}"),
        (Code::PumpFallsShort, _) => format!("pump moves {measured}"),
        (Code::PipeRunsFast, _) => format!("pipe {measured}"),
        (Code::CrestRunsThin | Code::CrestRunsThick, _) => format!("sheet {measured}"),
        (Code::SplitStarves, _) => format!("{} of its share", percent()),
        (Code::FallOvershoots, _) => format!("liner reaches {measured}"),
        (Code::StartStarvesPump, Unit::Elevation) => format!("start, down to {measured}"),
        (Code::StartStarvesPump, _) => format!("bay draws {measured}"),
        (Code::StopFloodsRim, _) => format!("stop, up to {measured}"),
        (Code::OverflowTooSmall, _) => format!("overflow {measured} deep"),
        (Code::OverflowRunsToHouse, _) => format!("overflow {measured} from the house"),
        (Code::DeadCorner, _) => format!("{} stands", percent()),
        (Code::SurveyThin, _) => format!("shots {measured} apart"),
        (Code::SurveySuspect, _) => format!("survey, {measured}"),
        (Code::BeyondSurvey, _) => format!("{measured} beyond"),
        (Code::WorkHasNoShape, _) => "no shape".into(),
    }
}

/// A value of a finding in its unit; levels are read in decimals.
fn measured_text(finding: &Finding, value: f64, unit: LengthUnit) -> String {
    match finding.measured.unit {
        Unit::Metre if is_level(finding.code) => elevation_text(value, unit),
        Unit::Metre => length_text(value, unit),
        Unit::Elevation => elevation_text(value, unit),
        Unit::SquareMetre => area_text(value, unit),
        Unit::CubicMetre => earth_text(value, unit),
        Unit::RunPerRise => run_per_rise_text(value),
        Unit::Ratio => format!("{value:.2}"),
        Unit::Count => format!("{value:.0}"),
        Unit::MetrePerSecond => velocity_text(value, unit),
        Unit::CubicMetrePerSecond => flow_text(value, unit),
        Unit::Kilogram => mass_text(value, unit),
    }
}

/// Whether a finding compares levels.
fn is_level(code: Code) -> bool {
    matches!(code, Code::WallBelowLip | Code::RimLow)
}

pub(super) fn first_sentence(finding: &Finding) -> String {
    match finding.message.split_once(". ") {
        Some((first, _)) => format!("{first}."),
        None => finding.message.clone(),
    }
}

#[cfg(test)]
mod tests {
    use egui::{Rect, pos2};

    use super::*;

    #[test]
    fn a_sentence_is_left_out_only_where_the_end_of_the_list_would_cut_it() {
        let sight = Rect::from_min_max(pos2(0.0, 100.0), pos2(200.0, 400.0));
        assert!(!is_cut(340.0, 54.0, sight));
        assert!(is_cut(380.0, 54.0, sight));
        // One that never fits is shown as far as it goes.
        assert!(!is_cut(380.0, 600.0, sight));
    }

    #[test]
    fn what_a_drag_does_to_findings_stands_beside_them() {
        let site = crate::demo::rear_garden();
        let unit = site.frame.unit;
        let before = design::evaluate(&site);
        assert!(
            (0..before.findings.len()).all(|i| change(&before, Some(&before), i, unit).is_none())
        );
        assert!(settled(&before, &before, unit).is_empty());
        let mut now = before.clone();
        let gone = now.findings.remove(0);
        now.findings[0].measured.value *= 1.5;
        assert_eq!(settled(&before, &now, unit), [format!("settled: {}", flag_text(&gone, unit))]);
        let was = flag_text(&before.findings[1], unit);
        assert_eq!(change(&now, Some(&before), 0, unit), Some(format!("was {was}")));
        assert_eq!(change(&before, Some(&now), 0, unit), Some("new".into()));
        assert_eq!(change(&now, None, 0, unit), None);
    }

    #[test]
    fn every_flag_of_the_demo_says_what_its_number_is_of() {
        let site = crate::demo::rear_garden();
        let evaluation = design::evaluate(&site);
        assert!(evaluation.findings.len() > 5);
        for finding in &evaluation.findings {
            let words = flag_text(finding, site.frame.unit);
            let number = measured_text(finding, finding.measured.value, site.frame.unit);
            assert_ne!(words, number, "{:?}", finding.code);
            assert!(words.chars().any(char::is_alphabetic), "{words}");
        }
    }
}
