//! How long the water of each cell has been in the pond, in the mean.
//!
//! Water grows older by a second each second; what enters is new, and what flows or mixes in from a
//! neighbour brings its own age. So the ages of all cells follow from each other, and what is drawn is
//! as old as the pond's volume over its flow, whatever its shape.
//!
//! # Source
//! What mixes water that nothing pushes grows with the width of its eddies: A. Okubo, "Oceanic diffusion
//! diagrams", Deep-Sea Research 18 (1971), 0.0103 times the width to the power of 1.15 in centimetres
//! and seconds; from memory. On a still day eddies are taken to be as wide as the pond is deep, far
//! below the widths for which it was measured.

use super::Sources;
use super::banded::Banded;
use super::motion::Motion;
use super::plan::Plan;

/// The age of each wet cell, seconds.
pub(super) fn ages_s(plan: &Plan, motion: &Motion, sources: &Sources) -> Vec<f64> {
    let mut rows = Banded::new(plan.wet.len(), plan.band());
    let still_m2_s = still_mixing_m2_s(plan);
    let mut ages_s = Vec::with_capacity(plan.wet.len());
    for (number, &cell) in plan.wet.iter().enumerate() {
        // Each with the side to it, and the sign of what flows out over it.
        let [west, east, south, north] = plan.beside(cell);
        let ways = [(west, 0, cell, -1.0), (east, 0, east, 1.0), (south, 1, cell, -1.0)];
        for (beside, k, side, sign) in ways.into_iter().chain([(north, 1, north, 1.0)]) {
            let Some(other) = plan.number_padded(beside) else { continue };
            let out = sign * motion.flow_m3_s(k, side);
            let mixed = motion.mixed_m3_s(k, side) + still_m2_s * motion.sides[k].depth_m[side];
            rows.add(number, number, out.max(0.0) + mixed);
            rows.add(number, other, -((-out).max(0.0) + mixed));
        }
        rows.add(number, number, sources.drawn[cell]);
        ages_s.push(plan.depths_m[cell] * plan.cell_m * plan.cell_m);
    }
    rows.factored().solve(&mut ages_s);
    ages_s
}

/// Sideways mixing of water that nothing pushes, square metres a second.
fn still_mixing_m2_s(plan: &Plan) -> f64 {
    let depth_m: f64 = plan.wet.iter().map(|&cell| plan.depths_m[cell]).sum();
    let width_cm = 100.0 * depth_m / plan.wet.len() as f64;
    0.0103 * libm::pow(width_cm, 1.15) * 1.0e-4
}
