//! Moves of the camera: eased over 0.4 s between looks and places, at once while a hand steers.

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};

use crate::look::{AERIAL_FOV, Eye, Look};
use crate::quality::Quality;
use crate::scene::material::Palette;
use crate::scene::present::{Layers, Shown, Switch};
use crate::schedule::ViewSet;

/// Seconds that a move takes.
const MOVE_S: f32 = 0.4;

/// The camera that the window shows.
#[derive(Component)]
pub(crate) struct Viewer;

/// A move under way.
#[derive(Resource, Default)]
pub(crate) struct Glide {
    from: Option<Transform>,
    elapsed_s: f32,
    /// Whether moves are eased at all.
    pub motion: Motion,
}

/// Whether anything may move by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Motion {
    /// Moves ease and water runs.
    #[default]
    Lively,
    /// Everything stands still.
    Still,
}

/// The grass around the walking eye, and the place that it was grown around.
#[derive(Component, Clone, Copy)]
struct Blades {
    around: [f64; 2],
    changes: u64,
}

impl Glide {
    /// Whether a move is under way.
    pub(crate) fn is_moving(&self) -> bool {
        self.from.is_some()
    }

    /// Begins a move from where the camera is.
    pub(crate) fn begin(&mut self, from: &Transform) {
        if self.motion == Motion::Lively {
            self.from = Some(*from);
            self.elapsed_s = 0.0;
        }
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Glide>();
    app.add_systems(
        Update,
        (
            open_eye.run_if(not(resource_exists::<Eye>)),
            follow.run_if(resource_exists::<Eye>),
            grow_grass.run_if(resource_exists::<Eye>),
        )
            .chain()
            .after(ViewSet::Input),
    );
}

/// The first scene opens the eye.
fn open_eye(
    mut commands: Commands,
    shown: Res<Shown>,
    quality: Res<Quality>,
    layers: Res<Layers>,
    window: Query<&Window>,
    document: Res<crate::document::Document>,
    waiting: Query<Entity, With<crate::start::Waiting>>,
) {
    let Some(scene) = &shown.scene else { return };
    let Ok(window) = window.single() else { return };
    let eye =
        Eye::first(document.site(), scene, &crate::screen::pane(window, 1.0, Switch::Off, 0.0));
    let pose = eye.pose(scene);
    let radius = scene.extent.radius_m();
    let bundle = crate::camera::bundle(eye.look, pose, *quality, radius, layers.coloured());
    // The camera under the start carries the screen's type: it goes on as the garden's.
    match waiting.single() {
        Ok(camera) => drop(commands.entity(camera).insert((Viewer, bundle))),
        Err(_) => drop(commands.spawn((Viewer, bundle))),
    }
    commands.insert_resource(eye);
}

#[allow(clippy::type_complexity, reason = "a query names what it touches")]
fn follow(
    mut commands: Commands,
    eye: Res<Eye>,
    shown: Res<Shown>,
    time: Res<Time<Real>>,
    (layers, quality): (Res<Layers>, Res<Quality>),
    mut glide: ResMut<Glide>,
    mut viewer: Query<(Entity, &mut Transform, &mut Projection, &mut Camera), With<Viewer>>,
) {
    let Some(scene) = &shown.scene else { return };
    let Ok((entity, mut transform, mut projection, mut camera)) = viewer.single_mut() else {
        return;
    };
    let goal = eye.pose(scene);
    let mut target = goal.transform;
    let mut lens = goal.projection;
    if let Some(from) = glide.from {
        glide.elapsed_s += time.delta_secs();
        let t = (glide.elapsed_s / MOVE_S).min(1.0);
        if t < 1.0 {
            if eye.look == Look::Plan {
                // On its way up the eye stays a lens; at the top it sees what the plan will show.
                let height = 0.5 * eye.plan.height_m as f32 / (0.5 * AERIAL_FOV).tan();
                let ground = scene.frame.scene(scene.extent.centre()).y;
                target.translation.y = ground + height;
                lens = projection.clone();
                if matches!(lens, Projection::Orthographic(_)) {
                    lens = goal_lens();
                }
            }
            let eased = t * t * (3.0 - 2.0 * t);
            target = Transform {
                translation: from.translation.lerp(target.translation, eased),
                rotation: from.rotation.slerp(target.rotation, eased),
                scale: Vec3::ONE,
            };
        } else {
            glide.from = None;
        }
    }
    if *transform != target {
        *transform = target;
    }
    *projection = lens;
    if layers.is_changed() {
        commands.entity(entity).insert(crate::camera::tones(layers.coloured()));
    }
    if eye.is_changed() {
        camera.clear_color = crate::camera::background(eye.look);
        commands.entity(entity).insert((
            crate::camera::haze(eye.look, scene.extent.radius_m()),
            crate::camera::layers(eye.look, *quality),
            eye.look,
        ));
    }
}

fn goal_lens() -> Projection {
    Projection::Perspective(PerspectiveProjection { fov: AERIAL_FOV, near: 0.08, ..default() })
}

/// Single blades stand only near a walking eye.
#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn grow_grass(
    mut commands: Commands,
    eye: Res<Eye>,
    shown: Res<Shown>,
    document: Res<crate::document::Document>,
    palette: Res<Palette>,
    quality: Res<Quality>,
    mut meshes: ResMut<Assets<Mesh>>,
    blades: Query<(Entity, &Blades)>,
    mut growing: Local<Option<(Blades, Task<Mesh>)>>,
) {
    let Some(scene) = &shown.scene else { return };
    let standing = blades.single().ok();
    if eye.look != Look::Walk || *quality == Quality::Plain {
        if let Some((entity, _)) = standing {
            commands.entity(entity).despawn();
        }
        *growing = None;
        return;
    }
    if let Some((grown, task)) = &mut *growing {
        let Some(mesh) = block_on(poll_once(task)) else { return };
        if let Some((entity, _)) = standing {
            commands.entity(entity).despawn();
        }
        let leaves = MeshMaterial3d(palette.leaves.clone());
        commands.spawn((*grown, Mesh3d(meshes.add(mesh)), leaves));
        *growing = None;
        return;
    }
    let around = eye.walk.ahead(2.5);
    let is_fresh = standing.is_some_and(|(_, blades)| {
        let off = libm::hypot(around[0] - blades.around[0], around[1] - blades.around[1]);
        off < 2.0 && blades.changes == shown.changes
    });
    if !is_fresh {
        let (scene, site) = (scene.clone(), document.site().clone());
        let task = AsyncComputeTaskPool::get()
            .spawn(async move { crate::scene::grass(&scene, &site, around) });
        *growing = Some((Blades { around, changes: shown.changes }, task));
    }
}
