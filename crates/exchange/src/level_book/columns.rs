//! Which column of a level book holds what.

use units::LengthUnit;

use crate::points::PointsError;
use crate::points::columns::{self as list, normal, word_and_unit};
use crate::points::row::{Field, Separator, split};
use crate::unit_words::{unit_of, word_of};

/// What one column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Name,
    Back,
    Intermediate,
    Fore,
    Known,
    Distance,
    Easting,
    Northing,
    Code,
    Note,
    Skipped,
}

/// A header: its columns, and the unit beside its words where it tells one.
#[derive(Debug)]
pub(super) struct Header {
    /// From left to right.
    pub order: Vec<Column>,
    /// The word for the unit of all that is measured.
    pub unit_word: Option<String>,
    /// Words that name nothing known.
    pub skipped: Vec<String>,
}

/// Words of level books, after capitals, brackets and signs went; those of point lists hold besides.
const WORDS: [(&str, Column); 31] = [
    ("bs", Column::Back),
    ("b s", Column::Back),
    ("backsight", Column::Back),
    ("back sight", Column::Back),
    ("back", Column::Back),
    ("is", Column::Intermediate),
    ("i s", Column::Intermediate),
    ("ifs", Column::Intermediate),
    ("intermediate", Column::Intermediate),
    ("intermediate sight", Column::Intermediate),
    ("inter", Column::Intermediate),
    ("fs", Column::Fore),
    ("f s", Column::Fore),
    ("foresight", Column::Fore),
    ("fore sight", Column::Fore),
    ("fore", Column::Fore),
    ("known", Column::Known),
    ("known elevation", Column::Known),
    ("known level", Column::Known),
    ("bench", Column::Known),
    ("bench mark", Column::Known),
    ("benchmark", Column::Known),
    ("bm", Column::Known),
    ("reduced level", Column::Known),
    ("distance", Column::Distance),
    ("dist", Column::Distance),
    ("d", Column::Distance),
    ("length", Column::Distance),
    ("station", Column::Name),
    ("stn", Column::Name),
    ("mark", Column::Name),
];

impl Column {
    /// The words for messages.
    pub(super) fn as_str(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Back => "backsight",
            Self::Intermediate => "intermediate sight",
            Self::Fore => "foresight",
            Self::Known => "known elevation",
            Self::Distance => "distance",
            Self::Easting => "x (easting)",
            Self::Northing => "y (northing)",
            Self::Code => "code",
            Self::Note => "remark",
            Self::Skipped => "not read",
        }
    }

    fn is_measured(self) -> bool {
        !matches!(self, Self::Name | Self::Code | Self::Note | Self::Skipped)
    }
}

impl Header {
    /// The columns that the first row of a level book names.
    pub(super) fn read(row: &str, line: u32, separator: Separator) -> Result<Self, PointsError> {
        let refuse = |expected: String| {
            let (at, read) = (format!("line {line}"), row.trim().to_owned());
            Err(PointsError::Columns { at, read, expected })
        };
        if separator == Separator::Blanks {
            return refuse(
                "commas, semicolons or tabs between columns: blanks cannot tell which is left out"
                    .to_owned(),
            );
        }
        let mut fields = Vec::new();
        split(row, line, separator, &mut fields)?;
        let parts: Vec<(String, Option<String>)> =
            fields.iter().map(|field| word_and_unit(&field.text)).collect();
        let words: Vec<String> = parts.iter().map(|(word, _)| word.clone()).collect();
        let found: Vec<Option<Column>> = words.iter().map(|word| column_of(word, &words)).collect();
        let mut order: Vec<Column> = found.iter().map(|c| c.unwrap_or(Column::Skipped)).collect();
        name_by_remark(&mut order);
        if let Some(expected) = missing_or_twice(&order) {
            return refuse(expected);
        }
        let skipped = words.iter().zip(&found).filter(|(word, c)| c.is_none() && !word.is_empty());
        let skipped = skipped.map(|(word, _)| word.clone()).collect();
        match one_unit(&order, &parts) {
            Ok(unit_word) => Ok(Self { order, unit_word, skipped }),
            Err([one, other]) => refuse(format!(
                "one unit for all that is measured, not {} and {}",
                word_of(one),
                word_of(other)
            )),
        }
    }

    /// The columns in words.
    pub(super) fn text(&self) -> String {
        let words: Vec<&str> = self.order.iter().map(|column| column.as_str()).collect();
        words.join(", ")
    }
}

/// Whether the fields of a first row name backsights or foresights.
pub(super) fn names_sights(fields: &[Field<'_>]) -> bool {
    fields.iter().any(|field| {
        let (word, _) = word_and_unit(&field.text);
        let sight = WORDS.iter().find(|(known, _)| *known == word).map(|(_, column)| *column);
        matches!(sight, Some(Column::Back | Column::Fore))
    })
}

fn column_of(word: &str, all: &[String]) -> Option<Column> {
    let own = WORDS.iter().find(|(known, _)| *known == normal(word)).map(|(_, column)| *column);
    own.or_else(|| {
        list::column_of(word, all).map(|column| match column {
            list::Column::Name => Column::Name,
            list::Column::Easting => Column::Easting,
            list::Column::Northing => Column::Northing,
            list::Column::Elevation => Column::Known,
            list::Column::Code => Column::Code,
            list::Column::Note => Column::Note,
            list::Column::Skipped => Column::Skipped,
        })
    })
}

/// Many books name their marks under remarks alone.
fn name_by_remark(order: &mut [Column]) {
    if !order.contains(&Column::Name)
        && let Some(remark) = order.iter_mut().find(|column| **column == Column::Note)
    {
        *remark = Column::Name;
    }
}

/// What is expected of the columns, where they do not hold it.
fn missing_or_twice(order: &[Column]) -> Option<String> {
    let count = |wanted| order.iter().filter(|column| **column == wanted).count();
    let twice = order
        .iter()
        .find(|column| !matches!(column, Column::Note | Column::Skipped) && count(**column) > 1);
    if let Some(column) = twice {
        return Some(format!("each column once; {} stands twice", column.as_str()));
    }
    for column in [Column::Back, Column::Fore] {
        if count(column) == 0 {
            return Some(format!(
                "columns for backsight and foresight; {} is missing",
                column.as_str()
            ));
        }
    }
    match [count(Column::Easting), count(Column::Northing)] {
        [1, 0] => Some("x and y, or neither; y is missing".to_owned()),
        [0, 1] => Some("x and y, or neither; x is missing".to_owned()),
        _ => None,
    }
}

/// The unit that the measured columns tell, if any does; two that differ where they do not agree.
fn one_unit(
    order: &[Column],
    parts: &[(String, Option<String>)],
) -> Result<Option<String>, [LengthUnit; 2]> {
    let measured = order.iter().zip(parts).filter(|(column, _)| column.is_measured());
    let told = measured.filter_map(|(_, (_, unit))| unit.as_ref());
    let mut known = told.filter_map(|word| Some((word, unit_of(word)?)));
    let Some((word, unit)) = known.next() else { return Ok(None) };
    match known.find(|(_, other)| *other != unit) {
        Some((_, other)) => Err([unit, other]),
        None => Ok(Some(word.clone())),
    }
}
