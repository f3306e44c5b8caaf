//! Which face lies under a place, and how high and how steep the ground is there.

use std::borrow::Borrow;

use super::side::{self, Lies, height_at, lies, next};
use crate::{LatticePoint, Surface};

/// Finds the ground under places, thousands of times a frame.
///
/// Holds the surface by reference or by `Arc`, beside a grid of the faces that is refined where they
/// crowd. A place is taken at the nearest lattice place, and whether a face holds that is exact.
///
/// Where several faces meet in the place, the one that stands highest there counts (on a step, the
/// upper ground); among equals, the first.
#[derive(Clone, Debug)]
pub struct Locator<S> {
    surface: S,
    grid: Grid,
}

/// How the ground falls away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// Drop over run along the steepest way, zero or above.
    pub grade: f64,
    /// Where down is: clockwise from north in radians, below two pi; none on level ground.
    pub bearing_rad: Option<f64>,
}

/// How a face falls, by its plane.
pub fn fall(surface: &Surface, face_idx: u32) -> Fall {
    let plane = surface.plane(face_idx);
    let [east, north] = plane.rise.map(|rise| -rise);
    let bearing_rad = (east != 0.0 || north != 0.0).then(|| {
        let from_north = libm::atan2(east, north);
        let around = std::f64::consts::TAU;
        let bearing = if from_north < 0.0 { from_north + around } else { from_north };
        // A bearing a hair west of north rounds up to a whole turn, which is north.
        if bearing < around { bearing } else { 0.0 }
    });
    Fall { grade: plane.grade(surface.lattice()), bearing_rad }
}

impl<S: Borrow<Surface>> Locator<S> {
    /// Sorts the faces of a surface into a grid.
    pub fn new(surface: S) -> Self {
        let whole: &Surface = surface.borrow();
        let faces = (0..whole.faces().len() as u32).collect::<Vec<_>>();
        let grid = Grid::new(whole, &faces, bounds(whole), DEPTH);
        Self { surface, grid }
    }

    /// The surface that is asked.
    pub fn surface(&self) -> &Surface {
        self.surface.borrow()
    }

    /// The face under a place, or none outside the surface.
    pub fn face_at(&self, local_m: [f64; 2]) -> Option<u32> {
        self.highest_at(self.surface().lattice().snap(local_m).ok()?)
    }

    /// The ground's height under a place, in metres, or none outside the surface.
    pub fn elevation(&self, local_m: [f64; 2]) -> Option<f64> {
        let face_idx = self.face_at(local_m)?;
        let plane = self.surface().plane(face_idx);
        let per_m = side::steps_per_m(self.surface().lattice());
        Some(plane.at_offset(
            local_m[0] * per_m - f64::from(plane.anchor.x),
            local_m[1] * per_m - f64::from(plane.anchor.y),
        ))
    }

    /// The grade of the ground under a place (drop over run), or none outside the surface.
    pub fn slope(&self, local_m: [f64; 2]) -> Option<f64> {
        self.fall_at(local_m).map(|fall| fall.grade)
    }

    /// How the ground falls under a place, or none outside the surface.
    pub fn fall_at(&self, local_m: [f64; 2]) -> Option<Fall> {
        self.face_at(local_m).map(|face_idx| fall(self.surface(), face_idx))
    }

    /// The faces in the cells that the segment from `a` to `b` crosses, each once, in order.
    pub(crate) fn near_segment(&self, a: LatticePoint, b: LatticePoint) -> Vec<u32> {
        let mut near = Vec::new();
        self.grid.gather(a, b, &mut near);
        near.sort_unstable();
        near.dedup();
        near
    }

    /// The faces of the cell around a lattice place.
    pub(crate) fn near(&self, p: LatticePoint) -> &[u32] {
        self.grid.near(p)
    }

    fn highest_at(&self, p: LatticePoint) -> Option<u32> {
        highest_at(self.surface(), self.near(p).iter().copied(), p)
    }
}

/// Which of the `faces` that hold `p` stands highest there; the first among equals.
pub(crate) fn highest_at(
    surface: &Surface,
    faces: impl Iterator<Item = u32>,
    p: LatticePoint,
) -> Option<u32> {
    let mut best: Option<(u32, f64)> = None;
    for face_idx in faces {
        match lies(surface, face_idx, p) {
            Lies::Outside => {}
            Lies::Inside => return Some(face_idx),
            on_rim => {
                let z = height_at(surface, face_idx, p, on_rim);
                if best.is_none_or(|(_, highest)| z > highest) {
                    best = Some((face_idx, z));
                }
            }
        }
    }
    best.map(|(face_idx, _)| face_idx)
}

/// A cell with more faces than this gets a grid of its own.
const CROWD: usize = 48;

/// How often grids nest: each nesting divides a crowd by its own number, so more never pays.
const DEPTH: u32 = 4;

/// Square cells over a rectangle of the plan, each with the faces that may touch it.
#[derive(Clone, Debug)]
struct Grid {
    low: LatticePoint,
    cell: i64,
    columns: i64,
    rows: i64,
    /// Where each cell's faces start among `faces`.
    starts: Vec<u32>,
    faces: Vec<u32>,
    /// Grids of the crowded cells, by cell.
    finer: Vec<(u32, Grid)>,
}

impl Grid {
    fn new(surface: &Surface, among: &[u32], bounds: [LatticePoint; 2], depth: u32) -> Self {
        let mut grid = Self::empty(bounds, among.len());
        let mut starts = vec![0_u32; (grid.columns * grid.rows) as usize + 1];
        for &face_idx in among {
            grid.cover(surface.corners(face_idx), |cell| starts[cell + 1] += 1);
        }
        for cell in 1..starts.len() {
            starts[cell] += starts[cell - 1];
        }
        let mut faces = vec![0_u32; starts[starts.len() - 1] as usize];
        let mut ends = starts.clone();
        for &face_idx in among {
            grid.cover(surface.corners(face_idx), |cell| {
                faces[ends[cell] as usize] = face_idx;
                ends[cell] += 1;
            });
        }
        (grid.starts, grid.faces) = (starts, faces);
        grid.refine(surface, among.len(), depth);
        grid
    }

    fn empty([low, high]: [LatticePoint; 2], n_faces: usize) -> Self {
        let wide = i64::from(high.x) - i64::from(low.x) + 1;
        let tall = i64::from(high.y) - i64::from(low.y) + 1;
        let n = n_faces.max(1) as f64;
        let fair = (wide as f64 * tall as f64 / n).sqrt().ceil();
        let longest = (wide.max(tall) as f64 / (2.0 * n)).ceil();
        let cell = fair.max(longest).max(1.0) as i64;
        let (columns, rows) = ((wide - 1) / cell + 1, (tall - 1) / cell + 1);
        Self { low, cell, columns, rows, starts: vec![], faces: vec![], finer: vec![] }
    }

    fn refine(&mut self, surface: &Surface, n_among: usize, depth: u32) {
        for cell in 0..self.starts.len() - 1 {
            let crowd = &self.faces[self.starts[cell] as usize..self.starts[cell + 1] as usize];
            // Faces that all meet in one vertex crowd at any size: only a cell that took a part of
            // the faces apart from the others is worth another grid.
            let worth = crowd.len() > CROWD && (crowd.len() < n_among || depth == DEPTH);
            if worth && depth > 0 && self.cell > 1 {
                let (column, row) = (cell as i64 % self.columns, cell as i64 / self.columns);
                let low = [
                    i64::from(self.low.x) + column * self.cell,
                    i64::from(self.low.y) + row * self.cell,
                ];
                let corner = |by: i64| LatticePoint {
                    x: (low[0] + by).min(i64::from(i32::MAX)) as i32,
                    y: (low[1] + by).min(i64::from(i32::MAX)) as i32,
                };
                let finer =
                    Self::new(surface, crowd, [corner(0), corner(self.cell - 1)], depth - 1);
                self.finer.push((cell as u32, finer));
            }
        }
    }

    /// Names each cell that a triangle may touch, row by row, none twice.
    fn cover(&self, corners: [LatticePoint; 3], mut each: impl FnMut(usize)) {
        let ys = corners.map(|c| i64::from(c.y) - i64::from(self.low.y));
        let xs = corners.map(|c| i64::from(c.x) - i64::from(self.low.x));
        let rows = self.span(ys, self.rows);
        let columns = self.span(xs, self.columns);
        let plain = rows.end - rows.start <= 2 || columns.end - columns.start <= 2;
        for row in rows {
            let held = if plain { columns.clone() } else { self.row_span(row, xs, ys) };
            for column in held {
                each((row * self.columns + column) as usize);
            }
        }
    }

    fn span(&self, along: [i64; 3], n_cells: i64) -> std::ops::Range<i64> {
        let (low, high) =
            (along[0].min(along[1]).min(along[2]), along[0].max(along[1]).max(along[2]));
        let first = low.div_euclid(self.cell).clamp(0, n_cells);
        first..(high.div_euclid(self.cell) + 1).clamp(first, n_cells)
    }

    /// The columns that a triangle may touch within one row of cells.
    fn row_span(&self, row: i64, xs: [i64; 3], ys: [i64; 3]) -> std::ops::Range<i64> {
        let (low, high) = ((row * self.cell) as f64, ((row + 1) * self.cell) as f64);
        let mut reach = [f64::INFINITY, f64::NEG_INFINITY];
        for k in 0..3 {
            let ends = [k, next(k)].map(|c| [xs[c] as f64, ys[c] as f64]);
            clip_to_band(ends, low, high, &mut reach);
        }
        if reach[0] > reach[1] {
            return 0..0;
        }
        // One step of slack covers the rounding of the clip.
        let [first, last] = [reach[0] - 1.0, reach[1] + 1.0].map(|x| x.floor() as i64);
        self.span([first, last, last], self.columns)
    }

    fn cell_of(&self, p: LatticePoint) -> Option<usize> {
        let column = (i64::from(p.x) - i64::from(self.low.x)).div_euclid(self.cell);
        let row = (i64::from(p.y) - i64::from(self.low.y)).div_euclid(self.cell);
        let within = (0..self.columns).contains(&column) && (0..self.rows).contains(&row);
        within.then_some((row * self.columns + column) as usize)
    }

    fn held(&self, cell: usize) -> &[u32] {
        &self.faces[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    fn near(&self, p: LatticePoint) -> &[u32] {
        let Some(cell) = self.cell_of(p) else { return &[] };
        let held = self.held(cell);
        if held.len() > CROWD
            && let Ok(found) = self.finer.binary_search_by_key(&(cell as u32), |(cell, _)| *cell)
        {
            return self.finer[found].1.near(p);
        }
        held
    }

    fn gather(&self, a: LatticePoint, b: LatticePoint, near: &mut Vec<u32>) {
        self.cover([a, b, b], |cell| {
            match self.finer.binary_search_by_key(&(cell as u32), |(cell, _)| *cell) {
                Ok(found) => self.finer[found].1.gather(a, b, near),
                Err(_) => near.extend_from_slice(self.held(cell)),
            }
        });
    }
}

/// Widens `reach` by the x-range of the part of a segment between two heights of the plan.
fn clip_to_band([p, q]: [[f64; 2]; 2], low: f64, high: f64, reach: &mut [f64; 2]) {
    let (first, last) = (p[1].min(q[1]).max(low), p[1].max(q[1]).min(high));
    if first > last {
        return;
    }
    let x_at = |y: f64| p[0] + (y - p[1]) * (q[0] - p[0]) / (q[1] - p[1]);
    let ends = if p[1] == q[1] { [p[0], q[0]] } else { [x_at(first), x_at(last)] };
    for x in ends {
        reach[0] = reach[0].min(x);
        reach[1] = reach[1].max(x);
    }
}

/// The least rectangle around a surface's vertices, as its low and high corner.
fn bounds(surface: &Surface) -> [LatticePoint; 2] {
    let Some(&first) = surface.vertices().first() else { return [LatticePoint::default(); 2] };
    surface.vertices().iter().fold([first, first], |[low, high], v| {
        [
            LatticePoint { x: low.x.min(v.x), y: low.y.min(v.y) },
            LatticePoint { x: high.x.max(v.x), y: high.y.max(v.y) },
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::sample;

    #[test]
    fn a_plane_falls_as_it_should() {
        // check-values.md T-07, T-08: exact geometry.
        let surface = sample::grid([4, 4], 2.5, |[x, y]| 0.1 * x + 0.2 * y);
        let locator = Locator::new(&surface);
        for at in [[3.3, 4.4], [5.0, 5.0], [0.0, 0.0], [10.0, 10.0], [7.5, 1.0]] {
            let fall = locator.fall_at(at).unwrap();
            assert!((fall.grade - 0.223_606_797_75).abs() < 1e-9);
            assert!((libm::atan(fall.grade).to_degrees() - 12.604).abs() < 5e-4);
            let downhill = libm::atan2(-0.1, -0.2) + std::f64::consts::TAU;
            assert!((fall.bearing_rad.unwrap() - downhill).abs() < 1e-8);
            assert!((locator.elevation(at).unwrap() - 0.1 * at[0] - 0.2 * at[1]).abs() < 1e-12);
        }
    }

    #[test]
    fn level_ground_has_no_bearing() {
        let surface = sample::grid([1, 1], 1.0, |_| 5.0);
        let fall = Locator::new(&surface).fall_at([0.2, 0.4]).unwrap();
        assert_eq!(fall, Fall { grade: 0.0, bearing_rad: None });
    }

    #[test]
    fn nothing_lies_outside() {
        let surface = sample::grid([3, 3], 1.0, |[x, _]| x);
        let locator = Locator::new(&surface);
        for at in
            [[-1e-6, 1.0], [3.000_001, 1.0], [1e9, 0.0], [f64::NAN, 1.0], [1.0, f64::INFINITY]]
        {
            assert_eq!(locator.face_at(at), None);
            assert_eq!(locator.elevation(at), None);
        }
        assert!(locator.elevation([-4e-7, 1.0]).is_some(), "the nearest lattice place lies inside");
    }

    #[test]
    fn on_a_step_the_upper_ground_counts() {
        let surface = sample::terrace();
        let locator = Locator::new(&surface);
        assert_eq!(locator.elevation([2.0, 0.7]), Some(1.0));
        assert_eq!(locator.elevation([1.999_999, 0.7]), Some(0.0));
        assert_eq!(locator.elevation([2.000_001, 0.7]), Some(1.0));
    }

    #[test]
    fn every_place_is_found_in_crowds_and_slivers() {
        let crowd = sample::grid([30, 30], 0.01, |[x, y]| x - y);
        let locator = Locator::new(&crowd);
        for i in 0..300 {
            for j in 0..300 {
                let at = [f64::from(i) * 0.001, f64::from(j) * 0.001];
                assert!((locator.elevation(at).unwrap() - (at[0] - at[1])).abs() < 1e-12);
            }
        }
        let fan = (0..400)
            .map(|k| {
                let x = |k: i32| f64::from(k) * 0.25;
                vec![[50.0, 100.0, 100.0], [x(k), 0.0, 0.0], [x(k + 1), 0.0, 0.0]]
            })
            .collect::<Vec<_>>();
        let fan = sample::patches(&fan);
        let locator = Locator::new(&fan);
        for i in 1..100 {
            let at = [50.0 + 0.003 * f64::from(i), f64::from(i)];
            assert!((locator.elevation(at).unwrap() - at[1]).abs() < 1e-9);
        }
    }
}
