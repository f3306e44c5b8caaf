//! The window.

use std::panic::{self, AssertUnwindSafe};
use std::sync::Arc;
use std::time::Duration;

use bevy::log::LogPlugin;
use bevy::prelude::*;
use bevy::window::WindowResolution;
use bevy::winit::{UpdateMode, WinitSettings};
use bevy_egui::EguiPlugin;

use crate::camera::motion::{Glide, Motion};
use crate::document::Document;
use crate::keep::{Memory, Opened, Start};
use crate::lost::{self, Lost};
use crate::quality::Quality;
use crate::scene::present::Switch;
use crate::{
    ViewError, beside, camera, cut, derive, document, flow, hints, order, paste, play, probe,
    proposal, quality, reading, scene, schedule, screen, solving, stamps, start,
};

/// What a window is opened on.
pub struct OpenRequest {
    /// The site; none for a window in which one is begun.
    pub opened: Option<Opened>,
    /// Begins sites.
    pub start: Arc<dyn Start>,
    /// What the person has read before.
    pub memory: Memory,
    /// Width and height of the window in points.
    pub size: [u32; 2],
}

/// Opens the view of a site, or a window in which one is begun, and runs it until it is closed.
///
/// # Errors
/// [`ViewError::NoDisplay`] without a screen, [`ViewError::Refused`] where it lets nobody in,
/// [`ViewError::NoWindow`] without a window's libraries, [`ViewError::NoAdapter`] without a graphics
/// driver, [`ViewError::Lost`] when the view ends with an error.
pub fn open(request: OpenRequest) -> Result<(), ViewError> {
    let _display = crate::display::display()?;
    crate::display::adapter()?;
    let lost = Lost::default();
    let mut app = window(request.size)?;
    furnish(&mut app, request);
    app.insert_resource(lost.clone()).insert_resource(lost::handler());
    let exit = app.run();
    if exit.is_success() {
        return Ok(());
    }
    Err(ViewError::Lost(lost.take().unwrap_or_else(|| format!("{exit:?}"))))
}

/// The engine with its window.
///
/// Its own way to say that there can be none is a panic, which is no news to a person.
fn window([width, height]: [u32; 2]) -> Result<App, ViewError> {
    let window = Window {
        title: "Tarnwright".to_owned(),
        resolution: WindowResolution::new(width, height),
        ..default()
    };
    let plugins = DefaultPlugins
        .set(WindowPlugin { primary_window: Some(window), ..default() })
        .disable::<LogPlugin>();
    let told = panic::take_hook();
    panic::set_hook(Box::new(|_| {}));
    let built = panic::catch_unwind(AssertUnwindSafe(|| {
        let mut app = App::new();
        app.add_plugins(plugins);
        app
    }));
    panic::set_hook(told);
    built.map_err(|_| ViewError::NoWindow)
}

/// Everything of ours.
fn furnish(app: &mut App, request: OpenRequest) {
    app.add_plugins(EguiPlugin::default());
    app.insert_resource(Document::empty());
    app.insert_resource(hints::Hints::of(request.memory));
    app.insert_resource(start::Starting::of(request.start, request.opened));
    app.add_plugins((
        schedule::plugin,
        quality::plugin,
        document::plugin,
        derive::plugin,
        cut::plugin,
        play::plugin,
        flow::plugin,
        proposal::plugin,
        reading::plugin,
        solving::plugin,
        scene::plugin,
        camera::plugin,
        screen::plugin,
        probe::plugin,
    ));
    app.add_plugins((hints::plugin, order::plugin, paste::plugin, stamps::plugin, start::plugin));
    app.add_plugins((scene::drape::plugin, beside::plugin));
    app.add_systems(Update, pace);
}

/// Frames that are drawn at first without waiting, so that every part has found its place.
const FIRST_FRAMES: u32 = 30;

/// Pause where nothing waits for the clock: each frame costs a software adapter half a second.
const REST: Duration = Duration::from_secs(2);

/// What sets the pace: the window's own rule, the clock, and how many frames nothing has happened for.
type Pace<'w, 's> = (ResMut<'w, WinitSettings>, ResMut<'w, Time<Virtual>>, Local<'s, u32>);

/// Draws without pause where things move by themselves, else when something happens.
fn pace(
    (quality, glide): (Res<Quality>, Res<Glide>),
    (deriving, solving): (Res<derive::Deriving>, Res<solving::Solving>),
    (reckoning, planning): (Res<flow::Reckoning>, Res<play::Planning>),
    (proposing, reading, beside): (Res<proposal::Work>, Res<reading::Work>, Res<beside::Beside>),
    (document, keys): (Res<Document>, Res<ButtonInput<KeyCode>>),
    (play, starting): (Res<play::Play>, Option<Res<start::Starting>>),
    (mut settings, mut virtual_time, mut frames): Pace<'_, '_>,
) {
    let lively = *quality == Quality::Full && glide.motion == Motion::Lively;
    if lively == virtual_time.is_paused() {
        if lively {
            virtual_time.unpause();
        } else {
            virtual_time.pause();
        }
    }
    let works_out = [
        deriving.is_busy(),
        solving.is_busy(),
        reckoning.is_busy(),
        proposing.is_busy(),
        reading.is_busy(),
        planning.is_busy(),
        beside.is_busy(),
    ];
    // Who walks holds a key down.
    let is_held = keys.get_pressed().next().is_some();
    let is_busy = works_out.contains(&true) || glide.is_moving() || is_held;
    *frames = if is_busy { 0 } else { frames.saturating_add(1) };
    let mode = if lively {
        UpdateMode::Continuous
    } else if *frames < FIRST_FRAMES {
        UpdateMode::reactive(Duration::from_millis(16))
    } else if document.is_saved() && play.runs == Switch::Off && starting.is_none() {
        UpdateMode::reactive(REST)
    } else {
        UpdateMode::reactive(Duration::from_millis(500))
    };
    if settings.focused_mode != mode {
        settings.focused_mode = mode;
        settings.unfocused_mode = mode;
    }
}
