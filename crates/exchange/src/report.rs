//! The report of an evaluated site: JSON for scripts, tables for spreadsheets, plain words for
//! people.

mod digging;
mod handling;
mod json;
mod kept;
mod levels;
mod limits;
mod pictures;
mod running;
mod tables;
mod text;
mod work_done;

#[cfg(test)]
mod tests;

use design::{Evaluation, Severity};
use site::{Site, WorkId};

pub use json::json;
pub use levels::{closing, levels_table, levels_text};
pub use pictures::picture_text;
pub use running::{RUNNING as RUNNING_WATER, Row as WaterRow, rows as water_rows};
pub use tables::{findings_table, works_table};
pub use text::{EARTH, balance_line, earth_rows, text};
pub use work_done::{Evaluated, moved_a_little, work_done_text};

/// Version of the JSON report's keys; none is renamed without a new one.
pub const FORMAT: u32 = 1;

/// Why writing to a string cannot fail.
const STRING: &str = "a string takes any text";

/// What people call a work; its number where the site has lost it.
fn name_of(site: &Site, id: WorkId) -> String {
    site.work(id).map_or_else(|| format!("work {}", id.0), |work| work.name.clone())
}

/// The water that basins hold at rest, in cubic metres.
pub(crate) fn still_water_m3(evaluation: &Evaluation) -> f64 {
    let basins = evaluation.water.iter().filter(|body| body.kind == design::WaterKind::Basin);
    basins.map(|body| body.volume_m3).sum()
}

/// How many findings are as grave as `severity`.
pub fn n_findings(evaluation: &Evaluation, severity: Severity) -> usize {
    evaluation.findings.iter().filter(|finding| finding.severity == severity).count()
}
