//! Measures the bars of the design: how fast the kernel is, beside a plain reference in one run.
//!
//! `bench` prints a table and exits with 1 when a bar fails; `--json` prints the rows as a list,
//! `--growth` how each work grows with its input, `--split` where an edit's time goes, `--only WORD`
//! the works whose name holds the word.

mod edit;
mod measure;
mod overlay;
mod pair_clip;
mod triangulation;

use measure::{Growth, Row};
use std::process::ExitCode;

/// A name and what is measured under it.
type Named<T> = (&'static str, fn() -> T);

/// Works measured against a bar, each with the word that `--only` looks for.
const WORKS: &[Named<Vec<Row>>] =
    &[("triangulation", triangulation::bars), ("overlay", overlay::bars), ("edit", edit::bars)];

/// Works whose growth is shown.
const GROWTHS: &[Named<Growth>] = &[
    ("triangulation", triangulation::growth),
    ("overlay", overlay::growth),
    ("edit", edit::growth),
];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let asks = |flag: &str| arguments.iter().any(|a| a == flag);
    let only = arguments.iter().position(|a| a == "--only").and_then(|k| arguments.get(k + 1));
    let wanted = |name: &str| only.is_none_or(|word| name.contains(word.as_str()));
    if asks("--growth") {
        let growths = GROWTHS.iter().filter(|(name, _)| wanted(name));
        growths.for_each(|(_, growth)| print!("{}", growth()));
        return ExitCode::SUCCESS;
    }
    if asks("--split") {
        print!("{}", edit::split());
        return ExitCode::SUCCESS;
    }
    let works = WORKS.iter().filter(|(name, _)| wanted(name));
    let rows: Vec<Row> = works.flat_map(|(_, bars)| bars()).collect();
    if asks("--json") {
        println!("{}", serde_json::to_string_pretty(&rows).expect("rows are plain data"));
    } else {
        println!("{}", Row::HEAD);
        rows.iter().for_each(|row| println!("{row}"));
    }
    ExitCode::from(u8::from(rows.iter().any(|row| !row.holds)))
}
