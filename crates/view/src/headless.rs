//! The renderer without a window or a display.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use bevy::app::ScheduleRunnerPlugin;
use bevy::log::LogPlugin;
use bevy::prelude::*;
use bevy::render::render_resource::{PipelineCache, TextureFormat, TextureUsages};
use bevy::render::{Render, RenderApp, RenderPlugin};
use bevy::window::ExitCondition;
use bevy::winit::WinitPlugin;

use crate::quality::Quality;
use crate::scene::present::Shown;
use crate::scene::{self, Scene};

/// How many pipelines the renderer still compiles.
#[derive(Resource, Clone, Default)]
pub(crate) struct Compiling(Arc<Mutex<usize>>);

impl Compiling {
    /// Whether everything that the last frame wanted is compiled.
    pub(crate) fn is_done(&self) -> bool {
        self.0.lock().is_ok_and(|n| *n == 0)
    }
}

/// An app that draws a scene into images.
pub(crate) fn app(scene: Scene, quality: Quality) -> App {
    let mut app = App::new();
    app.add_plugins(
        DefaultPlugins
            .set(WindowPlugin {
                primary_window: None,
                exit_condition: ExitCondition::DontExit,
                ..default()
            })
            .set(RenderPlugin { synchronous_pipeline_compilation: true, ..default() })
            .disable::<WinitPlugin>()
            .disable::<LogPlugin>(),
    );
    app.add_plugins(ScheduleRunnerPlugin::run_loop(Duration::ZERO));
    app.insert_resource(quality);
    app.add_plugins((crate::schedule::plugin, scene::plugin));
    app.insert_resource(Shown { scene: Some(scene), changes: 1, ..default() });
    let compiling = Compiling::default();
    app.insert_resource(compiling.clone());
    if let Some(render) = app.get_sub_app_mut(RenderApp) {
        render.insert_resource(compiling);
        render.add_systems(Render, count_compiling);
    }
    app
}

/// An image that a camera draws into and that can be read back.
pub(crate) fn target([width, height]: [u32; 2]) -> Image {
    let mut image = Image::new_target_texture(width, height, TextureFormat::Rgba8UnormSrgb, None);
    image.texture_descriptor.usage |= TextureUsages::COPY_SRC;
    image
}

fn count_compiling(cache: Res<PipelineCache>, compiling: Res<Compiling>) {
    if let Ok(mut n) = compiling.0.lock() {
        *n = cache.waiting_pipelines().count();
    }
}
