//! Water at rest: in basins, and behind the crests of a stream whose pump has stopped.

use ground::query::{self, Pool};
use ground::{Lattice, Surface};
use site::WorkId;
use site::works::Basin;

use crate::works::{flat_triangles, outline_ring};
use crate::{WaterBody, WaterKind};

/// Steps of a basin's stage curve.
const N_STAGES: u32 = 10;

/// Where a crest holds water.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Held {
    /// Distance of the crest from the stream's head, metres.
    pub(crate) along_m: f64,
    /// Elevation of the crest, metres.
    pub(crate) level_m: f64,
    /// Places on the floor before it, local metres: the first that is wet counts.
    pub(crate) floor: Vec<[f64; 2]>,
}

/// The water that stands in a basin and the bays that draw from it, on finished ground; `floors` are
/// places on their floors, the basin's first.
///
/// Its level is the drawn one, or that at which it runs over first where that is lower. None where
/// the floor stands above the water.
pub(crate) fn basin(
    work: WorkId,
    basin: &Basin,
    finished: &Surface,
    floors: &[[f64; 2]],
) -> Option<WaterBody> {
    let (&own, bays) = floors.split_first()?;
    let drawn = query::pool(finished, own, basin.water_level_m).ok()?;
    // Water that runs over a sill into a deeper bay of its own is not lost: it rises on from there.
    let filled = bays.iter().filter(|bay| holds(finished, &drawn, **bay));
    let spill_m = std::iter::once(&own).chain(filled).map(|&floor| spill_m(finished, floor));
    let level_m = basin.water_level_m.min(spill_m.fold(f64::NEG_INFINITY, f64::max));
    let pool =
        if level_m == drawn.level_m { drawn } else { query::pool(finished, own, level_m).ok()? };
    let bottom_m = level_m - pool.deepest_m;
    let levels: Vec<f64> = (0..=N_STAGES)
        .map(|i| bottom_m + pool.deepest_m * f64::from(i) / f64::from(N_STAGES))
        .collect();
    Some(WaterBody {
        work,
        kind: WaterKind::Basin,
        level_m,
        area_m2: pool.area_m2,
        volume_m3: pool.volume_m3,
        stages: stages(finished, &pool, floors, &levels),
        sheet: sheet(basin, finished.lattice(), level_m),
    })
}

/// The water that stays behind a stream's crest on finished ground when the pump stops; none where
/// the crest holds none.
pub(crate) fn pool(work: WorkId, held: &Held, finished: &Surface) -> Option<WaterBody> {
    held.floor.iter().find_map(|&floor| {
        let level_m = held.level_m.min(query::spill(finished, floor).ok()?.level_m);
        let pool = query::pool(finished, floor, level_m).ok()?;
        Some(WaterBody {
            work,
            kind: WaterKind::Pool { along_m: held.along_m },
            level_m,
            area_m2: pool.area_m2,
            volume_m3: pool.volume_m3,
            stages: Vec::new(),
            sheet: Vec::new(),
        })
    })
}

/// The level at which water around a place runs over; infinite where nothing tells.
fn spill_m(finished: &Surface, floor: [f64; 2]) -> f64 {
    query::spill(finished, floor).map_or(f64::INFINITY, |spill| spill.level_m)
}

/// Whether a place stands in a pool.
fn holds(finished: &Surface, pool: &Pool, place: [f64; 2]) -> bool {
    query::pool(finished, place, pool.level_m).is_ok_and(|around| around.faces == pool.faces)
}

/// Level, area and volume at each level, of all hollows in which the pool stands.
fn stages(finished: &Surface, pool: &Pool, floors: &[[f64; 2]], levels: &[f64]) -> Vec<[f64; 3]> {
    // A floor may fall from its seed: stages start at the deepest place.
    let mut seeds = vec![pool.deepest_at];
    if floors.len() > 1 {
        seeds.extend(floors.iter().filter(|floor| holds(finished, pool, **floor)));
    } else {
        let stages = query::stages(finished, pool.deepest_at, levels).unwrap_or_default();
        return stages.iter().map(|s| [s.level_m, s.area_m2, s.volume_m3]).collect();
    }
    let stage = |&level_m: &f64| {
        let mut hollows: Vec<Pool> = Vec::new();
        for &seed in &seeds {
            let Ok(hollow) = query::pool(finished, seed, level_m) else { continue };
            if hollows.iter().all(|known| known.faces != hollow.faces) {
                hollows.push(hollow);
            }
        }
        let sum = |of: fn(&Pool) -> f64| hollows.iter().map(of).sum::<f64>();
        [level_m, sum(|hollow| hollow.area_m2), sum(|hollow| hollow.volume_m3)]
    };
    levels.iter().map(stage).collect()
}

/// The water's surface out to the liner's edge, where the ground stands above it.
fn sheet(basin: &Basin, lattice: Lattice, level_m: f64) -> Vec<[[f64; 3]; 3]> {
    outline_ring(lattice, &basin.outline)
        .map(|ring| flat_triangles(lattice, &ring, level_m))
        .unwrap_or_default()
}
