//! Two versions of a site: closed forms of what lies between their finished grounds.

use design::Versions;
use site::{Differs, Frame, Owner, Site, WorkId, WorkKind, reframed};

use crate::garden::*;

/// A square pond of 8 m on level ground, its shelf 2 m wide at a depth, its floor 0.9 m deep.
fn pond(placed: Placed, shelf_m: f64) -> Site {
    let rings = vec![inset(0.5, shelf_m), inset(1.0, shelf_m), inset(1.0, 0.9)];
    let kind = WorkKind::Basin(basin(rectangle(placed, 8.0, 8.0), rings));
    site(placed, |_| 0.0, vec![kind])
}

/// Between the squares of 8 and 7 m the ground goes down by nought to 0.1 m, from 7 to 5 m by 0.1 m,
/// and to the square of 3 m by nought again: a frustum less a frustum,
/// 0.1 / 3 (64 + 49 + 56) - 0.1 / 3 (25 + 9 + 15) = 4 m3.
const DEEPENED_M3: f64 = 4.0;

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-6, "{value}, not {expected}");
}

#[test]
fn a_deeper_shelf_lies_its_closed_form_below() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let (a, b) = (pond(placed, 0.3), pond(placed, 0.4));
        let versions = Versions::of(&a, &b).unwrap();
        let between = versions.between.unwrap();
        near(between.cut_m3, DEEPENED_M3);
        near(between.fill_m3, 0.0);
        near(between.deepest_cut_m, 0.1);
        // All that goes down lies between the squares of 8 and 3 m; turned, their corners lie on
        // the lattice to a micrometre.
        assert!((between.cut_area_m2 - (64.0 - 9.0)).abs() < 1e-3, "{}", between.cut_area_m2);
        let [cut_a, cut_b] = [0, 1].map(|k| versions.evaluations[k].earth.cut_bank_m3);
        near(cut_b - cut_a, DEEPENED_M3);
        let owners: Vec<&Owner> = versions.differences.iter().map(|found| &found.owner).collect();
        assert_eq!(owners, [&Owner::Work(WorkId(1)); 2]);
        // The other way around it is filled, to the last bit.
        let back = Versions::of(&b, &a).unwrap().between.unwrap();
        assert_eq!([back.fill_m3, back.cut_m3], [between.cut_m3, between.fill_m3]);
        assert_eq!(
            [back.fill_area_m2, back.highest_fill_m],
            [between.cut_area_m2, between.deepest_cut_m]
        );
    }
}

#[test]
fn a_version_does_not_differ_from_itself() {
    let a = pond(AS_DRAWN, 0.3);
    let versions = Versions::of(&a, &a).unwrap();
    let between = versions.between.unwrap();
    let moved = [between.cut_m3, between.fill_m3, between.cut_area_m2, between.fill_area_m2];
    assert_eq!(moved, [0.0; 4]);
    assert_eq!(versions.differences, []);
    assert!(!versions.is_moved());
}

#[test]
fn a_version_told_in_another_frame_is_compared_where_it_stands() {
    let a = pond(AS_DRAWN, 0.3);
    let frame = Frame { origin_m: [37.25, -12.5], ..a.frame.clone() };
    let b = reframed(&pond(AS_DRAWN, 0.4), &frame).unwrap();
    let versions = Versions::of(&a, &b).unwrap();
    assert!(versions.is_moved());
    near(versions.between.unwrap().cut_m3, DEEPENED_M3);
    let fields =
        versions.differences.iter().all(|found| matches!(found.what, Differs::Field { .. }));
    assert!(fields && versions.differences.len() == 2, "{:?}", versions.differences);
    let far = Frame { origin_m: [9000.0, 0.0], ..a.frame.clone() };
    let b = Site { frame: far, ..a.clone() };
    let error = Versions::of(&a, &b).unwrap_err().to_string();
    assert!(error.contains("lies beyond"), "{error}");
}
