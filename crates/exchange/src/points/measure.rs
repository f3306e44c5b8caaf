//! From fields to metres, with one decimal sign in a whole file.

use units::LengthUnit;

use super::row::place;
use super::{Decimal, FARTHEST_M, HIGHEST_M, LOWEST_M, PointsError, number, shortened};

/// One field of a row, and where it stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cell<'a> {
    pub line: &'a str,
    pub number: u32,
    pub start: usize,
    pub text: &'a str,
}

/// What a measure can be, in metres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Range {
    pub least_m: f64,
    pub most_m: f64,
    /// Who says so: "that a site can have".
    pub of: &'static str,
}

/// Reads measures, and remembers the decimal sign that the first one had.
#[derive(Debug)]
pub(crate) struct Measures {
    unit: LengthUnit,
    decimal: Option<(Decimal, u32)>,
}

impl Range {
    const OF_A_SITE: &str = "that a site can have";
    /// Elevations.
    pub(crate) const ELEVATION: Self =
        Self { least_m: LOWEST_M, most_m: HIGHEST_M, of: Self::OF_A_SITE };
    /// Eastings and northings.
    pub(crate) const PLACE: Self =
        Self { least_m: -FARTHEST_M, most_m: FARTHEST_M, of: Self::OF_A_SITE };
}

impl Cell<'_> {
    /// The error that this field is not what is expected.
    pub(crate) fn refused(self, expected: String) -> PointsError {
        let place = place(self.line, self.number, self.start);
        PointsError::Field { place, read: shortened(self.text), expected }
    }
}

impl Measures {
    /// Measures in `unit`.
    pub(crate) fn of(unit: LengthUnit) -> Self {
        Self { unit, decimal: None }
    }

    /// The decimal sign, once a number had one.
    pub(crate) fn decimal(&self) -> Option<Decimal> {
        self.decimal.map(|(decimal, _)| decimal)
    }

    /// The measure of a field in metres; `what` names it in messages.
    pub(crate) fn read(
        &mut self,
        cell: Cell<'_>,
        what: &str,
        range: Range,
    ) -> Result<f64, PointsError> {
        let (metres, decimal) =
            self.metres(cell.text).ok_or_else(|| cell.refused(format!("a number for {what}")))?;
        match (decimal, self.decimal) {
            (Some(here), None) => self.decimal = Some((here, cell.number)),
            (Some(here), Some((there, there_line))) if here != there => {
                let expected = format!("a {} as on line {there_line}", there.as_str());
                return Err(cell.refused(expected));
            }
            _ => {}
        }
        let Range { least_m, most_m, of } = range;
        if (least_m..=most_m).contains(&metres) {
            return Ok(metres);
        }
        let [least, most] = [least_m, most_m].map(|metres| self.unit.from_metres(metres));
        Err(cell.refused(format!("a number for {what} {of}, from {least} to {most}")))
    }

    /// A measure in metres, with the decimal sign it was written with.
    fn metres(&self, text: &str) -> Option<(f64, Option<Decimal>)> {
        match number::read(text) {
            Some((value, decimal)) => Some((self.unit.to_metres(value), decimal)),
            None if self.unit == LengthUnit::FootInch => {
                units::parse_length(text, self.unit).ok().map(|metres| (metres, None))
            }
            None => None,
        }
    }
}
