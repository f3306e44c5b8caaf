//! Another work like one that stands.

use super::blend::remake;
use super::line::{main_curve, main_curve_mut, main_line};
use super::points::simple;
use super::{ShapeError, mirrored, offset, shifted};
use crate::{Edit, Site, Work, WorkId, apply};

/// The site with a new work as number `at` in the order of building, and the id that it was given.
///
/// # Errors
/// [`ShapeError::Refused`] where the site would break a rule.
pub fn added(site: &Site, work: Work, at: usize) -> Result<(Site, WorkId), ShapeError> {
    let id = WorkId(site.next_id);
    Ok((apply(site, &Edit::AddWork { work, at })?, id))
}

/// The site with a copy of a work, shifted by metres east and north, built right after it.
///
/// # Errors
/// [`ShapeError`] where there is no such work.
pub fn copied(site: &Site, id: WorkId, by: [f64; 2]) -> Result<(Site, WorkId), ShapeError> {
    let work = work_of(site, id)?;
    beside(site, id, shifted(work, by), "copy")
}

/// The site with a copy of a work, mirrored in the line from the first place to the second.
///
/// # Errors
/// [`ShapeError`] where there is no such work, or the two places are one.
pub fn mirrored_copy(
    site: &Site,
    id: WorkId,
    line: [[f64; 2]; 2],
) -> Result<(Site, WorkId), ShapeError> {
    let work = mirrored(work_of(site, id)?, line)
        .ok_or(ShapeError::NotThis("a mirror needs two places apart"))?;
    beside(site, id, work, "mirrored")
}

/// The site with a copy of a work whose main line runs beside the first's, `left_m` to its left.
///
/// # Errors
/// [`ShapeError`] where there is no such work, or no such line beside it.
pub fn offset_copy(site: &Site, id: WorkId, left_m: f64) -> Result<(Site, WorkId), ShapeError> {
    let work = work_of(site, id)?;
    let (path, ends) = main_line(&work.kind);
    let line = offset(&main_curve(&work.kind).points, ends, left_m)?;
    let recipe: Vec<_> = line.of.iter().map(|i| (*i, *i, 0.0)).collect();
    let mut copy = work.clone();
    remake(&mut copy, path, &recipe);
    main_curve_mut(&mut copy.kind).points = line.points;
    beside(site, id, simple(copy, path)?, "beside")
}

fn beside(
    site: &Site,
    id: WorkId,
    mut work: Work,
    word: &str,
) -> Result<(Site, WorkId), ShapeError> {
    work.name = format!("{}, {word}", work.name);
    let at = site.works.iter().position(|w| w.id == id).unwrap_or_default() + 1;
    added(site, work, at)
}

fn work_of(site: &Site, id: WorkId) -> Result<&Work, ShapeError> {
    site.work(id).ok_or(ShapeError::NoWork(id))
}
