//! Surfaces from survey points, breaklines, a boundary and voids.
//!
//! README.md beside this file says how and why.

mod canonical;
mod cavity;
mod constrain;
mod delaunay;
mod finish;
mod mesh;
mod planar;
mod report;
mod rings;
mod suspects;
mod terrain;

pub use planar::{ConstrainedError, Mesh2, constrained};
pub use report::{BuildReport, Meeting, Merged};
pub use suspects::{Spike, SpikeLimits, Stray, spikes, strays};
pub use terrain::{Breakline, BuildError, Built, Outline, Terrain, build};

#[cfg(test)]
mod tests;
