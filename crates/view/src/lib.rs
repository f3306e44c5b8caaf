//! The 3D view of a site and pictures of it.
//!
//! The document goes in, edits come out; everything shown is derived from an evaluation. A frame
//! runs in the stages of [`schedule::ViewSet`], each concern is one plugin, and panels are plain
//! functions that return edits.

mod beside;
mod camera;
mod choice;
mod command;
mod cut;
#[cfg(test)]
mod demo;
mod derive;
mod display;
mod document;
mod error;
mod flow;
mod frame;
mod hand;
mod headless;
mod hints;
mod keep;
mod look;
mod lost;
mod marks;
mod measure;
mod open;
mod order;
mod page;
mod panels;
mod paste;
mod picture;
mod play;
mod probe;
mod proposal;
mod quality;
mod reading;
mod scene;
mod schedule;
mod screen;
mod solving;
mod stamps;
mod start;
mod theme;

pub use display::{Display, adapter, display};
pub use error::ViewError;
pub use keep::{
    Entry, EntryKind, First, Keep, KeepRead, LeftCopy, Memory, NotSaved, Opened, Over, Slope,
    Source, Start, Told,
};
pub use look::Look;
pub use measure::{DragTimes, FrameTimes, MeasureRequest, Pace, Spread, Subject, drag, measure};
pub use open::{OpenRequest, open};
pub use picture::{From, PictureRequest, picture, pictures};
