//! Linear equations whose unknowns hang on near ones alone, solved straight on.
//!
//! # Source
//! G. H. Golub, C. F. Van Loan, "Matrix Computations", 4th edition (2013), section 4.3: elimination
//! within a band, without exchanges: the matrices here have large diagonals.

/// A square matrix that is nothing beyond `band` places from its diagonal.
#[derive(Clone, Debug)]
pub(super) struct Banded {
    n: usize,
    band: usize,
    /// Row by row, `2 * band + 1` each.
    rows: Vec<f64>,
}

/// A matrix taken apart, ready for any right side.
#[derive(Clone, Debug)]
pub(super) struct Factored(Banded);

impl Banded {
    pub(super) fn new(n: usize, band: usize) -> Self {
        Self { n, band, rows: vec![0.0; n * (2 * band + 1)] }
    }

    /// Adds to what stands in a row and a column.
    pub(super) fn add(&mut self, row: usize, column: usize, value: f64) {
        let at = self.at(row, column);
        self.rows[at] += value;
    }

    fn at(&self, row: usize, column: usize) -> usize {
        row * (2 * self.band + 1) + column + self.band - row
    }

    /// Takes it apart into a lower and an upper triangle.
    pub(super) fn factored(mut self) -> Factored {
        let width = 2 * self.band + 1;
        for k in 0..self.n {
            let last = (k + self.band).min(self.n.saturating_sub(1));
            let (top, below) = self.rows.split_at_mut((k + 1) * width);
            let pivot_row = &top[k * width..];
            let pivot = pivot_row[self.band];
            let n_right = last - k;
            for row in k + 1..=last {
                let start = (row - k - 1) * width + k + self.band - row;
                let own = &mut below[start..=start + n_right];
                let share = own[0] / pivot;
                own[0] = share;
                let upper = &pivot_row[self.band + 1..=self.band + n_right];
                own[1..].iter_mut().zip(upper).for_each(|(own, upper)| *own -= share * upper);
            }
        }
        Factored(self)
    }
}

impl Factored {
    /// Puts the solution in the place of the right side.
    pub(super) fn solve(&self, right: &mut [f64]) {
        let Banded { n, band, rows } = &self.0;
        let (n, band, width) = (*n, *band, 2 * band + 1);
        for row in 0..n {
            let first = row.saturating_sub(band);
            let lower = &rows[row * width + first + band - row..row * width + band];
            let sum: f64 = lower.iter().zip(&right[first..row]).map(|(a, x)| a * x).sum();
            right[row] -= sum;
        }
        for row in (0..n).rev() {
            let last = (row + band).min(n - 1);
            let upper = &rows[row * width + band + 1..=row * width + band + last - row];
            let sum: f64 = upper.iter().zip(&right[row + 1..=last]).map(|(a, x)| a * x).sum();
            right[row] = (right[row] - sum) / rows[row * width + band];
        }
    }
}
