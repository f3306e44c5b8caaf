//! One work made two: a line at one of its points, an outline from point to point.

use super::blend::remake;
use super::line::{Ends, main_curve, main_line};
use super::points::{no_point, simple};
use super::{ShapeError, added};
use crate::{Edit, Site, Work, WorkId, WorkKind, apply};

/// Where a work is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// A line, at this point: both parts keep it.
    At(usize),
    /// An outline, along the straight line between these two points: both parts keep both.
    Across(usize, usize),
}

/// The site with a work cut in two, and the id of the new one; it is built right after the other.
///
/// # Errors
/// [`ShapeError`] where the kind is not to be cut, or the cut misses the line.
pub fn split(site: &Site, id: WorkId, cut: Cut) -> Result<(Site, WorkId), ShapeError> {
    let work = site.work(id).ok_or(ShapeError::NoWork(id))?;
    let (path, ends) = main_line(&work.kind);
    let n = main_curve(&work.kind).points.len();
    let [kept, new] = match (&work.kind, ends, cut) {
        (WorkKind::Stream(_), ..) => {
            return Err(ShapeError::NotThis(
                "a stream is one water from head to mouth, and its lower part would have no source: take \
                 out its last points and draw another",
            ));
        }
        (WorkKind::Basin(_) | WorkKind::FilterBed(_) | WorkKind::IntakeBay(_), ..) => {
            return Err(ShapeError::NotThis(
                "what holds water is not cut in two: pull its outline in and draw another beside it",
            ));
        }
        (_, Ends::Open, Cut::At(at)) if at >= 1 && at + 1 < n => {
            [(0..=at).collect(), (at..n).collect()]
        }
        (_, Ends::Closed, Cut::Across(a, b)) if a.max(b) < n => {
            let (a, b) = (a.min(b), a.max(b));
            if b - a < 2 || (a == 0 && b == n - 1) {
                return Err(ShapeError::NotThis("cut between two points that are no neighbours"));
            }
            [(a..=b).collect(), (b..n).chain(0..=a).collect::<Vec<usize>>()]
        }
        (_, Ends::Open, Cut::At(at)) if at < n => {
            return Err(ShapeError::NotThis("a line is cut at a point between its ends"));
        }
        (_, _, Cut::At(point) | Cut::Across(_, point)) => return Err(no_point(work, path, point)),
    };
    let part = |order: &[usize]| -> Result<Work, ShapeError> {
        let recipe: Vec<_> = order.iter().map(|&i| (i, i, 0.0)).collect();
        let mut part = work.clone();
        remake(&mut part, path, &recipe);
        simple(part, path)
    };
    let (first, mut second) = (part(&kept)?, part(&new)?);
    second.name = format!("{}, second part", work.name);
    let at = site.works.iter().position(|w| w.id == id).unwrap_or_default() + 1;
    let site = apply(site, &Edit::SetWork(first))?;
    added(&site, second, at)
}
