//! What the solver found, as JSON: SI units at full precision; a value that is not known is null.

use design::solver::{Bound, Changed, GoalOutcome, Outcome, Reached};
use design::{Evaluation, Finding};
use serde::Serialize;
use site::Site;

use super::{goal_word, measures_text};

#[derive(Serialize)]
struct Report {
    title: String,
    reached: bool,
    goals: Vec<Goal>,
    numbers: Vec<Number>,
    effort: f64,
    earth: [Earth; 2],
    comes_up: Vec<Found>,
    goes: Vec<Found>,
    evaluations: usize,
}

#[derive(Serialize)]
struct Goal {
    goal: &'static str,
    reached: bool,
    parts: Vec<Part>,
    /// Numbers that would bring it nearer and are bound.
    bound_by: Vec<String>,
    why_not: Option<&'static str>,
}

#[derive(Serialize)]
struct Part {
    of: String,
    before: Option<f64>,
    after: Option<f64>,
    least: Option<f64>,
    most: Option<f64>,
}

#[derive(Serialize)]
struct Number {
    number: String,
    from: f64,
    to: f64,
    least: f64,
    most: f64,
    bound: Option<String>,
}

#[derive(Serialize)]
struct Earth {
    cut_bank_m3: Option<f64>,
    fill_compacted_m3: Option<f64>,
    spoil_bank_m3: Option<f64>,
    topsoil_surplus_m3: Option<f64>,
    loads: Option<u32>,
    topsoil_loads: Option<u32>,
}

#[derive(Serialize)]
struct Found {
    code: &'static str,
    severity: &'static str,
    work: Option<String>,
    message: String,
}

/// What the solver found as JSON; lists of two hold the site as it was, then the edited one.
pub fn json(site: &Site, outcome: &Outcome) -> String {
    let found = |finding: &Finding| Found {
        code: finding.code.as_str(),
        severity: finding.severity.as_str(),
        work: finding.work.and_then(|id| site.work(id)).map(|work| work.name.clone()),
        message: finding.message.clone(),
    };
    let report = Report {
        title: site.title.clone(),
        reached: outcome.is_reached(),
        goals: outcome.goals.iter().map(|goal| goal_of(site, outcome, goal)).collect(),
        numbers: outcome.numbers.iter().map(|number| number_of(site, number)).collect(),
        effort: outcome.effort,
        earth: [&outcome.before, &outcome.after].map(earth),
        comes_up: outcome.raised.iter().map(found).collect(),
        goes: outcome.cleared.iter().map(found).collect(),
        evaluations: outcome.n_evaluations,
    };
    let mut text = serde_json::to_string_pretty(&report)
        .expect("numbers, texts and lists with plain keys always make JSON");
    text.push('\n');
    text
}

fn goal_of(site: &Site, outcome: &Outcome, goal: &GoalOutcome) -> Goal {
    let part = |part: &design::solver::GoalPart| Part {
        of: measures_text(part.measures, site),
        before: known(part.before),
        after: known(part.after),
        least: known(part.band[0]),
        most: known(part.band[1]),
    };
    let (bound_by, why_not) = match &goal.reached {
        Reached::Yes => (Vec::new(), None),
        Reached::BoundBy(numbers) => {
            let names = numbers.iter().map(|&i| outcome.numbers[i].label.clone());
            (names.collect(), Some("bound"))
        }
        Reached::NothingMovesIt => (Vec::new(), Some("nothing moves it")),
        Reached::BetweenSteps => (Vec::new(), Some("between steps")),
        Reached::OthersInTheWay => (Vec::new(), Some("other goals in the way")),
    };
    Goal {
        goal: goal_word(goal.goal),
        reached: goal.reached == Reached::Yes,
        parts: goal.parts.iter().map(part).collect(),
        bound_by,
        why_not,
    }
}

fn number_of(site: &Site, number: &Changed) -> Number {
    let bound = number.bound.map(|bound| match bound {
        Bound::Least => "least".to_owned(),
        Bound::Most => "most".to_owned(),
        Bound::Stop { code, work } => {
            let name = work.and_then(|id| site.work(id)).map_or("the site", |work| &work.name);
            format!("{} at {name}", code.as_str())
        }
    });
    Number {
        number: number.label.clone(),
        from: number.from,
        to: number.to,
        least: number.bounds[0],
        most: number.bounds[1],
        bound,
    }
}

fn earth(evaluation: &Evaluation) -> Earth {
    let earth = &evaluation.earth;
    Earth {
        cut_bank_m3: known(earth.cut_bank_m3),
        fill_compacted_m3: known(earth.fill_compacted_m3),
        spoil_bank_m3: known(earth.spoil_bank_m3),
        topsoil_surplus_m3: known(earth.topsoil.surplus_m3),
        loads: evaluation.haul.loads,
        topsoil_loads: evaluation.haul.topsoil_loads,
    }
}

fn known(value: f64) -> Option<f64> {
    Some(value).filter(|value| value.is_finite())
}
