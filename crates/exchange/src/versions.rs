//! Two versions of a site side by side, as JSON and in plain words.

mod changes;
mod json;
mod text;

#[cfg(test)]
mod tests;

use design::{Evaluation, Severity, Versions};
use site::{Site, WorkId};

use crate::report::n_findings;

pub use json::json;
pub use text::{Row, differing, rows, text};

/// The numbers of one version that stand side by side, in SI; none where the survey makes no ground.
#[derive(Clone, Debug, PartialEq)]
struct Numbers {
    cut_bank_m3: Option<f64>,
    fill_compacted_m3: Option<f64>,
    recut_m3: Option<f64>,
    spoil_bank_m3: Option<f64>,
    loads: Option<u32>,
    water_m3: Option<f64>,
    n_stop: usize,
    n_look_at: usize,
}

impl Numbers {
    fn of(evaluation: &Evaluation) -> Self {
        let known = |value: f64| Some(value).filter(|value| value.is_finite());
        let earth = &evaluation.earth;
        let water_m3 = crate::report::still_water_m3(evaluation);
        Self {
            cut_bank_m3: known(earth.cut_bank_m3),
            fill_compacted_m3: known(earth.fill_compacted_m3),
            recut_m3: known(earth.recut_m3),
            spoil_bank_m3: known(earth.spoil_bank_m3),
            loads: evaluation.haul.loads,
            water_m3: evaluation.finished.is_some().then_some(water_m3),
            n_stop: n_findings(evaluation, Severity::Stop),
            n_look_at: n_findings(evaluation, Severity::LookAt),
        }
    }
}

/// Cut and fill of one work in both versions; none where a version does not build it.
#[derive(Clone, Debug, PartialEq)]
struct WorkNumbers {
    name: String,
    moved_m3: [Option<[f64; 2]>; 2],
}

/// The works that either version builds: in the order of the first, then those it has not.
fn works(versions: &Versions<'_>) -> Vec<WorkNumbers> {
    let [a, b] = &versions.evaluations;
    let first: Vec<WorkId> = a.works.iter().map(|outcome| outcome.work).collect();
    let later = b.works.iter().map(|outcome| outcome.work).filter(|id| !first.contains(id));
    let ids = first.iter().copied().chain(later);
    let moved = |evaluation: &Evaluation, id| {
        let outcome = evaluation.works.iter().find(|outcome| outcome.work == id);
        outcome.map(|outcome| [outcome.cut_m3, outcome.fill_m3])
    };
    let row =
        |id| WorkNumbers { name: work_name(versions, id), moved_m3: [moved(a, id), moved(b, id)] };
    ids.map(row).collect()
}

/// What people call a work in the first version that has it.
fn work_name(versions: &Versions<'_>, id: WorkId) -> String {
    name_in(versions.sites.each_ref().map(|site| &**site), id)
}

fn name_in(sites: [&Site; 2], id: WorkId) -> String {
    let mut named = sites.into_iter().filter_map(|site| site.work(id));
    named.next().map_or_else(|| format!("work {}", id.0), |work| work.name.clone())
}
