//! `survey-suspect` for level notes, and the ground that they make.

use std::sync::Arc;

use ::ground::query::extent_z;
use design::{Code, Severity};
use site::{LevelNotes, LevelRow, Site};

use super::*;

/// A garden whose shots are all in level notes: one set-up over a mark at 30 m, its four corners
/// 10 m apart half a metre above and below, and a foresight back on the mark that reads `off_m` more
/// than the backsight.
fn levelled(off_m: f64) -> Site {
    let corners = [([0.0, 0.0], 1.0), ([10.0, 0.0], 1.0), ([10.0, 10.0], 2.0), ([0.0, 10.0], 2.0)];
    let shot = |(at_m, reading_m)| LevelRow {
        intermediate_m: Some(reading_m),
        at_m: Some(at_m),
        ..LevelRow::default()
    };
    let mark = || LevelRow { name: "BM1".into(), ..LevelRow::default() };
    let mut rows = vec![LevelRow { back_m: Some(1.5), known_m: Some(GROUND_M), ..mark() }];
    rows.extend(corners.map(shot));
    rows.push(LevelRow { fore_m: Some(1.5 + off_m), ..mark() });
    with_notes(LevelNotes { rows, ..LevelNotes::default() })
}

fn with_notes(notes: LevelNotes) -> Site {
    let mut site = garden(2, Vec::new());
    let survey = Arc::make_mut(&mut site.survey);
    (survey.points, survey.levels) = (Vec::new(), Some(notes));
    assert_eq!(site.check(), Ok(()));
    site
}

fn heights(site: &Site) -> [f64; 2] {
    extent_z(evaluate(site).existing.as_deref().expect("four corners make ground"))
        .expect("four corners have heights")
}

fn near(values: [f64; 2], expected: [f64; 2]) {
    assert!(values.iter().zip(expected).all(|(v, e)| (v - e).abs() < 1e-9), "{values:?}");
}

#[test]
fn ground_stands_at_the_levels_that_the_notes_reduce_to() {
    // Readings of 1 and 2 m from an instrument at 31.5 m.
    near(heights(&levelled(0.0)), [29.5, 30.5]);
    check(&levelled(0.0), Code::SurveySuspect, &[]);
    // Closes 4 mm low, 5 mm permitted: all that was read from the set-up comes up by 4 mm.
    near(heights(&levelled(0.004)), [29.504, 30.504]);
    check(&levelled(0.004), Code::SurveySuspect, &[]);
}

#[test]
fn a_misclosure_beyond_the_limit_is_told_and_not_shared_out() {
    let site = levelled(0.006);
    near(heights(&site), [29.5, 30.5]);
    let found = found(&site, Code::SurveySuspect);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].severity, Severity::Stop);
    let measured = found[0].measured;
    assert!((measured.value - 0.006).abs() < 1e-9 && (measured.limit - 0.005).abs() < 1e-9);
    for said in [
        "6.0 mm below 30.00 m on BM1",
        "survey.levels.permitted.per_root_set_up_m permits 5.0 mm",
        "nothing was shared out",
    ] {
        assert!(found[0].message.contains(said), "{}", found[0].message);
    }
    assert!(found[0].remedy.as_ref().unwrap().message.contains("Level the run again"));
    // Told to permit more, the same notes are shared out.
    let mut notes = site.survey.levels.clone().unwrap();
    notes.permitted.per_root_set_up_m = 0.007;
    near(heights(&with_notes(notes)), [29.506, 30.506]);
}

#[test]
fn levels_that_close_on_no_known_mark_are_worth_a_look() {
    let mut notes = levelled(0.0).survey.levels.clone().unwrap();
    notes.rows.last_mut().unwrap().name = "Peg".into();
    let found = found(&with_notes(notes), Code::SurveySuspect);
    assert_eq!((found.len(), found[0].severity), (1, Severity::LookAt));
    assert!(found[0].message.contains("The levels end on Peg"), "{}", found[0].message);
}

#[test]
fn notes_that_cannot_be_reduced_make_no_ground_and_say_why() {
    let mut site = levelled(0.0);
    let survey = Arc::make_mut(&mut site.survey);
    survey.levels.as_mut().unwrap().rows.pop();
    let invalid = site.check().unwrap_err().to_string();
    assert!(invalid.contains("survey.levels.rows[4]: a foresight that closes on"), "{invalid}");
    let evaluation = evaluate(&site);
    assert!(evaluation.existing.is_none());
    let why = evaluation.survey.refused.unwrap();
    assert!(why.contains("row 5 of the level notes: read the end of the notes"), "{why}");
}

#[test]
fn readings_out_of_range_name_their_field() {
    for value in [f64::NAN, f64::INFINITY, 10.001] {
        let mut site = levelled(0.0);
        let survey = Arc::make_mut(&mut site.survey);
        survey.levels.as_mut().unwrap().rows[2].intermediate_m = Some(value);
        let invalid = site.check().unwrap_err().to_string();
        assert!(invalid.contains("survey.levels.rows[2].intermediate_m: must be -10 to 10"));
    }
}
