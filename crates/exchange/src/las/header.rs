//! The header of a cloud and the records beside it.

use super::{LasError, shortest};
use crate::crs::{CrsUnits, of_geo_keys, of_wkt};

/// Lengths of the point records of formats 0 to 10.
pub(super) const RECORDS: [usize; 11] = [20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67];

/// What is needed of a header.
pub(super) struct Header {
    pub(super) format: u8,
    pub(super) record_length: usize,
    pub(super) at_points: usize,
    pub(super) at_count: usize,
    pub(super) n_points: u64,
    pub(super) scale: [f64; 3],
    pub(super) offset: [f64; 3],
    /// Lowest and highest place, as the header tells them.
    bounds: [[f64; 2]; 3],
    pub(super) units: CrsUnits,
    /// How points are compressed, if they are.
    pub(super) packed: Option<Vec<u8>>,
    /// Keys of the coordinate system and the text beside them.
    keys: Vec<u16>,
    words: String,
}

const SHORTEST: usize = 227;

impl Header {
    pub(super) fn read(bytes: &[u8]) -> Result<Self, LasError> {
        let fields = Fields { bytes };
        if !bytes.starts_with(b"LASF") {
            let read = String::from_utf8_lossy(&bytes[..bytes.len().min(4)]).into_owned();
            return Err(refused(0, "signature", format!("{read:?}"), "LASF"));
        }
        if bytes.len() < SHORTEST {
            let expected = format!("a header of {SHORTEST} bytes");
            return Err(refused(
                bytes.len(),
                "header",
                "the end of the file".to_owned(),
                &expected,
            ));
        }
        let [major, minor] = [bytes[24], bytes[25]];
        if major != 1 || minor > 4 {
            return Err(refused(24, "version", format!("{major}.{minor}"), "1.0 to 1.4"));
        }
        let header_size = usize::from(fields.u16(94));
        let at_points = fields.u32(96) as usize;
        if header_size < SHORTEST || header_size > bytes.len() {
            let expected = format!("{SHORTEST} to {}", bytes.len());
            return Err(refused(94, "header size", header_size.to_string(), &expected));
        }
        if at_points < header_size || at_points > bytes.len() {
            let expected = format!("{header_size} to {}", bytes.len());
            return Err(refused(96, "offset to points", at_points.to_string(), &expected));
        }
        let format = bytes[104] & 0x3F;
        let Some(least) = shortest(format) else {
            return Err(refused(104, "point format", format.to_string(), "0 to 10"));
        };
        let record_length = usize::from(fields.u16(105));
        if record_length < least {
            let expected = format!("{least} or more for point format {format}");
            return Err(refused(105, "record length", record_length.to_string(), &expected));
        }
        let (at_count, n_points) = fields.count(minor, header_size);
        let triple = |at: usize| [at, at + 8, at + 16].map(|at| fields.f64(at));
        let (scale, offset) = (triple(131), triple(155));
        check_scale(scale, offset)?;
        let bounds = [[187, 179], [203, 195], [219, 211]]
            .map(|[low, high]| [fields.f64(low), fields.f64(high)]);
        let mut header = Self {
            format,
            record_length,
            at_points,
            at_count,
            n_points,
            scale,
            offset,
            bounds,
            units: CrsUnits::default(),
            packed: None,
            keys: Vec::new(),
            words: String::new(),
        };
        header.read_records(&fields, header_size, minor);
        // A well-known text says more, and goes before.
        if header.units == CrsUnits::default() {
            header.units = of_geo_keys(&header.keys, &header.words);
        }
        let is_packed = bytes[104] & 0x80 != 0;
        if is_packed && header.packed.is_none() {
            let expected = "a record `laszip encoded` 22204 that says how points are compressed";
            return Err(refused(104, "point format", "compressed points".to_owned(), expected));
        }
        if !is_packed {
            header.packed = None;
        }
        Ok(header)
    }

    /// Bounds as whole records, a step wider; unbounded where the header tells none.
    pub(super) fn record_bounds(&self) -> [[f64; 2]; 3] {
        [0, 1, 2].map(|axis| {
            let record = |c: f64| (c - self.offset[axis]) / self.scale[axis];
            let [low, high] = self.bounds[axis].map(record);
            if low <= high { [low - 1.0, high + 1.0] } else { [f64::NEG_INFINITY, f64::INFINITY] }
        })
    }

    /// Reads what stands between header and points, and behind the points in 1.4.
    fn read_records(&mut self, fields: &Fields<'_>, header_size: usize, minor: u8) {
        let mut at = header_size;
        for _ in 0..fields.u32(100) {
            let Some(head) = fields.bytes.get(at..at + 54).filter(|_| at + 54 <= self.at_points)
            else {
                break;
            };
            let length = usize::from(u16::from_le_bytes([head[20], head[21]]));
            let end = (at + 54 + length).min(self.at_points);
            self.take_record(head, &fields.bytes[at + 54..end]);
            at = end;
        }
        if minor < 4 || header_size < 247 {
            return;
        }
        let mut at = fields.u64(235) as usize;
        for _ in 0..fields.u32(243).min(1000) {
            let Some(head) = at.checked_add(60).and_then(|end| fields.bytes.get(at..end)) else {
                break;
            };
            let mut length = [0; 8];
            length.copy_from_slice(&head[20..28]);
            let length = u64::from_le_bytes(length) as usize;
            let end = (at + 60).saturating_add(length).min(fields.bytes.len());
            self.take_record(head, &fields.bytes[at + 60..end]);
            at = end;
        }
    }

    fn take_record(&mut self, head: &[u8], data: &[u8]) {
        let user: &[u8] = head[2..18].split(|byte| *byte == 0).next().unwrap_or(&[]);
        let id = u16::from_le_bytes([head[18], head[19]]);
        match (user, id) {
            (b"laszip encoded", 22204) => self.packed = Some(data.to_vec()),
            (b"LASF_Projection", 34735) => {
                let pairs = data.chunks_exact(2);
                self.keys = pairs.map(|b| u16::from_le_bytes([b[0], b[1]])).collect();
            }
            (b"LASF_Projection", 34737) => self.words = String::from_utf8_lossy(data).into_owned(),
            (b"LASF_Projection", 2112) => {
                let text = String::from_utf8_lossy(data);
                let units = of_wkt(text.trim_end_matches('\0'));
                if units.plan.is_some() || units.is_geographic {
                    self.units = units;
                }
            }
            _ => {}
        }
    }
}

fn check_scale(scale: [f64; 3], offset: [f64; 3]) -> Result<(), LasError> {
    const OFFSETS: std::ops::RangeInclusive<f64> = -1e9..=1e9;
    const SCALES: std::ops::RangeInclusive<f64> = 1e-9..=1e3;
    for axis in 0..3 {
        if !SCALES.contains(&scale[axis]) {
            let expected = "a number above zero, such as 0.001";
            return Err(refused(131 + 8 * axis, "scale", scale[axis].to_string(), expected));
        }
        if !OFFSETS.contains(&offset[axis]) {
            let expected = "a number within a thousand million";
            return Err(refused(155 + 8 * axis, "offset", offset[axis].to_string(), expected));
        }
    }
    Ok(())
}

fn refused(at: usize, field: &'static str, read: String, expected: &str) -> LasError {
    LasError::Header { at, field, read, expected: expected.to_owned() }
}

/// Little-endian fields of bytes that are there.
struct Fields<'a> {
    bytes: &'a [u8],
}

impl Fields<'_> {
    fn array<const N: usize>(&self, at: usize) -> [u8; N] {
        let mut out = [0; N];
        if let Some(bytes) = self.bytes.get(at..at + N) {
            out.copy_from_slice(bytes);
        }
        out
    }

    fn u16(&self, at: usize) -> u16 {
        u16::from_le_bytes(self.array(at))
    }

    fn u32(&self, at: usize) -> u32 {
        u32::from_le_bytes(self.array(at))
    }

    fn u64(&self, at: usize) -> u64 {
        u64::from_le_bytes(self.array(at))
    }

    fn f64(&self, at: usize) -> f64 {
        f64::from_le_bytes(self.array(at))
    }

    /// How many points there are to be, and where that stands.
    fn count(&self, minor: u8, header_size: usize) -> (usize, u64) {
        if minor >= 4 && header_size >= 375 && self.u64(247) > 0 {
            (247, self.u64(247))
        } else {
            (107, u64::from(self.u32(107)))
        }
    }
}
