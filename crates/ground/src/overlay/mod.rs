//! Measuring between two surfaces and composing them into one.
//!
//! The note beside this file, `README.md`, says how and why.

mod assemble;
mod buckets;
mod cells;
mod chains;
mod compose;
mod cut;
mod direct;
mod facet;
mod grid;
mod inlay;
mod measure;
mod named;
mod outcome;
mod overlap;
mod pieces;
mod places;
mod plan_grid;
mod polygon;
mod reach;
mod redraw;
mod regions;
mod replacement;
mod snap;
mod touched;
mod trace;
mod walk;
mod winners;

pub(crate) use places::Mix;

pub use compose::{Composed, Domain, Keep, Rooted, compose};
pub use cut::{Cut, Cutting};
pub use inlay::inlaid;
pub use measure::{
    Cell, CellVolumes, Corner, Volumes, depth_slices, visit_cells, visit_changed_cells, volumes,
    volumes_by,
};
pub use outcome::{Changed, OpenEnd};
pub use pieces::Pieces;
pub use trace::{Composition, Trace};
