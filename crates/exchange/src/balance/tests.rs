//! What is freed and told, on a small garden.

use std::sync::Arc;

use design::Evaluator;
use design::solver::{Ends, Goal, Number, Outcome, solve};
use site::works::*;
use site::{Curve, Frame, Site, Survey, SurveyPoint, Work, WorkId, WorkKind};
use units::LengthUnit;

use super::*;

/// A level garden of 40 m square at 30 m with a cone of a hill and a lawn.
fn garden(unit: LengthUnit) -> Site {
    let mut points = Vec::new();
    for x in -5..=5 {
        for y in -5..=5 {
            let at_m = [f64::from(x) * 4.0, f64::from(y) * 4.0, 30.0];
            points.push(SurveyPoint { name: format!("{x} {y}"), at_m, ..SurveyPoint::default() });
        }
    }
    let flank = Flank { run_per_rise: 3.0, shoulder_m: 0.0, toe_m: 0.0 };
    let straight = |points: &[[f64; 2]]| Curve { points: points.to_vec(), smooth: false };
    let hill = Hill {
        crest: straight(&[[-0.5, 0.0], [0.5, 0.0]]),
        crest_m: vec![31.0],
        width_m: vec![0.0],
        left: vec![flank],
        right: vec![flank],
        held_by: None,
        build_up: BuildUp::default(),
    };
    let lawn = PlaneGrade {
        outline: straight(&[[-14.0, 4.0], [-6.0, 4.0], [-6.0, 12.0], [-14.0, 12.0]]),
        plane: Plane { at: [-10.0, 8.0], level_m: 30.0, toward: [-10.0, 12.0], fall: 0.02 },
        cut_bank: 4.0,
        fill_bank: 4.0,
        build_up: BuildUp::default(),
    };
    let work = |(id, name, kind): (u32, &str, WorkKind)| Work {
        id: WorkId(id),
        name: name.into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind,
    };
    let works = [(1, "Filter hill", WorkKind::Hill(hill)), (2, "Lawn", WorkKind::PlaneGrade(lawn))];
    Site {
        format: Site::FORMAT,
        title: "A garden".into(),
        frame: Frame {
            unit,
            step_um: 1,
            origin_m: [0.0; 2],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey { points, accuracy_m: 0.01, ..Survey::default() }),
        soils: Default::default(),
        works: works.map(work).into(),
        next_id: 3,
        circulation: Default::default(),
        weather: Default::default(),
        houses: Vec::new(),
        keep_outs: Vec::new(),
        limits: Default::default(),
        digging: Default::default(),
        haul: Default::default(),
        carry: Default::default(),
        stockpiles: Vec::new(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

fn check(words: &str, number: Number, least: f64, most: f64) {
    let read = freed(&garden(LengthUnit::Metre), words).unwrap();
    assert_eq!(read.number, number, "{words}");
    assert!((read.least - least).abs() < 1e-12 && (read.most - most).abs() < 1e-12, "{read:?}");
}

fn refused(words: &str) -> String {
    freed(&garden(LengthUnit::Metre), words).expect_err("no such number").to_string()
}

#[test]
fn numbers_are_freed_by_what_a_crew_calls_them() {
    let level = || Number::Parameter(WorkId(2), "plane.level_m".into());
    check("Lawn level from 29.6 to 30.4", level(), 29.6, 30.4);
    check("lawn  LEVEL from 29.60 m to 3040 cm", level(), 29.6, 30.4);
    check(
        "Lawn fall from 1 % to 3%",
        Number::Parameter(WorkId(2), "plane.fall".into()),
        0.01,
        0.03,
    );
    let (hill, run) = (WorkId(1), Number::FlankRun(WorkId(1)));
    check("Filter hill flanks from 1 in 2 to 1 in 5", run.clone(), 2.0, 5.0);
    check("Filter hill flanks from 2 to 5", run, 2.0, 5.0);
    // As much as is clear.
    check("Filter hill east shoulder from 0 to 3", Number::Shoulder(hill, Ends::Last), 0.0, 3.0);
    check("filter hill crest level from 30.5 to 31", Number::CrestLevel(hill), 30.5, 31.0);
    let feet = freed(&garden(LengthUnit::Foot), "Lawn level from 100 to 101").unwrap();
    assert!((feet.least - 30.48).abs() < 1e-9, "{feet:?}");
}

#[test]
fn what_is_no_number_is_answered_with_what_was_expected() {
    let own = refused("Lawn height from 1 to 2");
    assert!(own.contains("Lawn and one of: Level; Fall"), "{own}");
    let works = refused("Meadow level from 1 to 2");
    assert!(works.contains("works: Filter hill; Lawn"), "{works}");
    assert!(refused("Lawn from 1 to 2").contains("one of: Level"), "a work is no number");
    let several = refused("Lawn bank in from 1 to 2");
    assert!(several.contains("Bank in cut") && several.contains("Bank in fill"), "{several}");
    for words in ["Lawn level", "Lawn level 29.6 30.4", "Lawn level from 29.6", ""] {
        assert!(refused(words).contains("its least and its greatest value"), "{words}");
    }
    for bound in ["NaN", "high", "inf", "1/0"] {
        let said = refused(&format!("Lawn level from {bound} to 30"));
        assert!(said.starts_with("Lawn: Level: expected"), "{said}");
    }
    assert!(refused("Filter hill flanks from steep to 1 in 5").contains("such as 1 in 3"));
    assert!(refused("Filter hill flanks from 1 in NaN to 1 in 5").contains("such as 1 in 3"));
    assert!(refused("Lawn fall from 1 to 2").contains("such as 2 %"));
}

#[test]
fn goals_are_read_with_their_volumes() {
    let read = |words| goal(words, LengthUnit::Metre);
    assert_eq!(read("no-spoil"), Ok(Goal::NoSpoil));
    assert_eq!(read("No-Mound"), Ok(Goal::NoMound));
    assert_eq!(read("spoil=12.5"), Ok(Goal::Spoil { bank_m3: 12.5 }));
    assert_eq!(read("spoil = -3 m3"), Ok(Goal::Spoil { bank_m3: -3.0 }));
    let yard_m3 = 0.9144 * 0.9144 * 0.9144;
    assert_eq!(goal("spoil=2", LengthUnit::Foot), Ok(Goal::Spoil { bank_m3: 2.0 * yard_m3 }));
    assert!(read("spoil=much").expect_err("no volume").to_string().contains("12 yd3"));
    assert!(read("spoil=NaN").is_err());
    for word in GOALS.split([',', ' ']).filter(|word| word.contains('-')) {
        assert!(read(word).is_ok(), "{word}");
    }
    assert!(read("flat").expect_err("no goal").to_string().contains("no-truck"));
}

fn outcome(words: &str, goals: &[Goal]) -> (Site, Outcome) {
    let site = garden(LengthUnit::Metre);
    let freed = [freed(&site, words).unwrap()];
    let outcome = solve(&mut Evaluator::default(), &site, &freed, goals).unwrap();
    (site, outcome)
}

#[test]
fn what_was_reached_is_told_with_what_changed() {
    let (site, outcome) = outcome("Lawn level from 29.6 to 30.1", &[Goal::NoSpoil]);
    let told = text(&site, &outcome);
    assert!(told.contains("no spoil          reached"), "{told}");
    assert!(told.contains("Lawn: Level  30.000 m to 29."), "{told}");
    assert!(told.contains(", down 0."), "{told}");
    let read: serde_json::Value = serde_json::from_str(&json(&site, &outcome)).unwrap();
    assert_eq!(read["reached"], true);
    assert_eq!(read["numbers"][0]["number"], "Lawn: Level");
    assert_eq!(read["numbers"][0]["to"].as_f64(), Some(outcome.numbers[0].to));
    assert_eq!(read["earth"][1]["loads"], 0);
}

#[test]
fn what_was_not_reached_is_told_with_what_binds() {
    let (site, outcome) = outcome("Lawn level from 29.98 to 30.1", &[Goal::NoSpoil, Goal::NoMound]);
    let told = text(&site, &outcome);
    assert!(told.contains("not reached: Lawn: Level is at 29.980 m, at its least"), "{told}");
    assert!(told.contains("none of the freed numbers moves it"), "{told}");
    assert!(told.contains(" off; asked for "), "{told}");
    let read: serde_json::Value = serde_json::from_str(&json(&site, &outcome)).unwrap();
    assert_eq!(read["goals"][0]["bound_by"][0], "Lawn: Level");
    assert_eq!(read["goals"][1]["why_not"], "nothing moves it");
    assert_eq!(read["numbers"][0]["bound"], "least");
}

#[test]
fn every_number_is_listed_with_what_it_is() {
    let told = listed(&garden(LengthUnit::Metre));
    assert!(told.starts_with("Filter hill\n  Crest level"), "{told}");
    assert!(told.contains("31.000 m") && told.contains("Lawn\n"), "{told}");
}
