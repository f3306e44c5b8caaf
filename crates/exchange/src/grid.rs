//! Heights at even steps.

use ground::{Locator, Surface};
use site::Frame;

use crate::content::{out_of_range, world_m};
use crate::tin::Tin;

/// Heights at posts at even steps east and north; a post may lack its height.
#[derive(Clone, Debug)]
pub struct Grid {
    first_m: [f64; 2],
    step_m: [f64; 2],
    n: [usize; 2],
    /// Row by row from the south; what is not a number lacks its height.
    heights_m: Vec<f64>,
}

/// Why heights make no grid.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GridError {
    /// A step is none.
    #[error("read a step of {0} m, expected a length above zero")]
    Step(f64),
    /// Fewer than two posts a side, or another number of heights than posts.
    #[error(
        "read {columns} by {rows} posts and {n_heights} heights, expected two a side and one height each"
    )]
    Count {
        /// Columns.
        columns: usize,
        /// Rows.
        rows: usize,
        /// Heights.
        n_heights: usize,
    },
    /// A corner lies beyond what a site can have.
    #[error("read a corner at {x} m east, {y} m north, expected {expected}")]
    Corner {
        /// East.
        x: f64,
        /// North.
        y: f64,
        /// What was expected.
        expected: &'static str,
    },
    /// More posts than a grid can have.
    #[error("a step of {step_m} m makes {n_posts:.0} posts, expected {most} at most")]
    TooMany {
        /// The step.
        step_m: f64,
        /// Posts that it makes.
        n_posts: f64,
        /// The most there can be.
        most: usize,
    },
    /// No surface covers any post.
    #[error("the surface covers none of the posts, expected a shorter step")]
    Empty,
}

/// The most posts of a grid.
pub(crate) const MOST_POSTS: usize = 200_000_000;

impl Grid {
    /// A grid from its south-western post, its steps east and north, and heights row by row from the
    /// south; what is not a number lacks its height.
    ///
    /// # Errors
    /// [`GridError`] for steps, counts and places that no grid has.
    pub fn new(
        first_m: [f64; 2],
        step_m: [f64; 2],
        columns: usize,
        heights_m: Vec<f64>,
    ) -> Result<Self, GridError> {
        if let Some(step) = step_m.into_iter().find(|step| !(step.is_finite() && *step > 0.0)) {
            return Err(GridError::Step(step));
        }
        let rows = heights_m.len() / columns.max(1);
        if columns < 2 || rows < 2 || rows * columns != heights_m.len() {
            return Err(GridError::Count { columns, rows, n_heights: heights_m.len() });
        }
        let grid = Self { first_m, step_m, n: [columns, rows], heights_m };
        for [x, y] in grid.corners_m() {
            if let Some(expected) = out_of_range([x, y, 0.0]) {
                return Err(GridError::Corner { x, y, expected });
            }
        }
        Ok(grid)
    }

    /// The grid with its places in plan so many times as far from the origin.
    pub(crate) fn stretched(self, by: f64) -> Self {
        let [first_m, step_m] = [self.first_m, self.step_m].map(|at| at.map(|c| c * by));
        Self { first_m, step_m, ..self }
    }

    /// A surface sampled at whole multiples of a step.
    ///
    /// # Errors
    /// [`GridError`] when the step makes too many posts or none on the surface.
    pub fn of(surface: &Surface, frame: &Frame, step_m: f64) -> Result<Self, GridError> {
        if !(step_m.is_finite() && step_m > 0.0) {
            return Err(GridError::Step(step_m));
        }
        let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        for vertex in surface.vertices() {
            let world = world_m(frame, surface.lattice().metres(*vertex));
            for (range, c) in range.iter_mut().zip(world) {
                *range = [range[0].min(c), range[1].max(c)];
            }
        }
        let first = range.map(|[low, _]| (low / step_m).ceil());
        let last = range.map(|[_, high]| (high / step_m).floor());
        let sides = [0, 1].map(|axis| (last[axis] - first[axis] + 1.0).max(0.0));
        let n_posts = sides[0] * sides[1];
        if n_posts > MOST_POSTS as f64 {
            return Err(GridError::TooMany { step_m, n_posts, most: MOST_POSTS });
        }
        let locator = Locator::new(surface);
        let [columns, rows] = sides.map(|side| side as usize);
        let mut heights_m = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let at = [column as f64 + first[0], row as f64 + first[1]].map(|c| c * step_m);
                let local = [at[0] - frame.origin_m[0], at[1] - frame.origin_m[1]];
                heights_m.push(locator.elevation(local).unwrap_or(f64::NAN));
            }
        }
        if heights_m.iter().all(|z| z.is_nan()) {
            return Err(GridError::Empty);
        }
        Self::new(first.map(|c| c * step_m), [step_m; 2], columns, heights_m)
    }

    /// Columns and rows.
    pub fn size(&self) -> [usize; 2] {
        self.n
    }

    /// Steps east and north, in metres.
    pub fn step_m(&self) -> [f64; 2] {
        self.step_m
    }

    /// The height of a post, in metres; rows count from the south.
    pub fn height_m(&self, column: usize, row: usize) -> Option<f64> {
        let is_there = column < self.n[0] && row < self.n[1];
        is_there.then(|| self.heights_m[row * self.n[0] + column]).filter(|z| !z.is_nan())
    }

    /// Where a post stands.
    pub fn post_m(&self, column: usize, row: usize) -> [f64; 2] {
        [
            self.first_m[0] + self.step_m[0] * column as f64,
            self.first_m[1] + self.step_m[1] * row as f64,
        ]
    }

    /// The four posts at the corners.
    pub fn corners_m(&self) -> [[f64; 2]; 4] {
        let [columns, rows] = self.n;
        [
            self.post_m(0, 0),
            self.post_m(columns - 1, 0),
            self.post_m(columns - 1, rows - 1),
            self.post_m(0, rows - 1),
        ]
    }

    /// The posts that have a height, row by row from the south.
    pub fn posts_m(&self) -> impl Iterator<Item = [f64; 3]> + '_ {
        self.heights_m.iter().enumerate().filter(|(_, z)| !z.is_nan()).map(|(idx, z)| {
            let [x, y] = self.post_m(idx % self.n[0], idx / self.n[0]);
            [x, y, *z]
        })
    }

    /// Triangles between posts: two a cell, parted along the diagonal whose ends are closer in
    /// height. Where one post of four lacks its height there is one triangle, where two do there is
    /// none: nothing is invented.
    pub fn tin(&self, name: &str) -> Tin {
        let mut number = vec![u32::MAX; self.heights_m.len()];
        let mut vertices_m = Vec::new();
        for (idx, z) in self.heights_m.iter().enumerate().filter(|(_, z)| !z.is_nan()) {
            number[idx] = vertices_m.len() as u32;
            let [x, y] = self.post_m(idx % self.n[0], idx / self.n[0]);
            vertices_m.push([x, y, *z]);
        }
        let mut faces = Vec::new();
        let [columns, rows] = self.n;
        for row in 0..rows - 1 {
            for column in 0..columns - 1 {
                let at = row * columns + column;
                // Counter-clockwise from the south-west.
                let ring = [at, at + 1, at + columns + 1, at + columns];
                let z = ring.map(|idx| self.heights_m[idx]);
                let [a, b, c, d] = ring.map(|idx| number[idx]);
                match z.map(f64::is_nan) {
                    [false, false, false, false] if (z[0] - z[2]).abs() <= (z[1] - z[3]).abs() => {
                        faces.extend([[a, b, c], [a, c, d]]);
                    }
                    [false, false, false, false] => faces.extend([[a, b, d], [b, c, d]]),
                    [true, false, false, false] => faces.push([b, c, d]),
                    [false, true, false, false] => faces.push([a, c, d]),
                    [false, false, true, false] => faces.push([a, b, d]),
                    [false, false, false, true] => faces.push([a, b, c]),
                    _ => {}
                }
            }
        }
        Tin { name: name.to_owned(), vertices_m, faces, ..Tin::default() }
    }
}

impl PartialEq for Grid {
    /// Posts that both lack their heights are equal.
    fn eq(&self, other: &Self) -> bool {
        let is_same = |(a, b): (&f64, &f64)| a == b || (a.is_nan() && b.is_nan());
        (self.first_m, self.step_m, self.n) == (other.first_m, other.step_m, other.n)
            && self.heights_m.iter().zip(&other.heights_m).all(is_same)
    }
}

/// Heights of a file, row by row from the north, with what lacks a height taken out.
pub(crate) struct FromNorth {
    pub(crate) columns: usize,
    pub(crate) heights_m: Vec<f64>,
    /// How many heights no ground has, and one of them.
    odd: Option<(usize, f64)>,
}

impl FromNorth {
    pub(crate) fn new(columns: usize) -> Self {
        Self { columns, heights_m: Vec::new(), odd: None }
    }

    /// A height in metres as it stands, or that there is none.
    pub(crate) fn sieved(&mut self, told: f64, height_m: Option<f64>) -> f64 {
        match height_m {
            Some(z) if out_of_range([0.0, 0.0, z]).is_none() => z,
            Some(_) if !told.is_nan() => {
                let (n, first) = self.odd.unwrap_or((0, told));
                self.odd = Some((n + 1, first));
                f64::NAN
            }
            _ => f64::NAN,
        }
    }

    /// Heights row by row from the south.
    pub(crate) fn southern_first(&self) -> Vec<f64> {
        self.heights_m.chunks(self.columns.max(1)).rev().flatten().copied().collect()
    }

    pub(crate) fn doubt(&self) -> Option<String> {
        self.odd.map(|(n, first)| {
            format!("{n} cells hold heights that no ground has, such as {first}: taken as without height")
        })
    }
}

#[cfg(test)]
mod tests {
    use ground::query::plan_area_m2;
    use units::LengthUnit;

    use super::*;
    use crate::content::Content;

    #[test]
    fn cells_without_a_height_have_no_triangle() {
        let mut heights: Vec<f64> = (0..20).map(|i| f64::from(i % 5)).collect();
        heights[7] = f64::NAN;
        let grid = Grid::new([500_000.5, 10.25], [2.0, 3.0], 5, heights).unwrap();
        assert_eq!(grid.size(), [5, 4]);
        assert_eq!((grid.height_m(2, 1), grid.height_m(3, 1)), (None, Some(3.0)));
        let tin = grid.tin("g");
        let content = Content { grid: Some(grid.clone()), ..Content::default() };
        let frame = content.frame().unwrap();
        let (surface, made) = tin.surface(&frame).unwrap();
        assert_eq!(made, crate::tin::Made::default());
        // Twelve cells of 6 m2; four around the post are halved.
        assert_eq!(plan_area_m2(&surface), 60.0);
        let again = Grid::of(&surface, &frame, 1.0).unwrap();
        assert_eq!(again.post_m(0, 0), [500_001.0, 11.0]);
        assert_eq!(again.height_m(1, 0), Some(0.75));
        assert_eq!(again.height_m(3, 2), None);
        assert_eq!(content.unit, LengthUnit::Metre);
    }

    #[test]
    fn what_is_no_grid_is_refused() {
        assert_eq!(Grid::new([0.0; 2], [0.0, 1.0], 2, vec![0.0; 4]), Err(GridError::Step(0.0)));
        assert!(matches!(
            Grid::new([0.0; 2], [1.0; 2], 3, vec![0.0; 8]),
            Err(GridError::Count { .. })
        ));
        assert!(matches!(
            Grid::new([1e9, 0.0], [1.0; 2], 2, vec![0.0; 4]),
            Err(GridError::Corner { .. })
        ));
    }
}
