//! Patches: the surfaces that works are made of.
//!
//! Three builders serve every work. [`rings`] spans nested outlines with elevations (basins, pads),
//! [`corridor`] joins cross sections along a line (streams, paths), and [`sweep`] runs a bank's or a
//! flank's profile along a line (hills, banks around anything).

mod corridor;
mod cross_lines;
mod medial;
mod plain;
mod rings;
mod sweep;
mod weld;

pub use corridor::{CorridorError, Section, corridor};
pub use cross_lines::{CrossLine, CrossLineError, cross_lines};
pub use plain::plain;
pub use rings::{Ring3, RingsError, rings};
pub use sweep::{Ends, Profile, Side, Sweep, SweepError, SweepStation, reach_for, sweep};
