//! Works whose parameters make no shape, or only a part of one.

use super::COMMON_PRACTICE;
use super::seen::Seen;
use crate::{Code, Finding, Measured, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for (work, outcome) in seen.built() {
        let n_problems = outcome.shape.problems.len() as f64;
        for problem in &outcome.shape.problems {
            found.push(Finding {
                code: Code::WorkHasNoShape,
                severity: Severity::Stop,
                work: Some(work.id),
                at_m: seen.on_ground(problem.at_m),
                measured: Measured { value: n_problems, limit: 0.0, unit: Unit::Count },
                message: format!("This cannot be built as drawn: {}.", problem.message),
                remedy: None,
                source: COMMON_PRACTICE,
                caution: None,
            });
        }
    }
    found
}
