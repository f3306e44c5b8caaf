//! Where the drawn ground is another than before: what lies elsewhere need not be made anew.
//!
//! ```text
//!     before          now            cells that differ
//!    +---+---+      +---+---+      . . . . .
//!    |  /|\  |      |  /|   |      . . # # .
//!    | / | \ |      | / |   |      . . # # .
//!    +---+---+      +---+---+      . . . . .
//! ```

use std::collections::HashSet;

use ground::Surface;

use super::terrain::corner_places;
use super::threads;
use crate::frame::Extent;

/// Side of the cells by which places are told, metres; larger on a large ground.
const CELL_M: f64 = 0.5;

/// Most cells along a side.
const MOST_CELLS: f64 = 512.0;

/// The cells in plan that hold a face which the other ground has not.
pub(crate) struct Changed {
    low_m: [f64; 2],
    cell_m: f64,
    n: [usize; 2],
    differs: Vec<bool>,
}

/// All that a face is drawn from, and its heights between its corners.
type Key = ([[i32; 2]; 3], [u64; 3], [u64; 3], [i32; 2], [u32; 2]);

impl Changed {
    /// Where one ground differs from another; none when they lie on different lattices.
    pub(crate) fn between(before: &Surface, now: &Surface) -> Option<Self> {
        if before.lattice() != now.lattice() {
            return None;
        }
        let mut extent = Extent::of(now)?;
        let other = Extent::of(before)?;
        extent.take_in(other.low);
        extent.take_in(other.high);
        let mut changed = Self::nothing(extent);
        if !std::ptr::eq(before, now) {
            let (gone, come) = threads::both(|| missing(before, now), || missing(now, before));
            gone.into_iter().for_each(|face| changed.mark(before, face));
            come.into_iter().for_each(|face| changed.mark(now, face));
        }
        Some(changed)
    }

    /// Whether any ground differs nearer to a box in plan than `reach_m`.
    pub(crate) fn is_near(&self, extent: Extent, reach_m: f64) -> bool {
        let low = self.cell([extent.low[0] - reach_m, extent.low[1] - reach_m]);
        let high = self.cell([extent.high[0] + reach_m, extent.high[1] + reach_m]);
        (low[1]..=high[1]).any(|row| {
            let start = row * self.n[0];
            self.differs[start + low[0]..=start + high[0]].contains(&true)
        })
    }

    fn nothing(extent: Extent) -> Self {
        let side_m = [0, 1].map(|axis| extent.high[axis] - extent.low[axis]);
        let cell_m = CELL_M.max(side_m[0].max(side_m[1]) / MOST_CELLS);
        let n = side_m.map(|side_m| (side_m / cell_m) as usize + 1);
        let low_m = [extent.low[0], extent.low[1]];
        Self { low_m, cell_m, n, differs: vec![false; n[0] * n[1]] }
    }

    /// Marks the cells that the box around a face touches.
    fn mark(&mut self, surface: &Surface, face: u32) {
        let places = corner_places(surface, face);
        let mut extent = Extent::nothing();
        places.into_iter().for_each(|place| extent.take_in(place));
        let [low, high] =
            [extent.low, extent.high].map(|[east, north, _]| self.cell([east, north]));
        for row in low[1]..=high[1] {
            let start = row * self.n[0];
            self.differs[start + low[0]..=start + high[0]].fill(true);
        }
    }

    /// The cell of a place, or the nearest one.
    fn cell(&self, at_m: [f64; 2]) -> [usize; 2] {
        [0, 1].map(|axis| {
            let cell = (at_m[axis] - self.low_m[axis]) / self.cell_m;
            (cell.max(0.0) as usize).min(self.n[axis] - 1)
        })
    }
}

/// The faces of one surface that another has not.
fn missing(of: &Surface, other: &Surface) -> Vec<u32> {
    let faces = |surface: &Surface| 0..surface.faces().len() as u32;
    let known: HashSet<Key> = faces(other).map(|face| key(other, face)).collect();
    faces(of).filter(|face| !known.contains(&key(of, *face))).collect()
}

/// A face by what it is, whatever numbers it has in its surface.
fn key(surface: &Surface, face: u32) -> Key {
    let (places, heights) = (surface.corners(face), surface.corner_heights(face));
    let first = (0..3).min_by_key(|i| (places[*i].x, places[*i].y)).unwrap_or(0);
    let plane = surface.plane(face);
    let tag = surface.faces()[face as usize].tag;
    (
        std::array::from_fn(|i| places[(first + i) % 3]).map(|p: ground::LatticePoint| [p.x, p.y]),
        std::array::from_fn(|i| heights[(first + i) % 3].to_bits()),
        [plane.z, plane.rise[0], plane.rise[1]].map(f64::to_bits),
        [plane.anchor.x, plane.anchor.y],
        [tag.owner, tag.part],
    )
}

#[cfg(test)]
mod tests {
    use site::WorkKind;

    use super::*;

    #[test]
    fn a_deeper_floor_differs_where_the_pond_lies_and_nowhere_else() {
        let site = crate::demo::rear_garden();
        let mut deeper = site.clone();
        let mut at_m = [0.0; 2];
        for work in &mut deeper.works {
            if let WorkKind::Basin(basin) = &mut work.kind {
                basin.rings.last_mut().unwrap().depth_m += 0.05;
                at_m = basin.outline.points[0];
            }
        }
        let [before, now] = [&site, &deeper].map(|site| design::evaluate(site).finished.unwrap());
        let changed = Changed::between(&before, &now).unwrap();
        let around = |at: [f64; 2]| Extent { low: [at[0], at[1], 0.0], high: [at[0], at[1], 0.0] };
        assert!(changed.is_near(around(at_m), 2.0));
        let whole = Extent::of(&now).unwrap();
        assert!(changed.is_near(whole, 0.0));
        let corners = [[whole.low[0], whole.low[1]], [whole.high[0], whole.high[1]]];
        assert!(corners.iter().any(|corner| !changed.is_near(around(*corner), 1.0)));
        let same = Changed::between(&now, &now.clone()).unwrap();
        assert!(!same.is_near(whole, 1.0), "a copy differs nowhere");
    }
}
