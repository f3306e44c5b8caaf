//! Catchments of random ground: they make up the plan, agree with the ways of water, and do not
//! change when the ground is moved by whole lattice steps.

use ground::query::{Catchments, DrainsTo, End, catchments, descend, plan_area_m2};
use ground::{Lattice, LatticePoint, Surface, Terrain, build};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Reach of the random places, lattice steps: 10 m at a micrometre.
const REACH: i32 = 5_000_000;

fn surface(points: &[(i32, i32, f64)], by: [i32; 2]) -> Option<Surface> {
    let point = |&(x, y, z): &(i32, i32, f64)| (LatticePoint { x: x + by[0], y: y + by[1] }, z);
    let points = points.iter().map(point).collect();
    let terrain = Terrain { lattice: Lattice::default(), points, ..Terrain::default() };
    build(&terrain).ok().map(|built| built.surface)
}

fn areas(found: &Catchments<'_>) -> Vec<(DrainsTo, u64)> {
    found.all().iter().map(|c| (c.to, c.area_m2.to_bits())).collect()
}

/// Random points with heights that seldom or often meet: `levels` of them, or as many as there are
/// numbers.
fn points(levels: Option<u32>) -> impl Strategy<Value = Vec<(i32, i32, f64)>> {
    let height = move |h: f64| match levels {
        Some(levels) => (h * f64::from(levels)).floor() / f64::from(levels),
        None => h,
    };
    let point = (-REACH..=REACH, -REACH..=REACH, (0.0..1.0).prop_map(height));
    prop::collection::vec(point, 8..160)
}

fn check(
    points: &[(i32, i32, f64)],
    by: [i32; 2],
    places: &[[f64; 2]],
) -> Result<(), TestCaseError> {
    let Some(ground) = surface(points, [0, 0]) else { return Ok(()) };
    let found = catchments(&ground, &[]);
    let whole = plan_area_m2(&ground);
    let sum: f64 = found.all().iter().map(|c| c.area_m2).sum();
    prop_assert!((sum - whole).abs() <= 1e-12 * whole);
    let moved = surface(points, by).expect("it was one before");
    prop_assert_eq!(areas(&found), areas(&catchments(&moved, &[])));
    for &at in places {
        let Some(path) = descend(&ground, at) else { continue };
        let last = path.points[path.points.len() - 1].at;
        let end = found.all()[found.end_at(at).expect("it lies on the ground")].to;
        let is_same = match (path.end, end) {
            (End::Border, DrainsTo::Border) | (End::Flat, DrainsTo::Flat { .. }) => true,
            (End::Pit, DrainsTo::Pit { vertex }) => {
                ground.lattice().metres(ground.vertices()[vertex as usize]) == last
            }
            _ => false,
        };
        prop_assert!(is_same, "from {:?}: {:?} at {:?}, said {:?}", at, path.end, last, end);
    }
    Ok(())
}

fn places() -> impl Strategy<Value = Vec<[f64; 2]>> {
    prop::collection::vec([-5.0..5.0, -5.0..5.0], 40)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 128,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(37),
        ..ProptestConfig::default()
    })]

    #[test]
    fn random_ground(
        points in points(None),
        by in [-50_000_000..50_000_000, -50_000_000..50_000_000],
        places in places(),
    ) {
        check(&points, by, &places)?;
    }

    #[test]
    fn ground_in_few_levels(
        points in points(Some(4)),
        by in [-50_000_000..50_000_000, -50_000_000..50_000_000],
        places in places(),
    ) {
        check(&points, by, &places)?;
    }
}
