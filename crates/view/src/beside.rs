//! Two versions of a site side by side: an earlier or another one at the left, drawn with the camera of
//! the present one at the right. It is looked at and never changed.

use std::sync::Arc;

use bevy::camera::visibility::RenderLayers;
use bevy::camera::{CameraUpdateSystems, RenderTarget};
use bevy::prelude::*;
use bevy::render::render_resource::TextureFormat;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use design::{Evaluation, evaluate};
use site::{Site, reframed};

use crate::camera::motion::{Viewer, follow};
use crate::document::{Document, Notice, Saving};
use crate::look::{Eye, Look};
use crate::order::Hidden;
use crate::quality::Quality;
use crate::scene::material::Palette;
use crate::scene::present::{BESIDE, Layers, Shown, Switch, dress, layered, seen, shows};
use crate::scene::{self, Asked, Piece, Scene, Stage, light};
use crate::schedule::ViewSet;

/// Which version stands beside the present one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    /// The site as this window opened it.
    Opened,
    /// The site as the file was last known to hold it.
    Saved,
    /// Another saved version, by its name.
    Named(String),
}

/// A version as it was read.
pub(crate) struct Version {
    /// Which one it is.
    pub which: Which,
    /// The site, in the frame of the present one.
    pub site: Arc<Site>,
}

/// What follows from a version.
pub(crate) struct Composed {
    site: Arc<Site>,
    stage: Stage,
    /// Its numbers and findings.
    pub evaluation: Arc<Evaluation>,
    /// Its ground and all that stands on it, where it has any.
    pub scene: Option<Scene>,
}

/// Where the window is parted, in points of the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Parting {
    /// From here to the right stands the present version.
    pub at: f32,
    /// So far to the right of a place in the other version lies the same place in the present one.
    pub apart: f32,
}

/// The version beside the present one: view state, neither stored nor undone.
#[derive(Resource, Default)]
pub(crate) struct Beside {
    /// Whether it is shown.
    pub shown: Switch,
    /// The one that was chosen, kept while it is not shown.
    pub version: Option<Version>,
    /// What others the folder offers, looked up whenever it is shown.
    pub offered: Vec<String>,
    /// The name of one as it is typed.
    pub typed: String,
    /// Where the window is parted, while it is.
    pub parting: Option<Parting>,
    /// The eye as it was before the window was parted.
    pub eye: Option<Eye>,
    /// What the other camera draws into.
    pub picture: Option<Handle<Image>>,
    composed: Option<Arc<Composed>>,
    composing: Option<Task<Composed>>,
    /// Counts what was composed, so that it is sent up once.
    changes: u64,
}

impl Which {
    /// What it is called on the screen.
    pub(crate) fn words(&self) -> String {
        match self {
            Self::Opened => "as opened".into(),
            Self::Saved => "as saved".into(),
            Self::Named(name) => name.clone(),
        }
    }
}

impl Beside {
    /// Whether an answer is still to come.
    pub(crate) fn is_busy(&self) -> bool {
        self.composing.is_some()
    }

    /// What follows from the version that is shown, once it is worked out.
    pub(crate) fn composed(&self) -> Option<&Composed> {
        let version = self.version.as_ref()?;
        self.composed.as_deref().filter(|made| Arc::ptr_eq(&made.site, &version.site))
    }

    /// Takes another version to look at.
    ///
    /// # Errors
    /// A sentence when it cannot be read, or lies beyond reach of the present frame.
    pub(crate) fn choose(
        &mut self,
        which: Which,
        document: &Document,
        saving: Option<&Saving>,
    ) -> Result<(), String> {
        let site = match &which {
            Which::Opened => document.first().clone(),
            Which::Saved => document.saved().clone(),
            Which::Named(name) => {
                let saving = saving.ok_or("there is no folder to read from")?;
                Arc::new(saving.keep.version(name)?)
            }
        };
        let (frame, own) = (&document.site().frame, &site.frame);
        let site = if frame.origin_m == own.origin_m && frame.step_um == own.step_um {
            site
        } else {
            let moved = reframed(&site, frame);
            Arc::new(moved.map_err(|why| format!("{}: {why}", which.words()))?)
        };
        self.version = Some(Version { which, site });
        Ok(())
    }
}

/// Marks the camera of the other version.
#[derive(Component)]
struct Other;

/// Marks a piece of the other version.
#[derive(Component)]
struct Standing(Piece);

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Beside>();
    app.add_systems(Startup, light::rise_beside);
    app.add_systems(Update, compose.in_set(ViewSet::Derive));
    app.add_systems(Update, (stand, paint).chain().in_set(ViewSet::Present));
    app.add_systems(Update, look.after(follow).run_if(resource_exists::<Eye>));
    // The camera's lens is fitted to its picture after this.
    app.add_systems(PostUpdate, fit.before(CameraUpdateSystems));
}

fn compose(layers: Res<Layers>, mut beside: ResMut<Beside>, mut notice: ResMut<Notice>) {
    let beside = beside.bypass_change_detection();
    if let Some(task) = &mut beside.composing {
        let Some(composed) = block_on(poll_once(task)) else { return };
        beside.composing = None;
        if composed.scene.is_none() {
            notice.say("The version beside has no ground: its survey makes none");
        }
        beside.composed = Some(Arc::new(composed));
        beside.changes += 1;
    }
    let Some(version) = beside.version.as_ref().filter(|_| beside.shown == Switch::On) else {
        return;
    };
    let site = version.site.clone();
    // The steps of the present job are no steps of another version.
    let stage = match layers.stage {
        Stage::Job(_) => Stage::Finished,
        stage => stage,
    };
    let before = beside.composed.clone().filter(|made| Arc::ptr_eq(&made.site, &site));
    if before.as_ref().is_some_and(|made| made.stage == stage) {
        return;
    }
    let task = AsyncComputeTaskPool::get().spawn(async move {
        let evaluation = match &before {
            Some(made) => made.evaluation.clone(),
            None => Arc::new(evaluate(&site)),
        };
        let asked = Asked { ghost: Switch::Off, ..Asked::at(stage) };
        let scene = scene::scene_after(&site, &evaluation, asked, None);
        Composed { site, stage, evaluation, scene }
    });
    beside.composing = Some(task);
}

/// Stands the other version's pieces where only its camera sees them; takes them away when it goes.
fn stand(
    mut commands: Commands,
    beside: Res<Beside>,
    palette: Res<Palette>,
    (layers, hidden): (Res<Layers>, Res<Hidden>),
    mut meshes: ResMut<Assets<Mesh>>,
    standing: Query<Entity, With<Standing>>,
    mut stands: Local<u64>,
) {
    let wanted = if beside.shown == Switch::On { beside.changes } else { 0 };
    if *stands == wanted {
        return;
    }
    *stands = wanted;
    standing.iter().for_each(|entity| commands.entity(entity).despawn());
    let Some(scene) =
        beside.composed.as_ref().filter(|_| wanted > 0).and_then(|c| c.scene.as_ref())
    else {
        return;
    };
    // A draped picture is of the present folder.
    let pieces = scene.pieces.iter().filter(|(piece, _)| !matches!(piece, Piece::Drape(_)));
    for (piece, shape) in pieces {
        let mesh = Mesh3d(meshes.add(scene::shape::Shape::clone(shape).mesh()));
        let visibility = seen(shows(*piece, *layers, &hidden));
        let mut entity = commands.spawn((Standing(*piece), mesh, Transform::IDENTITY, visibility));
        dress(&mut entity, *piece, &palette, BESIDE);
    }
}

fn paint(
    (layers, hidden): (Res<Layers>, Res<Hidden>),
    mut standing: Query<(&Standing, &mut Visibility)>,
) {
    if layers.is_changed() || hidden.is_changed() {
        for (Standing(piece), mut visibility) in &mut standing {
            *visibility = seen(shows(*piece, *layers, &hidden));
        }
    }
}

/// What is read of the present camera.
type Present<'a> = (&'a Transform, &'a Projection, &'a Camera);

/// The other camera looks as the present one does.
#[allow(clippy::type_complexity, reason = "a query names what it touches")]
#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn look(
    mut commands: Commands,
    mut beside: ResMut<Beside>,
    (eye, shown): (Res<Eye>, Res<Shown>),
    (quality, layers): (Res<Quality>, Res<Layers>),
    window: Query<&Window>,
    mut images: ResMut<Assets<Image>>,
    viewer: Query<Present<'_>, (With<Viewer>, Without<Other>)>,
    mut others: Query<(Entity, &mut Transform, &mut Projection, &mut Camera), With<Other>>,
) {
    let (Ok((from, lens, camera)), Ok(window)) = (viewer.single(), window.single()) else { return };
    let other = others.single_mut().ok();
    let composed = beside.composed().filter(|_| beside.shown == Switch::On);
    let Some(scene) = composed.and_then(|composed| composed.scene.as_ref()) else {
        if let Some((entity, ..)) = other {
            commands.entity(entity).despawn();
            beside.picture = None;
        }
        return;
    };
    let Some(present) = &shown.scene else { return };
    // The two scenes need not have one origin.
    let off = scene.frame.scene(present.frame.local(Vec3::ZERO));
    let transform = Transform { translation: from.translation + off, ..*from };
    match other {
        None => {
            let size = window.resolution.physical_size().max(UVec2::ONE);
            let format = TextureFormat::Rgba8UnormSrgb;
            let picture = images.add(Image::new_target_texture(size.x, size.y, format, None));
            let pose = crate::look::Pose { transform, projection: lens.clone() };
            let radius_m = scene.extent.radius_m();
            let coloured = layers.coloured();
            let bundle = crate::camera::bundle(eye.look, pose, *quality, radius_m, coloured);
            let mut entity = commands.spawn((Other, bundle));
            entity.insert((RenderTarget::Image(picture.clone().into()), sees(eye.look, *quality)));
            beside.picture = Some(picture);
        }
        Some((entity, mut transform_now, mut lens_now, mut camera_now)) => {
            if *transform_now != transform {
                *transform_now = transform;
            }
            *lens_now = lens.clone();
            if eye.is_changed() || layers.is_changed() {
                camera_now.clear_color = camera.clear_color;
                commands.entity(entity).insert((
                    crate::camera::tones(layers.coloured()),
                    crate::camera::haze(eye.look, scene.extent.radius_m()),
                    sees(eye.look, *quality),
                    eye.look,
                ));
            }
        }
    }
}

/// The picture is as large as the window.
fn fit(beside: Res<Beside>, window: Query<&Window>, mut images: ResMut<Assets<Image>>) {
    let (Some(picture), Ok(window)) = (&beside.picture, window.single()) else { return };
    let size = window.resolution.physical_size().max(UVec2::ONE);
    if images.get(picture).is_some_and(|image| image.size() != size) {
        let format = TextureFormat::Rgba8UnormSrgb;
        let image = Image::new_target_texture(size.x, size.y, format, None);
        // There is no other image of its own under this handle.
        let _ = images.insert(picture.id(), image);
    }
}

/// What a look sees of the other version.
fn sees(look: Look, quality: Quality) -> RenderLayers {
    let own: Vec<usize> = crate::camera::layers(look, quality).iter().collect();
    layered(BESIDE, &own)
}

#[cfg(test)]
mod tests {
    use site::Edit;

    use super::*;
    use crate::document::{Ask, Held};

    #[test]
    fn another_version_is_worked_out_and_stays_while_the_present_one_is_edited() {
        AsyncComputeTaskPool::get_or_init(Default::default);
        let mut app = App::new();
        app.add_plugins((crate::schedule::plugin, crate::document::plugin))
            .init_resource::<Time<Real>>()
            .init_resource::<Layers>()
            .init_resource::<Beside>()
            .add_systems(Update, compose.in_set(ViewSet::Derive))
            .insert_resource(Document::opened(crate::demo::rear_garden()));
        let opened = app.world().resource::<Document>().site().clone();
        let mut work = opened.works[0].clone();
        work.name = "Another name".into();
        app.world_mut().write_message(Ask::Edit(Box::new(Edit::SetWork(work)), Held::Once));
        app.update();
        app.world_mut().resource_scope(|world, mut beside: Mut<'_, Beside>| {
            let document = world.resource::<Document>();
            assert!(beside.choose(Which::Named("other".into()), document, None).is_err());
            assert!(beside.version.is_none(), "what cannot be read is not taken");
            beside.choose(Which::Opened, document, None).unwrap();
            beside.shown = Switch::On;
        });
        let start = std::time::Instant::now();
        while app.world().resource::<Beside>().composed().is_none() {
            assert!(start.elapsed() < std::time::Duration::from_secs(120), "no answer came");
            app.update();
        }
        let beside = app.world().resource::<Beside>();
        let version = beside.version.as_ref().unwrap();
        assert!(Arc::ptr_eq(&version.site, &opened));
        assert_eq!(app.world().resource::<Document>().site().works[0].name, "Another name");
        let composed = beside.composed().unwrap();
        assert_eq!(composed.evaluation.earth, evaluate(&opened).earth);
        assert!(composed.scene.is_some());
    }

    #[test]
    fn no_layer_of_one_version_is_seen_in_the_other() {
        for look in [Look::Plan, Look::BirdsEye, Look::Walk] {
            for quality in [Quality::Plain, Quality::Full] {
                let present = crate::camera::layers(look, quality);
                let other = sees(look, quality);
                assert!(!present.intersects(&other), "{look:?} {quality:?}");
                assert_eq!(present.iter().count(), other.iter().count());
            }
        }
    }
}
