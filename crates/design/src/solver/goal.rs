//! The goals: what is measured of an evaluated site, and within what it must lie.

use std::sync::Arc;

use site::field::Quantity;
use site::{Site, WorkId};
use takeoff::{LEAST_LOAD_SHARE, Soil, Truck};

use super::{SolveError, steps};
use crate::built::BuiltCells;
use crate::{Evaluation, checks};

/// What the freed numbers are to reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Goal {
    /// Nothing of the subsoil is left over and nothing is brought: what is dug fills what is raised.
    NoSpoil,
    /// So much subsoil is left over, in the bank; below zero it is brought.
    Spoil {
        /// Cubic metres.
        bank_m3: f64,
    },
    /// No truck comes: of subsoil and of topsoil nothing is lacking, and what is left over is less of
    /// each than a truck is sent for, [`takeoff::LEAST_LOAD_SHARE`] of a load.
    NoTruck,
    /// No hill begins to read as a mound.
    NoMound,
    /// Every wall that holds water stands as high as its lip asks, and no more than a crew's step
    /// higher.
    WallTopsAtLip,
}

/// Volumes of earth nearer than this are one, cubic metres: what reads as one number.
pub const SAME_EARTH_M3: f64 = 0.05;

/// Levels nearer than this are one, metres: as the checks have it.
const SAME_LEVEL_M: f64 = 1e-6;

/// What of a site a goal measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Subsoil left over, in the bank, cubic metres; below zero it is brought.
    Spoil,
    /// Topsoil left over, in the bank, cubic metres; below zero it is brought.
    Topsoil,
    /// The greatest measure of a hill that may read as a mound; zero where no hill is raised.
    Mound,
    /// How far a wall falls short of what it must reach, metres; below zero it stands higher.
    Wall(WorkId),
}

/// One number that must lie within a band; a goal has one or more.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Its goal's place in the list.
    pub(super) goal: usize,
    pub(super) measures: Measures,
    /// Between which it reaches its goal.
    pub(super) band: [f64; 2],
    /// What is aimed at, within the band: room for rounding is left where there is some.
    pub(super) aim: [f64; 2],
    /// What counts as one step off.
    pub(super) tolerance: f64,
}

/// All rows of the goals asked for.
#[derive(Clone, Debug)]
pub(super) struct Rows {
    pub(super) goals: Vec<Goal>,
    pub(super) rows: Vec<Row>,
}

impl Row {
    /// How far a value lies outside the band, in steps; zero within it.
    pub(super) fn off(&self, value: f64) -> f64 {
        beyond(self.band, value) / self.tolerance
    }

    /// How far a value lies outside what is aimed at, in steps.
    pub(super) fn off_aim(&self, value: f64) -> f64 {
        beyond(self.aim, value) / self.tolerance
    }

    pub(super) fn is_smooth(&self) -> bool {
        self.measures != Measures::Mound
    }
}

/// How far a value lies outside a band; no number is beyond any.
fn beyond([low, high]: [f64; 2], value: f64) -> f64 {
    if value.is_nan() { f64::INFINITY } else { (low - value).max(value - high).max(0.0) }
}

impl Rows {
    /// The rows of goals on an evaluated site.
    pub(super) fn of(
        site: &Site,
        evaluation: &Evaluation,
        goals: &[Goal],
    ) -> Result<Self, SolveError> {
        if goals.is_empty() {
            return Err(SolveError::NoGoal);
        }
        let mut rows = Vec::new();
        for (goal, asked) in goals.iter().enumerate() {
            let of_goal = of_goal(site, evaluation, asked)?;
            rows.extend(of_goal.into_iter().map(|row| Row { goal, ..row }));
        }
        Ok(Self { goals: goals.to_vec(), rows })
    }

    /// What every row measures on an evaluated site.
    pub(super) fn values(
        &self,
        site: &Site,
        evaluation: &Evaluation,
        cells: Option<&Arc<BuiltCells>>,
    ) -> Vec<f64> {
        let walls = match self.rows.iter().any(|row| matches!(row.measures, Measures::Wall(_))) {
            true => checks::shortfalls(site, evaluation),
            false => Vec::new(),
        };
        let value = |row: &Row| match row.measures {
            Measures::Spoil => evaluation.earth.spoil_bank_m3,
            Measures::Topsoil => evaluation.earth.topsoil.surplus_m3,
            // Where no hill is raised, none reads as a mound.
            Measures::Mound => cells
                .and_then(|cells| checks::greatest_measure(site, evaluation, cells))
                .map_or(0.0, |(measure, _)| measure),
            Measures::Wall(id) => {
                let own = walls.iter().find(|(wall, _)| *wall == id);
                own.map_or(f64::NAN, |(_, short_m)| *short_m)
            }
        };
        self.rows.iter().map(value).collect()
    }
}

fn of_goal(site: &Site, evaluation: &Evaluation, goal: &Goal) -> Result<Vec<Row>, SolveError> {
    let earth = &evaluation.earth;
    let is_about_earth = !matches!(goal, Goal::NoMound | Goal::WallTopsAtLip);
    let is_known = earth.spoil_bank_m3.is_finite() && earth.topsoil.surplus_m3.is_finite();
    if is_about_earth && !is_known {
        return Err(SolveError::NoBalance);
    }
    match *goal {
        Goal::NoSpoil => Ok(vec![left_over(0.0)]),
        Goal::Spoil { bank_m3 } if bank_m3.is_finite() => Ok(vec![left_over(bank_m3)]),
        Goal::Spoil { bank_m3 } => Err(SolveError::Volume(bank_m3)),
        Goal::NoTruck => {
            let [subsoil_m3, topsoil_m3] = left_at_most_m3(site).ok_or(SolveError::NoBalance)?;
            let rows = [(Measures::Spoil, subsoil_m3), (Measures::Topsoil, topsoil_m3)];
            Ok(rows.map(|(measures, most_m3)| less_than_a_load(measures, most_m3)).into())
        }
        Goal::NoMound => {
            let band = [f64::NEG_INFINITY, site.limits.mound_advice];
            // One bearing of a hill that is as wide as long.
            let tolerance = 1.0 / 72.0;
            Ok(vec![Row { goal: 0, measures: Measures::Mound, band, aim: band, tolerance }])
        }
        Goal::WallTopsAtLip => wall_tops(site, evaluation),
    }
}

/// So much subsoil is left over.
fn left_over(bank_m3: f64) -> Row {
    Row {
        goal: 0,
        measures: Measures::Spoil,
        band: [bank_m3 - SAME_EARTH_M3, bank_m3 + SAME_EARTH_M3],
        aim: [bank_m3, bank_m3],
        tolerance: SAME_EARTH_M3,
    }
}

/// Nothing lacks, and no more than this is left over.
fn less_than_a_load(measures: Measures, most_m3: f64) -> Row {
    let room_m3 = SAME_EARTH_M3.min(0.25 * most_m3);
    let (band, aim) = ([0.0, most_m3], [room_m3, most_m3 - room_m3]);
    Row { goal: 0, measures, band, aim, tolerance: SAME_EARTH_M3 }
}

fn wall_tops(site: &Site, evaluation: &Evaluation) -> Result<Vec<Row>, SolveError> {
    let walls = checks::shortfalls(site, evaluation);
    if walls.is_empty() {
        let reason = "no wall holds the water of a filter bed or a basin";
        return Err(SolveError::NothingToReach(reason));
    }
    let step_m = steps::step_of(Quantity::Elevation, site.frame.unit).unwrap_or(SAME_LEVEL_M);
    let row = |(id, _)| Row {
        goal: 0,
        measures: Measures::Wall(id),
        band: [-step_m, SAME_LEVEL_M],
        aim: [-0.5 * step_m, 0.0],
        tolerance: step_m,
    };
    Ok(walls.into_iter().map(row).collect())
}

/// What may be left of subsoil and of topsoil, in the bank, before a truck is sent for it: of the soil
/// of which that is least.
fn left_at_most_m3(site: &Site) -> Option<[f64; 2]> {
    let truck = Truck::new(site.haul.struck_m3, site.haul.payload_t).ok()?;
    let part_m3 = |density: f64, swell: f64, shrink: f64| {
        let soil = Soil::new(density, swell, shrink).ok()?;
        let (load, _) = truck.load_of(soil);
        Some(LEAST_LOAD_SHARE * load.m3() / (1.0 + swell))
    };
    let layers = site.soils.layers.iter();
    let parts = layers.map(|soil| part_m3(soil.bank_density_t_m3, soil.swell, soil.shrink));
    let subsoil_m3 = parts.collect::<Option<Vec<_>>>()?.into_iter().fold(f64::INFINITY, f64::min);
    let topsoil = &site.soils.topsoil;
    let topsoil_m3 = part_m3(topsoil.bank_density_t_m3, topsoil.swell, topsoil.shrink)?;
    Some([subsoil_m3, topsoil_m3])
}
