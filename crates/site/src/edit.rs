//! Edits: what a person changes, as absolute values.

use std::sync::Arc;

use units::LengthUnit;

use crate::check::{Invalid, faults};
use crate::{
    Carry, Circulation, Digging, Haul, House, KeepOut, Limits, Site, Soils, Stockpile, Survey,
};
use crate::{Viewpoint, Weather, Work, WorkId, WorkKind};

/// A change of the site; it sets values and never adds to them.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Name the site.
    SetTitle(String),
    /// Read and write in another unit of length.
    SetUnit(LengthUnit),
    /// Change what was measured: points set aside, codes that join, boundary, accuracy.
    SetSurvey(Arc<Survey>),
    /// Change the ground's materials.
    SetSoils(Soils),
    /// Change the checks' limits.
    SetLimits(Limits),
    /// Change how the ground is dug and filled.
    SetDigging(Digging),
    /// Change the trucks.
    SetHaul(Haul),
    /// Change what carries earth within the site.
    SetCarry(Carry),
    /// Change how the water is moved.
    SetCirculation(Circulation),
    /// Change the weather that is planned for.
    SetWeather(Weather),
    /// Change where earth may be heaped.
    SetStockpiles(Vec<Stockpile>),
    /// Change the buildings that stay.
    SetHouses(Vec<House>),
    /// Change what else stays, or must not be touched.
    SetKeepOuts(Vec<KeepOut>),
    /// Change where people look from.
    SetViewpoints(Vec<Viewpoint>),
    /// Build a new work as number `at` in the order; its id is given by the site.
    AddWork {
        /// The work; the id that it carries is not read.
        work: Work,
        /// Its place in the order of building; past the end, last.
        at: usize,
    },
    /// Change a work: the one with this id takes these parameters.
    SetWork(Work),
    /// Take a work out; what refers to it refers to none from then on.
    RemoveWork(WorkId),
    /// Build a work as number `to` in the order.
    MoveWork {
        /// The work.
        id: WorkId,
        /// Its new place in the order of building; past the end, last.
        to: usize,
    },
}

/// Why an edit was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The edit names a work that does not stand in the site.
    #[error("there is no work {}", .0.0)]
    NoWork(WorkId),
    /// Every id has been given away.
    #[error("the site has no ids left")]
    NoIds,
    /// The site would break a rule.
    #[error(transparent)]
    Invalid(#[from] Invalid),
}

/// The site after an edit.
///
/// # Errors
/// [`EditError`] when the edit names no work of the site, or would break a rule that holds now.
pub fn apply(site: &Site, edit: &Edit) -> Result<Site, EditError> {
    let mut new = site.clone();
    change(&mut new, edit)?;
    match faults(&new).into_iter().next() {
        // A site that was read is valid, so whatever is broken now, this edit broke.
        Some(invalid) => Err(invalid.into()),
        None => Ok(new),
    }
}

fn change(site: &mut Site, edit: &Edit) -> Result<(), EditError> {
    match edit {
        Edit::SetTitle(title) => site.title.clone_from(title),
        Edit::SetUnit(unit) => site.frame.unit = *unit,
        Edit::SetSurvey(survey) => site.survey = Arc::clone(survey),
        Edit::SetSoils(soils) => site.soils.clone_from(soils),
        Edit::SetLimits(limits) => site.limits = *limits,
        Edit::SetDigging(digging) => site.digging = *digging,
        Edit::SetHaul(haul) => site.haul = *haul,
        Edit::SetCarry(carry) => site.carry.clone_from(carry),
        Edit::SetCirculation(circulation) => site.circulation.clone_from(circulation),
        Edit::SetWeather(weather) => site.weather = *weather,
        Edit::SetStockpiles(stockpiles) => site.stockpiles.clone_from(stockpiles),
        Edit::SetKeepOuts(keep_outs) => site.keep_outs.clone_from(keep_outs),
        Edit::SetHouses(houses) => site.houses.clone_from(houses),
        Edit::SetViewpoints(viewpoints) => site.viewpoints.clone_from(viewpoints),
        Edit::AddWork { work, at } => {
            let id = WorkId(site.next_id);
            site.next_id = site.next_id.checked_add(1).ok_or(EditError::NoIds)?;
            let at = (*at).min(site.works.len());
            site.works.insert(at, Work { id, ..work.clone() });
        }
        Edit::SetWork(work) => {
            let i = place_of(site, work.id)?;
            site.works[i] = work.clone();
        }
        Edit::RemoveWork(id) => {
            let i = place_of(site, *id)?;
            site.works.remove(i);
            site.works.iter_mut().for_each(|work| forget(&mut work.kind, *id));
            let named = site.circulation.works().filter(|named| **named == Some(*id));
            named.for_each(|named| *named = None);
        }
        Edit::MoveWork { id, to } => {
            let i = place_of(site, *id)?;
            let work = site.works.remove(i);
            let to = (*to).min(site.works.len());
            site.works.insert(to, work);
        }
    }
    Ok(())
}

fn place_of(site: &Site, id: WorkId) -> Result<usize, EditError> {
    site.works.iter().position(|work| work.id == id).ok_or(EditError::NoWork(id))
}

/// Lets a work refer to `gone` no more.
fn forget(kind: &mut WorkKind, gone: WorkId) {
    let clear = |slot: &mut Option<WorkId>| {
        if *slot == Some(gone) {
            *slot = None;
        }
    };
    match kind {
        WorkKind::Stream(stream) => {
            clear(&mut stream.from);
            clear(&mut stream.into);
        }
        WorkKind::Wall(wall) => clear(&mut wall.holds),
        WorkKind::Basin(basin) => clear(&mut basin.joins),
        WorkKind::Hill(hill) => clear(&mut hill.held_by),
        WorkKind::IntakeBay(bay) => clear(&mut bay.from),
        WorkKind::Path(path) if path.stones.is_some_and(|s| s.across == gone) => path.stones = None,
        WorkKind::FilterBed(_)
        | WorkKind::Pad(_)
        | WorkKind::Path(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => {}
    }
}
