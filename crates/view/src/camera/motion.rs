//! Moves of the camera: eased over 0.4 s between looks and places, at once while a hand steers.

use bevy::camera::ScalingMode;
use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};

use crate::look::{AERIAL_FOV, Eye, Look};
use crate::quality::Quality;
use crate::scene::material::Palette;
use crate::scene::present::{Layers, Shown};
use crate::schedule::ViewSet;
use crate::screen::lay::{Lay, Open};

/// Seconds that a move takes.
const MOVE_S: f32 = 0.4;

/// The camera that the window shows.
#[derive(Component)]
pub(crate) struct Viewer;

/// A move under way.
#[derive(Resource, Default)]
pub(crate) struct Glide {
    way: Way,
    /// Whether moves are eased at all.
    pub motion: Motion,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Way {
    /// The camera is where the eye is.
    #[default]
    There,
    /// It sets out from where it is.
    Begins,
    /// It has been under way for some seconds.
    Under { from: Stand, seconds: f32 },
}

/// A camera's place, and the angle that it sees from top to bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stand {
    transform: Transform,
    fov: f32,
}

impl Stand {
    /// What a camera sees; straight down it is lifted until a lens sees of the ground what the plan shows.
    fn of(transform: &Transform, projection: &Projection, ground: f32) -> Self {
        let mut stand = Self { transform: *transform, fov: AERIAL_FOV };
        match projection {
            Projection::Perspective(lens) => stand.fov = lens.fov,
            Projection::Orthographic(plan) => {
                if let ScalingMode::FixedVertical { viewport_height } = plan.scaling_mode {
                    let height = 0.5 * viewport_height / (0.5 * AERIAL_FOV).tan();
                    stand.transform.translation.y = ground + height;
                }
            }
            Projection::Custom(_) => {}
        }
        stand
    }

    /// A share of the way to another stand: slow where it sets out and where it arrives.
    fn toward(self, goal: Self, share: f32) -> Self {
        let eased = share * share * (3.0 - 2.0 * share);
        let (from, to) = (self.transform, goal.transform);
        Self {
            transform: Transform {
                translation: from.translation.lerp(to.translation, eased),
                rotation: from.rotation.slerp(to.rotation, eased),
                scale: Vec3::ONE,
            },
            fov: self.fov + (goal.fov - self.fov) * eased,
        }
    }
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
        self.way != Way::There
    }

    /// Begins a move from where the camera is.
    pub(crate) fn begin(&mut self) {
        if self.motion == Motion::Lively {
            self.way = Way::Begins;
        }
    }

    /// Where the camera is after so many seconds more on its way from one stand to another; none once it
    /// is there.
    fn pass(&mut self, seconds: f32, here: Stand, goal: Stand) -> Option<Stand> {
        let (from, gone_s) = match self.way {
            Way::There => return None,
            Way::Begins => (here, 0.0),
            Way::Under { from, seconds: before } => (from, before + seconds),
        };
        if gone_s >= MOVE_S {
            self.way = Way::There;
            return None;
        }
        self.way = Way::Under { from, seconds: gone_s };
        Some(from.toward(goal, gone_s / MOVE_S))
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
    let pane = Lay::of(window, 1.0, Open::default()).pane();
    let eye = Eye::first(document.site(), scene, &pane);
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

/// Puts the camera where the eye is, or on its way there.
#[allow(clippy::type_complexity, reason = "a query names what it touches")]
pub(crate) fn follow(
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
    let ground = scene.frame.scene(scene.extent.centre()).y;
    let stands = [(&*transform, &*projection), (&goal.transform, &goal.projection)];
    let [here, there] = stands.map(|(at, lens)| Stand::of(at, lens, ground));
    let (target, seen) = match glide.pass(time.delta_secs(), here, there) {
        Some(stand) => (stand.transform, crate::look::lens(stand.fov, scene)),
        None => (goal.transform, goal.projection),
    };
    if *transform != target {
        *transform = target;
    }
    *projection = seen;
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

#[cfg(test)]
mod tests {
    use super::*;

    const FROM: Stand = Stand { transform: Transform::from_xyz(-3.0, 1.6, 4.0), fov: 0.6 };

    fn goal() -> Stand {
        let at = Transform::from_xyz(9.0, 7.0, -5.0).looking_at(Vec3::ZERO, Vec3::Y);
        Stand { transform: at, fov: 0.35 }
    }

    /// The camera at each of 60 frames a second until it is there.
    fn way(glide: &mut Glide) -> Vec<Stand> {
        let mut here = FROM;
        let mut way = Vec::new();
        while let Some(stand) = glide.pass(1.0 / 60.0, here, goal()) {
            way.push(stand);
            here = stand;
        }
        way
    }

    #[test]
    fn a_move_takes_two_fifths_of_a_second_and_is_slow_at_both_ends() {
        let mut glide = Glide::default();
        glide.begin();
        let way = way(&mut glide);
        assert_eq!((way.len(), way[0], glide.is_moving()), (24, FROM, false));
        let whole = FROM.transform.translation.distance(goal().transform.translation);
        let steps: Vec<f32> = way
            .iter()
            .chain([&goal()])
            .map(|stand| stand.transform.translation)
            .collect::<Vec<_>>()
            .windows(2)
            .map(|pair| pair[0].distance(pair[1]) / whole)
            .collect();
        // The fastest of 24 even steps of t is 1.5 / 24 of the way, the first and the last 3 / 24^2.
        assert!((steps.iter().sum::<f32>() - 1.0).abs() < 1e-4, "straight there: {steps:?}");
        assert!(steps.iter().all(|step| *step < 1.51 / 24.0), "{steps:?}");
        assert!(steps[0] < 3.1 / 576.0 && steps[23] < 3.1 / 576.0, "{steps:?}");
        let lens = way.windows(2).map(|pair| pair[0].fov - pair[1].fov);
        assert!(lens.into_iter().all(|by| (0.0..0.25 * 1.51 / 24.0).contains(&by)));
    }

    #[test]
    fn a_move_that_another_interrupts_goes_on_from_where_it_is() {
        let mut glide = Glide::default();
        glide.begin();
        glide.pass(0.0, FROM, goal());
        let here = glide.pass(0.2, FROM, goal()).unwrap();
        glide.begin();
        assert_eq!(glide.pass(0.016, here, FROM), Some(here));
        glide = Glide { motion: Motion::Still, ..Glide::default() };
        glide.begin();
        assert_eq!(glide.pass(0.016, here, FROM), None, "stillness moves at once");
    }

    #[test]
    fn a_lens_over_the_plan_sees_as_much_of_the_ground_as_the_plan() {
        let plan = OrthographicProjection {
            scaling_mode: ScalingMode::FixedVertical { viewport_height: 30.0 },
            ..OrthographicProjection::default_3d()
        };
        let at = Transform::from_xyz(1.0, 60.0, 2.0);
        let stand = Stand::of(&at, &Projection::Orthographic(plan), 10.0);
        let seen = 2.0 * (stand.transform.translation.y - 10.0) * (0.5 * stand.fov).tan();
        assert!((seen - 30.0).abs() < 1e-4, "{seen}");
    }
}
