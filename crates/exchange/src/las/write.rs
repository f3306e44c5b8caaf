//! Writing clouds, LAS 1.2 format 0.

use units::LengthUnit;

use super::GROUND;
use crate::content::in_unit;
use crate::crs::geo_keys;

/// Points as LAS 1.2, format 0, class ground, to the tenth of a millimetre, in `unit`.
///
/// Points are metres of the world's frame. Places that spread wider than whole numbers of the step
/// reach are told in longer steps: millimetres from 200 km on.
pub fn write(points_m: &[[f64; 3]], unit: LengthUnit) -> Vec<u8> {
    const HEADER: usize = 227;
    const RECORD: usize = 20;
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
    let keys = geo_keys(unit);
    let at_points = HEADER + 54 + 2 * keys.len();
    let mut out = vec![0; at_points];
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
    put(100, &1_u32.to_le_bytes());
    put(105, &(RECORD as u16).to_le_bytes());
    put(107, &(told.len() as u32).to_le_bytes());
    put(111, &(told.len() as u32).to_le_bytes());
    for axis in 0..3 {
        put(131 + 8 * axis, &scale.to_le_bytes());
        put(155 + 8 * axis, &offset[axis].to_le_bytes());
        let [low, high] = range[axis];
        put(179 + 16 * axis, &high.to_le_bytes());
        put(187 + 16 * axis, &low.to_le_bytes());
    }
    put(HEADER + 2, b"LASF_Projection");
    put(HEADER + 18, &34735_u16.to_le_bytes());
    put(HEADER + 20, &((2 * keys.len()) as u16).to_le_bytes());
    for (nth, key) in keys.iter().enumerate() {
        put(HEADER + 54 + 2 * nth, &key.to_le_bytes());
    }
    out.reserve(told.len() * RECORD);
    for place in &told {
        for axis in 0..3 {
            let record = ((place[axis] - offset[axis]) / scale).round() as i32;
            out.extend(record.to_le_bytes());
        }
        // Intensity; return 1 of 1; class; scan angle, user data, source.
        out.extend([0, 0, 0b0000_1001, GROUND, 0, 0, 0, 0]);
    }
    out
}
