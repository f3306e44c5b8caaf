//! Closed forms of basins, and outlines at random.

use super::*;
use crate::curve::{Closure, Path, Run, contains, inset, norm, signed_area_m2, turned};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::f64::consts::{PI, TAU};

const FT: f64 = 0.3048;

/// As drawn, and turned by 30 degrees and moved.
const PLACINGS: [(f64, [f64; 2]); 2] = [(0.0, [0.0, 0.0]), (PI / 6.0, [-211.7, 95.3])];

fn ring(points: &[[f64; 2]], z: f64, part: u32, (angle, by): (f64, [f64; 2])) -> Ring3 {
    let place = |p: &[f64; 2]| {
        let t = turned(*p, angle);
        ([t[0] + by[0], t[1] + by[1]], z)
    };
    Ring3 { points: points.iter().map(place).collect(), part }
}

fn polygon(n: usize, radius: f64) -> Vec<[f64; 2]> {
    (0..n).map(|i| turned([radius, 0.0], TAU * i as f64 / n as f64)).collect()
}

fn rectangle(a: f64, b: f64) -> Vec<[f64; 2]> {
    vec![[-a, -b], [a, -b], [a, b], [-a, b]]
}

fn area_of(surface: &Surface, f: u32) -> f64 {
    let [a, b, c] = surface.corners(f);
    0.5 * orient(a, b, c) as f64 * surface.lattice().step_m().powi(2)
}

fn dug_m3(surface: &Surface) -> f64 {
    (0..surface.faces().len() as u32)
        .map(|f| -area_of(surface, f) * surface.corner_heights(f).iter().sum::<f64>() / 3.0)
        .sum()
}

/// Round basin, radii 10 and 4 ft, 3 ft deep: 490.09 ft3, closed form of a frustum.
#[test]
fn a_round_basin_converges_to_the_frustum_by_second_order() {
    for placing in PLACINGS {
        let mut errors = Vec::new();
        for n in [32, 64, 128] {
            let rings_3 = [
                ring(&polygon(n, 10.0 * FT), 0.0, 1, placing),
                ring(&polygon(n, 4.0 * FT), -3.0 * FT, 2, placing),
            ];
            let surface = rings(Lattice::default(), &rings_3, &[], 5).unwrap();
            surface.check().unwrap();
            let share = n as f64 / TAU * libm::sin(TAU / n as f64);
            let exact = PI * share * (100.0 + 40.0 + 16.0);
            let cubic_feet = dug_m3(&surface) / FT.powi(3);
            assert!((cubic_feet / exact - 1.0).abs() < 1e-6, "{cubic_feet} {exact}");
            errors.push(490.088 - cubic_feet);
        }
        assert!((errors[0] / errors[1] - 4.0).abs() < 0.05, "{errors:?}");
        assert!((errors[1] / errors[2] - 4.0).abs() < 0.05, "{errors:?}");
    }
}

/// Top 100 by 70 ft, sides 2 to 1, 12 ft deep: 44,256 ft3, Math Central, University of Regina,
/// QQ.09.07/tom4.
#[test]
fn a_rectangular_basin_has_its_volume() {
    for placing in PLACINGS {
        let rings_3 = [
            ring(&rectangle(50.0 * FT, 35.0 * FT), 0.0, 1, placing),
            ring(&rectangle(26.0 * FT, 11.0 * FT), -12.0 * FT, 2, placing),
        ];
        let surface = rings(Lattice::default(), &rings_3, &[], 5).unwrap();
        surface.check().unwrap();
        assert_eq!(surface.faces().len(), 10);
        let cubic_feet = dug_m3(&surface) / FT.powi(3);
        assert!((cubic_feet / 44_256.0 - 1.0).abs() < 1e-6, "{cubic_feet}");
        let floor = surface.faces().iter().filter(|f| f.tag == Tag { owner: 5, part: 2 });
        assert_eq!(floor.count(), 2);
    }
}

#[test]
fn a_sump_is_a_pyramid_to_its_point() {
    let rings_3 = [ring(&rectangle(3.0, 2.0), 0.0, 1, PLACINGS[0])];
    let surface = rings(Lattice::default(), &rings_3, &[([0.5, 0.25], -1.5)], 1).unwrap();
    surface.check().unwrap();
    assert!((dug_m3(&surface) - 24.0 * 1.5 / 3.0).abs() < 1e-6);
}

/// An L whose deep lies in one leg only: the other leg's floor falls to its middle line.
#[test]
fn a_lobe_without_a_deep_has_no_ledge() {
    for placing in PLACINGS {
        let l = [[0.0, 0.0], [10.0, 0.0], [10.0, 3.0], [3.0, 3.0], [3.0, 9.0], [0.0, 9.0]];
        let deep = [[7.0, 1.0], [9.0, 1.0], [9.0, 2.0], [7.0, 2.0]];
        let rings_3 = [ring(&l, 0.0, 1, placing), ring(&deep, -1.0, 2, placing)];
        let surface = rings(Lattice::default(), &rings_3, &[], 1).unwrap();
        surface.check().unwrap();
        let level: f64 = (0..surface.faces().len() as u32)
            .filter(|&f| surface.faces()[f as usize].tag.part == 1)
            .filter(|&f| surface.plane(f).grade(surface.lattice()) < 1e-6)
            .map(|f| area_of(&surface, f))
            .sum();
        assert!(level < 0.05, "{level} m2 lies level");
        assert!(surface.faces().len() < 200);
    }
}

/// Between two deeps at one level the ground stands higher than both.
#[test]
fn two_deeps_have_a_saddle_between_them() {
    let deep = |x: f64| [[x, 1.0], [x + 2.0, 1.0], [x + 2.0, 3.0], [x, 3.0]];
    let rings_3 = [
        ring(&[[0.0, 0.0], [9.0, 0.0], [9.0, 4.0], [0.0, 4.0]], 0.0, 1, PLACINGS[0]),
        ring(&deep(1.0), -1.0, 2, PLACINGS[0]),
        ring(&deep(6.0), -1.0, 3, PLACINGS[0]),
    ];
    let surface = rings(Lattice::default(), &rings_3, &[], 1).unwrap();
    surface.check().unwrap();
    for f in 0..surface.faces().len() as u32 {
        if surface.faces()[f as usize].tag.part == 1 {
            assert!(surface.plane(f).grade(surface.lattice()) > 1e-3);
        }
    }
}

#[test]
fn rings_that_meet_are_named_with_the_place() {
    let outer = ring(&rectangle(2.0, 2.0), 0.0, 1, PLACINGS[0]);
    let crossing = ring(&[[0.0, 0.0], [3.0, 0.0], [0.0, 1.0]], 0.0, 1, PLACINGS[0]);
    let touching = ring(&[[0.0, 0.0], [2.0, 0.0], [0.0, 1.0]], 0.0, 1, PLACINGS[0]);
    let bow = ring(&[[-1.0, -1.0], [1.0, 1.0], [1.0, -0.5], [-1.0, 1.0]], 0.0, 1, PLACINGS[0]);
    let build = |other: &Ring3| rings(Lattice::default(), &[outer.clone(), other.clone()], &[], 1);
    assert_eq!(build(&crossing).unwrap_err(), RingsError::Meet { rings: [0, 1], at: [2.0, 0.0] });
    assert_eq!(build(&touching).unwrap_err(), RingsError::Meet { rings: [0, 1], at: [2.0, 0.0] });
    assert!(matches!(build(&bow), Err(RingsError::Meet { rings: [1, 1], .. })));
    let flat = ring(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.0]], 0.0, 1, PLACINGS[0]);
    assert_eq!(build(&flat), Err(RingsError::NoArea { ring: 1 }));
    let no_z = ring(&rectangle(1.0, 1.0), f64::NAN, 1, PLACINGS[0]);
    assert_eq!(build(&no_z), Err(RingsError::NotFinite { ring: 1, point: 0 }));
    let apex = rings(Lattice::default(), std::slice::from_ref(&outer), &[([9.0, 0.0], 1.0)], 1);
    assert_eq!(apex, Err(RingsError::Apex { apex: 0 }));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(15), ..ProptestConfig::default() })]
    #[test]
    fn basins_of_any_outline_fall_all_the_way(
        radii in prop::collection::vec(2.0..6.0f64, 5..40),
        shelf in 0.2..0.8f64,
    ) {
        let n = radii.len() as f64;
        let outline: Vec<[f64; 2]> = radii
            .iter()
            .enumerate()
            .map(|(i, r)| turned([*r, 0.0], TAU * i as f64 / n))
            .collect();
        let lattice = Lattice::default();
        let mut all = vec![ring(&outline, 0.0, 0, PLACINGS[0])];
        for (k, z) in [(1.0, -0.3), (2.0, -0.9)] {
            for inner in inset(lattice, &outline, Run::Even(k * shelf)).unwrap() {
                all.push(ring(&inner.points, z, k as u32, PLACINGS[0]));
            }
        }
        let surface = rings(lattice, &all, &[], 1).unwrap();
        surface.check().unwrap();
        let area: f64 = (0..surface.faces().len() as u32).map(|f| area_of(&surface, f)).sum();
        prop_assert!((area - signed_area_m2(&outline)).abs() < 1e-3);
        if all.len() == 1 { return Ok(()); }
        // Off the floor, heights follow the distance from the outline: nothing lies level there.
        let path = Path::new(&outline, Closure::Closed).unwrap();
        for f in 0..surface.faces().len() as u32 {
            let part = surface.faces()[f as usize].tag.part;
            if part == 2 { continue; }
            let z = surface.corner_heights(f);
            let c = surface.corners(f).map(|p| lattice.metres(p));
            let centre = [(c[0][0] + c[1][0] + c[2][0]) / 3.0, (c[0][1] + c[1][1] + c[2][1]) / 3.0];
            // A ring with nothing inside it is a floor.
            let plan = |r: &Ring3| r.points.iter().map(|p| p.0).collect::<Vec<_>>();
            let around = all.iter().find(|r| r.part == part && contains(&plan(r), centre));
            let holds = |r: &Ring3| {
                all.iter().any(|s| s.part == part + 1 && contains(&plan(r), s.points[0].0))
            };
            if !around.is_some_and(holds) { continue; }
            let level = z[0] == z[1] && z[1] == z[2];
            let deep = path.nearest(centre).distance_m;
            prop_assert!(!level || area_of(&surface, f) < 0.02 || deep < 0.01,
                "face {f} lies level at {centre:?}, {} m2", area_of(&surface, f));
            prop_assert!(norm(centre) < 7.0);
        }
    }
}
