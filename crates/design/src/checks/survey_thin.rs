//! Long survey triangles under a work: too few shots to trust its volumes.

use std::collections::BTreeMap;

use ground::Surface;
use site::WorkId;
use units::{area_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::percent;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A work of which less than this share lies on long triangles is well enough surveyed.
const LEAST_SHARE: f64 = 0.25;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let evaluation = seen.evaluation;
    let (Some(existing), Some(finished)) = (&evaluation.existing, &evaluation.finished) else {
        return Vec::new();
    };
    let limit_m = seen.site.limits.survey_spacing_m;
    let longest_m: Vec<f64> =
        (0..existing.faces().len() as u32).map(|face| longest_edge_m(existing, face)).collect();
    if longest_m.iter().all(|&l| l <= limit_m) {
        return Vec::new();
    }
    // One key for each work and for being thin or not; faces of no work have none.
    let order: BTreeMap<u32, usize> =
        evaluation.works.iter().enumerate().map(|(i, outcome)| (outcome.work.0, i)).collect();
    let n_works = evaluation.works.len();
    let key = |from: u32, to: u32| {
        let owner = finished.faces()[to as usize].tag.owner;
        let thin = usize::from(longest_m[from as usize] > limit_m);
        order.get(&owner).map_or(usize::MAX, |i| 2 * i + thin)
    };
    let areas = ground::overlay::volumes_by(existing, finished, key, 2 * n_works);
    let worst = worst_places(existing, finished, &longest_m, &order);
    let finding = |i: usize| {
        let (good_m2, thin_m2) = (areas[2 * i].common_area_m2, areas[2 * i + 1].common_area_m2);
        let share = thin_m2 / (good_m2 + thin_m2);
        let (long_m, at) = *worst.get(&i)?;
        (share > LEAST_SHARE)
            .then(|| finding(seen, evaluation.works[i].work, (thin_m2, share), (long_m, at)))
    };
    (0..n_works).filter_map(finding).collect()
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

fn longest_edge_m(surface: &Surface, face: u32) -> f64 {
    let corners = surface.corners(face).map(|p| surface.lattice().metres(p));
    let edge = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    edge(0).max(edge(1)).max(edge(2))
}

/// For each work the longest triangle under it, by its longest edge and where the two meet.
fn worst_places(
    existing: &Surface,
    finished: &Surface,
    longest_m: &[f64],
    order: &BTreeMap<u32, usize>,
) -> BTreeMap<usize, (f64, [f64; 2])> {
    let step_m = existing.lattice().step_m();
    let mut worst: BTreeMap<usize, (f64, [f64; 2])> = BTreeMap::new();
    ground::overlay::visit_cells(existing, finished, |cell| {
        let owner = finished.faces()[cell.to_face as usize].tag.owner;
        let Some(&i) = order.get(&owner) else { return };
        let long_m = longest_m[cell.from_face as usize];
        if worst.get(&i).is_none_or(|w| long_m > w.0) {
            let n = cell.edges.len() as f64;
            let sum = |of: fn(&ground::overlay::Corner) -> f64| {
                cell.edges.iter().map(|e| of(&e[0])).sum::<f64>() / n * step_m
            };
            let [x, y] = existing.lattice().metres(cell.anchor);
            worst.insert(i, (long_m, [x + sum(|c| c.x), y + sum(|c| c.y)]));
        }
    });
    worst
}
