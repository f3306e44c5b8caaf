//! Profiles that dip, by the nearest segment, and curved profiles on lines that slope.

use super::*;
use crate::curve::{Blend, interpolate};

/// A swale of 30 cm, a crest at the line's own level, and a flank.
const SWALE: [[f64; 2]; 4] = [[0.0, 0.0], [1.0, -0.3], [2.0, 0.0], [3.5, -0.6]];
const PARTS: [u32; 3] = [1, 2, 3];

/// The rise of a profile at an offset.
fn rise(profile: &[[f64; 2]], offset: f64) -> f64 {
    let after = profile.partition_point(|p| p[0] < offset).clamp(1, profile.len() - 1);
    let ([a, za], [b, zb]) = (profile[after - 1], profile[after]);
    za + (zb - za) * (offset - a) / (b - a)
}

/// A grid of places around a line, none on a ray of symmetry.
fn grid(plan: &[[f64; 2]], reach: f64) -> Vec<[f64; 2]> {
    let low = [0, 1].map(|k| plan.iter().map(|p| p[k]).fold(f64::MAX, f64::min) - reach);
    let high = [0, 1].map(|k| plan.iter().map(|p| p[k]).fold(f64::MIN, f64::max) + reach);
    let at = |i: usize, k: usize| low[k] + (high[k] - low[k]) * (i as f64 + 0.37) / 50.0;
    (0..2500).map(|n| [at(n % 50, 0), at(n / 50, 1)]).collect()
}

/// Heights against the line's nearest place: the profile's rise there, off by no more than what a
/// facet's greater distance makes of the steepest piece, and what half the turn of a facet or a bend
/// makes of the line's slope, since both sides of a bend meet at its own level.
fn follows_nearest(surface: &Surface, plan: &[[f64; 2]], z: &[f64], closure: Closure) {
    let (path, locator) = (Path::new(plan, closure).unwrap(), Locator::new(surface));
    let reach = SWALE[3][0];
    let turn = plan.windows(3).map(|p| turn_at([p[0], p[1], p[2]])).fold(FACET, f64::max);
    let mut n_within = 0;
    for at in grid(plan, reach) {
        let nearest = path.nearest(at);
        let Some(height) = locator.elevation(at) else {
            assert!(nearest.distance_m > reach - 1e-5, "{at:?} is not covered");
            continue;
        };
        // Beyond the cone's radius the facets' corners stand out.
        if nearest.distance_m > reach {
            continue;
        }
        n_within += 1;
        let expected = interpolate(z, closure, nearest.parameter, Blend::Linear)
            + rise(&SWALE, nearest.distance_m);
        let short = nearest.distance_m * (1.0 - libm::cos(0.5 * FACET));
        let aside = nearest.distance_m * libm::tan(0.5 * turn);
        let bound = 0.4 * short + steepest_line(plan, z) * aside + 1e-5;
        assert!((height - expected).abs() <= bound, "{at:?}: {height}, not {expected}");
    }
    assert!(n_within > 300, "{n_within}");
}

/// The turn of a line at the middle of three places.
fn turn_at([a, b, c]: [[f64; 2]; 3]) -> f64 {
    let (u, v) = (sub(b, a), sub(c, b));
    libm::atan2(crate::curve::cross(u, v), crate::curve::dot(u, v)).abs()
}

/// The steepest slope of an open line; none of a level one.
fn steepest_line(plan: &[[f64; 2]], z: &[f64]) -> f64 {
    let slope = |(p, z): (&[[f64; 2]], &[f64])| (z[1] - z[0]).abs() / norm(sub(p[1], p[0]));
    plan.windows(2).zip(z.windows(2)).map(slope).fold(0.0, f64::max)
}

#[test]
fn a_straight_swale_has_its_prisms_volume() {
    // Section above -1: 1 + a half 0.3 by 2 less, and the flank: by hand 3.5 - 0.3 - 0.45 m2 a side.
    let section = 3.5 - 0.5 * 2.0 * 0.3 - 0.5 * 1.5 * 0.6;
    for placing in PLACINGS {
        let points = [0.0, 3.0, 10.0].map(|x| (placed([x, 0.0], placing), 0.0));
        let stations = line(&points, &SWALE);
        for keep in [Keep::Highest, Keep::Lowest] {
            let cut = Sweep { keep, ends: Ends::Cut, ..as_swept(&stations, &PARTS) };
            let surface = sweep(&cut).unwrap();
            surface.check().unwrap();
            let volume = volume_above(&surface, -1.0);
            assert!((volume - 2.0 * 10.0 * section).abs() < 1e-5, "{volume}");
            let left = sweep(&Sweep { side: Side::Left, ..cut }).unwrap();
            assert!((volume_above(&left, -1.0) - 10.0 * section).abs() < 1e-5);
        }
    }
}

#[test]
fn a_dipping_profile_follows_the_nearest_segment_of_any_line() {
    let bent = [[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [1.5, 5.0]];
    let ring = [[0.0, 0.0], [9.0, 0.0], [9.0, 4.0], [4.0, 4.5], [3.0, 9.0], [0.0, 8.0]];
    for placing in PLACINGS {
        for (plan, closure) in [(&bent[..], Closure::Open), (&ring[..], Closure::Closed)] {
            let plan: Vec<_> = plan.iter().map(|&p| placed(p, placing)).collect();
            let z = vec![2.0; plan.len()];
            let points: Vec<_> = plan.iter().map(|&p| (p, 2.0)).collect();
            let stations = line(&points, &SWALE);
            let surface = sweep(&Sweep { closure, ..as_swept(&stations, &PARTS) }).unwrap();
            surface.check().unwrap();
            follows_nearest(&surface, &plan, &z, closure);
            assert_eq!(steps(&surface), Vec::<String>::new());
            for part in PARTS {
                assert!(surface.faces().iter().any(|f| f.tag.part == part));
            }
        }
    }
}

#[test]
fn on_a_line_that_slopes_the_nearest_place_gives_the_level() {
    let plan = [[0.0, 0.0], [8.0, 0.0], [13.0, 3.0]];
    let z = [3.0, 2.2, 2.5];
    let points: Vec<_> = plan.iter().copied().zip(z).collect();
    let stations = line(&points, &SWALE);
    let surface = sweep(&as_swept(&stations, &PARTS)).unwrap();
    surface.check().unwrap();
    follows_nearest(&surface, &plan, &z, Closure::Open);
}

#[test]
fn a_drop_of_the_line_steps_where_its_halves_part() {
    let points = [([0.0, 0.0], 1.0), ([4.0, 0.0], 1.0), ([4.0, 0.0], 0.4), ([9.0, 0.0], 0.4)];
    let stations = line(&points, &SWALE);
    let surface = sweep(&Sweep { ends: Ends::Cut, ..as_swept(&stations, &PARTS) }).unwrap();
    surface.check().unwrap();
    let locator = Locator::new(&surface);
    for y in [0.4, -1.3, 2.6] {
        let z = |x: f64| locator.elevation([x, y]).unwrap();
        let rise = rise(&SWALE, f64::abs(y));
        assert!((z(2.0) - 1.0 - rise).abs() < 1e-6 && (z(7.0) - 0.4 - rise).abs() < 1e-6);
    }
}

/// A parabola from level to a grade of 1 in 2, and on at that grade, run along a line that falls at
/// 1 in 8. The panel falls askew by the angle whose sine is 1/8 over 1/2, toward the low end, so that
/// its steepest piece has its own grade: a place y off the line lies y / cos along the profile from
/// the line's place y tan up the line.
#[test]
fn a_curved_profile_on_a_sloping_line_has_its_closed_form() {
    let grade = 0.5;
    let curved = |offset: f64| -0.5 * grade * offset * offset;
    let mut profile: Vec<[f64; 2]> =
        (0..=4).map(|k| 0.25 * f64::from(k)).map(|out| [out, curved(out)]).collect();
    profile.push([4.0, curved(1.0) - 3.0 * grade]);
    let parts = [1, 2, 3, 4, 5];
    let slope = -0.125;
    let sin: f64 = slope / grade;
    let (cos, tan) = ((1.0 - sin * sin).sqrt(), sin / (1.0 - sin * sin).sqrt());
    for placing in PLACINGS {
        let points = [-8.0, 8.0].map(|x| (placed([x, 0.0], placing), 5.0 + slope * x));
        let stations = line(&points, &profile);
        let surface = sweep(&Sweep { ends: Ends::Cut, ..as_swept(&stations, &parts) }).unwrap();
        surface.check().unwrap();
        let locator = Locator::new(&surface);
        for k in 0..60 {
            let y = f64::from(k) * 0.06 + 0.013;
            for (x, side) in [(0.3, 1.0), (-1.1, -1.0)] {
                let found = locator.elevation(placed([x, side * y], placing)).unwrap();
                let foot = 5.0 + slope * (x + y * tan);
                let expected = foot + rise(&profile, y / cos);
                assert!((found - expected).abs() < 1e-5, "{x} {y}: {found}, not {expected}");
            }
        }
        // The steepest piece keeps its grade, and gentler ones lie between theirs and the line's.
        for f in 0..surface.faces().len() as u32 {
            let part = surface.faces()[f as usize].tag.part as usize;
            let [a, b] = [profile[part - 1], profile[part]];
            let own = (a[1] - b[1]) / (b[0] - a[0]);
            let found = surface.plane(f).grade(surface.lattice());
            // Across the line a piece falls by its own grade over the cosine, less what the line
            // has risen to the foot.
            let across = own / cos - slope * tan;
            assert!((found - libm::hypot(slope, across)).abs() < 1e-5, "part {part}: {found}");
            assert!(part < 5 || (found - grade).abs() < 1e-6);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, rng_seed: RngSeed::Fixed(11), ..ProptestConfig::default() })]
    #[test]
    fn a_dipping_profile_follows_any_ring(radii in prop::collection::vec(2.0..7.0f64, 3..16)) {
        let n = radii.len() as f64;
        let spoke = |(i, r): (usize, &f64)| turned([*r, 0.0], TAU * i as f64 / n);
        let plan: Vec<[f64; 2]> = radii.iter().enumerate().map(spoke).collect();
        let points: Vec<_> = plan.iter().map(|&p| (p, 2.0)).collect();
        let stations = line(&points, &SWALE);
        let ring = Sweep { closure: Closure::Closed, ..as_swept(&stations, &PARTS) };
        let surface = sweep(&ring).unwrap();
        surface.check().unwrap();
        prop_assert_eq!(steps(&surface), Vec::<String>::new());
        follows_nearest(&surface, &plan, &vec![2.0; plan.len()], Closure::Closed);
    }
}
