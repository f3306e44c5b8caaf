//! The report in plain words, in the site's own unit.

use std::fmt::Write as _;

use design::{Evaluation, Finding, Measured, Severity, Unit, WaterBody, WaterKind};
use site::{Site, WorkId};
use units::{
    LengthUnit, accuracy_text, area_text, earth_text, elevation_text, flow_text, length_text,
    loads_text, run_per_rise_text, velocity_text, water_text,
};

use super::{
    STRING, digging, handling, kept, levels_text, limits, n_findings, name_of, pictures, running,
    still_water_m3,
};
use crate::moved::Moved;

/// Tonnes in one US ton of 2,000 lb, exactly.
const US_TON_T: f64 = 0.907_184_74;

/// Volumes below this are not spoken of: they read as nought.
const SHOWN_M3: f64 = 0.04;

/// The whole site in one sentence.
pub fn balance_line(site: &Site, evaluation: &Evaluation) -> String {
    if evaluation.finished.is_none() {
        return "No ground yet: the survey makes no surface".to_owned();
    }
    let unit = site.frame.unit;
    let (earth, haul) = (&evaluation.earth, &evaluation.haul);
    let bare = |m3: f64| earth_text(m3, unit).split(' ').next().unwrap_or_default().to_owned();
    let (left_over, loose) = match earth.spoil_bank_m3 < 0.0 {
        true => ("import", bare(haul.spoil_loose_m3.abs())),
        false => ("spoil", bare(haul.spoil_loose_m3)),
    };
    let mut parts = vec![
        format!("Cut {}", earth_text(earth.cut_bank_m3, unit)),
        format!("fill {}", bare(earth.fill_compacted_m3)),
        format!(
            "{left_over} {loose} loose, {}{}",
            loads_words(haul.loads),
            governed(haul.governed_by)
        ),
    ];
    let water_m3 = still_water_m3(evaluation);
    if water_m3 > 0.0 {
        parts.push(format!("water {}", water_text(water_m3, unit)));
    }
    parts.push(counts(evaluation));
    parts.join(" · ")
}

/// The report as a terminal shows it.
pub fn text(site: &Site, evaluation: &Evaluation) -> String {
    let mut out = format!("{}\n\n{}\n", site.title, balance_line(site, evaluation));
    if let Some(reason) = &evaluation.survey.refused {
        writeln!(out, "\nThe survey makes no surface: {reason}").expect(STRING);
    }
    out.push_str(&levels_text(site, evaluation));
    if evaluation.finished.is_some() {
        out.push_str(&earth(site, evaluation));
        out.push_str(&digging::text(site, evaluation));
        out.push_str(&handling::text(site, evaluation));
        out.push_str(&works(site, evaluation));
        out.push_str(&water(site, evaluation));
        out.push_str(&running::text(site, evaluation));
        out.push_str(&kept::text(site, evaluation));
    }
    out.push_str(&pictures::text(site));
    out.push_str(&findings(site, evaluation));
    out.push_str(&limits::text(site));
    out
}

/// Loads, where they are known.
pub(super) fn loads_words(loads: Option<u32>) -> String {
    loads.map_or_else(|| "loads not known".to_owned(), loads_text)
}

fn governed(by: &str) -> String {
    if by == "none" { String::new() } else { format!(" ({by})") }
}

fn counts(evaluation: &Evaluation) -> String {
    let n_stop = n_findings(evaluation, Severity::Stop);
    let n_look = n_findings(evaluation, Severity::LookAt);
    match (n_stop, n_look) {
        (0, 0) => "nothing to stop for".to_owned(),
        (0, n) => format!("{n} to look at"),
        (n, 0) => format!("{n} to stop for"),
        (n, m) => format!("{n} to stop for, {m} to look at"),
    }
}

fn earth(site: &Site, evaluation: &Evaluation) -> String {
    let mut out = format!("\n{EARTH}\n");
    for (label, words) in earth_rows(site, evaluation) {
        writeln!(out, "  {label:<14}{words}").expect(STRING);
    }
    out
}

/// The two grounds between which [`earth_rows`] are reckoned.
pub const EARTH: &str = "Earth, from stripped ground to subgrade";

/// What is dug, placed, left over and hauled, each with its name, in the site's unit.
pub fn earth_rows(site: &Site, evaluation: &Evaluation) -> Vec<(&'static str, String)> {
    let unit = site.frame.unit;
    let (earth, haul) = (&evaluation.earth, &evaluation.haul);
    let volume = |m3: f64| earth_text(m3, unit);
    let imports = earth.spoil_bank_m3 < 0.0;
    let dug = Moved {
        volume_m3: earth.cut_bank_m3,
        area_m2: earth.cut_area_m2,
        most_m: earth.deepest_cut_m,
    };
    let placed = Moved {
        volume_m3: earth.fill_compacted_m3,
        area_m2: earth.fill_area_m2,
        most_m: earth.highest_fill_m,
    };
    let mut rows = vec![
        ("dug", dug.text(" in the bank", "deepest", unit)),
        ("placed", placed.text(" compacted", "highest", unit)),
    ];
    if earth.recut_m3 > SHOWN_M3 {
        rows.push(("dug again", format!("{} of what was placed", volume(earth.recut_m3))));
    }
    rows.push((
        if imports { "brought in" } else { "left over" },
        format!(
            "{} in the bank; {} loose, plus or minus {}; {}",
            volume(earth.spoil_bank_m3.abs()),
            volume(haul.spoil_loose_m3.abs()),
            volume(haul.spoil_loose_plus_minus_m3),
            mass_text(haul.spoil_mass_t.abs(), unit)
        ),
    ));
    rows.push(("trucks", format!("{}{}", loads_words(haul.loads), governed(haul.governed_by))));
    rows.push((
        "plus or minus",
        format!(
            "{} from the survey's accuracy of {}",
            volume(earth.plus_minus_m3),
            accuracy_text(site.survey.accuracy_m, unit)
        ),
    ));
    rows
}

fn works(site: &Site, evaluation: &Evaluation) -> String {
    if evaluation.works.is_empty() {
        return "\nNo works yet\n".to_owned();
    }
    let unit = site.frame.unit;
    let names: Vec<String> =
        evaluation.works.iter().map(|outcome| name_of(site, outcome.work)).collect();
    let width = names.iter().map(|name| name.chars().count()).max().unwrap_or_default();
    let mut out = "\nWorks, in building order\n".to_owned();
    for (name, outcome) in names.iter().zip(&evaluation.works) {
        let [cut, fill] = [outcome.cut_m3, outcome.fill_m3].map(|m3| earth_text(m3, unit));
        let again = if outcome.recut_m3 > SHOWN_M3 {
            format!("   of the cut {} was placed before", earth_text(outcome.recut_m3, unit))
        } else {
            String::new()
        };
        writeln!(out, "  {name:<width$}   cut {cut:>11}   fill {fill:>11}{again}").expect(STRING);
    }
    out
}

fn water(site: &Site, evaluation: &Evaluation) -> String {
    if evaluation.water.is_empty() {
        return String::new();
    }
    let unit = site.frame.unit;
    let mut out = "\nWater\n".to_owned();
    for body in &evaluation.water {
        let name = name_of(site, body.work);
        let figures = format!(
            "level {}, {}, {}",
            elevation_text(body.level_m, unit),
            area_text(body.area_m2, unit),
            water_text(body.volume_m3, unit)
        );
        let line = match body.kind {
            WaterKind::Basin => format!("{name}, at rest: {figures}"),
            WaterKind::Stream => {
                let stays = stays(evaluation, body.work, unit);
                format!("{name}, while it runs: {figures}; when the pump stops {stays}")
            }
            WaterKind::Pool { along_m } => {
                format!(
                    "  behind the crest {} from its head: {figures}",
                    length_text(along_m, unit)
                )
            }
        };
        writeln!(out, "  {line}").expect(STRING);
    }
    out
}

/// What of a stream's water stays when its pump stops.
fn stays(evaluation: &Evaluation, stream: WorkId, unit: LengthUnit) -> String {
    let is_pool =
        |body: &&WaterBody| body.work == stream && matches!(body.kind, WaterKind::Pool { .. });
    let pools: Vec<f64> =
        evaluation.water.iter().filter(is_pool).map(|body| body.volume_m3).collect();
    if pools.is_empty() {
        "none of it stays".to_owned()
    } else {
        format!("{} of it stay", water_text(pools.iter().sum(), unit))
    }
}

fn findings(site: &Site, evaluation: &Evaluation) -> String {
    if evaluation.findings.is_empty() {
        return "\nNothing was found to stop for or to look at\n".to_owned();
    }
    let mut out = "\nFindings\n".to_owned();
    for finding in &evaluation.findings {
        out.push_str(&one_finding(site, finding));
    }
    out
}

fn one_finding(site: &Site, finding: &Finding) -> String {
    let unit = site.frame.unit;
    let of_work = finding.work.map(|id| format!(" {}:", name_of(site, id))).unwrap_or_default();
    let mark = match finding.severity {
        Severity::Stop => "■ stop   ",
        Severity::LookAt => "◐ look at",
    };
    let [x, y, z] = finding.at_m;
    let [east, north] = site.frame.origin_m;
    let mut out = format!("  {mark}{of_work} {}\n", finding.message);
    let indent = "             ";
    let Measured { value, limit, unit: of } = finding.measured;
    writeln!(
        out,
        "{indent}measured {}, limit {} ({}{}); {}",
        measured_text(value, of, unit),
        measured_text(limit, of, unit),
        finding.source,
        if limits::is_changed(site, finding) { "; changed on this site" } else { "" },
        finding.code.as_str()
    )
    .expect(STRING);
    writeln!(
        out,
        "{indent}at {} east, {} north, level {}",
        elevation_text(x + east, unit),
        elevation_text(y + north, unit),
        elevation_text(z, unit)
    )
    .expect(STRING);
    if let Some(remedy) = &finding.remedy {
        writeln!(out, "{indent}to do: {}", remedy.message).expect(STRING);
    }
    if let Some(caution) = finding.caution {
        writeln!(out, "{indent}caution: {caution}").expect(STRING);
    }
    out
}

fn measured_text(value: f64, of: Unit, unit: LengthUnit) -> String {
    match of {
        Unit::Metre => length_text(value, unit),
        Unit::Elevation => elevation_text(value, unit),
        Unit::SquareMetre => area_text(value, unit),
        Unit::CubicMetre => earth_text(value, unit),
        Unit::RunPerRise => run_per_rise_text(value),
        Unit::Ratio => format!("{value:.2}"),
        Unit::Count => format!("{value:.0}"),
        Unit::MetrePerSecond => velocity_text(value, unit),
        Unit::CubicMetrePerSecond => flow_text(value, unit),
        Unit::Kilogram => units::mass_text(value, unit),
    }
}

fn mass_text(mass_t: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{mass_t:.1} t"),
        _ => format!("{:.1} US tons", mass_t / US_TON_T),
    }
}
