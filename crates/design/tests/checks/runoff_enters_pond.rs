//! `runoff-enters-pond`: a pond on a slope.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::RunoffEntersPond;

/// A pond with upright banks; around it the garden rises to the north by a share of the way.
fn pond(water_level_m: f64, rise: f64, others: Vec<WorkKind>) -> Site {
    let mut pond = basin(water_level_m);
    pond.cut_bank = 0.1;
    let kinds = std::iter::once(WorkKind::Basin(pond)).chain(others).collect();
    sloped(garden(2, kinds), |[_, y]| GROUND_M + rise * (y + 10.0))
}

/// North of the rim, 9 m wide, the garden is 29.5 m deep; the banks are a few centimetres.
#[test]
fn what_lies_uphill_of_the_rim_drains_in() {
    let mut site = pond(GROUND_M - 0.3, 0.02, Vec::new());
    let finding = found(&site, CODE).remove(0);
    let area_m2 = finding.measured.value;
    assert!((area_m2 - 9.0 * 29.5).abs() < 3.0, "{area_m2}");
    // A tenth of the water: a square of a little less than 8 m.
    assert!((finding.measured.limit - 6.0).abs() < 0.4, "{:?}", finding.measured);
    assert_eq!(finding.severity, Severity::LookAt);
    for words in ["existing ground", "side"] {
        assert!(finding.message.contains(words), "{}", finding.message);
    }
    assert!(finding.at_m[1] > -10.0, "{:?}", finding.at_m);
    let remedy = finding.remedy.clone().expect("a way out").message;
    assert!(remedy.contains("swale") && remedy.contains("raise the rim"), "{remedy}");
    let share = area_m2 * site.limits.pond_runoff_share / finding.measured.limit;
    site.limits.pond_runoff_share = 1.001 * share;
    check(&site, CODE, &[]);
    site.limits.pond_runoff_share = 0.999 * share;
    check(&site, CODE, &[(1, area_m2, 0.999 * area_m2)]);
}

#[test]
fn a_rim_above_the_ground_beside_it_sheds() {
    check(&pond(GROUND_M + 0.3, 0.02, Vec::new()), CODE, &[]);
}

#[test]
fn a_lawn_is_named_and_a_hill_behind_the_pond_is_not() {
    let lawn = PlaneGrade {
        outline: straight(&[[-8.0, -3.0], [8.0, -3.0], [8.0, 20.0], [-8.0, 20.0]]),
        plane: Plane { at: [0.0, -3.0], level_m: GROUND_M + 0.2, toward: [0.0, 20.0], fall: 0.0 },
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
    };
    let mut lawn = lawn;
    (lawn.plane.at, lawn.plane.toward, lawn.plane.fall) = ([0.0, 20.0], [0.0, -3.0], 0.03);
    lawn.plane.level_m = GROUND_M + 0.9;
    let site = pond(GROUND_M - 0.3, 0.02, vec![WorkKind::PlaneGrade(lawn)]);
    let finding = found(&site, CODE).remove(0);
    assert!(finding.message.contains("most of it Work 2"), "{}", finding.message);
    // The hill's own flank counts for nothing, and keeps off what lies behind it.
    let plain_m2 = found(&pond(GROUND_M - 0.3, 0.02, Vec::new()), CODE)[0].measured.value;
    let site = pond(GROUND_M - 0.3, 0.02, vec![WorkKind::Hill(hill(3.0))]);
    let behind_m2 = found(&site, CODE).first().map_or(0.0, |finding| finding.measured.value);
    assert!(behind_m2 < 0.3 * plain_m2, "{behind_m2} of {plain_m2}");
}
