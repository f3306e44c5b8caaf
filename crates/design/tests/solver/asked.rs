//! What may be asked, and what is refused.

use std::sync::Arc;

use design::Evaluator;
use design::solver::{Freed, Goal, Number, Outcome, SolveError, adjustables, solve};
use site::{Site, Survey, WorkId};

use super::freed;
use super::garden::{basin, garden, hill, lawn, level};

fn asked(site: &Site, freed: &[Freed], goals: &[Goal]) -> Result<Outcome, SolveError> {
    solve(&mut Evaluator::default(), site, freed, goals)
}

fn refused(freed: &[Freed], goals: &[Goal]) -> String {
    asked(&garden(vec![basin(), lawn()]), freed, goals).expect_err("it makes no sense").to_string()
}

#[test]
fn what_makes_no_sense_is_refused_by_name() {
    let lawn = |least, most| [freed(level(2), least, most)];
    let spoil = [Goal::NoSpoil];
    for (least, most) in [(f64::NAN, 30.0), (29.0, f64::INFINITY), (f64::NEG_INFINITY, f64::NAN)] {
        let error = asked(&garden(vec![basin(), lawn_of()]), &lawn(least, most), &spoil);
        assert!(matches!(error, Err(SolveError::NotANumber { .. })), "{error:?}");
    }
    assert!(refused(&lawn(30.2, 30.1), &spoil).contains("must be below its greatest"));
    assert!(refused(&lawn(30.0, 30.0), &spoil).contains("must be below its greatest"));
    assert!(refused(&lawn(29.0, 20_000.0), &spoil).contains("it can be -1000 to 10000"));
    assert!(refused(&[], &spoil).contains("no number is freed"));
    assert!(refused(&lawn(29.0, 31.0), &[]).contains("no goal"));
    assert!(refused(&[freed(level(7), 29.0, 31.0)], &spoil).contains("nothing that has it"));
    let twice = [freed(level(2), 29.0, 31.0), freed(level(2), 29.5, 31.0)];
    assert_eq!(refused(&twice, &spoil), "Work 2: Level is freed twice");
    let no_volume = [Goal::Spoil { bank_m3: f64::NAN }];
    assert!(refused(&lawn(29.0, 31.0), &no_volume).contains("not NaN"));
    let tops = [Goal::WallTopsAtLip];
    assert!(refused(&lawn(29.0, 31.0), &tops).contains("no wall holds"));
    // The bay's water is the pond's, and a hill has no water level.
    let no_number = [freed(Number::WaterLevel(WorkId(2)), 29.0, 31.0)];
    assert!(refused(&no_number, &spoil).contains("nothing that has it"));
}

fn lawn_of() -> site::WorkKind {
    lawn()
}

#[test]
fn a_site_without_ground_or_sums_is_said_to_have_none() {
    let mut site = garden(vec![basin(), lawn()]);
    let numbers = [freed(level(2), 29.5, 30.5)];
    site.haul.payload_t = f64::NAN;
    let error = asked(&site, &numbers, &[Goal::NoSpoil]);
    assert!(matches!(error, Err(SolveError::NoBalance)), "{error:?}");
    site.survey = Arc::new(Survey::default());
    let error = asked(&site, &numbers, &[Goal::NoSpoil]);
    assert!(matches!(error, Err(SolveError::NoGround(_))), "{error:?}");
}

#[test]
fn every_number_that_is_listed_can_be_freed_and_moves() {
    let site = garden(vec![basin(), lawn(), hill(&[[8.0, 6.0], [14.0, 6.0]], 3.0)]);
    let all = adjustables(&site);
    let labels: Vec<String> = all.iter().map(|one| one.label()).collect();
    for label in [
        "Work 1: Water level",
        "Work 1: Ring 1 depth",
        "Work 2: Level",
        "Work 3: Crest level",
        "Work 3: Flanks",
        "Work 3: West shoulder drawn out by",
        "Work 3: East shoulder drawn out by",
        "Work 3: Shoulders drawn out by",
    ] {
        assert!(labels.iter().any(|other| other == label), "{label}: {labels:#?}");
    }
    let n_distinct = labels.iter().collect::<std::collections::BTreeSet<_>>().len();
    assert_eq!(n_distinct, labels.len(), "each by a name of its own: {labels:#?}");
    for one in &all {
        assert_eq!(one.number.on(&site).as_ref(), Some(one));
        assert!((one.range.0..=one.range.1).contains(&one.value), "{one:?}");
    }
    let mut hidden = site;
    hidden.works[2].visible = false;
    assert!(adjustables(&hidden).iter().all(|one| one.work != "Work 3"));
}
