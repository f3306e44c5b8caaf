//! Writing point lists.

use std::fmt::Write as _;

use units::LengthUnit;

use super::{Dialect, Point, PointList, PointsError, text};
use crate::csv;
use crate::unit_words::word_of;

/// The text of a file as it was read, with comments in front that tell its unit and columns, so
/// that it is read the same without being told again.
///
/// # Errors
/// [`PointsError`] when `bytes` are no text.
pub fn as_read(bytes: &[u8], list: &PointList) -> Result<String, PointsError> {
    let (text, _) = text::decode(bytes)?;
    let Dialect { columns, .. } = &list.dialect;
    let mut out = format!("# units: {}\n# columns: {}\n", word_of(list.unit), columns);
    for (_, line) in text::lines(&text) {
        out.push_str(line);
        out.push('\n');
    }
    Ok(out)
}

/// A point list in `unit`: comma, decimal point, columns name,x,y,z,code,note.
pub fn write(points: &[Point], unit: LengthUnit) -> String {
    let mut out = format!("# units: {}\nname,x,y,z,code,note\n", word_of(unit));
    let mut last_line = None;
    for point in points {
        // A blank line ends a run of a line code, so it is kept.
        if last_line.is_some_and(|last| point.line > last + 1) {
            out.push('\n');
        }
        last_line = Some(point.line);
        let [x, y, z] = point.at_m.map(|metres| in_unit(metres, unit));
        let [name, code, note] =
            [&point.name, &point.code, &point.note].map(|text| csv::field(text));
        writeln!(out, "{name},{x},{y},{z},{code},{note}").expect("a string takes any text");
    }
    out
}

/// The number in `unit` that is read back as `metres` where there is one, else the nearest.
pub(crate) fn in_unit(metres: f64, unit: LengthUnit) -> f64 {
    let value = unit.from_metres(metres);
    [value, value.next_down(), value.next_up()]
        .into_iter()
        .find(|value| unit.to_metres(*value) == metres)
        .unwrap_or(value)
}
