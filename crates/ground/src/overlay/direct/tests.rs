//! Surfaces in plain position, composed directly and the general way.

use super::super::compose::{Domain, Keep, Rooted, compose, compose_in_general};
use super::compose_plain;
use crate::overlay::{OpenEnd, volumes};
use crate::{LatticePoint, Surface, Terrain, build};

/// A surface through `n` random places in a square of so many steps, a metre up and down.
fn rough(seed: u64, n: usize, side: u64) -> Surface {
    let mut state = seed;
    let mut draw = |end: u64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % end
    };
    let points = (0..n)
        .map(|_| {
            let at = LatticePoint { x: draw(side) as i32, y: draw(side) as i32 };
            (at, draw(1_000_000) as f64 * 1e-6)
        })
        .collect();
    build(&Terrain { points, ..Terrain::default() }).expect("random places are sound").surface
}

#[test]
fn direct_and_general_compositions_agree() {
    let mut n_direct = 0;
    for seed in 0..60 {
        let n = 10 + 12 * seed as usize;
        let [a, b] = [1, 2].map(|k| rough(10 * seed + k, n, 20_000_000));
        for keep in [Keep::Highest, Keep::Lowest] {
            let Some((direct, changed)) = compose_plain(&a, &b, keep) else { continue };
            n_direct += 1;
            direct.check().expect("a composed surface is valid");
            let general = compose_in_general(&a, &b, keep, Domain::Ground, Rooted::Anywhere);
            let between = volumes(&direct, &general.surface);
            let moved = volumes(&a, &direct);
            let scale = moved.cut_m3 + moved.fill_m3;
            assert!(between.cut_m3 + between.fill_m3 < 1e-7 * scale, "{seed}: {between:?}");
            let area = general.changed.won_area_m2;
            assert!((changed.won_area_m2 - area).abs() < 1e-6 * area, "{seed}");
            let beyond = general.changed.beyond_area_m2;
            assert!((changed.beyond_area_m2 - beyond).abs() < 1e-9 * (area + beyond), "{seed}");
            assert_eq!(changed.open_ends.len(), general.changed.open_ends.len(), "{seed}");
            let pairs = changed.open_ends.iter().zip(&general.changed.open_ends);
            for (here, there) in pairs {
                let ends = |end: &OpenEnd| {
                    [end.from[0], end.from[1], end.to[0], end.to[1], end.rise_m[0], end.rise_m[1]]
                };
                let (here, there) = (ends(here), ends(there));
                let is_near = |(a, b): (f64, f64)| (a - b).abs() < 1e-8;
                assert!(here.into_iter().zip(there).all(is_near), "{seed}: {here:?} {there:?}");
            }
            assert_eq!(direct.faces().len(), general.surface.faces().len(), "{seed}");
            let again = compose(&direct, &b, keep, Domain::Ground, Rooted::Anywhere);
            assert_eq!(again.surface, direct, "{seed}");
        }
    }
    assert!(n_direct >= 110, "{n_direct}");
}

#[test]
fn coarse_places_fold_and_are_mended() {
    // A few hundred steps wide: rounding moves nodes as far as parts are wide.
    let (mut n_direct, mut n_all) = (0, 0);
    for seed in 0..400 {
        let [a, b] = [1, 2].map(|k| rough(1_000 * seed + k, 12, 600 + 40 * seed));
        n_all += 1;
        let Some((direct, _)) = compose_plain(&a, &b, Keep::Highest) else { continue };
        n_direct += 1;
        direct.check().expect("a composed surface is valid");
        let again = compose(&direct, &b, Keep::Highest, Domain::Ground, Rooted::Anywhere);
        again.surface.check().expect("a composed surface is valid");
    }
    assert!(4 * n_direct > n_all, "{n_direct} of {n_all}");
}

#[test]
fn what_touches_is_left_to_the_general_way() {
    let a = rough(7, 100, 20_000_000);
    assert!(compose_plain(&a, &a, Keep::Highest).is_none());
    assert!(compose_plain(&a, &a.raised(1.0), Keep::Highest).is_none());
}

#[test]
fn a_patch_that_lies_lower_changes_nothing() {
    let [a, b] = [1, 2].map(|seed| rough(seed, 300, 20_000_000));
    let (surface, changed) =
        compose_plain(&a, &b.raised(-3.0), Keep::Highest).expect("random places do not touch");
    assert_eq!(surface, a);
    assert_eq!(changed.won_area_m2, 0.0);
}

#[test]
fn a_patch_that_lies_higher_steps_along_its_border() {
    let [a, b] = [1, 2].map(|seed| rough(seed, 300, 20_000_000));
    let (surface, changed) =
        compose_plain(&a, &b.raised(3.0), Keep::Highest).expect("random places do not touch");
    surface.check().expect("a composed surface is valid");
    let risen = volumes(&a, &surface);
    let whole = volumes(&a, &b.raised(3.0));
    assert!((risen.fill_m3 - whole.fill_m3).abs() < 1e-7 * whole.fill_m3);
    assert!((changed.won_area_m2 - whole.common_area_m2).abs() < 1e-6 * whole.common_area_m2);
    assert!(changed.open_ends.iter().all(|end| end.rise_m.iter().all(|&rise| rise > 1.0)));
}
