//! What holds for the volumes between any two surfaces: parts make the whole, finer triangles of the
//! same planes change nothing, and neither does a turn.

mod shared;

use ground::overlay::{Volumes, depth_slices, volumes, volumes_by};
use ground::triangulate::{Breakline, Terrain, build};
use ground::{Lattice, LatticePoint, Surface};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use shared::{Random, rough, through};

/// A rough surface of up to 5,000 points in a square of 20 m.
fn surface(seed: u64, n_points: usize) -> Surface {
    rough(&mut Random::new(seed), n_points, 20.0, 1.0)
}

/// The same planes in more faces: a place or two within each face, and every edge kept.
fn refined(surface: &Surface, random: &mut Random) -> Surface {
    let mut points: Vec<(LatticePoint, f64)> = Vec::new();
    let mut breaklines = Vec::new();
    for face in 0..surface.faces().len() as u32 {
        let (corners, heights) = (surface.corners(face), surface.corner_heights(face));
        for k in 0..3 {
            let vertices =
                vec![(corners[k], heights[k]), (corners[(k + 1) % 3], heights[(k + 1) % 3])];
            breaklines.push(Breakline { vertices });
        }
        let shares = [0.2 + 0.2 * random.unit(), 0.2 + 0.2 * random.unit()];
        let within = |pick: fn(LatticePoint) -> i32| {
            let [a, b, c] = corners.map(|corner| f64::from(pick(corner)));
            (a + shares[0] * (b - a) + shares[1] * (c - a)).round() as i32
        };
        let place = LatticePoint { x: within(|p| p.x), y: within(|p| p.y) };
        points.push((place, surface.plane(face).at(place)));
    }
    let terrain = Terrain { points, breaklines, ..Terrain::default() };
    build(&terrain).expect("it spans what the first one spans").surface
}

/// The surface turned about the origin, its places rounded to the lattice anew.
fn turned(surface: &Surface, angle_rad: f64) -> Surface {
    let lattice = Lattice::default();
    let (sin, cos) = libm::sincos(angle_rad);
    let mut lines = Vec::new();
    let place = |at: LatticePoint| {
        let [x, y] = lattice.metres(at);
        lattice.snap([x * cos - y * sin, x * sin + y * cos]).expect("it stays near")
    };
    for face in 0..surface.faces().len() as u32 {
        let (corners, heights) = (surface.corners(face), surface.corner_heights(face));
        for k in 0..3 {
            let ends = [k, (k + 1) % 3].map(|k| (place(corners[k]), heights[k]));
            lines.push(Breakline { vertices: ends.to_vec() });
        }
    }
    build(&Terrain { breaklines: lines, ..Terrain::default() }).expect("a turned surface").surface
}

fn near(a: f64, b: f64, tolerance: f64) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() <= tolerance, "{a}, not {b}");
    Ok(())
}

fn near_volumes(a: &Volumes, b: &Volumes, tolerance: f64) -> Result<(), TestCaseError> {
    near(a.cut_m3, b.cut_m3, tolerance)?;
    near(a.fill_m3, b.fill_m3, tolerance)?;
    near(a.common_area_m2, b.common_area_m2, tolerance)?;
    near(a.deepest_cut_m, b.deepest_cut_m, tolerance)?;
    near(a.highest_fill_m, b.highest_fill_m, tolerance)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(0x5e4d),
        ..ProptestConfig::default()
    })]

    #[test]
    fn parts_make_the_whole(seed in any::<u64>(), sizes in [3..600_usize, 3..600_usize], n in 1..6_usize) {
        let (a, b) = (surface(seed, sizes[0]), surface(!seed, sizes[1]));
        let whole = volumes(&a, &b);
        let moved = whole.cut_m3 + whole.fill_m3;
        let parts = volumes_by(&a, &b, |from, to| (from + 7 * to) as usize % n, n);
        let sum = |of: fn(&Volumes) -> f64| parts.iter().map(of).sum::<f64>();
        near(sum(|v| v.cut_m3), whole.cut_m3, 1e-12 * moved)?;
        near(sum(|v| v.fill_m3), whole.fill_m3, 1e-12 * moved)?;
        near(sum(|v| v.change_m3), whole.change_m3, 1e-12 * moved)?;
        near(sum(|v| v.common_area_m2), whole.common_area_m2, 1e-12 * whole.common_area_m2)?;
        near(sum(|v| v.cut_area_m2), whole.cut_area_m2, 1e-12 * whole.common_area_m2)?;
        // A key beyond the last counts nowhere.
        let some = volumes_by(&a, &b, |from, _| from as usize % 2, 1);
        prop_assert!(some[0].common_area_m2 < whole.common_area_m2);
        // Slices by depth make the cut, and none lies deeper than the deepest.
        let depths_m = [0.0, 0.1, 0.25, whole.deepest_cut_m, f64::INFINITY];
        let slices = depth_slices(&a, &b, &depths_m);
        near(slices.iter().sum(), whole.cut_m3, 1e-9 * moved)?;
        prop_assert!(slices.iter().all(|slice| *slice >= -1e-12), "{slices:?}");
        near(slices[3], 0.0, 1e-9 * moved)?;
    }

    #[test]
    fn more_faces_of_the_same_planes_change_nothing(
        seed in any::<u64>(),
        sizes in [3..300_usize, 3..300_usize],
    ) {
        let (a, b) = (surface(seed, sizes[0]), surface(!seed, sizes[1]));
        let finer = refined(&a, &mut Random::new(seed ^ 1));
        prop_assert_eq!(finer.check(), Ok(()));
        prop_assert!(finer.faces().len() >= 2 * a.faces().len());
        near_volumes(&volumes(&finer, &b), &volumes(&a, &b), 1e-9 * 400.0)?;
        near_volumes(&volumes(&b, &finer), &volumes(&b, &a), 1e-9 * 400.0)?;
        let between = volumes(&a, &finer);
        prop_assert!(between.cut_m3 + between.fill_m3 < 1e-9, "{between:?}");
    }

    #[test]
    fn a_turn_changes_no_more_than_the_lattice_rounds(
        seed in any::<u64>(),
        sizes in [3..60_usize, 3..60_usize],
        angle_rad in prop_oneof![Just(std::f64::consts::FRAC_PI_6), 0.0..6.0_f64],
    ) {
        let (a, b) = (surface(seed, sizes[0]), surface(!seed, sizes[1]));
        let around = volumes(&turned(&a, angle_rad), &turned(&b, angle_rad));
        let here = volumes(&a, &b);
        // Half a step on each place, on ground of mean grade below 2, over 400 m2; and thin faces
        // along the border, where a corner may come to lie on the other side of an edge.
        near(around.cut_m3, here.cut_m3, 1e-4)?;
        near(around.fill_m3, here.fill_m3, 1e-4)?;
        near(around.common_area_m2, here.common_area_m2, 1e-4)?;
    }
}

/// Surfaces of 5,000 points each: there and back, and face by face.
#[test]
fn surfaces_of_five_thousand_points() {
    let (a, b) = (surface(11, 4996), surface(12, 4996));
    let (there, back) = (volumes(&a, &b), volumes(&b, &a));
    assert_eq!((there.cut_m3, there.fill_m3), (back.fill_m3, back.cut_m3));
    let by_face = volumes_by(&a, &b, |from, _| from as usize, a.faces().len());
    let sum: f64 = by_face.iter().map(|v| v.change_m3).sum();
    assert!((sum - there.change_m3).abs() < 1e-12 * (there.cut_m3 + there.fill_m3));
}

#[test]
fn a_face_alone_is_measured_as_itself() {
    let tilted = through(&[[0.0, 0.0, 100.0], [10.0, 0.0, 101.0], [0.0, 10.0, 102.0]]);
    let level = through(&[[-1.0, -1.0, 100.0], [30.0, -1.0, 100.0], [-1.0, 30.0, 100.0]]);
    // A prism of 50 m2 whose corners stand 0, 1 and 2 m above the level.
    let between = volumes(&level, &tilted);
    assert!((between.fill_m3 - 50.0).abs() < 1e-9 && between.cut_m3 == 0.0, "{between:?}");
}
