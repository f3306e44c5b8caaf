use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::{Delivery, Fitting, GENERIC_PUMPS, Pipe, PipeWall, Water, duty};

const LAW: FrictionLaw = FrictionLaw::DarcyWeisbach(Water::COOL);

fn line(diameter_m: f64, length_m: f64, k: f64) -> Line {
    let pipe = Pipe::new(diameter_m, length_m, PipeWall::SMOOTH_PLASTIC).unwrap();
    Line::new(vec![pipe.with_loss(k).unwrap()])
}

fn pump(size: usize) -> Pump {
    GENERIC_PUMPS[size].pump().unwrap()
}

/// One pump on one line is its duty, but for the micrometre that a joint takes.
#[test]
fn one_line_runs_at_its_duty() {
    let mut circuit = Circuit::new();
    let (pond, lip) = (circuit.water(10.0).unwrap(), circuit.outlet(11.5).unwrap());
    let way = circuit.pump(pond, lip, line(0.06, 20.0, 5.0), pump(2)).unwrap();
    let found = circuit.run(LAW).unwrap().way(way).unwrap();
    let alone =
        duty(&pump(2), Delivery { line: &line(0.06, 20.0, 5.0), lift_m: 1.5, law: LAW }).unwrap();
    assert!((found.flow_m3_s / alone.flow_m3_s - 1.0).abs() < 1e-5);
    assert_eq!(found.power_w, Some(alone.power_w));
    // The same with a joint between suction and delivery.
    let mut circuit = Circuit::new();
    let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
    let lip = circuit.outlet(11.5).unwrap();
    let suction = circuit.pump(pond, joint, line(0.06, 5.0, 1.0), pump(2)).unwrap();
    circuit.line(joint, lip, line(0.06, 15.0, 4.0)).unwrap();
    let flow = circuit.run(LAW).unwrap();
    assert!((flow.way(suction).unwrap().flow_m3_s / found.flow_m3_s - 1.0).abs() < 1e-5);
    let head = flow.head_m(joint).unwrap();
    assert!(head > 11.5 && head < 10.0 + pump(2).shut_off_m());
}

/// Two pumps alike into one line, and two lines alike from one pump, by halves.
#[test]
fn pumps_and_branches_alike_share_by_halves() {
    let mut circuit = Circuit::new();
    let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
    let lip = circuit.outlet(11.0).unwrap();
    let pumps = [0, 1].map(|_| circuit.pump(pond, joint, line(0.05, 5.0, 2.0), pump(1)).unwrap());
    let rising = circuit.line(joint, lip, line(0.075, 15.0, 3.0)).unwrap();
    let found = circuit.run(LAW).unwrap();
    let [a, b] = pumps.map(|way| found.way(way).unwrap().flow_m3_s);
    assert!((a - b).abs() < 1e-9 && (a + b - found.way(rising).unwrap().flow_m3_s).abs() < 1e-9);
    assert_eq!(found.power_w(), 2.0 * GENERIC_PUMPS[1].watts);
    let mut circuit = Circuit::new();
    let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
    let rising = circuit.pump(pond, joint, line(0.075, 5.0, 2.0), pump(3)).unwrap();
    let branches = [11.0, 11.0, 11.3].map(|elevation| {
        let outlet = circuit.outlet(elevation).unwrap();
        circuit.line(joint, outlet, line(0.05, 8.0, 3.0)).unwrap()
    });
    let found = circuit.run(LAW).unwrap();
    let flows = branches.map(|way| found.way(way).unwrap().flow_m3_s);
    assert!((flows[0] - flows[1]).abs() < 1e-9 && flows[2] < flows[0]);
    let whole = found.way(rising).unwrap().flow_m3_s;
    assert!((flows.iter().sum::<f64>() - whole).abs() < 1e-9);
}

/// A weak pump beside a strong one is shut by its valve; a branch above the pump's reach stays dry;
/// a joint behind it leaks nothing.
#[test]
fn valves_close_and_high_branches_stay_dry() {
    let mut circuit = Circuit::new();
    let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
    let strong = circuit.pump(pond, joint, line(0.075, 2.0, 1.0), pump(5)).unwrap();
    let weak = circuit.pump(pond, joint, line(0.05, 2.0, 1.0), pump(0)).unwrap();
    let (low, high) = (circuit.outlet(13.5).unwrap(), circuit.outlet(30.0).unwrap());
    circuit.line(joint, low, line(0.05, 10.0, 3.0)).unwrap();
    let behind = circuit.joint();
    circuit.line(joint, behind, line(0.05, 10.0, 3.0)).unwrap();
    let dry = circuit.line(behind, high, line(0.05, 10.0, 3.0)).unwrap();
    let found = circuit.run(LAW).unwrap();
    assert!(found.way(strong).unwrap().flow_m3_s > 0.004);
    assert_eq!(found.way(weak).unwrap().flow_m3_s, 0.0);
    assert_eq!(found.way(dry).unwrap().flow_m3_s, 0.0);
}

/// A valve that is half closed turns water to the other branch.
#[test]
fn a_valve_turns_water_to_the_other_branch() {
    let flows = |fitting: Fitting| {
        let mut circuit = Circuit::new();
        let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
        circuit.pump(pond, joint, line(0.075, 5.0, 2.0), pump(3)).unwrap();
        let outlets = [0, 1].map(|_| circuit.outlet(11.0).unwrap());
        let throttled = line(0.05, 8.0, 3.0).with(fitting).unwrap();
        let ways = [
            circuit.line(joint, outlets[0], throttled).unwrap(),
            circuit.line(joint, outlets[1], line(0.05, 8.0, 3.0)).unwrap(),
        ];
        let found = circuit.run(LAW).unwrap();
        ways.map(|way| found.way(way).unwrap().flow_m3_s)
    };
    let (open, half) = (flows(Fitting::Ball(1.0)), flows(Fitting::Ball(0.5)));
    assert!(half[0] < open[0] && half[1] > open[1]);
    assert!(half[0] + half[1] < open[0] + open[1]);
}

/// A ring: the flow parts both ways round and its heads close.
#[test]
fn a_ring_closes() {
    let mut circuit = Circuit::new();
    let pond = circuit.water(10.0).unwrap();
    let joints = [0, 1, 2].map(|_| circuit.joint());
    let out = circuit.outlet(11.0).unwrap();
    circuit.pump(pond, joints[0], line(0.075, 2.0, 1.0), pump(3)).unwrap();
    let left = circuit.line(joints[0], joints[1], line(0.05, 6.0, 0.0)).unwrap();
    let right = circuit.line(joints[0], joints[2], line(0.05, 3.0, 0.0)).unwrap();
    let rest = circuit.line(joints[2], joints[1], line(0.05, 3.0, 0.0)).unwrap();
    circuit.line(joints[1], out, line(0.06, 4.0, 2.0)).unwrap();
    let found = circuit.run(LAW).unwrap();
    let at = |way| found.way(way).unwrap();
    assert!((at(left).flow_m3_s - at(right).flow_m3_s).abs() < 1e-6);
    let around = at(right).loss_m + at(rest).loss_m - at(left).loss_m;
    assert!(around.abs() < 1e-5, "{around}");
}

#[test]
fn what_does_not_run_is_refused() {
    let mut circuit = Circuit::new();
    assert!(circuit.water(f64::NAN).is_err() && circuit.outlet(f64::INFINITY).is_err());
    let (pond, joint) = (circuit.water(10.0).unwrap(), circuit.joint());
    assert_eq!(circuit.run(LAW), Err(CircuitError::Unconnected(1)));
    let itself = circuit.line(pond, pond, Line::default());
    assert_eq!(itself, Err(CircuitError::Loop(0)));
    let mut other = Circuit::new();
    assert_eq!(other.line(pond, joint, Line::default()), Err(CircuitError::NoPlace(0)));
    assert_eq!(Circuit::new().run(LAW).unwrap().ways, vec![]);
    circuit.line(pond, joint, Line::default()).unwrap();
    let still = circuit.run(LAW).unwrap();
    assert!(still.ways[0].flow_m3_s.abs() < 1e-9 && (still.heads_m[1] - 10.0).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(63), failure_persistence: None, ..ProptestConfig::default() })]

    /// Any tangle of pumps, lines, joints, waters and outlets settles: what comes to a joint leaves
    /// it, and along every open way the heads close.
    #[test]
    fn any_circuit_settles(
        places in prop::collection::vec((0..3_u8, 0.0..4.0f64), 2..8),
        ways in prop::collection::vec(
            (0..8_usize, 0..8_usize, prop::option::of(0..8_usize), 0.01..0.2f64, 0.0..30.0f64, 0.0..20.0f64), 1..14),
    ) {
        let mut circuit = Circuit::new();
        let pond = circuit.water(0.0).unwrap();
        let mut ids = vec![pond];
        for &(kind, z) in &places {
            ids.push(match kind {
                0 => circuit.water(z).unwrap(),
                1 => circuit.outlet(z).unwrap(),
                _ => circuit.joint(),
            });
        }
        // Every place hangs on the one before it; the rest is as it falls.
        let mut made = Vec::new();
        for pair in ids.windows(2) {
            made.push((pair[0], pair[1], circuit.line(pair[0], pair[1], line(0.05, 5.0, 2.0)).unwrap(), None));
        }
        for &(from, to, size, diameter, length, k) in &ways {
            let (from, to) = (ids[from % ids.len()], ids[to % ids.len()]);
            if from == to {
                continue;
            }
            let pipe = line(diameter, length, k);
            let way = match size {
                Some(size) => circuit.pump(from, to, pipe, pump(size)).unwrap(),
                None => circuit.line(from, to, pipe).unwrap(),
            };
            made.push((from, to, way, size));
        }
        for law in [LAW, FrictionLaw::HazenWilliams] {
            let found = circuit.run(law).unwrap();
            for &(from, to, way, _) in &made {
                let at = found.way(way).unwrap();
                prop_assert!(at.flow_m3_s.is_finite());
                let difference = found.head_m(from).unwrap() - found.head_m(to).unwrap();
                let asked = at.flow_m3_s.signum() * (at.loss_m + 1e-3 * at.flow_m3_s.abs()) - at.pump_head_m.unwrap_or(0.0);
                if at.flow_m3_s.abs() > 1e-9 {
                    prop_assert!((difference - asked).abs() < 1e-6 * (1.0 + asked.abs()), "{} {}", difference, asked);
                }
            }
        }
    }
}
