//! The report as tables with commas, in the site's own unit.

use design::{Evaluation, Unit};
use site::Site;
use units::LengthUnit;

use super::name_of;
use crate::csv::row;

/// What each work digs and places, in building order, and the whole.
pub fn works_table(site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let sign = match unit {
        LengthUnit::Metre => "m3",
        _ => "yd3",
    };
    let mut table = row(&["work", &format!("cut bank {sign}"), &format!("fill compacted {sign}")]);
    let mut add = |name: &str, cut_m3: f64, fill_m3: f64| {
        let [cut, fill] = [cut_m3, fill_m3].map(|m3| format!("{:.3}", earth_number(m3, unit)));
        table.push_str(&row(&[name, &cut, &fill]));
    };
    for outcome in &evaluation.works {
        add(&name_of(site, outcome.work), outcome.cut_m3, outcome.fill_m3);
    }
    if evaluation.finished.is_some() {
        let earth = evaluation.earth;
        add("whole site, existing to finished", earth.cut_bank_m3, earth.fill_compacted_m3);
    }
    table
}

/// Every finding, the gravest first.
pub fn findings_table(site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let sign = unit.sign();
    let mut table = row(&[
        "severity",
        "code",
        "work",
        &format!("east {sign}"),
        &format!("north {sign}"),
        &format!("elevation {sign}"),
        "measured",
        "limit",
        "unit",
        "message",
        "remedy",
        "source",
        "caution",
    ]);
    for finding in &evaluation.findings {
        let [x, y, z] = finding.at_m;
        let [east, north] = site.frame.origin_m;
        let place = [x + east, y + north, z].map(|m| format!("{:.3}", unit.from_metres(m)));
        let (measured, number_sign) =
            number_and_sign(finding.measured.value, finding.measured.unit, unit);
        let (limit, _) = number_and_sign(finding.measured.limit, finding.measured.unit, unit);
        let work = finding.work.map(|id| name_of(site, id)).unwrap_or_default();
        table.push_str(&row(&[
            finding.severity.as_str(),
            finding.code.as_str(),
            &work,
            &place[0],
            &place[1],
            &place[2],
            &measured,
            &limit,
            number_sign,
            &finding.message,
            finding.remedy.as_ref().map_or("", |remedy| &remedy.message),
            finding.source,
            finding.caution.unwrap_or_default(),
        ]));
    }
    table
}

fn earth_number(m3: f64, unit: LengthUnit) -> f64 {
    let cubed = unit.from_metres(unit.from_metres(unit.from_metres(m3)));
    match unit {
        LengthUnit::Metre => cubed,
        _ => cubed / 27.0,
    }
}

fn number_and_sign(value: f64, of: Unit, unit: LengthUnit) -> (String, &'static str) {
    let is_metric = unit == LengthUnit::Metre;
    match of {
        Unit::Metre | Unit::Elevation => (format!("{:.3}", unit.from_metres(value)), unit.sign()),
        Unit::SquareMetre => {
            let area = unit.from_metres(unit.from_metres(value));
            (format!("{area:.2}"), if is_metric { "m2" } else { "ft2" })
        }
        Unit::CubicMetre => {
            (format!("{:.2}", earth_number(value, unit)), if is_metric { "m3" } else { "yd3" })
        }
        Unit::RunPerRise => (format!("{value:.2}"), "run/rise"),
        Unit::Ratio => (format!("{value:.3}"), "ratio"),
        Unit::Count => (format!("{value:.0}"), "count"),
        Unit::MetrePerSecond | Unit::CubicMetrePerSecond | Unit::Kilogram => {
            (format!("{value:.5}"), of.as_str())
        }
    }
}
