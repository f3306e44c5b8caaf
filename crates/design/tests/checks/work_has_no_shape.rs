//! `work-has-no-shape`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::WorkHasNoShape;

#[test]
fn a_work_without_a_shape_is_a_stop_with_its_reason() {
    let crossed = straight(&[[-4.0, -14.0], [4.0, -6.0], [4.0, -14.0], [-4.0, -6.0]]);
    let site = garden(2, vec![WorkKind::Basin(Basin { outline: crossed, ..basin(29.8) })]);
    let found = found(&site, CODE);
    assert_eq!((found.len(), found[0].severity), (1, Severity::Stop), "{found:?}");
    assert!(found[0].message.contains("crosses itself"), "{}", found[0].message);
}

/// The square basin of eight metres with a second ring set in by so much: the first leaves six.
fn second_ring(run_m: f64) -> Site {
    let mut pond = basin(29.8);
    pond.rings.push(BasinRing {
        shape: RingShape::Inset { run_m: vec![run_m] },
        depth_m: 0.9,
        build_up: Default::default(),
    });
    garden(2, vec![WorkKind::Basin(pond)])
}

#[test]
fn a_ring_without_room_is_told_its_most() {
    check(&second_ring(2.99), CODE, &[]);
    let site = second_ring(4.0);
    check(&site, CODE, &[(1, 1.0, 0.0)]);
    check_remedy(&site, CODE);
    let remedy = design::remedy(&site, &found(&site, CODE)[0]).expect("a remedy");
    assert!(remedy.message.starts_with("Set ring 2 in by 3.00 m at most"), "{}", remedy.message);
}

#[test]
fn a_sump_too_wide_is_told_its_most() {
    let sump = |radius_m: f64| {
        let floor = Floor::Sump { at: [0.0, -10.0], radius_m, depth_m: 0.9 };
        garden(2, vec![WorkKind::Basin(Basin { floor, ..basin(29.8) })])
    };
    check(&sump(2.99), CODE, &[]);
    check(&sump(3.5), CODE, &[(1, 1.0, 0.0)]);
    check_remedy(&sump(3.5), CODE);
}

#[test]
fn a_filter_whose_sides_meet_is_told_how_steep_they_must_be() {
    // One metre to its middle, 0.65 m from the rim down to the floor.
    let sides =
        |side: f64| garden(2, vec![WorkKind::FilterBed(FilterBed { side, ..filter(30.3) })]);
    check(&sides(1.53), CODE, &[]);
    check(&sides(1.8), CODE, &[(1, 1.0, 0.0)]);
    check_remedy(&sides(1.8), CODE);
}
