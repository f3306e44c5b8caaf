//! How long frames take while an edit is dragged, without a window or a display.
//!
//! Every frame shows another evaluation, as if each were ready in time. Frames are paced in one of
//! two ways: each waits until the adapter has drawn it, which tells how long one change takes from the
//! hand to the picture; or the next is made while the adapter draws, as in a window, which tells how
//! many there are in a second.

mod drag;
mod pace;

use std::sync::{Arc, Mutex};
use std::time::Instant;

use bevy::camera::RenderTarget;
use bevy::math::Vec3;
use bevy::prelude::*;
use bevy::render::renderer::RenderAdapterInfo;
use design::Evaluator;
use site::Site;

pub use self::drag::{DragTimes, Spread, drag};
pub use self::pace::Pace;
use self::pace::Waits;
use crate::ViewError;
use crate::headless::{self, Compiling, target};
use crate::look::{Eye, Look, Pane};
use crate::quality::Quality;
use crate::scene::present::{Shown, Switch};
use crate::scene::shape::{Corner, Shape};
use crate::scene::stuff::Stuff;
use crate::scene::{self, Piece, Scene};

/// What is drawn while frames are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// The site with all that stands in it.
    Site,
    /// Bare rolling ground of so many triangles, of which the drag moves a hundredth.
    Ground(usize),
}

/// What to measure.
pub struct MeasureRequest<'a> {
    /// The steps of a drag: the same site with another value in each.
    pub steps: &'a [Site],
    /// What is drawn.
    pub subject: Subject,
    /// How frames follow each other.
    pub pace: Pace,
    /// Width and height in pixels.
    pub size: [u32; 2],
    /// How many frames are counted.
    pub n_frames: usize,
}

/// What was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameTimes {
    /// The adapter's own name.
    pub adapter: String,
    /// Triangles in the scene.
    pub n_triangles: usize,
    /// Pieces in the scene.
    pub n_pieces: usize,
    /// Pieces that went up with each change, the mean.
    pub sent: f64,
    /// Half of the frames took no longer, in milliseconds.
    pub median_ms: f64,
    /// All but a hundredth of the frames took no longer, in milliseconds.
    pub p99_ms: f64,
    /// Of the median, what was spent waiting for the adapter, in milliseconds.
    pub waited_ms: f64,
    /// From the call to the first whole picture, the first evaluation included, in seconds.
    pub first_picture_s: f64,
}

/// Draws the steps of a drag to and fro and times every frame.
///
/// # Errors
/// [`ViewError::NoAdapter`] without any graphics driver, [`ViewError::NoGround`] when the site has
/// no ground, [`ViewError::Lost`] when drawing breaks off.
pub fn measure(request: &MeasureRequest<'_>) -> Result<FrameTimes, ViewError> {
    let start = Instant::now();
    let mut evaluator = Evaluator::default();
    let site = request.steps.first().ok_or(ViewError::NoGround)?;
    let first = compose(site, &mut evaluator, request.subject, 0).ok_or(ViewError::NoGround)?;
    let device = crate::display::adapter_kind()?;
    let mut app = headless::app(first.clone(), Quality::of(device));
    let count = Count {
        start,
        pane: Pane::bare(request.size.map(f64::from)),
        size: request.size,
        site: site.clone(),
        scenes: vec![first],
        rest: request.steps[1..].to_vec(),
        evaluator,
        subject: request.subject,
        n_frames: request.n_frames,
        stage: Stage::Begin,
        last: start,
        times_ms: Vec::new(),
        sent: 0,
        waits: Waits::default(),
        outcome: Arc::default(),
    };
    let outcome = count.outcome.clone();
    pace::install(&mut app, request.pace, count.waits.clone());
    app.insert_resource(count);
    app.add_systems(Update, go_on.before(crate::schedule::ViewSet::Present));
    let exit = app.run();
    let taken = outcome.lock().ok().and_then(|mut outcome| outcome.take());
    taken.ok_or_else(|| ViewError::Lost(format!("the renderer ended with {exit:?}")))
}

#[derive(Resource)]
struct Count {
    start: Instant,
    pane: Pane,
    size: [u32; 2],
    site: Site,
    scenes: Vec<Scene>,
    rest: Vec<Site>,
    evaluator: Evaluator,
    subject: Subject,
    n_frames: usize,
    stage: Stage,
    last: Instant,
    times_ms: Vec<f64>,
    sent: usize,
    waits: Waits,
    outcome: Arc<Mutex<Option<FrameTimes>>>,
}

#[derive(Clone, Copy)]
enum Stage {
    Begin,
    Warm { frames: u32 },
    Drag { frame: usize, first_picture_s: f64 },
}

/// Frames until shaders are loaded.
const SETTLE: u32 = 3;

/// Frames of the drag that are not counted.
const WARM: usize = 20;

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn go_on(
    mut commands: Commands,
    mut count: ResMut<Count>,
    mut images: ResMut<Assets<Image>>,
    mut shown: ResMut<Shown>,
    mut exit: MessageWriter<AppExit>,
    quality: Res<Quality>,
    compiling: Res<Compiling>,
    adapter: Res<RenderAdapterInfo>,
) {
    let count = &mut *count;
    let now = Instant::now();
    count.stage = match count.stage {
        Stage::Begin => {
            let scene = &count.scenes[0];
            let mut eye = Eye::first(&count.site, scene, &count.pane);
            eye.look = Look::BirdsEye;
            let (pose, radius_m) = (eye.pose(scene), scene.extent.radius_m());
            let bundle = crate::camera::bundle(eye.look, pose, *quality, radius_m, Switch::Off);
            let image = images.add(target(count.size));
            commands.spawn((bundle, RenderTarget::Image(image.into())));
            Stage::Warm { frames: 0 }
        }
        Stage::Warm { frames } if frames < SETTLE || !compiling.is_done() => {
            Stage::Warm { frames: frames + 1 }
        }
        Stage::Warm { .. } => {
            let first_picture_s = (now - count.start).as_secs_f64();
            count.compose_rest();
            Stage::Drag { frame: 0, first_picture_s }
        }
        Stage::Drag { frame, first_picture_s } => {
            if frame > WARM {
                count.times_ms.push((now - count.last).as_secs_f64() * 1e3);
                count.sent += shown.sent;
            }
            if count.times_ms.len() >= count.n_frames {
                count.settle(&adapter.name, first_picture_s);
                exit.write(AppExit::Success);
            }
            // To and fro, so that neighbouring steps share what they have in common.
            let n = count.scenes.len();
            let around = frame % (2 * n).saturating_sub(2).max(1);
            let step = if around < n { around } else { 2 * n - 2 - around };
            shown.scene = Some(count.scenes[step].clone());
            shown.changes += 1;
            Stage::Drag { frame: frame + 1, first_picture_s }
        }
    };
    count.last = Instant::now();
}

impl Count {
    fn compose_rest(&mut self) {
        for (k, site) in std::mem::take(&mut self.rest).iter().enumerate() {
            let scene = compose(site, &mut self.evaluator, self.subject, k + 1);
            if let (Some(mut scene), Some(before)) = (scene, self.scenes.last()) {
                scene.share(before);
                self.scenes.push(scene);
            }
        }
    }

    fn settle(&mut self, adapter: &str, first_picture_s: f64) {
        self.times_ms.sort_by(f64::total_cmp);
        let n = self.times_ms.len();
        let at = |share: f64| self.times_ms[((n as f64 * share) as usize).min(n - 1)];
        let pieces = &self.scenes[0].pieces;
        let times = FrameTimes {
            adapter: adapter.to_owned(),
            n_triangles: pieces.values().map(|shape| shape.n_triangles()).sum(),
            n_pieces: pieces.len(),
            sent: self.sent as f64 / n as f64,
            median_ms: at(0.5),
            p99_ms: at(0.99),
            waited_ms: self.waits.median_ms(n),
            first_picture_s,
        };
        if let Ok(mut outcome) = self.outcome.lock() {
            *outcome = Some(times);
        }
    }
}

fn compose(site: &Site, evaluator: &mut Evaluator, subject: Subject, step: usize) -> Option<Scene> {
    let mut scene = scene::scene(site, &evaluator.evaluate(site))?;
    if let Subject::Ground(n_triangles) = subject {
        scene.pieces = rolling(n_triangles, scene.extent, step);
    }
    Some(scene)
}

/// Rolling ground in ten by ten chunks; a step of the drag lifts the one in the middle.
fn rolling(n_triangles: usize, extent: crate::frame::Extent, step: usize) -> scene::Scenery {
    const CHUNKS: i32 = 10;
    let n = ((n_triangles as f64 / 2.0).sqrt() / f64::from(CHUNKS)).ceil().max(1.0) as usize;
    let side_m = (2.0 * extent.radius_m()) as f32;
    let cell = side_m / (n * CHUNKS as usize) as f32;
    let mut pieces = scene::Scenery::new();
    for east in 0..CHUNKS {
        for north in 0..CHUNKS {
            let lift =
                if east == CHUNKS / 2 && north == CHUNKS / 2 { 0.02 * step as f32 } else { 0.0 };
            let mut shape = Shape::default();
            let place = |i: usize, k: usize| {
                let x = (east as usize * n + i) as f32 * cell - 0.5 * side_m;
                let z = (north as usize * n + k) as f32 * cell - 0.5 * side_m;
                Vec3::new(x, 0.4 * ((x * 0.9).sin() + (z * 1.1).cos()) + lift, z)
            };
            let names: Vec<u32> = (0..=n)
                .flat_map(|i| (0..=n).map(move |k| (i, k)))
                .map(|(i, k)| shape.corner(Corner::new(place(i, k), Vec3::Y, Stuff::Lawn)))
                .collect();
            for i in 0..n {
                for k in 0..n {
                    let name = |i: usize, k: usize| names[i * (n + 1) + k];
                    shape.triangle([name(i, k), name(i, k + 1), name(i + 1, k + 1)]);
                    shape.triangle([name(i, k), name(i + 1, k + 1), name(i + 1, k)]);
                }
            }
            pieces.insert(Piece::Ground([east, north]), Arc::new(shape));
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Extent;

    #[test]
    fn rolling_ground_has_the_triangles_asked_for_and_a_drag_moves_one_chunk() {
        let extent = Extent { low: [0.0; 3], high: [30.0, 40.0, 2.0] };
        let still = rolling(20_000, extent, 0);
        let lifted = rolling(20_000, extent, 1);
        let n: usize = still.values().map(|shape| shape.n_triangles()).sum();
        assert_eq!(n, 20_000);
        let moved = still.iter().filter(|(piece, shape)| lifted[piece] != **shape).count();
        assert_eq!(moved, 1);
    }
}
