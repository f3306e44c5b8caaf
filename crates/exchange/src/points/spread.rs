//! Whether points span a surface at all.

use super::{Point, PointsError};

/// Points closer than this in plan count as one place, in metres: no rod stands truer.
const SAME_PLACE_M: f64 = 1e-6;
/// Points all within this of one line span no surface, in metres.
const ON_ONE_LINE_M: f64 = 1e-3;

/// Refuses points that span no surface: fewer than three places, or all on one line.
///
/// # Errors
/// [`PointsError::NoSurface`] says which.
pub fn check_spread(points: &[Point]) -> Result<(), PointsError> {
    let line = points.last().map_or(1, |point| point.line);
    let refuse = |rule: String| Err(PointsError::NoSurface { line, rule });
    const EXPECTED: &str = "expected at least three places that are not on one line";
    let [first, others @ ..] = points else {
        return refuse(format!("read no points, {EXPECTED}"));
    };
    if others.is_empty() {
        return refuse(format!("read a lone point, {EXPECTED}"));
    }
    let farthest = farthest_from(first, points);
    let other_end = farthest_from(farthest, points);
    let length = distance(farthest, other_end);
    if length <= SAME_PLACE_M {
        return refuse(format!("read {} points at one place, {EXPECTED}", points.len()));
    }
    let off_line =
        points.iter().map(|point| offset(farthest, other_end, point)).fold(0.0, f64::max);
    if off_line <= ON_ONE_LINE_M {
        return refuse(format!("read {} points on one line, {EXPECTED}", points.len()));
    }
    Ok(())
}

fn distance(a: &Point, b: &Point) -> f64 {
    libm::hypot(b.at_m[0] - a.at_m[0], b.at_m[1] - a.at_m[1])
}

fn farthest_from<'a>(from: &Point, points: &'a [Point]) -> &'a Point {
    points
        .iter()
        .max_by(|a, b| distance(from, a).total_cmp(&distance(from, b)))
        .expect("the caller has refused an empty list")
}

/// Distance of `point` from the line through `a` and `b`.
fn offset(a: &Point, b: &Point, point: &Point) -> f64 {
    let (east, north) = (b.at_m[0] - a.at_m[0], b.at_m[1] - a.at_m[1]);
    let (to_east, to_north) = (point.at_m[0] - a.at_m[0], point.at_m[1] - a.at_m[1]);
    (east * to_north - north * to_east).abs() / libm::hypot(east, north)
}
