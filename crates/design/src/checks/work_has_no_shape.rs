//! Works whose parameters make no shape, or only a part of one.
//!
//! What would give them one is found by trial, on the work's form alone: the least share of a change
//! that takes a problem away, such as of drawing a ring's inset back to nothing.

use ground::Lattice;
use site::works::{Basin, FilterBed, Floor, RingShape};
use site::{Site, Work, WorkId, WorkKind};
use units::{LengthUnit, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use crate::works::{Form, Kept};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for (work, outcome) in seen.built() {
        let n_problems = outcome.shape.problems.len() as f64;
        for problem in &outcome.shape.problems {
            found.push(Finding {
                code: Code::WorkHasNoShape,
                severity: Severity::Stop,
                work: Some(work.id),
                at_m: seen.on_ground(problem.at_m),
                measured: Measured { value: n_problems, limit: 0.0, unit: Unit::Count },
                message: format!("This cannot be built as drawn: {}.", problem.message),
                remedy: Some(Remedy {
                    message: "Change the points or the sizes that it names.".into(),
                    site: None,
                }),
                source: COMMON_PRACTICE,
                caution: None,
            });
        }
    }
    found
}

/// A change of a work by a share of the way from as it is to where it has the most room.
struct Change {
    made: Box<dyn Fn(f64) -> WorkKind>,
    /// What the change by a share is, in words.
    told: Box<dyn Fn(f64) -> String>,
}

/// Shares are found to this: a millimetre of any run in a garden.
const FINENESS: f64 = 1e-5;

/// The least change of one size that takes one problem of a work's shape away; none where no size
/// does.
pub(super) fn remedy(site: &Site, id: WorkId) -> Option<Remedy> {
    let work = site.work(id)?;
    let lattice = Lattice::new(site.frame.step_um).ok()?;
    let n_problems = |kind: WorkKind| {
        let edited = Work { kind, ..work.clone() };
        Form::of(&edited, site, lattice, &mut Kept::default()).shape.problems.len()
    };
    let before = n_problems(work.kind.clone());
    let clears = |change: &Change, share: f64| n_problems((change.made)(share)) < before;
    let change = changes(work, site.frame.unit).into_iter().find(|change| clears(change, 1.0))?;
    let (mut low, mut high) = (0.0, 1.0);
    while high - low > FINENESS {
        let middle = 0.5 * (low + high);
        if clears(&change, middle) { high = middle } else { low = middle }
    }
    let mut site = site.clone();
    site.works.iter_mut().find(|other| other.id == id)?.kind = (change.made)(high);
    Some(Remedy { message: (change.told)(high), site: Some(Box::new(site)) })
}

fn changes(work: &Work, unit: LengthUnit) -> Vec<Change> {
    match &work.kind {
        WorkKind::Basin(basin) => basin_changes(basin, unit),
        WorkKind::FilterBed(bed) => vec![steeper_sides(bed)],
        _ => Vec::new(),
    }
}

fn basin_changes(basin: &Basin, unit: LengthUnit) -> Vec<Change> {
    let mut changes: Vec<Change> =
        (0..basin.rings.len()).filter_map(|ring| smaller_inset(basin, ring, unit)).collect();
    changes.extend(smaller_sump(basin, unit));
    changes
}

/// A ring's runs drawn back.
fn smaller_inset(basin: &Basin, ring: usize, unit: LengthUnit) -> Option<Change> {
    let RingShape::Inset { run_m } = basin.rings[ring].shape.clone() else { return None };
    let most_m = run_m.iter().copied().fold(0.0, f64::max);
    let basin = basin.clone();
    let made = move |share: f64| {
        let mut basin = basin.clone();
        let run_m = run_m.iter().map(|run| run * (1.0 - share)).collect();
        basin.rings[ring].shape = RingShape::Inset { run_m };
        WorkKind::Basin(basin)
    };
    let told = move |share: f64| {
        format!(
            "Set ring {} in by {} at most, not by {}.",
            ring + 1,
            length_text(most_m * (1.0 - share), unit),
            length_text(most_m, unit),
        )
    };
    Some(Change { made: Box::new(made), told: Box::new(told) })
}

/// A sump of a smaller radius.
fn smaller_sump(basin: &Basin, unit: LengthUnit) -> Option<Change> {
    let Floor::Sump { at, radius_m, depth_m } = basin.floor else { return None };
    let basin = basin.clone();
    let made = move |share: f64| {
        let floor = Floor::Sump { at, radius_m: radius_m * (1.0 - 0.99 * share), depth_m };
        WorkKind::Basin(Basin { floor, ..basin.clone() })
    };
    let told = move |share: f64| {
        let most_m = radius_m * (1.0 - 0.99 * share);
        format!("Give the sump a radius of {} at most.", length_text(most_m, unit))
    };
    Some(Change { made: Box::new(made), told: Box::new(told) })
}

/// A filter's sides made steeper.
fn steeper_sides(bed: &FilterBed) -> Change {
    let (bed, side) = (bed.clone(), bed.side);
    let made = move |share: f64| {
        WorkKind::FilterBed(FilterBed { side: side * (1.0 - share), ..bed.clone() })
    };
    let told = move |share: f64| {
        format!("Steepen the sides to {:.2} of run for each of rise.", side * (1.0 - share))
    };
    Change { made: Box::new(made), told: Box::new(told) }
}
