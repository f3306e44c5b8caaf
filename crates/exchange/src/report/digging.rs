//! Topsoil, soils, lifts, layers and trenches in plain words, in the site's own unit.

use std::fmt::Write as _;

use design::{Evaluation, LaidVolumes};
use site::Site;
use units::{LengthUnit, area_text, earth_text, length_text};

use super::text::loads_words;
use super::{STRING, name_of};

/// Volumes below this are not spoken of: they read as nought.
const SHOWN_M3: f64 = 0.005;

/// What the stages between existing and finished ground hold; nothing where they hold nothing.
pub(super) fn text(site: &Site, evaluation: &Evaluation) -> String {
    let parts = [
        topsoil(site, evaluation),
        soils(site, evaluation),
        lifts(site, evaluation),
        laid(site, evaluation),
        trenches(site, evaluation),
    ];
    parts.concat()
}

fn topsoil(site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let topsoil = evaluation.earth.topsoil;
    let volume = |m3: f64| earth_text(m3, unit);
    if topsoil.strip_m3.max(topsoil.respread_m3) < SHOWN_M3 {
        return String::new();
    }
    let mut out = "\nTopsoil, kept apart\n".to_owned();
    let area_m2 = evaluation.between.as_ref().map_or(0.0, |between| between.stripped_m2);
    let rows = [
        (
            "stripped",
            format!("{} in the bank, off {}", volume(topsoil.strip_m3), area_text(area_m2, unit)),
        ),
        ("spread again", format!("{} as it lies", volume(topsoil.respread_m3))),
        (
            if topsoil.surplus_m3 < 0.0 { "brought in" } else { "left over" },
            format!(
                "{} in the bank; {} loose, {}",
                volume(topsoil.surplus_m3.abs()),
                volume(evaluation.haul.topsoil_loose_m3.abs()),
                loads_words(evaluation.haul.topsoil_loads)
            ),
        ),
    ];
    for (label, words) in rows {
        writeln!(out, "  {label:<14}{words}").expect(STRING);
    }
    out
}

fn soils(site: &Site, evaluation: &Evaluation) -> String {
    if evaluation.soils.len() < 2 {
        return String::new();
    }
    let unit = site.frame.unit;
    let mut out = "\nSoils, from the top down\n".to_owned();
    for soil in &evaluation.soils {
        let [cut, fill, spoil] = [soil.cut_bank_m3, soil.to_fill_bank_m3, soil.spoil_bank_m3]
            .map(|m3| earth_text(m3, unit));
        writeln!(
            out,
            "  {:<14}dug {cut}, to fill {fill}, left over {spoil} in the bank",
            soil.name
        )
        .expect(STRING);
    }
    out
}

fn lifts(site: &Site, evaluation: &Evaluation) -> String {
    let (unit, earth) = (site.frame.unit, &evaluation.earth);
    if evaluation.lifts.is_empty() {
        return String::new();
    }
    let mut out = "\nDug from existing ground down to the subgrade\n".to_owned();
    for lift in &evaluation.lifts {
        let [from, to] = [lift.from_m, lift.to_m].map(|m| length_text(m, unit));
        writeln!(out, "  {from:>9} to {to:<9} {:>12}", earth_text(lift.dug_m3, unit))
            .expect(STRING);
    }
    let volume = |m3: f64| earth_text(m3, unit);
    let paid_m3 = earth.dug_m3 + earth.over_dig_m3;
    writeln!(
        out,
        "  neat {}; behind walls, for footings and liner edges {}; paid {}",
        volume(earth.dug_m3),
        volume(earth.over_dig_m3),
        volume(paid_m3)
    )
    .expect(STRING);
    if earth.overbuild_m3 > SHOWN_M3 {
        writeln!(
            out,
            "  fill settles by {:.0} %: build it higher by that share of its height, {} where it is \
             highest, {} in all",
            100.0 * site.digging.settlement,
            length_text(earth.overbuild_m, unit),
            volume(earth.overbuild_m3)
        )
        .expect(STRING);
    }
    out
}

fn laid(site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let layers = evaluation.laid.iter().filter(|(_, laid)| laid.whole_m3() > SHOWN_M3);
    let layers = layers.map(|(work, laid)| (*work, laid_text(laid, unit)));
    let beds = design::filter_gravel(site, evaluation).into_iter();
    let beds = beds.map(|(work, gravel_m3)| {
        (work, format!("gravel to fill its bed {}", earth_text(gravel_m3, unit)))
    });
    let mut out = String::new();
    for (work, words) in layers.chain(beds) {
        if out.is_empty() {
            out.push_str("\nLaid on the subgrade\n");
        }
        writeln!(out, "  {}: {words}", name_of(site, work)).expect(STRING);
    }
    out
}

fn laid_text(laid: &LaidVolumes, unit: LengthUnit) -> String {
    let mut parts: Vec<String> = [
        ("bedding", laid.bedding_m3),
        ("stone", laid.stone_m3),
        ("gravel", laid.gravel_m3),
        ("topsoil", laid.topsoil_m3),
    ]
    .into_iter()
    .filter(|(_, m3)| *m3 > SHOWN_M3)
    .map(|(what, m3)| format!("{what} {}", earth_text(m3, unit)))
    .collect();
    if laid.liner_plan_m2 > 0.0 {
        parts.push(format!(
            "liner {} on its slopes, overlaps and anchoring apart",
            area_text(laid.liner_slope_m2, unit)
        ));
    }
    parts.join(", ")
}

fn trenches(site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let mut out = String::new();
    for outcome in &evaluation.works {
        let Some(trench) = &outcome.trench else { continue };
        if out.is_empty() {
            out.push_str("\nTrenches, dug and filled again\n");
        }
        let [dug, bedding, backfill] =
            [trench.dug_m3, trench.bedding_m3, trench.backfill_m3].map(|m3| earth_text(m3, unit));
        writeln!(
            out,
            "  {}: {} long, deepest {}; dug {dug}, bedding {bedding}, filled again {backfill}",
            name_of(site, outcome.work),
            length_text(trench.length_m, unit),
            length_text(trench.deepest_m, unit),
        )
        .expect(STRING);
        writeln!(out, "    caution: {OPEN_TRENCH}").expect(STRING);
    }
    out
}

/// K-03, K-27.
const OPEN_TRENCH: &str = "planning help only; have buried lines marked before digging, and let nobody \
                           into a trench that local rules ask to be shored or sloped";
