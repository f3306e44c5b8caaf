//! How a pond's water goes round: depth-averaged flow between where water enters and where it is drawn,
//! and how long it has been in the pond at every place.
//!
//! ```text
//!      stream ══>·──>──>──╮        what enters keeps its momentum and drives the rest
//!          ╭──<──·        v
//!          ╰─> ──·──>──>──·══> drawn
//!      ·  ·  ·                     a corner that nothing passes grows old: dead
//! ```
//! The pond is cut into square cells of one depth each. Its level lies still, so what flows in and out
//! of every cell is equal; the water is pushed by what enters, held back by the bed's roughness, and
//! mixed sideways by its own turbulence. Wind, warmth and fish are left out, and cells blur a jet by
//! about their own width: what is told is an estimate of where water stands, not of its speed.
//!
//! # Source
//! Depth-averaged shallow water with a rigid lid: C. B. Vreugdenhil, "Numerical Methods for Shallow-Water
//! Flow" (1994), chapters 2 and 3, from memory; bed friction by Manning. Cells with speeds on their
//! sides: F. H. Harlow, J. E. Welch, Physics of Fluids 8 (1965). Sideways mixing 0.15 times depth times
//! shear velocity: H. B. Fischer and others, "Mixing in Inland and Coastal Waters" (1979), from memory.
//! Age of water: D. B. Spalding, "A note on mean residence-times in steady flows of arbitrary complexity",
//! Chemical Engineering Science 9 (1958), from memory.

mod age;
mod banded;
mod motion;
mod plan;

use crate::OutOfRange;
use crate::range::{flow, length, positive};

use motion::Motion;
use plan::Plan;

/// Water this much older than the whole pond's is on its second round counts as dead: twice the time in
/// which what enters would fill the pond.
///
/// # Source
/// O. Levenspiel, "Chemical Reaction Engineering", on stagnant regions: what stays longer than twice the
/// mean; from memory.
pub const COMMON_DEAD_AGE: f64 = 2.0;

/// A pond in plan, cut into square cells.
#[derive(Clone, Debug, PartialEq)]
pub struct PondGrid {
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Columns from west to east.
    pub n_columns: usize,
    /// Depth of the water in each cell, metres, row by row from the south-west; 0 where it is dry.
    pub depths_m: Vec<f64>,
    /// Manning's roughness of the bed.
    pub manning_n: f64,
}

/// Water that enters a pond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enters {
    /// Where, metres east and north of the grid's south-west corner; the nearest wet cell takes it.
    pub at_m: [f64; 2],
    /// How much, cubic metres a second.
    pub flow_m3_s: f64,
    /// How fast and which way, metres a second east and north.
    pub velocity_m_s: [f64; 2],
}

/// Water that is drawn from a pond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Where, metres east and north of the grid's south-west corner; the nearest wet cell gives it.
    pub at_m: [f64; 2],
    /// Its share of all that is drawn, by any measure: as much leaves as enters.
    pub share: f64,
}

/// How a pond's water goes round.
#[derive(Clone, Debug, PartialEq)]
pub struct Circulation {
    /// The water of each cell of the grid; none where it is dry.
    pub cells: Vec<Option<Moving>>,
    /// Water in the pond, cubic metres.
    pub volume_m3: f64,
    /// What enters, cubic metres a second.
    pub flow_m3_s: f64,
    /// Whether the flow came to rest; one that sways on is told in its mean.
    pub settled: bool,
    n_columns: usize,
    cell_m: f64,
}

/// The water of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moving {
    /// Mean velocity over the depth, metres a second east and north.
    pub velocity_m_s: [f64; 2],
    /// How long it has been in the pond in the mean, seconds; infinite where nothing reaches.
    pub age_s: f64,
}

/// Cells side by side whose water is dead.
#[derive(Clone, Debug, PartialEq)]
pub struct DeadCorner {
    /// Its cells, rising.
    pub cells: Vec<usize>,
    /// Its area, square metres.
    pub area_m2: f64,
    /// The middle of its oldest cell, metres from the grid's south-west corner.
    pub oldest_at_m: [f64; 2],
    /// The age there, seconds; infinite where nothing reaches.
    pub oldest_s: f64,
}

/// Why a pond's circulation cannot be told.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CirculationError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// No cell holds water.
    #[error("the pond holds no water")]
    Dry,
    /// Nothing enters.
    #[error("no water enters the pond")]
    NothingEnters,
    /// Nothing is drawn.
    #[error("no water is drawn from the pond")]
    NothingDrawn,
    /// What enters cannot get to where water is drawn.
    #[error("the water that enters lies apart from the water that is drawn")]
    Apart,
}

/// How a pond's water goes round while so much enters and leaves it.
///
/// ```
/// # use water::{Drawn, Enters, PondGrid, circulate};
/// // A ditch 10 m long and 1 m deep, filled at one end and drawn at the other.
/// let grid = PondGrid { cell_m: 1.0, n_columns: 10, depths_m: vec![1.0; 10], manning_n: 0.03 };
/// let enters = Enters { at_m: [0.5, 0.5], flow_m3_s: 0.01, velocity_m_s: [0.0, 0.0] };
/// let found = circulate(&grid, &[enters], &[Drawn { at_m: [9.5, 0.5], share: 1.0 }])?;
/// let age_s = |i: usize| found.cells[i].map_or(0.0, |water| water.age_s);
/// assert!(age_s(0) < 110.0 && (age_s(9) - 1000.0).abs() < 1.0);
/// # Ok::<(), water::CirculationError>(())
/// ```
///
/// # Errors
/// [`CirculationError`] when a number is out of range, the pond is dry, or nothing enters or leaves it.
pub fn circulate(
    grid: &PondGrid,
    enters: &[Enters],
    drawn: &[Drawn],
) -> Result<Circulation, CirculationError> {
    let cell_m = length("the side of a cell, m,", grid.cell_m)?;
    positive("Manning's roughness", grid.manning_n)?;
    for depth_m in &grid.depths_m {
        crate::range::not_negative("the depth of a cell, m,", *depth_m)?;
    }
    let plan = Plan::of(grid)?;
    let sources = sources(&plan, enters, drawn)?;
    let (motion, settled) = Motion::settled(&plan, &sources);
    let ages_s = age::ages_s(&plan, &motion, &sources);
    let moving = |cell: usize| {
        let velocity_m_s = motion.velocity_m_s(plan.padded(cell));
        let age_s = plan.number(cell).map_or(f64::INFINITY, |number| ages_s[number]);
        (grid.depths_m[cell] > 0.0).then_some(Moving { velocity_m_s, age_s })
    };
    Ok(Circulation {
        cells: (0..grid.depths_m.len()).map(moving).collect(),
        volume_m3: grid.depths_m.iter().sum::<f64>() * cell_m * cell_m,
        flow_m3_s: sources.flow_m3_s,
        settled,
        n_columns: grid.n_columns.max(1),
        cell_m,
    })
}

impl Circulation {
    /// The time in which what enters would fill the pond, seconds: the age of well mixed water.
    pub fn turnover_s(&self) -> f64 {
        self.volume_m3 / self.flow_m3_s
    }

    /// The middle of a cell, metres from the grid's south-west corner.
    pub fn middle_m(&self, cell: usize) -> [f64; 2] {
        let place = [cell % self.n_columns, cell / self.n_columns];
        place.map(|i| (i as f64 + 0.5) * self.cell_m)
    }

    /// The parts of the pond whose water is older than so many turnovers, the largest first.
    pub fn dead_corners(&self, turnovers: f64) -> Vec<DeadCorner> {
        let limit_s = turnovers * self.turnover_s();
        let is_dead = |cell: usize| self.cells[cell].is_some_and(|water| water.age_s > limit_s);
        let mut seen = vec![false; self.cells.len()];
        let mut found = Vec::new();
        for first in 0..self.cells.len() {
            if seen[first] || !is_dead(first) {
                continue;
            }
            let (mut cells, mut stack) = (Vec::new(), vec![first]);
            seen[first] = true;
            while let Some(cell) = stack.pop() {
                cells.push(cell);
                for next in self.beside(cell) {
                    if !seen[next] && is_dead(next) {
                        seen[next] = true;
                        stack.push(next);
                    }
                }
            }
            found.extend(self.corner(cells));
        }
        found.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
        found
    }

    fn corner(&self, mut cells: Vec<usize>) -> Option<DeadCorner> {
        cells.sort_unstable();
        let age_s = |cell: usize| self.cells[cell].map_or(0.0, |water| water.age_s);
        let oldest = cells.iter().copied().max_by(|a, b| age_s(*a).total_cmp(&age_s(*b)))?;
        Some(DeadCorner {
            area_m2: cells.len() as f64 * self.cell_m * self.cell_m,
            oldest_at_m: self.middle_m(oldest),
            oldest_s: age_s(oldest),
            cells,
        })
    }

    /// The cells that share a side with one.
    fn beside(&self, cell: usize) -> impl Iterator<Item = usize> + use<> {
        let (n, all) = (self.n_columns, self.cells.len());
        let west = (!cell.is_multiple_of(n)).then(|| cell - 1);
        let east = (cell % n + 1 < n).then(|| cell + 1);
        let (south, north) = (cell.checked_sub(n), (cell + n < all).then(|| cell + n));
        [west, east, south, north].into_iter().flatten()
    }
}

/// What enters and leaves, by the padded cells of a plan.
struct Sources {
    flow_m3_s: f64,
    /// Water that enters, cubic metres a second.
    enters: Vec<f64>,
    /// Its momentum, metres to the fourth a second squared, east and north.
    push: [Vec<f64>; 2],
    /// Water that is drawn, cubic metres a second.
    drawn: Vec<f64>,
}

fn sources(plan: &Plan, enters: &[Enters], drawn: &[Drawn]) -> Result<Sources, CirculationError> {
    let none = || vec![0.0; plan.n_padded()];
    let mut sources =
        Sources { flow_m3_s: 0.0, enters: none(), push: [none(), none()], drawn: none() };
    for one in enters {
        let flow_m3_s = flow("the flow that enters a pond, m3/s,", one.flow_m3_s)?;
        let cell = plan.nearest(one.at_m).ok_or(CirculationError::Apart)?;
        sources.flow_m3_s += flow_m3_s;
        sources.enters[cell] += flow_m3_s;
        for k in 0..2 {
            let velocity = one.velocity_m_s[k];
            let range = ((-100.0, 100.0), "-100 to 100");
            let what = "the velocity of what enters a pond, m/s,";
            let velocity = crate::range::between(range.0, range.1, (what, velocity))?;
            sources.push[k][cell] += flow_m3_s * velocity;
        }
    }
    if enters.is_empty() {
        return Err(CirculationError::NothingEnters);
    }
    let mut shares = 0.0;
    for one in drawn {
        shares += positive("a share of what is drawn", one.share)?;
    }
    if drawn.is_empty() {
        return Err(CirculationError::NothingDrawn);
    }
    for one in drawn {
        let cell = plan.nearest(one.at_m).ok_or(CirculationError::Apart)?;
        sources.drawn[cell] += sources.flow_m3_s * one.share / shares;
    }
    Ok(sources)
}

#[cfg(test)]
mod tests;
