//! Surfaces cut along the rim of a region and laid lower within it, by volumes and areas, and found
//! again on edited ground.

mod shared;

use ground::overlay::{Cut, Cutting, Domain, Keep, Rooted, compose, volumes};
use ground::query::{ToRings, areas_where, plan_area_m2, to_rings};
use ground::triangulate::{Terrain, build};
use ground::{LatticePoint, Surface};
use shared::{Random, rough};

const DEEP_M: f64 = 0.3;

/// A ring of uneven radius.
fn ring(random: &mut Random, at: [f64; 2], radius: f64) -> Vec<LatticePoint> {
    (0..17)
        .map(|i| {
            let turn = f64::from(i) * std::f64::consts::TAU / 17.0;
            let r = radius * (1.0 + 0.3 * random.unit());
            let place = [at[0] + r * libm::cos(turn), at[1] + r * libm::sin(turn)];
            let [x, y] = place.map(|m| (m * 1e6) as i32);
            LatticePoint { x, y }
        })
        .collect()
}

fn plate(ring: &[LatticePoint], z_m: f64) -> Surface {
    let points = ring.iter().map(|&p| (p, z_m)).collect();
    let boundary = Some(ring.to_vec());
    build(&Terrain { points, boundary, ..Terrain::default() }).expect("a ring is sound").surface
}

/// The ground with whole faces within lowered, the cut, and the area of what lies within.
fn cut(ground: &Surface, ring: &[LatticePoint], region: &Surface) -> (Surface, Cut, f64) {
    let to = to_rings(ground, &[ring.to_vec()]);
    let is = |face: u32, wanted: ToRings| to[face as usize] == wanted;
    let within = |face: u32| if is(face, ToRings::Within) { DEEP_M } else { 0.0 };
    let before = ground.lowered(within);
    let crossed: Vec<u32> =
        (0..to.len() as u32).filter(|&face| is(face, ToRings::Crossed)).collect();
    let lowered = ground.lowered(|_| DEEP_M);
    let cut = Cutting { ground: &before, lowered: &lowered, region, crossed: &crossed }.cut();
    let whole_m2 = areas_where(ground, |face| is(face, ToRings::Within)).plan_m2;
    let parted_m2: f64 = cut.within_m2.iter().map(|(_, area_m2)| area_m2).sum();
    (before, cut, whole_m2 + parted_m2)
}

#[test]
fn what_lies_within_is_lower_and_nothing_else() {
    for seed in 0..60 {
        let mut random = Random::new(seed);
        let ground = rough(&mut random, 300, 30.0, 0.4);
        let ring = ring(&mut random, [15.0, 15.0], 7.0);
        let region = plate(&ring, 0.0);
        let (_, cut, within_m2) = cut(&ground, &ring, &region);
        cut.surface.check().expect("a cut surface is valid");
        let region_m2 = plan_area_m2(&region);
        assert!((within_m2 - region_m2).abs() < 1e-5, "{seed}: {within_m2} {region_m2}");
        assert!((plan_area_m2(&cut.surface) - plan_area_m2(&ground)).abs() < 1e-9, "{seed}");
        let moved = volumes(&ground, &cut.surface);
        assert!((moved.cut_m3 - DEEP_M * within_m2).abs() < 1e-6, "{seed}: {moved:?}");
        assert!(moved.fill_m3 < 1e-9, "{seed}: {moved:?}");
        let again = volumes(&cut.surface, &ground.raised(-DEEP_M));
        let beyond_m2 = plan_area_m2(&ground) - within_m2;
        assert!((again.cut_m3 - DEEP_M * beyond_m2).abs() < 1e-6, "{seed}: {again:?}");
    }
}

/// What is edited within the region or beyond it, off its rim, leaves the cut as it was.
#[test]
fn a_cut_found_again_is_the_cut_made_anew() {
    let mut n_again = 0;
    for seed in 0..40 {
        let mut random = Random::new(500 + seed);
        let ground = rough(&mut random, 400, 30.0, 0.4);
        let rim = ring(&mut random, [15.0, 15.0], 8.0);
        let region = plate(&rim, 7.0);
        let [first, other] = [0.4, 0.7].map(|deep_m| {
            let pit = plate(&ring(&mut Random::new(seed), [15.0, 15.0], 1.0), -deep_m);
            compose(&ground, &pit, Keep::Lowest, Domain::Ground, Rooted::Anywhere).surface
        });
        let (before, known, known_m2) = cut(&first, &rim, &region);
        let (now, anew, anew_m2) = cut(&other, &rim, &region);
        if let Some(again) = known.trace.again(&region, &before, &now) {
            n_again += 1;
            assert_eq!(again.surface, anew.surface, "{seed}");
            assert_eq!(again.trace, anew.trace, "{seed}");
            assert_eq!(known.within_m2, anew.within_m2, "{seed}");
            assert!((known_m2 - anew_m2).abs() < 1e-5, "{seed}");
        }
    }
    assert!(n_again >= 30, "{n_again}");
}

/// Faces that are no lower within stay whole.
#[test]
fn what_is_lowered_by_nothing_is_not_cut() {
    let mut random = Random::new(3);
    let ground = rough(&mut random, 200, 30.0, 0.4);
    let region = plate(&ring(&mut random, [15.0, 15.0], 6.0), 0.0);
    let crossed: Vec<u32> = (0..ground.faces().len() as u32).collect();
    let cutting = Cutting { ground: &ground, lowered: &ground, region: &region, crossed: &crossed };
    assert_eq!(cutting.cut().surface, ground);
}
