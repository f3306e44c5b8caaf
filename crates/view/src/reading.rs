//! What is drawn beside a finding that is read: a hill's fan of falls and its skylines. Worked out off
//! the main thread.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Code, Evaluation, Mound, Skyline, mounds};
use site::Site;

use crate::choice::Choice;
use crate::derive::Derived;
use crate::document::Document;
use crate::panels::hill::{Drawn, Outline};
use crate::scene::terrain::Lie;
use crate::schedule::ViewSet;

/// Directions in which an outline is looked for, on both sides of the hill, and how wide that is.
const N_DIRECTIONS: i32 = 45;
const HALF_RAD: f64 = 0.75;
/// Steps along a line of sight, and where it ends, metres.
const STRIDE_M: f64 = 0.15;
const REACH_M: f64 = 60.0;

/// The hills of the document as it stands, once somebody reads of one: view state.
#[derive(Resource, Default)]
pub(crate) struct Reading {
    hills: Option<(u64, Arc<Vec<Drawn>>)>,
}

impl Reading {
    /// The hill that a finding is about.
    pub(crate) fn hill(&self, revision: u64, finding: &design::Finding) -> Option<&Drawn> {
        let (of, hills) = self.hills.as_ref()?;
        let is_meant = |drawn: &&Drawn| finding.work.is_some() && drawn.mound.work == finding.work;
        // Water from a summit is told of the filter that stands there: its hill is the nearest.
        let off_m = |drawn: &Drawn| {
            let [x, y] = [0, 1].map(|i| drawn.mound.summit_m[i] - finding.at_m[i]);
            libm::hypot(x, y)
        };
        let nearest = || hills.iter().min_by(|a, b| off_m(a).total_cmp(&off_m(b)));
        hills.iter().find(is_meant).or_else(nearest).filter(|_| *of == revision)
    }
}

/// Whether a finding is about how a hill stands.
pub(crate) fn is_of_hill(code: Code) -> bool {
    matches!(code, Code::ReadsAsMound | Code::WaterFromSummit)
}

#[derive(Resource, Default)]
struct Work(Option<(u64, Task<Vec<Drawn>>)>);

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Reading>();
    app.init_resource::<Work>();
    app.add_systems(Update, read.in_set(ViewSet::Derive));
}

fn read(
    document: Res<Document>,
    derived: Res<Derived>,
    choice: Res<Choice>,
    mut reading: ResMut<Reading>,
    mut work: ResMut<Work>,
) {
    if let Some((of, task)) = &mut work.0 {
        let Some(hills) = block_on(poll_once(task)) else { return };
        reading.hills = Some((*of, Arc::new(hills)));
        work.0 = None;
    }
    let revision = derived.revision;
    let Some(evaluation) = derived.evaluation.clone().filter(|_| revision == document.revision())
    else {
        return;
    };
    let read = choice.finding.and_then(|idx| evaluation.findings.get(idx));
    let is_known = reading.hills.as_ref().is_some_and(|(of, _)| *of == revision);
    if read.is_some_and(|finding| is_of_hill(finding.code)) && !is_known {
        let site = document.site().clone();
        let task = AsyncComputeTaskPool::get().spawn(async move { drawn(&site, &evaluation) });
        work.0 = Some((revision, task));
    }
}

/// The hills with what is drawn of them.
fn drawn(site: &Site, evaluation: &Evaluation) -> Vec<Drawn> {
    let (Some(existing), Some(finished)) = (&evaluation.existing, &evaluation.finished) else {
        return Vec::new();
    };
    let lies = [Lie::new(finished.clone()), Lie::new(existing.clone())];
    let of = |mound: Mound| {
        let level = |at: [f64; 2]| lies[0].elevation(at).unwrap_or(mound.summit_m[2]);
        let ends_m = mound.fan.iter().map(|ray| [ray.end_m[0], ray.end_m[1], level(ray.end_m)]);
        let outlines = mound.skyline.iter().map(|sky| outline(sky, mound.summit_m, &lies));
        Drawn { ends_m: ends_m.collect(), outlines: outlines.collect(), mound }
    };
    mounds(site, evaluation).into_iter().map(of).collect()
}

/// The outline that an eye sees around a hill.
fn outline(sky: &Skyline, summit_m: [f64; 3], [finished, existing]: &[Lie; 2]) -> Outline {
    let heading = libm::atan2(summit_m[1] - sky.eye_m[1], summit_m[0] - sky.eye_m[0]);
    let highest = |lie: &Lie| -> Vec<[f64; 3]> {
        (-N_DIRECTIONS..=N_DIRECTIONS)
            .filter_map(|k| {
                let turn = HALF_RAD * f64::from(k) / f64::from(N_DIRECTIONS);
                highest_along(lie, sky.eye_m, heading - turn)
            })
            .collect()
    };
    Outline {
        viewpoint: sky.viewpoint.clone(),
        eye_m: sky.eye_m,
        finished_m: highest(finished),
        existing_m: highest(existing),
        above_deg: sky.above_rad.to_degrees(),
        shoulders: sky.shoulders,
    }
}

/// The ground that stands highest before the sky in one direction.
fn highest_along(lie: &Lie, eye_m: [f64; 3], heading: f64) -> Option<[f64; 3]> {
    let (s, c) = libm::sincos(heading);
    let mut highest: Option<(f64, [f64; 3])> = None;
    let n = (REACH_M / STRIDE_M) as usize;
    for k in 6..n {
        let away = k as f64 * STRIDE_M;
        let at = [eye_m[0] + away * c, eye_m[1] + away * s];
        let Some(z) = lie.elevation(at) else { break };
        let rise = (z - eye_m[2]) / away;
        if highest.is_none_or(|(most, _)| rise > most) {
            highest = Some((rise, [at[0], at[1], z]));
        }
    }
    highest.map(|(_, at)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hill_is_drawn_with_every_ray_and_its_outline_never_falls_below_what_was_there() {
        let site = crate::demo::rear_garden();
        let hills = drawn(&site, &design::evaluate(&site));
        let hill = hills.first().expect("the demo has a hill");
        assert_eq!(hill.ends_m.len(), hill.mound.fan.len());
        assert!(!hill.outlines.is_empty(), "it is seen from the viewpoints");
        for outline in &hill.outlines {
            let rise = |at: &[f64; 3]| {
                let [dx, dy, dz] = [0, 1, 2].map(|i| at[i] - outline.eye_m[i]);
                dz / libm::hypot(dx, dy)
            };
            let most = |line: &[[f64; 3]]| line.iter().map(rise).fold(f64::MIN, f64::max);
            assert!(
                most(&outline.finished_m) >= most(&outline.existing_m),
                "{}",
                outline.viewpoint
            );
        }
    }
}
