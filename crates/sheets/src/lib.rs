//! Sheets to print, as SVG: true to scale, legible in black and white.

mod depth_colours;
mod depth_map;
mod paper;
mod svg;

pub use depth_map::{DepthMap, depth_map};
