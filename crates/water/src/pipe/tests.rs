use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;

const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;
const GPM_M3_S: f64 = 231.0 * INCH_M * INCH_M * INCH_M / 60.0;
const CFS_M3_S: f64 = FOOT_M * FOOT_M * FOOT_M;

fn wall(roughness_m: f64, hazen_williams_c: f64) -> PipeWall {
    PipeWall { roughness_m, hazen_williams_c }
}

fn one(pipe: Pipe) -> Line {
    Line::new(vec![pipe])
}

/// P-04, Colebrook by fixed point to machine precision.
#[test]
fn colebrook() {
    for (reynolds, relative, factor) in [
        (1e4, 0.0, 0.030883),
        (1e5, 0.0, 0.017990),
        (1e6, 0.0, 0.011645),
        (1e5, 1e-4, 0.018514),
        (1e5, 0.002, 0.025107),
        (1e6, 0.001, 0.019943),
    ] {
        let found = friction_factor(reynolds, relative).unwrap();
        assert!((found - factor).abs() < 1e-6, "{reynolds} {relative} {found}");
    }
}

/// P-05 and P-06, Swamee and Jain 1976: within 1 % of Colebrook; 0.027 at Re 60,000 and 0.0023.
#[test]
fn swamee_and_jain_beside_colebrook() {
    let explicit = |re: f64, relative: f64| {
        let log = libm::log10(relative / 3.7 + 5.74 / libm::pow(re, 0.9));
        0.25 / (log * log)
    };
    assert!((explicit(6e4, 0.0023) / 0.02703 - 1.0).abs() < 5e-3);
    for (re, relative) in
        [(1e4, 0.0), (1e5, 0.0), (1e6, 0.0), (1e5, 1e-4), (1e5, 2e-3), (1e6, 1e-3)]
    {
        let ratio = explicit(re, relative) / friction_factor(re, relative).unwrap();
        assert!((ratio - 1.0).abs() < 0.01, "{re} {relative}");
    }
}

/// P-01, Cengel and Cimbala ex. 8-3: f 0.0172, 96.5 kPa printed (96.2 recomputed), 9.82 m.
#[test]
fn a_smooth_pipe() {
    let water = Water::new(999.0, 1.138e-3 / 999.0).unwrap();
    let line = one(Pipe::new(0.05, 60.0, wall(2.0e-6, 150.0)).unwrap());
    let loss = line.loss(0.006, FrictionLaw::DarcyWeisbach(water)).unwrap();
    assert!((loss.total_m() / 9.82 - 1.0).abs() < 5e-3);
    assert!((loss.total_m() * water.unit_weight_n_m3() / 96.5e3 - 1.0).abs() < 5e-3);
    let reynolds = loss.velocity_m_s * 0.05 / water.viscosity_m2_s();
    assert!((friction_factor(reynolds, 4e-5).unwrap() / 0.0172 - 1.0).abs() < 5e-3);
}

/// P-02, Cengel and Cimbala ex. 8-8: reservoir to reservoir with fittings, z1 31.8 m over a lift of 4.
#[test]
fn from_reservoir_to_reservoir() {
    let water = Water::new(999.7, 1.307e-3 / 999.7).unwrap();
    let pipe = Pipe::new(0.05, 89.0, wall(0.26e-3, 120.0)).unwrap();
    let pipe = pipe.with_loss(0.5 + 2.0 * 0.3 + 0.2 + 1.06).unwrap();
    let loss = one(pipe).loss(0.006, FrictionLaw::DarcyWeisbach(water)).unwrap();
    assert!(((loss.total_m() + 4.0) / 31.82 - 1.0).abs() < 5e-3, "{}", loss.total_m());
}

/// P-03, Munson ex. 8.8: 10.7, 21.3 and 30.5 psi without losses, with friction, with fittings.
#[test]
fn pressure_at_three_levels_of_loss() {
    let water = Water::new(999.0, 1.21e-5 * FOOT_M * FOOT_M).unwrap();
    let (flow, diameter) = (0.0267 * CFS_M3_S, 0.0625 * FOOT_M);
    let pipe = Pipe::new(diameter, 60.0 * FOOT_M, wall(5e-6 * FOOT_M, 150.0)).unwrap();
    let fitted = pipe.with(Fitting::ElbowThreaded, 4).unwrap();
    let fitted = fitted.with(Fitting::GlobeOpen, 1).unwrap().with_loss(2.0).unwrap();
    let nozzle = one(Pipe::new(0.5 * INCH_M, 0.0, wall(0.0, 150.0)).unwrap());
    let law = FrictionLaw::DarcyWeisbach(water);
    let velocity_head = |line: &Line| {
        let v = line.loss(flow, law).unwrap().velocity_m_s;
        v * v / (2.0 * GRAVITY_M_S2)
    };
    let base = 20.0 * FOOT_M + velocity_head(&nozzle) - velocity_head(&one(pipe));
    let psi = |head_m: f64| head_m / FOOT_M * 62.4 / 144.0;
    let losses = one(fitted).loss(flow, law).unwrap();
    for (head, printed) in
        [(base, 10.75), (base + losses.friction_m, 21.28), (base + losses.total_m(), 30.46)]
    {
        assert!((psi(head) / printed - 1.0).abs() < 5e-3, "{} {printed}", psi(head));
    }
}

/// P-07: the constants in metres and in feet are one.
#[test]
fn hazen_williams_constants_agree() {
    // 4.727 in cubic feet per second and feet is 10.6668 in metres.
    let in_feet = 4.727 * FOOT_M * libm::pow(FOOT_M, 4.871 - 1.0) / libm::pow(CFS_M3_S, 1.852);
    assert!((in_feet / 10.6668 - 1.0).abs() < 2e-4, "{in_feet}");
}

/// P-08, computed there by four forms: psi for each 100 ft of plastic pipe at C 150.
#[test]
fn hazen_williams_in_plastic() {
    for (inches, gpm, psi) in [
        (1.610, 20.0, 1.07),
        (1.610, 30.0, 2.26),
        (1.610, 50.0, 5.81),
        (2.067, 30.0, 0.668),
        (2.067, 50.0, 1.72),
        (2.067, 100.0, 6.21),
        (3.068, 50.0, 0.251),
        (3.068, 100.0, 0.907),
    ] {
        let pipe = Pipe::new(inches * INCH_M, 100.0 * FOOT_M, PipeWall::SMOOTH_PLASTIC).unwrap();
        let loss = one(pipe).loss(gpm * GPM_M3_S, FrictionLaw::HazenWilliams).unwrap();
        let found = loss.total_m() / FOOT_M * 62.4 / 144.0;
        assert!((found / psi - 1.0).abs() < 1e-2, "{inches} {gpm} {found}");
    }
    let pipe = Pipe::new(2.067 * INCH_M, 1.0, PipeWall::SMOOTH_PLASTIC).unwrap();
    assert!((pipe.velocity_m_s(50.0 * GPM_M3_S) / FOOT_M / 4.78 - 1.0).abs() < 1e-2);
}

/// P-09: both laws in smooth plastic of 2 in, feet for each 100 ft, within a tenth of each other.
#[test]
fn both_laws_agree_in_smooth_plastic() {
    let pipe = Pipe::new(2.067 * INCH_M, 100.0 * FOOT_M, PipeWall::SMOOTH_PLASTIC).unwrap();
    for (gpm, hazen, darcy) in [(20.0, 0.73, 0.80), (50.0, 3.97, 4.06), (100.0, 14.35, 14.10)] {
        let loss = |law| one(pipe).loss(gpm * GPM_M3_S, law).unwrap().total_m() / FOOT_M;
        let by_hazen = loss(FrictionLaw::HazenWilliams);
        let by_darcy = loss(FrictionLaw::DarcyWeisbach(Water::COOL));
        assert!((by_hazen / hazen - 1.0).abs() < 1e-2, "{by_hazen}");
        assert!((by_darcy / darcy - 1.0).abs() < 3e-2, "{by_darcy}");
        assert!((by_hazen / by_darcy - 1.0).abs() < 0.1);
    }
}

#[test]
fn volumes_and_diameters() {
    let pipe = Pipe::new(0.1, 10.0, PipeWall::SMOOTH_PLASTIC).unwrap();
    assert!((one(pipe).volume_m3() - 0.0785398).abs() < 1e-6);
    let diameter = diameter_for_velocity_m(0.005, 1.5).unwrap();
    let pipe = Pipe::new(diameter, 1.0, PipeWall::SMOOTH_PLASTIC).unwrap();
    assert!((pipe.velocity_m_s(0.005) - 1.5).abs() < 1e-12);
}

#[test]
fn what_is_no_pipe_is_refused() {
    assert!(Pipe::new(0.0, 1.0, PipeWall::SMOOTH_PLASTIC).is_err());
    assert!(Pipe::new(0.05, f64::NAN, PipeWall::SMOOTH_PLASTIC).is_err());
    assert!(Pipe::new(0.05, 1.0, wall(0.01, 150.0)).is_err());
    assert!(Pipe::new(0.05, 1.0, wall(f64::NAN, 150.0)).is_err());
    let pipe = Pipe::new(0.05, 1.0, PipeWall::SMOOTH_PLASTIC).unwrap();
    assert!(pipe.with_loss(-1.0).is_err() && pipe.with_loss(f64::INFINITY).is_err());
    assert!(one(pipe).loss(f64::NAN, FrictionLaw::HazenWilliams).is_err());
    assert!(one(pipe).loss(-0.1, FrictionLaw::HazenWilliams).is_err());
    assert!(friction_factor(f64::NAN, 0.0).is_err() && friction_factor(0.0, 0.0).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(61), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_flow_loses_more(
        (log_diameter, length, relative) in (-2.5..0.5f64, 0.01..500.0f64, 0.0..0.05f64),
        (log_flow, k) in (-9.0..2.0f64, 0.0..50.0f64),
    ) {
        let diameter = libm::exp10(log_diameter);
        let pipe = Pipe::new(diameter, length, wall(relative * diameter, 140.0)).unwrap();
        let line = one(pipe.with_loss(k).unwrap());
        let flow = libm::exp10(log_flow);
        for law in [FrictionLaw::DarcyWeisbach(Water::COOL), FrictionLaw::HazenWilliams] {
            let (less, more) = (line.loss(flow, law).unwrap(), line.loss(flow * 1.01, law).unwrap());
            prop_assert!(less.total_m() > 0.0 && more.total_m() > less.total_m());
        }
    }

    /// Colebrook's own equation holds.
    #[test]
    fn the_factor_solves_colebrook(log_re in 3.61..8.9f64, relative in 0.0..0.05f64) {
        let re = libm::exp10(log_re);
        let root_f = friction_factor(re, relative).unwrap().sqrt();
        let right = -2.0 * libm::log10(relative / 3.7 + 2.51 / (re * root_f));
        prop_assert!((1.0 / root_f / right - 1.0).abs() < 1e-12);
    }
}
