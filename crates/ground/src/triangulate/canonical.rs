//! The order of vertices and faces that depends on nothing but the mesh itself.
//!
//! Vertices follow a Hilbert curve over their own bounding box, so that neighbours in plan are
//! neighbours in memory; faces start at their first vertex and follow in vertex order.

use crate::LatticePoint;

/// Bits of the Hilbert key per axis.
const KEY_BITS: u32 = 16;

/// The indices of `points` in canonical order: along the Hilbert curve, then west to east, then
/// south to north. Equal places stay next to each other.
pub(super) fn order(points: &[LatticePoint]) -> Vec<u32> {
    let Some(frame) = Frame::around(points) else { return Vec::new() };
    let mut keyed: Vec<(u32, LatticePoint, u32)> =
        points.iter().zip(0_u32..).map(|(&p, idx)| (frame.key(p), p, idx)).collect();
    keyed.sort_unstable();
    keyed.into_iter().map(|(_, _, idx)| idx).collect()
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

    fn key(&self, p: LatticePoint) -> u32 {
        hilbert(p.x.abs_diff(self.min.x) >> self.shift, p.y.abs_diff(self.min.y) >> self.shift)
    }
}

/// How far along the Hilbert curve the cell (`x`, `y`) lies.
///
/// # Source
/// D. Hilbert, "Über die stetige Abbildung einer Linie auf ein Flächenstück", Mathematische Annalen
/// 38 (1891); the loop is the usual rotate-and-reflect form.
fn hilbert(mut x: u32, mut y: u32) -> u32 {
    const SIDE: u32 = 1 << KEY_BITS;
    let mut key = 0;
    let mut half = SIDE / 2;
    while half > 0 {
        let (right, up) = (u32::from(x & half != 0), u32::from(y & half != 0));
        key += half * half * ((3 * right) ^ up);
        if up == 0 {
            if right == 1 {
                x = SIDE - 1 - x;
                y = SIDE - 1 - y;
            }
            std::mem::swap(&mut x, &mut y);
        }
        half /= 2;
    }
    key
}
