//! A grid over points or segments in plan, to find those that lie near each other.

use crate::LatticePoint;

/// How near to a segment a cell counts as touched, in steps.
const MARGIN: i64 = 8;

/// Things sorted into the square cells that they touch.
#[derive(Clone, Debug)]
pub(crate) struct PlanGrid {
    least: LatticePoint,
    /// A cell is two to this power steps wide.
    cell_bits: u32,
    n_columns: i64,
    n_rows: i64,
    starts: Vec<u32>,
    things: Vec<u32>,
}

impl Default for PlanGrid {
    fn default() -> Self {
        Self::over([])
    }
}

impl PlanGrid {
    /// An empty grid over some points, with about one cell for each two or four.
    pub(crate) fn over(points: impl IntoIterator<Item = LatticePoint>) -> Self {
        let far = LatticePoint { x: i32::MAX, y: i32::MAX };
        let near = LatticePoint { x: i32::MIN, y: i32::MIN };
        let (mut least, mut most, mut n_points) = (far, near, 0);
        for p in points {
            least = LatticePoint { x: least.x.min(p.x), y: least.y.min(p.y) };
            most = LatticePoint { x: most.x.max(p.x), y: most.y.max(p.y) };
            n_points += 1;
        }
        if n_points == 0 {
            (least, most) = (LatticePoint::default(), LatticePoint::default());
        }
        let width = i64::from(most.x) - i64::from(least.x);
        let height = i64::from(most.y) - i64::from(least.y);
        let wanted = (n_points / 2).max(1) as f64;
        let cell = ((width as f64 * height as f64 / wanted).sqrt().ceil() as i64)
            .max(width.max(height) / 4096 + 1)
            .max(2);
        let cell_bits = cell.ilog2() + u32::from(!cell.unsigned_abs().is_power_of_two());
        let (n_columns, n_rows) = ((width >> cell_bits) + 1, (height >> cell_bits) + 1);
        Self { least, cell_bits, n_columns, n_rows, starts: Vec::new(), things: Vec::new() }
    }

    /// Sorts `n` segments, a point being a segment of no length, into the cells that they touch.
    pub(crate) fn fill(&mut self, n: usize, ends: impl Fn(usize) -> [LatticePoint; 2]) {
        let mut starts = vec![0u32; self.n_cells() + 1];
        for i in 0..n {
            self.each_cell(ends(i), |cell| starts[cell + 1] += 1);
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut things = vec![0u32; starts[starts.len() - 1] as usize];
        for i in 0..n {
            self.each_cell(ends(i), |cell| {
                things[next[cell] as usize] = i as u32;
                next[cell] += 1;
            });
        }
        self.starts = starts;
        self.things = things;
    }

    /// How many cells there are.
    pub(crate) fn n_cells(&self) -> usize {
        (self.n_columns * self.n_rows) as usize
    }

    /// The cell that a point lies in; the nearest for one beyond the grid.
    #[inline]
    pub(crate) fn cell_at(&self, p: LatticePoint) -> u32 {
        let cell = |v: i32, least: i32| (i64::from(v) - i64::from(least)) >> self.cell_bits;
        let column = cell(p.x, self.least.x).clamp(0, self.n_columns - 1);
        let row = cell(p.y, self.least.y).clamp(0, self.n_rows - 1);
        (row * self.n_columns + column) as u32
    }

    /// The things, cell by cell; those in several cells come several times.
    pub(crate) fn things(&self) -> &[u32] {
        &self.things
    }

    /// Calls `see` for each cell that lies near a segment, with where its things are.
    pub(crate) fn along(
        &self,
        ends: [LatticePoint; 2],
        mut see: impl FnMut(std::ops::Range<usize>),
    ) {
        self.each_cell(ends, |cell| {
            see(self.starts[cell] as usize..self.starts[cell + 1] as usize);
        });
    }

    /// Calls `see` with the things of each cell.
    pub(crate) fn each_group(&self, mut see: impl FnMut(&[u32])) {
        for range in self.starts.windows(2) {
            see(&self.things[range[0] as usize..range[1] as usize]);
        }
    }

    /// The cells that lie within [`MARGIN`] of a segment, row by row.
    fn each_cell(&self, [p, q]: [LatticePoint; 2], mut put: impl FnMut(usize)) {
        let (low, high) = if p.y <= q.y { (p, q) } else { (q, p) };
        let row = |y: i64| (y >> self.cell_bits).clamp(-1, self.n_rows);
        let column = |x: i64| (x >> self.cell_bits).clamp(-1, self.n_columns);
        let local = |p: LatticePoint| {
            (i64::from(p.x) - i64::from(self.least.x), i64::from(p.y) - i64::from(self.least.y))
        };
        let ((x0, y0), (x1, y1)) = (local(low), local(high));
        let (first, last) = (row(y0 - MARGIN).max(0), row(y1 + MARGIN).min(self.n_rows - 1));
        for r in first..=last {
            // Where the segment runs while it is in this row, widened by the margin.
            let at = |y: i64| {
                if y1 == y0 {
                    return x0;
                }
                let share = (y.clamp(y0, y1) - y0) as f64 / (y1 - y0) as f64;
                x0 + (share * (x1 - x0) as f64) as i64
            };
            let (left, right) = if y1 == y0 || first == last {
                (x0.min(x1), x0.max(x1))
            } else {
                let ends = [r, r + 1].map(|r| r << self.cell_bits);
                let ends = (at(ends[0] - MARGIN), at(ends[1] + MARGIN));
                (ends.0.min(ends.1), ends.0.max(ends.1))
            };
            let columns = (
                column(left - MARGIN - 1).max(0),
                column(right + MARGIN + 1).min(self.n_columns - 1),
            );
            for c in columns.0..=columns.1 {
                put((r * self.n_columns + c) as usize);
            }
        }
    }
}
