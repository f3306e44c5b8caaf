//! Lines and outlines in point lists of their own, or by code.

use super::Point;

/// Why points make no outline.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// Fewer than three places.
    #[error("line {line}: read an outline of {n_places} places, expected at least three")]
    TooFew {
        /// The last row of the outline, or 1 where there is none.
        line: u32,
        /// Places read.
        n_places: usize,
    },
    /// Two sides cross or touch.
    #[error(
        "line {line}: read an outline that crosses itself: the side that begins here meets the \
         one that begins on line {other}; expected a simple outline"
    )]
    CrossesItself {
        /// Where the later side begins.
        line: u32,
        /// Where the earlier side begins.
        other: u32,
    },
}

/// The runs of a list: neighbouring rows with one code, parted by blank lines, comments and other
/// codes.
pub fn runs(points: &[Point]) -> impl Iterator<Item = &[Point]> {
    points.chunk_by(|a, b| b.line <= a.line + 1 && a.code.eq_ignore_ascii_case(&b.code))
}

/// The points with this code, in the order of the list.
pub fn with_code<'a>(points: &'a [Point], code: &str) -> Vec<&'a Point> {
    points.iter().filter(|point| point.code.eq_ignore_ascii_case(code)).collect()
}

/// The outline through `points`, counter-clockwise, in metres of the world's frame.
///
/// A last point on the first one only closes it.
///
/// # Errors
/// [`OutlineError`] when it has fewer than three places or crosses itself.
pub fn outline(points: &[&Point]) -> Result<Vec<[f64; 2]>, OutlineError> {
    let mut rows: Vec<(u32, [f64; 2])> =
        points.iter().map(|point| (point.line, [point.at_m[0], point.at_m[1]])).collect();
    rows.dedup_by_key(|(_, place)| *place);
    while rows.len() > 1 && rows[0].1 == rows[rows.len() - 1].1 {
        rows.pop();
    }
    if rows.len() < 3 {
        let line = points.last().map_or(1, |point| point.line);
        return Err(OutlineError::TooFew { line, n_places: rows.len() });
    }
    refuse_crossings(&rows)?;
    let mut ring: Vec<[f64; 2]> = rows.into_iter().map(|(_, place)| place).collect();
    if doubled_area(&ring) < 0.0 {
        ring.reverse();
    }
    Ok(ring)
}

/// Looks at sides from west to east, each against those whose reach in easting it shares.
fn refuse_crossings(rows: &[(u32, [f64; 2])]) -> Result<(), OutlineError> {
    let n_sides = rows.len();
    let side = |idx: usize| (rows[idx].1, rows[(idx + 1) % n_sides].1);
    let west = |idx: &usize| side(*idx).0[0].min(side(*idx).1[0]);
    let east = |idx: usize| side(idx).0[0].max(side(idx).1[0]);
    let mut by_west: Vec<usize> = (0..n_sides).collect();
    by_west.sort_by(|a, b| west(a).total_cmp(&west(b)).then(a.cmp(b)));
    for (rank, &a) in by_west.iter().enumerate() {
        for &b in by_west[rank + 1..].iter().take_while(|b| west(b) <= east(a)) {
            let neighbours = (a + 1) % n_sides == b || (b + 1) % n_sides == a;
            let meet =
                if neighbours { fold_back(side(a), side(b)) } else { cross(side(a), side(b)) };
            if meet {
                let (line, other) = (rows[a.max(b)].0, rows[a.min(b)].0);
                return Err(OutlineError::CrossesItself { line, other });
            }
        }
    }
    Ok(())
}

type Side = ([f64; 2], [f64; 2]);

/// Whether neighbouring sides lie on one another.
fn fold_back((a, b): Side, (c, d): Side) -> bool {
    let (end, start) = if b == c { (a, d) } else { (b, c) };
    let shared = if b == c { b } else { a };
    let along = (end[0] - shared[0]) * (start[0] - shared[0])
        + (end[1] - shared[1]) * (start[1] - shared[1]);
    turn(end, shared, start) == 0.0 && along > 0.0
}

fn cross((a, b): Side, (c, d): Side) -> bool {
    let (to_c, to_d) = (turn(a, b, c), turn(a, b, d));
    let (to_a, to_b) = (turn(c, d, a), turn(c, d, b));
    let apart = |p: f64, q: f64| (p > 0.0 && q > 0.0) || (p < 0.0 && q < 0.0);
    if to_c == 0.0 && to_d == 0.0 {
        let overlaps = |axis: usize| {
            let (low, high) = (a[axis].min(b[axis]), a[axis].max(b[axis]));
            c[axis].max(d[axis]) >= low && c[axis].min(d[axis]) <= high
        };
        return overlaps(0) && overlaps(1);
    }
    !apart(to_c, to_d) && !apart(to_a, to_b)
}

/// Twice the signed area of the triangle, exact in sign.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let coord = |[x, y]: [f64; 2]| robust::Coord { x, y };
    robust::orient2d(coord(a), coord(b), coord(c))
}

fn doubled_area(ring: &[[f64; 2]]) -> f64 {
    let [x0, y0] = ring[0];
    (0..ring.len())
        .map(|idx| {
            let ([ax, ay], [bx, by]) = (ring[idx], ring[(idx + 1) % ring.len()]);
            (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        })
        .sum()
}
