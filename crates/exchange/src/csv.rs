//! Fields of comma-separated tables.

use std::borrow::Cow;

/// `text` as one field of a table with commas: quoted where it must be, on one line.
pub(crate) fn field(text: &str) -> Cow<'_, str> {
    let breaks = text.contains(['\r', '\n']);
    let text = if breaks { text.replace(['\r', '\n'], " ").into() } else { Cow::Borrowed(text) };
    if text.contains([',', '"']) || text.starts_with(['#', ' ']) {
        format!("\"{}\"", text.replace('"', "\"\"")).into()
    } else {
        text
    }
}

/// One row of a table.
pub(crate) fn row(fields: &[&str]) -> String {
    let mut row = fields.iter().map(|text| field(text)).collect::<Vec<_>>().join(",");
    row.push('\n');
    row
}
