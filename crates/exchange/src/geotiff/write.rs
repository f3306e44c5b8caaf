//! Writing GeoTIFF: one strip a row, 64-bit floats, not compressed.

use units::LengthUnit;

use crate::content::in_unit;
use crate::crs::geo_keys;
use crate::grid::Grid;

/// Stands for a height that is not there.
const NO_DATA: f64 = -9999.0;

const SHORT: u16 = 3;
const LONG: u16 = 4;
const ASCII: u16 = 2;
const DOUBLE: u16 = 12;

/// A grid as GeoTIFF, in `unit`; posts are the middles of cells.
pub fn write(grid: &Grid, unit: LengthUnit) -> Vec<u8> {
    let [columns, rows] = grid.size();
    let [dx, dy] = grid.step_m().map(|c| in_unit(c, unit));
    let [x, y] = grid.post_m(0, rows - 1).map(|c| in_unit(c, unit));
    let row_bytes = columns * 8;
    let doubles = |values: &[f64]| values.iter().flat_map(|v| v.to_le_bytes()).collect::<Vec<u8>>();
    let shorts = |values: &[u16]| values.iter().flat_map(|v| v.to_le_bytes()).collect::<Vec<u8>>();
    let longs = |values: &[u32]| values.iter().flat_map(|v| v.to_le_bytes()).collect::<Vec<u8>>();
    let tie = [0.0, 0.0, 0.0, x - dx / 2.0, y + dy / 2.0, 0.0];
    let mut entries = vec![
        Entry { tag: 256, kind: LONG, data: longs(&[columns as u32]) },
        Entry { tag: 257, kind: LONG, data: longs(&[rows as u32]) },
        Entry { tag: 258, kind: SHORT, data: shorts(&[64]) },
        Entry { tag: 259, kind: SHORT, data: shorts(&[1]) },
        Entry { tag: 262, kind: SHORT, data: shorts(&[1]) },
        Entry { tag: STRIP_OFFSETS, kind: LONG, data: vec![0; 4 * rows] },
        Entry { tag: 277, kind: SHORT, data: shorts(&[1]) },
        Entry { tag: 278, kind: LONG, data: longs(&[1]) },
        Entry { tag: 279, kind: LONG, data: longs(&vec![row_bytes as u32; rows]) },
        Entry { tag: 339, kind: SHORT, data: shorts(&[3]) },
        Entry { tag: 33550, kind: DOUBLE, data: doubles(&[dx, dy, 0.0]) },
        Entry { tag: 33922, kind: DOUBLE, data: doubles(&tie) },
        Entry { tag: 34735, kind: SHORT, data: shorts(&geo_keys(unit)) },
        Entry { tag: 42113, kind: ASCII, data: b"-9999\0".to_vec() },
    ];
    let head = 8 + 2 + 12 * entries.len() + 4;
    let beside: usize = entries.iter().map(Entry::beside).sum();
    let at_cells = head + beside;
    let offsets: Vec<u32> = (0..rows).map(|row| (at_cells + row * row_bytes) as u32).collect();
    for entry in entries.iter_mut().filter(|entry| entry.tag == STRIP_OFFSETS) {
        entry.data = longs(&offsets);
    }
    let mut out = Vec::with_capacity(at_cells + rows * row_bytes);
    out.extend(b"II\x2A\0");
    out.extend(8_u32.to_le_bytes());
    out.extend((entries.len() as u16).to_le_bytes());
    let mut at = head;
    for entry in &entries {
        out.extend(entry.tag.to_le_bytes());
        out.extend(entry.kind.to_le_bytes());
        out.extend(entry.count().to_le_bytes());
        if entry.beside() == 0 {
            let mut inline = entry.data.clone();
            inline.resize(4, 0);
            out.extend(inline);
        } else {
            out.extend((at as u32).to_le_bytes());
            at += entry.beside();
        }
    }
    out.extend([0; 4]);
    for entry in entries.iter().filter(|entry| entry.beside() > 0) {
        let end = out.len() + entry.beside();
        out.extend(&entry.data);
        out.resize(end, 0);
    }
    for row in (0..rows).rev() {
        for column in 0..columns {
            let z = grid.height_m(column, row).map_or(NO_DATA, |z| in_unit(z, unit));
            out.extend(z.to_le_bytes());
        }
    }
    out
}

const STRIP_OFFSETS: u16 = 273;

/// A tag and its values.
struct Entry {
    tag: u16,
    kind: u16,
    data: Vec<u8>,
}

impl Entry {
    fn count(&self) -> u32 {
        let size = match self.kind {
            SHORT => 2,
            LONG => 4,
            DOUBLE => 8,
            _ => 1,
        };
        (self.data.len() / size) as u32
    }

    /// Bytes that stand beside the directory: none where the values fit into it.
    fn beside(&self) -> usize {
        if self.data.len() <= 4 { 0 } else { self.data.len().next_multiple_of(2) }
    }
}
