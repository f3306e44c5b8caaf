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
    let mut ring: Vec<[f64; 2]> = rows.iter().map(|(_, place)| *place).collect();
    if let Some([first, second]) = site::crossing(&ring) {
        let (line, other) = (rows[second].0, rows[first].0);
        return Err(OutlineError::CrossesItself { line, other });
    }
    if doubled_area(&ring) < 0.0 {
        ring.reverse();
    }
    Ok(ring)
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
