//! `lawn-too-steep`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::LawnTooSteep;

fn lawn(fall: f64) -> Site {
    garden(
        2,
        vec![WorkKind::PlaneGrade(PlaneGrade {
            outline: straight(&[[-3.0, -3.0], [3.0, -3.0], [3.0, 3.0], [-3.0, 3.0]]),
            plane: Plane { at: [0.0, 0.0], level_m: GROUND_M, toward: [0.0, 4.0], fall },
            cut_bank: 3.0,
            fill_bank: 3.0,
            build_up: Default::default(),
        })],
    )
}

/// 4 to 1 is easily mown (K-21); turf does not last above 2 to 1 (K-22).
#[test]
fn a_lawn_is_mown_up_to_one_in_four() {
    check(&lawn(0.25), CODE, &[]);
    check(&lawn(0.26), CODE, &[(1, 1.0 / 0.26, 4.0)]);
    assert_eq!(found(&lawn(0.49), CODE)[0].severity, Severity::LookAt);
    assert_eq!(found(&lawn(0.51), CODE)[0].severity, Severity::Stop);
    check_remedy(&lawn(0.4), CODE);
}
