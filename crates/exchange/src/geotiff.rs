//! GeoTIFF: grids of heights.
//!
//! # Source
//! TIFF 6.0; OGC GeoTIFF 1.1 (19-008r4); tag 42113 for the height that stands for none.

mod write;

use std::io::{Cursor, ErrorKind};

use tiff::TiffError;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;
use units::LengthUnit;

use crate::content::{Content, Stopped, swap_doubt};
use crate::crs::{UnitError, of_geo_keys};
use crate::grid::{FromNorth, Grid, GridError, MOST_POSTS};

pub use write::write;

/// What the user tells about a GeoTIFF.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// The unit of places, where the file tells none.
    pub unit: Option<LengthUnit>,
    /// The unit of heights, where it is another.
    pub z_unit: Option<LengthUnit>,
}

/// Why a GeoTIFF was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GeoTiffError {
    /// A tag is not what a grid of heights has.
    #[error("{tag}: read {read}, expected {expected}")]
    Tag {
        /// The tag.
        tag: &'static str,
        /// What was read.
        read: String,
        /// What was expected.
        expected: &'static str,
    },
    /// Its units.
    #[error("coordinate system: {0}")]
    Unit(#[from] UnitError),
    /// What was read is no grid.
    #[error(transparent)]
    Grid(#[from] GridError),
}

/// The longest strip or tile, in bytes.
const LONGEST_CHUNK: usize = 256 << 20;
/// No way of compression known here packs cells closer: deflate makes one byte of 1032, LZW of 1400.
const MOST_CELLS_PER_BYTE: usize = 2048;
const RASTER_TYPE: u16 = 1025;
const IS_POINT: u16 = 2;

/// Whether the bytes begin as a TIFF.
pub fn is_tiff(bytes: &[u8]) -> bool {
    [&b"II\x2A\0"[..], b"MM\0\x2A", b"II\x2B\0", b"MM\0\x2B"]
        .iter()
        .any(|mark| bytes.starts_with(mark))
}

/// Reads a grid of heights; of one that is cut the rows before the cut are kept.
///
/// # Errors
/// [`GeoTiffError`] names the tag, what was read and what was expected.
pub fn read(bytes: &[u8], told: &Told) -> Result<Content, GeoTiffError> {
    let broken = |tag: &'static str, error: &TiffError, expected| GeoTiffError::Tag {
        tag,
        read: said(error),
        expected,
    };
    let limits = {
        let mut limits = Limits::default();
        limits.decoding_buffer_size = LONGEST_CHUNK;
        limits.intermediate_buffer_size = LONGEST_CHUNK;
        limits.ifd_value_size = bytes.len().min(LONGEST_CHUNK);
        limits
    };
    let decoder = Decoder::new(Cursor::new(bytes));
    let mut decoder =
        decoder.map_err(|error| broken("head", &error, "a TIFF"))?.with_limits(limits);
    let (columns, rows) =
        decoder.dimensions().map_err(|error| broken("size", &error, "columns and rows"))?;
    let [columns, rows] = [columns, rows].map(|n| n as usize);
    if columns.saturating_mul(rows) > MOST_POSTS {
        let n_posts = columns as f64 * rows as f64;
        return Err(GridError::TooMany { step_m: 1.0, n_posts, most: MOST_POSTS }.into());
    }
    if columns * rows > MOST_CELLS_PER_BYTE * bytes.len() {
        let read = format!("{columns} by {rows} cells");
        let expected = "no more cells than a file of this length can hold";
        return Err(GeoTiffError::Tag { tag: "size", read, expected });
    }
    let numbers = |decoder: &mut Decoder<Cursor<&[u8]>>, tag| {
        decoder.get_tag_f64_vec(tag).unwrap_or_default()
    };
    let keys = decoder.get_tag_u16_vec(Tag::GeoKeyDirectoryTag).unwrap_or_default();
    let samples =
        decoder.find_tag_unsigned::<u16>(Tag::SamplesPerPixel).ok().flatten().unwrap_or(1);
    if samples != 1 {
        let read = samples.to_string();
        return Err(GeoTiffError::Tag {
            tag: "SamplesPerPixel",
            read,
            expected: "one height a cell",
        });
    }
    let words = decoder.get_tag_ascii_string(Tag::GeoAsciiParamsTag).unwrap_or_default();
    let system = of_geo_keys(&keys, &words);
    let [unit, z_unit] = system.settled(told.unit, told.z_unit)?;
    let scale = numbers(&mut decoder, Tag::ModelPixelScaleTag);
    let tie = numbers(&mut decoder, Tag::ModelTiepointTag);
    let matrix = numbers(&mut decoder, Tag::ModelTransformationTag);
    let lay = Lay::of(&scale, &tie, &matrix)?;
    let is_point = keys.chunks_exact(4).any(|key| key[0] == RASTER_TYPE && key[3] == IS_POINT);
    let no_data = decoder.get_tag_ascii_string(Tag::GdalNodata).ok();
    let no_data = no_data.and_then(|text| text.trim_matches(['\0', ' ']).parse::<f64>().ok());
    let mut cells = FromNorth::new(columns);
    let stopped = read_cells(&mut decoder, [columns, rows], &mut cells, &|told| {
        (Some(told) != no_data && told.is_finite()).then(|| z_unit.to_metres(told))
    });
    if cells.heights_m.is_empty() {
        let read = stopped.map_or("no cells".to_owned(), |stopped| stopped.message);
        return Err(GeoTiffError::Tag { tag: "cells", read, expected: "heights" });
    }
    let n_rows = cells.heights_m.len() / columns;
    // The middle of a cell is half a step inside where a cell is an area.
    let half = if is_point { 0.0 } else { 0.5 };
    let x = lay.north_west[0] + half * lay.step[0];
    let y = lay.north_west[1] - (half + (n_rows - 1) as f64) * lay.step[1];
    let first_m = [x, y].map(|c| unit.to_metres(c));
    let step_m = lay.step.map(|c| unit.to_metres(c));
    let grid = Grid::new(first_m, step_m, columns, cells.southern_first())?;
    let swapped = swap_doubt(&mut grid.posts_m(), unit);
    let doubts = cells.doubt().into_iter().chain(swapped).collect();
    let datum = system.datum;
    Ok(Content { unit, datum, grid: Some(grid), doubts, stopped, ..Content::default() })
}

/// What a fault says; the end of the file by that name.
fn said(error: &TiffError) -> String {
    match error {
        TiffError::IoError(fault) if fault.kind() == ErrorKind::UnexpectedEof => {
            "the end of the file".to_owned()
        }
        other => other.to_string(),
    }
}

/// Where the first cell's corner (or middle) stands, and the steps east and south.
struct Lay {
    north_west: [f64; 2],
    step: [f64; 2],
}

impl Lay {
    fn of(scale: &[f64], tie: &[f64], matrix: &[f64]) -> Result<Self, GeoTiffError> {
        let refused = |tag, read: &[f64], expected| {
            Err(GeoTiffError::Tag { tag, read: format!("{read:?}"), expected })
        };
        let lay = match (scale, tie, matrix) {
            ([sx, sy, ..], [i, j, _, x, y, ..], _) => {
                Self { north_west: [x - i * sx, y + j * sy], step: [*sx, *sy] }
            }
            (_, _, [a, b, _, x, c, d, _, y, ..]) => {
                if *b != 0.0 || *c != 0.0 {
                    return refused("ModelTransformation", matrix, "a grid that is not turned");
                }
                Self { north_west: [*x, *y], step: [*a, -*d] }
            }
            _ => return refused("ModelPixelScale", scale, "place and step of the cells"),
        };
        if lay.step.iter().any(|step| !(step.is_finite() && *step > 0.0)) {
            return refused("ModelPixelScale", &lay.step, "steps above zero, rows from the north");
        }
        Ok(lay)
    }
}

/// Reads strips or tiles from the north; where one cannot be read, the rows before it stay.
fn read_cells(
    decoder: &mut Decoder<Cursor<&[u8]>>,
    [columns, rows]: [usize; 2],
    cells: &mut FromNorth,
    height_m: &dyn Fn(f64) -> Option<f64>,
) -> Option<Stopped> {
    let (wide, high) = decoder.chunk_dimensions();
    let [wide, high] = [wide, high].map(|n| n as usize);
    let stop = |row: usize, column: usize, message: String| {
        Some(Stopped { at: format!("row {}, column {}", row + 1, column + 1), message })
    };
    if wide == 0 || high == 0 {
        return stop(0, 0, "read strips or tiles of no size, expected some".to_owned());
    }
    let across = columns.div_ceil(wide);
    for chunk in 0..across * rows.div_ceil(high) {
        let (row, column) = (chunk / across * high, chunk % across * wide);
        let read = match decoder.read_chunk(chunk as u32) {
            Ok(read) => values(read),
            Err(error) => {
                cells.heights_m.truncate(row * columns);
                return stop(row, column, format!("read {}, expected {rows} rows", said(&error)));
            }
        };
        let (w, h) = decoder.chunk_data_dimensions(chunk as u32);
        let [w, h] = [w, h].map(|n| n as usize);
        let Some(read) = read.filter(|read| read.len() >= w * h) else {
            cells.heights_m.truncate(row * columns);
            return stop(
                row,
                column,
                "read cells of another kind or number, expected heights".to_owned(),
            );
        };
        if column == 0 {
            // Room grows with what is read, whatever size the head tells.
            cells.heights_m.resize((row + h).min(rows) * columns, f64::NAN);
        }
        for (r, line) in read.chunks_exact(w.max(1)).take(h.min(rows - row)).enumerate() {
            let start = (row + r) * columns + column;
            for (c, &told) in line.iter().take(columns - column).enumerate() {
                let height = height_m(told);
                cells.heights_m[start + c] = cells.sieved(told, height);
            }
        }
    }
    None
}

fn values(read: DecodingResult) -> Option<Vec<f64>> {
    fn wide<T: Into<f64> + Copy>(read: &[T]) -> Option<Vec<f64>> {
        Some(read.iter().map(|told| (*told).into()).collect())
    }
    match read {
        DecodingResult::U8(read) => wide(&read),
        DecodingResult::U16(read) => wide(&read),
        DecodingResult::U32(read) => wide(&read),
        DecodingResult::I8(read) => wide(&read),
        DecodingResult::I16(read) => wide(&read),
        DecodingResult::I32(read) => wide(&read),
        DecodingResult::F32(read) => wide(&read),
        DecodingResult::F64(read) => Some(read),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn grid() -> Grid {
        let mut heights: Vec<f64> = (0..60).map(|i| 100.0 + f64::from(i) * 0.125).collect();
        heights[17] = f64::NAN;
        Grid::new([500_000.25, 5_400_000.5], [0.5, 0.25], 10, heights).unwrap()
    }

    #[test]
    fn what_is_written_is_read_back_in_every_unit() {
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
            let content = read(&write(&grid(), unit), &Told::default()).unwrap();
            let back = content.grid.unwrap();
            assert_eq!((content.unit, back.size()), (unit, [10, 6]));
            for row in 0..6 {
                for column in 0..10 {
                    let [z, other] = [back.height_m(column, row), grid().height_m(column, row)];
                    assert_eq!(z.is_some(), other.is_some());
                    assert!((z.unwrap_or(0.0) - other.unwrap_or(0.0)).abs() < 1e-9);
                    let [p, q] = [back.post_m(column, row), grid().post_m(column, row)];
                    assert!(
                        (p[0] - q[0]).abs() < 1e-6 && (p[1] - q[1]).abs() < 1e-6,
                        "{p:?} {q:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_unit_told_against_the_file_and_no_tiff_are_refused() {
        let bytes = write(&grid(), LengthUnit::Metre);
        let told = Told { unit: Some(LengthUnit::Foot), z_unit: None };
        let error = read(&bytes, &told).unwrap_err().to_string();
        assert_eq!(error, "coordinate system: read the unit `m`, expected ft as told");
        assert!(is_tiff(&bytes));
        assert!(read(b"II*\0", &told).unwrap_err().to_string().contains("expected"));
    }

    #[test]
    fn rows_before_a_cut_are_kept() {
        let bytes = write(&grid(), LengthUnit::Metre);
        // The last row of cells stands at the end.
        let content = read(&bytes[..bytes.len() - 100], &Told::default()).unwrap();
        let kept = content.grid.unwrap();
        assert_eq!(kept.size(), [10, 4]);
        assert_eq!(kept.height_m(0, 3), grid().height_m(0, 5));
        assert!((kept.post_m(0, 3)[1] - grid().post_m(0, 5)[1]).abs() < 1e-6);
        assert!(content.stopped.unwrap().at.starts_with("row 5, column 1"));
    }

    #[test]
    fn a_width_that_no_file_of_this_length_holds_is_refused() {
        let mut bytes = write(&grid(), LengthUnit::Metre);
        // ImageWidth, one number of 32 bits.
        let is_entry = |at: &usize| bytes[*at..].starts_with(&[0, 1, 4, 0, 1, 0, 0, 0]);
        let at = (8..bytes.len() - 12).find(is_entry).unwrap();
        bytes[at + 8..at + 12].copy_from_slice(&18_000_000_u32.to_le_bytes());
        let error = read(&bytes, &Told::default()).unwrap_err().to_string();
        let said =
            "size: read 18000000 by 6 cells, expected no more cells than a file of this length";
        assert!(error.starts_with(said), "{error}");
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: 1000,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(4),
            ..ProptestConfig::default()
        })]

        #[test]
        fn a_broken_tiff_is_read_or_refused(
            flips in proptest::collection::vec((0.0..1.0_f64, 0..8_u8), 0..8),
            cut in 0.0..1.3_f64,
        ) {
            let mut bytes = write(&grid(), LengthUnit::Foot);
            for (share, bit) in flips {
                let at = (share * bytes.len() as f64) as usize;
                bytes[at] ^= 1 << bit;
            }
            bytes.truncate((cut * bytes.len() as f64) as usize);
            if let Err(error) = read(&bytes, &Told { unit: Some(LengthUnit::Foot), z_unit: None }) {
                prop_assert!(error.to_string().contains("expected"), "{error}");
            }
        }
    }
}
