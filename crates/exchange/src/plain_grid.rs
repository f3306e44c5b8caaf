//! Plain-text grids: a few words on place and step, then heights row by row from the north.
//!
//! ```text
//! ncols 4
//! nrows 3
//! xllcorner 500000      corner of the south-western cell; xllcenter: its middle
//! yllcorner 5400000
//! cellsize 2.5          or dx and dy
//! nodata_value -9999
//! 1.5 1.6 1.7 -9999
//! ...
//! ```
//! The format tells no unit; it must be told.

use std::fmt::Write as _;

use units::LengthUnit;

use crate::content::{Content, Stopped, in_unit, swap_doubt};
use crate::grid::{FromNorth, Grid, GridError, MOST_POSTS};
use crate::points::text::{decode, lines};
use crate::points::{Place, PointsError, shortened};

/// Why a plain grid was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlainGridError {
    /// It is no text.
    #[error(transparent)]
    Text(#[from] PointsError),
    /// A word or a number is not what stands there.
    #[error("{place}: read `{read}`, expected {expected}")]
    Field {
        /// Where.
        place: Place,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
    /// The head lacks a word.
    #[error("line {line}: read heights before `{word}`, expected it in the head")]
    Lacks {
        /// The first row of heights.
        line: u32,
        /// The word.
        word: &'static str,
    },
    /// The unit was not told.
    #[error(
        "the unit of length is not known; expected --units with {}",
        crate::unit_words::EXPECTED
    )]
    UnitUnknown,
    /// What was read is no grid.
    #[error(transparent)]
    Grid(#[from] GridError),
}

/// Where no word tells it, this height stands for none, by long habit.
const NO_DATA: f64 = -9999.0;

#[derive(Default)]
struct Head {
    columns: Option<f64>,
    rows: Option<f64>,
    x: Option<(f64, bool)>,
    y: Option<(f64, bool)>,
    dx: Option<f64>,
    dy: Option<f64>,
    no_data: Option<f64>,
}

/// Whether the text begins as a plain grid.
pub fn is_plain_grid(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(512)];
    decode(head).is_ok_and(|(text, _)| {
        text.split_whitespace().next().is_some_and(|word| word.eq_ignore_ascii_case("ncols"))
    })
}

/// Reads a plain grid; of one that is cut the rows before the cut are kept.
///
/// # Errors
/// [`PlainGridError`] names line and column, what was read and what was expected.
pub fn read(
    bytes: &[u8],
    unit: Option<LengthUnit>,
    z_unit: Option<LengthUnit>,
) -> Result<Content, PlainGridError> {
    let (text, _) = decode(bytes)?;
    let unit = unit.ok_or(PlainGridError::UnitUnknown)?;
    let z_unit = z_unit.unwrap_or(unit);
    let mut words = lines(&text).flat_map(|(line, text)| words_of(line, text)).peekable();
    let mut head = Head::default();
    while let Some(word) = words.peek() {
        if word.number().is_some() {
            break;
        }
        let word = *word;
        words.next();
        let value = words.next().unwrap_or(Word { text: "", ..word });
        head.take(word, value)?;
    }
    let line = words.peek().map_or(1, |word| word.place.line);
    let sound = head.sound(line)?;
    let mut rows = FromNorth::new(sound.columns);
    let n_expected = sound.columns * sound.rows;
    let mut stopped = None;
    for nth in 0..n_expected {
        let Some(word) = words.next() else {
            let at = format!("row {}, column {}", nth / sound.columns + 1, nth % sound.columns + 1);
            let message = format!("read the end of the file, expected {} rows", sound.rows);
            stopped = Some(Stopped { at, message });
            break;
        };
        let told = word.number().ok_or_else(|| word.refused("a height with a decimal point"))?;
        let height = (told != sound.no_data).then(|| z_unit.to_metres(told));
        let height = rows.sieved(told, height);
        rows.heights_m.push(height);
    }
    if let Some(word) = words.next() {
        return Err(word.refused(&format!("the end of the file after {} rows", sound.rows)));
    }
    // A row that is cut is filled up, so that rows stay rows; what lacks its height makes no ground.
    // A first row that is cut is no grid, and nothing is filled up to the width that the head claims.
    if stopped.is_some() && rows.heights_m.len() < sound.columns {
        let n_heights = rows.heights_m.len();
        return Err(GridError::Count { columns: sound.columns, rows: sound.rows, n_heights }.into());
    }
    let n_rows = rows.heights_m.len().div_ceil(sound.columns);
    rows.heights_m.resize(n_rows * sound.columns, f64::NAN);
    let n_missing = sound.rows - n_rows;
    let south = sound.first[1] + n_missing as f64 * sound.step[1];
    let first_m = [sound.first[0], south].map(|c| unit.to_metres(c));
    let step_m = sound.step.map(|c| unit.to_metres(c));
    let grid = Grid::new(first_m, step_m, sound.columns, rows.southern_first())?;
    let swapped = swap_doubt(&mut grid.posts_m(), unit);
    let doubts = rows.doubt().into_iter().chain(swapped).collect();
    Ok(Content { unit, grid: Some(grid), doubts, stopped, ..Content::default() })
}

/// A grid as plain text, in `unit`; posts are the middles of cells.
pub fn write(grid: &Grid, unit: LengthUnit) -> String {
    let [columns, rows] = grid.size();
    let [x, y] = grid.post_m(0, 0).map(|c| in_unit(c, unit));
    let [dx, dy] = grid.step_m().map(|c| in_unit(c, unit));
    let steps = if dx == dy { format!("cellsize {dx}") } else { format!("dx {dx}\ndy {dy}") };
    let mut out = format!(
        "ncols {columns}\nnrows {rows}\nxllcenter {x}\nyllcenter {y}\n{steps}\nnodata_value {NO_DATA}\n"
    );
    for row in (0..rows).rev() {
        for column in 0..columns {
            let z = grid.height_m(column, row).map_or(NO_DATA, |z| in_unit(z, unit));
            let blank = if column == 0 { "" } else { " " };
            write!(out, "{blank}{z}").expect("a string takes any text");
        }
        out.push('\n');
    }
    out
}

/// A word and where it stands.
#[derive(Clone, Copy)]
struct Word<'a> {
    text: &'a str,
    place: Place,
}

fn words_of(line: u32, text: &str) -> impl Iterator<Item = Word<'_>> {
    let base = text.as_ptr() as usize;
    text.split_whitespace().map(move |word| {
        let start = word.as_ptr() as usize - base;
        // Letters before a word are counted only for a message; bytes do in a text of numbers.
        Word { text: word, place: Place { line, column: start as u32 + 1 } }
    })
}

impl Word<'_> {
    fn number(self) -> Option<f64> {
        let is_plain =
            |byte: u8| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.' | b'e' | b'E');
        let parsed = || self.text.parse().ok().filter(|n: &f64| n.is_finite());
        if self.text.eq_ignore_ascii_case("nan") {
            return Some(f64::NAN);
        }
        self.text.bytes().all(is_plain).then(parsed).flatten()
    }

    fn refused(self, expected: &str) -> PlainGridError {
        let read = shortened(self.text);
        PlainGridError::Field { place: self.place, read, expected: expected.to_owned() }
    }
}

struct Sound {
    columns: usize,
    rows: usize,
    /// The south-western post.
    first: [f64; 2],
    step: [f64; 2],
    no_data: f64,
}

impl Head {
    fn take(&mut self, word: Word<'_>, value: Word<'_>) -> Result<(), PlainGridError> {
        let number = value
            .number()
            .ok_or_else(|| value.refused(&format!("a number for {}", shortened(word.text))))?;
        let name = word.text.to_lowercase();
        if !number.is_finite() && name != "nodata_value" {
            return Err(value.refused(&format!("a number for {name}")));
        }
        match name.as_str() {
            "ncols" | "nrows" => {
                if !(number.fract() == 0.0 && (2.0..=MOST_POSTS as f64).contains(&number)) {
                    let most = MOST_POSTS;
                    return Err(value.refused(&format!("a whole number from 2 to {most}")));
                }
                if name == "ncols" { self.columns = Some(number) } else { self.rows = Some(number) }
            }
            "xllcorner" => self.x = Some((number, true)),
            "xllcenter" | "xllcentre" => self.x = Some((number, false)),
            "yllcorner" => self.y = Some((number, true)),
            "yllcenter" | "yllcentre" => self.y = Some((number, false)),
            "cellsize" => [self.dx, self.dy] = [Some(number); 2],
            "dx" => self.dx = Some(number),
            "dy" => self.dy = Some(number),
            "nodata_value" | "nodata" => self.no_data = Some(number),
            _ => {
                return Err(word.refused(
                    "ncols, nrows, xllcorner or xllcenter, yllcorner or yllcenter, cellsize, dx, dy \
                     or nodata_value",
                ));
            }
        }
        Ok(())
    }

    fn sound(&self, line: u32) -> Result<Sound, PlainGridError> {
        let lacks = |word| PlainGridError::Lacks { line, word };
        let columns = self.columns.ok_or_else(|| lacks("ncols"))? as usize;
        let rows = self.rows.ok_or_else(|| lacks("nrows"))? as usize;
        let step =
            [self.dx.ok_or_else(|| lacks("cellsize"))?, self.dy.ok_or_else(|| lacks("cellsize"))?];
        let corners =
            [self.x.ok_or_else(|| lacks("xllcorner"))?, self.y.ok_or_else(|| lacks("yllcorner"))?];
        if columns.saturating_mul(rows) > MOST_POSTS {
            let n_posts = columns as f64 * rows as f64;
            return Err(GridError::TooMany { step_m: step[0], n_posts, most: MOST_POSTS }.into());
        }
        let first = [0, 1].map(|axis| {
            let (c, is_corner) = corners[axis];
            if is_corner { c + step[axis] / 2.0 } else { c }
        });
        Ok(Sound { columns, rows, first, step, no_data: self.no_data.unwrap_or(NO_DATA) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "NCOLS 3\nnrows 2\nxllcorner 100\nyllcorner 200\ncellsize 10\nNODATA_value -99\n\
                        1 2 3\n4 -99 6\n";

    fn told(text: &str) -> Result<Content, PlainGridError> {
        read(text.as_bytes(), Some(LengthUnit::Metre), None)
    }

    #[test]
    fn corner_or_middle_no_data_and_rows_from_the_north() {
        let grid = told(TEXT).unwrap().grid.unwrap();
        assert_eq!(grid.post_m(0, 0), [105.0, 205.0]);
        assert_eq!(
            (grid.height_m(0, 0), grid.height_m(1, 0), grid.height_m(2, 1)),
            (Some(4.0), None, Some(3.0))
        );
        let middle = TEXT.replace("corner", "center");
        assert_eq!(told(&middle).unwrap().grid.unwrap().post_m(0, 0), [100.0, 200.0]);
        let feet = read(TEXT.as_bytes(), Some(LengthUnit::Foot), None).unwrap().grid.unwrap();
        assert_eq!(
            (feet.post_m(0, 0)[0], feet.height_m(2, 0)),
            (105.0 * 0.3048, Some(6.0 * 0.3048))
        );
        assert_eq!(read(TEXT.as_bytes(), None, None), Err(PlainGridError::UnitUnknown));
        assert!(is_plain_grid(TEXT.as_bytes()) && !is_plain_grid(b"name,x,y,z"));
    }

    #[test]
    fn rows_before_a_cut_are_kept() {
        let cut = told(&TEXT[..TEXT.len() - 6]).unwrap();
        assert_eq!(
            cut.stopped.unwrap().to_string(),
            "row 2, column 2: read the end of the file, expected 2 rows"
        );
        assert_eq!(cut.grid.unwrap().height_m(0, 1), Some(1.0));
        // A width that nothing bears out is not filled up.
        let wide = told(&TEXT.replace("NCOLS 3", "NCOLS 90000000")).unwrap_err().to_string();
        assert_eq!(
            wide,
            "read 90000000 by 2 posts and 6 heights, expected two a side and one height each"
        );
        let odd = told(&TEXT.replace("-99\n1", "-99\n-32768")).unwrap();
        assert!(odd.doubts[0].contains("such as -32768"), "{:?}", odd.doubts);
    }

    #[test]
    fn what_is_wrong_is_named() {
        for (from, to, said) in [
            ("4 -99", "4 x", "line 8, column 3: read `x`, expected a height with a decimal point"),
            (
                "nrows 2",
                "nrows 2.5",
                "line 2, column 7: read `2.5`, expected a whole number from 2 to \
                 200000000",
            ),
            (
                "cellsize 10\n",
                "",
                "line 6: read heights before `cellsize`, expected it in the head",
            ),
            (
                "6\n",
                "6 7\n",
                "line 8, column 9: read `7`, expected the end of the file after 2 rows",
            ),
            (
                "NCOLS 3",
                "NCOLS 200000000\n",
                "a step of 10 m makes 400000000 posts, expected 200000000 at most",
            ),
            ("cellsize 10", "cellsize -1", "read a step of -1 m, expected a length above zero"),
        ] {
            assert_eq!(told(&TEXT.replace(from, to)).unwrap_err().to_string(), said);
        }
        assert!(
            told(&TEXT.replace("cellsize", "sellsize"))
                .unwrap_err()
                .to_string()
                .contains("`sellsize`")
        );
    }

    #[test]
    fn what_is_written_is_read_back() {
        for unit in [LengthUnit::Metre, LengthUnit::UsSurveyFoot] {
            let grid = read(TEXT.as_bytes(), Some(unit), None).unwrap().grid.unwrap();
            let text = write(&grid, unit);
            assert_eq!(read(text.as_bytes(), Some(unit), None).unwrap().grid.unwrap(), grid);
        }
    }
}
