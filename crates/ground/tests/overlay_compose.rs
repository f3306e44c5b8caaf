//! Composed surfaces: valid, watertight in topology, and true to the volumes between their sources.

mod shared;

use ground::Surface;
use ground::overlay::{Composed, Domain, Keep, Rooted, compose, volumes};
use shared::{Random, rough};

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
