//! Questions put to a surface, each answered on its triangles.
//!
//! Places are local metres `[east, north]`, heights metres. Slopes and elevations come from the
//! faces' planes; lines drawn on the ground (sections, contours, pools, paths) come from the heights
//! at the corners, so that they fit the drawn ground without a gap.

mod area;
mod catchment;
mod contour;
mod descend;
mod flat;
mod locate;
mod outline;
mod pool;
mod region;
mod rings;
mod section;
mod side;
mod spill;
mod trace;

#[cfg(test)]
mod sample;

pub use area::{
    Areas, areas_by, areas_where, extent_z, face_area_m2, plan_area_m2, surface_area_m2,
};
pub use catchment::{Catchment, Catchments, DrainsTo, Part, Receiver, catchments};
pub use contour::{Contour, ContourError, contour_levels, contour_set, contours};
pub use descend::{Descent, End, PathPoint, descend};
pub use locate::{Fall, Locator, fall};
pub use outline::{RingPoint, outline, outline_where};
pub use pool::{Pool, PoolError, Stage, pool, stages};
pub use region::{Region, RegionPiece, Worst, region};
pub use rings::{ToRings, to_rings};
pub use section::{Ahead, SectionPoint, drape, section};
pub use spill::{Spill, SpillError, WayOut, spill};
