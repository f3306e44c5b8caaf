//! Which column of a point list holds what.

use units::LengthUnit;

use super::PointsError;
use crate::unit_words::unit_of;

/// What one column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Name or number of the point.
    Name,
    /// Easting, x.
    Easting,
    /// Northing, y.
    Northing,
    /// Elevation, z.
    Elevation,
    /// Code.
    Code,
    /// A note, kept beside the code.
    Note,
    /// Not read.
    Skipped,
}

/// The columns of a point list from left to right.
///
/// Easting, northing and elevation stand exactly once, name and code at most once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Columns {
    order: Vec<Column>,
}

/// A header: its columns, and the unit beside its words where it tells one.
pub(crate) struct Header {
    pub columns: Columns,
    /// The word for the unit of easting, northing and elevation.
    pub unit_word: Option<String>,
    /// Words that name nothing known.
    pub skipped: Vec<String>,
}

/// Words as the trade writes them, after capitals, brackets and signs went.
const WORDS: [(&str, Column); 47] = [
    ("name", Column::Name),
    ("point", Column::Name),
    ("point name", Column::Name),
    ("point no", Column::Name),
    ("point number", Column::Name),
    ("point id", Column::Name),
    ("pt", Column::Name),
    ("pt no", Column::Name),
    ("no", Column::Name),
    ("nr", Column::Name),
    ("number", Column::Name),
    ("id", Column::Name),
    ("shot", Column::Name),
    ("p", Column::Name),
    ("x", Column::Easting),
    ("e", Column::Easting),
    ("east", Column::Easting),
    ("easting", Column::Easting),
    ("y", Column::Northing),
    ("n", Column::Northing),
    ("north", Column::Northing),
    ("northing", Column::Northing),
    ("z", Column::Elevation),
    ("h", Column::Elevation),
    ("elev", Column::Elevation),
    ("elevation", Column::Elevation),
    ("height", Column::Elevation),
    ("level", Column::Elevation),
    ("rl", Column::Elevation),
    ("code", Column::Code),
    ("c", Column::Code),
    ("point code", Column::Code),
    ("feature", Column::Code),
    ("feature code", Column::Code),
    ("d", Column::Code),
    ("desc", Column::Note),
    ("description", Column::Note),
    ("descriptor", Column::Note),
    ("note", Column::Note),
    ("notes", Column::Note),
    ("remark", Column::Note),
    ("remarks", Column::Note),
    ("comment", Column::Note),
    ("comments", Column::Note),
    ("-", Column::Skipped),
    ("skip", Column::Skipped),
    ("", Column::Skipped),
];

impl Column {
    /// The words for messages.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Easting => "x (easting)",
            Self::Northing => "y (northing)",
            Self::Elevation => "z (elevation)",
            Self::Code => "code",
            Self::Note => "note",
            Self::Skipped => "not read",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Easting => "x",
            Self::Northing => "y",
            Self::Elevation => "z",
            Self::Code => "code",
            Self::Note => "note",
            Self::Skipped => "-",
        }
    }
}

impl Columns {
    /// The columns that `text` lists: words of the trade (`name,x,y,z,code`) or one letter each
    /// (`nxyzc`, `pnezd`), `-` for a column to pass over.
    ///
    /// A lone `n` is the northing, and the name where a `y` stands for that.
    ///
    /// # Errors
    /// [`PointsError::Columns`] for an unknown word, and where easting, northing or elevation is
    /// missing or anything is named twice.
    pub fn given(text: &str) -> Result<Self, PointsError> {
        let refuse = |expected: String| PointsError::Columns {
            at: "the order of columns".to_owned(),
            read: text.to_owned(),
            expected,
        };
        let mut words: Vec<String> =
            text.split([',', ';', ' ', '\t']).map(normal).filter(|word| !word.is_empty()).collect();
        if let [letters] = words.as_slice() {
            words = letters.chars().map(String::from).collect();
        }
        let order: Result<Vec<Column>, String> =
            words.iter().map(|word| column_of(word, &words).ok_or_else(|| word.clone())).collect();
        let order = order.map_err(|word| {
            refuse(format!("words such as name,x,y,z,code or letters such as nxyzc, not `{word}`"))
        })?;
        Self::checked(order).map_err(refuse)
    }

    /// The columns that a header names, or nothing where it is no header.
    pub(crate) fn header(fields: &[&str], line: u32) -> Option<Result<Header, PointsError>> {
        let parts: Vec<(String, Option<String>)> =
            fields.iter().map(|field| word_and_unit(field)).collect();
        let words: Vec<String> = parts.iter().map(|(word, _)| word.clone()).collect();
        let found: Vec<Option<Column>> = words.iter().map(|word| column_of(word, &words)).collect();
        let names_a_place = found.iter().flatten().any(|column| column.is_place());
        if !names_a_place {
            return None;
        }
        let order = found.iter().map(|column| column.unwrap_or(Column::Skipped)).collect();
        let columns = Self::checked(order).map_err(|expected| PointsError::Columns {
            at: format!("line {line}"),
            read: fields.join(" "),
            expected,
        });
        Some(columns.map(|columns| {
            Header {
                unit_word: one_unit(&columns, &parts),
                columns,
                skipped: words
                    .into_iter()
                    .zip(&found)
                    .filter(|(word, column)| column.is_none() && !word.is_empty())
                    .map(|(word, _)| word)
                    .collect(),
            }
        }))
    }

    /// The columns from left to right.
    pub fn order(&self) -> &[Column] {
        &self.order
    }

    /// The order as [`Columns::given`] reads it.
    pub fn text(&self) -> String {
        let words: Vec<&str> = self.order.iter().map(|column| column.word()).collect();
        words.join(",")
    }

    fn checked(mut order: Vec<Column>) -> Result<Self, String> {
        let count = |order: &[Column], wanted| order.iter().filter(|c| **c == wanted).count();
        // A description alone is the code.
        if count(&order, Column::Code) == 0
            && let Some(note) = order.iter_mut().find(|column| **column == Column::Note)
        {
            *note = Column::Code;
        }
        for column in [Column::Easting, Column::Northing, Column::Elevation] {
            if count(&order, column) == 0 {
                return Err(format!(
                    "x, y and z among the columns; {} is missing",
                    column.as_str()
                ));
            }
        }
        let single =
            [Column::Name, Column::Easting, Column::Northing, Column::Elevation, Column::Code];
        for column in single {
            if count(&order, column) > 1 {
                return Err(format!("each column once; {} stands twice", column.as_str()));
            }
        }
        Ok(Self { order })
    }
}

impl Column {
    fn is_place(self) -> bool {
        matches!(self, Self::Easting | Self::Northing | Self::Elevation)
    }
}

/// The column that `word` names among `all` words of a header.
pub(crate) fn column_of(word: &str, all: &[String]) -> Option<Column> {
    if word == "n" && all.iter().any(|other| other == "y") {
        return Some(Column::Name);
    }
    WORDS.iter().find(|(known, _)| *known == word).map(|(_, column)| *column)
}

/// A header's word without capitals and signs.
pub(crate) fn normal(word: &str) -> String {
    let spaced = word.trim().to_lowercase().replace(['_', '.', '#', ':'], " ");
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `Easting [m]` and `x_m` to the word and the unit.
pub(crate) fn word_and_unit(field: &str) -> (String, Option<String>) {
    if let Some(at) = field.find(['(', '[']) {
        let unit = field[at + 1..].trim_end().trim_end_matches([')', ']']).trim().to_lowercase();
        return (normal(&field[..at]), Some(unit));
    }
    let word = normal(field);
    match word.split_once(' ') {
        Some((first, unit)) if unit_of(&unit.replace(' ', "-")).is_some() => {
            (first.to_owned(), Some(unit.replace(' ', "-")))
        }
        _ => (word, None),
    }
}

/// The unit that easting, northing and elevation all tell.
fn one_unit(columns: &Columns, parts: &[(String, Option<String>)]) -> Option<String> {
    let mut units =
        columns.order.iter().zip(parts).filter(|(c, _)| c.is_place()).map(|(_, part)| &part.1);
    let first = units.next()?.clone()?;
    units.all(|unit| unit.as_ref() == Some(&first)).then_some(first)
}

/// Whether a header's word for feet leaves open which foot it means.
pub(crate) fn leaves_foot_open(unit: LengthUnit) -> bool {
    matches!(unit, LengthUnit::Foot | LengthUnit::FootInch)
}
