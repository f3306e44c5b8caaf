//! A drag by script: a handle is held and moved as a hand would move it, and everything follows as it
//! does in a window; only the paper at the edges is not drawn.
//!
//! ```text
//!   handle ──► edit ──► document ──► evaluation ──► scene ──► pieces sent up
//!   |--- frame ---|     |------ off the main thread -----|    |--- frame ---|
//! ```

use std::sync::{Arc, Mutex};
use std::time::Instant;

use bevy::camera::RenderTarget;
use bevy::prelude::*;
use bevy::render::renderer::RenderAdapterInfo;
use design::hand::{Pull, Snaps, Targets, grips};
use site::{Edit, Site, WorkId};

use crate::ViewError;
use crate::derive::Derived;
use crate::document::{Ask, Document, Held as HandHolds};
use crate::hand::held::{Held, Now, Pointer};
use crate::headless::{self, Compiling, target};
use crate::look::{Eye, Look, Pane};
use crate::quality::Quality;
use crate::scene;
use crate::scene::present::{Shown, Switch};

/// How long things took, in milliseconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// How often it was taken.
    pub n: usize,
    /// Half of them took no longer.
    pub median_ms: f64,
    /// The longest.
    pub worst_ms: f64,
}

/// What was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct DragTimes {
    /// The adapter's own name.
    pub adapter: String,
    /// The handle that was dragged.
    pub handle: String,
    /// From one frame to the next, all frames of the drag.
    pub frame: Spread,
    /// The same, of frames that sent a changed scene up.
    pub sending: Spread,
    /// What snapping, the handle and its edit took of a frame.
    pub hand: Spread,
    /// From an edit to the numbers that follow from it, or from a later one: balance, findings, card.
    pub numbers: Spread,
    /// From an edit to the frame that draws its ground, or a later one's.
    pub ground: Spread,
    /// Pieces that went up with each changed scene, the mean.
    pub sent: f64,
    /// What the parts of a scene took to compose off the main thread, by name.
    pub parts: Vec<(&'static str, Spread)>,
}

/// Drags the first handle of a work's main line to and fro in `n_steps` steps, one for each frame.
///
/// # Errors
/// [`ViewError::NoAdapter`] without any graphics driver, [`ViewError::NoGround`] when the site has no
/// ground or the work no handle, [`ViewError::Lost`] when drawing breaks off.
pub fn drag(
    site: &Site,
    work: WorkId,
    size: [u32; 2],
    n_steps: usize,
) -> Result<DragTimes, ViewError> {
    let held = take_hold(site, work).ok_or(ViewError::NoGround)?;
    let first = scene::scene(site, &design::evaluate(site)).ok_or(ViewError::NoGround)?;
    let quality = Quality::of(crate::display::adapter_kind()?);
    let mut app = headless::app(first, quality);
    app.insert_resource(Document::opened(site.clone()));
    app.add_plugins((
        crate::document::plugin,
        crate::derive::plugin,
        crate::play::plugin,
        crate::flow::plugin,
    ));
    let outcome = Arc::new(Mutex::new(None));
    let script = Script {
        handle: held.grip.label.clone(),
        targets: Targets::of(site, Some(work)),
        held,
        size,
        n_steps,
        stage: Stage::Begin,
        last: Instant::now(),
        waiting: Vec::new(),
        frames_ms: Vec::new(),
        sending_ms: Vec::new(),
        hand_ms: Vec::new(),
        numbers_ms: Vec::new(),
        ground_ms: Vec::new(),
        sent: 0,
        parts: Vec::new(),
        changes: 0,
        outcome: outcome.clone(),
    };
    app.insert_resource(script);
    app.add_systems(Update, go_on.before(crate::schedule::ViewSet::Apply));
    let exit = app.run();
    let taken = outcome.lock().ok().and_then(|mut outcome| outcome.take());
    taken.ok_or_else(|| ViewError::Lost(format!("the renderer ended with {exit:?}")))
}

#[derive(Resource)]
struct Script {
    handle: String,
    targets: Targets,
    held: Held,
    size: [u32; 2],
    n_steps: usize,
    stage: Stage,
    last: Instant,
    /// Edits whose numbers or ground are still to come: the revision, when, and whether numbers came.
    waiting: Vec<(u64, Instant, Came)>,
    frames_ms: Vec<f64>,
    sending_ms: Vec<f64>,
    hand_ms: Vec<f64>,
    numbers_ms: Vec<f64>,
    ground_ms: Vec<f64>,
    sent: usize,
    parts: Vec<(&'static str, Vec<f64>)>,
    changes: u64,
    outcome: Arc<Mutex<Option<DragTimes>>>,
}

#[derive(Clone, Copy, PartialEq)]
enum Came {
    Nothing,
    Numbers,
}

#[derive(Clone, Copy)]
enum Stage {
    Begin,
    Warm { frames: u32 },
    Drag { step: usize },
    Settle,
}

/// Frames until shaders are loaded.
const SETTLE: u32 = 3;

/// How far the handle is dragged to either side, metres.
const REACH_M: f64 = 0.3;

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn go_on(
    mut commands: Commands,
    mut script: ResMut<Script>,
    mut images: ResMut<Assets<Image>>,
    mut asks: MessageWriter<Ask>,
    mut exit: MessageWriter<AppExit>,
    (document, derived, shown): (Res<Document>, Res<Derived>, Res<Shown>),
    (quality, compiling): (Res<Quality>, Res<Compiling>),
    adapter: Res<RenderAdapterInfo>,
) {
    let script = &mut *script;
    let now = Instant::now();
    let is_current = shown.revision == document.revision();
    script.stage = match script.stage {
        Stage::Begin => {
            let Some(scene) = &shown.scene else { return };
            let pane = Pane::bare(script.size.map(f64::from));
            let mut eye = Eye::first(document.site(), scene, &pane);
            eye.look = Look::BirdsEye;
            let (pose, radius_m) = (eye.pose(scene), scene.extent.radius_m());
            let bundle = crate::camera::bundle(eye.look, pose, *quality, radius_m, Switch::Off);
            let image = images.add(target(script.size));
            commands.spawn((bundle, RenderTarget::Image(image.into())));
            Stage::Warm { frames: 0 }
        }
        Stage::Warm { frames } if frames < SETTLE || !compiling.is_done() || !is_current => {
            Stage::Warm { frames: frames + 1 }
        }
        Stage::Warm { .. } => {
            script.changes = shown.changes;
            Stage::Drag { step: 0 }
        }
        Stage::Drag { step } => {
            script.note(now, (&document, &derived, &shown));
            asks.write(script.step(step));
            script.waiting.push((document.revision() + 1, now, Came::Nothing));
            script.hand_ms.push(now.elapsed().as_secs_f64() * 1e3);
            if step + 1 < script.n_steps { Stage::Drag { step: step + 1 } } else { Stage::Settle }
        }
        Stage::Settle if is_current => {
            script.note(now, (&document, &derived, &shown));
            script.settle(&adapter.name);
            exit.write(AppExit::Success);
            Stage::Settle
        }
        Stage::Settle => {
            script.note(now, (&document, &derived, &shown));
            Stage::Settle
        }
    };
    script.last = now;
}

impl Script {
    /// One step of the hand, as an edit of the document.
    fn step(&mut self, step: usize) -> Ask {
        let angle = std::f64::consts::TAU * step as f64 / 50.0;
        let off = [REACH_M * libm::sin(angle), REACH_M * (1.0 - libm::cos(angle))];
        let at = [0, 1].map(|k| self.held.grip.at[k] + off[k]);
        let pointer = Pointer { at, down: 0.0, reach_m: 0.05 };
        let unit = units::LengthUnit::Metre;
        let pulled = self.held.pull(&pointer, (&self.targets, &Snaps::default()), unit);
        let work = pulled.unwrap_or_else(|_| self.held.work.clone());
        Ask::Edit(Box::new(Edit::SetWork(work)), HandHolds::Dragging)
    }

    /// Notes the frame that has ended and what came within it.
    fn note(&mut self, now: Instant, (_, derived, shown): (&Document, &Derived, &Shown)) {
        let frame_ms = (now - self.last).as_secs_f64() * 1e3;
        self.frames_ms.push(frame_ms);
        if shown.changes != self.changes {
            self.changes = shown.changes;
            self.sending_ms.push(frame_ms);
            self.sent += shown.sent;
            let parts = shown.scene.iter().flat_map(|scene| &scene.laps.parts_ms);
            parts.for_each(|(name, ms)| self.part(name, *ms));
        }
        let (numbers_ms, ground_ms) = (&mut self.numbers_ms, &mut self.ground_ms);
        self.waiting.retain_mut(|(revision, since, came)| {
            let passed_ms = (now - *since).as_secs_f64() * 1e3;
            if *came == Came::Nothing && derived.revision >= *revision {
                *came = Came::Numbers;
                numbers_ms.push(passed_ms);
            }
            let is_drawn = shown.revision >= *revision;
            if is_drawn {
                ground_ms.push(passed_ms);
            }
            !is_drawn
        });
    }

    fn part(&mut self, name: &'static str, ms: f64) {
        match self.parts.iter_mut().find(|(of, _)| *of == name) {
            Some((_, times_ms)) => times_ms.push(ms),
            None => self.parts.push((name, vec![ms])),
        }
    }

    fn settle(&mut self, adapter: &str) {
        let times = DragTimes {
            adapter: adapter.to_owned(),
            handle: self.handle.clone(),
            sent: self.sent as f64 / self.sending_ms.len().max(1) as f64,
            frame: spread(&mut self.frames_ms),
            sending: spread(&mut self.sending_ms),
            hand: spread(&mut self.hand_ms),
            numbers: spread(&mut self.numbers_ms),
            ground: spread(&mut self.ground_ms),
            parts: self.parts.iter_mut().map(|(name, times)| (*name, spread(times))).collect(),
        };
        if let Ok(mut outcome) = self.outcome.lock() {
            *outcome = Some(times);
        }
    }
}

/// The first point of a work's main line in the hand.
fn take_hold(site: &Site, work: WorkId) -> Option<Held> {
    let work = site.work(work)?;
    let grip = grips(work).into_iter().find(|grip| matches!(grip.pull, Pull::Point { .. }))?;
    let now = Now { at: grip.at, ..Now::default() };
    let from = (grip.at, 0.0);
    Some(Held { work: work.clone(), grip, from, rise_per_point_m: 0.01, is_live: true, now })
}

fn spread(times_ms: &mut [f64]) -> Spread {
    times_ms.sort_by(f64::total_cmp);
    let at = |idx: usize| times_ms.get(idx).copied().unwrap_or(0.0);
    let n = times_ms.len();
    Spread { n, median_ms: at(n / 2), worst_ms: at(n.saturating_sub(1)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_has_the_middle_and_the_end() {
        let spread = spread(&mut [3.0, 1.0, 9.0, 2.0, 4.0]);
        assert_eq!(spread, Spread { n: 5, median_ms: 3.0, worst_ms: 9.0 });
    }

    #[test]
    fn every_work_of_the_demo_has_a_handle_that_is_pulled() {
        let site = crate::demo::rear_garden();
        for work in &site.works {
            let mut held = take_hold(&site, work.id).unwrap();
            let at = held.grip.at.map(|c| c + 0.05);
            let pointer = Pointer { at, down: 0.0, reach_m: 0.05 };
            let targets = Targets::of(&site, Some(work.id));
            let unit = units::LengthUnit::Metre;
            let pulled = held.pull(&pointer, (&targets, &Snaps::none()), unit).unwrap();
            assert_ne!(pulled, *work, "{}", work.name);
        }
    }
}
