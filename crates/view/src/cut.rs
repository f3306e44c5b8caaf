//! The line along which the garden is cut open, and the section there.
//!
//! The section is made off the main thread from the newest evaluation; until it comes the old one
//! shows.

use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::section::{self, Cutter, Section};
use site::WorkId;

use crate::derive::Derived;
use crate::scene::present::Switch;
use crate::schedule::ViewSet;

/// Where the section runs.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) enum Course {
    /// Along the stream, or along all works.
    #[default]
    Along,
    /// Across one work.
    Across(WorkId),
    /// As somebody drew it.
    Drawn(Vec<[f64; 2]>),
}

/// The line, what it shows, and what the hand does with it: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Cut {
    /// Whether the section is open.
    pub shown: Switch,
    /// Where it runs.
    pub course: Course,
    /// The places of a line that is being drawn.
    pub drawing: Option<Vec<[f64; 2]>>,
    /// The section, once there is one.
    pub section: Option<Arc<Section>>,
    /// The station that the pointer reads, metres.
    pub read_m: Option<f64>,
}

impl Cut {
    /// What the section is called.
    pub(crate) fn name(&self, site: &site::Site) -> String {
        match &self.course {
            Course::Along => "Section through the garden".into(),
            Course::Across(work) => match site.work(*work) {
                Some(work) => format!("Section at {}", work.name),
                None => "Section".into(),
            },
            Course::Drawn(_) => "Section along your line".into(),
        }
    }

    /// Takes a place of the line that is being drawn; the second one ends it unless bends follow.
    pub(crate) fn draw(&mut self, at: [f64; 2], bends: Switch) {
        let Some(places) = &mut self.drawing else { return };
        places.push(at);
        if places.len() > 1 && bends == Switch::Off {
            self.course = Course::Drawn(std::mem::take(places));
            self.drawing = None;
        }
    }

    /// Moves an end of the line; what the garden suggested becomes a straight line of one's own.
    pub(crate) fn pull(&mut self, end: End, to: [f64; 2]) {
        let mut line = match (&self.course, &self.section) {
            (Course::Drawn(line), _) => line.clone(),
            (_, Some(section)) => match section.line_m[..] {
                [first, .., last] => vec![first, last],
                _ => return,
            },
            _ => return,
        };
        let place = match end {
            End::Start => line.first_mut(),
            End::Finish => line.last_mut(),
        };
        if let Some(place) = place {
            *place = to;
        }
        self.course = Course::Drawn(line);
    }
}

/// An end of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Start,
    Finish,
}

/// What a section follows from.
#[derive(Clone, Debug, PartialEq)]
struct Wanted {
    revision: u64,
    course: Course,
}

/// A section under way, with what it is cut from.
type Cutting = Task<(Option<Arc<Cutter>>, Option<Section>)>;

#[derive(Resource, Default)]
struct Work {
    cutter: Option<(u64, Arc<Cutter>)>,
    have: Option<Wanted>,
    under_way: Option<(Wanted, Cutting)>,
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Cut>();
    app.init_resource::<Work>();
    app.add_systems(Update, make.in_set(ViewSet::Derive));
}

fn make(derived: Res<Derived>, mut cut: ResMut<Cut>, mut work: ResMut<Work>) {
    let work = &mut *work;
    if let Some((wanted, task)) = &mut work.under_way {
        let Some((cutter, section)) = block_on(poll_once(task)) else { return };
        work.cutter = cutter.map(|cutter| (wanted.revision, cutter));
        work.have = Some(wanted.clone());
        work.under_way = None;
        cut.section = section.map(Arc::new);
    }
    // While a hand drags, the section is of the newest site that is worked out, not of none.
    let Some((evaluation, site)) = derived.evaluation.clone().zip(derived.site.clone()) else {
        return;
    };
    let wanted = Wanted { revision: derived.revision, course: cut.course.clone() };
    if cut.shown == Switch::Off || work.have.as_ref() == Some(&wanted) {
        return;
    }
    let known = work.cutter.clone().filter(|(revision, _)| *revision == wanted.revision);
    let course = wanted.course.clone();
    let task = AsyncComputeTaskPool::get().spawn(async move {
        let cutter = match known {
            Some((_, cutter)) => Some(cutter),
            None => Cutter::new(&evaluation).map(Arc::new),
        };
        let line = match course {
            Course::Along => section::along(&site, &evaluation),
            Course::Across(work) => section::across(&site, &evaluation, work),
            Course::Drawn(line) => Some(line),
        };
        let section = cutter
            .as_ref()
            .zip(line)
            .and_then(|(cutter, line)| cutter.section(&site, &evaluation, &line));
        (cutter, section)
    });
    work.under_way = Some((wanted, task));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_clicks_draw_a_line_and_bends_ask_for_more() {
        let mut cut = Cut { drawing: Some(Vec::new()), ..Cut::default() };
        cut.draw([0.0, 0.0], Switch::Off);
        cut.draw([1.0, 0.0], Switch::On);
        assert_eq!(cut.course, Course::Along);
        cut.draw([1.0, 2.0], Switch::Off);
        let line = vec![[0.0, 0.0], [1.0, 0.0], [1.0, 2.0]];
        assert_eq!((cut.course.clone(), cut.drawing.clone()), (Course::Drawn(line), None));
        cut.pull(End::Finish, [5.0, 5.0]);
        assert_eq!(cut.course, Course::Drawn(vec![[0.0, 0.0], [1.0, 0.0], [5.0, 5.0]]));
        cut.draw([9.0, 9.0], Switch::Off);
        assert_eq!(cut.course, Course::Drawn(vec![[0.0, 0.0], [1.0, 0.0], [5.0, 5.0]]));
    }
}
