//! `survey-suspect` for the known points of a draped picture.

use design::{Code, Severity};
use site::{Picture, Pin, Site};

use super::*;

/// A plan of 20 by 10 m at 0.05 m a pixel, its last known point booked this far south of its place.
fn draped(south_m: f64) -> Site {
    let mut site = garden(2, Vec::new());
    let pin = |at_px, at_m| Pin { at_px, at_m };
    site.pictures = vec![Picture {
        name: "Plan".into(),
        file: "plan.png".into(),
        size_px: [400, 200],
        pins: vec![
            pin([0.0, 0.0], [0.0, 10.0]),
            pin([400.0, 0.0], [20.0, 10.0]),
            pin([400.0, 200.0], [20.0, 0.0]),
            pin([0.0, 200.0], [0.0, -south_m]),
        ],
    }];
    assert_eq!(site.check(), Ok(()));
    site
}

#[test]
fn a_misread_known_point_is_told_with_how_far_it_is_off() {
    check(&draped(0.0), Code::SurveySuspect, &[]);
    let site = draped(2.0);
    let [finding] = &found(&site, Code::SurveySuspect)[..] else { panic!("one is misread") };
    assert_eq!((finding.severity, finding.work), (Severity::LookAt, None));
    assert_eq!(finding.at_m, [0.0, -2.0, GROUND_M]);
    // Least squares of turn and scale about the middle: of the corner's 2 m south, a quarter goes to the
    // shift, and with s = 20^2 + 10^2 the scale takes 2 x 5 / s and the turn 2 x 10 / s of the corner's own
    // offset (10, 5) from the middle. What is left at it: (0.5 - ..., 1.5 - ...), worked out by hand:
    let s = 20.0_f64.powi(2) + 10.0_f64.powi(2);
    let (scale, turn) = (2.0 * 5.0 / s, 2.0 * 10.0 / s);
    // From the middle (10, 5) the corner lies at (-10, -5).
    let moved = [-10.0 * scale + 5.0 * turn, -5.0 * scale - 10.0 * turn - 0.5];
    let left_m = libm::hypot(moved[0], moved[1] + 2.0);
    assert!((finding.measured.value - left_m).abs() < 1e-9, "{:?} {left_m}", finding.measured);
    // A hundredth of the longer side of the known points: 20 m.
    assert!((finding.measured.limit - 0.2).abs() < 1e-12, "{:?}", finding.measured);
    for words in ["Known point 4", "the picture Plan"] {
        assert!(finding.message.contains(words), "{words}: {}", finding.message);
    }
}

#[test]
fn a_known_point_off_by_less_than_paper_stretches_is_none() {
    let just = |south_m| found(&draped(south_m), Code::SurveySuspect).len();
    let share = found(&draped(2.0), Code::SurveySuspect)[0].measured.value / 2.0;
    assert_eq!((just(0.199 / share), just(0.202 / share)), (0, 1));
}
