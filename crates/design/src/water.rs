//! Water at rest in basins.

use ground::query;
use ground::{Lattice, Surface};
use site::WorkId;
use site::works::Basin;

use crate::WaterBody;
use crate::works::{flat_triangles, outline_ring};

/// Steps of a basin's stage curve.
const N_STAGES: u32 = 10;

/// The water that stands in a basin on finished ground, from a place on its floor.
///
/// Its level is the drawn one, or that at which it runs over first where that is lower. None where
/// the floor stands above the water.
pub(crate) fn basin(
    work: WorkId,
    basin: &Basin,
    finished: &Surface,
    floor: [f64; 2],
) -> Option<WaterBody> {
    let spill_m = query::spill(finished, floor).map_or(f64::INFINITY, |spill| spill.level_m);
    let level_m = basin.water_level_m.min(spill_m);
    let pool = query::pool(finished, floor, level_m).ok()?;
    let bottom_m = level_m - pool.deepest_m;
    let levels: Vec<f64> = (0..=N_STAGES)
        .map(|i| bottom_m + pool.deepest_m * f64::from(i) / f64::from(N_STAGES))
        .collect();
    // The floor may fall from the seed: stages start at the deepest place.
    let stages = query::stages(finished, pool.deepest_at, &levels).unwrap_or_default();
    Some(WaterBody {
        work,
        level_m,
        area_m2: pool.area_m2,
        volume_m3: pool.volume_m3,
        stages: stages.iter().map(|s| [s.level_m, s.area_m2, s.volume_m3]).collect(),
        sheet: sheet(basin, finished.lattice(), level_m),
    })
}

/// The water's surface out to the liner's edge, where the ground stands above it.
fn sheet(basin: &Basin, lattice: Lattice, level_m: f64) -> Vec<[[f64; 3]; 3]> {
    outline_ring(lattice, &basin.outline)
        .map(|ring| flat_triangles(lattice, &ring, level_m))
        .unwrap_or_default()
}
