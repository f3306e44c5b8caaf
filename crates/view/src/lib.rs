//! The 3D view of a site and pictures of it.
//!
//! The document goes in, edits come out; everything shown is derived from an evaluation. A frame
//! runs in the stages of [`schedule::ViewSet`], each concern is one plugin, and panels are plain
//! functions that return edits.

mod camera;
mod display;
mod error;
mod frame;
mod look;
mod picture;
mod quality;
mod scene;
mod schedule;
mod theme;

pub use display::{adapter, display};
pub use error::ViewError;
pub use look::Look;
pub use picture::{From, PictureRequest, picture, pictures};
