use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::{CrestForm, GRAVITY_M_S2, Roughness, Section, normal_depth_m};

fn station(along_m: f64, invert_m: f64, bed_m: f64, roughness: Roughness) -> Station {
    let section = Section::rectangle(bed_m).unwrap();
    Station { along_m, invert_m, section, roughness, edges_m: [invert_m + 1.0; 2] }
}

fn straight(length_m: f64, slope: f64, bed_m: f64, roughness: Roughness) -> Reach {
    let invert_m = 10.0 + slope * length_m;
    let head = station(0.0, invert_m, bed_m, roughness);
    Reach::new(vec![head, station(length_m, 10.0, bed_m, roughness)]).unwrap()
}

fn quiet(outlet: Outlet<'_>) -> Ends<'_> {
    Ends { inlet: Inlet::Quiet, outlet }
}

fn n(n: f64) -> Roughness {
    Roughness::manning(n).unwrap()
}

/// A channel so wide that its radius is its depth, over stones so large that Blodgett's ratio is held
/// at its least: n goes with R^(1/6), which is Chezy's law, for which Bresse's integral is exact.
mod wide {
    use super::*;

    pub(super) const BED_M: f64 = 1.0e5;
    pub(super) const UNIT_FLOW_M2_S: f64 = 9.0e-5;

    pub(super) fn chezy() -> Roughness {
        Roughness::blodgett(1.0e4).unwrap()
    }

    pub(super) fn reach(length_m: f64, slope: f64) -> Reach {
        straight(length_m, slope, BED_M, chezy())
    }

    /// Normal and critical depth, by their own formulas.
    pub(super) fn depths(slope: f64) -> (f64, f64) {
        let c = (2.25 + 5.23 * libm::log10(1.5)) / 0.319;
        let q = UNIT_FLOW_M2_S;
        (libm::cbrt(q * q / (c * c * slope)), libm::cbrt(q * q / GRAVITY_M_S2))
    }

    /// Distance along the bed at which the depth is `depth_m`, from an arbitrary start.
    ///
    /// J. A. C. Bresse 1860, as in Chow 1959 ch. 10, from memory:
    /// x = yn / S (u - (1 - (yc / yn)^3) Phi(u)), u = y / yn,
    /// Phi = ln((u^2 + u + 1) / (u - 1)^2) / 6 - arccot((2 u + 1) / 3^0.5) / 3^0.5.
    pub(super) fn bresse_m(slope: f64, depth_m: f64) -> f64 {
        let (normal, critical) = depths(slope);
        let (u, ratio) = (depth_m / normal, critical / normal);
        let root = 3.0_f64.sqrt();
        let log = libm::log((u * u + u + 1.0) / ((u - 1.0) * (u - 1.0))) / 6.0;
        let phi = log - libm::atan2(root, 2.0 * u + 1.0) / root;
        normal / slope * (u - (1.0 - ratio * ratio * ratio) * phi)
    }

    /// The profile at a step, and its greatest error in distance against Bresse's, over the length.
    pub(super) fn error(reach: &Reach, ends: Ends<'_>, slope: f64, step_m: f64) -> f64 {
        let found = profile(reach, UNIT_FLOW_M2_S * BED_M, ends, step_m).unwrap();
        assert!(found.jumps.is_empty());
        let (first, last) = (&found.points[0], &found.points[found.points.len() - 1]);
        // From the end at which the depth is given.
        let known = if first.froude > 1.0 { first } else { last };
        let error = |p: &Point| {
            let bresse = bresse_m(slope, p.depth_m) - bresse_m(slope, known.depth_m);
            (bresse - (p.along_m - known.along_m)).abs()
        };
        found.points.iter().map(error).fold(0.0, f64::max) / reach.length_m()
    }
}

/// Backwater, drawdown, the fast way down, and fast water on both slopes, each by Bresse.
#[test]
fn five_profiles_are_bresses() {
    let (mild, steep) = (0.01, 0.2);
    let ((normal_mild, critical), (normal_steep, _)) = (wide::depths(mild), wide::depths(steep));
    assert!(normal_mild > critical && normal_steep < critical);
    let shooting = |depth_m: f64, outlet| Ends {
        inlet: Inlet::Shooting(wide::UNIT_FLOW_M2_S / depth_m),
        outlet,
    };
    let cases = [
        ("backwater on a mild bed", mild, 0.1, quiet(Outlet::Level(10.0 + 1.5 * normal_mild))),
        ("drawdown on a mild bed", mild, 0.025, quiet(Outlet::Level(10.0 + 1.05 * critical))),
        ("fast on a mild bed", mild, 0.0025, shooting(0.5 * critical, Outlet::Free)),
        ("down a steep bed", steep, 0.0025, shooting(0.97 * critical, Outlet::Free)),
        ("thin on a steep bed", steep, 0.005, shooting(0.5 * normal_steep, Outlet::Free)),
    ];
    for (name, slope, length_m, ends) in cases {
        let reach = wide::reach(length_m, slope);
        let error = wide::error(&reach, ends, slope, (length_m / 400.0).max(1e-4));
        assert!(error < 3e-3, "{name}: {error}");
    }
}

/// Half the step leaves a quarter of the error.
#[test]
fn a_finer_step_converges_with_its_square() {
    let slope = 0.01;
    let (normal, critical) = wide::depths(slope);
    let reach = wide::reach(0.025, slope);
    for level in [1.5 * normal, 0.5 * (normal + critical)] {
        let ends = quiet(Outlet::Level(10.0 + level));
        let errors = [2.5e-3, 1.25e-3, 6.25e-4].map(|step| wide::error(&reach, ends, slope, step));
        for pair in errors.windows(2) {
            let ratio = pair[0] / pair[1];
            assert!((3.5..4.5).contains(&ratio), "{errors:?}");
        }
    }
}

/// A second way for a garden's own section: the distance between two depths by quadrature of
/// dx/dy = (1 - Fr^2) / (S0 - Sf), which knows no energy and no steps along the bed.
#[test]
fn a_garden_bed_is_its_quadrature() {
    let section = Section::new(0.4, [1.5, 0.7]).unwrap();
    let roughness = Roughness::variable_power(0.04).unwrap();
    let (slope, flow, length) = (0.004, 0.015, 6.0);
    let at = |along_m: f64| Station {
        along_m,
        invert_m: 10.0 + slope * (length - along_m),
        section,
        roughness,
        edges_m: [11.0; 2],
    };
    let reach = Reach::new(vec![at(0.0), at(length)]).unwrap();
    let run_per_depth = |y: f64| {
        let (area, top) = (section.area_m2(y), section.top_width_m(y));
        let froude_squared = flow * flow * top / (GRAVITY_M_S2 * area * area * area);
        let friction = branch::friction(&at(0.0), flow, y);
        (1.0 - froude_squared) / (slope - friction)
    };
    let critical_m = critical(section, flow);
    for end_m in [1.1 * critical_m, 3.0 * critical_m] {
        let ends = quiet(Outlet::Level(10.0 + end_m));
        let found = profile(&reach, flow, ends, 0.01).unwrap();
        for p in found.points.iter().step_by(60) {
            let n = 2000;
            let h = (p.depth_m - end_m) / f64::from(n);
            let weight = |i: i32| {
                if i == 0 || i == n {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                }
            };
            let sum: f64 =
                (0..=n).map(|i| weight(i) * run_per_depth(end_m + h * f64::from(i))).sum();
            let by_quadrature = length + sum * h / 3.0;
            assert!((by_quadrature - p.along_m).abs() < 0.01, "{by_quadrature} {}", p.along_m);
        }
    }
}

#[test]
fn a_long_even_stream_runs_at_its_normal_depth() {
    let reach = straight(60.0, 0.01, 0.6, n(0.045));
    let channel = crate::Channel {
        section: Section::rectangle(0.6).unwrap(),
        roughness: n(0.045),
        bed_slope: 0.01,
        edge_height_m: 1.0,
    };
    let normal = normal_depth_m(channel, 0.01).unwrap();
    let found = profile(&reach, 0.01, quiet(Outlet::Free), 0.05).unwrap();
    assert!((found.points[0].depth_m / normal - 1.0).abs() < 1e-3);
    assert!((found.points[0].friction_slope / 0.01 - 1.0).abs() < 5e-3);
    let end = found.points[found.points.len() - 1];
    assert!((end.froude - 1.0).abs() < 1e-9);
    assert!((found.volume_m3 / (60.0 * 0.6 * normal) - 1.0).abs() < 0.01);
}

/// A pool behind a crest: level but for its slight fall, and its surface the crest's.
#[test]
fn a_pool_stands_level_behind_its_crest() {
    let crest = Crest::level(10.3, 0.5, CrestForm::Broad).unwrap();
    let reach = straight(3.0, 0.02, 1.2, n(0.04));
    let found = profile(&reach, 0.012, quiet(Outlet::Crest(&crest, None)), 0.05).unwrap();
    let head = crest.level_for_m(0.012, None).unwrap();
    let end = found.points[found.points.len() - 1];
    assert!((end.energy_m - head).abs() < 1e-9, "{} {head}", end.energy_m);
    assert!(found.head_level_m() - end.level_m < 1e-3 && found.jumps.is_empty());
    assert!((found.least_edge().edge_above_water_m[0] - (11.0 - end.level_m)).abs() < 1e-3);
    // Drowned from below, the pool stands higher; a lip's own head below changes nothing.
    let drowned = profile(&reach, 0.012, quiet(Outlet::Crest(&crest, Some(10.4))), 0.05).unwrap();
    assert!(drowned.head_level_m() > 10.4);
    let free = profile(&reach, 0.012, quiet(Outlet::Crest(&crest, Some(10.3))), 0.05).unwrap();
    assert_eq!(free, found);
}

/// Drawdown to a crest that is as wide as the bed and level with it: critical at the crest, rising
/// upstream.
#[test]
fn water_draws_down_to_a_crest_without_a_pool() {
    let reach = straight(5.0, 0.005, 0.8, n(0.04));
    let crest = Crest::level(10.0, 0.8, CrestForm::Broad).unwrap();
    let found = profile(&reach, 0.01, quiet(Outlet::Crest(&crest, None)), 0.02).unwrap();
    let depths: Vec<f64> = found.points.iter().map(|p| p.depth_m).collect();
    assert!(depths.windows(2).all(|pair| pair[1] <= pair[0]));
    let critical_m = critical(Section::rectangle(0.8).unwrap(), 0.01);
    assert!((depths[depths.len() - 1] / critical_m - 1.0).abs() < 1e-3);
}

/// Fast water from a fall's foot jumps below it where Belanger's depth meets the pool's surface.
#[test]
fn the_jump_stands_where_both_forces_are_equal() {
    let reach = straight(4.0, 0.002, 0.6, n(0.03));
    let crest = Crest::level(10.01, 0.6, CrestForm::Broad).unwrap();
    let ends = Ends { inlet: Inlet::Shooting(1.6), outlet: Outlet::Crest(&crest, None) };
    let found = profile(&reach, 0.012, ends, 0.01).unwrap();
    assert_eq!((found.foot, found.jumps.len()), (Foot::Free, 1));
    let JumpAt { along_m, jump } = found.jumps[0];
    assert!(along_m > 0.0 && along_m < 4.0, "{along_m}");
    let froude = jump.froude_before;
    let belanger = 0.5 * jump.before_m * ((1.0 + 8.0 * froude * froude).sqrt() - 1.0);
    assert!((jump.after_m / belanger - 1.0).abs() < 1e-9);
    let after = found.points.iter().find(|p| p.along_m > along_m).unwrap();
    assert!((after.depth_m / jump.after_m - 1.0).abs() < 0.02);
    // Finer steps move it less and less.
    let place = |step| profile(&reach, 0.012, ends, step).unwrap().jumps[0].along_m;
    let places = [place(0.04), place(0.01), place(0.0025)];
    assert!(
        (places[2] - places[1]).abs() < 0.5 * (places[1] - places[0]).abs() + 2e-3,
        "{places:?}"
    );
}

/// A deep pool drowns the foot of the fall.
#[test]
fn a_pool_drowns_the_foot() {
    let reach = straight(2.0, 0.0, 0.6, n(0.03));
    let ends = Ends { inlet: Inlet::Shooting(2.0), outlet: Outlet::Level(10.5) };
    let found = profile(&reach, 0.012, ends, 0.05).unwrap();
    assert_eq!((found.foot, found.jumps.len()), (Foot::Drowned, 0));
    assert!(found.points.iter().all(|p| p.regime == Regime::Slow));
}

/// Mild, then steep, then mild: slow, critical at the break, fast, a jump, slow again.
#[test]
fn a_steep_stretch_between_mild_ones() {
    let stations = vec![
        station(0.0, 10.62, 0.6, n(0.035)),
        station(4.0, 10.60, 0.6, n(0.035)),
        station(8.0, 10.02, 0.6, n(0.035)),
        station(14.0, 10.0, 0.6, n(0.035)),
    ];
    let reach = Reach::new(stations).unwrap();
    let found = profile(&reach, 0.012, quiet(Outlet::Level(10.08)), 0.02).unwrap();
    let at = |x: f64| *found.points.iter().find(|p| p.along_m >= x).unwrap();
    assert!(at(1.0).froude < 0.9 && at(6.0).froude > 1.2 && at(13.0).froude < 0.9);
    assert!((at(4.0).froude - 1.0).abs() < 0.05, "{}", at(4.0).froude);
    assert_eq!(found.jumps.len(), 1);
    assert_eq!(at(6.0).trust, Trust::Estimate);
}

/// A narrow place in a steep bed that fast water cannot pass: it backs up and jumps above.
#[test]
fn fast_water_backs_up_from_a_narrow_place() {
    let stations = vec![
        station(0.0, 10.30, 1.0, n(0.03)),
        station(5.0, 10.10, 1.0, n(0.03)),
        station(5.5, 10.08, 0.5, n(0.03)),
        station(6.0, 10.06, 1.0, n(0.03)),
        station(8.0, 9.98, 1.0, n(0.03)),
    ];
    let reach = Reach::new(stations).unwrap();
    let found = profile(&reach, 0.03, quiet(Outlet::Free), 0.02).unwrap();
    let at = |x: f64| *found.points.iter().find(|p| p.along_m >= x).unwrap();
    assert!(at(5.0).froude < 1.0 && at(2.0).froude > 1.0, "{} {}", at(5.0).froude, at(2.0).froude);
    assert!((at(5.5).froude - 1.0).abs() < 0.05);
    assert!(found.jumps.iter().any(|j| j.along_m < 5.0));
}

#[test]
fn what_has_no_profile_is_refused() {
    let reach = straight(4.0, 0.002, 0.6, n(0.03));
    let run = |flow: f64, inlet, outlet, step| profile(&reach, flow, Ends { inlet, outlet }, step);
    assert!(run(0.0, Inlet::Quiet, Outlet::Free, 0.1).is_err());
    assert!(run(f64::NAN, Inlet::Quiet, Outlet::Free, 0.1).is_err());
    assert!(run(0.01, Inlet::Shooting(0.0), Outlet::Free, 0.1).is_err());
    assert!(run(0.01, Inlet::Quiet, Outlet::Level(f64::NAN), 0.1).is_err());
    assert!(run(0.01, Inlet::Quiet, Outlet::Free, 0.0).is_err());
    assert!(run(0.01, Inlet::Quiet, Outlet::Free, 1e-4).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, rng_seed: RngSeed::Fixed(56), failure_persistence: None, ..ProptestConfig::default() })]

    /// Any bed has a profile; its energy never rises downstream but by the error of a step, and a
    /// higher level below never lowers the water above.
    #[test]
    fn any_stream_has_a_profile(
        steps in prop::collection::vec((0.05..6.0f64, -0.4..1.5f64, 0.02..3.0f64, 0.0..4.0f64), 2..9),
        (log_flow, stone, kind) in (-6.0..1.0f64, 0.002..0.5f64, 0..3_usize),
        shooting in prop::option::of(0.01..10.0f64),
        level in -1.0..3.0f64,
    ) {
        let roughness = [
            n(0.04),
            Roughness::variable_power(stone).unwrap(),
            Roughness::limerinos(stone).unwrap(),
        ][kind];
        let (mut along_m, mut invert_m) = (0.0, 10.0);
        let stations: Vec<Station> = steps.iter().map(|&(run, fall, bed, side)| {
            let section = Section::new(bed, [side, 0.5 * side]).unwrap();
            let at = Station { along_m, invert_m, section, roughness, edges_m: [11.0, 11.0] };
            along_m += run;
            invert_m -= fall;
            at
        }).collect();
        let reach = Reach::new(stations).unwrap();
        let flow = libm::exp10(log_flow);
        let inlet = shooting.map_or(Inlet::Quiet, Inlet::Shooting);
        let level_m = reach.end().invert_m + level;
        let low = profile(&reach, flow, Ends { inlet, outlet: Outlet::Level(level_m) }, 0.2).unwrap();
        let high = profile(&reach, flow, Ends { inlet, outlet: Outlet::Level(level_m + 0.3) }, 0.2).unwrap();
        for found in [&low, &high] {
            for p in &found.points {
                prop_assert!(p.depth_m > 0.0 && p.energy_m.is_finite() && p.friction_slope.is_finite());
                prop_assert!(p.level_m >= p.invert_m && p.velocity_m_s > 0.0);
            }
            let at_jump = |p: &Point| found.jumps.iter().any(|j| j.along_m == p.along_m);
            let nodes: Vec<&Point> = found.points.iter().filter(|p| !at_jump(p)).collect();
            for pair in nodes.windows(2) {
                let above_bed = (pair[0].energy_m - pair[0].invert_m).max(pair[1].energy_m - pair[1].invert_m);
                let rise = pair[1].energy_m - pair[0].energy_m;
                prop_assert!(rise <= 0.05 * above_bed, "{} {:?}", rise, pair);
            }
        }
        let more = profile(&reach, 1.2 * flow, Ends { inlet: Inlet::Quiet, outlet: Outlet::Level(level_m) }, 0.2).unwrap();
        let less = profile(&reach, flow, Ends { inlet: Inlet::Quiet, outlet: Outlet::Level(level_m) }, 0.2).unwrap();
        let above_bed = less.head_energy_m() - reach.head().invert_m;
        prop_assert!(more.head_energy_m() >= less.head_energy_m() - 1e-3 * above_bed, "{} {}", more.head_energy_m(), less.head_energy_m());
        prop_assert!(low.volume_m3 > 0.0 && high.volume_m3 >= low.volume_m3 * (1.0 - 1e-9), "{} {}", high.volume_m3, low.volume_m3);
    }
}
