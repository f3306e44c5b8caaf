//! Writing clouds, LAS 1.2 format 0, as they are or packed as LAZ.

use std::io::Cursor;

use laz::{LasZipCompressor, LazItemRecordBuilder, LazVlr};
use units::LengthUnit;

use super::GROUND;
use crate::content::in_unit;
use crate::crs::geo_keys;

/// Length of the header.
const HEADER: usize = 227;
/// Length of what stands in front of each record beside it.
const RECORD_HEAD: usize = 54;
/// Length of a point.
const POINT: u16 = 20;
/// The mark of compressed points beside the number of their format.
const PACKED: u8 = 0x80;

/// Points as LAS 1.2, format 0, class ground, to the tenth of a millimetre, in `unit`.
///
/// Points are metres of the world's frame. Places that spread wider than whole numbers of the step
/// reach are told in longer steps: millimetres from 200 km on.
pub fn write(points_m: &[[f64; 3]], unit: LengthUnit) -> Vec<u8> {
    let steps = Steps::of(points_m, unit);
    let mut out = steps.head(&[keys(unit)], 0);
    out.extend(steps.records());
    out
}

/// Points as [`write`] gives them, compressed as LAZ: the same points are read back.
pub fn write_packed(points_m: &[[f64; 3]], unit: LengthUnit) -> Vec<u8> {
    const TO_MEMORY: &str = "writing to memory does not fail";
    let steps = Steps::of(points_m, unit);
    let items = LazItemRecordBuilder::default_for_point_format_id(0, 0);
    let vlr = LazVlr::from_laz_items(items.expect("format 0 has its items"));
    let mut told = Vec::new();
    vlr.write_to(&mut told).expect(TO_MEMORY);
    let packing = Record { user: b"laszip encoded", id: 22204, data: told };
    let head = steps.head(&[keys(unit), packing], PACKED);
    let mut out = Cursor::new(head);
    out.set_position(out.get_ref().len() as u64);
    let mut packer = LasZipCompressor::new(out, vlr).expect(TO_MEMORY);
    packer.compress_many(&steps.records()).expect(TO_MEMORY);
    packer.done().expect(TO_MEMORY);
    packer.into_inner().into_inner()
}

/// A record beside the header.
struct Record {
    user: &'static [u8],
    id: u16,
    data: Vec<u8>,
}

fn keys(unit: LengthUnit) -> Record {
    let data = geo_keys(unit).iter().flat_map(|key| key.to_le_bytes()).collect();
    Record { user: b"LASF_Projection", id: 34735, data }
}

/// Points as whole steps from an offset.
struct Steps {
    told: Vec<[f64; 3]>,
    range: [[f64; 2]; 3],
    offset: [f64; 3],
    scale: f64,
}

impl Steps {
    fn of(points_m: &[[f64; 3]], unit: LengthUnit) -> Self {
        let told: Vec<[f64; 3]> = points_m.iter().map(|at| at.map(|c| in_unit(c, unit))).collect();
        let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
        for place in &told {
            for (range, c) in range.iter_mut().zip(place) {
                *range = [range[0].min(*c), range[1].max(*c)];
            }
        }
        if told.is_empty() {
            range = [[0.0; 2]; 3];
        }
        let offset = range.map(|[low, _]| low.floor());
        let widest = range.iter().map(|[low, high]| high - low.floor()).fold(0.0, f64::max);
        let steps = [1e-4, 1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0];
        let scale = steps.into_iter().find(|step| widest / step < 2e9).unwrap_or(1000.0);
        Self { told, range, offset, scale }
    }

    /// Header and the records beside it.
    fn head(&self, beside: &[Record], packed: u8) -> Vec<u8> {
        let at_points =
            HEADER + beside.iter().map(|record| RECORD_HEAD + record.data.len()).sum::<usize>();
        let n = self.told.len() as u32;
        let mut out = vec![0; HEADER];
        let mut put = |at: usize, bytes: &[u8]| out[at..at + bytes.len()].copy_from_slice(bytes);
        put(0, b"LASF");
        put(24, &[1, 2]);
        put(26, b"Tarnwright");
        put(58, b"Tarnwright");
        // A day and a year that are plainly none: libraries read no clock.
        put(90, &1_u16.to_le_bytes());
        put(92, &1970_u16.to_le_bytes());
        put(94, &(HEADER as u16).to_le_bytes());
        put(96, &(at_points as u32).to_le_bytes());
        put(100, &(beside.len() as u32).to_le_bytes());
        put(104, &[packed]);
        put(105, &POINT.to_le_bytes());
        put(107, &n.to_le_bytes());
        put(111, &n.to_le_bytes());
        for axis in 0..3 {
            put(131 + 8 * axis, &self.scale.to_le_bytes());
            put(155 + 8 * axis, &self.offset[axis].to_le_bytes());
            let [low, high] = self.range[axis];
            put(179 + 16 * axis, &high.to_le_bytes());
            put(187 + 16 * axis, &low.to_le_bytes());
        }
        for record in beside {
            let mut head = [0; RECORD_HEAD];
            head[2..2 + record.user.len()].copy_from_slice(record.user);
            head[18..20].copy_from_slice(&record.id.to_le_bytes());
            head[20..22].copy_from_slice(&(record.data.len() as u16).to_le_bytes());
            out.extend(head);
            out.extend(&record.data);
        }
        out
    }

    fn records(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(self.told.len() * usize::from(POINT));
        for place in &self.told {
            for (c, offset) in place.iter().zip(self.offset) {
                let step = ((c - offset) / self.scale).round() as i32;
                out.extend(step.to_le_bytes());
            }
            // Intensity; return 1 of 1; class; scan angle, user data, source.
            out.extend([0, 0, 0b0000_1001, GROUND, 0, 0, 0, 0]);
        }
        out
    }
}
