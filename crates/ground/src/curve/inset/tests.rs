//! Offsets by closed form, and against distances from random outlines.

use super::*;
use crate::curve::{Path, contains};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn total_area(rings: &[OffsetRing]) -> f64 {
    rings.iter().map(|r| signed_area_m2(&r.points)).sum()
}

fn turned_by_30(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    ring.iter().map(|&p| along(turned(p, std::f64::consts::PI / 6.0), [1.0, -1.0], 200.0)).collect()
}

#[test]
fn a_rectangle_keeps_its_corners_and_vanishes() {
    let box_m = [[0.0, 0.0], [10.0, 0.0], [10.0, 6.0], [0.0, 6.0]];
    for ring in [box_m.to_vec(), turned_by_30(&box_m)] {
        let rings = inset(Lattice::default(), &ring, Run::Even(1.0)).unwrap();
        assert_eq!((rings.len(), rings[0].points.len()), (1, 4));
        assert!((total_area(&rings) - 32.0).abs() < 1e-9);
        assert!(inset(Lattice::default(), &ring, Run::Even(3.5)).unwrap().is_empty());
        let mut back = ring.clone();
        back.reverse();
        let mirrored = inset(Lattice::default(), &back, Run::Even(1.0)).unwrap();
        assert!((total_area(&mirrored) - 32.0).abs() < 1e-9);
        assert_eq!(mirrored[0].carry(&[1.0, 2.0, 3.0, 4.0], Blend::Linear).len(), 4);
    }
}

#[test]
fn a_dumbbell_parts_at_its_neck() {
    // Two rooms of 4 x 4 m joined by a passage 2 m long and 1 m wide.
    let ring = [
        [0.0, 0.0],
        [4.0, 0.0],
        [4.0, 1.5],
        [6.0, 1.5],
        [6.0, 0.0],
        [10.0, 0.0],
        [10.0, 4.0],
        [6.0, 4.0],
        [6.0, 2.5],
        [4.0, 2.5],
        [4.0, 4.0],
        [0.0, 4.0],
    ];
    let z: Vec<f64> = ring.iter().map(|p| p[0]).collect();
    for ring in [ring.to_vec(), turned_by_30(&ring)] {
        let narrow = inset(Lattice::default(), &ring, Run::Even(0.25)).unwrap();
        assert_eq!(narrow.len(), 1);
        let parts = inset(Lattice::default(), &ring, Run::Even(0.75)).unwrap();
        assert_eq!(parts.len(), 2);
        // Each room keeps 2.5 x 2.5 m and bulges at its door, between circles about the jambs,
        // by 0.0600 m2; the facets about those circles take a little of that back.
        let area = total_area(&parts);
        assert!(area > 12.60 && area < 12.62, "{area}");
        for part in &parts {
            let carried = part.carry(&z, Blend::Linear);
            let (low, high) =
                carried.iter().fold((f64::MAX, f64::MIN), |(a, b), &z| (a.min(z), b.max(z)));
            assert!(high - low >= 2.5 && low >= 0.0 && high <= 10.0);
        }
    }
}

#[test]
fn a_bay_that_closes_leaves_a_hole() {
    // A room of 6 x 6 m with walls 1 m thick and a door 1 m wide.
    let ring = [
        [0.0, 0.0],
        [8.0, 0.0],
        [8.0, 3.5],
        [7.0, 3.5],
        [7.0, 1.0],
        [1.0, 1.0],
        [1.0, 7.0],
        [7.0, 7.0],
        [7.0, 4.5],
        [8.0, 4.5],
        [8.0, 8.0],
        [0.0, 8.0],
    ];
    let rings = outset(Lattice::default(), &ring, Run::Even(0.6)).unwrap();
    assert_eq!(rings.len(), 2);
    let areas: Vec<f64> = rings.iter().map(|r| signed_area_m2(&r.points)).collect();
    assert!(areas.iter().any(|a| *a > 64.0) && areas.iter().any(|a| *a < -20.0), "{areas:?}");
}

#[test]
fn runs_that_vary_move_each_side_by_its_own() {
    let ring = [[0.0, 0.0], [10.0, 0.0], [10.0, 6.0], [0.0, 6.0]];
    let rings = inset(Lattice::default(), &ring, Run::PerVertex(&[1.0, 1.0, 2.0, 2.0])).unwrap();
    assert_eq!(rings[0].points.len(), 4);
    assert!(
        rings[0]
            .points
            .iter()
            .any(|p| crate::curve::norm(crate::curve::sub(*p, [1.0, 1.0])) < 1e-9)
    );
    assert!(
        rings[0]
            .points
            .iter()
            .any(|p| crate::curve::norm(crate::curve::sub(*p, [8.0, 4.0])) < 1e-9)
    );
    assert_eq!(
        inset(Lattice::default(), &ring, Run::PerVertex(&[1.0, -1.0])).unwrap_err(),
        OffsetError::Run { vertex: 1 }
    );
    assert!(inset(Lattice::default(), &ring, Run::Even(f64::NAN)).is_err());
}

fn star(radii: &[f64]) -> Vec<[f64; 2]> {
    let n = radii.len() as f64;
    radii
        .iter()
        .enumerate()
        .map(|(i, r)| turned([*r, 0.0], std::f64::consts::TAU * i as f64 / n))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(4), ..ProptestConfig::default() })]
    #[test]
    fn insets_of_stars_keep_their_distance(
        radii in prop::collection::vec(1.0..5.0f64, 5..60),
        run in 0.05..1.5f64,
    ) {
        let ring = star(&radii);
        let path = Path::new(&ring, Closure::Closed).unwrap();
        for (rings, inner) in [
            (inset(Lattice::default(), &ring, Run::Even(run)).unwrap(), true),
            (outset(Lattice::default(), &ring, Run::Even(run)).unwrap(), false),
        ] {
            for r in &rings {
                prop_assert!(first_crossing(Lattice::default(), &r.points, Closure::Closed).unwrap().is_none());
                for p in &r.points {
                    prop_assert_eq!(contains(&ring, *p), inner);
                    let d = path.nearest(*p).distance_m;
                    prop_assert!(d >= run - 1e-5 && d <= run / 0.98, "{} {}", d, run);
                }
            }
            // Every place deeper than the facets reach lies in the offset.
            for i in 0..40 { for j in 0..40 {
                let p = [f64::from(i) * 0.3 - 6.0, f64::from(j) * 0.3 - 6.0];
                let d = path.nearest(p).distance_m;
                let n_around = rings.iter().filter(|r| contains(&r.points, p)).count();
                let here = contains(&ring, p) == inner;
                let beyond = here && d > run / 0.98;
                let within = !here || d < run - 1e-5;
                // Inside an outset's outline is what lies within the run.
                if inner {
                    if beyond { prop_assert_eq!(n_around, 1); }
                    if within { prop_assert_eq!(n_around, 0); }
                } else {
                    if beyond { prop_assert_eq!(n_around % 2, 0); }
                    if within { prop_assert_eq!(n_around % 2, 1); }
                }
            }}
        }
    }
}

/// A smooth outline so deep inset that every lobe's tip is swallowed: in steps as at once.
#[test]
fn steps_add_nothing_to_a_deep_inset() {
    let ring: Vec<[f64; 2]> = (0..200)
        .map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / 200.0;
            turned([8.0 + 1.5 * libm::sin(5.0 * angle), 0.0], angle)
        })
        .collect();
    let parameters: Vec<f64> = ring.iter().map(|p| p[0]).collect();
    for run in [4.0, 5.0] {
        assert!(n_swallowing(&vertices_of(&ring, Run::Even(run), 1.0).unwrap()) > MOST_SWALLOWING);
        let stepped = inset(Lattice::default(), &ring, Run::Even(run)).unwrap();
        let once = offset(Lattice::default(), &ring, Run::Even(run), 1.0).unwrap();
        assert!((total_area(&stepped) - total_area(&once)).abs() < 1e-4);
        for (place, origin) in stepped.iter().flat_map(|r| r.points.iter().zip(&r.origins)) {
            for source in origin.map(|o| ring[(o.round() as usize) % 200]) {
                let away = crate::curve::norm(crate::curve::sub(*place, source));
                assert!(away > run - 1e-4 && away < run * 1.05, "{away}");
            }
        }
        let carried = stepped[0].carry(&parameters, Blend::Linear);
        assert!(carried.iter().all(|x| x.abs() <= 9.5));
    }
}
