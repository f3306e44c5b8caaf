//! From one line of text to its fields.

use std::borrow::Cow;

use super::{Place, PointsError};

/// What stands between two columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// A comma.
    Comma,
    /// A semicolon.
    Semicolon,
    /// A tab.
    Tab,
    /// One or more blanks or tabs.
    Blanks,
}

/// One field of a row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field<'a> {
    /// Byte offset in the line.
    pub start: usize,
    /// Its text, without quotes and surrounding blanks.
    pub text: Cow<'a, str>,
}

impl Separator {
    /// The word that people read.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
            Self::Blanks => "blanks",
        }
    }

    fn is(self, letter: char) -> bool {
        match self {
            Self::Comma => letter == ',',
            Self::Semicolon => letter == ';',
            Self::Tab => letter == '\t',
            Self::Blanks => letter == ' ' || letter == '\t',
        }
    }
}

/// Splits `line` into `fields`, whose earlier content goes.
///
/// A field that begins with a quote ends with a quote before a separator or the line's end; inside
/// it, two quotes stand for one. A quote elsewhere is a letter like any other: `12" oak`.
pub(crate) fn split<'a>(
    line: &'a str,
    number: u32,
    separator: Separator,
    fields: &mut Vec<Field<'a>>,
) -> Result<(), PointsError> {
    fields.clear();
    let mut at = 0;
    loop {
        at += leading_blanks(&line[at..], separator);
        if separator == Separator::Blanks && at == line.len() {
            return Ok(());
        }
        let rest = &line[at..];
        let (text, end) = if rest.starts_with('"') {
            let end = closing_quote(rest, separator)
                .ok_or(PointsError::UnclosedQuote { place: place(line, number, at) })?;
            (unquoted(&rest[1..end]), end + 1)
        } else {
            let end = rest.find(|letter| separator.is(letter)).unwrap_or(rest.len());
            (Cow::Borrowed(rest[..end].trim()), end)
        };
        fields.push(Field { start: at, text });
        at += end;
        at += leading_blanks(&line[at..], separator);
        match line[at..].chars().next() {
            None => return Ok(()),
            Some(letter) if separator.is(letter) => at += 1,
            // Blanks were eaten above, so the next field begins here.
            Some(_) => {}
        }
    }
}

/// The place of the byte `offset` of `line`.
pub(crate) fn place(line: &str, number: u32, offset: usize) -> Place {
    Place { line: number, column: line[..offset].chars().count() as u32 + 1 }
}

/// Bytes of blanks at the front of `text` that belong to no field.
fn leading_blanks(text: &str, separator: Separator) -> usize {
    let is_blank = |letter: char| letter == ' ' || letter == '\t' && separator != Separator::Tab;
    text.len() - text.trim_start_matches(is_blank).len()
}

/// Where the quote stands that closes the one at the front of `text`.
fn closing_quote(text: &str, separator: Separator) -> Option<usize> {
    let mut from = 1;
    loop {
        let quote = from + text[from..].find('"')?;
        let after = &text[quote + 1..];
        if after.starts_with('"') {
            from = quote + 2;
            continue;
        }
        let next = after.trim_start_matches(' ').chars().next();
        let ends_blanks = separator == Separator::Blanks && after.starts_with([' ', '\t']);
        if next.is_none_or(|letter| separator.is(letter)) || ends_blanks {
            return Some(quote);
        }
        from = quote + 1;
    }
}

fn unquoted(text: &str) -> Cow<'_, str> {
    let text = text.trim();
    if text.contains("\"\"") { Cow::Owned(text.replace("\"\"", "\"")) } else { Cow::Borrowed(text) }
}
