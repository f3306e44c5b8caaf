//! A coarse grid over the faces of a surface, to find those near a given one.

use crate::{LatticePoint, Surface};

/// Faces sorted into square cells by the boxes around them.
#[derive(Clone, Debug)]
pub(crate) struct FaceGrid {
    bounds: [i32; 4],
    cell: i64,
    n_columns: i64,
    n_rows: i64,
    /// Where each cell's faces start in `faces`, and one past the last.
    starts: Vec<u32>,
    faces: Vec<u32>,
}

impl FaceGrid {
    /// Sorts some faces of a surface into about half as many cells as there are faces.
    pub(crate) fn new(surface: &Surface, sorted: &[u32]) -> Self {
        let bounds = Self::bounds(surface);
        let n_faces = sorted.len();
        let (width, height) = (extent(bounds[0], bounds[2]), extent(bounds[1], bounds[3]));
        let wanted = (n_faces / 2).max(1) as f64;
        let cell = ((width as f64 * height as f64 / wanted).sqrt().ceil() as i64)
            .max(width.max(height) / 2048 + 1)
            .max(1);
        let (n_columns, n_rows) = (width / cell + 1, height / cell + 1);
        let mut grid =
            Self { bounds, cell, n_columns, n_rows, starts: Vec::new(), faces: Vec::new() };
        let mut starts = vec![0u32; (n_columns * n_rows) as usize + 1];
        grid.each_cell(surface, sorted, |cell, _| starts[cell + 1] += 1);
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut ends = starts.clone();
        let mut faces = vec![0u32; starts[starts.len() - 1] as usize];
        grid.each_cell(surface, sorted, |cell, face| {
            faces[ends[cell] as usize] = face;
            ends[cell] += 1;
        });
        grid.starts = starts;
        grid.faces = faces;
        grid
    }

    /// The box around a surface: least x, least y, greatest x, greatest y.
    pub(crate) fn bounds(surface: &Surface) -> [i32; 4] {
        bounds_of(surface.vertices())
    }

    /// Whether the box around a triangle meets a box.
    pub(crate) fn touches(bounds: [i32; 4], corners: [LatticePoint; 3]) -> bool {
        let around = bounds_of(&corners);
        around[0] <= bounds[2]
            && around[2] >= bounds[0]
            && around[1] <= bounds[3]
            && around[3] >= bounds[1]
    }

    /// Faces whose cells the box around a triangle meets; one may come more than once.
    pub(crate) fn near(&self, corners: [LatticePoint; 3]) -> impl Iterator<Item = u32> + '_ {
        self.cells(bounds_of(&corners)).flat_map(|cell| {
            self.faces[self.starts[cell] as usize..self.starts[cell + 1] as usize].iter().copied()
        })
    }

    fn each_cell(&self, surface: &Surface, sorted: &[u32], mut put: impl FnMut(usize, u32)) {
        for &face in sorted {
            for cell in self.cells(bounds_of(&surface.corners(face))) {
                put(cell, face);
            }
        }
    }

    fn cells(&self, around: [i32; 4]) -> impl Iterator<Item = usize> + use<> {
        let (cell, n_columns) = (self.cell, self.n_columns);
        let column = |x: i32| (extent(self.bounds[0], x) / cell).clamp(0, n_columns - 1);
        let row = |y: i32| (extent(self.bounds[1], y) / cell).clamp(0, self.n_rows - 1);
        let (left, right) = (column(around[0]), column(around[2]));
        (row(around[1])..=row(around[3]))
            .flat_map(move |r| (left..=right).map(move |c| (r * n_columns + c) as usize))
    }
}

fn extent(from: i32, to: i32) -> i64 {
    i64::from(to) - i64::from(from)
}

fn bounds_of(points: &[LatticePoint]) -> [i32; 4] {
    points.iter().fold([i32::MAX, i32::MAX, i32::MIN, i32::MIN], |b, p| {
        [b[0].min(p.x), b[1].min(p.y), b[2].max(p.x), b[3].max(p.y)]
    })
}
