//! Measuring between two surfaces and composing them into one.
//!
//! The note beside this file, `README.md`, says how and why.

mod grid;
mod measure;
mod overlap;
mod walk;

pub use measure::{Cell, Corner, Volumes, depth_slices, visit_cells, volumes, volumes_by};
