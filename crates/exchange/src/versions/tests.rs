//! Versions of a small garden whose closed form stands in the design crate's tests.

use std::sync::Arc;

use serde_json::Value;
use site::works::{Basin, BasinRing, Floor, RingShape};
use site::{
    Carry, Curve, Digging, Frame, Haul, Limits, Site, Soils, Survey, SurveyPoint, Viewpoint, Work,
    WorkId, WorkKind,
};
use units::LengthUnit;

use super::*;

/// A square pond of 8 m on level ground at 0 m, its shelf 2 m wide at a depth, its floor at 0.9 m.
fn pond(shelf_m: f64) -> Site {
    let ring = |run_m, depth_m| BasinRing {
        shape: RingShape::Inset { run_m: vec![run_m] },
        depth_m,
        build_up: Default::default(),
    };
    let basin = Basin {
        outline: square(4.0),
        water_level_m: -0.1,
        freeboard_m: 0.1,
        liner_edge_m: Vec::new(),
        overflow: None,
        overflow_width_m: None,
        overflow_m: None,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rings: vec![ring(0.5, shelf_m), ring(1.0, shelf_m), ring(1.0, 0.9)],
        floor: Floor::Level,
        joins: None,
        rim_build_up: Default::default(),
        build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    let points = (0..169).map(|k| SurveyPoint {
        name: k.to_string(),
        at_m: [f64::from(k % 13) * 2.0 - 12.0, f64::from(k / 13) * 2.0 - 12.0, 0.0],
        ..SurveyPoint::default()
    });
    let mut soils = Soils::default();
    soils.topsoil.strip_m = 0.0;
    Site {
        format: Site::FORMAT,
        title: "Level garden".to_owned(),
        frame: Frame {
            unit: LengthUnit::Metre,
            step_um: 1,
            origin_m: [100.0, 200.0],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey {
            points: points.collect(),
            accuracy_m: 0.01,
            ..Survey::default()
        }),
        soils,
        keep_outs: Vec::new(),
        digging: Digging::default(),
        carry: Carry::default(),
        stockpiles: Vec::new(),
        works: vec![Work {
            id: WorkId(1),
            name: "Pond".to_owned(),
            note: String::new(),
            group: String::new(),
            visible: true,
            kind: WorkKind::Basin(basin),
        }],
        next_id: 2,
        circulation: Default::default(),
        weather: Default::default(),
        houses: Vec::new(),
        limits: Limits::default(),
        haul: Haul::default(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

fn square(half_m: f64) -> Curve {
    let h = half_m;
    Curve { points: vec![[-h, -h], [h, -h], [h, h], [-h, h]], smooth: false }
}

fn said(a: &Site, b: &Site) -> (String, Value) {
    let versions = Versions::of(a, b).unwrap();
    let names = ["before", "after"];
    let value = serde_json::from_str(&json(&versions, names)).unwrap();
    (text(&versions, names, LengthUnit::Metre), value)
}

fn says(text: &str, lines: &[&str]) {
    for line in lines {
        assert!(text.lines().any(|read| read == *line), "{line:?} is not in\n{text}");
    }
}

fn near(value: &Value, expected: f64) {
    assert!((value.as_f64().unwrap() - expected).abs() < 1e-6, "{value}, not {expected}");
}

/// The pond of 8, 7, 5 and 3 m squares at 0, 0.4, 0.4 and 1 m holds
/// 0.4 / 3 (64 + 56 + 49) + 0.6 / 3 (25 + 15 + 9) = 32.333 m3, and 4 m3 more with the shelf 0.1 m
/// lower: 0.5 / 3 (169) + 0.5 / 3 (49) = 36.333 m3.
#[test]
fn a_deeper_shelf_is_told_in_every_number() {
    let (text, value) = said(&pond(0.3), &pond(0.4));
    says(
        &text,
        &[
            "A  before: Level garden",
            "  cut                  32.3 m3       36.3 m3     4.0 m3 more",
            "  fill                  0.0 m3        0.0 m3            same",
            "  Pond        32.3 m3       36.3 m3        0.0 m3        0.0 m3",
            "  cut           4.0 m3 over 55.0 m2, 0.10 m at the deepest",
            "  net           4.0 m3 more cut than fill",
            "  Pond",
            "    Ring 1 depth: 0.30 m to 0.40 m",
            "    Ring 2 depth: 0.30 m to 0.40 m",
        ],
    );
    near(&value["versions"][0]["cut_bank_m3"], 97.0 / 3.0);
    near(&value["versions"][1]["cut_bank_m3"], 109.0 / 3.0);
    near(&value["works"][0]["cut_m3"][1], 109.0 / 3.0);
    near(&value["between"]["cut_m3"], 4.0);
    near(&value["between"]["fill_m3"], 0.0);
    assert_eq!(value["parameters"][0]["values"][1], "0.40 m");
    let (_, back) = said(&pond(0.4), &pond(0.3));
    assert_eq!(back["between"]["fill_m3"], value["between"]["cut_m3"]);
    assert_eq!(back["versions"][0]["cut_bank_m3"], value["versions"][1]["cut_bank_m3"]);
}

#[test]
fn a_version_beside_itself_is_the_same_in_every_number() {
    let (text, value) = said(&pond(0.3), &pond(0.3));
    let rows: Vec<&str> = text.lines().skip(4).take(8).collect();
    assert!(rows.iter().all(|row| row.ends_with("same")), "{text}");
    says(&text, &["No parameter differs", "  net           as much fill as cut"]);
    near(&value["between"]["cut_m3"], 0.0);
    assert_eq!(value["parameters"], Value::Array(Vec::new()));
}

#[test]
fn what_only_one_version_has_is_told() {
    let (a, mut b) = (pond(0.3), pond(0.3));
    b.works[0].id = WorkId(2);
    b.works[0].name = "Pool".to_owned();
    b.next_id = 3;
    b.viewpoints.push(Viewpoint {
        name: "Seat".to_owned(),
        at_m: [1.0, 2.0],
        eye_m: 1.2,
        toward_m: [0.0; 3],
    });
    let (text, value) = said(&a, &b);
    says(
        &text,
        &[
            "  Pond        32.3 m3     not built        0.0 m3     not built",
            "  Pool      not built       32.3 m3     not built        0.0 m3",
            "    only in before",
            "  Viewpoint Seat",
            "    only in after",
        ],
    );
    assert_eq!(value["works"][1]["cut_m3"][0], Value::Null);
}

#[test]
fn a_moved_place_is_told_in_the_worlds_frame() {
    let (a, mut b) = (pond(0.3), pond(0.3));
    let WorkKind::Basin(basin) = &mut b.works[0].kind else { unreachable!() };
    basin.outline.points[2] = [5.0, 4.0];
    let (text, _) = said(&a, &b);
    let line = "104.00 m east, 204.00 m north to 105.00 m east, 204.00 m north";
    assert!(text.contains(line), "{text}");
}

#[test]
fn a_version_without_ground_is_not_known() {
    let (a, mut b) = (pond(0.3), pond(0.3));
    Arc::make_mut(&mut b.survey).points.clear();
    let (text, value) = said(&a, &b);
    says(
        &text,
        &[
            "  cut                  32.3 m3     not known       not known",
            "  not known: a survey makes no surface",
            "  Survey",
            "    differs",
        ],
    );
    assert_eq!(value["between"], Value::Null);
    assert_eq!(value["versions"][1]["loads"], Value::Null);
}

#[test]
fn two_evaluations_and_two_sites_are_told_as_the_versions_are() {
    let (a, b) = (pond(0.4), pond(0.5));
    let versions = design::Versions::of(&a, &b).unwrap();
    let unit = LengthUnit::Metre;
    let whole = text(&versions, ["A", "B"], unit);
    let told = rows(versions.evaluations.each_ref(), unit);
    assert!(told.iter().any(|row| row.label == "cut" && row.change.ends_with("more")), "{told:?}");
    for row in &told {
        let line = whole.lines().find(|line| line.trim_start().starts_with(row.label)).unwrap();
        assert!(line.ends_with(&row.change) && line.contains(&row.values[0]), "{line}: {row:?}");
    }
    let same = rows([&versions.evaluations[0]; 2], unit);
    assert!(same.iter().all(|row| row.change == "same"), "{same:?}");
    let differing = differing([&a, &b], ["A", "B"], unit);
    assert!(differing[0].ends_with("Ring 1 depth: 0.40 m to 0.50 m"), "{differing:?}");
}
