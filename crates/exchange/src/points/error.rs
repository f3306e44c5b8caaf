//! Why a point list was refused.

/// A place in a text file: line and character column, both counted from one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line.
    pub line: u32,
    /// Character within the line.
    pub column: u32,
}

impl std::fmt::Display for Place {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "line {}, column {}", self.line, self.column)
    }
}

/// Why a point list was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PointsError {
    /// The file holds nothing.
    #[error("line 1: read an empty file, expected rows of points")]
    Empty,
    /// The file holds comments, blank lines or a header, and no point.
    #[error("line {line}: read to the end without a point, expected rows of points")]
    NoPoints {
        /// The last line.
        line: u32,
    },
    /// The file is no text.
    #[error("{place}: read the byte {byte:#04x} of a binary file, expected a text file of points")]
    Binary {
        /// Where the first byte that no text has stands.
        place: Place,
        /// That byte.
        byte: u8,
    },
    /// No header and no given order tells which column is which.
    #[error(
        "line {line}: read `{read}`, expected a header that names the columns (such as \
         name,x,y,z,code); without one give their order, such as --columns name,x,y,z,code"
    )]
    OrderUnknown {
        /// The first row.
        line: u32,
        /// Its text.
        read: String,
    },
    /// A header, a comment or the given order names no usable set of columns.
    #[error("{at}: read `{read}`, expected {expected}")]
    Columns {
        /// Where: a line, or the given order.
        at: String,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
    /// The unit is told neither by the file nor by the user.
    #[error(
        "the unit of length is not known; expected --units with {}",
        crate::unit_words::EXPECTED
    )]
    UnitUnknown,
    /// File and user, or two places of the file, tell different units.
    #[error("line {line}: read the unit `{read}`, expected {expected} as told")]
    UnitContradicted {
        /// Where the file tells its unit.
        line: u32,
        /// What it tells.
        read: String,
        /// What was told elsewhere.
        expected: &'static str,
    },
    /// A comment names an unknown unit.
    #[error("line {line}: read the unit `{read}`, expected {}", crate::unit_words::EXPECTED)]
    UnitWord {
        /// Where.
        line: u32,
        /// What stands there.
        read: String,
    },
    /// A field is not what its column needs.
    #[error("{place}: read `{read}`, expected {expected}")]
    Field {
        /// Where the field begins.
        place: Place,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
    /// A row has too few or too many fields.
    #[error("line {line}: read {n_read} fields, expected {n_expected}")]
    Ragged {
        /// The row.
        line: u32,
        /// Fields read.
        n_read: usize,
        /// Fields expected.
        n_expected: usize,
    },
    /// A quote that is not closed on its line.
    #[error("{place}: read an opening quote without its closing one, expected both on one line")]
    UnclosedQuote {
        /// The opening quote.
        place: Place,
    },
    /// The points span no surface.
    #[error("line {line}: {rule}")]
    NoSurface {
        /// The last point's line.
        line: u32,
        /// What was read and what was expected.
        rule: String,
    },
}
