//! Ways down closed forms, along valleys, over level ground and over steps.

use super::*;
use crate::query::sample;

fn ways_down(surface: &Surface, from: [f64; 2]) -> (Vec<[f64; 3]>, End) {
    let descent = descend(surface, from).unwrap();
    assert_eq!(Locator::new(surface).descend(from).as_ref(), Some(&descent));
    assert!(descent.points.windows(2).all(|pair| pair[1].z <= pair[0].z), "water never rises");
    (descent.points.iter().map(|p| [p.at[0], p.at[1], p.z]).collect(), descent.end)
}

fn is_near(a: [f64; 3], b: [f64; 3]) -> bool {
    (0..3).all(|i| (a[i] - b[i]).abs() < 2e-6)
}

#[test]
fn a_hill_sheds_straight_to_its_rim() {
    // Sides of a square pyramid, which face the diagonals.
    let (points, end) = ways_down(&sample::cone(4, 2.0, 0.0, 1.0), [0.4, 0.5]);
    assert_eq!((points.len(), end), (2, End::Border));
    assert!(is_near(points[0], [0.4, 0.5, 0.55]));
    assert!(is_near(points[1], [0.95, 1.05, 0.0]));
}

#[test]
fn a_pit_gathers_along_its_valleys() {
    let (points, end) = ways_down(&sample::cone(4, 2.0, 0.0, -1.0), [0.9, 0.3]);
    assert_eq!((points.len(), end), (3, End::Pit));
    assert!(is_near(points[1], [0.6, 0.0, -0.7]), "{points:?}");
    assert_eq!(points[2], [0.0, 0.0, -1.0]);
}

#[test]
fn a_plane_drains_by_its_bearing() {
    let slope = sample::grid([6, 6], 1.0, |[x, y]| 0.2 * x + 0.1 * y);
    let (points, end) = ways_down(&slope, [4.3, 5.1]);
    assert_eq!(end, End::Border);
    let last = points[points.len() - 1];
    assert!(is_near(last, [0.0, 5.1 - 4.3 / 2.0, 0.1 * (5.1 - 4.3 / 2.0)]), "{last:?}");
}

#[test]
fn a_valley_carries_to_the_border() {
    let valley = sample::grid([6, 4], 1.0, |[x, y]| 0.5 * (y - 2.0).abs() + 0.1 * x);
    let (points, end) = ways_down(&valley, [5.3, 3.4]);
    assert_eq!(end, End::Border);
    assert!(is_near(points[points.len() - 1], [0.0, 2.0, 0.0]));
    assert!(points.iter().any(|p| p[1] == 2.0 && p[0] > 4.9), "{points:?}");
}

#[test]
fn level_ground_is_crossed_to_its_nearest_fall() {
    let terrace = sample::grid([6, 4], 1.0, |[x, _]| (2.0 - x).max(0.0) - (x - 4.0).max(0.0));
    let (points, end) = ways_down(&terrace, [1.0, 1.9]);
    assert_eq!(end, End::Border);
    assert!(points.iter().any(|p| is_near(*p, [4.0, 2.0, 0.0])), "{points:?}");
    assert_eq!(points[points.len() - 1][0], 6.0);
    let basin = sample::grid([6, 4], 1.0, |[x, _]| (x - 3.0).abs().max(1.0));
    let (points, end) = ways_down(&basin, [1.0, 1.9]);
    assert_eq!(end, End::Flat);
    assert!(is_near(points[points.len() - 1], [2.0, 1.9, 1.0]), "{points:?}");
    assert_eq!(ways_down(&basin, [3.2, 2.2]).1, End::Flat);
}

#[test]
fn water_falls_over_a_step_and_runs_along_the_foot_of_one() {
    let strip = |x: f64, y: f64, z: &dyn Fn(f64, f64) -> f64| {
        let corner = |x: f64, y: f64| [x, y, z(x, y)];
        vec![corner(x, y), corner(x + 2.0, y), corner(x + 2.0, y + 2.0), corner(x, y + 2.0)]
    };
    let fall = sample::patches(&[
        strip(0.0, 0.0, &|x, y| 0.2 * x + 0.01 * y),
        strip(2.0, 0.0, &|x, y| 1.0 + 0.2 * x + 0.01 * y),
    ]);
    let (points, end) = ways_down(&fall, [3.0, 1.0]);
    assert_eq!(end, End::Border);
    let top = points.iter().position(|p| p[0] == 2.0).unwrap();
    assert_eq!(points[top][..2], points[top + 1][..2]);
    assert!((points[top][2] - points[top + 1][2] - 1.0).abs() < 1e-12);
    let wall = sample::patches(&[
        strip(0.0, 0.0, &|x, y| -0.2 * x + 0.1 * y),
        strip(2.0, 0.0, &|_, _| 3.0),
    ]);
    let (points, end) = ways_down(&wall, [1.0, 1.5]);
    assert_eq!(end, End::Border);
    assert!(is_near(points[points.len() - 1], [2.0, 0.0, -0.4]), "{points:?}");
    assert!(points.iter().filter(|p| p[0] == 2.0).count() >= 2);
}

#[test]
fn a_way_along_the_foot_ends_where_the_step_turns() {
    // The eastern half stands higher in the north and lower in the south; the step turns at y = 1.
    let west = |y: f64| 0.1 * y;
    let east = |y: f64| 0.3 * y - 0.2;
    let surface = sample::patches(&[
        vec![
            [0.0, 0.0, west(0.0) + 0.4],
            [2.0, 0.0, west(0.0)],
            [2.0, 2.0, west(2.0)],
            [0.0, 2.0, west(2.0) + 0.4],
        ],
        vec![
            [2.0, 0.0, east(0.0)],
            [4.0, 0.0, east(0.0) - 0.1],
            [4.0, 2.0, east(2.0) - 0.1],
            [2.0, 2.0, east(2.0)],
        ],
    ]);
    let (points, end) = ways_down(&surface, [1.8, 1.9]);
    assert_eq!(end, End::Border);
    assert!(points.iter().any(|p| is_near(*p, [2.0, 1.0, 0.1])), "{points:?}");
    assert!(points[points.len() - 1][0] > 2.0);
}

#[test]
fn every_way_ends_in_ground_that_does_not_fall() {
    let bumps = |[x, y]: [f64; 2]| libm::sin(1.3 * x) * libm::cos(1.7 * y) + 0.02 * x;
    let ground = sample::grid([20, 20], 0.4, bumps);
    let mut pits = 0;
    for i in 0..400 {
        let from = [0.02 + 0.39 * f64::from(i % 20), 0.03 + 0.39 * f64::from(i / 20)];
        let (points, end) = ways_down(&ground, from);
        let last = points[points.len() - 1];
        assert!(end != End::Flat);
        if end == End::Pit {
            pits += 1;
            let around = ground.faces().iter().enumerate().filter(|(f, _)| {
                ground.corners(*f as u32).iter().any(|&c| ground.lattice().metres(c) == last[..2])
            });
            for (f, _) in around {
                assert!(ground.corner_heights(f as u32).iter().all(|&z| z >= last[2]));
            }
        }
    }
    assert!(pits > 100);
}

#[test]
fn a_way_that_winds_into_a_pit_comes_to_it() {
    // A shell whose facets lean so that water runs round the pit: heights grow with the angle at
    // equal distance, over a step that closes the turn.
    let n = 24;
    let rim = |k: u32, z: f64| {
        let angle = std::f64::consts::TAU * f64::from(k % n) / f64::from(n);
        [2.0 * libm::cos(angle), 2.0 * libm::sin(angle), z]
    };
    let facets = (0..n).map(|k| {
        let z = |k: u32| 0.02 + 0.5 * f64::from(k);
        vec![[0.0, 0.0, 0.0], rim(k, z(k)), rim(k + 1, z(k + 1))]
    });
    let (points, end) = ways_down(&sample::patches(&facets.collect::<Vec<_>>()), [-1.5, -0.1]);
    assert_eq!(end, End::Pit);
    assert_eq!(points[points.len() - 1], [0.0, 0.0, 0.0]);
}

#[test]
fn nothing_runs_off_the_surface() {
    assert_eq!(descend(&sample::terrace(), [9.0, 1.0]), None);
    assert_eq!(descend(&sample::terrace(), [f64::NAN, 1.0]), None);
}
