use std::ops::ControlFlow;

use ground::query::Locator;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use units::LengthUnit;

use super::*;
use crate::watch::{Progress, unwatched};

fn thinned(at_m: &[[f64; 3]], tolerance_m: f64) -> Result<Thinned, ThinError> {
    let at = |idx: usize| at_m[idx];
    let points = Points { n: at_m.len(), at_m: &at, unit: LengthUnit::Metre };
    thin(&points, tolerance_m, &mut unwatched)
}

/// Measured the slow way, by a locator of its own.
fn largest_error(thinned: &Thinned, at_m: &[[f64; 3]]) -> f64 {
    let locator = Locator::new(&thinned.surface);
    let [x0, y0] = thinned.frame.origin_m;
    let error = |[x, y, z]: &[f64; 3]| (locator.elevation([x - x0, y - y0]).unwrap() - z).abs();
    at_m.iter().map(error).fold(0.0, f64::max)
}

fn hills(n: usize, origin_m: [f64; 2]) -> Vec<[f64; 3]> {
    let at = |i: usize| {
        let (u, v) = ((i % n) as f64, (i / n) as f64);
        let z = 3.0 * libm::sin(u / 17.0) * libm::cos(v / 23.0)
            + 0.02 * libm::sin(u * 12.9898 + v * 78.233);
        [origin_m[0] + u * 0.25, origin_m[1] + v * 0.25, 100.0 + z]
    };
    (0..n * n).map(at).collect()
}

#[test]
fn no_point_is_farther_from_the_surface_than_asked_for() {
    let at_m = hills(140, [500_000.0, 5_400_000.0]);
    let mut n_before = usize::MAX;
    for tolerance_m in [0.03, 0.1, 0.5] {
        let thinned = thinned(&at_m, tolerance_m).unwrap();
        thinned.surface.check().unwrap();
        let measured_m = largest_error(&thinned, &at_m);
        assert!(measured_m <= tolerance_m, "{measured_m}");
        // The told error is the measured one; places are rounded to the lattice.
        assert!((measured_m - thinned.report.largest_error_m).abs() < 1e-5);
        assert!(thinned.report.n_kept < n_before, "{:?}", thinned.report);
        n_before = thinned.report.n_kept;
    }
    assert!(n_before < at_m.len() / 40, "{n_before}");
}

/// Found by fuzzing: a face 100 km long whose plane misses its own corners by more than was asked for, so
/// that corners were taken in again and again.
#[test]
fn corners_that_a_planes_rounding_misses_are_not_taken_in_for_ever() {
    let at_m = [
        [0.0022, 0.0022, 0.0],
        [0.0, -35_046.933_1, 105_868.182_6],
        [-35_046.933_1, 105_868.259_4, 0.0],
        [0.0, 0.0, 107_597.004_8],
        [0.0, 0.0, 0.0],
        [36_910.387_2, 36_909.875_2, 0.0],
    ];
    let thinned = thinned(&at_m, 0.05).unwrap();
    assert!(thinned.report.largest_error_m <= 0.05, "{:?}", thinned.report);
}

#[test]
fn a_plane_keeps_its_hull_and_the_seeds_alone() {
    let at_m: Vec<[f64; 3]> = (0..90_000)
        .map(|i| [f64::from(i % 300), f64::from(i / 300), f64::from(i % 300) * 0.5])
        .collect();
    let thinned = thinned(&at_m, 0.001).unwrap();
    assert!(thinned.report.n_kept <= 4 + at_m.len() / SEED_SHARE + 1, "{:?}", thinned.report);
    assert!(thinned.report.largest_error_m < 1e-9);
}

#[test]
fn the_order_of_the_points_does_not_show() {
    let at_m = hills(60, [0.0, 0.0]);
    let mut other = at_m.clone();
    other.reverse();
    other.swap(7, 2000);
    assert_eq!(thinned(&at_m, 0.05).unwrap().surface, thinned(&other, 0.05).unwrap().surface);
}

#[test]
fn points_at_one_place_become_their_mean_and_far_ones_are_set_aside() {
    let mut at_m = hills(40, [300_000.0, 5_000_000.0]);
    let [x, y, z] = at_m[820];
    at_m.push([x, y, z + 0.5]);
    at_m.push([0.0, 0.0, 0.0]);
    let thinned = thinned(&at_m, 0.05).unwrap();
    let report = thinned.report;
    assert_eq!((report.n_points, report.n_far_off, report.n_at_one_place), (1602, 1, 1));
    assert!((report.widest_at_one_place_m - 0.5).abs() < 1e-9);
    assert!(report.largest_error_m <= 0.05);
}

#[test]
fn what_spans_no_surface_and_what_is_no_number_is_refused() {
    let line: Vec<[f64; 3]> = (0..50).map(|i| [f64::from(i), f64::from(i), 0.0]).collect();
    assert_eq!(thinned(&line, 0.1).unwrap_err(), ThinError::Build(BuildError::OneLine));
    assert!(thinned(&line[..2], 0.1).unwrap_err().to_string().contains("three points"));
    assert_eq!(thinned(&[], 0.1).unwrap_err(), ThinError::Frame(FrameError::NoPlaces));
    assert!(matches!(thinned(&line, 0.0), Err(ThinError::Tolerance(_))));
    let mut at_m = hills(10, [0.0; 2]);
    at_m[3][2] = f64::NAN;
    assert!(matches!(thinned(&at_m, 0.1), Err(ThinError::Point { point: 4, .. })));
}

#[test]
fn a_watcher_calls_it_off() {
    let at_m = hills(40, [0.0; 2]);
    let at = |idx: usize| at_m[idx];
    let points = Points { n: at_m.len(), at_m: &at, unit: LengthUnit::Metre };
    let mut stop = |_: Progress| ControlFlow::Break(());
    let error = thin(&points, 0.1, &mut stop).unwrap_err();
    assert_eq!(error.to_string(), "called off while sorting points");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(5),
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_points_keep_within_the_error(
        points in proptest::collection::vec([0..24_i32, 0..24_i32, 0..9_i32], 3..400),
        tenths in 1..40_i32,
    ) {
        let at_m: Vec<[f64; 3]> = points.iter().map(|p| p.map(f64::from)).collect();
        let tolerance_m = f64::from(tenths) / 10.0;
        match thinned(&at_m, tolerance_m) {
            Ok(thinned) => {
                thinned.surface.check().unwrap();
                prop_assert!(thinned.report.largest_error_m <= tolerance_m);
            }
            Err(error) => prop_assert!(matches!(error, ThinError::Build(_)), "{error}"),
        }
    }
}
