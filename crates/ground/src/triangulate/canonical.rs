//! The order of vertices that depends on nothing but the vertices themselves.
//!
//! They follow a Hilbert curve over their own bounding box, so that neighbours in plan are
//! neighbours in memory, and a mesh comes out the same whatever order its input had.

use crate::LatticePoint;

/// Bits of the Hilbert key per axis: the curve runs through 2^16 by 2^16 cells.
pub(super) const KEY_BITS: u32 = 16;

/// Bits of the key that one pass of the sort looks at.
const PASS_BITS: u32 = 11;

/// Below this many places a plain sort is faster than passes over counters.
const FEW: usize = 2_000;

/// Places in canonical order: along the Hilbert curve, and within a cell from west to east, then
/// from south to north.
#[derive(Clone, Debug, Default)]
pub(super) struct Order {
    /// The indices of the places, in order. Equal places stand next to each other.
    pub(super) indices: Vec<u32>,
    /// The cell of each, in the same order; the cell of a quarter of the box is a prefix.
    pub(super) cells: Vec<u32>,
}

/// Puts places in canonical order.
pub(super) fn order(places: &[LatticePoint]) -> Order {
    let Some(frame) = Frame::around(places) else { return Order::default() };
    let keyed = places.iter().zip(0_u64..);
    let mut keyed: Vec<u64> = keyed.map(|(&p, idx)| u64::from(frame.cell(p)) << 32 | idx).collect();
    sort_by_cell(&mut keyed);
    let cells: Vec<u32> = keyed.iter().map(|key| (key >> 32) as u32).collect();
    let mut indices: Vec<u32> = keyed.iter().map(|&key| key as u32).collect();
    let mut start = 0;
    while start < cells.len() {
        let mut end = start + 1;
        while end < cells.len() && cells[end] == cells[start] {
            end += 1;
        }
        if end - start > 1 {
            indices[start..end].sort_unstable_by_key(|&i| places[i as usize]);
        }
        start = end;
    }
    Order { indices, cells }
}

/// Sorts by the upper half of the keys: least significant digits first, each pass keeping the order
/// of the one before.
fn sort_by_cell(keyed: &mut Vec<u64>) {
    if keyed.len() < FEW {
        keyed.sort_unstable();
        return;
    }
    let mut sorted = vec![0; keyed.len()];
    for shift in (32..64).step_by(PASS_BITS as usize) {
        let digit = |key: u64| (key >> shift) as usize & ((1 << PASS_BITS) - 1);
        let mut starts = [0_usize; 1 << PASS_BITS];
        keyed.iter().for_each(|&key| starts[digit(key)] += 1);
        let mut sum = 0;
        for start in &mut starts {
            sum += std::mem::replace(start, sum);
        }
        for &key in keyed.iter() {
            let start = &mut starts[digit(key)];
            sorted[*start] = key;
            *start += 1;
        }
        std::mem::swap(keyed, &mut sorted);
    }
}

/// The square of cells that the curve runs through.
struct Frame {
    min: LatticePoint,
    shift: u32,
}

impl Frame {
    fn around(points: &[LatticePoint]) -> Option<Self> {
        let first = *points.first()?;
        let (mut min, mut max) = (first, first);
        for p in points {
            min = LatticePoint { x: min.x.min(p.x), y: min.y.min(p.y) };
            max = LatticePoint { x: max.x.max(p.x), y: max.y.max(p.y) };
        }
        let extent = max.x.abs_diff(min.x).max(max.y.abs_diff(min.y));
        let bits = u32::BITS - extent.leading_zeros();
        Some(Self { min, shift: bits.saturating_sub(KEY_BITS) })
    }

    fn cell(&self, p: LatticePoint) -> u32 {
        hilbert(p.x.abs_diff(self.min.x) >> self.shift, p.y.abs_diff(self.min.y) >> self.shift)
    }
}

/// How far along the Hilbert curve the cell (`x`, `y`) lies, for coordinates of 16 bits.
///
/// The curve's state after each pair of bits is one of four ways to lay it into a square: as it is
/// or with the axes exchanged, facing one way or the other.
///
/// # Source
/// D. Hilbert, "Über die stetige Abbildung einer Linie auf ein Flächenstück", Mathematische Annalen
/// 38 (1891).
fn hilbert(x: u32, y: u32) -> u32 {
    let (mut key, mut exchanged, mut reversed) = (0, 0_u32, 0_u32);
    for bit in (0..KEY_BITS).rev() {
        let (x, y) = (x >> bit & 1 ^ reversed, y >> bit & 1 ^ reversed);
        let swap = (x ^ y) & exchanged;
        let (x, y) = (x ^ swap, y ^ swap);
        key = key << 2 | ((3 * x) ^ y);
        let low = 1 ^ y;
        reversed ^= low & x;
        exchanged ^= low;
    }
    key
}

#[cfg(test)]
mod tests {
    use super::{KEY_BITS, hilbert};

    #[test]
    fn the_curve_visits_every_cell_of_a_corner_and_steps_to_a_neighbour() {
        let side = 32_u32;
        let mut cells: Vec<(u32, u32, u32)> =
            (0..side).flat_map(|x| (0..side).map(move |y| (hilbert(x, y), x, y))).collect();
        cells.sort_unstable();
        assert_eq!(cells.last().map(|c| c.0), Some(side * side - 1));
        for pair in cells.windows(2) {
            assert_eq!(pair[1].0, pair[0].0 + 1);
            assert_eq!(pair[1].1.abs_diff(pair[0].1) + pair[1].2.abs_diff(pair[0].2), 1);
        }
        assert_eq!(hilbert((1 << KEY_BITS) - 1, 0), u32::MAX);
    }
}
