//! The steady flow: speeds on the sides of cells, led there step by step.
//!
//! Each step moves the speeds by what flows past, what enters, the bed and the mixing, then takes from
//! them what would pile up in a cell. Only the end matters: steps are as long as they stay sound.
//!
//! ```text
//!              v[c + width]
//!             +-----^-----+         u[c] stands on the west side of cell c, v[c] on its
//!        u[c] >     c     > u[c+1]  south side; `along` is the step of the index that way,
//!             +-----^-----+         `across` the step of the other
//!                 v[c]
//! ```

use super::Sources;
use super::banded::{Banded, Factored};
use super::plan::Plan;
use crate::fluid::GRAVITY_M_S2;

/// Steps after which a flow that sways on is taken in its mean over the last half of them.
const MOST_STEPS: usize = 160;
/// A flow that changes by less than this share of its fastest in a step has settled.
const SETTLED_SHARE: f64 = 1.0e-3;
/// Cells that the fastest water passes in a step.
const CELLS_A_STEP: f64 = 2.0;
/// Sideways mixing as a share of depth times shear velocity.
const MIXING: f64 = 0.15;
/// Jets in shallow water sway, and what is wanted is their mean: speed times width over what mixes them.
/// Chosen so that the flow comes to rest in most ponds; of the order of a plane jet's own, 31.
///
/// # Source
/// S. B. Pope, "Turbulent Flows" (2000), section 5.4, for the plane jet, from memory.
const SWAY: f64 = 50.0;

/// Speeds on the sides that face one way.
pub(super) struct Sides {
    along: usize,
    across: usize,
    /// Depth at each side, metres; 0 where it is shut.
    pub(super) depth_m: Vec<f64>,
    /// Speed through it, metres a second.
    pub(super) speed: Vec<f64>,
    open: Vec<usize>,
    /// What holds water back at each side for each metre a second: the bed, and mixing with each side
    /// beside it.
    bed: Vec<f64>,
    mixed: Vec<f64>,
    /// The same of what sways, at any speed.
    swayed: Vec<f64>,
    /// Momentum that enters at each.
    push: Vec<f64>,
    /// Water that enters there, a half of that of the cells at both ends.
    enters: Vec<f64>,
}

/// What bears on the speed at a side in one sweep.
struct Held {
    side: usize,
    before_m_s: f64,
    /// The square of the speed across it.
    crossing: f64,
    /// What flows out of the water around it to the one hand and the other.
    out: [f64; 2],
    inert: f64,
    driven: f64,
    /// What the water's slope takes.
    slope: f64,
}

/// The flow through all sides.
pub(super) struct Motion {
    pub(super) sides: [Sides; 2],
    /// Height of the water above its level, metres.
    rise_m: Vec<f64>,
    cell_m: f64,
}

impl Motion {
    /// The steady flow, and whether it came to rest.
    pub(super) fn settled(plan: &Plan, sources: &Sources) -> (Self, bool) {
        let sides = |along: usize, across: usize, push: &[f64]| {
            Sides::of(plan, (along, across), sources, push)
        };
        let [east, north] = &sources.push;
        let mut motion = Self {
            sides: [sides(1, plan.width, east), sides(plan.width, 1, north)],
            rise_m: vec![0.0; plan.n_padded()],
            cell_m: plan.cell_m,
        };
        let piled = motion.piling(plan).factored();
        // What enters and leaves alone, without momentum: where the steps set out.
        motion.level(plan, sources, &piled, 1.0);
        motion.rise_m.fill(0.0);
        let mut sums = [0, 1].map(|k: usize| vec![0.0; motion.sides[k].speed.len()]);
        for step in 0..MOST_STEPS {
            let fastest = motion.fastest().max(motion.jets(sources));
            let step_s = CELLS_A_STEP * plan.cell_m / fastest.max(1.0e-9);
            // Once the level's slopes hold the speeds, a step leaves them as they are.
            let change = motion.step(step_s);
            motion.level(plan, sources, &piled, step_s);
            if change <= SETTLED_SHARE * motion.fastest() {
                return (motion, true);
            }
            if step >= MOST_STEPS / 2 {
                let share = 2.0 / MOST_STEPS as f64;
                for (sum, sides) in sums.iter_mut().zip(&motion.sides) {
                    sum.iter_mut().zip(&sides.speed).for_each(|(sum, speed)| *sum += share * speed);
                }
            }
        }
        // The mean of flows that pile nothing up piles nothing up.
        motion.sides.iter_mut().zip(sums).for_each(|(sides, mean)| sides.speed = mean);
        (motion, false)
    }

    /// The mean velocity in a padded cell.
    pub(super) fn velocity_m_s(&self, cell: usize) -> [f64; 2] {
        [0, 1].map(|k| {
            let sides = &self.sides[k];
            0.5 * (sides.speed[cell] + sides.speed[cell + sides.along])
        })
    }

    /// Water that crosses a side, cubic metres a second.
    pub(super) fn flow_m3_s(&self, k: usize, side: usize) -> f64 {
        self.sides[k].depth_m[side] * self.sides[k].speed[side] * self.cell_m
    }

    /// Water that mixes over a side for each metre between the two cells, cubic metres a second.
    pub(super) fn mixed_m3_s(&self, k: usize, side: usize) -> f64 {
        self.sides[k].mixed[side] * self.speed_at(k, side)
    }

    /// The whole speed at a side.
    fn speed_at(&self, k: usize, side: usize) -> f64 {
        let own = self.sides[k].speed[side];
        (own * own + self.crossing(k, side)).sqrt()
    }

    /// The square of the speed across a side, in the mean of the four around it.
    fn crossing(&self, k: usize, side: usize) -> f64 {
        let (own, other) = (&self.sides[k], &self.sides[1 - k].speed);
        let before = side - own.along;
        let beside =
            other[before] + other[side] + other[before + own.across] + other[side + own.across];
        0.0625 * beside * beside
    }

    fn fastest(&self) -> f64 {
        let all = self.sides.iter().flat_map(|sides| &sides.speed);
        all.map(|speed| speed.abs()).fold(0.0, f64::max)
    }

    /// The fastest that the momentum of what enters could drive a cell.
    fn jets(&self, sources: &Sources) -> f64 {
        let most = |push: &Vec<f64>| push.iter().map(|push| push.abs()).fold(0.0, f64::max);
        let deep =
            self.sides.iter().flat_map(|sides| &sides.depth_m).fold(0.0, |a: f64, b| a.max(*b));
        libm::sqrt(
            most(&sources.push[0]).max(most(&sources.push[1])) / (deep.max(0.01) * self.cell_m),
        )
    }

    /// Moves the speeds by a step, before what piles up is seen to; the largest change.
    fn step(&mut self, step_s: f64) -> f64 {
        let mut change: f64 = 0.0;
        for k in 0..2 {
            let held: Vec<Held> =
                self.sides[k].open.iter().map(|&side| self.held(k, side, step_s)).collect();
            let own = &mut self.sides[k];
            // There and back, so that no way is better than the other.
            for held in held.iter().chain(held.iter().rev()) {
                own.speed[held.side] = own.moved(held, self.cell_m);
            }
            let changes = held.iter().map(|held| (own.speed[held.side] - held.before_m_s).abs());
            change = changes.fold(change, f64::max);
        }
        change
    }

    /// What bears on a side, however the speeds that run its way change.
    fn held(&self, k: usize, side: usize, step_s: f64) -> Held {
        let (own, other) = (&self.sides[k], &self.sides[1 - k]);
        let (across, d) = (own.across, self.cell_m);
        let half = 0.5 * d;
        let before = side - own.along;
        let depth_m = own.depth_m[side];
        let inert = depth_m * d * d / step_s;
        let before_m_s = own.speed[side];
        Held {
            side,
            before_m_s,
            crossing: self.crossing(k, side),
            // To the one hand and the other.
            out: [
                half * (other.through(before + across) + other.through(side + across)),
                -half * (other.through(before) + other.through(side)),
            ],
            inert,
            driven: inert * before_m_s + own.push[side],
            slope: GRAVITY_M_S2 * depth_m * d * (self.rise_m[side] - self.rise_m[before]),
        }
    }

    /// How heights of cells drive water between them, for a step of one second.
    fn piling(&self, plan: &Plan) -> Banded {
        let mut piling = Banded::new(plan.wet.len(), plan.band());
        for (number, &cell) in plan.wet.iter().enumerate() {
            for beside in plan.beside(cell) {
                let Some(other) = plan.number_padded(beside) else { continue };
                let share = GRAVITY_M_S2 * plan.between_m(cell, beside);
                piling.add(number, number, share);
                piling.add(number, other, -share);
            }
        }
        // Heights are told from the first cell's.
        let first = plan.depths_m[plan.wet[0]];
        piling.add(0, 0, GRAVITY_M_S2 * first);
        piling
    }

    /// Takes from the speeds what would pile up, so that each cell passes on what it gets.
    fn level(&mut self, plan: &Plan, sources: &Sources, piling: &Factored, step_s: f64) {
        let gains = |&cell: &usize| {
            let net = |k: usize| {
                let along = self.sides[k].along;
                self.flow_m3_s(k, cell) - self.flow_m3_s(k, cell + along)
            };
            sources.enters[cell] - sources.drawn[cell] + net(0) + net(1)
        };
        let mut rise: Vec<f64> = plan.wet.iter().map(gains).collect();
        piling.solve(&mut rise);
        for (cell, rise) in plan.wet.iter().zip(&rise) {
            self.rise_m[*cell] += rise / step_s;
        }
        let rise_of = |cell: usize| plan.number_padded(cell).map_or(0.0, |number| rise[number]);
        for sides in &mut self.sides {
            for &side in &sides.open {
                let slope = (rise_of(side) - rise_of(side - sides.along)) / plan.cell_m;
                sides.speed[side] -= GRAVITY_M_S2 * slope;
            }
        }
    }
}

impl Sides {
    fn through(&self, side: usize) -> f64 {
        self.depth_m[side] * self.speed[side]
    }

    /// The speed at a side that balances what flows past it, its bed, and what the others are.
    fn moved(&self, held: &Held, cell_m: f64) -> f64 {
        let &Held { side, crossing, out, inert, driven, slope, .. } = held;
        let (here, half, before) = (self.through(side), 0.5 * cell_m, side - self.along);
        // What flows out of the water around the side: ahead, behind, to the one hand and the other.
        let out = [
            half * (here + self.through(side + self.along)),
            -half * (here + self.through(before)),
            out[0],
            out[1],
        ];
        let beside = [side + self.along, before, side + self.across, side - self.across];
        let own = self.speed[side];
        let speed = (own * own + crossing).sqrt();
        let mixed = self.mixed[side] * speed + self.swayed[side];
        let (mut held, mut driven) = (inert + self.bed[side] * speed + self.enters[side], driven);
        for (out, beside) in out.into_iter().zip(beside) {
            let mixed = if self.depth_m[beside] > 0.0 { mixed } else { 0.0 };
            let share = (-out).max(0.0) + mixed;
            held += share;
            driven += share * self.speed[beside];
        }
        (driven - slope) / held
    }

    fn of(plan: &Plan, (along, across): (usize, usize), sources: &Sources, push: &[f64]) -> Self {
        let n = plan.n_padded();
        let mut depth_m = vec![0.0; n];
        for &cell in &plan.wet {
            depth_m[cell] = plan.between_m(cell - along, cell);
        }
        let open: Vec<usize> = (0..n).filter(|&side| depth_m[side] > 0.0).collect();
        let (mut pushed, mut enters) = (vec![0.0; n], vec![0.0; n]);
        for &cell in plan.wet.iter().filter(|&&cell| sources.enters[cell] > 0.0) {
            let ends: Vec<usize> =
                [cell, cell + along].into_iter().filter(|&side| depth_m[side] > 0.0).collect();
            for &side in &ends {
                pushed[side] += push[cell] / ends.len() as f64;
                enters[side] += 0.5 * sources.enters[cell];
            }
        }
        let (mut bed, mut mixed, mut swayed) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
        let sway = sway_m2_s(plan, sources);
        let rough = GRAVITY_M_S2 * plan.manning_n * plan.manning_n;
        for &side in &open {
            let root = libm::cbrt(depth_m[side]);
            bed[side] = rough * plan.cell_m * plan.cell_m / root;
            mixed[side] = MIXING * depth_m[side] * depth_m[side] * (rough / root).sqrt();
            swayed[side] = sway * depth_m[side];
        }
        Self {
            along,
            across,
            depth_m,
            speed: vec![0.0; n],
            open,
            bed,
            mixed,
            swayed,
            push: pushed,
            enters,
        }
    }
}

/// What jets that sway mix in the mean, square metres a second.
///
/// Their momentum over the whole width of the pond gives a speed; that times the width is shared by
/// [`SWAY`].
fn sway_m2_s(plan: &Plan, sources: &Sources) -> f64 {
    let push = |cell: &usize| {
        let [east, north] = [0, 1].map(|k| sources.push[k][*cell]);
        (east * east + north * north).sqrt()
    };
    let n = plan.wet.len() as f64;
    let depth_m = plan.wet.iter().map(|&cell| plan.depths_m[cell]).sum::<f64>() / n;
    let width_m = plan.cell_m * n.sqrt();
    let seeping = sources.flow_m3_s * sources.flow_m3_s / (depth_m * width_m);
    let momentum = plan.wet.iter().map(push).sum::<f64>() + seeping;
    (momentum / depth_m * width_m).sqrt() / SWAY
}

#[cfg(test)]
impl Motion {
    /// By how much the level falls between two padded cells, metres.
    pub(super) fn fall_m(&self, from: usize, to: usize) -> f64 {
        self.rise_m[from] - self.rise_m[to]
    }
}
