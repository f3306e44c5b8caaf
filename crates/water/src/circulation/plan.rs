//! The wet cells of a pond, with a dry border around, and the open sides between them.

use super::{CirculationError, PondGrid};

/// A grid with a border of dry cells, so that every cell has four neighbours.
pub(super) struct Plan {
    /// Side of a cell, metres.
    pub(super) cell_m: f64,
    pub(super) manning_n: f64,
    /// Cells of a padded row.
    pub(super) width: usize,
    n_columns: usize,
    /// Depth of each padded cell; 0 where it is dry or lies apart from the largest water.
    pub(super) depths_m: Vec<f64>,
    /// The wet cells, padded, along the shorter side first: neighbours stand near each other.
    pub(super) wet: Vec<usize>,
    /// The number of each padded cell among the wet ones.
    numbers: Vec<Option<usize>>,
}

impl Plan {
    /// The largest water of a grid.
    pub(super) fn of(grid: &PondGrid) -> Result<Self, CirculationError> {
        let n_columns = grid.n_columns.max(1);
        let n_rows = grid.depths_m.len().div_ceil(n_columns);
        let width = n_columns + 2;
        let mut plan = Self {
            cell_m: grid.cell_m,
            manning_n: grid.manning_n,
            width,
            n_columns,
            depths_m: vec![0.0; width * (n_rows + 2)],
            wet: Vec::new(),
            numbers: Vec::new(),
        };
        for (cell, &depth_m) in grid.depths_m.iter().enumerate() {
            let padded = plan.padded(cell);
            plan.depths_m[padded] = depth_m;
        }
        let largest = plan.largest().ok_or(CirculationError::Dry)?;
        let mut is_kept = vec![false; plan.depths_m.len()];
        largest.into_iter().for_each(|cell| is_kept[cell] = true);
        for (depth_m, is_kept) in plan.depths_m.iter_mut().zip(&is_kept) {
            if !is_kept {
                *depth_m = 0.0;
            }
        }
        plan.number_all(n_rows + 2);
        Ok(plan)
    }

    fn number_all(&mut self, height: usize) {
        let by_columns = height < self.width;
        let (outer, inner) = if by_columns { (self.width, height) } else { (height, self.width) };
        let cells = (0..outer).flat_map(|o| (0..inner).map(move |i| (o, i)));
        let width = self.width;
        let cells = cells.map(|(o, i)| if by_columns { i * width + o } else { o * width + i });
        self.wet = cells.filter(|&cell| self.depths_m[cell] > 0.0).collect();
        self.numbers = vec![None; self.depths_m.len()];
        for (number, &cell) in self.wet.iter().enumerate() {
            self.numbers[cell] = Some(number);
        }
    }

    /// The cells of the largest water that hangs together.
    fn largest(&self) -> Option<Vec<usize>> {
        let mut seen = vec![false; self.depths_m.len()];
        let mut best: Option<Vec<usize>> = None;
        for first in 0..self.depths_m.len() {
            if seen[first] || self.depths_m[first] <= 0.0 {
                continue;
            }
            let (mut cells, mut next) = (vec![first], 0);
            seen[first] = true;
            while let Some(&cell) = cells.get(next) {
                next += 1;
                for beside in self.beside(cell) {
                    if !seen[beside] && self.depths_m[beside] > 0.0 {
                        seen[beside] = true;
                        cells.push(beside);
                    }
                }
            }
            if best.as_ref().is_none_or(|best| cells.len() > best.len()) {
                best = Some(cells);
            }
        }
        best
    }

    /// The four neighbours of a padded cell that is wet: west, east, south, north.
    pub(super) fn beside(&self, cell: usize) -> [usize; 4] {
        [cell - 1, cell + 1, cell - self.width, cell + self.width]
    }

    /// The padded cell of a cell of the grid.
    pub(super) fn padded(&self, cell: usize) -> usize {
        (cell / self.n_columns + 1) * self.width + cell % self.n_columns + 1
    }

    /// The number of a cell of the grid among the wet ones.
    pub(super) fn number(&self, cell: usize) -> Option<usize> {
        self.numbers[self.padded(cell)]
    }

    /// The number of a padded cell among the wet ones.
    pub(super) fn number_padded(&self, cell: usize) -> Option<usize> {
        self.numbers[cell]
    }

    pub(super) fn n_padded(&self) -> usize {
        self.depths_m.len()
    }

    /// Depth at the side between two cells that stand next to each other; 0 where it is a shore.
    pub(super) fn between_m(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (self.depths_m[a], self.depths_m[b]);
        if a > 0.0 && b > 0.0 { 0.5 * (a + b) } else { 0.0 }
    }

    /// How far apart the numbers of neighbours are at most.
    pub(super) fn band(&self) -> usize {
        let reach = |(number, &cell): (usize, &usize)| {
            let beside = self.beside(cell);
            beside.into_iter().filter_map(|b| self.numbers[b]).map(|b| b.abs_diff(number)).max()
        };
        self.wet.iter().enumerate().filter_map(reach).max().unwrap_or(0)
    }

    /// The wet cell nearest to a place, metres from the grid's south-west corner.
    pub(super) fn nearest(&self, at_m: [f64; 2]) -> Option<usize> {
        let apart = |cell: usize| {
            let middle =
                [cell % self.width, cell / self.width].map(|i| (i as f64 - 0.5) * self.cell_m);
            let [x, y] = [0, 1].map(|k| middle[k] - at_m[k]);
            x * x + y * y
        };
        let finite = at_m.iter().all(|at| at.is_finite());
        let all = self.wet.iter().copied().filter(|_| finite);
        all.min_by(|&a, &b| apart(a).total_cmp(&apart(b)))
    }
}
