//! The site document as text: `site.ron`.
//!
//! The text is written so that a person can read and compare it, one value a line. The points of
//! the survey are not in it; it names the file that holds them.

mod format_1;
mod format_2;
mod format_3;
mod format_4;
mod format_5;
mod format_6;
mod format_7;
mod locate;

use serde::Deserialize;

use crate::Site;
use crate::check::faults;
use locate::{Place, place_of};

/// What stands at the top of every file.
const HEAD: &str = "\
// A Tarnwright site. Lengths are metres in the site's own frame: x east, y north, z up.
// The program writes this file anew on each save: comments and layout are lost.
";

/// Why a text is no site.
///
/// Lines and columns count from one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: read {read}, expected {expected}")]
pub struct FileError {
    /// The line.
    pub line: usize,
    /// The column, in characters.
    pub column: usize,
    /// What was read there.
    pub read: String,
    /// What was expected, with the field it is about.
    pub expected: String,
}

/// Reads the text of a site; the survey's points are still to be read from the file it names.
///
/// # Errors
/// [`FileError`] names the line, the column, what was read and what was expected: for text that is
/// not well formed, an unknown field, a newer format, or the first value out of its range.
pub fn parse(text: &str) -> Result<Site, FileError> {
    let format = peek(text)?;
    let site = match format {
        1 => format_1::read(text),
        2 => format_2::read(text),
        3 => format_3::read(text),
        4 => format_4::read(text),
        5 => format_5::read(text),
        6 => format_6::read(text),
        7 => format_7::read(text),
        Site::FORMAT => ron::from_str(text),
        newer => {
            let Place { line, column, .. } = place_of(text, "format").unwrap_or_default();
            let read = format!("format {newer}");
            let expected = format!(
                "format 1 to {}; this site was written by a newer version of the program",
                Site::FORMAT
            );
            return Err(FileError { line, column, read, expected });
        }
    };
    let site = site.map_err(|error| ill_formed(text, &error))?;
    match faults(&site).into_iter().next() {
        None => Ok(site),
        Some(invalid) => {
            let place = place_of(text, &invalid.path).unwrap_or_default();
            let read = format!("{} {}", invalid.path, place.read).trim_end().to_owned();
            Err(FileError { line: place.line, column: place.column, read, expected: invalid.rule })
        }
    }
}

/// Writes a site as text; reading it back gives the same site, and writing that the same bytes.
pub fn write(site: &Site) -> String {
    let layout = ron::ser::PrettyConfig::new()
        .new_line("\n")
        .indentor("    ")
        .struct_names(false)
        .separate_tuple_members(false);
    let body = ron::ser::to_string_pretty(site, layout)
        .expect("a site is plain data, and every value of it has a form in the file");
    format!("{HEAD}{body}\n")
}

/// Reads the format alone.
fn peek(text: &str) -> Result<u32, FileError> {
    #[derive(Deserialize)]
    struct Peek {
        format: u32,
    }
    if text.trim().is_empty() {
        let (read, expected) = ("an empty file".into(), "a site".into());
        return Err(FileError { line: 1, column: 1, read, expected });
    }
    match ron::from_str::<Peek>(text) {
        Ok(Peek { format: 0 }) => {
            let Place { line, column, .. } = place_of(text, "format").unwrap_or_default();
            let (read, expected) = ("format 0".into(), "format 1 or above".into());
            Err(FileError { line, column, read, expected })
        }
        Ok(Peek { format }) => Ok(format),
        Err(error) => Err(ill_formed(text, &error)),
    }
}

/// Says what the reader of the notation found, in our words.
fn ill_formed(text: &str, error: &ron::error::SpannedError) -> FileError {
    use ron::Error as Found;
    let start = error.span.start;
    let (read, expected) = match &error.code {
        Found::Eof | Found::ExpectedStringEnd | Found::UnclosedBlockComment => {
            ("the end of the file".to_owned(), "the rest of the site".to_owned())
        }
        Found::NoSuchStructField { found, expected, outer } => (
            format!("the unknown field {found}"),
            format!("{}one of {}", of_outer(outer.as_deref()), expected.join(", ")),
        ),
        Found::MissingStructField { field, outer } => {
            (read_at(text, start), format!("{}the field {field}", of_outer(outer.as_deref())))
        }
        Found::DuplicateStructField { field, .. } => {
            (format!("the field {field} again"), "each field once".to_owned())
        }
        Found::NoSuchEnumVariant { found, expected, .. } => {
            (found.clone(), format!("one of {}", expected.join(", ")))
        }
        Found::InvalidValueForType { expected, found } => (found.clone(), expected.clone()),
        // A file that was cut off within a number or a word.
        _ if is_last_word(text, start) => {
            ("the end of the file".to_owned(), "the rest of the site".to_owned())
        }
        other => (read_at(text, start), format!("a well-formed site ({other})")),
    };
    FileError { line: start.line, column: start.col, read, expected }
}

fn of_outer(outer: Option<&str>) -> String {
    outer.map(|name| format!("in {name} ")).unwrap_or_default()
}

/// Whether nothing follows the word that stands at a place.
fn is_last_word(text: &str, at: ron::error::Position) -> bool {
    let mut lines = text.lines().skip(at.line.saturating_sub(1));
    let line: String =
        lines.next().unwrap_or_default().chars().skip(at.col.saturating_sub(1)).collect();
    line.split_whitespace().count() <= 1 && lines.all(|line| line.trim().is_empty())
}

/// The word or sign that stands at a place.
fn read_at(text: &str, at: ron::error::Position) -> String {
    let line = text.lines().nth(at.line.saturating_sub(1)).unwrap_or_default();
    let rest: String = line.chars().skip(at.col.saturating_sub(1)).collect();
    let word = rest.split_whitespace().next().unwrap_or_default();
    if word.is_empty() {
        "the end of the line".into()
    } else {
        format!("`{}`", word.chars().take(40).collect::<String>())
    }
}
