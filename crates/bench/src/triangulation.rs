//! The constrained triangulation beside spade's bulk load.

use crate::measure::{Growth, Row, batched, interleaved};
use ground::{Breakline, Lattice, LatticePoint, Terrain, build};
use spade::{ConstrainedDelaunayTriangulation, Point2};

/// The bar of the design: a million points with ten thousand breakline edges.
pub(crate) fn bars() -> Vec<Row> {
    let terrain = survey(1_000_000, 100);
    let (vertices, edges) = plain(&terrain);
    let (ours, theirs) = interleaved(
        7,
        || build(&terrain).expect("a random survey is sound"),
        || spade_cdt(&vertices, &edges),
    );
    vec![Row::ratio("constrained TIN, 1e6 points, 1e4 breakline edges", ours, theirs, 0.85)]
}

/// A thousand to ten million points.
pub(crate) fn growth() -> Growth {
    let sizes = [1_000, 10_000, 100_000, 1_000_000, 10_000_000];
    let medians = sizes.map(|n| {
        let terrain = survey(n, (n as f64).sqrt() as usize / 10);
        let work = || build(&terrain).expect("a random survey is sound");
        (n, batched((1_000_000 / n).max(1), work))
    });
    Growth { work: "constrained TIN", medians: medians.to_vec() }
}

/// `n` random points over a square kilometre and `n_lines` wavy lines of as many pieces across it.
pub(crate) fn survey(n: usize, n_lines: usize) -> Terrain {
    let lattice = Lattice::new(10).expect("ten micrometres is a lattice step");
    let side = 100_000_000;
    let mut draw = Draw(20_261_125);
    let mut points = Vec::with_capacity(n);
    for _ in 0..n {
        let at = LatticePoint { x: draw.below(side), y: draw.below(side) };
        points.push((at, f64::from(draw.below(1_000)) / 100.0));
    }
    let step = side / n_lines.max(1) as i32;
    let line = |row: i32| Breakline {
        vertices: (0..=n_lines as i32)
            .map(|k| {
                let wave = if k % 2 == 0 { 0 } else { step / 3 };
                (LatticePoint { x: k * step, y: row * step + wave }, f64::from(row))
            })
            .collect(),
    };
    let breaklines = (0..n_lines as i32).map(line).collect();
    Terrain { lattice, points, breaklines, ..Terrain::default() }
}

/// A linear congruential sequence, so that every run measures the same survey.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: i32) -> i32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % end as u64) as i32
    }
}

type Edges = Vec<[usize; 2]>;

/// The same survey as plain coordinates and edges.
fn plain(terrain: &Terrain) -> (Vec<Point2<f64>>, Edges) {
    let place = |p: LatticePoint| Point2::new(f64::from(p.x), f64::from(p.y));
    let mut vertices: Vec<Point2<f64>> = terrain.points.iter().map(|p| place(p.0)).collect();
    let mut edges = Vec::new();
    for line in &terrain.breaklines {
        let first = vertices.len();
        vertices.extend(line.vertices.iter().map(|v| place(v.0)));
        edges.extend((first + 1..vertices.len()).map(|k| [k - 1, k]));
    }
    (vertices, edges)
}

fn spade_cdt(
    vertices: &[Point2<f64>],
    edges: &[[usize; 2]],
) -> ConstrainedDelaunayTriangulation<Point2<f64>> {
    ConstrainedDelaunayTriangulation::try_bulk_load_cdt(vertices.to_vec(), edges.to_vec(), |_| ())
        .expect("finite coordinates")
}
