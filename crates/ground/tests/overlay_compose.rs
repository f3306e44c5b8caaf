//! Composed surfaces: valid, watertight in topology, and true to the volumes between their sources.

mod shared;

use ground::overlay::{Composed, Domain, Keep, Rooted, compose, volumes};
use ground::triangulate::{Terrain, build};
use ground::{LatticePoint, Surface};
use shared::{Random, rough, second_way};

fn highest(ground: &Surface, patch: &Surface) -> Surface {
    composed(ground, patch, Keep::Highest).surface
}

fn composed(ground: &Surface, patch: &Surface, keep: Keep) -> Composed {
    let done = compose(ground, patch, keep, Domain::Ground, Rooted::Anywhere);
    done.surface.check().expect("a composed surface is valid");
    done
}

#[test]
fn a_surface_composed_with_itself_stays() {
    let mut random = Random::new(1);
    let ground = rough(&mut random, 200, 20.0, 1.0);
    assert_eq!(highest(&ground, &ground), ground);
    assert_eq!(composed(&ground, &ground, Keep::Lowest).surface, ground);
}

#[test]
fn the_higher_of_two_rough_surfaces() {
    for seed in 0..60 {
        let mut random = Random::new(seed);
        let n = 10 + 10 * seed as usize;
        let a = rough(&mut random, n, 20.0, 1.0);
        let b = rough(&mut random, n, 20.0, 1.0);
        for keep in [Keep::Highest, Keep::Lowest] {
            let c = composed(&a, &b, keep);
            let ab = volumes(&a, &b);
            let ac = volumes(&a, &c.surface);
            let (expected, found, other) = match keep {
                Keep::Highest => (ab.fill_m3, ac.fill_m3, ac.cut_m3),
                Keep::Lowest => (ab.cut_m3, ac.cut_m3, ac.fill_m3),
            };
            assert!((expected - found).abs() < 1e-7 * expected, "{seed}: {expected} {found}");
            assert!(other < 1e-7 * expected, "{seed}: {other}");
            let again = composed(&c.surface, &b, keep);
            assert_eq!(again.surface, c.surface, "{seed} {:?}", again.changed);
        }
    }
}

#[test]
fn the_lowest_of_two_is_the_highest_upside_down() {
    let turned =
        |surface: &Surface| {
            let mut points: Vec<(LatticePoint, f64)> = Vec::new();
            for face in surface.faces() {
                let corners = face.vertices.iter().zip(&face.heights);
                points.extend(corners.map(|(&v, &h)| {
                    (surface.vertices()[v as usize], -surface.heights()[h as usize])
                }));
            }
            points.sort_by_key(|point| point.0);
            points.dedup();
            build(&Terrain { points, ..Terrain::default() }).expect("the same places").surface
        };
    for seed in 0..40 {
        let mut random = Random::new(500 + seed);
        let a = rough(&mut random, 10 + 5 * seed as usize, 20.0, 1.0);
        let b = rough(&mut random, 60, 20.0, 1.0);
        let high = composed(&a, &b, Keep::Highest).surface;
        let low = composed(&turned(&a), &turned(&b), Keep::Lowest).surface;
        assert_eq!(high.vertices(), low.vertices(), "{seed}");
        assert_eq!(high.faces().len(), low.faces().len(), "{seed}");
        for f in 0..high.faces().len() as u32 {
            assert_eq!(high.corners(f), low.corners(f), "{seed}");
            let upright = low.corner_heights(f).map(|z| -z);
            for (z, other) in high.corner_heights(f).into_iter().zip(upright) {
                assert!((z - other).abs() < 1e-9, "{seed}: {z} {other}");
            }
        }
    }
}

#[test]
fn either_may_be_the_patch() {
    for seed in 0..40 {
        let mut random = Random::new(700 + seed);
        let a = rough(&mut random, 20 + 3 * seed as usize, 20.0, 1.0);
        let b = rough(&mut random, 80, 20.0, 1.0);
        for keep in [Keep::Highest, Keep::Lowest] {
            let (ab, ba) = (composed(&a, &b, keep).surface, composed(&b, &a, keep).surface);
            let between = volumes(&ab, &ba);
            let moved = volumes(&a, &b).fill_m3;
            assert!(between.cut_m3 + between.fill_m3 < 1e-7 * moved, "{seed}: {between:?}");
            let of = |c: &Surface| volumes(&a, c).change_m3;
            assert!((of(&ab) - of(&ba)).abs() < 1e-7 * moved, "{seed}");
        }
    }
}

#[test]
fn large_rough_pairs() {
    for (seed, n) in [(1, 1_000), (2, 2_500), (3, 5_000)] {
        let mut random = Random::new(800 + seed);
        let a = rough(&mut random, n, 50.0, 1.0);
        let b = rough(&mut random, n, 50.0, 1.0);
        let between = volumes(&a, &b);
        let [cut, fill, area] = second_way::cut_fill_area(&a, &b);
        for (found, expected) in
            [(between.cut_m3, cut), (between.fill_m3, fill), (between.common_area_m2, area)]
        {
            assert!((found - expected).abs() < 1e-9 * expected, "{n}: {found} for {expected}");
        }
        let high = highest(&a, &b);
        let found = volumes(&a, &high);
        assert!((found.fill_m3 - fill).abs() < 1e-7 * fill, "{n}: {} {fill}", found.fill_m3);
        assert!(found.cut_m3 < 1e-7 * fill, "{n}: {}", found.cut_m3);
        assert_eq!(highest(&high, &b), high, "{n}");
    }
}
