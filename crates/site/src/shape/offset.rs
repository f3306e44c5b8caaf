//! A line beside another at one distance, point for point.

use super::ShapeError;
use super::line::Ends;
use crate::crossing;

/// Longest that a corner may stand out, in distances: sharper ones would shoot away.
const MOST_MITRE: f64 = 4.0;

/// The line beside `points`, `left_m` to its left, below zero to its right; one point for each point.
///
/// A corner moves to where its two sides meet, but no farther than four distances.
///
/// # Errors
/// [`ShapeError::NotThis`] where the line has no length or would turn back on itself,
/// [`ShapeError::Crosses`] where an outline would cross itself.
pub fn offset(points: &[[f64; 2]], ends: Ends, left_m: f64) -> Result<Vec<[f64; 2]>, ShapeError> {
    let n = points.len();
    let side = |i: usize| unit(points[i % n], points[(i + 1) % n]);
    let n_sides = if ends == Ends::Closed { n } else { n.saturating_sub(1) };
    let ways: Option<Vec<[f64; 2]>> = (0..n_sides).map(side).collect();
    let Some(ways) = ways.filter(|ways| !ways.is_empty() && left_m.is_finite()) else {
        return Err(ShapeError::NotThis("a line beside this one needs two points apart"));
    };
    let corner = |i: usize| {
        let (before, behind) = match ends {
            Ends::Closed => (ways[(i + n - 1) % n], ways[i]),
            Ends::Open => (ways[i.saturating_sub(1)], ways[i.min(n - 2)]),
        };
        let [left, right] = [before, behind].map(|[x, y]| [-y, x]);
        let cosine = left[0] * right[0] + left[1] * right[1];
        // The mitre's length over the distance is one over the cosine of half the turn.
        let scale = (2.0 / (1.0 + cosine).max(1e-9)).min(MOST_MITRE * MOST_MITRE) / 2.0;
        [0, 1].map(|k| points[i][k] + (left[k] + right[k]) * scale * left_m)
    };
    let line: Vec<[f64; 2]> = (0..n).map(corner).collect();
    let turns_back = (0..n_sides).any(|i| {
        let (a, b) = (line[i], line[(i + 1) % n]);
        (b[0] - a[0]) * ways[i][0] + (b[1] - a[1]) * ways[i][1] <= 0.0
    });
    if turns_back {
        return Err(ShapeError::NotThis("that far beside it the line would turn back on itself"));
    }
    match crossing(&line).filter(|_| ends == Ends::Closed) {
        Some(sides) => Err(ShapeError::Crosses { sides }),
        None => Ok(line),
    }
}

fn unit(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    let length = libm::hypot(dx, dy);
    (length > 0.0 && length.is_finite()).then(|| [dx / length, dy / length])
}
