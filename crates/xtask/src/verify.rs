//! Format, clippy, every test and doc test.

use std::io::{BufRead as _, BufReader};
use std::process::Stdio;

use anyhow::{Context as _, bail};

use crate::run::{cargo, must};

/// How much is verified.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Scope {
    /// The whole workspace.
    Everything,
    /// All but the view, the program and the acceptance suite, which wait for the engine.
    WithoutTheView,
}

/// Packages that wait for the engine to build.
const VIEW_PACKAGES: [&str; 3] = ["view", "tarnwright", "acceptance"];

/// Verifies, and prints how many tests passed and failed.
pub(crate) fn run(scope: Scope) -> anyhow::Result<()> {
    let mut packages = vec!["--workspace"];
    if scope == Scope::WithoutTheView {
        packages.extend(VIEW_PACKAGES.iter().flat_map(|name| ["--exclude", name]));
    }
    step("format");
    must(&mut cargo(&["fmt", "--all", "--check"]))?;
    step("clippy");
    let lints = [&["clippy"], &packages[..], &["--all-targets", "--", "-D", "warnings"]].concat();
    must(&mut cargo(&lints))?;
    if scope == Scope::Everything {
        step("the program, for the tests that drive it");
        must(&mut cargo(&["build", "--package", "tarnwright"]))?;
    }
    step("tests");
    tests(&packages)
}

fn step(what: &str) {
    println!("\n== {what}");
}

/// Runs every test and doc test, echoes what they say and adds up their closing lines.
fn tests(packages: &[&str]) -> anyhow::Result<()> {
    let words = [&["test"], packages, &["--no-fail-fast"]].concat();
    let mut running =
        cargo(&words).stdout(Stdio::piped()).spawn().context("cargo cannot be started")?;
    let told = running.stdout.take().context("cargo says nothing")?;
    let mut totals = [0_u64; 2];
    for line in BufReader::new(told).lines() {
        let line = line?;
        for (total, word) in totals.iter_mut().zip(["passed", "failed"]) {
            *total += count(&line, word);
        }
        println!("{line}");
    }
    let ended = running.wait()?;
    println!("\ntests: {} passed, {} failed", totals[0], totals[1]);
    if !ended.success() {
        bail!("tests failed");
    }
    Ok(())
}

/// The number before `word` in a test binary's closing line.
fn count(line: &str, word: &str) -> u64 {
    let Some(rest) = line.strip_prefix("test result:") else { return 0 };
    let mut parts = rest.split([' ', ';', '.']).filter(|part| !part.is_empty());
    let mut last = None;
    parts
        .find_map(|part| {
            let before = last.replace(part);
            (part == word).then_some(before).flatten()
        })
        .and_then(|number| number.parse().ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::count;

    #[test]
    fn closing_lines_are_added_up() {
        let line = "test result: ok. 21 passed; 2 failed; 0 ignored; 0 measured; finished in 0.02s";
        assert_eq!((count(line, "passed"), count(line, "failed")), (21, 2));
        assert_eq!(count("21 passed", "passed"), 0);
    }
}
