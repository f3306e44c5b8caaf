//! A pit with sides of one slope and a rim that is notched where water passes.
//!
//! ```text
//!   rim ______            ______ rim        edge
//!             \__________/                  notch, over its width
//!          ramp|  width  |ramp
//! ```

use ground::Lattice;
use ground::curve::{self, Closure, Path, Run};

use super::LEAST_RUN_M;
use super::outline::{Outline, traced};
use super::vessel::{Ring, Vessel, core, rim};
use crate::part::Part;
use crate::{Problem, Shape};

/// Run of the notch's ends for each metre that they rise: a stone's lean, common practice.
pub(super) const NOTCH_RUN_PER_RISE: f64 = 1.0;

/// Pieces of the outline below this are no pieces.
const LEAST_PIECE_M: f64 = 1e-4;

/// Where a rim is lowered.
pub(super) struct Notch {
    /// Its middle, near the outline, local metres.
    pub(super) at: [f64; 2],
    /// Width along the outline.
    pub(super) width_m: f64,
    /// Elevation over its width.
    pub(super) level_m: f64,
    /// Elevation of the rim elsewhere, no lower.
    pub(super) edge_m: f64,
}

/// A pit within a rim.
pub(super) struct Pit {
    /// The inner edge of its rim.
    pub(super) edge: Vec<([f64; 2], f64)>,
    pub(super) rim_width_m: f64,
    /// Slope of its sides: run per rise.
    pub(super) side: f64,
    /// Height of the rim, off its notch, above the floor.
    pub(super) height_m: f64,
    pub(super) floor_m: f64,
}

impl Notch {
    /// The outline with its edge's elevations: level, and lowered at the notch.
    pub(super) fn cut(&self, outline: &Outline) -> Result<Vec<([f64; 2], f64)>, Problem> {
        let path = Path::new(&outline.points, Closure::Closed)
            .map_err(|error| Problem { message: error.to_string(), at_m: self.at })?;
        let (middle_m, length_m) = (path.nearest(self.at).station_m, path.length_m());
        let rise_m = (self.edge_m - self.level_m).max(0.0);
        let half_m = (0.5 * self.width_m).min(0.5 * length_m);
        let ramp_m = NOTCH_RUN_PER_RISE * rise_m;
        let mut stations: Vec<f64> = path.stations_m()[..outline.points.len()].to_vec();
        for offset in [-half_m - ramp_m, -half_m, half_m, half_m + ramp_m] {
            if half_m + ramp_m < 0.5 * length_m {
                stations.push((middle_m + offset).rem_euclid(length_m));
            }
        }
        stations.sort_by(f64::total_cmp);
        stations.dedup_by(|b, a| *b - *a < LEAST_PIECE_M);
        let edge_m = |station: f64| {
            let along = (station - middle_m).rem_euclid(length_m);
            let away = along.min(length_m - along) - half_m;
            let share = if ramp_m > 0.0 { (away / ramp_m).clamp(0.0, 1.0) } else { 1.0 };
            // Rounding must not leave the notch a hair above itself.
            let share = if away < LEAST_PIECE_M { 0.0 } else { share };
            self.level_m + share * rise_m
        };
        Ok(stations.into_iter().map(|s| (path.at_station(s).at, edge_m(s))).collect())
    }
}

impl Pit {
    /// The vessel with its rim and the banks around it; its liner's edge goes to the shape.
    pub(super) fn vessel(
        self,
        owner: u32,
        banks: [f64; 2],
        lattice: Lattice,
        shape: &mut Shape,
    ) -> Result<Vessel, Problem> {
        shape.liner_edges.push(traced(&self.edge, Closure::Closed));
        let (mut rings, lines) = rim(lattice, &self.edge, self.rim_width_m)?;
        let run_m = (self.side * self.height_m).max(LEAST_RUN_M);
        let places: Vec<[f64; 2]> = self.edge.iter().map(|point| point.0).collect();
        let floor = curve::inset(lattice, &places, Run::Even(run_m))
            .map_err(|error| Problem { message: error.to_string(), at_m: places[0] })?;
        if floor.is_empty() {
            let message = "its sides meet before they reach the floor".into();
            return Err(Problem { message, at_m: places[0] });
        }
        rings.push(Ring { points: self.edge, part: Part::Side, band: 0 });
        rings.extend(floor.into_iter().map(|ring| Ring {
            points: ring.points.into_iter().map(|p| (p, self.floor_m)).collect(),
            part: Part::Floor,
            band: 0,
        }));
        Ok(Vessel::still(owner, core(lattice, &rings, owner)?, lines, banks))
    }
}
