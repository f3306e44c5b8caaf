//! The solver against answers found otherwise: bisections and grids written here, and closed forms.

mod asked;
mod garden;
mod goals;
mod least;
mod mounds;

use design::Evaluator;
use design::solver::{Freed, Goal, Number, Outcome, solve};
use site::Site;

/// What the solver finds with a fresh evaluator, and what must hold of every outcome.
fn solved(site: &Site, freed: &[Freed], goals: &[Goal]) -> Outcome {
    let outcome = solve(&mut Evaluator::default(), site, freed, goals).expect("it can be asked");
    assert_eq!(outcome.site.check(), Ok(()));
    assert_eq!(outcome.numbers.len(), freed.len());
    for (number, freed) in outcome.numbers.iter().zip(freed) {
        let within = freed.least..=freed.most;
        assert!(within.contains(&number.to), "{number:?}");
        // What is told of the site is what the site says.
        let on = number.number.on(&outcome.site).expect("it still has it");
        let is_shoulder = matches!(number.number, Number::Shoulder(..));
        assert!(is_shoulder || on.value == number.to, "{on:?} {number:?}");
    }
    let n_stops = |evaluation: &design::Evaluation| {
        let stops = |f: &&design::Finding| f.severity == design::Severity::Stop;
        evaluation.findings.iter().filter(stops).count()
    };
    let after = design::evaluate(&outcome.site);
    assert!(n_stops(&after) <= n_stops(&outcome.before), "{:?}", outcome.raised);
    assert_eq!(after.earth, outcome.after.earth);
    outcome
}

fn freed(number: Number, least: f64, most: f64) -> Freed {
    Freed { number, least, most }
}

fn spoil_m3(site: &Site) -> f64 {
    design::evaluate(site).earth.spoil_bank_m3
}
