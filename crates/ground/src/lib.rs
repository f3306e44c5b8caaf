//! Exact surfaces: triangulation, composition, volumes, sections and contours.
//!
//! Everything is answered on the triangles themselves. Plan coordinates are whole lattice steps,
//! heights are `f64` metres; see [`Lattice`] and [`Surface`].

pub mod curve;
mod lattice;
pub mod overlay;
pub mod patch;
pub mod predicates;
pub mod query;
mod sum;
mod surface;
pub mod triangulate;
mod validity;

pub use lattice::{Lattice, LatticeError, LatticePoint};
pub use query::Locator;
pub use sum::{Sum, Total};
pub use surface::{Face, NONE, Plane, Surface, Tag};
pub use triangulate::{
    Breakline, BuildError, BuildReport, Built, ConstrainedError, Meeting, Merged, Mesh2, Outline,
    Spike, SpikeLimits, Stray, Terrain, build, constrained, spikes, strays,
};
pub use validity::{Fault, Sheet};
