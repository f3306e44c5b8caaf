//! A valid surface from triangles that overlap or do not fit edge to edge.
//!
//! Their edges become breaklines of a build, which splits what crosses; of its faces those stay whose
//! middle lies in one of the triangles.

use ground::{Breakline, BuildError, Lattice, LatticePoint, Surface, Terrain};

pub(super) fn rebuilt(
    lattice: Lattice,
    spots: &[LatticePoint],
    heights: &[f64],
    faces: &[[u32; 3]],
) -> Result<Surface, BuildError> {
    let mut edges: Vec<[u32; 2]> = faces
        .iter()
        .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
        .map(|[u, v]| [u.min(v), u.max(v)])
        .collect();
    edges.sort_unstable();
    edges.dedup();
    let end = |v: u32| (spots[v as usize], heights[v as usize]);
    let breaklines =
        edges.iter().map(|ends| Breakline { vertices: ends.map(end).to_vec() }).collect();
    let built = ground::build(&Terrain { lattice, breaklines, ..Terrain::default() })?;
    let cover = Cover::new(spots, faces);
    let holds = |f: u32| {
        let corners = built.surface.corners(f);
        let mean = |c: fn(LatticePoint) -> i32| {
            corners.iter().map(|&p| f64::from(c(p))).sum::<f64>() / 3.0
        };
        cover.holds([mean(|p| p.x), mean(|p| p.y)])
    };
    built.surface.part(holds).ok_or(BuildError::NothingLeft)
}

/// Triangles sorted into square cells.
struct Cover<'a> {
    spots: &'a [LatticePoint],
    faces: &'a [[u32; 3]],
    low: [f64; 2],
    cell: f64,
    n: [usize; 2],
    /// Pairs of cell and face, sorted.
    listed: Vec<(u32, u32)>,
}

/// A triangle over more cells than this is listed apart.
const MOST_CELLS: usize = 64;
/// The cell of those.
const LARGE: u32 = u32::MAX;

impl<'a> Cover<'a> {
    fn new(spots: &'a [LatticePoint], faces: &'a [[u32; 3]]) -> Self {
        let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        for p in spots {
            for (range, c) in range.iter_mut().zip([f64::from(p.x), f64::from(p.y)]) {
                *range = [range[0].min(c), range[1].max(c)];
            }
        }
        let sides = range.map(|[low, high]| (high - low).max(1.0));
        let cell =
            (sides[0] * sides[1] / faces.len() as f64).sqrt().max(sides[0].max(sides[1]) / 4096.0);
        let n = sides.map(|side| (side / cell) as usize + 1);
        let mut cover =
            Self { spots, faces, low: range.map(|r| r[0]), cell, n, listed: Vec::new() };
        for (f, corners) in (0..).zip(faces) {
            let [[x0, x1], [y0, y1]] = [0, 1].map(|axis| {
                let along = corners.map(|v| cover.column(axis, cover.place(v)[axis]));
                [along[0].min(along[1]).min(along[2]), along[0].max(along[1]).max(along[2])]
            });
            if (x1 - x0 + 1) * (y1 - y0 + 1) > MOST_CELLS {
                cover.listed.push((LARGE, f));
                continue;
            }
            for y in y0..=y1 {
                cover.listed.extend((x0..=x1).map(|x| ((y * n[0] + x) as u32, f)));
            }
        }
        cover.listed.sort_unstable();
        cover
    }

    fn place(&self, v: u32) -> [f64; 2] {
        let p = self.spots[v as usize];
        [f64::from(p.x), f64::from(p.y)]
    }

    fn column(&self, axis: usize, c: f64) -> usize {
        (((c - self.low[axis]) / self.cell).max(0.0) as usize).min(self.n[axis] - 1)
    }

    fn holds(&self, at: [f64; 2]) -> bool {
        let cell = (self.column(1, at[1]) * self.n[0] + self.column(0, at[0])) as u32;
        [cell, LARGE].into_iter().any(|cell| {
            let start = self.listed.partition_point(|&(other, _)| other < cell);
            let here = self.listed[start..].iter().take_while(|(other, _)| *other == cell);
            here.map(|&(_, f)| self.faces[f as usize].map(|v| self.place(v)))
                .any(|corners| lies_in(corners, at))
        })
    }
}

/// The middle of a face of the build never stands on an edge that the build was made from, beyond
/// the rounding of a sliver.
fn lies_in([a, b, c]: [[f64; 2]; 3], p: [f64; 2]) -> bool {
    let left = |a: [f64; 2], b: [f64; 2]| {
        (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= 0.0
    };
    left(a, b) && left(b, c) && left(c, a)
}
