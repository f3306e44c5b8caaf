//! Compositions found again on edited ground, against composing anew; and rooted compositions, which
//! visit little, against those that visit all.

mod shared;

use ground::overlay::{Domain, Keep, Rooted, compose, volumes};
use ground::triangulate::{Terrain, build};
use ground::{LatticePoint, Surface, Tag};
use shared::{Random, rough, through};

const CORE: u32 = 3;
const FLANK: u32 = 4;

/// A pit or a hill: a core of uneven outline, and a flank around it.
fn work(random: &mut Random, at: [f64; 2], radius: f64, core_m: f64, end_m: f64) -> Surface {
    let ring = |random: &mut Random, radius: f64, z: f64| -> Vec<(LatticePoint, f64)> {
        (0..9)
            .map(|i| {
                let turn = f64::from(i) * std::f64::consts::TAU / 9.0;
                let r = radius * (1.0 + 0.2 * random.unit());
                let place = [at[0] + r * libm::cos(turn), at[1] + r * libm::sin(turn)];
                let [x, y] = place.map(|m| (m * 1e6) as i32);
                (LatticePoint { x, y }, z + 0.05 * random.unit())
            })
            .collect()
    };
    let inner = ring(random, radius, core_m);
    let outer = ring(random, 2.5 * radius, end_m);
    let tag = |part| Tag { owner: 9, part };
    let surface = |rings: Vec<Vec<(LatticePoint, f64)>>, part: u32, voids| {
        let points: Vec<_> = rings.concat();
        let boundary = Some(rings[rings.len() - 1].iter().map(|p| p.0).collect());
        build(&Terrain { points, boundary, voids, tag: tag(part), ..Terrain::default() })
            .expect("rings are sound")
            .surface
    };
    let hole = vec![inner.iter().map(|p| p.0).collect()];
    let core = surface(vec![inner.clone()], CORE, Vec::new());
    let flank = surface(vec![inner, outer], FLANK, hole);
    compose(&core, &flank, Keep::Highest, Domain::Union, Rooted::Anywhere).surface
}

#[test]
fn what_is_found_again_is_what_composing_gives() {
    let mut n_again = 0;
    for seed in 0..40 {
        let mut random = Random::new(seed);
        let ground = rough(&mut random, 300, 30.0, 0.4);
        let hill = work(&mut random, [20.0, 15.0], 2.0, 1.5, -1.0);
        // An earlier pit, edited: far from the hill, then under it.
        for at in [[6.0, 8.0], [17.0, 14.0]] {
            let [before, after] = [-1.0, -1.3].map(|deep| {
                let pit = work(&mut Random::new(seed), at, 1.5, deep, 1.0);
                compose(&ground, &pit, Keep::Lowest, Domain::Ground, Rooted::Parts(&[CORE])).surface
            });
            let rooted = Rooted::Parts(&[CORE]);
            let first = compose(&before, &hill, Keep::Highest, Domain::Ground, rooted);
            let anew = compose(&after, &hill, Keep::Highest, Domain::Ground, rooted);
            let trace = first.trace.expect("a rooted composition leaves a trace");
            let again = trace.again(&hill, &before, &after);
            if let Some(again) = again {
                n_again += 1;
                assert!(at[0] < 10.0, "{seed}: the ground under the hill has changed");
                again.surface.check().expect("what is found again is a valid surface");
                assert_eq!(again.surface, anew.surface, "{seed}");
                assert_eq!(Some(again.trace), anew.trace, "{seed}");
            }
        }
    }
    assert!(n_again >= 30, "{n_again}");
}

/// A channel runs into a pit and loses there all over the floor: where only the floor moves it is found
/// again, unless the floor rises to it.
#[test]
fn what_only_covers_what_moved_is_found_again() {
    let (mut n_again, mut n_anew) = (0, 0);
    for seed in 0..40 {
        let mut random = Random::new(300 + seed);
        let ground = rough(&mut random, 300, 30.0, 0.2);
        // Each floor lies within the one around it, so that its faces touch no side of the pit.
        let rises = seed % 4 == 0;
        let [before, after] = [(-3.0, false), (-3.4, rises)].map(|(deep, rises)| {
            let laid = |ground: &Surface, radius: f64, core_m: f64, end_m: f64| {
                let keep = if end_m > core_m { Keep::Lowest } else { Keep::Highest };
                let patch = work(&mut Random::new(seed), [15.0, 15.0], radius, core_m, end_m);
                compose(ground, &patch, keep, Domain::Ground, Rooted::Parts(&[CORE])).surface
            };
            let pit = laid(&ground, 4.0, -1.5, 2.0);
            let floor = laid(&pit, 2.6, -1.8, 20.0);
            if rises { laid(&floor, 1.2, 0.5, -20.0) } else { laid(&floor, 1.2, deep, 20.0) }
        });
        let channel = work(&mut random, [18.5, 15.0], 2.0, -0.8, 1.0);
        let rooted = Rooted::Parts(&[CORE]);
        let first = compose(&before, &channel, Keep::Lowest, Domain::Ground, rooted);
        let anew = compose(&after, &channel, Keep::Lowest, Domain::Ground, rooted);
        let trace = first.trace.expect("a rooted composition leaves a trace");
        match trace.again(&channel, &before, &after) {
            Some(again) => {
                n_again += 1;
                assert_eq!(again.surface, anew.surface, "{seed}");
                assert_eq!(Some(&again.trace), anew.trace.as_ref(), "{seed}");
                assert_eq!(first.changed, anew.changed, "{seed}");
                // And back.
                let back = again.trace.again(&channel, &after, &before);
                assert_eq!(back.expect("it is found again").surface, first.surface, "{seed}");
            }
            None => n_anew += 1,
        }
    }
    assert!(n_again >= 15 && n_anew >= 5, "{n_again} again, {n_anew} anew");
}

/// Ground that moves up or down beside what a hill changes leaves the hill as it was, as long as the
/// hill has no corner there.
#[test]
fn what_is_only_drawn_around_may_rise_or_fall() {
    let (mut n_again, mut n_near, mut n_anew) = (0, 0, 0);
    for seed in 0..6 {
        let mut random = Random::new(700 + seed);
        let mut place = || [random.unit() * 30.0, random.unit() * 30.0, random.unit() * 0.4];
        let mut points: Vec<[f64; 3]> = (0..200).map(|_| place()).collect();
        points
            .extend([[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]].map(|[x, y]| [x, y, 0.2]));
        let hill = work(&mut Random::new(seed), [15.0, 15.0], 2.0, 1.5, -1.0);
        let before = through(&points);
        let rooted = Rooted::Parts(&[CORE]);
        let laid = |ground: &Surface| compose(ground, &hill, Keep::Highest, Domain::Ground, rooted);
        let first = laid(&before);
        let trace = first.trace.expect("a rooted composition leaves a trace");
        for i in 0..points.len() {
            let [x, y, z] = points[i];
            points[i][2] = z + 0.03;
            let after = through(&points);
            points[i][2] = z;
            let anew = laid(&after);
            match trace.again(&hill, &before, &after) {
                Some(again) => {
                    n_again += 1;
                    n_near += usize::from(libm::hypot(x - 15.0, y - 15.0) < 9.0);
                    assert_eq!(again.surface, anew.surface, "{seed} {i}");
                    assert_eq!(Some(&again.trace), anew.trace.as_ref(), "{seed} {i}");
                    assert_eq!(first.changed, anew.changed, "{seed} {i}");
                }
                None => n_anew += 1,
            }
        }
    }
    assert!(n_again > 600 && n_near > 40 && n_anew > 60, "{n_again} {n_near} {n_anew}");
}

#[test]
fn a_flood_from_the_roots_misses_nothing() {
    for seed in 0..60 {
        let mut random = Random::new(seed);
        let ground = rough(&mut random, 400, 30.0, 0.8);
        let hill = work(&mut random, [14.0, 15.0], 2.5, 1.2, -0.6);
        let with = |parts: &[u32]| {
            let rooted = Rooted::Parts(parts);
            compose(&ground, &hill, Keep::Highest, Domain::Ground, rooted)
        };
        // Every part a root: all of the patch is visited and all that it wins stands.
        let [rooted, all] = [with(&[CORE]), with(&[CORE, FLANK])];
        let anywhere = compose(&ground, &hill, Keep::Highest, Domain::Ground, Rooted::Anywhere);
        let won = |surface: &Surface| volumes(&ground, surface).fill_m3;
        assert!((won(&all.surface) - won(&anywhere.surface)).abs() < 1e-7, "{seed}");
        let stray = won(&anywhere.surface) - won(&rooted.surface);
        assert!(stray > -1e-7, "{seed}: {stray}");
        // What the flank wins by itself is all that is missing: laid on, it touches no core.
        let core_wins = volumes(&rooted.surface, &anywhere.surface);
        assert!((core_wins.fill_m3 - stray).abs() < 1e-6, "{seed}: {core_wins:?} {stray}");
        let faces = |s: &Surface, part| s.faces().iter().filter(|f| f.tag.part == part).count();
        assert_eq!(faces(&rooted.surface, CORE) > 0, faces(&anywhere.surface, CORE) > 0, "{seed}");
    }
}
