//! A line beside another at one distance.

use super::ShapeError;
use super::line::Ends;
use crate::crossing;

/// Farthest that a corner may stand out, in distances: sharper ones would shoot away.
const MOST_MITRE: f64 = 2.0;

/// A line beside another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beside {
    /// Its points, local metres.
    pub points: Vec<[f64; 2]>,
    /// The index of the point beside which each one lies; a corner that is cut off has two.
    pub of: Vec<usize>,
}

/// The line beside `points`, `left_m` to its left, below zero to its right.
///
/// A corner moves to where its two sides meet. One that would stand out farther than two distances is
/// cut off one distance behind the corner, so that no part lies nearer than `left_m`:
///
/// ```text
///     a---------b      a, b: the two points of a corner that is cut off
///     |    .    |      .: the drawn corner; its sides run down, close beside each other
///     |   / \   |
/// ```
///
/// # Errors
/// [`ShapeError::NotThis`] where the line has no length or would turn back on itself,
/// [`ShapeError::Crosses`] where an outline would cross itself.
pub fn offset(points: &[[f64; 2]], ends: Ends, left_m: f64) -> Result<Beside, ShapeError> {
    let n = points.len();
    let side = |i: usize| unit(points[i % n], points[(i + 1) % n]);
    let n_sides = if ends == Ends::Closed { n } else { n.saturating_sub(1) };
    let ways: Option<Vec<[f64; 2]>> = (0..n_sides).map(side).collect();
    let Some(ways) = ways.filter(|ways| !ways.is_empty() && left_m.is_finite()) else {
        return Err(ShapeError::NotThis("a line beside this one needs two points apart"));
    };
    let corners: Vec<[[f64; 2]; 2]> = (0..n)
        .map(|i| match ends {
            Ends::Closed => corner(points[i], [ways[(i + n - 1) % n], ways[i]], left_m),
            Ends::Open => {
                corner(points[i], [ways[i.saturating_sub(1)], ways[i.min(n - 2)]], left_m)
            }
        })
        .collect();
    let turns_back = (0..n_sides).any(|i| {
        let (a, b) = (corners[i][1], corners[(i + 1) % n][0]);
        (b[0] - a[0]) * ways[i][0] + (b[1] - a[1]) * ways[i][1] <= 0.0
    });
    if turns_back {
        return Err(ShapeError::NotThis("that far beside it the line would turn back on itself"));
    }
    let line = laid(&corners);
    match crossing(&line.points).filter(|_| ends == Ends::Closed) {
        Some(sides) => Err(ShapeError::Crosses { sides }),
        None => Ok(line),
    }
}

/// The points beside a corner: at the end of the side before and at the start of the one behind, one
/// place where it is not cut off.
fn corner(at: [f64; 2], [before, behind]: [[f64; 2]; 2], left_m: f64) -> [[f64; 2]; 2] {
    let [left, right] = [before, behind].map(|[x, y]| [-y, x]);
    let cosine = left[0] * right[0] + left[1] * right[1];
    let turn = before[0] * behind[1] - before[1] * behind[0];
    // The mitre's length over the distance is one over the cosine of half the turn.
    let half = libm::sqrt((0.5 * (1.0 + cosine)).max(0.0));
    let stands_out = turn * left_m <= 0.0 && half * MOST_MITRE < 1.0;
    if stands_out {
        let reach_m = left_m.abs();
        return [
            [0, 1].map(|k| at[k] + left[k] * left_m + before[k] * reach_m),
            [0, 1].map(|k| at[k] + right[k] * left_m - behind[k] * reach_m),
        ];
    }
    let scale = 1.0 / (1.0 + cosine).max(1e-9);
    [[0, 1].map(|k| at[k] + (left[k] + right[k]) * scale * left_m); 2]
}

fn laid(corners: &[[[f64; 2]; 2]]) -> Beside {
    let mut line = Beside::default();
    for (i, [first, second]) in corners.iter().enumerate() {
        line.points.push(*first);
        line.of.push(i);
        if first != second {
            line.points.push(*second);
            line.of.push(i);
        }
    }
    line
}

fn unit(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    let length = libm::hypot(dx, dy);
    (length > 0.0 && length.is_finite()).then(|| [dx / length, dy / length])
}
