//! Two versions side by side on a terminal.

use std::fmt::Write as _;

use design::{Evaluation, Versions};
use site::{Site, differences};
use units::{LengthUnit, earth_text, loads_text, water_text};

use super::changes::{Change, changes};
use super::{Numbers, works};
use crate::comparison;

/// Parameters of one work shown one by one; a redrawn outline has many.
const SHOWN: usize = 12;

const STRING: &str = "a string takes any text";

/// Two versions in plain words: their numbers, their works, what lies between their finished grounds
/// and the parameters that differ.
pub fn text(versions: &Versions<'_>, names: [&str; 2], unit: LengthUnit) -> String {
    let mut out = heads(versions, names);
    out.push_str(&numbers(versions, unit));
    out.push_str(&works_text(versions, unit));
    out.push_str("\nBetween their finished grounds\n");
    match &versions.between {
        Some(between) => {
            // The first line tells the names again.
            let text = comparison::text(names[0], names[1], between, unit);
            out.extend(text.split_inclusive('\n').skip(1));
        }
        None => out.push_str("  not known: a survey makes no surface\n"),
    }
    let sites = versions.sites.each_ref().map(|site| &**site);
    out.push_str(&parameters(&changes(sites, &versions.differences, names, unit)));
    out
}

/// One row of the numbers that stand side by side: a label, both versions, and what the second has more
/// or less than the first; "same" where that reads as nought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// What is told.
    pub label: &'static str,
    /// As the first and as the second has it.
    pub values: [String; 2],
    /// The second less the first.
    pub change: String,
}

/// The numbers of two versions side by side.
pub fn rows(evaluations: [&Evaluation; 2], unit: LengthUnit) -> Vec<Row> {
    let [a, b] = evaluations.map(Numbers::of);
    let earth = |m3: f64| earth_text(m3, unit);
    // What is wanting is brought in.
    let left_over = |m3: f64| match m3 < 0.0 {
        true => format!("{} short", earth(-m3)),
        false => earth(m3),
    };
    let count = |n: f64| format!("{n:.0}");
    let loads = |n: f64| loads_text(n as u32);
    let loads_of = |numbers: &Numbers| numbers.loads.map(f64::from);
    let counted = |n: usize| Some(n as f64);
    let water = |m3: f64| water_text(m3, unit);
    vec![
        row("cut", [a.cut_bank_m3, b.cut_bank_m3], earth, earth),
        row("fill", [a.fill_compacted_m3, b.fill_compacted_m3], earth, earth),
        row("dug again", [a.recut_m3, b.recut_m3], earth, earth),
        row("left over", [a.spoil_bank_m3, b.spoil_bank_m3], left_over, earth),
        row("trucks", [loads_of(&a), loads_of(&b)], loads, count),
        row("water", [a.water_m3, b.water_m3], water, water),
        row("to stop for", [counted(a.n_stop), counted(b.n_stop)], count, count),
        row("to look at", [counted(a.n_look_at), counted(b.n_look_at)], count, count),
    ]
}

/// The parameters that two sites in one frame do not share, a sentence each.
pub fn differing(sites: [&Site; 2], names: [&str; 2], unit: LengthUnit) -> Vec<String> {
    let found = differences(sites[0], sites[1]);
    let said = |change: super::changes::Change| match change.values {
        Some([a, b]) => format!("{}, {}: {a} to {b}", change.owner, change.what),
        None => format!("{}: {}", change.owner, change.what),
    };
    changes(sites, &found, names, unit).into_iter().map(said).collect()
}

fn heads(versions: &Versions<'_>, names: [&str; 2]) -> String {
    let mut out = String::new();
    for ((letter, name), site) in ["A", "B"].into_iter().zip(names).zip(&versions.sites) {
        writeln!(out, "{letter}  {name}: {}", site.title).expect(STRING);
    }
    out
}

fn numbers(versions: &Versions<'_>, unit: LengthUnit) -> String {
    let rows = rows(versions.evaluations.each_ref(), unit);
    let mut out = format!("\n{:<16}{:>14}{:>14}{:>16}\n", "", "A", "B", "B less A");
    for Row { label, values: [a, b], change } in rows {
        writeln!(out, "  {label:<14}{a:>14}{b:>14}{change:>16}").expect(STRING);
    }
    out
}

fn row(
    label: &'static str,
    values: [Option<f64>; 2],
    say: impl Fn(f64) -> String,
    say_change: impl Fn(f64) -> String,
) -> Row {
    let said = values.map(|value| value.map_or("not known".to_owned(), &say));
    let change = match values {
        [Some(a), Some(b)] => {
            let size = say_change((b - a).abs());
            // What reads as nought has neither more nor less.
            match (size == say_change(0.0), b > a) {
                (true, _) => "same".to_owned(),
                (false, true) => format!("{size} more"),
                (false, false) => format!("{size} less"),
            }
        }
        _ => "not known".to_owned(),
    };
    Row { label, values: said, change }
}

fn works_text(versions: &Versions<'_>, unit: LengthUnit) -> String {
    let works = works(versions);
    if works.is_empty() {
        return "\nNeither version builds anything\n".to_owned();
    }
    let heading = "Works";
    let names = works.iter().map(|work| work.name.chars().count());
    let width = names.chain([heading.len()]).max().unwrap_or_default();
    let head = ["cut A", "cut B", "fill A", "fill B"];
    let mut out = format!("\n  {heading:<width$}");
    head.iter().for_each(|word| write!(out, "{word:>14}").expect(STRING));
    out.push('\n');
    for work in works {
        write!(out, "  {:<width$}", work.name).expect(STRING);
        for (side, version) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            let moved = work.moved_m3[version].map(|moved| earth_text(moved[side], unit));
            write!(out, "{:>14}", moved.unwrap_or_else(|| "not built".to_owned())).expect(STRING);
        }
        out.push('\n');
    }
    out
}

fn parameters(changes: &[Change]) -> String {
    if changes.is_empty() {
        return "\nNo parameter differs\n".to_owned();
    }
    let mut out = "\nParameters that differ, from A to B\n".to_owned();
    for of_one in changes.chunk_by(|a, b| a.owner == b.owner) {
        writeln!(out, "  {}", of_one[0].owner).expect(STRING);
        for change in of_one.iter().take(SHOWN) {
            match &change.values {
                Some([a, b]) => writeln!(out, "    {}: {a} to {b}", change.what).expect(STRING),
                None => writeln!(out, "    {}", change.what).expect(STRING),
            }
        }
        if of_one.len() > SHOWN {
            writeln!(out, "    and {} more", of_one.len() - SHOWN).expect(STRING);
        }
    }
    out
}
