//! Measuring the bars.

use crate::run::{cargo, must};

/// Runs the benches in release; fails when a bar fails.
pub(crate) fn run(arguments: &[&str]) -> anyhow::Result<()> {
    let mut words = vec!["run", "--release", "--quiet", "--package", "bench", "--"];
    words.extend(arguments);
    must(&mut cargo(&words))
}
