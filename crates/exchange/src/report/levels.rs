//! Level notes in the report: how they close, and the book reduced.

use std::fmt::Write as _;

use design::Evaluation;
use design::levels::{Closure, Levels};
use site::{LevelNotes, LevelRow, Share, Site};
use units::{LengthUnit, closing_text, elevation_text, length_text};

use crate::csv;

/// How the levels close, in plain words; nothing for a site without level notes.
pub fn levels_text(site: &Site, evaluation: &Evaluation) -> String {
    let Some((notes, levels)) = of(site, evaluation) else { return String::new() };
    let unit = site.frame.unit;
    let [sums_m, ends_m] = levels.page_check_m().map(|rise_m| rise_text(rise_m, unit));
    let mut rows = vec![(
        "page check",
        format!("backsights less foresights {sums_m}, last less first {ends_m}"),
    )];
    match levels.closure {
        None => rows.push(("misclosure", "not known: the last mark's elevation is not".to_owned())),
        Some(closure) => {
            rows.push(("misclosure", misclosure(closure, unit)));
            rows.push(("adjusted", adjusted(closure, unit)));
        }
    }
    let mut out = format!("\nLevels, {}\n", run(notes, levels, unit));
    for (label, words) in rows {
        writeln!(out, "  {label:<14}{words}").expect("a string takes any text");
    }
    out
}

/// How level notes close, in a sentence: the misclosure, what is permitted and how it is shared out. Nothing
/// where they cannot be reduced.
pub fn closing(notes: &LevelNotes, unit: LengthUnit) -> Option<String> {
    let levels = design::levels::reduce(notes).ok()?;
    Some(match levels.closure {
        None => "not known: the last mark's elevation is not".to_owned(),
        Some(closure) => {
            format!("{}; adjusted {}", misclosure(closure, unit), adjusted(closure, unit))
        }
    })
}

/// The level book reduced, one row a place of the staff, in the site's own unit; nothing for a site
/// without level notes.
pub fn levels_table(site: &Site, evaluation: &Evaluation) -> Option<String> {
    let (notes, levels) = of(site, evaluation)?;
    let sign = site.frame.unit.sign();
    let measured = |words: &str| format!("{words} {sign}");
    let mut table = csv::row(&[
        "name",
        &measured("backsight"),
        &measured("intermediate sight"),
        &measured("foresight"),
        &measured("height of instrument"),
        &measured("elevation measured"),
        &measured("correction"),
        &measured("elevation"),
        &measured("east"),
        &measured("north"),
        "code",
    ]);
    for (row, fields) in notes.booked().iter().zip(numbers(site, notes, levels)) {
        let numbers = fields.map(|metres| number(metres, site.frame.unit));
        let mut cells = vec![row.name.as_str()];
        cells.extend(numbers.iter().map(String::as_str));
        cells.push(&row.code);
        table.push_str(&csv::row(&cells));
    }
    Some(table)
}

fn of<'a>(site: &'a Site, evaluation: &'a Evaluation) -> Option<(&'a LevelNotes, &'a Levels)> {
    site.survey.levels.as_ref().zip(evaluation.survey.levels.as_ref())
}

/// "BM1 back to BM1, 3 set-ups over 500.00 m".
fn run(notes: &LevelNotes, levels: &Levels, unit: LengthUnit) -> String {
    let rows = notes.booked();
    let name = |row: Option<&LevelRow>| row.map_or(String::new(), |row| row.name.clone());
    let back = match (rows.first(), rows.last()) {
        (Some(first), Some(last)) if first.is_mark(last) => "back ",
        _ => "",
    };
    let set_ups = match levels.set_ups.len() {
        1 => "1 set-up".to_owned(),
        n => format!("{n} set-ups"),
    };
    let length =
        levels.length_m.map_or(String::new(), |m| format!(" over {}", length_text(m, unit)));
    format!("{} {back}to {}, {set_ups}{length}", name(rows.first()), name(rows.last()))
}

fn misclosure(closure: Closure, unit: LengthUnit) -> String {
    let off_m = closure.misclosure_m();
    let side = if off_m > 0.0 { "high" } else { "low" };
    format!(
        "{} {side} of the known {}; permitted {}",
        closing_text(off_m.abs(), unit),
        elevation_text(closure.known_m, unit),
        closing_text(closure.permitted_m, unit)
    )
}

fn adjusted(closure: Closure, unit: LengthUnit) -> String {
    let most = closing_text(closure.misclosure_m().abs(), unit);
    match closure.shared {
        Some(Share::ByDistance) => format!("by distance, up to {most} at the end of the run"),
        Some(Share::ByTurns) => format!("by turns, up to {most} at the end of the run"),
        None => "no: beyond what is permitted, so level the run again".to_owned(),
    }
}

/// The numbers of each row, from its backsight to its northing, in metres.
fn numbers(site: &Site, notes: &LevelNotes, levels: &Levels) -> Vec<[Option<f64>; 9]> {
    let set_ups = notes.set_ups().unwrap_or_default();
    let instrument = |i: usize| {
        let standing = set_ups.iter().zip(&levels.set_ups).find(|(set_up, _)| set_up.back == i);
        standing.map(|(_, level)| level.measured_m)
    };
    let [east, north] = site.frame.origin_m;
    let rows = notes.booked().iter().zip(&levels.rows).enumerate();
    rows.map(|(i, (row, level))| {
        [
            row.back_m,
            row.intermediate_m,
            row.fore_m,
            instrument(i),
            Some(level.measured_m),
            Some(level.correction_m),
            Some(level.level_m()),
            row.at_m.map(|[x, _]| x + east),
            row.at_m.map(|[_, y]| y + north),
        ]
    })
    .collect()
}

/// Tenths of a millimetre: finer than a rod is read, so that shares can be added up.
fn number(metres: Option<f64>, unit: LengthUnit) -> String {
    metres.map_or(String::new(), |metres| format!("{:.4}", unit.from_metres(metres) + 0.0))
}

fn rise_text(rise_m: f64, unit: LengthUnit) -> String {
    format!("{:+.3} {}", unit.from_metres(rise_m), unit.sign())
}
