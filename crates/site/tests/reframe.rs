//! A site told in another frame stays where it is in the world.

mod sample;

use std::sync::Arc;

use serde_json::Value;
use site::{Frame, Site, SurveyLine, SurveyPoint, reframed};

/// The sample with survey points and lines of its own.
fn surveyed() -> Site {
    let mut site = sample::site();
    let survey = Arc::make_mut(&mut site.survey);
    survey.points =
        vec![SurveyPoint { name: "1".into(), at_m: [3.0, 4.0, 29.0], code: "EP".into(), line: 2 }];
    survey.breaklines =
        vec![SurveyLine { code: "EP".into(), points_m: vec![[5.0, 6.0, 29.5], [7.0, 8.0, 29.0]] }];
    site
}

fn frame(by: [f64; 2], step_um: u32) -> Frame {
    let frame = sample::site().frame;
    Frame { origin_m: [frame.origin_m[0] + by[0], frame.origin_m[1] + by[1]], step_um, ..frame }
}

/// Lists of two or three numbers that differ between two trees, each as a pair.
fn moved(a: &Value, b: &Value, found: &mut Vec<[Vec<f64>; 2]>) {
    let numbers = |value: &Value| -> Option<Vec<f64>> {
        let list = value.as_array().filter(|list| matches!(list.len(), 2 | 3))?;
        list.iter().map(Value::as_f64).collect()
    };
    match (a, b) {
        (a, b) if a == b => {}
        (Value::Object(a), Value::Object(b)) => {
            a.iter().for_each(|(key, value)| moved(value, &b[key], found));
        }
        (a, b) => match (numbers(a), numbers(b), a.as_array(), b.as_array()) {
            (Some(a), Some(b), ..) => found.push([a, b]),
            (_, _, Some(a), Some(b)) => {
                a.iter().zip(b).for_each(|(a, b)| moved(a, b, found));
            }
            _ => panic!("{a} has become {b}"),
        },
    }
}

/// Whatever differs in the stored document but the frame is a place, moved the other way by what
/// the origin moved; and every place of the document differs.
#[test]
fn every_place_moves_and_nothing_else_does() {
    let site = surveyed();
    let by = [128.0, -64.0];
    let there = reframed(&site, &frame(by, 10)).expect("it is near");
    assert_eq!(there.frame, frame(by, 10));
    let [mut a, mut b] = [&site, &there].map(|site| serde_json::to_value(site).expect("plain"));
    for tree in [&mut a, &mut b] {
        tree["frame"] = Value::Null;
    }
    let mut pairs = Vec::new();
    moved(&a, &b, &mut pairs);
    for [old, new] in &pairs {
        assert_eq!((new[0] - old[0], new[1] - old[1]), (-by[0], -by[1]), "{old:?} {new:?}");
        assert_eq!(old.get(2), new.get(2));
    }
    // Twice a basin's and a drawn ring's four, a sump, an overflow; a stream's, a hill's and a wall's
    // three each, and an island's four; a filter's four and its lip.
    let first = 2 * (4 + 4 + 2) + 3 * 3 + 4 + 4 + 1;
    // A bay's four and its sill; a pad's and a lawn's four and two each; a path's and a trench's
    // three; a strip's four.
    let later = (4 + 1) + 2 * (4 + 2) + 3 + 3 + 4;
    // A tree, a line's two, a drain, a boundary's two, a septic field's three, a gate's two.
    let kept = 1 + 2 + 1 + 2 + 3 + 2;
    // Boundary, void and a level shot; the house; borings; the way in; a heap; a viewpoint's two; a
    // picture's two pins.
    let rest = (3 + 3 + 1) + 3 + 3 + 2 + 4 + 2 + 2;
    assert_eq!(pairs.len(), first + later + kept + rest);
    assert_eq!(there.survey.points[0].at_m, [3.0 - by[0], 4.0 - by[1], 29.0]);
    assert_eq!(there.survey.breaklines[0].points_m[1], [7.0 - by[0], 8.0 - by[1], 29.0]);
    assert_eq!(reframed(&there, &site.frame), Ok(site));
}

#[test]
fn a_frame_that_does_not_reach_the_site_is_refused_with_the_place() {
    // A lattice of 1 um reaches some 537 m.
    let error = reframed(&surveyed(), &frame([10_000.0, 0.0], 1)).unwrap_err().to_string();
    assert!(error.contains("lies beyond 536 m from the local origin"), "{error}");
    let error = reframed(&surveyed(), &frame([2e6, 0.0], 1000)).unwrap_err().to_string();
    assert!(error.contains("works[0].kind.") && error.contains("500000"), "{error}");
}
