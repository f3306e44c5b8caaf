//! Pictures without a window: the same scene, drawn into an image.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use bevy::app::ScheduleRunnerPlugin;
use bevy::camera::RenderTarget;
use bevy::image::Image;
use bevy::light::DirectionalLightShadowMap;
use bevy::log::LogPlugin;
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::render::render_resource::{PipelineCache, TextureFormat, TextureUsages};
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::render::{Render, RenderApp};
use bevy::window::ExitCondition;
use bevy::winit::WinitPlugin;
use design::Evaluation;
use image::RgbaImage;
use site::Site;

use crate::ViewError;
use crate::look::{Eye, Focus, Look, WalkEye};
use crate::quality::Quality;
use crate::scene::material::Palette;
use crate::scene::present::{Layers, Shown, Switch};
use crate::scene::{self, Scene};

/// Where a picture is taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum From {
    /// Straight above, true to scale.
    Plan,
    /// Straight above, true to scale, with cut and fill in colours.
    Depths,
    /// The air, aslant.
    BirdsEye,
    /// A viewpoint of the site, by its name.
    Walk(String),
}

/// One picture to take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureRequest {
    /// Where from.
    pub from: From,
    /// Width in pixels, 16 to 8192.
    pub width: u32,
    /// Height in pixels, 16 to 8192.
    pub height: u32,
}

/// Takes one picture of a site; see [`pictures`].
///
/// # Errors
/// Those of [`pictures`].
pub fn picture(
    site: &Site,
    evaluation: &Evaluation,
    request: &PictureRequest,
) -> Result<RgbaImage, ViewError> {
    let mut taken = pictures(site, evaluation, std::slice::from_ref(request))?;
    taken.pop().ok_or_else(|| ViewError::Lost("no picture came back".into()))
}

/// Takes pictures of a site, in the order asked for, without a window or a display.
///
/// # Errors
/// [`ViewError::NoAdapter`] without any graphics driver, [`ViewError::NoGround`] when the site has
/// no ground, [`ViewError::NoViewpoint`] and [`ViewError::Size`] for a request that cannot be met,
/// [`ViewError::Lost`] when drawing breaks off.
pub fn pictures(
    site: &Site,
    evaluation: &Evaluation,
    requests: &[PictureRequest],
) -> Result<Vec<RgbaImage>, ViewError> {
    for request in requests {
        let fits = |side| (16..=8192).contains(&side);
        if !fits(request.width) || !fits(request.height) {
            return Err(ViewError::Size(request.width, request.height));
        }
    }
    let scene = scene::scene(site, evaluation).ok_or(ViewError::NoGround)?;
    let shots = requests
        .iter()
        .map(|request| Shot::of(request, site, evaluation, &scene))
        .collect::<Result<Vec<_>, _>>()?;
    let device = crate::display::adapter_kind()?;
    let taken = Arc::new(Mutex::new(vec![None; shots.len()]));
    let exit = app(site.clone(), scene, shots, taken.clone(), device).run();
    let taken = taken.lock().map_err(|_| ViewError::Lost("the renderer gave up".into()))?;
    taken
        .iter()
        .cloned()
        .collect::<Option<Vec<_>>>()
        .ok_or_else(|| ViewError::Lost(format!("the renderer ended with {exit:?}")))
}

#[derive(Clone)]
struct Shot {
    eye: Eye,
    depths: Switch,
    depth_end_m: f32,
    size: [u32; 2],
}

impl Shot {
    fn of(
        request: &PictureRequest,
        site: &Site,
        evaluation: &Evaluation,
        scene: &Scene,
    ) -> Result<Self, ViewError> {
        let mut eye = Eye::first(site, scene);
        let mut depths = Switch::Off;
        match &request.from {
            From::Plan => eye.look = Look::Plan,
            From::Depths => {
                eye.look = Look::Plan;
                depths = Switch::On;
            }
            From::BirdsEye => {
                eye.look = Look::BirdsEye;
                eye.birds_eye = eye.birds_eye.nearer(&Focus::of(scene));
            }
            From::Walk(name) => {
                let viewpoint = site.viewpoints.iter().find(|v| v.name == *name);
                let viewpoint = viewpoint.ok_or_else(|| no_viewpoint(name, site))?;
                eye.look = Look::Walk;
                eye.walk = WalkEye::from_viewpoint(viewpoint, scene);
            }
        }
        // The whole survey must fit, whatever the picture's proportions.
        let aspect = f64::from(request.width) / f64::from(request.height);
        let extent = scene.extent;
        eye.plan.height_m =
            (extent.high[1] - extent.low[1]).max((extent.high[0] - extent.low[0]) / aspect) * 1.10
                + 0.8;
        let earth = &evaluation.earth;
        let end = scene::depth::scale_end_m(earth.deepest_cut_m, earth.highest_fill_m);
        Ok(Self { eye, depths, depth_end_m: end as f32, size: [request.width, request.height] })
    }
}

fn no_viewpoint(name: &str, site: &Site) -> ViewError {
    let names: Vec<&str> = site.viewpoints.iter().map(|v| v.name.as_str()).collect();
    let known = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
    ViewError::NoViewpoint(name.to_owned(), known)
}

type Taken = Arc<Mutex<Vec<Option<RgbaImage>>>>;

/// What is being photographed.
#[derive(Resource)]
struct Session {
    site: Site,
    shots: Vec<Shot>,
    next: usize,
    camera: Option<(Entity, Entity, Handle<Image>)>,
    frames: u32,
    asked: Switch,
    taken: Taken,
}

/// How many pipelines the renderer still compiles.
#[derive(Resource, Clone, Default)]
struct Compiling(Arc<Mutex<usize>>);

/// Pictures of at most so many pixels are drawn plainly by a software adapter.
const SMALL_PIXELS: u32 = 640 * 360;

/// Frames to let a scene settle once nothing is left to compile.
const SETTLE: u32 = 3;

/// Frames after which a picture counts as lost.
const PATIENCE: u32 = 4000;

fn app(site: Site, scene: Scene, shots: Vec<Shot>, taken: Taken, device: wgpu::DeviceType) -> App {
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
    app.insert_resource(quality(device, &shots));
    app.add_plugins((crate::schedule::plugin, scene::plugin));
    if device == wgpu::DeviceType::Cpu {
        app.insert_resource(DirectionalLightShadowMap { size: 2048 });
    }
    app.insert_resource(Shown { scene: Some(scene), changes: 1, ..default() });
    let compiling = Compiling::default();
    app.insert_resource(compiling.clone());
    if let Some(render) = app.get_sub_app_mut(RenderApp) {
        render.insert_resource(compiling);
        render.add_systems(Render, count_compiling);
    }
    app.insert_resource(Session {
        site,
        shots,
        next: 0,
        camera: None,
        frames: 0,
        asked: Switch::Off,
        taken,
    });
    app.add_systems(Update, take.before(crate::schedule::ViewSet::Present));
    app
}

/// Full, unless a software adapter is asked for pictures too small to show it.
fn quality(device: wgpu::DeviceType, shots: &[Shot]) -> Quality {
    let is_small = |shot: &Shot| shot.size[0] * shot.size[1] <= SMALL_PIXELS;
    if device == wgpu::DeviceType::Cpu && shots.iter().all(is_small) {
        Quality::Plain
    } else {
        Quality::Full
    }
}

fn count_compiling(cache: Res<PipelineCache>, compiling: Res<Compiling>) {
    if let Ok(mut n) = compiling.0.lock() {
        *n = cache.waiting_pipelines().count();
    }
}

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn take(
    mut commands: Commands,
    mut session: ResMut<Session>,
    mut images: ResMut<Assets<Image>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut layers: ResMut<Layers>,
    mut exit: MessageWriter<AppExit>,
    shown: Res<Shown>,
    palette: Res<Palette>,
    quality: Res<Quality>,
    compiling: Res<Compiling>,
) {
    let session = &mut *session;
    let Some(scene) = &shown.scene else { return };
    if let Some((camera, grass, image)) = session.camera.clone() {
        session.frames += 1;
        let compiled = compiling.0.lock().is_ok_and(|n| *n == 0);
        let (idx, taken) = (session.next, session.taken.clone());
        if session.asked == Switch::Off && session.frames > SETTLE && compiled {
            session.asked = Switch::On;
            commands
                .spawn(Screenshot::image(image))
                .observe(move |shot: On<ScreenshotCaptured>| keep(&shot, idx, &taken));
        } else if session.taken.lock().is_ok_and(|taken| taken[session.next].is_some()) {
            commands.entity(camera).despawn();
            commands.entity(grass).despawn();
            session.camera = None;
            session.next += 1;
        } else if session.frames > PATIENCE {
            exit.write(AppExit::error());
        }
        return;
    }
    let Some(shot) = session.shots.get(session.next).cloned() else {
        exit.write(AppExit::Success);
        return;
    };
    *layers = Layers { depths: shot.depths, existing: Switch::Off, depth_end_m: shot.depth_end_m };
    let image = images.add(target(shot.size));
    let pose = shot.eye.pose(scene);
    let radius = scene.extent.radius_m();
    let camera = commands
        .spawn((
            crate::camera::bundle(shot.eye.look, pose, *quality, radius),
            RenderTarget::Image(image.clone().into()),
        ))
        .id();
    let blades = match shot.eye.look {
        Look::Walk => scene::grass(scene, &session.site, shot.eye.walk.ahead(2.5)),
        Look::Plan | Look::BirdsEye => scene::no_grass(),
    };
    let grass =
        commands.spawn((Mesh3d(meshes.add(blades)), MeshMaterial3d(palette.leaves.clone()))).id();
    session.camera = Some((camera, grass, image));
    session.frames = 0;
    session.asked = Switch::Off;
}

fn keep(shot: &ScreenshotCaptured, idx: usize, taken: &Taken) {
    let picture = shot.image.clone().try_into_dynamic().ok().map(|image| image.to_rgba8());
    if let Ok(mut taken) = taken.lock() {
        taken[idx] = picture;
    }
}

fn target([width, height]: [u32; 2]) -> Image {
    let mut image = Image::new_target_texture(width, height, TextureFormat::Rgba8UnormSrgb, None);
    image.texture_descriptor.usage |= TextureUsages::COPY_SRC;
    image
}
