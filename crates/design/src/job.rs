//! The job in steps: the ground after each, what has moved by then, and where it must wait.
//!
//! ```text
//!   surveyed > stripped > dug, lift by lift > raised, lift by lift > lined > built > filled with water
//! ```
//! Digging goes down by lifts below the existing ground and no deeper than the subgrade; fill comes up
//! by lifts above the stripped ground and no higher. The last ground of both is the subgrade itself.

use std::sync::Arc;

use ground::Surface;
use ground::overlay::{Domain, Keep, Rooted, compose, volumes};
use site::{Site, WorkKind};
use units::length_text;

use crate::Evaluation;

/// One step of the job.
#[derive(Clone, Debug)]
pub struct Step {
    /// What is done in it, as a crew would say.
    pub name: String,
    /// The ground after it.
    pub ground: Arc<Surface>,
    /// How far the garden is built on that ground.
    pub built: Built,
    /// Subsoil dug by then, in the bank, cubic metres.
    pub cut_m3: f64,
    /// Fill placed by then, compacted, cubic metres.
    pub fill_m3: f64,
    /// Trucks of subsoil that have gone or come by then, if they keep pace; none where they are not
    /// known.
    pub loads: Option<u32>,
    /// What must be seen to before the next step begins.
    pub wait: Option<&'static str>,
}

/// How far the garden is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Built {
    /// Nothing is: the garden as surveyed.
    Nothing,
    /// The earth is moved.
    Earth,
    /// The liner lies on it.
    Liner,
    /// Stone, gravel, soil and plants are in.
    Dry,
    /// Water stands and runs.
    Water,
}

/// Before anything is dug.
const BEFORE: &str = "Permits in hand, buried lines marked and uncovered by hand, neighbours told; \
                      local codes and the utilities decide.";
/// When the hole is open.
const OPEN: &str = "An open hole: a competent person looks at its banks before anybody goes in and \
                    after rain; it is fenced and kept drained.";
/// When walls and fill stand.
const RAISED: &str = "Walls and fill: whoever inspects footings, backfill and compaction sees them \
                      before they are covered.";
/// When the liner lies.
const LINED: &str = "The liner: tried for leaks, pipes through it and the drain under it seen, before \
                     stone covers them.";
/// Before the pump runs.
const WIRED: &str = "Electricity near water: a licensed electrician connects the pump, behind a \
                     ground-fault interrupter, and it is inspected before it runs.";

/// More lifts than this are drawn as fewer, higher ones.
const MOST_LIFTS: usize = 8;

/// Volumes below this are none, cubic metres.
const LEAST_M3: f64 = 1e-6;

/// The steps of the job, from the survey to the water; empty without ground or works.
pub fn job(site: &Site, evaluation: &Evaluation) -> Vec<Step> {
    let (Some(existing), Some(between)) = (&evaluation.existing, &evaluation.between) else {
        return Vec::new();
    };
    let mut job = Job { site, evaluation, steps: Vec::new() };
    job.step("As surveyed", existing, Built::Nothing, Some(BEFORE));
    if between.stripped_m2 > 0.0 {
        job.step("Topsoil stripped and heaped", &between.stripped, Built::Earth, None);
    }
    let dug = Arc::new(laid(&between.stripped, &between.subgrade, Keep::Lowest));
    job.dig(existing, &between.stripped, &dug);
    job.raise(&between.stripped, &dug, &between.subgrade);
    job.trenches(&between.subgrade);
    if between.liner.is_some() {
        job.step("Liner laid", &between.subgrade, Built::Liner, Some(LINED));
    }
    if let Some(finished) = evaluation.finished.as_ref().filter(|_| !evaluation.works.is_empty()) {
        let is_wet = !evaluation.water.is_empty();
        let wait = is_wet.then_some(WIRED);
        job.step("Stone, gravel and soil placed, planted", finished, Built::Dry, wait);
        if is_wet {
            job.step("Filled, and the pump runs", finished, Built::Water, None);
        }
    }
    job.steps
}

/// The steps so far.
struct Job<'a> {
    site: &'a Site,
    evaluation: &'a Evaluation,
    steps: Vec<Step>,
}

impl Job<'_> {
    /// Adds a step at which no more has moved than before.
    fn step(
        &mut self,
        name: &str,
        ground: &Arc<Surface>,
        built: Built,
        wait: Option<&'static str>,
    ) {
        let moved = self.steps.last().map_or([0.0; 2], |step| [step.cut_m3, step.fill_m3]);
        self.push(name.into(), ground, built, moved, wait);
    }

    fn push(
        &mut self,
        name: String,
        ground: &Arc<Surface>,
        built: Built,
        [cut_m3, fill_m3]: [f64; 2],
        wait: Option<&'static str>,
    ) {
        let loads = self.loads([cut_m3, fill_m3]);
        let ground = Arc::clone(ground);
        self.steps.push(Step { name, ground, built, cut_m3, fill_m3, loads, wait });
    }

    /// Trucks by then: they take spoil away as it is dug, or bring fill as it is placed.
    fn loads(&self, [cut_m3, fill_m3]: [f64; 2]) -> Option<u32> {
        let earth = &self.evaluation.earth;
        let (done, whole) = if earth.spoil_bank_m3 >= 0.0 {
            (cut_m3, earth.cut_bank_m3)
        } else {
            (fill_m3, earth.fill_compacted_m3)
        };
        let all = self.evaluation.haul.loads?;
        if done < LEAST_M3 {
            return Some(0);
        }
        Some((f64::from(all) * (done / whole) + 1e-9).floor() as u32)
    }

    /// Digs lift by lift.
    fn dig(&mut self, existing: &Surface, stripped: &Arc<Surface>, dug: &Arc<Surface>) {
        let whole = volumes(stripped, dug);
        if whole.cut_m3 < LEAST_M3 {
            return;
        }
        let depths_m = lifts(volumes(existing, dug).deepest_cut_m, self.site.digging.lift_m);
        let Some((&deepest_m, before)) = depths_m.split_last() else { return };
        for &depth_m in before {
            let floor = laid(dug, &existing.raised(-depth_m), Keep::Highest);
            let ground = Arc::new(laid(&floor, stripped, Keep::Lowest));
            let cut_m3 = volumes(stripped, &ground).cut_m3;
            self.push(self.dug_to(depth_m), &ground, Built::Earth, [cut_m3, 0.0], None);
        }
        let moved = [whole.cut_m3, 0.0];
        self.push(self.dug_to(deepest_m), dug, Built::Earth, moved, Some(OPEN));
    }

    fn dug_to(&self, depth_m: f64) -> String {
        format!("Dug to {} below the old ground", length_text(depth_m, self.site.frame.unit))
    }

    /// Places fill lift by lift, walls with it.
    fn raise(&mut self, stripped: &Surface, dug: &Surface, subgrade: &Arc<Surface>) {
        let whole = volumes(dug, subgrade);
        if whole.fill_m3 < LEAST_M3 {
            return;
        }
        let cut_m3 = self.steps.last().map_or(0.0, |step| step.cut_m3);
        let walls = self.site.works.iter().any(|work| {
            work.visible && matches!(work.kind, WorkKind::Wall(_) | WorkKind::FilterBed(_))
        });
        let what = if walls { "Walls and fill" } else { "Fill" };
        let name = |height_m: f64| {
            let unit = self.site.frame.unit;
            format!("{what} up to {} above the stripped ground", length_text(height_m, unit))
        };
        let highest_m = volumes(stripped, subgrade).highest_fill_m;
        let heights_m = lifts(highest_m, self.site.digging.lift_m);
        let Some((&last_m, before)) = heights_m.split_last() else { return };
        let last_name = name(last_m);
        let grounds: Vec<(String, Arc<Surface>)> = (before.iter())
            .map(|&height_m| {
                let capped = laid(subgrade, &stripped.raised(height_m), Keep::Lowest);
                (name(height_m), Arc::new(laid(&capped, dug, Keep::Highest)))
            })
            .collect();
        for (name, ground) in grounds {
            let fill_m3 = volumes(dug, &ground).fill_m3;
            self.push(name, &ground, Built::Earth, [cut_m3, fill_m3], None);
        }
        self.push(last_name, subgrade, Built::Earth, [cut_m3, whole.fill_m3], Some(RAISED));
    }

    /// Trenches change no ground, but earth moves for them.
    fn trenches(&mut self, subgrade: &Arc<Surface>) {
        let earth = &self.evaluation.earth;
        let moved = self.steps.last().map_or([0.0; 2], |step| [step.cut_m3, step.fill_m3]);
        let whole = [earth.cut_bank_m3, earth.fill_compacted_m3];
        if whole[0] - moved[0] > LEAST_M3 || whole[1] - moved[1] > LEAST_M3 {
            let name = "Trenches dug, pipes laid, filled again".into();
            self.push(name, subgrade, Built::Earth, whole, None);
        }
    }
}

/// Ends of lifts of one height up to a whole one, and the whole; fewer, higher ones where they are many.
fn lifts(whole_m: f64, lift_m: f64) -> Vec<f64> {
    if !(whole_m > 0.0 && lift_m > 0.0) {
        return Vec::new();
    }
    let n = (whole_m / lift_m).ceil().max(1.0);
    let every_m = lift_m * (n / MOST_LIFTS as f64).ceil();
    let n_drawn = (whole_m / every_m).ceil().max(1.0) as usize;
    (1..n_drawn).map(|k| k as f64 * every_m).chain([whole_m]).collect()
}

/// The higher or the lower of two grounds.
fn laid(ground: &Surface, other: &Surface, keep: Keep) -> Surface {
    compose(ground, other, keep, Domain::Ground, Rooted::Anywhere).surface
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lifts_end_at_the_whole_and_are_few() {
        assert_eq!(lifts(0.7, 0.3), [0.3, 0.6, 0.7]);
        assert_eq!(lifts(0.6, 0.3), [0.3, 0.6]);
        assert_eq!(lifts(0.0, 0.3), []);
        assert_eq!(lifts(f64::NAN, 0.3), []);
        let many = lifts(9.0, 0.3);
        assert!(many.len() <= MOST_LIFTS && many.last() == Some(&9.0), "{many:?}");
    }
}
