//! What the solver found, in plain words.

use std::fmt::Write as _;

use design::solver::{Bound, Changed, GoalOutcome, GoalPart, Outcome, Reached};
use design::{Evaluation, Finding};
use site::Site;
use units::{LengthUnit, loads_text};

use super::{change_text, goal_word, left_over_text, measure_text, measures_text, set_out_text};

const STRING: &str = "a string takes any text";

/// What the solver found: the goals, the numbers that it changed, what binds, and the earth.
pub fn text(site: &Site, outcome: &Outcome) -> String {
    let unit = site.frame.unit;
    let mut out = format!("{}\n\nGoals\n", site.title);
    for goal in &outcome.goals {
        out.push_str(&goal_text(site, outcome, goal, unit));
    }
    out.push_str(&numbers_text(site, outcome, unit));
    out.push_str(&earth(outcome, unit));
    out.push_str(&findings("Comes up", &outcome.raised));
    out.push_str(&findings("Goes", &outcome.cleared));
    let n = outcome.n_evaluations;
    writeln!(out, "\nThe site was worked out {n} times.").expect(STRING);
    out
}

fn goal_text(site: &Site, outcome: &Outcome, goal: &GoalOutcome, unit: LengthUnit) -> String {
    let said = match &goal.reached {
        Reached::Yes => "reached".to_owned(),
        Reached::NothingMovesIt => "not reached: none of the freed numbers moves it".to_owned(),
        Reached::BetweenSteps => {
            "not reached: it lies between two steps of what a crew sets out".to_owned()
        }
        Reached::OthersInTheWay => {
            "not reached: what would bring it nearer takes another goal farther off".to_owned()
        }
        Reached::BoundBy(numbers) => {
            let one = |&i: &usize| bound_text(site, &outcome.numbers[i], unit);
            let numbers: Vec<String> = numbers.iter().map(one).collect();
            format!("not reached: {}", numbers.join("; "))
        }
    };
    let goal_said = goal_word(goal.goal).replace('-', " ");
    let mut out = format!("  {goal_said:<18}{said}\n");
    for part in &goal.parts {
        writeln!(out, "  {:<18}{}", "", part_text(site, part, unit)).expect(STRING);
    }
    out
}

/// "subsoil left over: 13.2 m3, now 0.3 m3; asked for 0.0 m3 to 0.5 m3".
fn part_text(site: &Site, part: &GoalPart, unit: LengthUnit) -> String {
    let said = |value: f64| measure_text(part.measures, value, unit);
    let [low, high] = part.band;
    let middle = 0.5 * (low + high);
    let asked = match (low.is_finite(), high.is_finite()) {
        (true, true) if said(low) == said(high) => said(middle),
        (true, true) => format!("{} to {}", said(low), said(high)),
        (false, _) => format!("at most {}", said(high)),
        (true, false) => format!("at least {}", said(low)),
    };
    let off = match part.is_met() {
        true => String::new(),
        false => format!(", {} off", said(part.off().abs())),
    };
    format!(
        "{}: {}, now {}{off}; asked for {asked}",
        measures_text(part.measures, site),
        said(part.before),
        said(part.after)
    )
}

fn numbers_text(site: &Site, outcome: &Outcome, unit: LengthUnit) -> String {
    let (changed, kept): (Vec<&Changed>, Vec<&Changed>) =
        outcome.numbers.iter().partition(|number| number.to != number.from);
    let mut out = "\nChanged\n".to_owned();
    if changed.is_empty() {
        out.push_str("  nothing\n");
    }
    let width = changed.iter().map(|n| n.label.chars().count()).max().unwrap_or_default();
    for number in changed {
        let said = |value: f64| set_out_text(value, number.quantity, unit);
        let bound = match number.bound {
            Some(_) => format!("; {}", bound_words(site, number, unit)),
            None => String::new(),
        };
        let (from, to) = (said(number.from), said(number.to));
        let by = change_text(number, unit);
        writeln!(out, "  {:<width$}  {from} to {to}, {by}{bound}", number.label).expect(STRING);
    }
    if !kept.is_empty() {
        let names: Vec<&str> = kept.iter().map(|number| number.label.as_str()).collect();
        writeln!(out, "  left as it is: {}", names.join("; ")).expect(STRING);
    }
    out
}

/// "Lawn: Level is at 49.900 m, its greatest value".
fn bound_text(site: &Site, number: &Changed, unit: LengthUnit) -> String {
    let at = set_out_text(number.to, number.quantity, unit);
    format!("{} is at {at}, {}", number.label, bound_words(site, number, unit))
}

fn bound_words(site: &Site, number: &Changed, unit: LengthUnit) -> String {
    let said = |value: f64| set_out_text(value, number.quantity, unit);
    match number.bound {
        Some(Bound::Least) => format!("at its least, {}", said(number.bounds[0])),
        Some(Bound::Most) => format!("at its greatest, {}", said(number.bounds[1])),
        Some(Bound::Stop { code, work }) => {
            let name = work.and_then(|id| site.work(id)).map_or("the site", |work| &work.name);
            format!("stopped where {} would come up at {name}", code.as_str())
        }
        None => "free to go on".to_owned(),
    }
}

/// The earth before and after.
fn earth(outcome: &Outcome, unit: LengthUnit) -> String {
    let mut out = "\nEarth, before and now\n".to_owned();
    let both = [&outcome.before, &outcome.after];
    let volume = |of: fn(&Evaluation) -> f64| both.map(|e| left_over_text(of(e), unit));
    let loads = |of: fn(&Evaluation) -> Option<u32>| {
        both.map(|e| of(e).map_or("not known".to_owned(), loads_text))
    };
    let rows = [
        ("cut", volume(|e| e.earth.cut_bank_m3)),
        ("fill", volume(|e| e.earth.fill_compacted_m3)),
        ("subsoil left over", volume(|e| e.earth.spoil_bank_m3)),
        ("trucks", loads(|e| e.haul.loads)),
        ("topsoil left over", volume(|e| e.earth.topsoil.surplus_m3)),
        ("trucks", loads(|e| e.haul.topsoil_loads)),
    ];
    for (label, [before, now]) in rows {
        writeln!(out, "  {label:<20}{before:>16}{now:>16}").expect(STRING);
    }
    out
}

fn findings(heading: &str, findings: &[Finding]) -> String {
    let mut out = String::new();
    for finding in findings {
        let (code, severity) = (finding.code.as_str(), finding.severity.as_str());
        writeln!(out, "\n{heading}: {code} ({severity}): {}", finding.message).expect(STRING);
    }
    out
}
