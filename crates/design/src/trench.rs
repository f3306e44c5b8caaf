//! What a trench moves: dug, bedded, and filled again.

use ground::Surface;
use ground::curve::{self, Blend, Closure, Path};
use ground::overlay::{self, Domain, Keep, Rooted, compose};
use ground::patch::{self, Section};
use ground::query::extent_z;
use site::works::Trench;

use crate::Problem;
use crate::works::{CHORD_M, LEAST_RUN_M};

/// What a trench moves, and what lies in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrenchOutcome {
    /// Length of its pipe, metres.
    pub length_m: f64,
    /// Dug, in the bank, cubic metres.
    pub dug_m3: f64,
    /// Bedding below the pipe, cubic metres.
    pub bedding_m3: f64,
    /// The pipe itself, cubic metres.
    pub pipe_m3: f64,
    /// Filled again, compacted, cubic metres.
    pub backfill_m3: f64,
    /// Greatest depth of its bottom below the ground that it is dug from, metres.
    pub deepest_m: f64,
}

/// A trench dug into a ground.
pub(crate) struct Hole {
    pub(crate) outcome: TrenchOutcome,
    /// The ground while it is open.
    pub(crate) open: Surface,
}

/// Digs a trench into `ground`; none where it moves nothing.
///
/// # Errors
/// [`Problem`] where its line makes no trench.
pub(crate) fn dig(trench: &Trench, ground: &Surface) -> Result<Option<Hole>, Problem> {
    let lattice = ground.lattice();
    let at_m = trench.line.points.first().copied().unwrap_or_default();
    let problem = |message: String| Problem { message, at_m };
    let Some([_, highest_m]) = extent_z(ground) else { return Ok(None) };
    let places = flattened(trench).map_err(problem)?;
    let bottom = |z: f64| z - trench.bedding_m;
    let half_m = 0.5 * trench.width_m;
    let rise_m = |z: f64| (highest_m - bottom(z) + OVER_M).max(OVER_M);
    let reach_m = |z: f64| half_m + (trench.side * rise_m(z)).max(LEAST_RUN_M);
    let line: Vec<[f64; 2]> = places.iter().map(|place| place.0).collect();
    let halves: Vec<[f64; 2]> = places.iter().map(|place| [reach_m(place.1); 2]).collect();
    let cuts = patch::cross_lines(&line, &halves).map_err(|error| problem(error.to_string()))?;
    let section = |(cut, &(_, z)): (patch::CrossLine, &([f64; 2], f64))| {
        let (reach_m, floor_m, top_m) = (reach_m(z), bottom(z), bottom(z) + rise_m(z));
        let points = [(reach_m, top_m), (half_m, floor_m), (-half_m, floor_m), (-reach_m, top_m)];
        Section { points: points.map(|(offset, z)| (cut.at_offset(offset), z)).to_vec() }
    };
    let sections: Vec<Section> = cuts.into_iter().zip(&places).map(section).collect();
    let hole = patch::corridor(lattice, &sections, 0, &[0, 0, 0])
        .map_err(|error| problem(error.to_string()))?;
    let open = compose(ground, &hole, Keep::Lowest, Domain::Ground, Rooted::Anywhere).surface;
    let volumes = overlay::volumes(ground, &open);
    let length_m = length_m(&places);
    let dug_m3 = volumes.cut_m3;
    let bedding_m3 =
        (trench.width_m + trench.side * trench.bedding_m) * trench.bedding_m * length_m;
    let pipe_m3 = 0.25 * std::f64::consts::PI * trench.pipe_m * trench.pipe_m * length_m;
    let outcome = TrenchOutcome {
        length_m,
        dug_m3,
        bedding_m3: bedding_m3.min(dug_m3),
        pipe_m3: pipe_m3.min(dug_m3),
        backfill_m3: (dug_m3 - bedding_m3 - pipe_m3).max(0.0),
        deepest_m: volumes.deepest_cut_m,
    };
    Ok((dug_m3 > 0.0).then_some(Hole { outcome, open }))
}

/// How far a trench's sides are drawn above the highest ground, metres.
const OVER_M: f64 = 0.5;

/// The middle of a trench's bottom: places with their elevations.
///
/// # Errors
/// Why its line is none, in plain words.
pub(crate) fn bottom_line(trench: &Trench) -> Result<Vec<([f64; 2], f64)>, String> {
    let places = flattened(trench)?;
    Ok(places.into_iter().map(|(at, invert_m)| (at, invert_m - trench.bedding_m)).collect())
}

/// Length of a trench's pipe, metres.
///
/// # Errors
/// Why its line is none, in plain words.
pub(crate) fn pipe_length_m(trench: &Trench) -> Result<f64, String> {
    Ok(length_m(&flattened(trench)?))
}

/// The line's places with the pipe's inverts.
fn flattened(trench: &Trench) -> Result<Vec<([f64; 2], f64)>, String> {
    let drawn = &trench.line.points;
    let points = if trench.line.smooth {
        curve::smooth(drawn, Closure::Open, CHORD_M).map_err(|error| error.to_string())?.points
    } else {
        drawn.clone()
    };
    let path = Path::new(&points, Closure::Open).map_err(|error| error.to_string())?;
    let stations: Vec<f64> = drawn.iter().map(|&p| path.nearest(p).station_m).collect();
    let invert_m = |station_m: f64| {
        if trench.invert_m.len() < stations.len() {
            return trench.invert_m.first().copied().unwrap_or_default();
        }
        // Pipes are laid straight between the drawn points.
        let after = stations.partition_point(|s| *s <= station_m).clamp(1, stations.len() - 1);
        let (a, b) = (stations[after - 1], stations[after]);
        let share = if b > a { (station_m - a) / (b - a) } else { 0.0 };
        let at = (after - 1) as f64 + share.clamp(0.0, 1.0);
        curve::interpolate(&trench.invert_m, Closure::Open, at, Blend::Linear)
    };
    Ok(path.stations_m().iter().map(|&s| (path.at_station(s).at, invert_m(s))).collect())
}

/// Length in space.
fn length_m(places: &[([f64; 2], f64)]) -> f64 {
    let piece = |pair: &[([f64; 2], f64)]| {
        let [(a, a_m), (b, b_m)] = [pair[0], pair[1]];
        libm::hypot(libm::hypot(b[0] - a[0], b[1] - a[1]), b_m - a_m)
    };
    places.windows(2).map(piece).sum()
}
