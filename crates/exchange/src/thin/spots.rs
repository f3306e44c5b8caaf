//! Distinct places of a cloud, neighbours beside one another.

use ground::LatticePoint;
use site::Frame;

use super::{Points, ThinError, ThinReport, frame_lattice, holds};
use crate::tin::snapped;

/// Distinct places along a Z-shaped curve, and their heights.
pub(super) struct Spots {
    pub(super) at: Vec<LatticePoint>,
    pub(super) z_m: Vec<f64>,
    pub(super) report: ThinReport,
}

impl Spots {
    pub(super) fn new(
        points: &Points<'_>,
        near: [[f64; 2]; 2],
        frame: &Frame,
    ) -> Result<Self, ThinError> {
        let lattice = frame_lattice(frame)?;
        let mut report = ThinReport::default();
        let mut at = Vec::with_capacity(points.n);
        let mut z_m = Vec::with_capacity(points.n);
        for idx in 0..points.n {
            let [x, y, z] = (points.at_m)(idx);
            if !holds(near, [x, y, z]) {
                report.n_far_off += 1;
                continue;
            }
            let place = if z.is_finite() { [x, y] } else { [f64::NAN; 2] };
            let spot = snapped(frame, lattice, place);
            at.push(spot.map_err(|fault| ThinError::Point { point: idx + 1, fault })?);
            z_m.push(z);
        }
        let mut spots =
            Self { at: Vec::with_capacity(at.len()), z_m: Vec::with_capacity(at.len()), report };
        spots.gather(&at, &z_m);
        Ok(spots)
    }

    /// Takes the places in order, one of each.
    fn gather(&mut self, at: &[LatticePoint], z_m: &[f64]) {
        let mut order = order(at);
        for run in order.chunk_by_mut(|a, b| a >> 32 == b >> 32) {
            let spot = |key: u64| key as u32 as usize;
            if run.len() > 1 {
                // A cell of the curve is wider than the lattice.
                run.sort_by_key(|&key| (at[spot(key)], spot(key)));
            }
            for same in run.chunk_by(|&a, &b| at[spot(a)] == at[spot(b)]) {
                let first = spot(same[0]);
                self.at.push(at[first]);
                if let [_] = same {
                    self.z_m.push(z_m[first]);
                    continue;
                }
                let heights = same.iter().map(|&key| z_m[spot(key)]);
                let low = heights.clone().fold(f64::INFINITY, f64::min);
                let high = heights.clone().fold(f64::NEG_INFINITY, f64::max);
                let rise: f64 = heights.map(|z| z - low).sum();
                self.z_m.push(low + rise / same.len() as f64);
                self.report.n_at_one_place += same.len() - 1;
                self.report.widest_at_one_place_m =
                    self.report.widest_at_one_place_m.max(high - low);
            }
        }
    }
}

/// Keys of the places, sorted: the curve's cell above, the place's index below.
fn order(at: &[LatticePoint]) -> Vec<u64> {
    let low = at.iter().fold([i32::MAX; 2], |[x, y], p| [x.min(p.x), y.min(p.y)]);
    let high = at.iter().fold([i32::MIN; 2], |[x, y], p| [x.max(p.x), y.max(p.y)]);
    let widest = (0..2).map(|axis| i64::from(high[axis]) - i64::from(low[axis])).max().unwrap_or(0);
    // The curve has 2^16 cells a side.
    let shift = (64 - (widest.max(1) as u64).leading_zeros()).saturating_sub(16);
    let cell = |c: i32, low: i32| ((i64::from(c) - i64::from(low)) as u64) >> shift;
    let key = |(idx, p): (usize, &LatticePoint)| {
        (spread(cell(p.x, low[0])) | spread(cell(p.y, low[1])) << 1) << 32 | idx as u64
    };
    let mut order: Vec<u64> = at.iter().enumerate().map(key).collect();
    order.sort_unstable();
    order
}

/// Sixteen bits with a gap behind each.
fn spread(bits: u64) -> u64 {
    let bits = (bits | bits << 8) & 0x00FF_00FF;
    let bits = (bits | bits << 4) & 0x0F0F_0F0F;
    let bits = (bits | bits << 2) & 0x3333_3333;
    (bits | bits << 1) & 0x5555_5555
}
