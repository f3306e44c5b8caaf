//! The same points given to an independent library.

use super::*;
use spade::{ConstrainedDelaunayTriangulation, DelaunayTriangulation, Point2, Triangulation};

type Edges = Vec<[LatticePoint; 2]>;

fn edges(surface: &Surface) -> Edges {
    let mut edges: Edges = Vec::new();
    for f in surface.faces() {
        let [a, b, c] = f.vertices.map(|v| surface.vertices()[v as usize]);
        edges.extend([[a, b], [b, c], [c, a]].map(|[u, v]| [u.min(v), u.max(v)]));
    }
    edges.sort_unstable();
    edges.dedup();
    edges
}

fn scattered(n: usize, seed: u64) -> Vec<LatticePoint> {
    let mut draw = Draw(seed);
    (0..n).map(|_| lattice_point(draw.below(1 << 29), draw.below(1 << 29))).collect()
}

fn plain(p: LatticePoint) -> Point2<f64> {
    Point2::new(f64::from(p.x), f64::from(p.y))
}

fn place(p: Point2<f64>) -> LatticePoint {
    lattice_point(p.x as i32, p.y as i32)
}

#[test]
fn scattered_points_have_the_referees_edges() {
    for (seed, n) in [(1, 50), (2, 700), (3, 5_000), (4, 60_000)] {
        let places = scattered(n, seed);
        let points: Vec<_> = places.iter().copied().map(plain).collect();
        let referee = DelaunayTriangulation::<Point2<f64>>::bulk_load(points).unwrap();
        let mut expected: Edges = referee
            .undirected_edges()
            .map(|e| e.positions().map(place))
            .map(|[u, v]| [u.min(v), u.max(v)])
            .collect();
        expected.sort_unstable();
        assert_eq!(edges(&built(&flat(&places)).surface), expected);
    }
}

#[test]
fn lines_through_scattered_points_have_the_referees_edges() {
    for (seed, n) in [(5, 400), (6, 4_000), (7, 20_000)] {
        let mut places = scattered(n, seed);
        // Lines side by side that do not cross.
        let lines: Vec<[LatticePoint; 2]> = (1..20)
            .map(|k| {
                [
                    lattice_point(1000 + k, k << 24),
                    lattice_point((1 << 29) - 7 * k, (k << 24) + 4001),
                ]
            })
            .collect();
        let breaklines = lines
            .iter()
            .map(|ends| Breakline { vertices: ends.map(|p| (p, 0.0)).to_vec() })
            .collect();
        let surface = built(&Terrain { breaklines, ..flat(&places) }).surface;
        places.extend(lines.iter().flatten());
        let points: Vec<_> = places.iter().copied().map(plain).collect();
        let pairs = (0..lines.len()).map(|k| [n + 2 * k, n + 2 * k + 1]).collect();
        let referee =
            ConstrainedDelaunayTriangulation::<Point2<f64>>::bulk_load_cdt(points, pairs).unwrap();
        let mut expected: Edges = referee
            .undirected_edges()
            .map(|e| e.positions().map(place))
            .map(|[u, v]| [u.min(v), u.max(v)])
            .collect();
        expected.sort_unstable();
        assert_eq!(edges(&surface), expected);
        assert_eq!(surface.faces().len(), referee.num_inner_faces());
        assert_eq!(fixed_edges(&surface).len(), lines.len());
    }
}
