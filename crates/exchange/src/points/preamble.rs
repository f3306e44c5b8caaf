//! What the comments before the first row tell.

use units::LengthUnit;

use super::{Columns, PointsError, is_blank, is_comment, text};
use crate::unit_words::unit_of;

/// What the comments before the first row tell.
#[derive(Default)]
pub(crate) struct Preamble {
    pub unit: Option<(u32, LengthUnit)>,
    pub columns: Option<(u32, Columns)>,
    pub line_codes: Vec<String>,
    pub boundary_code: Option<String>,
    pub void_code: Option<String>,
    /// Elevation of a level book's first mark.
    pub bench: Option<(u32, String)>,
}

impl Preamble {
    /// Reads the comments at the head of `text`; comments that tell nothing known are passed over.
    pub(crate) fn read(text: &str) -> Result<Self, PointsError> {
        let mut preamble = Self::default();
        let head = text::lines(text).take_while(|(_, line)| is_blank(line) || is_comment(line));
        for (number, line) in head {
            let comment = line.trim().trim_start_matches('#');
            if let Some((word, value)) = comment.split_once(':') {
                preamble.take(word.trim(), value.trim(), number)?;
            }
        }
        Ok(preamble)
    }

    fn take(&mut self, word: &str, value: &str, line: u32) -> Result<(), PointsError> {
        match word.to_lowercase().as_str() {
            "units" => self.take_unit(value, line)?,
            "columns" => {
                let columns = Columns::given(value).map_err(|error| at_line(error, line))?;
                // The first tells: the program puts its own in front of a list that it copies.
                self.columns.get_or_insert((line, columns));
            }
            "lines" => self.line_codes.extend(codes(value)),
            "boundary" => self.boundary_code = codes(value).next(),
            "bench" => self.bench = Some((line, value.to_owned())),
            "voids" => self.void_code = codes(value).next(),
            _ => {}
        }
        Ok(())
    }

    fn take_unit(&mut self, value: &str, line: u32) -> Result<(), PointsError> {
        let unit =
            unit_of(value).ok_or_else(|| PointsError::UnitWord { line, read: value.to_owned() })?;
        match self.unit {
            Some((_, earlier)) if earlier.metres() != unit.metres() => {
                Err(PointsError::UnitContradicted {
                    line,
                    read: value.to_owned(),
                    expected: crate::unit_words::word_of(earlier),
                })
            }
            _ => {
                self.unit.get_or_insert((line, unit));
                Ok(())
            }
        }
    }
}

/// The codes of a list, without what follows two blanks (a remark on the same line).
fn codes(value: &str) -> impl Iterator<Item = String> {
    let value = value.split("  ").next().unwrap_or_default();
    value.split([',', ' ']).map(str::trim).filter(|code| !code.is_empty()).map(str::to_owned)
}

fn at_line(error: PointsError, line: u32) -> PointsError {
    match error {
        PointsError::Columns { read, expected, .. } => {
            PointsError::Columns { at: format!("line {line}"), read, expected }
        }
        other => other,
    }
}
