//! One run of the renderer that takes every picture asked for.
//!
//! A picture at full size costs a software adapter seconds, so each is drawn at full size exactly
//! once: while shaders load and compile, the same eye looks at a stamp of a few pixels.

use std::sync::{Arc, Mutex};

use bevy::camera::RenderTarget;
use bevy::core_pipeline::prepass::DepthPrepass;
use bevy::image::Image;
use bevy::light::DirectionalLightShadowMap;
use bevy::prelude::*;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use image::RgbaImage;
use site::Site;

use super::Shot;
use crate::ViewError;
use crate::headless::{self, Compiling, target};
use crate::look::Look;
use crate::quality::Quality;
use crate::scene::material::Palette;
use crate::scene::present::{Layers, Shown, Switch};
use crate::scene::{self, Scene};

/// Takes the pictures, in the order of the shots.
///
/// # Errors
/// [`ViewError::Lost`] when the renderer ends before it is done.
pub(super) fn take(
    site: &Site,
    scene: Scene,
    shots: Vec<Shot>,
    device: wgpu::DeviceType,
) -> Result<Vec<RgbaImage>, ViewError> {
    let taken = Taken::new(Mutex::new(vec![None; shots.len()]));
    let exit = app(site.clone(), scene, shots, taken.clone(), device).run();
    let taken = taken.lock().map_err(|_| ViewError::Lost("the renderer gave up".into()))?;
    taken
        .iter()
        .cloned()
        .collect::<Option<Vec<_>>>()
        .ok_or_else(|| ViewError::Lost(format!("the renderer ended with {exit:?}")))
}

type Taken = Arc<Mutex<Vec<Option<RgbaImage>>>>;

/// What is being photographed.
#[derive(Resource)]
struct Session {
    site: Site,
    shots: Vec<Shot>,
    /// The shot that is being taken.
    next: usize,
    stage: Stage,
    taken: Taken,
    /// Side of the shadows' map when the picture counts, in pixels.
    shadow_size: usize,
}

/// How far the present shot has come.
#[derive(Clone)]
enum Stage {
    /// Nothing stands yet.
    Begin,
    /// The eye looks at a stamp until everything is loaded and compiled.
    Warm { camera: Entity, grass: Entity, picture: Handle<Image>, frames: u32 },
    /// The picture has been drawn and comes back.
    Developing { camera: Option<Entity>, grass: Entity, frames: u32 },
}

/// Pictures of at most so many pixels are drawn plainly by a software adapter.
const SMALL_PIXELS: u32 = 640 * 360;

/// Width and height of the stamp, in pixels.
const STAMP: [u32; 2] = [32, 18];

/// Side of the shadows' map for the stamp, in pixels.
const STAMP_SHADOW: usize = 64;

/// Frames to let a scene settle once nothing is left to compile.
const SETTLE: u32 = 3;

/// Frames after which a picture counts as lost.
const PATIENCE: u32 = 20_000;

fn app(site: Site, scene: Scene, shots: Vec<Shot>, taken: Taken, device: wgpu::DeviceType) -> App {
    let mut app = headless::app(scene, quality(device, &shots));
    let shadow_size = if device == wgpu::DeviceType::Cpu { 2048 } else { 4096 };
    // Water stands still in a picture: the same site gives the same one.
    app.world_mut().resource_mut::<Time<Virtual>>().pause();
    app.insert_resource(Session { site, shots, next: 0, stage: Stage::Begin, taken, shadow_size });
    app.add_systems(Update, go_on.before(crate::schedule::ViewSet::Present));
    app
}

/// What the environment names; else full, unless a software adapter is asked for pictures too small to
/// show it.
fn quality(device: wgpu::DeviceType, shots: &[Shot]) -> Quality {
    if let Some(asked) = Quality::asked() {
        return asked;
    }
    let is_small = |shot: &Shot| shot.size[0] * shot.size[1] <= SMALL_PIXELS;
    if device == wgpu::DeviceType::Cpu && shots.iter().all(is_small) {
        Quality::Plain
    } else {
        Quality::Full
    }
}

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn go_on(
    mut commands: Commands,
    mut session: ResMut<Session>,
    mut images: ResMut<Assets<Image>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut layers: ResMut<Layers>,
    mut shadows: ResMut<DirectionalLightShadowMap>,
    mut exit: MessageWriter<AppExit>,
    shown: Res<Shown>,
    palette: Res<Palette>,
    quality: Res<Quality>,
    compiling: Res<Compiling>,
) {
    let session = &mut *session;
    let Some(scene) = &shown.scene else { return };
    let Some(shot) = session.shots.get(session.next).cloned() else {
        exit.write(AppExit::Success);
        return;
    };
    let eye = |target: &Handle<Image>| {
        let pose = shot.eye.pose(scene);
        let radius_m = scene.extent.radius_m();
        let bundle = crate::camera::bundle(shot.eye.look, pose, *quality, radius_m, shot.depths);
        // Depth first: a costly grain is drawn only where it is seen.
        (bundle, DepthPrepass, RenderTarget::Image(target.clone().into()))
    };
    session.stage = match session.stage.clone() {
        Stage::Begin => {
            *layers = Layers {
                depths: shot.depths,
                pictures: Switch::Off,
                keep_outs: shot.keep_outs(),
                depth_end_m: shot.depth_end_m,
                ..Layers::default()
            };
            shadows.size = STAMP_SHADOW;
            let picture = images.add(target(shot.size));
            let camera = commands.spawn(eye(&images.add(target(STAMP)))).id();
            let blades = match shot.eye.look {
                Look::Walk => scene::grass(scene, &session.site, shot.eye.walk.ahead(2.5)),
                Look::Plan | Look::BirdsEye => scene::no_grass(),
            };
            let leaves = MeshMaterial3d(palette.leaves.clone());
            let grass = commands.spawn((Mesh3d(meshes.add(blades)), leaves)).id();
            Stage::Warm { camera, grass, picture, frames: 0 }
        }
        Stage::Warm { camera, grass, picture, frames } => {
            let compiled = compiling.is_done();
            if frames < SETTLE || (!compiled && frames < PATIENCE) {
                Stage::Warm { camera, grass, picture, frames: frames + 1 }
            } else {
                shadows.size = session.shadow_size;
                commands.entity(camera).despawn();
                let camera = Some(commands.spawn(eye(&picture)).id());
                let (idx, taken) = (session.next, session.taken.clone());
                commands
                    .spawn(Screenshot::image(picture))
                    .observe(move |shot: On<ScreenshotCaptured>| keep(&shot, idx, &taken));
                Stage::Developing { camera, grass, frames: 0 }
            }
        }
        Stage::Developing { camera, grass, frames } => {
            // What has been drawn once is not drawn again while it comes back.
            if let Some(camera) = camera {
                commands.entity(camera).despawn();
            }
            if session.taken.lock().is_ok_and(|taken| taken[session.next].is_some()) {
                commands.entity(grass).despawn();
                session.next += 1;
                Stage::Begin
            } else {
                if frames > PATIENCE {
                    exit.write(AppExit::error());
                }
                Stage::Developing { camera: None, grass, frames: frames + 1 }
            }
        }
    };
}

fn keep(shot: &ScreenshotCaptured, idx: usize, taken: &Taken) {
    let picture = shot.image.clone().try_into_dynamic().ok().map(|image| image.to_rgba8());
    if let Ok(mut taken) = taken.lock() {
        taken[idx] = picture;
    }
}
