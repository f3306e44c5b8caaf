//! How a point list is written, told from its first rows.

use super::row::{Separator, split};
use super::{Decimal, Encoding, number};

/// How a point list is written; shown to the user, since a list read wrongly looks plausible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dialect {
    /// How bytes spell letters.
    pub encoding: Encoding,
    /// What stands between columns.
    pub separator: Separator,
    /// The decimal sign, once a number had one.
    pub decimal: Option<Decimal>,
    /// The columns, as the comment `# columns:` names them.
    pub columns: String,
    /// What named the columns.
    pub columns_from: ColumnsFrom,
}

/// What named the columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnsFrom {
    /// The header on this line.
    Header(u32),
    /// The comment on this line.
    Comment(u32),
    /// The user.
    User,
}

impl std::fmt::Display for Dialect {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{} between columns", self.separator.as_str())?;
        if let Some(decimal) = self.decimal {
            write!(out, ", {}", decimal.as_str())?;
        }
        write!(out, ", {}, columns {}", self.encoding.as_str(), self.columns)?;
        match self.columns_from {
            ColumnsFrom::Header(line) => write!(out, " from the header on line {line}"),
            ColumnsFrom::Comment(line) => write!(out, " from the comment on line {line}"),
            ColumnsFrom::User => write!(out, " as told"),
        }
    }
}

/// Rows looked at to tell the separator.
const SAMPLE_ROWS: usize = 200;

/// The separator of `rows`, by what at least half of them hold.
///
/// Tab, then semicolon; a comma counts unless blanks part three numbers and the commas stand
/// within them (`1 2,5 3,5`).
pub(crate) fn separator<'a>(rows: impl Iterator<Item = &'a str>) -> Separator {
    let rows: Vec<&str> = rows.take(SAMPLE_ROWS).collect();
    let half = |holds: &dyn Fn(&str) -> bool| {
        rows.iter().filter(|row| holds(row)).count() * 2 >= rows.len()
    };
    let twice = |sign: char| move |row: &str| row.matches(sign).count() >= 2;
    if half(&twice('\t')) {
        Separator::Tab
    } else if half(&twice(';')) {
        Separator::Semicolon
    } else if half(&parts_by_blanks) {
        Separator::Blanks
    } else if half(&twice(',')) {
        Separator::Comma
    } else {
        Separator::Blanks
    }
}

/// Whether blanks part at least three numbers of `row`.
fn parts_by_blanks(row: &str) -> bool {
    let mut fields = Vec::new();
    split(row, 0, Separator::Blanks, &mut fields).is_ok()
        && fields.iter().filter(|field| number::read(&field.text).is_some()).count() >= 3
}
