//! `shelf-out-of-range`: a square pond of eight metres with one shelf.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::ShelfOutOfRange;

/// A side of one metre, a level shelf, a side, a floor.
fn pond(width_m: f64, depth_m: f64) -> Site {
    let mut pond = basin(GROUND_M - 0.2);
    let ring = |run: f64, depth_m: f64| BasinRing {
        shape: RingShape::Inset { run_m: vec![run] },
        depth_m,
        build_up: Default::default(),
    };
    pond.rings = vec![ring(1.0, depth_m), ring(width_m, depth_m), ring(0.8, depth_m + 0.5)];
    garden(2, vec![WorkKind::Basin(pond)])
}

#[test]
fn a_shelf_is_a_foot_wide() {
    check(&pond(0.3, 0.3), CODE, &[]);
    check(&pond(0.25, 0.3), CODE, &[(1, 0.25, 0.3)]);
    check_remedy(&pond(0.2, 0.3), CODE);
}

#[test]
fn a_shelf_is_no_deeper_than_one_stands() {
    check(&pond(0.5, 0.75), CODE, &[]);
    check(&pond(0.5, 0.9), CODE, &[(1, 0.9, 0.75)]);
    check_remedy(&pond(0.5, 0.9), CODE);
}

/// A floor that falls gently to a sump is no shelf.
#[test]
fn a_floor_with_a_sump_is_no_shelf() {
    let mut site = pond(0.5, 0.3);
    let WorkKind::Basin(pond) = &mut site.works[0].kind else { panic!("a pond") };
    pond.floor = Floor::Sump { at: [0.0, -10.0], radius_m: 0.3, depth_m: 0.9 };
    check(&site, CODE, &[]);
}
