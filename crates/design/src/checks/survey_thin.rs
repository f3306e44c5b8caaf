//! Long survey triangles under a work: too few shots to trust its volumes.

mod shots;

use std::collections::BTreeMap;

use ground::{Sum, Surface};
use site::{Site, WorkId};
use units::{LengthUnit, area_text, length_text};

pub use shots::shots_wanted;

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::percent;
use crate::built::BuiltCell;
use crate::{Code, Evaluation, Finding, Measured, Remedy, Severity, Unit};

/// A work of which less than this share lies on long triangles is well enough surveyed.
const LEAST_SHARE: f64 = 0.25;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let evaluation = seen.evaluation;
    let (Some(existing), Some(finished)) = (&evaluation.existing, &evaluation.finished) else {
        return Vec::new();
    };
    let limit_m = seen.site.limits.survey_spacing_m;
    // How short others are than the limit says nothing.
    let long_m = |face: u32| {
        if is_short(existing, face, limit_m) { 0.0 } else { longest_edge_m(existing, face) }
    };
    let longest_m: Vec<f64> = (0..existing.faces().len() as u32).map(long_m).collect();
    if longest_m.iter().all(|&l| l <= limit_m) {
        return Vec::new();
    }
    let mut tallies: BTreeMap<WorkId, Tally> = BTreeMap::new();
    for cell in seen.cells().iter().flat_map(|cells| cells.iter()) {
        let owner = finished.faces()[cell.to_face as usize].tag.owner;
        let long_m = longest_m[cell.from_face as usize];
        tallies.entry(WorkId(owner)).or_default().add(&cell, long_m, limit_m);
    }
    let finding = |(&work, tally): (&WorkId, &Tally)| {
        let share = tally.thin.value() / tally.whole.value();
        (share > LEAST_SHARE).then(|| finding(seen, work, (tally.thin.value(), share), tally.worst))
    };
    tallies.iter().filter_map(finding).collect()
}

/// Places that a remedy names; the rest are counted.
const NAMED: usize = 4;

/// The shots to take, counted and placed as the survey's list places them. What they will read
/// nobody knows, so the program cannot take this remedy.
pub(super) fn remedy(site: &Site, evaluation: &Evaluation, work: WorkId) -> Option<Remedy> {
    let shots = shots_wanted(site, evaluation, work);
    let unit = site.frame.unit;
    let [east, north] = site.frame.origin_m;
    let decimal = match unit {
        LengthUnit::FootInch => LengthUnit::Foot,
        other => other,
    };
    let listed = |m: f64| format!("{:.1}", decimal.from_metres(m));
    let named = shots.iter().take(NAMED);
    let named = named.map(|[x, y]| format!("({}, {})", listed(x + east), listed(y + north)));
    let places = named.collect::<Vec<_>>().join(", ");
    let message = match shots.len() {
        0 => return None,
        1 => format!("Shoot one more level before bidding on these volumes: at {places}."),
        n if n <= NAMED => {
            format!("Shoot {n} more levels before bidding on these volumes: at {places}.")
        }
        n => format!(
            "Shoot {n} more levels before bidding on these volumes: at {places} and {} between.",
            n - NAMED,
        ),
    };
    Some(Remedy { message, site: None })
}

/// The ground under one work.
struct Tally {
    whole: Sum,
    thin: Sum,
    /// The longest edge under it, and a place on that triangle.
    worst: (f64, [f64; 2]),
}

impl Default for Tally {
    fn default() -> Self {
        Self { whole: Sum::default(), thin: Sum::default(), worst: (0.0, [f64::NAN; 2]) }
    }
}

impl Tally {
    fn add(&mut self, cell: &BuiltCell<'_>, long_m: f64, limit_m: f64) {
        let area_m2 = cell.area_m2;
        self.whole.add(area_m2);
        if long_m > limit_m {
            self.thin.add(area_m2);
        }
        if long_m > self.worst.0 {
            self.worst = (long_m, cell.middle());
        }
    }
}

fn finding(
    seen: &Seen<'_>,
    work: WorkId,
    (thin_m2, share): (f64, f64),
    (long_m, at): (f64, [f64; 2]),
) -> Finding {
    let limit_m = seen.site.limits.survey_spacing_m;
    Finding {
        code: Code::SurveyThin,
        severity: Severity::LookAt,
        work: Some(work),
        at_m: seen.on_ground(at),
        measured: Measured { value: long_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "{} under this work ({}) has shots farther apart than {}, up to {}.",
            area_text(thin_m2, seen.unit),
            percent(share),
            length_text(limit_m, seen.unit),
            length_text(long_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: "Shoot levels here before bidding on these volumes.".into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

/// Whether all edges of a face are shorter than a limit by more than rounding.
fn is_short(surface: &Surface, face: u32, limit_m: f64) -> bool {
    let corners = surface.corners(face).map(|p| surface.lattice().metres(p));
    let most_m2 = limit_m * limit_m * (1.0 - 1e-9);
    (0..3).all(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        let run = [b[0] - a[0], b[1] - a[1]];
        run[0] * run[0] + run[1] * run[1] < most_m2
    })
}

fn longest_edge_m(surface: &Surface, face: u32) -> f64 {
    let corners = surface.corners(face).map(|p| surface.lattice().metres(p));
    let edge = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    edge(0).max(edge(1)).max(edge(2))
}
