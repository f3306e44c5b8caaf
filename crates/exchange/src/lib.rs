//! One module per file format, reading and writing; texts and bytes only, no files are opened.

pub mod points;
pub mod unit_words;
