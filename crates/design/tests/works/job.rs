//! The job in steps.

use design::job::{Built, job};
use ground::overlay::volumes;
use site::WorkKind;

use crate::garden::*;

/// A box of 4 by 2 m, 0.7 m deep, and a pad of 3 by 2 m, 0.5 m high, on level ground.
#[test]
fn each_lift_of_a_box_is_its_own_volume_and_all_of_them_are_the_whole() {
    let at = |x: f64| [[x, 0.0], [x + 4.0, 0.0], [x + 4.0, 2.0], [x, 2.0]];
    let plane = |x: f64, level_m: f64| {
        let outline = site::Curve { points: at(x).to_vec(), smooth: false };
        let mut pad = pad(AS_DRAWN, 4.0);
        pad.outline = outline;
        pad.plane.level_m = level_m;
        (pad.cut_bank, pad.fill_bank) = (0.0, 0.0);
        WorkKind::Pad(pad)
    };
    let site = site(AS_DRAWN, |_| 0.0, vec![plane(-8.0, -0.7), plane(4.0, 0.5)]);
    let evaluation = sound(&site);
    let steps = job(&site, &evaluation);
    let moved: Vec<[f64; 2]> = steps.iter().map(|s| [s.cut_m3, s.fill_m3]).collect();
    // 8 m2 each, in lifts of 0.3 m.
    let expected =
        [[0.0, 0.0], [2.4, 0.0], [4.8, 0.0], [5.6, 0.0], [5.6, 2.4], [5.6, 4.0], [5.6, 4.0]];
    assert_eq!(
        moved.len(),
        expected.len(),
        "{:?}",
        steps.iter().map(|s| &s.name).collect::<Vec<_>>()
    );
    for (moved, expected) in moved.iter().zip(expected) {
        for i in 0..2 {
            assert!((moved[i] - expected[i]).abs() < 1e-6, "{moved:?}, not {expected:?}");
        }
    }
    for pair in steps.windows(2) {
        assert_eq!(pair[1].ground.check(), Ok(()));
        assert!(pair[0].built <= pair[1].built);
        let between = volumes(&pair[0].ground, &pair[1].ground);
        let (cut, fill) = (pair[1].cut_m3 - pair[0].cut_m3, pair[1].fill_m3 - pair[0].fill_m3);
        assert!((between.cut_m3 - cut).abs() < 1e-6 && (between.fill_m3 - fill).abs() < 1e-6);
    }
    let last = steps.last().expect("there are steps");
    assert_eq!(last.built, Built::Dry);
    let earth = &evaluation.earth;
    assert!((last.cut_m3 - earth.cut_bank_m3).abs() < 1e-6, "{}", earth.cut_bank_m3);
    assert!((last.fill_m3 - earth.fill_compacted_m3).abs() < 1e-6, "{}", earth.fill_compacted_m3);
}
