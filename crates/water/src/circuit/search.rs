//! The search for the heads at which every joint is in balance.

use super::{Circuit, Place, Way};
use crate::FrictionLaw;
use crate::solve::{first_that, root};

/// What a closed valve leaks for each metre across it, cubic metres per second: nothing that is
/// seen, but joints behind closed valves keep a head.
const LEAK_M2_S: f64 = 1.0e-12;

/// What every line takes besides its own losses, metres for each cubic metre per second, so that
/// one without pipes has a flow for each difference of heads: a micrometre at a litre a second.
const JOINT_LOSS_S_M2: f64 = 1.0e-3;

/// Rounds, at most.
const MOST_ROUNDS: u32 = 200;

/// Heads and flows, and how far from balance they are.
pub(super) struct Balance {
    pub(super) heads_m: Vec<f64>,
    pub(super) flows_m3_s: Vec<f64>,
    pub(super) imbalance_m3_s: f64,
}

/// Heads at which all joints are as nearly in balance as the search can tell.
pub(super) fn balance(circuit: &Circuit, law: FrictionLaw) -> Balance {
    let net = Net { circuit, law, unknown: unknowns(circuit) };
    let mut heads_m = first_heads(circuit);
    let (mut flows, mut excess) = net.flows_and_excess(&heads_m);
    for _ in 0..MOST_ROUNDS {
        let most = flows.iter().fold(0.0_f64, |most, flow| most.max(flow.abs()));
        if greatest(&excess) <= 1.0e-13 + 1.0e-11 * most {
            break;
        }
        let Some(direction) = net.direction(&flows, &excess) else { break };
        let moved = |t: f64| net.moved(&heads_m, &direction, t);
        // The function falls along the direction until this changes its sign.
        let slope = |t: f64| {
            let (_, excess) = net.flows_and_excess(&moved(t));
            -excess.iter().zip(&direction).map(|(e, d)| e * d).sum::<f64>()
        };
        let t = if slope(1.0) <= 0.0 { 1.0 } else { root(0.0, 1.0, slope) };
        let next_m = moved(t);
        let (next_flows, next_excess) = net.flows_and_excess(&next_m);
        if next_m == heads_m {
            break;
        }
        (heads_m, flows, excess) = (next_m, next_flows, next_excess);
    }
    // What leaks through a closed valve is no flow.
    for (flow, way) in flows.iter_mut().zip(&circuit.ways) {
        if closed(circuit, way, *flow) {
            *flow = 0.0;
        }
    }
    let imbalance_m3_s = greatest(&excess);
    Balance { heads_m, flows_m3_s: flows, imbalance_m3_s }
}

struct Net<'a> {
    circuit: &'a Circuit,
    law: FrictionLaw,
    /// For each place its row among the joints.
    unknown: Vec<Option<usize>>,
}

impl Net<'_> {
    /// Flow of each way, and what comes to each joint beyond what leaves it.
    fn flows_and_excess(&self, heads_m: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let n_joints = self.unknown.iter().flatten().count();
        let mut excess = vec![0.0; n_joints];
        let flow_of = |way: &Way| {
            let flow = flow_m3_s(self.circuit, way, self.law, heads_m[way.from] - heads_m[way.to]);
            if let Some(row) = self.unknown[way.from] {
                excess[row] -= flow;
            }
            if let Some(row) = self.unknown[way.to] {
                excess[row] += flow;
            }
            flow
        };
        let flows = self.circuit.ways.iter().map(flow_of).collect();
        (flows, excess)
    }

    /// Newton's direction: the change of heads that would bring balance if flows were linear.
    fn direction(&self, flows: &[f64], excess: &[f64]) -> Option<Vec<f64>> {
        let n = excess.len();
        let mut matrix = vec![0.0; n * n];
        for (way, &flow) in self.circuit.ways.iter().zip(flows) {
            let gain = conductance_m2_s(self.circuit, way, self.law, flow);
            let rows = [self.unknown[way.from], self.unknown[way.to]];
            for row in rows.into_iter().flatten() {
                matrix[row * n + row] += gain;
            }
            if let [Some(a), Some(b)] = rows {
                matrix[a * n + b] -= gain;
                matrix[b * n + a] -= gain;
            }
        }
        solved(matrix, excess)
    }

    fn moved(&self, heads_m: &[f64], direction: &[f64], t: f64) -> Vec<f64> {
        let step = |(head_m, row): (&f64, &Option<usize>)| {
            row.map_or(*head_m, |row| head_m + t * direction[row])
        };
        heads_m.iter().zip(&self.unknown).map(step).collect()
    }
}

fn unknowns(circuit: &Circuit) -> Vec<Option<usize>> {
    let mut n_joints = 0;
    let row = |place: &Place| {
        (*place == Place::Joint).then(|| {
            n_joints += 1;
            n_joints - 1
        })
    };
    circuit.places.iter().map(row).collect()
}

/// Known heads as they are, joints at the mean of them.
fn first_heads(circuit: &Circuit) -> Vec<f64> {
    let known = |place: &Place| match place {
        Place::Water(m) | Place::Outlet(m) => Some(*m),
        Place::Joint => None,
    };
    let levels: Vec<f64> = circuit.places.iter().filter_map(known).collect();
    let mean_m = levels.iter().sum::<f64>() / (levels.len().max(1)) as f64;
    circuit.places.iter().map(|place| known(place).unwrap_or(mean_m)).collect()
}

/// The flow of a way at a difference of heads; it rises with the difference.
fn flow_m3_s(circuit: &Circuit, way: &Way, law: FrictionLaw, difference_m: f64) -> f64 {
    let beyond_none_m = difference_m - asked_m(way, law, 0.0);
    if closed(circuit, way, beyond_none_m) {
        LEAK_M2_S * beyond_none_m
    } else if beyond_none_m < 0.0 {
        -forward_m3_s(way, law, -difference_m)
    } else {
        forward_m3_s(way, law, difference_m)
    }
}

/// Whether water that would run one way or the other (below zero: back) finds a valve closed: behind
/// a pump, and out of an outlet in the air.
fn closed(circuit: &Circuit, way: &Way, toward: f64) -> bool {
    let from_outlet = matches!(circuit.places[way.from], Place::Outlet(_));
    let into_outlet = matches!(circuit.places[way.to], Place::Outlet(_));
    if toward < 0.0 { way.pump.is_some() || into_outlet } else { from_outlet }
}

fn forward_m3_s(way: &Way, law: FrictionLaw, difference_m: f64) -> f64 {
    let excess = |m3_s: f64| asked_m(way, law, m3_s) - difference_m;
    let most = first_that(1.0e-6, 4.0, 60, |m3_s| excess(m3_s) >= 0.0).unwrap_or(1.0e6);
    root(0.0, most, excess)
}

/// The difference of heads that a flow forward asks for: losses less what a pump gives.
fn asked_m(way: &Way, law: FrictionLaw, m3_s: f64) -> f64 {
    let pump_m = way.pump.as_ref().map_or(0.0, |pump| pump.head_m(m3_s));
    way.line.loss_at(m3_s, law).total_m() + JOINT_LOSS_S_M2 * m3_s - pump_m
}

/// What a way carries more for each metre of difference, at a flow.
fn conductance_m2_s(circuit: &Circuit, way: &Way, law: FrictionLaw, flow: f64) -> f64 {
    if closed(circuit, way, flow) {
        return LEAK_M2_S;
    }
    let near = flow.abs().max(1.0e-7);
    let (a, b) = (near * 0.999, near * 1.001);
    let slope = (asked_m(way, law, b) - asked_m(way, law, a)) / (b - a);
    (1.0 / slope.max(JOINT_LOSS_S_M2)).max(LEAK_M2_S)
}

fn greatest(excess: &[f64]) -> f64 {
    // What is no number counts as the greatest.
    excess.iter().fold(0.0, |most, e| if e.abs() <= most { most } else { e.abs() })
}

/// The solution of a symmetric positive system, by elimination; none where it has none in numbers.
fn solved(mut matrix: Vec<f64>, right: &[f64]) -> Option<Vec<f64>> {
    let n = right.len();
    let mut x = right.to_vec();
    for pivot in 0..n {
        let diagonal = matrix[pivot * n + pivot];
        if !(diagonal > 0.0 && diagonal.is_finite()) {
            return None;
        }
        for row in pivot + 1..n {
            let factor = matrix[row * n + pivot] / diagonal;
            if factor != 0.0 {
                for column in pivot..n {
                    matrix[row * n + column] -= factor * matrix[pivot * n + column];
                }
                x[row] -= factor * x[pivot];
            }
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|column| matrix[row * n + column] * x[column]).sum();
        x[row] = (x[row] - known) / matrix[row * n + row];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}
