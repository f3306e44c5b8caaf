//! P: pipes and pumps. Cengel and Cimbala; Munson, Young and Okiishi; Fox and McDonald; Natarajan (from
//! transcriptions); Colebrook by fixed point; EPA EPANET 2 Users Manual; USGS definitions.

use water::{
    Fitting, FrictionLaw, GRAVITY_M_S2, Line, Pipe, PipeWall, Pump, PumpPower, Water,
    friction_factor, specific_speed, turnover_h, water_power_w,
};

use super::{CFS_M3_S, FOOT_M, GALLON_M3, GPM_M3_S, INCH_M, Row, SOUND, row};

fn one(pipe: Pipe) -> Line {
    Line::new(vec![pipe])
}

fn wall(roughness_m: f64) -> PipeWall {
    PipeWall { roughness_m, hazen_williams_c: 150.0 }
}

fn plastic(inches: f64, feet: f64) -> Pipe {
    Pipe::new(inches * INCH_M, feet * FOOT_M, PipeWall::SMOOTH_PLASTIC).expect(SOUND)
}

pub(super) fn rows() -> Vec<Row> {
    let mut rows = friction();
    rows.extend(lines());
    rows.extend(hazen_williams());
    rows.extend(pumps());
    rows
}

fn friction() -> Vec<Row> {
    let pairs = [
        (1e4, 0.0, 0.030883, 0.030972),
        (1e5, 0.0, 0.017990, 0.017863),
        (1e6, 0.0, 0.011645, 0.011606),
        (1e5, 1e-4, 0.018514, 0.018452),
        (1e5, 0.002, 0.025107, 0.025333),
        (1e6, 0.001, 0.019943, 0.020029),
    ];
    let of = |(re, relative, colebrook, swamee): (f64, f64, f64, f64)| {
        let found = friction_factor(re, relative).expect(SOUND);
        let what = format!("f at {re:e} and {relative}");
        [row("P-04", what.clone(), colebrook, found, 4e-5), row("P-05", what, swamee, found, 1e-2)]
    };
    let mut rows: Vec<Row> = pairs.into_iter().flat_map(of).collect();
    rows.sort_by_key(|row| row.id);
    let printed = friction_factor(6e4, 0.0023).expect(SOUND);
    rows.push(row("P-06", "f at 6e4 and 0.0023, the explicit form's", 0.027, printed, 1e-2));
    rows
}

fn lines() -> Vec<Row> {
    let water = Water::new(999.0, 1.138e-3 / 999.0).expect(SOUND);
    let smooth = one(Pipe::new(0.05, 60.0, wall(2.0e-6)).expect(SOUND));
    let smooth = smooth.loss(0.006, FrictionLaw::DarcyWeisbach(water)).expect(SOUND);
    let factor = friction_factor(smooth.velocity_m_s * 0.05 / water.viscosity_m2_s(), 4e-5);
    let kpa = smooth.total_m() * water.unit_weight_n_m3() / 1000.0;
    let water = Water::new(999.7, 1.307e-3 / 999.7).expect(SOUND);
    let fitted = Pipe::new(0.05, 89.0, wall(0.26e-3)).expect(SOUND);
    let fitted = one(fitted.with_loss(0.5 + 2.0 * 0.3 + 0.2 + 1.06).expect(SOUND));
    let fitted = fitted.loss(0.006, FrictionLaw::DarcyWeisbach(water)).expect(SOUND);
    let mut rows = vec![
        row("P-01", "f", 0.0172, factor.expect(SOUND), 5e-3),
        row("P-01", "kPa", 96.5, kpa, 5e-3),
        row("P-01", "head, m", 9.85, smooth.total_m(), 5e-3),
        row("P-02", "z1, m", 31.8, fitted.total_m() + 4.0, 5e-3),
    ];
    rows.extend(three_levels());
    let k = |fitting: Fitting| fitting.loss_coefficient().expect(SOUND);
    rows.extend([
        row("P-10", "entrance, sharp", 0.5, k(Fitting::EntranceSharp), 0.0),
        row("P-10", "elbow, threaded", 1.5, k(Fitting::ElbowThreaded), 0.0),
        row("P-10", "globe valve", 10.0, k(Fitting::GlobeOpen), 0.0),
        row("P-10", "exit", 1.0, k(Fitting::Exit), 0.0),
    ]);
    rows
}

/// P-03: at the pump without losses, with friction, with fittings.
fn three_levels() -> Vec<Row> {
    let water = Water::new(999.0, 1.21e-5 * FOOT_M * FOOT_M).expect(SOUND);
    let (flow, law) = (0.0267 * CFS_M3_S, FrictionLaw::DarcyWeisbach(water));
    let pipe = Pipe::new(0.0625 * FOOT_M, 60.0 * FOOT_M, wall(5e-6 * FOOT_M)).expect(SOUND);
    let fitted = pipe.with(Fitting::ElbowThreaded, 4).expect(SOUND);
    let fitted = fitted.with(Fitting::GlobeOpen, 1).expect(SOUND).with_loss(2.0).expect(SOUND);
    let nozzle = one(Pipe::new(0.5 * INCH_M, 0.0, wall(0.0)).expect(SOUND));
    let head = |line: &Line| {
        let v = line.loss(flow, law).expect(SOUND).velocity_m_s;
        v * v / (2.0 * GRAVITY_M_S2)
    };
    let base = 20.0 * FOOT_M + head(&nozzle) - head(&one(pipe));
    let loss = one(fitted).loss(flow, law).expect(SOUND);
    let psi = |head_m: f64| head_m / FOOT_M * 62.4 / 144.0;
    vec![
        row("P-03", "without losses, psi", 10.7, psi(base), 6e-3),
        row("P-03", "with friction, psi", 21.3, psi(base + loss.friction_m), 5e-3),
        row("P-03", "with fittings, psi", 30.5, psi(base + loss.total_m()), 5e-3),
    ]
}

fn hazen_williams() -> Vec<Row> {
    let loss_m = |inches, gpm: f64, law| {
        one(plastic(inches, 100.0)).loss(gpm * GPM_M3_S, law).expect(SOUND).total_m()
    };
    // k from a loss of one metre of pipe one metre wide: h = k L Q^1.852 / (C^1.852 d^4.871).
    let unit = one(Pipe::new(1.0, 1.0, PipeWall::SMOOTH_PLASTIC).expect(SOUND));
    let unit = unit.loss(1.0, FrictionLaw::HazenWilliams).expect(SOUND).friction_m;
    let mut rows = vec![row("P-07", "k in metres", 10.6668, unit * libm::pow(150.0, 1.852), 1e-4)];
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
        let found = loss_m(inches, gpm, FrictionLaw::HazenWilliams) / FOOT_M * 62.4 / 144.0;
        rows.push(row("P-08", format!("{gpm} gpm in {inches} in, psi"), psi, found, 1e-2));
    }
    let fps = plastic(2.067, 1.0).velocity_m_s(50.0 * GPM_M3_S) / FOOT_M;
    rows.push(row("P-08", "50 gpm in 2.067 in, ft/s", 4.78, fps, 1e-2));
    for (gpm, hazen_ft, darcy_ft) in [(20.0, 0.73, 0.80), (50.0, 3.97, 4.06), (100.0, 14.35, 14.10)]
    {
        let hazen = loss_m(2.067, gpm, FrictionLaw::HazenWilliams) / FOOT_M;
        let darcy = loss_m(2.067, gpm, FrictionLaw::DarcyWeisbach(Water::COOL)) / FOOT_M;
        rows.push(row("P-09", format!("{gpm} gpm, Hazen-Williams, ft"), hazen_ft, hazen, 1e-2));
        rows.push(row("P-09", format!("{gpm} gpm, Darcy-Weisbach, ft"), darcy_ft, darcy, 3e-2));
    }
    rows
}

fn pumps() -> Vec<Row> {
    let points = [[0.0, 25.0 * FOOT_M], [300.0 * GPM_M3_S, 21.9 * FOOT_M]];
    let pump = Pump::from_points(&points, PumpPower::Watts(100.0)).expect(SOUND);
    let faster = pump.at_speed(1750.0 / 1170.0).expect(SOUND);
    let velocity = 0.012 / (0.25 * core::f64::consts::PI * 0.075 * 0.075);
    let lift_m = 10.0 + velocity * velocity / (2.0 * GRAVITY_M_S2);
    let lift_w = water_power_w(0.012, lift_m, Water::new(1000.0, 1e-6).expect(SOUND));
    let chain = plastic(2.067, 40.0).with_loss(0.5 + 3.0 * 1.5 + 1.0).expect(SOUND);
    let chain = one(chain).loss(50.0 * GPM_M3_S, FrictionLaw::HazenWilliams).expect(SOUND);
    let whole_ft = chain.total_m() / FOOT_M + 5.0;
    let hp = water_power_w(50.0 * GPM_M3_S, whole_ft * FOOT_M, Water::COOL) / 745.7;
    vec![
        row("P-11", "gpm", 448.7, faster.most_m3_s() / GPM_M3_S, 1e-3),
        row("P-11", "ft", 49.0, faster.head_m(faster.most_m3_s()) / FOOT_M, 1e-3),
        row(
            "P-12",
            "specific speed",
            2001.8,
            specific_speed(1170.0, 300.0, 21.9).expect(SOUND),
            1e-4,
        ),
        row("P-13", "kW", 1.221, lift_w / 1000.0, 2e-3),
        row("P-14", "friction, ft", 1.59, chain.friction_m / FOOT_M, 5e-3),
        row("P-14", "fittings, ft", 2.13, chain.fittings_m / FOOT_M, 5e-3),
        row("P-14", "whole, ft", 8.72, whole_ft, 5e-3),
        row("P-14", "hp", 0.110, hp, 5e-3),
        row(
            "P-15",
            "hours in which 448.83 gpm turn 646,317 gal over",
            24.0,
            turnover_h(646_317.0 * GALLON_M3, 448.83 * GPM_M3_S, 1.0).expect(SOUND),
            1e-5,
        ),
    ]
}
