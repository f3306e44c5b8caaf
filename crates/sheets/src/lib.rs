//! Sheets to print, as SVG: true to scale, legible in black and white.

mod depth_colours;
mod depth_map;
mod labels;
mod paper;
mod section_sheet;
mod svg;

pub use depth_map::{DepthMap, Shows, depth_map};
pub use section_sheet::{SectionSheet, section_sheet};

/// The paper of all sheets, and what is written and drawn on it.
const PAPER: &str = "#fffdf8";
const INK: &str = "#22302b";
const SECOND: &str = "#5e6b62";
const RULE: &str = "#d8cfbe";
const PAINT: &str = "#e4572e";
const WATER: &str = "#2f7f86";
