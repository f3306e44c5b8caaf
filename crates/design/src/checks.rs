//! The checks: what is wrong or worth a look, one file for each code.
//!
//! A check reads the site and its evaluation and measures in closed form, so that findings keep up
//! with a drag. Where the remedy has a closed form too, the finding carries it with the edited site;
//! [`Evaluator::remedy`](crate::Evaluator::remedy) takes it, proves that it clears the finding, and says what earth it takes. Remedies
//! that need trial evaluations (the shoulder of a hill) are computed there alone, when asked for.

mod bank_unsafe_to_dig;
mod bare_soil_drains_in;
mod beyond_survey;
mod buried_line_near;
mod circuit_incomplete;
mod crest_runs_thick;
mod crest_runs_thin;
mod dead_corner;
mod drainage;
mod drains_to_house;
mod fall_overshoots_liner;
mod fill_underfoot;
mod flank_too_steep;
pub(crate) mod groundwater_lifts_liner;
mod lawn_too_steep;
mod line;
mod liner_subgrade;
mod loads;
mod mound;
pub(crate) mod near;
mod order_trap;
mod over_boundary;
mod overflow_runs_to_house;
mod overflow_too_small;
mod pipe_runs_fast;
mod pump_falls_short;
mod remedy;
mod rim_low;
mod root_zone_cut;
mod runoff_enters_pond;
mod same;
mod seen;
mod shelf_out_of_range;
mod split_starves_a_side;
mod standing;
mod start_starves_pump;
mod stop_floods_rim;
mod stream_does_not_close;
mod survey_suspect;
mod survey_thin;
mod too_deep_here;
mod trials;
mod walk_out_of_range;
mod wall_below_lip;
mod wall_needs_engineer;
mod wall_too_light;
mod water_from_summit;
mod watered;
mod words;
mod work_has_no_shape;
mod worked;

use std::sync::atomic::{AtomicUsize, Ordering};

use ground::Surface;
use site::{House, Site};

use crate::threads::Threads;
use crate::{Code, Evaluation, Finding};

pub(crate) use drainage::{Drainage, Pond as DrainedPond};
pub(crate) use line::Line;
pub(crate) use mound::greatest_measure;
pub use mound::{Bearing, Mound, Skyline, mounds};
pub use remedy::remedy;
pub(crate) use seen::{Beside, Seen};
pub use survey_thin::shots_wanted;
pub(crate) use wall_below_lip::shortfalls;
pub(crate) use words::compass;

/// Levels nearer than this are equal, metres: a thousandth of what a crew can set.
const SAME_LEVEL_M: f64 = 1e-6;

/// Stands as the source of limits that the trade keeps without one.
const COMMON_PRACTICE: &str = "common practice";

/// The area of the ground outside each house whose rain comes to its walls, square metres.
pub(crate) fn at_houses(surface: &Surface, houses: &[House]) -> Vec<f64> {
    drains_to_house::gathers::at_houses(surface, houses)
}

/// A check: everything that it finds.
type Check = fn(&Seen<'_>) -> Vec<Finding>;

/// The checks by the code of what each finds, those first that take longest.
const CHECKS: [(Code, Check); 39] = [
    // What several ask for is made by the first of them, long before the others come.
    (Code::DeadCorner, dead_corner::check),
    (Code::BareSoilDrainsIn, bare_soil_drains_in::check),
    (Code::DrainsToHouse, drains_to_house::check),
    (Code::ReadsAsMound, mound::check),
    (Code::BankUnsafeToDig, bank_unsafe_to_dig::check),
    (Code::SurveyThin, survey_thin::check),
    (Code::OrderTrap, order_trap::check),
    (Code::WaterFromSummit, water_from_summit::check),
    (Code::CircuitIncomplete, circuit_incomplete::check),
    (Code::PumpFallsShort, pump_falls_short::check),
    (Code::PipeRunsFast, pipe_runs_fast::check),
    (Code::CrestRunsThin, crest_runs_thin::check),
    (Code::CrestRunsThick, crest_runs_thick::check),
    (Code::SplitStarves, split_starves_a_side::check),
    (Code::FallOvershoots, fall_overshoots_liner::check),
    (Code::StartStarvesPump, start_starves_pump::check),
    (Code::StopFloodsRim, stop_floods_rim::check),
    (Code::OverflowTooSmall, overflow_too_small::check),
    (Code::OverflowRunsToHouse, overflow_runs_to_house::check),
    (Code::RunoffEntersPond, runoff_enters_pond::check),
    (Code::FillUnderfoot, fill_underfoot::check),
    (Code::RimLow, rim_low::check),
    (Code::FlankTooSteep, flank_too_steep::check),
    (Code::WallBelowLip, wall_below_lip::check),
    (Code::StreamDoesNotClose, stream_does_not_close::check),
    (Code::WallNeedsEngineer, wall_needs_engineer::check),
    (Code::WallTooLight, wall_too_light::check),
    (Code::ShelfOutOfRange, shelf_out_of_range::check),
    (Code::LinerSubgrade, liner_subgrade::check),
    (Code::WalkOutOfRange, walk_out_of_range::check),
    (Code::LawnTooSteep, lawn_too_steep::check),
    (Code::TooDeepHere, too_deep_here::check),
    (Code::GroundwaterLiftsLiner, groundwater_lifts_liner::check),
    (Code::RootZoneCut, root_zone_cut::check),
    (Code::BuriedLineNear, buried_line_near::check),
    (Code::OverBoundary, over_boundary::check),
    (Code::SurveySuspect, survey_suspect::check),
    (Code::BeyondSurvey, beyond_survey::check),
    (Code::WorkHasNoShape, work_has_no_shape::check),
];

/// Everything that the checks find in an evaluated site, the gravest first.
pub(crate) fn all(
    site: &Site,
    evaluation: &Evaluation,
    beside: Beside<'_>,
    threads: Threads,
) -> Vec<Finding> {
    let seen = Seen::new(site, evaluation).beside(beside);
    let waiting = AtomicUsize::new(0);
    let look = || {
        let mut found = Vec::new();
        while let Some((place, (_, check))) = next_of(&CHECKS, &waiting) {
            found.push((place, check(&seen)));
        }
        found
    };
    let (beside, here) = threads.both(look, look);
    let mut found = [beside, here].concat();
    found.sort_by_key(|(place, _)| *place);
    let mut findings: Vec<Finding> = found.into_iter().flat_map(|(_, found)| found).collect();
    // Within a severity the order of the codes, the works and the places: a stable sort keeps it.
    findings.sort_by(|a, b| {
        (b.severity.cmp(&a.severity)).then(a.code.cmp(&b.code)).then(a.work.cmp(&b.work))
    });
    findings
}

/// What the check of one code finds.
pub(crate) fn of_code(
    code: Code,
    site: &Site,
    evaluation: &Evaluation,
    beside: Beside<'_>,
) -> Vec<Finding> {
    let seen = Seen::new(site, evaluation).beside(beside);
    let of_code = CHECKS.iter().filter(|(of, _)| *of == code);
    of_code.flat_map(|(_, check)| check(&seen)).collect()
}

/// The next thing of a list that nobody has taken, with its place.
fn next_of<T: Copy>(list: &[T], waiting: &AtomicUsize) -> Option<(usize, T)> {
    let place = waiting.fetch_add(1, Ordering::Relaxed);
    Some((place, *list.get(place)?))
}
