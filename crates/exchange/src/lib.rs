//! One module per file format, reading and writing; texts and bytes only, no files are opened.

pub mod balance;
pub mod comparison;
mod csv;
pub mod level_book;
mod moved;
pub mod points;
pub mod report;
pub mod unit_words;
pub mod versions;
