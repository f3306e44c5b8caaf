//! Sections along a line.

use design::section::{MarkKind, across, along, level_at, section};
use site::WorkKind;

use crate::garden::*;

/// A box of 6 by 4 m with sides of 1 in 1, 1 m deep, its water a tenth below its edge.
///
/// ```text
///   ____                  ____ 0
///       \~~~~~~~~~~~~~~~~/     -0.1
///        \______________/      -1
///       -3  -2      2   3
/// ```
#[test]
fn a_basins_section_is_its_trapezium_turned_and_moved() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let pond = basin(rectangle(placed, 6.0, 4.0), vec![inset(1.0, 0.9)]);
        let site = site(placed, |_| 0.0, vec![WorkKind::Basin(pond)]);
        let evaluation = sound(&site);
        let line = [[-5.0, 0.2], [5.0, 0.2]].map(|at| placed.at(at));
        let cut = section(&site, &evaluation, &line).unwrap();
        assert!((cut.length_m - 10.0).abs() < 1e-9);
        assert!((cut.cut_m2 - 0.5 * (6.0 + 4.0)).abs() < 1e-4, "{}", cut.cut_m2);
        assert!(cut.fill_m2 < 1e-9, "{}", cut.fill_m2);
        let wet_m2: f64 = cut.wet.iter().flat_map(|w| &w.gaps).map(|gap| gap.area_m2()).sum();
        assert!((wet_m2 - 0.9 * 0.5 * (5.8 + 4.0)).abs() < 1e-4, "{wet_m2}");
        let told: Vec<_> = cut.marks.iter().map(|m| (m.kind, m.station_m, m.z)).collect();
        let [(MarkKind::LinerEdge, from_m, _), (MarkKind::LinerEdge, to_m, z)] = told[..] else {
            panic!("{told:?}")
        };
        assert!((from_m - 2.0).abs() < 1e-4 && (to_m - 8.0).abs() < 1e-4 && z.abs() < 1e-9);
        let grades: Vec<f64> = cut.grades.iter().map(|grade| grade.run_per_rise).collect();
        assert_eq!(grades.len(), 2, "{grades:?}");
        assert!(grades.iter().all(|run| (run - 1.0).abs() < 1e-4), "{grades:?}");
        let floor = level_at(&cut.finished, 5.0).unwrap();
        assert!((floor + 1.0).abs() < 1e-6, "{floor}");
    }
}

#[test]
fn a_work_is_cut_along_its_water_and_across_what_is_raised() {
    let placed = TURNED;
    let works = vec![
        WorkKind::Basin(basin(rectangle(placed, 6.0, 3.0), vec![inset(1.0, 0.9)])),
        WorkKind::Hill(hill(Placed { by: [12.0, 0.0], ..placed }, 6.0)),
    ];
    let site = site(placed, |_| 0.0, works);
    let evaluation = sound(&site);
    let way = |line: &[[f64; 2]]| {
        let [dx, dy] = [0, 1].map(|i| line[1][i] - line[0][i]);
        libm::atan2(dy, dx).rem_euclid(std::f64::consts::PI)
    };
    // The basin's long side lies 30 degrees from east, and so does the hill's crest.
    let pond = across(&site, &evaluation, site.works[0].id).unwrap();
    assert!((way(&pond) - placed.turn_rad).abs() < 0.02, "{pond:?}");
    let hill = across(&site, &evaluation, site.works[1].id).unwrap();
    let square = std::f64::consts::FRAC_PI_2;
    assert!((way(&hill) - placed.turn_rad - square).abs() < 0.02, "{hill:?}");
    let whole = section(&site, &evaluation, &along(&site, &evaluation).unwrap()).unwrap();
    assert!(whole.cut_m2 > 1.0 && whole.fill_m2 > 0.1, "{} {}", whole.cut_m2, whole.fill_m2);
}

#[test]
fn a_stream_is_cut_from_behind_its_head_to_beyond_its_mouth() {
    let run = WorkKind::Stream(stream(AS_DRAWN, 8.0));
    let site = site(AS_DRAWN, |_| 0.0, vec![run]);
    let evaluation = sound(&site);
    let line = along(&site, &evaluation).unwrap();
    let (first, last) = (line[0], line[line.len() - 1]);
    assert!(first[0] < -6.0 && last[0] >= 6.0 - 1e-9, "{line:?}");
    let cut = section(&site, &evaluation, &line).unwrap();
    let bed = level_at(&cut.finished, -first[0]).unwrap();
    assert!((bed + 0.5).abs() < 1e-6, "{bed}");
}

#[test]
fn a_line_without_length_or_ground_has_no_section() {
    let site = site(AS_DRAWN, |_| 0.0, vec![WorkKind::Hill(hill(AS_DRAWN, 4.0))]);
    let evaluation = sound(&site);
    let none = |line: &[[f64; 2]]| section(&site, &evaluation, line).is_none();
    assert!(none(&[]) && none(&[[1.0, 1.0]]) && none(&[[1.0, 1.0], [1.0, 1.0]]));
    assert!(none(&[[f64::NAN, 0.0], [1.0, 1.0]]));
    assert!(none(&[[500.0, 0.0], [501.0, 1.0]]));
    assert!(across(&site, &evaluation, site::WorkId(99)).is_none());
}
