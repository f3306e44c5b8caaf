//! Level books: staff readings, one place of the staff a row.
//!
//! A level book is a text table as a point list is, told from one by its header, which names columns
//! for backsights and foresights. Columns may stand in any order; what was not read is left blank or
//! dashed:
//!
//! ```text
//! # units: m
//! name;BS;IS;FS;known;distance;x;y;code
//! BM1;1,525;;;100,000;;;;
//! 1;;1,204;;;;12,50;3,10;GS
//! TP1;0,872;;1,913;;42,0;;;
//! BM1;;;0,484;;38,5;;;
//! ```
//!
//! The comment `# bench: 100.000` may tell the first mark's elevation instead of a row, and those of
//! point lists ([`points`](crate::points)) tell unit, breaklines and outlines. How rows follow one
//! another stands in [`site::LevelNotes`].

mod columns;

#[cfg(test)]
mod tests;

use design::levels::{ground_points, reduce};
use site::{LevelFault, LevelNotes, LevelRow, Share, SurveyPoint};
use units::LengthUnit;

use crate::points::doubts;
use crate::points::measure::{Cell, Measures, Range};
use crate::points::preamble::Preamble;
use crate::points::row::{Field, Separator, split};
use crate::points::{
    self, ColumnsFrom, Dialect, Point, PointList, PointsError, dialect, is_blank, is_comment, text,
};
use crate::unit_words::word_of;
use columns::{Column, Header};

/// What the user tells about a level book.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// The unit of readings, places and distances.
    pub unit: Option<LengthUnit>,
    /// Elevation of the first mark, as written, where the file does not tell it.
    pub bench: Option<String>,
}

/// A level book as read.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelBook {
    /// Its rows as [`LevelNotes::file_rows`], places in the world's frame; shared by distance where
    /// every foresight tells one.
    pub notes: LevelNotes,
    /// The points of the ground, reduced: rows with a place.
    pub list: PointList,
}

/// Why a level book was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BookError {
    /// The text, its header, its unit or a field.
    #[error(transparent)]
    Text(#[from] PointsError),
    /// The readings do not follow one another as levels are booked.
    #[error("line {line}: {fault}")]
    Booking {
        /// The row.
        line: u32,
        /// What is wrong there.
        fault: LevelFault,
    },
    /// The first mark's elevation is told twice.
    #[error("{one}: read the first mark's elevation, expected it told once, not by {other} too")]
    BenchTwice {
        /// Where it is told.
        one: String,
        /// Where it is told again.
        other: String,
    },
    /// The first mark's elevation, told beside the rows, is none.
    #[error("{at}: read `{read}`, expected {expected}")]
    Bench {
        /// Where it is told.
        at: String,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
}

/// Readings lie within this of zero, in metres: longer than any staff.
const READING: Range = Range { least_m: -10.0, most_m: 10.0, of: "that a staff can show" };
/// The length of one set-up's sights, in metres: farther than any level reads.
const DISTANCE: Range = Range { least_m: 0.001, most_m: 10_000.0, of: "that a level can sight" };

/// Whether the bytes are a level book: text whose first row names backsights or foresights.
pub fn is_level_book(bytes: &[u8]) -> bool {
    let Ok((text, _)) = text::decode(bytes) else { return false };
    let rows = || text::lines(&text).filter(|(_, line)| is_row(line));
    let Some((number, first)) = rows().next() else { return false };
    let separator = dialect::separator(rows().map(|(_, line)| line));
    let mut fields = Vec::new();
    split(first, number, separator, &mut fields).is_ok() && columns::names_sights(&fields)
}

/// Reads a level book and reduces it.
///
/// # Errors
/// [`BookError`] names the line, what was read and what was expected.
pub fn read(bytes: &[u8], told: &Told) -> Result<LevelBook, BookError> {
    let (text, encoding) = text::decode(bytes)?;
    let preamble = Preamble::read(&text)?;
    let rows: Vec<(u32, &str)> = text::lines(&text).filter(|(_, line)| is_row(line)).collect();
    let [(first_line, first_row), rows @ ..] = rows.as_slice() else {
        return Err(PointsError::NoPoints { line: 1 }.into());
    };
    let first_line = *first_line;
    let lines = rows.iter().map(|(_, line)| *line);
    let separator = dialect::separator(std::iter::once(*first_row).chain(lines));
    let header = Header::read(first_row, first_line, separator)?;
    let headed = header.unit_word.as_deref().map(|word| (first_line, word));
    let unit = points::unit(preamble.unit, headed, told.unit)?;
    let mut reader =
        RowReader { header: &header, separator, measures: Measures::of(unit), fields: Vec::new() };
    let read: Result<Vec<LevelRow>, PointsError> =
        rows.iter().map(|(number, line)| reader.row(line, *number)).collect();
    let decimal = reader.measures.decimal();
    let mut rows = read?;
    match rows.first_mut() {
        None => return Err(PointsError::NoPoints { line: first_line }.into()),
        Some(first) => first.known_m = bench(first, &preamble, told, unit)?,
    }
    let notes = notes(rows);
    let list = PointList {
        points: points_of(&notes)?,
        unit,
        dialect: Dialect {
            encoding,
            separator,
            decimal,
            columns: header.text(),
            columns_from: ColumnsFrom::Header(first_line),
        },
        line_codes: preamble.line_codes,
        boundary_code: preamble.boundary_code,
        void_code: preamble.void_code,
        doubts: doubts::unread(first_line, &header.skipped),
    };
    Ok(LevelBook { notes, list })
}

/// The text of a file as it was read, with comments in front that tell its unit and, where the user
/// did, the first mark's elevation, so that it is read the same without being told again.
///
/// # Errors
/// [`PointsError`] when `bytes` are no text.
pub fn as_read(bytes: &[u8], unit: LengthUnit, bench: Option<&str>) -> Result<String, PointsError> {
    let (text, _) = text::decode(bytes)?;
    let mut out = format!("# units: {}\n", word_of(unit));
    if let Some(bench) = bench {
        out.push_str(&format!("# bench: {}\n", bench.trim()));
    }
    for (_, line) in text::lines(&text) {
        out.push_str(line);
        out.push('\n');
    }
    Ok(out)
}

/// The error at the row of a file's notes that breaks a rule of booking.
pub fn at_line(notes: &LevelNotes, fault: LevelFault) -> BookError {
    let line = notes.booked().get(fault.row).map_or(1, |row| row.line);
    BookError::Booking { line, fault }
}

fn is_row(line: &str) -> bool {
    !is_blank(line) && !is_comment(line)
}

/// The first mark's elevation, from its row, the file's comment or the user.
fn bench(
    first: &LevelRow,
    preamble: &Preamble,
    told: &Told,
    unit: LengthUnit,
) -> Result<Option<f64>, BookError> {
    let in_row = first.known_m.map(|_| format!("line {}", first.line));
    let in_comment = preamble.bench.as_ref().map(|(line, _)| format!("line {line}"));
    let by_user = told.bench.as_ref().map(|_| "--bench".to_owned());
    let mut places = [in_row, in_comment, by_user].into_iter().flatten();
    if let (Some(one), Some(other)) = (places.next(), places.next()) {
        return Err(BookError::BenchTwice { one, other });
    }
    let commented = preamble.bench.as_ref().map(|(line, text)| (format!("line {line}"), text));
    let text = commented.or(told.bench.as_ref().map(|text| ("--bench".to_owned(), text)));
    match text {
        Some((at, text)) => elevation(at, text.trim(), unit).map(Some),
        None => Ok(first.known_m),
    }
}

fn elevation(at: String, text: &str, unit: LengthUnit) -> Result<f64, BookError> {
    let cell = Cell { line: text, number: 0, start: 0, text };
    // How it is written says nothing of the decimal sign in the rows.
    let read = Measures::of(unit).read(cell, "the first mark's elevation", Range::ELEVATION);
    read.map_err(|error| match error {
        PointsError::Field { read, expected, .. } => BookError::Bench { at, read, expected },
        other => BookError::Text(other),
    })
}

/// The notes of the rows, shared by distance where every foresight tells one.
fn notes(file_rows: Vec<LevelRow>) -> LevelNotes {
    let all_far = file_rows.iter().all(|row| row.fore_m.is_none() || row.distance_m.is_some());
    let share = if all_far { Share::ByDistance } else { Share::ByTurns };
    LevelNotes { file_rows, share, ..LevelNotes::default() }
}

/// The reduced points of the ground as a point list.
fn points_of(notes: &LevelNotes) -> Result<Vec<Point>, BookError> {
    let levels = reduce(notes).map_err(|fault| at_line(notes, fault))?;
    let point = |point: SurveyPoint| Point {
        name: point.name,
        at_m: point.at_m,
        code: point.code,
        note: String::new(),
        line: point.line,
    };
    Ok(ground_points(notes, &levels).into_iter().map(point).collect())
}

/// Reads rows of readings.
struct RowReader<'a, 't> {
    header: &'a Header,
    separator: Separator,
    measures: Measures,
    fields: Vec<Field<'t>>,
}

impl<'t> RowReader<'_, 't> {
    fn row(&mut self, line: &'t str, number: u32) -> Result<LevelRow, PointsError> {
        split(line, number, self.separator, &mut self.fields)?;
        let fields = std::mem::take(&mut self.fields);
        let order = &self.header.order;
        if fields.iter().skip(order.len()).any(|field| !field.text.is_empty()) {
            let n_expected = order.len();
            return Err(PointsError::Ragged { line: number, n_read: fields.len(), n_expected });
        }
        let mut row = LevelRow { line: number, ..LevelRow::default() };
        let mut place = [None; 2];
        for (column, field) in order.iter().zip(&fields) {
            let cell = Cell { line, number, start: field.start, text: field.text.as_ref() };
            let text = || field.text.trim().to_owned();
            match column {
                Column::Name => row.name = text(),
                Column::Code => row.code = text(),
                Column::Back => row.back_m = self.measure(cell, *column, READING)?,
                Column::Intermediate => {
                    row.intermediate_m = self.measure(cell, *column, READING)?
                }
                Column::Fore => row.fore_m = self.measure(cell, *column, READING)?,
                Column::Known => row.known_m = self.measure(cell, *column, Range::ELEVATION)?,
                Column::Distance => row.distance_m = self.measure(cell, *column, DISTANCE)?,
                Column::Easting => place[0] = self.measure(cell, *column, Range::PLACE)?,
                Column::Northing => place[1] = self.measure(cell, *column, Range::PLACE)?,
                Column::Note | Column::Skipped => {}
            }
        }
        self.fields = fields;
        row.at_m = match place {
            [Some(x), Some(y)] => Some([x, y]),
            [None, None] => None,
            [x, _] => {
                let (read, missing) = if x.is_some() { ("x", "y") } else { ("y", "x") };
                let cell = Cell { line, number, start: 0, text: line };
                return Err(cell.refused(format!("{missing} beside {read}, or neither")));
            }
        };
        Ok(row)
    }

    /// The measure of a field; none where it is blank or dashed.
    fn measure(
        &mut self,
        cell: Cell<'_>,
        column: Column,
        range: Range,
    ) -> Result<Option<f64>, PointsError> {
        if matches!(cell.text, "" | "-" | "\u{2013}" | "\u{2014}") {
            return Ok(None);
        }
        match self.measures.read(cell, column.as_str(), range) {
            Err(_) if are_two_readings(cell.text) => {
                Err(cell.refused(format!("one {} a row", column.as_str())))
            }
            read => read.map(Some),
        }
    }
}

fn are_two_readings(text: &str) -> bool {
    let mut parts = text.split([' ', '/']).filter(|part| !part.is_empty());
    parts.clone().count() > 1 && parts.all(|part| points::number::read(part).is_some())
}
