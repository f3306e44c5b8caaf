//! Point sets that broke general-purpose triangulations, each named for its kind.

use super::*;
use crate::BuildError;

/// The triangulation of all places covers their hull with as many triangles as it must.
fn assert_covers(places: &[LatticePoint]) -> Built {
    let built = built(&flat(places));
    let (n, hull) = (built.surface.vertices().len(), hull(places));
    assert_eq!(n_outline(&built.surface), hull.len());
    assert_eq!(built.surface.faces().len(), 2 * n - 2 - hull.len());
    assert_eq!(twice_area(&built.surface), twice_ring_area(&hull));
    built
}

fn turned_grid(n: i32, turn: f64, steps: f64) -> Vec<LatticePoint> {
    let (sin, cos) = libm::sincos(turn);
    (0..n * n)
        .map(|k| (f64::from(k % n), f64::from(k / n)))
        .map(|(x, y)| (x * cos - y * sin, x * sin + y * cos))
        .map(|(x, y)| at((x * steps).round() / steps, (y * steps).round() / steps))
        .collect()
}

#[test]
fn a_square_grid_turned_by_a_hundred_angles() {
    for k in 0..100 {
        for steps in [1e6, 1e3] {
            let places = turned_grid(30, f64::from(k) * 0.0628, steps);
            assert_eq!(assert_covers(&places).surface.vertices().len(), 900);
        }
    }
}

#[test]
fn a_large_square_grid_turned_by_a_hundred_angles() {
    for k in 0..100 {
        let places = turned_grid(100, f64::from(k) * 0.0628, if k % 2 == 0 { 1e6 } else { 1e3 });
        assert_eq!(assert_covers(&places).surface.vertices().len(), 10_000);
    }
}

#[test]
fn points_closer_than_the_lattice_merge_and_are_reported() {
    let places = [
        (0.0, 0.0),
        (0.05626429153399996, 0.0),
        (0.024093852080076722, 4.80267923973791e-18),
        (0.01379050745122589, 0.1463775332929564),
        (0.05177587092034522, 0.015468457826306506),
        (0.024093852080076705, -5.204170427930421e-18),
    ]
    .map(|(x, y)| at(x, y));
    let merged = assert_covers(&places).report.merged;
    assert_eq!(merged.len(), 1);
    assert_eq!((merged[0].at, merged[0].count), (at(0.024094, 0.0), 2));
}

#[test]
fn seventeen_points_on_a_circle() {
    let places: Vec<LatticePoint> = (0..17)
        .map(|k| libm::sincos(f64::from(k) * std::f64::consts::TAU / 17.0))
        .map(|(sin, cos)| at(1.0 + 3.0 * cos, 1.0 + 3.0 * sin))
        .collect();
    assert_eq!(assert_covers(&places).surface.faces().len(), 15);
}

#[test]
fn a_triangle_almost_without_height() {
    let terrain = Terrain {
        lattice: Lattice::new(1000).unwrap(),
        ..flat(&[
            lattice_point(0, 0),
            lattice_point(1_000_000, 0),
            lattice_point(2_000_000, 40_000),
        ])
    };
    let built = built(&terrain);
    assert_eq!(built.surface.faces().len(), 1);
    assert_eq!(plan_area_m2(&built.surface), 20_000.0);
}

#[test]
fn a_fine_grid_keeps_every_cell() {
    let places: Vec<LatticePoint> = (1..=200)
        .flat_map(|i| (2..=200).map(move |j| at(f64::from(i) * 0.25, f64::from(j) * 0.25)))
        .collect();
    assert_eq!(assert_covers(&places).surface.faces().len(), 78_804);
}

#[test]
fn a_grid_at_national_coordinates_keeps_every_point() {
    for lattice in [Lattice::new(1000).unwrap(), Lattice::default()] {
        for step in [0.1, 0.001] {
            let place = |k: u32| {
                let east = 500_000.0 + f64::from(k % 100) * step;
                let north = 4_500_000.0 + f64::from(k / 100) * step;
                lattice.snap([east - 500_000.0, north - 4_500_000.0]).unwrap()
            };
            let places: Vec<LatticePoint> = (0..10_000).map(place).collect();
            assert_eq!(assert_covers(&places).surface.faces().len(), 19_602);
        }
    }
}

#[test]
fn points_rounded_to_millimetres_merge_and_none_is_lost() {
    let mut draw = Draw(7);
    let places: Vec<LatticePoint> = (0..20_000)
        .map(|_| lattice_point(1000 * draw.below(1001), 1000 * draw.below(1001)))
        .collect();
    let built = assert_covers(&places);
    let repeats: usize = built.report.merged.iter().map(|m| m.count - 1).sum();
    assert!(repeats > 100);
    assert_eq!(built.surface.vertices().len() + repeats, 20_000);
}

#[test]
fn two_tight_clusters_lose_no_point() {
    let mut draw = Draw(3);
    let mut places = Vec::new();
    for corner in [-Lattice::REACH, Lattice::REACH - 50] {
        places.extend(
            (0..800).map(|_| lattice_point(corner + draw.below(50), corner + draw.below(50))),
        );
    }
    let distinct: std::collections::BTreeSet<_> = places.iter().collect();
    assert_eq!(assert_covers(&places).surface.vertices().len(), distinct.len());
}

#[test]
fn profiles_far_apart_are_triangulated_between_them() {
    // Every block of the first pass lies on one line.
    let places: Vec<LatticePoint> = (0..4)
        .flat_map(|row| (0..3000).map(move |k| lattice_point(k * 100, row * 1_000_000)))
        .collect();
    assert_eq!(assert_covers(&places).surface.vertices().len(), 12_000);
}

#[test]
fn the_corners_of_the_lattice() {
    let r = Lattice::REACH;
    let places = [(-r, -r), (r, -r), (r, r), (-r, r), (0, 0), (1, 0), (0, 1), (r, 0), (r, 1)];
    assert_covers(&places.map(|(x, y)| lattice_point(x, y)));
}

#[test]
fn one_line_and_too_few_points_make_no_mesh() {
    let on_line = |y: fn(f64) -> f64| -> Vec<LatticePoint> {
        (0..1000).map(|k| at(f64::from(k) * 0.1, y(f64::from(k) * 0.1))).collect()
    };
    let mut draw = Draw(1);
    let noisy: Vec<LatticePoint> =
        (0..1000).map(|k| at(f64::from(k) * 0.5, f64::from(draw.below(100)) * 1e-14)).collect();
    for places in [on_line(|x| x / 3.0), on_line(|x| 10.0 * x / 3.0), noisy] {
        assert_eq!(build(&flat(&places)), Err(BuildError::OneLine));
    }
    let same = [at(1.0, 1.0); 3];
    assert_eq!(build(&flat(&same)), Err(BuildError::NeedsThree(1)));
    assert_eq!(build(&flat(&[at(0.0, 0.0), at(1.0, 1.0)])), Err(BuildError::NeedsThree(2)));
    assert_eq!(build(&flat(&[])), Err(BuildError::NeedsThree(0)));
    assert_eq!(BuildError::OneLine.to_string(), "the points are all on one line");
}

#[test]
fn what_is_not_a_number_is_refused_with_its_row() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(Lattice::default().snap([bad, 0.0]).is_err());
        let mut terrain = flat(&[at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0)]);
        terrain.points[1].1 = bad;
        assert!(matches!(build(&terrain), Err(BuildError::PointHeight { point: 1, .. })));
        terrain.points[1].1 = 0.0;
        terrain.breaklines =
            vec![line(&[(0.0, 0.0, 0.0)]), line(&[(0.0, 0.0, 0.0), (1.0, 0.0, bad)])];
        assert!(matches!(build(&terrain), Err(BuildError::LineHeight { line: 1, vertex: 1, .. })));
    }
    assert!(Lattice::default().snap([0.0, 1e308]).is_err());
    let beyond = lattice_point(i32::MIN, 0);
    let places = [at(0.0, 0.0), beyond, at(0.0, 1.0)];
    assert_eq!(build(&flat(&places)), Err(BuildError::Beyond { at: beyond }));
}

#[test]
fn a_dense_survey_in_one_cell_of_the_curve_is_still_built() {
    // One stray far away leaves all other places in a single cell.
    let mut draw = Draw(13);
    let mut places: Vec<LatticePoint> =
        (0..50_000).map(|_| lattice_point(draw.below(8_000), draw.below(8_000))).collect();
    places.push(lattice_point(Lattice::REACH, Lattice::REACH));
    let distinct: std::collections::BTreeSet<_> = places.iter().collect();
    assert_eq!(assert_covers(&places).surface.vertices().len(), distinct.len());
}
