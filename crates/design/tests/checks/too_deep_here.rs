//! `too-deep-here`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

fn pond(depth_m: f64) -> Site {
    let mut pond = basin(GROUND_M - 0.2);
    pond.rings[0].depth_m = depth_m;
    pond.rings[0].shape = RingShape::Inset { run_m: vec![1.5] };
    garden(2, vec![WorkKind::Basin(pond)])
}

#[test]
fn eighteen_inches_of_water_are_the_least_that_codes_name() {
    check(&pond(0.457), Code::TooDeepHere, &[]);
    check(&pond(0.5), Code::TooDeepHere, &[(1, 0.5, 0.4572)]);
    let finding = found(&pond(0.5), Code::TooDeepHere).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.caution.is_some());
    let [x, y, z] = finding.at_m;
    assert!(x.abs() < 2.5 && (y + 10.0).abs() < 2.5 && (z - (GROUND_M - 0.7)).abs() < 1e-6);
}
