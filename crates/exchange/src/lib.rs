//! One module per file format, reading and writing; texts and bytes only, no files are opened.

pub mod balance;
pub mod comparison;
pub mod content;
pub mod contour_svg;
pub mod convert;
mod crs;
mod csv;
pub mod geojson;
pub mod geotiff;
pub mod gltf;
pub mod grid;
pub mod landxml;
pub mod las;
pub mod level_book;
mod moved;
pub mod pdf;
pub mod plain_grid;
pub mod points;
pub mod report;
pub mod surveyed;
pub mod thin;
pub mod tin;
pub mod understood;
pub mod unit_words;
pub mod versions;
pub mod watch;
mod xml;
