//! Point lists: one surveyed point a row.
//!
//! Columns may stand in any order, parted by commas, semicolons, tabs or blanks, with a decimal
//! point or comma, in UTF-8 or UTF-16, with any line ends. A header names the columns; without one
//! the order must be told, since a guess that is wrong looks plausible. The unit must be told too.
//!
//! Before the first row, comments may tell what the file itself knows:
//!
//! ```text
//! # units: us-ft
//! # columns: name,x,y,z,code
//! # lines: BANK, EDGE        codes whose points join to breaklines
//! # boundary: BND            code whose points are the survey's outline, in order
//! # voids: VOID              code whose points are an outline without ground
//! ```
//!
//! How codes join to lines stands in [`site::Survey::code_lines`].

pub(crate) mod columns;
pub(crate) mod dialect;
pub(crate) mod doubts;
mod error;
pub(crate) mod measure;
pub(crate) mod number;
mod outline;
pub(crate) mod preamble;
pub(crate) mod row;
mod spread;
pub(crate) mod text;
mod write;

#[cfg(test)]
mod tests;

use units::LengthUnit;

pub use columns::{Column, Columns};
pub use dialect::{ColumnsFrom, Dialect};
pub use doubts::{Doubt, DoubtKind};
pub use error::{Place, PointsError};
pub use number::Decimal;
pub use outline::{OutlineError, outline, runs, with_code};
pub use row::Separator;
pub use spread::check_spread;
pub use text::Encoding;
pub(crate) use write::in_unit;
pub use write::{as_read, write};

use columns::{Header, leaves_foot_open};
use measure::{Cell, Measures, Range};
use preamble::Preamble;
use row::{Field, split};

/// No coordinate of a site on earth lies farther from zero, in metres.
pub const FARTHEST_M: f64 = 1e8;
/// No garden lies lower, in metres.
pub const LOWEST_M: f64 = -500.0;
/// No garden lies higher, in metres.
pub const HIGHEST_M: f64 = 9000.0;

/// What the user tells about a point list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// The order of the columns; goes before a header.
    pub columns: Option<Columns>,
    /// The unit of all three coordinates.
    pub unit: Option<LengthUnit>,
}

/// A point list as read.
#[derive(Clone, Debug, PartialEq)]
pub struct PointList {
    /// The points in the order of the list.
    pub points: Vec<Point>,
    /// The unit of the file.
    pub unit: LengthUnit,
    /// How the file is written.
    pub dialect: Dialect,
    /// Codes that the file says join to breaklines.
    pub line_codes: Vec<String>,
    /// The code of the outline, if the file names one.
    pub boundary_code: Option<String>,
    /// The code of outlines without ground, if the file names one.
    pub void_code: Option<String>,
    /// What looks wrong; the points stay in the list.
    pub doubts: Vec<Doubt>,
}

/// One point of a list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Point {
    /// Name or number; unique within the list.
    pub name: String,
    /// Easting, northing and elevation in metres, in the world's frame.
    pub at_m: [f64; 3],
    /// Code.
    pub code: String,
    /// Note.
    pub note: String,
    /// Line of the file.
    pub line: u32,
}

/// Reads a point list.
///
/// Points that look wrong are kept and stand in [`PointList::doubts`].
///
/// # Errors
/// [`PointsError`] names line, column, what was read and what was expected.
pub fn read(bytes: &[u8], told: &Told) -> Result<PointList, PointsError> {
    let (text, encoding) = text::decode(bytes)?;
    let preamble = Preamble::read(&text)?;
    let is_row = |line: &&str| !is_blank(line) && !is_comment(line);
    let separator = dialect::separator(text::lines(&text).map(|(_, line)| line).filter(is_row));
    let mut rows = text::lines(&text).filter(|(_, line)| is_row(line)).peekable();
    let Some(&(first_line, first_row)) = rows.peek() else {
        let line = text::lines(&text).last().map_or(1, |(line, _)| line);
        return Err(PointsError::NoPoints { line });
    };
    let head = Head::read(first_line, first_row, separator, &preamble, told)?;
    let headed = head.unit_word.as_deref().map(|word| (head.line, word));
    let unit = unit(preamble.unit, headed, told.unit)?;
    if head.is_header {
        rows.next();
    }
    let mut reader = RowReader {
        columns: &head.columns,
        separator,
        measures: Measures::of(unit),
        fields: Vec::new(),
    };
    let points: Result<Vec<Point>, PointsError> =
        rows.map(|(number, line)| reader.point(line, number)).collect();
    let mut points = points?;
    let decimal = reader.measures.decimal();
    if points.is_empty() {
        return Err(PointsError::NoPoints { line: first_line });
    }
    let mut doubts = head.doubts;
    doubts.extend(doubts::make_names_unique(&mut points));
    doubts.extend(doubts::find(&points, unit));
    Ok(PointList {
        points,
        unit,
        dialect: Dialect {
            encoding,
            separator,
            decimal,
            columns: head.columns.text(),
            columns_from: head.columns_from,
        },
        line_codes: preamble.line_codes,
        boundary_code: preamble.boundary_code,
        void_code: preamble.void_code,
        doubts,
    })
}

pub(crate) fn is_blank(line: &str) -> bool {
    line.chars().all(|letter| letter.is_whitespace() || letter == ',' || letter == ';')
}

pub(crate) fn is_comment(line: &str) -> bool {
    line.trim_start().starts_with('#')
}

/// What the first row tells.
struct Head {
    columns: Columns,
    columns_from: ColumnsFrom,
    is_header: bool,
    line: u32,
    unit_word: Option<String>,
    doubts: Vec<Doubt>,
}

impl Head {
    fn read(
        line: u32,
        row: &str,
        separator: Separator,
        preamble: &Preamble,
        told: &Told,
    ) -> Result<Self, PointsError> {
        let mut fields = Vec::new();
        split(row, line, separator, &mut fields)?;
        let words: Vec<&str> = fields.iter().map(|field| field.text.as_ref()).collect();
        let has_numbers = words.iter().any(|word| number::read(word).is_some());
        let header = if has_numbers { None } else { Columns::header(&words, line) };
        let known = match (&told.columns, &preamble.columns) {
            (Some(columns), _) => Some((columns.clone(), ColumnsFrom::User)),
            (None, Some((line, columns))) => Some((columns.clone(), ColumnsFrom::Comment(*line))),
            (None, None) => None,
        };
        match (known, header) {
            (Some((columns, columns_from)), header) => {
                let doubts = doubts::overruled(line, row, &columns, header.as_ref(), !has_numbers);
                let unit_word = header.and_then(Result::ok).and_then(|header| header.unit_word);
                let is_header = !has_numbers;
                Ok(Self { columns, columns_from, is_header, line, unit_word, doubts })
            }
            (None, Some(header)) => {
                let Header { columns, unit_word, skipped } = header?;
                Ok(Self {
                    columns,
                    columns_from: ColumnsFrom::Header(line),
                    is_header: true,
                    line,
                    unit_word,
                    doubts: doubts::unread(line, &skipped),
                })
            }
            (None, None) => Err(PointsError::OrderUnknown { line, read: shortened(row) }),
        }
    }
}

/// The unit, from the user, the file's comment or its header with their lines; they must not differ.
pub(crate) fn unit(
    commented: Option<(u32, LengthUnit)>,
    headed: Option<(u32, &str)>,
    told: Option<LengthUnit>,
) -> Result<LengthUnit, PointsError> {
    if let (Some(told), Some((line, unit))) = (told, commented)
        && told.metres() != unit.metres()
    {
        let read = crate::unit_words::word_of(unit).to_owned();
        let expected = crate::unit_words::word_of(told);
        return Err(PointsError::UnitContradicted { line, read, expected });
    }
    let known = told.or(commented.map(|(_, unit)| unit));
    let headed =
        headed.and_then(|(line, word)| Some((line, word, crate::unit_words::unit_of(word)?)));
    match (known, headed) {
        (Some(known), Some((line, word, headed))) => {
            let both_feet = known != LengthUnit::Metre && leaves_foot_open(headed);
            if known.metres() == headed.metres() || both_feet {
                Ok(known)
            } else {
                Err(PointsError::UnitContradicted {
                    line,
                    read: word.to_owned(),
                    expected: crate::unit_words::word_of(known),
                })
            }
        }
        (Some(known), None) => Ok(known),
        (None, Some((_, _, headed))) if !leaves_foot_open(headed) => Ok(headed),
        (None, _) => Err(PointsError::UnitUnknown),
    }
}

/// Reads rows into points.
struct RowReader<'a, 't> {
    columns: &'a Columns,
    separator: Separator,
    measures: Measures,
    fields: Vec<Field<'t>>,
}

impl<'t> RowReader<'_, 't> {
    fn point(&mut self, line: &'t str, number: u32) -> Result<Point, PointsError> {
        split(line, number, self.separator, &mut self.fields)?;
        let mut fields = std::mem::take(&mut self.fields);
        self.fit(&mut fields, line, number)?;
        let mut point = Point { line: number, ..Point::default() };
        for (column_idx, column) in self.columns.order().iter().enumerate() {
            let field = fields.get(column_idx);
            let text = || field.map(|field| field.text.clone().into_owned()).unwrap_or_default();
            match column {
                Column::Name => point.name = text(),
                Column::Easting => point.at_m[0] = self.coordinate(field, *column, line, number)?,
                Column::Northing => {
                    point.at_m[1] = self.coordinate(field, *column, line, number)?
                }
                Column::Elevation => {
                    point.at_m[2] = self.coordinate(field, *column, line, number)?;
                }
                Column::Code => point.code = text(),
                Column::Note => point.note = text(),
                Column::Skipped => {}
            }
        }
        self.fields = fields;
        Ok(point)
    }

    /// Drops empty fields behind the last column, gives a blank-parted note its words back, and
    /// refuses rows that are too long or lack a coordinate.
    fn fit(
        &self,
        fields: &mut Vec<Field<'t>>,
        line: &'t str,
        number: u32,
    ) -> Result<(), PointsError> {
        let order = self.columns.order();
        while fields.len() > order.len() && fields.last().is_some_and(|f| f.text.is_empty()) {
            fields.pop();
        }
        let ends_in_words = matches!(order.last(), Some(Column::Code | Column::Note));
        if fields.len() > order.len() && self.separator == Separator::Blanks && ends_in_words {
            let start = fields[order.len() - 1].start;
            fields.truncate(order.len() - 1);
            fields.push(Field { start, text: line[start..].trim().into() });
        }
        let is_needed = |column: &Column| {
            matches!(column, Column::Easting | Column::Northing | Column::Elevation)
        };
        let n_least = order.iter().rposition(is_needed).map_or(0, |last| last + 1);
        if fields.len() > order.len() || fields.len() < n_least {
            let n_expected = order.len();
            return Err(PointsError::Ragged { line: number, n_read: fields.len(), n_expected });
        }
        Ok(())
    }

    fn coordinate(
        &mut self,
        field: Option<&Field<'_>>,
        column: Column,
        line: &str,
        number: u32,
    ) -> Result<f64, PointsError> {
        let (start, text) = field.map_or((line.len(), ""), |f| (f.start, f.text.as_ref()));
        let range = match column {
            Column::Elevation => Range::ELEVATION,
            _ => Range::PLACE,
        };
        self.measures.read(Cell { line, number, start, text }, column.as_str(), range)
    }
}

/// A text short enough for a message.
pub(crate) fn shortened(text: &str) -> String {
    const LONGEST: usize = 60;
    let text = text.trim();
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let front: String = text.chars().take(LONGEST).collect();
    format!("{front}...")
}
