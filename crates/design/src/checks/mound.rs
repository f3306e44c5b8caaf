//! A hill that reads as a mound: a measure of our own.
//!
//! F is finished and E existing ground. B is the greatest F - E, c the highest built point. Of 72
//! bearings from c, one is *closed* when its ray of length 2 B falls at the natural grade or more on
//! the mean; one that crosses a wall or a fall counts half. C is the closed share, A the long over
//! the short side of the least rectangle around the ground where F - E is at least B / 2, and
//! M = C / A.

mod fan;
mod raised;
mod remedy;
mod skyline;
#[cfg(test)]
mod tests;

use ground::{Locator, Surface, Tag};
use site::{Limits, Site, WorkId, WorkKind};
use units::length_text;

use super::seen::Seen;
use super::words::percent;
use crate::built::{BuiltCells, Measure};
use crate::{Code, Evaluation, Finding, Measured, Remedy, Severity, Unit};

pub use fan::Bearing;
pub(super) use remedy::shoulders;
pub use skyline::Skyline;

const SOURCE: &str = "this program's own measure";

/// A raised hill and how much it reads as a mound.
#[derive(Clone, Debug, PartialEq)]
pub struct Mound {
    /// The hill, filter or wall to which most of the raised ground belongs.
    pub work: Option<WorkId>,
    /// B: the greatest height of finished above existing ground, metres.
    pub height_m: f64,
    /// c: the highest built point, local metres.
    pub summit_m: [f64; 3],
    /// The bearings from c, clockwise from 2.5 degrees east of north, for the fan drawing.
    pub fan: Vec<Bearing>,
    /// C: share of the bearings that are closed, those across a wall or fall by half.
    pub closed: f64,
    /// A: long over short side of the least rectangle around the upper half.
    pub aspect: f64,
    /// M = C / A.
    pub measure: f64,
    /// The corners of that rectangle, local metres.
    pub rectangle_m: [[f64; 2]; 4],
    /// How the hill stands against the sky from each viewpoint that sees it.
    pub skyline: Vec<Skyline>,
}

/// The hills of an evaluated site, each with its measure, its fan and its skyline.
pub fn mounds(site: &Site, evaluation: &Evaluation) -> Vec<Mound> {
    let (Some(existing), Some(finished)) = (&evaluation.existing, &evaluation.finished) else {
        return Vec::new();
    };
    let cells = BuiltCells::between(existing, finished, &Measure::default(), None);
    let (existing, finished) = (Locator::new(&**existing), Locator::new(&**finished));
    let mut found = measured(site, &cells, finished.surface());
    for (mound, raised) in &mut found {
        mound.skyline = skyline::from_viewpoints(site, &existing, &finished, mound, raised);
    }
    found.into_iter().map(|(mound, _)| mound).collect()
}

/// The greatest measure of the hills of an evaluated site, above its limit or not, with the hill that
/// has it; none where no hill is raised. `cells` are what lies between the evaluation's grounds.
pub(crate) fn greatest_measure(
    site: &Site,
    evaluation: &Evaluation,
    cells: &BuiltCells,
) -> Option<(f64, Option<WorkId>)> {
    let found = measured(site, cells, evaluation.finished.as_deref()?);
    let measures = found.into_iter().map(|(mound, _)| (mound.measure, mound.work));
    measures.max_by(|a, b| a.0.total_cmp(&b.0))
}

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(finished) = seen.evaluation.finished.as_deref() else { return Vec::new() };
    let Some(cells) = seen.cells() else { return Vec::new() };
    let limits = &seen.site.limits;
    let found = measured(seen.site, cells, finished);
    let reads = |m: &&(Mound, raised::Raised)| m.0.measure > limits.mound_advice;
    found.iter().filter(reads).map(|(mound, _)| finding(seen, mound)).collect()
}

fn finding(seen: &Seen<'_>, mound: &Mound) -> Finding {
    let limits = &seen.site.limits;
    let heap = mound.measure > limits.mound_heap;
    let word = if heap { "reads as a heap" } else { "begins to read as a mound" };
    Finding {
        code: Code::ReadsAsMound,
        severity: Severity::LookAt,
        work: mound.work,
        at_m: mound.summit_m,
        measured: Measured {
            value: mound.measure,
            limit: if heap { limits.mound_heap } else { limits.mound_advice },
            unit: Unit::Ratio,
        },
        message: format!(
            "The hill {word}: {} high, it falls away steeply on {} of the circle around its top, \
             and its upper half is {} times as long as wide. Measure {}, advice from {}.",
            length_text(mound.height_m, seen.unit),
            percent(mound.closed),
            tenths(mound.aspect),
            hundredths(mound.measure),
            hundredths(limits.mound_advice),
        ),
        remedy: Some(Remedy {
            message: "Extend a shoulder, or ease the flanks until they meet the natural grade."
                .into(),
            site: None,
        }),
        source: SOURCE,
        caution: None,
    }
}

fn tenths(value: f64) -> String {
    format!("{value:.1}")
}

fn hundredths(value: f64) -> String {
    format!("{value:.2}")
}

/// The raised hills with their measures, in the order of their summits' places.
fn measured(site: &Site, cells: &BuiltCells, finished: &Surface) -> Vec<(Mound, raised::Raised)> {
    // Ground raised along water alone is a rim, not a hill.
    let makes_hill = |tag: Tag| {
        site.work(WorkId(tag.owner)).is_some_and(|work| {
            matches!(work.kind, WorkKind::Hill(_) | WorkKind::FilterBed(_) | WorkKind::Wall(_))
        })
    };
    raised::hills(cells, finished, site.limits.mound_least_height_m, makes_hill)
        .into_iter()
        .filter_map(|raised| Some((measure(&site.limits, finished, &raised)?, raised)))
        .collect()
}

fn measure(limits: &Limits, finished: &Surface, raised: &raised::Raised) -> Option<Mound> {
    let summit_m = raised.summit(finished)?;
    let fan =
        fan::around(finished, summit_m, 2.0 * raised.height_m, 1.0 / limits.natural_run_per_rise);
    let closed = fan.iter().map(|b| b.weight).sum::<f64>() / fan.len() as f64;
    let rectangle = crate::rectangle::least_around(&raised.upper_half())?;
    let aspect = rectangle.long_m / rectangle.short_m;
    Some(Mound {
        work: Some(WorkId(raised.owner)),
        height_m: raised.height_m,
        summit_m,
        fan,
        closed,
        aspect,
        measure: closed / aspect,
        rectangle_m: rectangle.corners_m,
        skyline: Vec::new(),
    })
}
