//! Points of a line: moved, added, dropped.

use super::ShapeError;
use super::blend::{Mix, remake, same};
use super::line::{Ends, curve_mut, least_points, line_at};
use crate::{Work, crossing};

/// The work with a point of one of its lines elsewhere.
///
/// # Errors
/// [`ShapeError::NoPoint`], and [`ShapeError::Crosses`] where an outline would cross itself.
pub fn move_point(work: &Work, path: &str, point: usize, to: [f64; 2]) -> Result<Work, ShapeError> {
    let mut new = work.clone();
    let place = curve_mut(&mut new.kind, path).and_then(|curve| curve.points.get_mut(point));
    *place.ok_or_else(|| no_point(work, path, point))? = to;
    simple(new, path)
}

/// The work with a new point of one of its lines before number `at`; at the count, behind the last.
///
/// Values that belong to drawn points are blended between the neighbours'.
///
/// # Errors
/// [`ShapeError::NoPoint`], and [`ShapeError::Crosses`] where an outline would cross itself.
pub fn add_point(work: &Work, path: &str, at: usize, place: [f64; 2]) -> Result<Work, ShapeError> {
    let line = line_at(&work.kind, path).ok_or_else(|| no_point(work, path, at))?;
    let (points, n) = (&line.curve.points, line.curve.points.len());
    if at > n || n == 0 {
        return Err(no_point(work, path, at));
    }
    let mut recipe = same(n);
    recipe.insert(at, new_between(points, at, line.ends, place));
    let mut new = work.clone();
    remake(&mut new, path, &recipe);
    if let Some(slot) = curve_mut(&mut new.kind, path).and_then(|c| c.points.get_mut(at)) {
        *slot = place;
    }
    simple(new, path)
}

/// The work without a point of one of its lines.
///
/// # Errors
/// [`ShapeError::NoPoint`], [`ShapeError::TooFew`] where the line needs the point, and
/// [`ShapeError::Crosses`] where an outline would cross itself.
pub fn drop_point(work: &Work, path: &str, point: usize) -> Result<Work, ShapeError> {
    let line = line_at(&work.kind, path).ok_or_else(|| no_point(work, path, point))?;
    let (n, least) = (line.curve.points.len(), least_points(&work.kind, line.ends));
    if point >= n {
        return Err(no_point(work, path, point));
    }
    if n <= least {
        return Err(ShapeError::TooFew { work: work.name.clone(), least });
    }
    let mut recipe = same(n);
    recipe.remove(point);
    let mut new = work.clone();
    remake(&mut new, path, &recipe);
    simple(new, path)
}

/// Between which neighbours a new point stands, and by what share of their distance.
fn new_between(points: &[[f64; 2]], at: usize, ends: Ends, place: [f64; 2]) -> Mix {
    let n = points.len();
    let (before, behind) = match (ends, at) {
        (Ends::Open, 0) => return (0, 0, 0.0),
        (Ends::Open, at) if at == n => return (n - 1, n - 1, 0.0),
        (_, at) => ((at + n - 1) % n, at % n),
    };
    let to = |other: usize| libm::hypot(points[other][0] - place[0], points[other][1] - place[1]);
    let (near, far) = (to(before), to(behind));
    let whole = near + far;
    (before, behind, if whole > 0.0 { near / whole } else { 0.0 })
}

/// The work, if the line at `path` is no outline that crosses itself.
pub(super) fn simple(work: Work, path: &str) -> Result<Work, ShapeError> {
    let sides = line_at(&work.kind, path)
        .filter(|line| line.ends == Ends::Closed)
        .and_then(|line| crossing(&line.curve.points));
    match sides {
        Some(sides) => Err(ShapeError::Crosses { sides }),
        None => Ok(work),
    }
}

pub(super) fn no_point(work: &Work, path: &str, point: usize) -> ShapeError {
    ShapeError::NoPoint { work: work.name.clone(), path: path.into(), point: point + 1 }
}
