//! What is drawn beside a finding that is read: a hill's fan of falls and its skylines. Worked out off
//! the main thread.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Code, Evaluation, Mound, mounds};
use site::Site;

use crate::choice::Choice;
use crate::derive::Derived;
use crate::document::Document;
use crate::panels::hill::Drawn;
use crate::scene::terrain::Lie;
use crate::schedule::ViewSet;

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

/// The hills that are being measured.
#[derive(Resource, Default)]
pub(crate) struct Work(Option<(u64, Task<Vec<Drawn>>)>);

impl Work {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.0.is_some()
    }
}

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
    let Some(finished) = evaluation.finished.clone().map(Lie::new) else { return Vec::new() };
    let of = |mound: Mound| {
        let level = |at: [f64; 2]| finished.elevation(at).unwrap_or(mound.summit_m[2]);
        let ends_m = mound.fan.iter().map(|ray| [ray.end_m[0], ray.end_m[1], level(ray.end_m)]);
        Drawn { ends_m: ends_m.collect(), mound }
    };
    mounds(site, evaluation).into_iter().map(of).collect()
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
        assert!(!hill.mound.skyline.is_empty(), "it is seen from the viewpoints");
        for sky in &hill.mound.skyline {
            let rise = |at: &[f64; 3]| {
                let [dx, dy, dz] = [0, 1, 2].map(|i| at[i] - sky.eye_m[i]);
                dz / libm::hypot(dx, dy)
            };
            let most = |line: &[[f64; 3]]| line.iter().map(rise).fold(f64::MIN, f64::max);
            let [finished, existing] = &sky.outlines_m;
            assert!(most(finished) >= most(existing), "{}", sky.viewpoint);
        }
    }
}
