//! Paths: flights of steps, bends, and what is refused.

use ground::query::Locator;
use site::WorkKind;
use site::works::{Curve, Path};

use crate::garden::*;

/// Cut and fill of one path on ground of a form.
fn earth_m3(placed: Placed, ground: impl Fn([f64; 2]) -> f64, path: Path) -> [f64; 2] {
    let evaluation = sound(&site(placed, ground, vec![WorkKind::Path(path)]));
    assert_eq!(evaluation.works[0].shape.problems, []);
    [evaluation.works[0].cut_m3, evaluation.works[0].fill_m3]
}

/// A path of 6 m that rises 0.9 m by steps alone, in cheeks that stand upright: level for 1.95 m, six
/// risers of 0.15 m with treads of 0.35 m, level for 1.95 m.
fn steps(placed: Placed, levels_m: [f64; 2]) -> Path {
    Path {
        level_m: levels_m.to_vec(),
        largest_grade: 0.0,
        cut_bank: 0.0,
        fill_bank: 0.0,
        ..path(placed, 6.0)
    }
}

#[test]
fn a_flight_moves_its_closed_form_up_and_down() {
    // 1.2 m by 1.95 * 0.5 + 0.35 * (0.65 + 0.80 + 0.95 + 1.10 + 1.25 + 1.40) + 1.95 * 1.4 m2.
    let fill_m3 = 1.2 * (0.975 + 0.35 * 6.15 + 2.73);
    // Below the ground the lowest tread is the deepest but one riser.
    let cut_m3 = 1.2 * (0.975 + 0.35 * 5.25 + 2.73);
    for placed in [AS_DRAWN, TURNED, MOVED] {
        for levels_m in [[0.5, 1.4], [1.4, 0.5]] {
            let [cut, fill] = earth_m3(placed, |_| 0.0, steps(placed, levels_m));
            assert!(cut == 0.0 && (fill - fill_m3).abs() < 1e-5, "{cut} {fill}, not {fill_m3}");
        }
        for levels_m in [[-0.5, -1.4], [-1.4, -0.5]] {
            let [cut, fill] = earth_m3(placed, |_| 0.0, steps(placed, levels_m));
            assert!(fill == 0.0 && (cut - cut_m3).abs() < 1e-5, "{cut} {fill}, not {cut_m3}");
        }
    }
}

/// Every riser is a step of no width, every tread level.
#[test]
fn risers_are_steps_and_treads_level() {
    let kind = WorkKind::Path(steps(AS_DRAWN, [1.4, 0.5]));
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![kind]));
    let finished = evaluation.finished.expect("there is ground");
    let ground = Locator::new(&*finished);
    let at = |x: f64| ground.elevation([x, 0.1]).expect("within the survey");
    // It falls along x: the flight begins with its highest tread.
    for i in 0..6 {
        let (from, to) = (-1.05 + 0.35 * f64::from(i), -1.05 + 0.35 * f64::from(i + 1));
        let tread_m = 1.4 - 0.15 * f64::from(i);
        for x in [from + 1e-5, 0.5 * (from + to), to - 1e-5] {
            assert!((at(x) - tread_m).abs() < 1e-9, "{} at {x}, not {tread_m}", at(x));
        }
    }
    assert!((at(1.05 + 1e-5) - 0.5).abs() < 1e-9);
}

/// A flight up a slope as steep as itself: each riser more adds the same, its banks with it.
#[test]
fn a_flight_up_a_slope_moves_its_section() {
    let slope = 0.15 / 0.35;
    // String line 0.3 m above the ground, 1.2 m wide, banks of 1 in 2 that fall askew.
    let bank = (0.25_f64 - slope * slope).sqrt();
    let riser_m3 = 0.35 * (0.3 * 1.2 + 0.3 * 0.3 / bank) + 0.5 * 0.35 * 0.15 * 1.2;
    let flight = |placed: Placed, n: f64| {
        let ends = [0.0, 0.35 * n];
        Path {
            line: placed.line(&ends.map(|x| [x, 0.0])),
            level_m: ends.iter().map(|x| slope * x + 0.3).collect(),
            largest_grade: 0.1,
            ..path(placed, 1.0)
        }
    };
    for placed in [AS_DRAWN, TURNED] {
        let fill = |path: Path| earth_m3(placed, |[x, _]| slope * x, path)[1];
        let (short, long) = (flight(placed, 6.0), flight(placed, 12.0));
        let found = fill(long.clone()) - fill(short);
        assert!((found - 6.0 * riser_m3).abs() < 1e-5, "{found}, not {}", 6.0 * riser_m3);
        let back = |values: &[f64]| values.iter().rev().copied().collect();
        let drawn_down = Path {
            line: Curve { points: long.line.points.iter().rev().copied().collect(), smooth: false },
            level_m: back(&long.level_m),
            ..long.clone()
        };
        let [up, down] = [long, drawn_down].map(fill);
        assert!((up - down).abs() < 1e-6, "{up} drawn up, {down} drawn down");
    }
}

#[test]
fn a_bent_path_moves_width_by_length() {
    let upright = |line: Curve| Path {
        line,
        level_m: vec![0.2],
        cut_bank: 0.0,
        fill_bank: 0.0,
        ..path(AS_DRAWN, 1.0)
    };
    let corner = AS_DRAWN.line(&[[-5.0, 0.0], [3.0, 0.0], [3.0, 6.0], [0.0, 9.0]]);
    let [_, fill] = earth_m3(AS_DRAWN, |_| 0.0, upright(corner));
    let expected = 0.2 * 1.2 * (14.0 + 18.0_f64.sqrt());
    assert!((fill - expected).abs() < 1e-6, "{fill}, not {expected}");
    // A quarter of a circle of 5 m, and the same with banks: by Guldin's rule the section times the
    // way of its middle.
    let quarter = |i: u32| {
        let (sin, cos) = libm::sincos(f64::from(i) / 8.0 * std::f64::consts::FRAC_PI_2);
        [5.0 * cos, 5.0 * sin]
    };
    let arc = Curve { points: (0..=8).map(quarter).collect(), smooth: true };
    let length_m = 2.5 * std::f64::consts::PI;
    let [_, fill] = earth_m3(AS_DRAWN, |_| 0.0, upright(arc.clone()));
    assert!((fill / (0.24 * length_m) - 1.0).abs() < 3e-3, "{fill}");
    let banked = Path { fill_bank: 2.0, ..upright(arc) };
    let [_, with_banks] = earth_m3(AS_DRAWN, |_| 0.0, banked.clone());
    let level = Path { line: path(AS_DRAWN, 8.0).line, ..banked };
    let [_, straight] = earth_m3(AS_DRAWN, |_| 0.0, level);
    // Both have the same ends.
    let bent_more = with_banks - straight;
    let expected = (0.24 + 2.0 * 0.04) * (length_m - 8.0);
    assert!((bent_more - expected).abs() < 5e-3, "{bent_more}, not {expected}");
}

#[test]
fn a_flight_without_room_is_refused_with_the_length_it_needs() {
    let short = Path { largest_grade: 0.1, level_m: vec![0.0, 0.9], ..path(TURNED, 1.9) };
    let at_m = short.line.points[0];
    let evaluation = sound(&site(TURNED, |_| 0.0, vec![WorkKind::Path(short)]));
    let [problem] = &evaluation.works[0].shape.problems[..] else { panic!("there is one") };
    assert_eq!(
        problem.message,
        "between points 1 and 2, 6 steps of 0.15 m need 2.10 m of length, and there are 1.90 m"
    );
    assert_eq!(problem.at_m, at_m);
    assert_eq!((evaluation.works[0].cut_m3, evaluation.works[0].fill_m3), (0.0, 0.0));
    let enough = Path { largest_grade: 0.1, level_m: vec![0.0, 0.9], ..path(TURNED, 2.1) };
    earth_m3(TURNED, |_| 0.0, enough);
}
