//! Closed forms of sweeps, and the envelope against distances measured from the line.

mod dips;

use std::f64::consts::{PI, TAU};

use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::curve::{Path, norm, sub, turned};
use crate::predicates::orient;
use crate::{Locator, NONE};

const FT: f64 = 0.3048;
const FACET: f64 = PI / 12.0;

/// Heights of one place that differ by less come from rounding to the lattice.
const STEP_M: f64 = 1e-5;

/// As drawn, and turned by 30 degrees and moved.
const PLACINGS: [(f64, [f64; 2]); 2] = [(0.0, [0.0, 0.0]), (PI / 6.0, [-187.3, 66.6])];

fn placed(p: [f64; 2], (angle, by): (f64, [f64; 2])) -> [f64; 2] {
    let t = turned(p, angle);
    [t[0] + by[0], t[1] + by[1]]
}

fn line(points: &[([f64; 2], f64)], profile: &[[f64; 2]]) -> Vec<SweepStation> {
    points
        .iter()
        .map(|&(at, z)| SweepStation { at, z, left: profile.to_vec(), right: profile.to_vec() })
        .collect()
}

fn as_swept<'a>(stations: &'a [SweepStation], parts: &'a [u32]) -> Sweep<'a> {
    Sweep {
        lattice: Lattice::default(),
        stations,
        closure: Closure::Open,
        side: Side::Both,
        ends: Ends::Round,
        keep: Keep::Highest,
        facet_angle_rad: FACET,
        owner: 3,
        parts,
    }
}

fn area_m2(surface: &Surface, f: u32) -> f64 {
    let [a, b, c] = surface.corners(f);
    0.5 * orient(a, b, c) as f64 * surface.lattice().step_m().powi(2)
}

/// The volume above a level over the whole surface.
fn volume_above(surface: &Surface, z: f64) -> f64 {
    (0..surface.faces().len() as u32)
        .map(|f| {
            let mean = surface.corner_heights(f).iter().sum::<f64>() / 3.0;
            area_m2(surface, f) * (mean - z)
        })
        .sum()
}

/// Edges whose sides differ in height, as texts to show.
fn steps(surface: &Surface) -> Vec<String> {
    steps_with_tops(surface).into_iter().map(|s| s.0).collect()
}

fn steps_with_tops(surface: &Surface) -> Vec<(String, f64)> {
    let z = |face: &crate::Face, v: u32| {
        let corner = face.vertices.iter().position(|&w| w == v).unwrap();
        surface.heights()[face.heights[corner] as usize]
    };
    let mut found = Vec::new();
    for face in surface.faces() {
        for k in 0..3 {
            if face.neighbours[k] == NONE {
                continue;
            }
            let other = &surface.faces()[face.neighbours[k] as usize];
            let ends = [face.vertices[k], face.vertices[(k + 1) % 3]];
            let rise = ends.map(|v| z(face, v) - z(other, v));
            if ends[0] < ends[1] && rise.iter().any(|r| r.abs() > STEP_M) {
                let at = ends.map(|v| surface.lattice().metres(surface.vertices()[v as usize]));
                let top = ends.map(|v| z(face, v).max(z(other, v)));
                found.push((format!("{at:?} rises {rise:?}"), top[0].max(top[1])));
            }
        }
    }
    found
}

fn steepest(surface: &Surface) -> f64 {
    (0..surface.faces().len() as u32)
        .map(|f| surface.plane(f).grade(surface.lattice()))
        .fold(0.0, f64::max)
}

#[test]
fn a_single_station_is_a_cone() {
    for placing in PLACINGS {
        for keep in [Keep::Highest, Keep::Lowest] {
            let fall = falls(keep);
            let profile = [[0.0, 0.0], [3.0, -fall]];
            let stations = line(&[(placed([1.0, 2.0], placing), 5.0)], &profile);
            let cone = sweep(&Sweep { keep, ..as_swept(&stations, &[4]) }).unwrap();
            cone.check().unwrap();
            let n = (TAU / FACET).round();
            assert_eq!(cone.faces().len(), n as usize);
            let base = n * 9.0 * libm::tan(PI / n);
            let volume = fall * volume_above(&cone, 5.0 - fall);
            assert!((volume - base / 3.0).abs() < 1e-5, "{volume}");
            for f in 0..cone.faces().len() as u32 {
                assert!((3.0 * cone.plane(f).grade(cone.lattice()) - 1.0).abs() < 1e-9);
            }
        }
    }
}

/// A berm 2 ft on top, 1.5 ft high and 3 to 1 has 9.75 ft2 of section: its closed form. Round ends
/// add a facetted frustum of a cone, radii 1 and 5.5 ft.
#[test]
fn a_straight_berm_has_its_prisms_volume_and_its_ends() {
    let profile = [[0.0, 0.0], [1.0 * FT, 0.0], [5.5 * FT, -1.5 * FT]];
    for placing in PLACINGS {
        let points = [0.0, 8.0, 20.0].map(|x| (placed([x * FT, 0.0], placing), 1.5 * FT));
        let stations = line(&points, &profile);
        let cut = sweep(&Sweep { ends: Ends::Cut, ..as_swept(&stations, &[1, 2]) }).unwrap();
        cut.check().unwrap();
        let prism = volume_above(&cut, 0.0) / FT.powi(3);
        assert!((prism / (9.75 * 20.0) - 1.0).abs() < 1e-5, "{prism}");
        let round = sweep(&as_swept(&stations, &[1, 2])).unwrap();
        round.check().unwrap();
        let n = (TAU / FACET).round();
        let frustum = n * libm::tan(PI / n) * 1.5 / 3.0 * (1.0 + 5.5 + 5.5 * 5.5);
        let both = volume_above(&round, 0.0) / FT.powi(3);
        assert!((both - prism - frustum).abs() < 1e-3, "{both} {prism} {frustum}");
        let crest: f64 = (0..round.faces().len() as u32)
            .filter(|&f| round.faces()[f as usize].tag == crate::Tag { owner: 3, part: 1 })
            .map(|f| area_m2(&round, f))
            .sum();
        assert!((crest / FT.powi(2) - 40.0 - n * libm::tan(PI / n)).abs() < 1e-3);
    }
}

/// Heights against the distance from a level line: never below the cone's, and above it by no more
/// than facets that touch the cone allow.
fn follows_distance(surface: &Surface, path: &Path, z: f64, grade: f64, reach: f64, facet: f64) {
    let locator = Locator::new(surface);
    let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
    for p in path.points() {
        for k in 0..2 {
            low[k] = low[k].min(p[k] - reach);
            high[k] = high[k].max(p[k] + reach);
        }
    }
    let mut n_within = 0;
    for i in 0..60 {
        for j in 0..60 {
            let at = [
                low[0] + (high[0] - low[0]) * (f64::from(i) + 0.37) / 60.0,
                low[1] + (high[1] - low[1]) * (f64::from(j) + 0.41) / 60.0,
            ];
            let distance = path.nearest(at).distance_m;
            let Some(height) = locator.elevation(at) else {
                assert!(distance > reach - 1e-5, "{at:?} is {distance} m away and not covered");
                continue;
            };
            n_within += 1;
            let fall = z - height;
            assert!(fall <= grade * distance + 1e-5, "{at:?} falls {fall} in {distance}");
            assert!(
                fall >= grade * distance * libm::cos(0.5 * facet) - 1e-5,
                "{at:?} {fall} in {distance}"
            );
        }
    }
    assert!(n_within > 100);
}

#[test]
fn an_l_shaped_ridge_is_the_envelope_of_its_sides() {
    for placing in PLACINGS {
        let plan = [[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [6.5, 4.0]].map(|p| placed(p, placing));
        let stations = line(&plan.map(|p| (p, 2.0)), &[[0.0, 0.0], [4.0, -2.0]]);
        let ridge = sweep(&as_swept(&stations, &[1])).unwrap();
        ridge.check().unwrap();
        assert_eq!(steps(&ridge), Vec::<String>::new());
        let path = Path::new(&plan, Closure::Open).unwrap();
        follows_distance(&ridge, &path, 2.0, 0.5, 4.0, FACET);
        for f in 0..ridge.faces().len() as u32 {
            assert!((2.0 * ridge.plane(f).grade(ridge.lattice()) - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn a_ring_with_an_inner_corner_is_banked_to_both_sides() {
    for placing in PLACINGS {
        let plan = [[0.0, 0.0], [9.0, 0.0], [9.0, 3.0], [3.0, 3.0], [3.0, 8.0], [0.0, 8.0]]
            .map(|p| placed(p, placing));
        let stations = line(&plan.map(|p| (p, 1.0)), &[[0.0, 0.0], [3.0, -1.0]]);
        let path = Path::new(&plan, Closure::Closed).unwrap();
        for side in [Side::Right, Side::Left, Side::Both] {
            let banked = Sweep { closure: Closure::Closed, side, ..as_swept(&stations, &[1]) };
            let surface = sweep(&banked).unwrap();
            surface.check().unwrap();
            assert_eq!(steps(&surface), Vec::<String>::new());
            assert!(steepest(&surface) < (1.0 + 1e-6) / 3.0);
            let locator = Locator::new(&surface);
            for (at, side_of) in [([4.5, 5.0], Side::Right), ([1.0, 1.0], Side::Left)] {
                let at = placed(at, placing);
                if side == side_of || side == Side::Both {
                    let fall = path.nearest(at).distance_m / 3.0;
                    assert!((locator.elevation(at).unwrap() - (1.0 - fall)).abs() < 1e-5);
                }
            }
            if side == Side::Both {
                follows_distance(&surface, &path, 1.0, 1.0 / 3.0, 3.0, FACET);
            }
        }
    }
}

#[test]
fn a_line_that_slopes_keeps_the_grade_of_its_faces() {
    let plan = [[0.0, 0.0], [4.0, 0.0], [7.0, 2.0], [7.0, 6.0], [5.0, 8.0]];
    let z = [3.0, 2.5, 2.9, 2.2, 2.2];
    let points: Vec<_> = plan.iter().copied().zip(z).collect();
    let stations = line(&points, &[[0.0, 0.0], [5.0, -2.0]]);
    let ridge = sweep(&as_swept(&stations, &[1])).unwrap();
    ridge.check().unwrap();
    // Steps stand only where one panel ends at its reach above another that begins lower.
    for (text, top) in steps_with_tops(&ridge) {
        assert!(top <= 3.0 - 2.0 + 1e-6, "{text}");
    }
    for f in 0..ridge.faces().len() as u32 {
        assert!((ridge.plane(f).grade(ridge.lattice()) / 0.4 - 1.0).abs() < 1e-6);
    }
    let locator = Locator::new(&ridge);
    let path = Path::new(&plan, Closure::Open).unwrap();
    for i in 0..40 {
        for j in 0..40 {
            let at = [f64::from(i) * 0.3 - 2.0, f64::from(j) * 0.3 - 2.0];
            // The highest of the cones about places all along the line.
            let cones = (0..=4000).map(|k| {
                let q = path.at_station(path.length_m() * f64::from(k) / 4000.0);
                let zq = crate::curve::interpolate(
                    &z,
                    Closure::Open,
                    q.parameter,
                    crate::curve::Blend::Linear,
                );
                (zq - 0.4 * norm(sub(at, q.at)), norm(sub(at, q.at)))
            });
            let (highest, away) = cones.fold((f64::MIN, 0.0), |a, b| if b.0 > a.0 { b } else { a });
            if away < 4.9 {
                let height = locator.elevation(at).unwrap();
                let most = 0.4 * away * (1.0 - libm::cos(0.5 * FACET));
                assert!(
                    height > highest - 1e-4 && height < highest + most + 1e-3,
                    "{at:?}: {height}, cones {highest}"
                );
            }
        }
    }
}

/// A stream's edge that drops by 0.6 m: the bank of the upper reach goes round the drop.
#[test]
fn a_drop_is_rounded_by_its_upper_end() {
    for placing in PLACINGS {
        let points = [([0.0, 0.0], 1.0), ([4.0, 0.0], 1.0), ([4.0, 0.0], 0.4), ([9.0, 0.0], 0.4)]
            .map(|(p, z)| (placed(p, placing), z));
        let stations = line(&points, &[[0.0, 0.0], [6.0, -2.0]]);
        for side in [Side::Left, Side::Right] {
            let bank = Sweep { side, ends: Ends::Cut, ..as_swept(&stations, &[1]) };
            let surface = sweep(&bank).unwrap();
            surface.check().unwrap();
            let locator = Locator::new(&surface);
            let sign = if side == Side::Left { 1.0 } else { -1.0 };
            let z = |x: f64, y: f64| locator.elevation(placed([x, sign * y], placing)).unwrap();
            assert!((z(2.0, 1.5) - 0.5).abs() < 1e-5);
            assert!((z(8.0, 1.5) - -0.1).abs() < 1e-5);
            // Half a metre beyond the drop the upper bank still stands higher than the lower edge.
            let cone = 1.0 - norm([0.5, 0.3]) / 3.0;
            assert!(z(4.5, 0.3) >= cone - 1e-6 && z(4.5, 0.3) < cone + 0.003);
            assert!(steepest(&surface) < (1.0 + 1e-6) / 3.0);
            assert!(locator.elevation(placed([4.5, -sign * 0.3], placing)).is_none());
        }
        // Seen as cut, the bank of the lower reach rises round the drop.
        let stations = line(&points, &[[0.0, 0.0], [6.0, 2.0]]);
        let bank = Sweep {
            side: Side::Left,
            keep: Keep::Lowest,
            ends: Ends::Cut,
            ..as_swept(&stations, &[1])
        };
        let surface = sweep(&bank).unwrap();
        surface.check().unwrap();
        let z = Locator::new(&surface).elevation(placed([3.5, 0.3], placing)).unwrap();
        assert!((z - (0.4 + norm([0.5, 0.3]) / 3.0)).abs() < 0.003);
    }
}

/// A segment steeper than the flank is covered by the cone about its upper end.
#[test]
fn a_line_steeper_than_its_flank_is_left_to_its_upper_end() {
    let points = [([0.0, 0.0], 2.0), ([3.0, 0.0], 2.0), ([3.5, 0.2], 1.2), ([8.0, 0.0], 1.2)];
    let stations = line(&points, &[[0.0, 0.0], [6.0, -2.0]]);
    let ridge = sweep(&as_swept(&stations, &[1])).unwrap();
    ridge.check().unwrap();
    assert!(steepest(&ridge) < (1.0 + 1e-6) / 3.0);
    let z = Locator::new(&ridge).elevation([3.5, 0.2]).unwrap();
    assert!(z >= 2.0 - norm([0.5, 0.2]) / 3.0 - 1e-6, "{z}");
}

/// A hill whose flank is convex at the shoulder and concave at the toe, unlike to its two sides.
#[test]
fn a_hill_with_unlike_sides_is_whole() {
    let left = [[0.0, 0.0], [0.5, 0.0], [1.5, -0.2], [3.5, -0.8], [5.0, -1.05]];
    let right = vec![[0.0, 0.0], [0.3, 0.0], [1.0, -0.2], [2.5, -0.9], [4.0, -1.05]];
    let mut stations = Vec::new();
    for i in 0..20 {
        let x = f64::from(i) * 0.7;
        let blend = f64::from(i) / 19.0;
        stations.push(SweepStation {
            at: [x, 1.5 * libm::sin(0.5 * x)],
            z: 1.0 + 0.1 * libm::sin(0.7 * x),
            left: left.iter().map(|p| [p[0] * (1.0 + 0.3 * blend), p[1]]).collect(),
            right: right.clone(),
        });
    }
    let parts = [1, 2, 3, 4];
    let hill = sweep(&as_swept(&stations, &parts)).unwrap();
    hill.check().unwrap();
    // The steepest piece of the profile, and a little where pieces of unlike stations are ruled.
    assert!(steepest(&hill) < 0.7 / 1.5 * 1.1, "{}", steepest(&hill));
    for part in parts {
        assert!(hill.faces().iter().any(|f| f.tag.part == part));
    }
}

#[test]
fn bad_input_is_named() {
    let profile = [[0.0, 0.0], [3.0, -1.0]];
    let good = line(&[([0.0, 0.0], 1.0), ([5.0, 0.0], 1.0)], &profile);
    let run = |s: Sweep| sweep(&s).unwrap_err();
    let all = as_swept(&good, &[1]);
    assert_eq!(run(Sweep { stations: &[], ..all }), SweepError::NoStation);
    assert_eq!(run(Sweep { parts: &[1, 2], ..all }), SweepError::Profile { station: 0, pieces: 2 });
    assert_eq!(run(Sweep { facet_angle_rad: 0.0, ..all }), SweepError::FacetAngle(0.0));
    let mut bad = good.clone();
    bad[1].z = f64::NAN;
    assert_eq!(run(Sweep { stations: &bad, ..all }), SweepError::NotFinite { station: 1 });
    bad[1].z = 1.0;
    bad[1].left[1] = [f64::INFINITY, 0.0];
    assert_eq!(run(Sweep { stations: &bad, ..all }), SweepError::NotFinite { station: 1 });
    let flat = line(&[([0.0, 0.0], 1.0)], &[[0.0, 0.0], [0.0, -1.0]]);
    assert_eq!(run(as_swept(&flat, &[1])), SweepError::Empty);
    assert_eq!(reach_for(-2.0, 0.5), 4.0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, rng_seed: RngSeed::Fixed(9), ..ProptestConfig::default() })]
    #[test]
    fn banks_of_any_ring_follow_the_distance(
        radii in prop::collection::vec(2.0..5.0f64, 3..24),
        reach in 0.5..4.0f64,
    ) {
        let n = radii.len() as f64;
        let plan: Vec<[f64; 2]> = radii
            .iter()
            .enumerate()
            .map(|(i, r)| turned([*r, 0.0], TAU * i as f64 / n))
            .collect();
        let points: Vec<_> = plan.iter().map(|&p| (p, 1.0)).collect();
        let stations = line(&points, &[[0.0, 0.0], [reach, -0.5 * reach]]);
        let ring = Sweep { closure: Closure::Closed, ..as_swept(&stations, &[1]) };
        let surface = sweep(&ring).unwrap();
        surface.check().unwrap();
        prop_assert_eq!(steps(&surface), Vec::<String>::new());
        prop_assert!(steepest(&surface) < 0.5 * (1.0 + 1e-6));
        let path = Path::new(&plan, Closure::Closed).unwrap();
        follows_distance(&surface, &path, 1.0, 0.5, reach, FACET);
    }

    #[test]
    fn ridges_along_any_walk_follow_the_distance(
        turns in prop::collection::vec((0.3..2.0f64, -1.6..1.6f64), 1..16),
        reach in 0.5..4.0f64,
    ) {
        let (mut at, mut heading) = ([0.0, 0.0], 0.0);
        let mut plan = vec![at];
        for (length, turn) in turns {
            heading += turn;
            let step = turned([length, 0.0], heading);
            at = [at[0] + step[0], at[1] + step[1]];
            plan.push(at);
        }
        let points: Vec<_> = plan.iter().map(|&p| (p, 1.0)).collect();
        let stations = line(&points, &[[0.0, 0.0], [reach, -0.5 * reach]]);
        let surface = sweep(&as_swept(&stations, &[1])).unwrap();
        surface.check().unwrap();
        prop_assert_eq!(steps(&surface), Vec::<String>::new());
        prop_assert!(steepest(&surface) < 0.5 * (1.0 + 1e-6));
        let path = Path::new(&plan, Closure::Open).unwrap();
        follows_distance(&surface, &path, 1.0, 0.5, reach, FACET);
    }
}
