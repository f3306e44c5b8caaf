//! Level notes that miss their closing mark by more than is permitted, or close on none.

use site::LevelNotes;
use units::{closing_text, elevation_text, length_text};

use super::super::COMMON_PRACTICE;
use super::super::seen::Seen;
use crate::levels::{Closure, Levels};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Option<Finding> {
    let notes = seen.site.survey.levels.as_ref()?;
    let levels = seen.evaluation.survey.levels.as_ref()?;
    match levels.closure {
        None => Some(open(seen, notes, levels)),
        Some(closure) if closure.shared.is_none() => Some(beyond(seen, notes, levels, closure)),
        Some(_) => None,
    }
}

fn beyond(seen: &Seen<'_>, notes: &LevelNotes, levels: &Levels, closure: Closure) -> Finding {
    let off_m = closure.misclosure_m();
    let side = if off_m > 0.0 { "above" } else { "below" };
    let (mark, known) = (last_mark(notes), elevation_text(closure.known_m, seen.unit));
    let [off, most] = [off_m.abs(), closure.permitted_m].map(|m| closing_text(m, seen.unit));
    let message = format!(
        "The levels close {off} {side} {known} on {mark}; {} permits {most} ({}). They stand as \
         measured: nothing was shared out.",
        field(levels),
        rule(seen, notes, levels)
    );
    let remedy = "Level the run again from its first mark, or find the set-up that was read or \
                  booked wrong.";
    Finding {
        measured: Measured { value: off_m.abs(), limit: closure.permitted_m, unit: Unit::Metre },
        ..finding(seen, Severity::Stop, message, remedy)
    }
}

fn open(seen: &Seen<'_>, notes: &LevelNotes, levels: &Levels) -> Finding {
    let first = notes.booked().first().map_or("", |row| row.name.as_str());
    let message = format!(
        "The levels end on {}, whose elevation is not known: a rod read wrong would not show.",
        last_mark(notes)
    );
    let remedy = format!("Level on to a mark of known elevation, or back to {first}.");
    let n_set_ups = levels.set_ups.len() as f64;
    Finding {
        measured: Measured { value: n_set_ups, limit: 0.0, unit: Unit::Count },
        ..finding(seen, Severity::LookAt, message, &remedy)
    }
}

fn finding(seen: &Seen<'_>, severity: Severity, message: String, remedy: &str) -> Finding {
    Finding {
        code: Code::SurveySuspect,
        severity,
        work: None,
        at_m: place(seen),
        measured: Measured { value: f64::NAN, limit: f64::NAN, unit: Unit::Metre },
        message,
        remedy: Some(Remedy { message: remedy.to_owned(), site: None }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

/// The closing mark, or the last row with a place.
fn place(seen: &Seen<'_>) -> [f64; 3] {
    let rows = seen.site.survey.levels.as_ref().map(LevelNotes::booked).unwrap_or_default();
    let levels = seen.evaluation.survey.levels.as_ref().map(|levels| levels.rows.as_slice());
    let mut placed = rows.iter().zip(levels.unwrap_or_default()).rev();
    let last = placed.find_map(|(row, level)| Some((row.at_m?, level.level_m())));
    last.map_or([0.0; 3], |([x, y], z)| [x, y, z])
}

fn last_mark(notes: &LevelNotes) -> String {
    let last = notes.booked().last().filter(|row| !row.name.is_empty());
    last.map_or_else(|| "the last mark".to_owned(), |row| row.name.clone())
}

/// The field that the limit stands in.
fn field(levels: &Levels) -> &'static str {
    match levels.length_m {
        Some(_) => "survey.levels.permitted.per_root_km_m",
        None => "survey.levels.permitted.per_root_set_up_m",
    }
}

/// How the limit comes about.
fn rule(seen: &Seen<'_>, notes: &LevelNotes, levels: &Levels) -> String {
    let permitted = notes.permitted;
    match levels.length_m {
        Some(length_m) => format!(
            "{} for each root of a kilometre over {}",
            closing_text(permitted.per_root_km_m, seen.unit),
            length_text(length_m, seen.unit)
        ),
        None => format!(
            "{} for each root of a set-up, of which there are {}",
            closing_text(permitted.per_root_set_up_m, seen.unit),
            levels.set_ups.len()
        ),
    }
}
