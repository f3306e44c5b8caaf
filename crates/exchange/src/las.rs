//! LAS 1.0 to 1.4 and LAZ: clouds of points.
//!
//! No number of a header is trusted: counts are bound by the bytes that are there, and of a file that
//! is cut the points before the cut are kept. Compressed points are read from front to back, without
//! the table of chunks at the end.
//!
//! # Source
//! ASPRS LAS 1.4 R16, header and point records.

mod header;
mod packed;
mod write;

#[cfg(test)]
mod tests;

use units::LengthUnit;

use crate::content::{Datum, Stopped, swap_doubt};
use crate::crs::UnitError;
use crate::points::doubts::TURNED;
use crate::watch::{CalledOff, Watch, tell};
use header::{Header, RECORDS};

pub use write::{write, write_packed};

/// The class of ground.
pub const GROUND: u8 = 2;

/// What the user tells about a cloud.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// The unit of places, where the file tells none.
    pub unit: Option<LengthUnit>,
    /// The unit of heights, where it is another.
    pub z_unit: Option<LengthUnit>,
    /// The classes to keep; all where none are told.
    pub classes: Option<Vec<u8>>,
}

/// A cloud of points.
#[derive(Clone, Debug, PartialEq)]
pub struct Cloud {
    /// Unit of places.
    pub unit: LengthUnit,
    z_unit: LengthUnit,
    /// What the file says its coordinates hang on.
    pub datum: Datum,
    /// Combined factor of the grid that places are told on: 1 where they are told on the ground.
    pub(crate) grid_factor: f64,
    /// Whether the file tells northing before easting, against its standard.
    is_turned: bool,
    scale: [f64; 3],
    offset: [f64; 3],
    records: Vec<[i32; 3]>,
    /// Points by class, before any were left out.
    pub classes: Vec<ClassCount>,
    /// What looks wrong, or was left out.
    pub doubts: Vec<String>,
    /// Where the file ends too early.
    pub stopped: Option<Stopped>,
}

/// How many points a class has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClassCount {
    /// The class; 2 is ground.
    pub class: u8,
    /// Its points.
    pub n_points: u64,
}

/// Why a cloud was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LasError {
    /// A field of the header or of a record beside it.
    #[error("byte {at}, {field}: read {read}, expected {expected}")]
    Header {
        /// Where the field stands.
        at: usize,
        /// Its name.
        field: &'static str,
        /// What was read.
        read: String,
        /// What was expected.
        expected: String,
    },
    /// Its units.
    #[error("coordinate system: {0}")]
    Unit(#[from] UnitError),
    /// No point is left.
    #[error("read {n_read} points and none of the classes told, expected one of {there}")]
    NoPoints {
        /// How many points were read.
        n_read: u64,
        /// The classes that are there.
        there: String,
    },
    /// The user called it off.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

/// Whether the bytes are LAS or LAZ.
pub fn is_las(bytes: &[u8]) -> bool {
    bytes.starts_with(b"LASF")
}

/// Points between two words to the watcher.
const STRIDE: usize = 1 << 16;

/// Reads a cloud; points marked as withheld are left out.
///
/// # Errors
/// [`LasError`] names the byte, what was read and what was expected; [`LasError::CalledOff`] when the
/// watcher says so.
pub fn read(bytes: &[u8], told: &Told, watch: &mut Watch<'_>) -> Result<Cloud, LasError> {
    let header = Header::read(bytes)?;
    let [unit, z_unit] = header.units.settled(told.unit, told.z_unit)?;
    let mut sieve = Sieve::new(&header, told);
    let stopped = match &header.packed {
        None => plain(bytes, &header, &mut sieve, watch)?,
        Some(items) => packed::read(bytes, &header, items, &mut sieve, watch)?,
    };
    let classes = sieve.class_counts();
    let n_read = sieve.n_read();
    if sieve.records.is_empty() {
        let there: Vec<String> = classes.iter().map(|count| count.class.to_string()).collect();
        return Err(match (n_read, &stopped) {
            (0, Some(stopped)) => LasError::Header {
                at: header.at_points,
                field: "points",
                read: stopped.message.replacen("read ", "", 1),
                expected: "at least one point".to_owned(),
            },
            (0, None) => LasError::Header {
                at: header.at_count,
                field: "number of points",
                read: "0".to_owned(),
                expected: "at least one point".to_owned(),
            },
            _ => LasError::NoPoints { n_read, there: there.join(", ") },
        });
    }
    let mut doubts = Vec::new();
    let mut say = |n: u64, what: &str| {
        if n > 0 {
            doubts.push(format!("{n} {what}"));
        }
    };
    say(sieve.n_withheld, "points marked as withheld are left out");
    say(sieve.n_outside, "points lie outside the bounds that the header tells");
    let mut cloud = Cloud {
        unit,
        z_unit,
        datum: header.units.datum,
        grid_factor: 1.0,
        is_turned: false,
        scale: header.scale,
        offset: header.offset,
        records: sieve.records,
        classes,
        doubts,
        stopped,
    };
    let swapped = swap_doubt(&mut cloud.points_m(), unit);
    cloud.doubts.extend(swapped);
    Ok(cloud)
}

impl Cloud {
    /// How many points there are.
    pub fn len(&self) -> usize {
        self.records.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.records.is_empty()
    }

    /// The cloud of a file that tells northing before easting, against its standard.
    pub(crate) fn turned(mut self) -> Self {
        self.is_turned = true;
        self.doubts.retain(|said| said != TURNED);
        self
    }

    /// Easting, northing and elevation of a point, in metres.
    pub fn at_m(&self, idx: usize) -> [f64; 3] {
        let record = self.records[idx];
        let told = |axis: usize| f64::from(record[axis]) * self.scale[axis] + self.offset[axis];
        let [first, second] = [0, 1].map(|axis| self.unit.to_metres(told(axis)) / self.grid_factor);
        let z = self.z_unit.to_metres(told(2));
        if self.is_turned { [second, first, z] } else { [first, second, z] }
    }

    /// All points, in the order of the file.
    pub fn points_m(&self) -> impl Iterator<Item = [f64; 3]> + '_ {
        (0..self.len()).map(|idx| self.at_m(idx))
    }
}

/// Reads records that are not compressed.
fn plain(
    bytes: &[u8],
    header: &Header,
    sieve: &mut Sieve,
    watch: &mut Watch<'_>,
) -> Result<Option<Stopped>, LasError> {
    let records = &bytes[header.at_points..];
    let n_there = records.len() / header.record_length;
    let n = (header.n_points).min(n_there as u64) as usize;
    sieve.records.reserve(n);
    for (nth, batch) in
        records[..n * header.record_length].chunks(header.record_length * STRIDE).enumerate()
    {
        tell(watch, "reading points", nth * STRIDE, n)?;
        batch.chunks_exact(header.record_length).for_each(|record| sieve.take(record));
    }
    Ok(((n as u64) < header.n_points).then(|| stopped(n as u64, header, "the end of the file")))
}

fn stopped(n_read: u64, header: &Header, read: &str) -> Stopped {
    Stopped {
        at: format!("point {}", n_read + 1),
        message: format!("read {read}, expected {} points", header.n_points),
    }
}

/// Keeps the points that are wanted.
struct Sieve {
    records: Vec<[i32; 3]>,
    is_wanted: [bool; 256],
    n_by_class: [u64; 256],
    n_withheld: u64,
    n_outside: u64,
    bounds: [[f64; 2]; 3],
    /// Byte and mask of the class, byte and mask of the withheld flag.
    class: (usize, u8),
    withheld: (usize, u8),
}

impl Sieve {
    fn new(header: &Header, told: &Told) -> Self {
        let mut is_wanted = [told.classes.is_none(); 256];
        for class in told.classes.iter().flatten() {
            is_wanted[usize::from(*class)] = true;
        }
        // Up to format 5 class and flags share a byte.
        let is_old = header.format < 6;
        Self {
            records: Vec::new(),
            is_wanted,
            n_by_class: [0; 256],
            n_withheld: 0,
            n_outside: 0,
            bounds: header.record_bounds(),
            class: if is_old { (15, 0x1F) } else { (16, 0xFF) },
            withheld: if is_old { (15, 0x80) } else { (15, 0x04) },
        }
    }

    #[inline]
    fn take(&mut self, record: &[u8]) {
        let class = record[self.class.0] & self.class.1;
        self.n_by_class[usize::from(class)] += 1;
        if record[self.withheld.0] & self.withheld.1 != 0 {
            self.n_withheld += 1;
        } else if self.is_wanted[usize::from(class)] {
            let c = |at: usize| {
                i32::from_le_bytes([record[at], record[at + 1], record[at + 2], record[at + 3]])
            };
            let place = [c(0), c(4), c(8)];
            let is_outside = (0..3).any(|axis| {
                let [low, high] = self.bounds[axis];
                f64::from(place[axis]) < low || f64::from(place[axis]) > high
            });
            self.n_outside += u64::from(is_outside);
            self.records.push(place);
        }
    }

    fn n_read(&self) -> u64 {
        self.n_by_class.iter().sum()
    }

    fn class_counts(&self) -> Vec<ClassCount> {
        let counts = (0..=u8::MAX).zip(self.n_by_class);
        counts
            .filter(|(_, n)| *n > 0)
            .map(|(class, n_points)| ClassCount { class, n_points })
            .collect()
    }
}

/// The shortest record of a format.
fn shortest(format: u8) -> Option<usize> {
    RECORDS.get(usize::from(format)).copied()
}
