//! Compositions of surfaces that share vertices, edges and planes, or hardly fit the lattice.

mod shared;

use ground::overlay::{Domain, Keep, Rooted, Volumes, compose, volumes};
use ground::{LatticePoint, Surface};
use shared::{Random, on_lattice, rough, through};

fn area_m2(surface: &Surface) -> f64 {
    volumes(surface, surface).common_area_m2
}

/// Composes both ways of keeping and both domains, and proves each result.
fn prove(ground: &Surface, patch: &Surface, bound_m3: f64, what: &str) {
    let between = volumes(ground, patch);
    for keep in [Keep::Highest, Keep::Lowest] {
        for domain in [Domain::Ground, Domain::Union] {
            let what = format!("{what} {keep:?} {domain:?}");
            let done = compose(ground, patch, keep, domain, Rooted::Anywhere).surface;
            if let Err(fault) = done.check() {
                panic!("{what}: {fault}");
            }
            let toward = |v: &Volumes| match keep {
                Keep::Highest => (v.fill_m3, v.cut_m3),
                Keep::Lowest => (v.cut_m3, v.fill_m3),
            };
            let (won, lost) = toward(&between);
            let (from_ground, wrong) = toward(&volumes(ground, &done));
            assert!((from_ground - won).abs() <= bound_m3, "{what}: {from_ground} for {won}");
            assert!(wrong <= bound_m3, "{what}: {wrong} on the wrong side");
            let area = area_m2(&done);
            let expected = match domain {
                Domain::Ground => area_m2(ground),
                Domain::Union => {
                    let (gained, wrong) = toward(&volumes(patch, &done));
                    assert!((gained - lost).abs() <= bound_m3, "{what}: {gained} for {lost}");
                    assert!(wrong <= bound_m3, "{what}: {wrong} on the patch's wrong side");
                    area_m2(ground) + area_m2(patch) - between.common_area_m2
                }
            };
            assert!((area - expected).abs() <= bound_m3, "{what}: area {area} for {expected}");
            if domain == Domain::Union {
                continue;
            }
            let again = compose(&done, patch, keep, domain, Rooted::Anywhere);
            assert!(again.surface == done, "{what}: twice is not once {:?}", again.changed);
        }
    }
}

#[test]
fn a_second_way_agrees() {
    for seed in 0..2000 {
        let mut random = Random::new(9000 + seed);
        let sizes = [3 + seed as usize % 6, 3 + seed as usize % 5];
        let [a, b] = sizes.map(|n| rough(&mut random, n, 5.0 + random_side(seed), 1.0));
        let found = volumes(&a, &b);
        let [cut, fill, area] = shared::second_way::cut_fill_area(&a, &b);
        for (found, expected) in
            [(found.cut_m3, cut), (found.fill_m3, fill), (found.common_area_m2, area)]
        {
            assert!((found - expected).abs() <= 1e-9 * area, "{seed}: {found} for {expected}");
            let is_tiny = expected < 1e-3 * area;
            let share = (found - expected).abs() / expected;
            assert!(is_tiny || share <= 1e-9, "{seed}: {found} for {expected}");
        }
        let back = volumes(&b, &a);
        let sum = found.cut_m3 + found.fill_m3;
        assert!((back.fill_m3 - found.cut_m3).abs() <= 1e-12 * sum, "{seed}");
        assert!((found.fill_m3 - found.cut_m3 - found.change_m3).abs() <= 1e-12 * sum, "{seed}");
    }
}

fn random_side(seed: u64) -> f64 {
    (seed % 7) as f64
}

#[test]
fn rough_patches_anywhere() {
    for seed in 0..150 {
        let mut random = Random::new(1000 + seed);
        let ground = rough(&mut random, 3 + seed as usize, 20.0, 1.0);
        let side = 1.0 + 25.0 * random.unit();
        let n_points = 4 + (60.0 * random.unit()) as usize;
        let corner = [20.0 * random.unit() - side / 2.0, 20.0 * random.unit() - side / 2.0];
        let points: Vec<[f64; 3]> = (0..n_points)
            .map(|_| {
                [corner[0] + side * random.unit(), corner[1] + side * random.unit(), random.unit()]
            })
            .collect();
        prove(&ground, &through(&points), 1e-5, &format!("rough {seed}"));
    }
}

#[test]
fn grids_that_share_vertices_edges_and_planes() {
    for seed in 0..120 {
        let mut random = Random::new(2000 + seed);
        let levels = 1 + seed % 4;
        let ground = stepped(&mut random, [0.0, 0.0], 6, levels, 0.0);
        let turn = [0.0, 0.0, 0.25, 0.5, 0.125][seed as usize % 5];
        let corner = [[0.0, 0.0], [1.0, 2.0], [0.5, 0.5], [-3.0, 1.0], [2.0, 2.25]];
        let corner = corner[(seed / 5) as usize % 5];
        let patch = stepped(&mut random, corner, 4, levels, turn);
        prove(&ground, &patch, 1e-5, &format!("grid {seed}"));
    }
}

/// A grid of cells of one metre whose heights are a few whole numbers, turned by a share of a right
/// angle about its corner.
fn stepped(random: &mut Random, corner: [f64; 2], n: usize, levels: u64, turn: f64) -> Surface {
    let angle = turn * std::f64::consts::FRAC_PI_2;
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    let mut points = Vec::new();
    for i in 0..=n {
        for j in 0..=n {
            let (x, y) = (i as f64, j as f64);
            let z = (random.bits() % levels) as f64;
            points.push([corner[0] + c * x - s * y, corner[1] + s * x + c * y, z]);
        }
    }
    through(&points)
}

#[test]
fn surfaces_a_few_lattice_steps_wide_stay_valid() {
    for seed in 0..3000 {
        let mut random = Random::new(3000 + seed);
        let span = [6, 12, 30, 100, 1000][seed as usize % 5];
        let cloud = |random: &mut Random, n: usize| -> Vec<(LatticePoint, f64)> {
            (0..n)
                .map(|_| {
                    let x = (random.bits() % span) as i32;
                    let y = (random.bits() % span) as i32;
                    (LatticePoint { x, y }, random.unit())
                })
                .collect()
        };
        let n = 4 + (seed / 5) as usize % 30;
        let (a, b) = (cloud(&mut random, n), cloud(&mut random, n));
        let (Some(a), Some(b)) = (on_lattice(&a), on_lattice(&b)) else { continue };
        for keep in [Keep::Highest, Keep::Lowest] {
            for domain in [Domain::Ground, Domain::Union] {
                let done = compose(&a, &b, keep, domain, Rooted::Anywhere).surface;
                if let Err(fault) = done.check() {
                    panic!("{seed} {keep:?} {domain:?}: {fault}");
                }
            }
        }
    }
}

/// Seeds whose chains once gave two faces the same side of an edge.
const FOLDED: [u64; 4] = [1374, 1938, 3779, 5978];

#[test]
fn chains_of_surfaces_a_few_lattice_steps_wide_stay_valid() {
    for seed in (0..400).chain(FOLDED) {
        let mut random = Random::new(777_000 + seed);
        let span = [8, 16, 30, 60, 200][seed as usize % 5];
        let grade = [1e-6, 3e-6, 1.0, 1e-5][(seed / 5) as usize % 4];
        let n = 4 + (seed / 5) as usize % 40;
        let cloud = |random: &mut Random| {
            let levels = 1 + random.bits() % 9;
            let points: Vec<(LatticePoint, f64)> = (0..n)
                .map(|_| {
                    let x = (random.bits() % span) as i32;
                    let y = (random.bits() % span) as i32;
                    let whole = levels <= 6;
                    let z =
                        if whole { (random.bits() % levels) as f64 / 4.0 } else { random.unit() };
                    (LatticePoint { x, y }, z * span as f64 * grade)
                })
                .collect();
            on_lattice(&points)
        };
        let Some(mut site) = cloud(&mut random) else { continue };
        for step in 0..6 {
            let keep = [Keep::Highest, Keep::Lowest][random.bits() as usize % 2];
            let domain = [Domain::Ground, Domain::Union][random.bits() as usize % 2];
            let Some(patch) = cloud(&mut random) else { continue };
            site = compose(&site, &patch, keep, domain, Rooted::Anywhere).surface;
            if let Err(fault) = site.check() {
                panic!("{seed} step {step} {keep:?} {domain:?}: {fault}");
            }
        }
    }
}

#[test]
fn ten_patches_one_after_the_other() {
    for seed in 0..20 {
        let mut random = Random::new(4000 + seed);
        let mut ground = rough(&mut random, 200, 20.0, 0.3);
        for step in 0..10 {
            let centre = [20.0 * random.unit(), 20.0 * random.unit()];
            let mut points: Vec<[f64; 3]> = Vec::new();
            for k in 0..24 {
                let angle = f64::from(k) * std::f64::consts::TAU / 24.0;
                for (radius, z) in [(4.0, -0.5), (2.0, 0.9)] {
                    let (x, y) = (radius * libm::cos(angle), radius * libm::sin(angle));
                    points.push([centre[0] + x, centre[1] + y, z]);
                }
            }
            let hill = through(&points);
            let expected = volumes(&ground, &hill).fill_m3;
            let next = compose(&ground, &hill, Keep::Highest, Domain::Ground, Rooted::Anywhere);
            if let Err(fault) = next.surface.check() {
                panic!("{seed} {step}: {fault}");
            }
            let found = volumes(&ground, &next.surface).fill_m3;
            assert!((found - expected).abs() < 1e-7 * expected, "{found} for {expected}");
            ground = next.surface;
        }
        assert!(ground.faces().len() < 4000, "{}", ground.faces().len());
    }
}
