//! Keeps one entity per piece of the scene and sends up only what has changed.

use std::sync::Arc;

use bevy::camera::visibility::RenderLayers;
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::prelude::*;
use units::LengthUnit;

use super::depth::scale_end_m;
use super::material::{GardenMaterial, Palette};
use super::shape::Shape;
use super::{Piece, Scene, Stage};
use crate::order::Hidden;

/// What only looks with a horizon see: wash, hedges, sky.
pub(crate) const AROUND_LAYER: usize = 1;

/// What only the plan shows: contours.
pub(crate) const PLAN_LAYER: usize = 2;

/// What only looks of an adapter without shadows see: painted shade.
pub(crate) const SHADE_LAYER: usize = 3;

/// The first layer of the version that stands beside the present one: its layers lie above all others.
pub(crate) const BESIDE: usize = 8;

/// What is on the screen, once there is any.
#[derive(Resource, Default)]
pub(crate) struct Shown {
    /// The scene as composed.
    pub scene: Option<Scene>,
    /// Counts every change.
    pub changes: u64,
    /// The revision of the document that it shows.
    pub revision: u64,
    /// How many pieces the last change sent up.
    pub sent: usize,
}

/// Which layers over the bare scene are wanted.
#[derive(Resource, Clone, Copy, Debug, PartialEq)]
pub(crate) struct Layers {
    /// The ground that is drawn.
    pub stage: Stage,
    /// Cut and fill in colours.
    pub depths: Switch,
    /// Slopes in colours; never both.
    pub slopes: Switch,
    /// Heights against a level in colours; never with the others.
    pub heights: Option<Heights>,
    /// Whither the ground falls.
    pub arrows: Switch,
    /// How ponds go round.
    pub rounds: Switch,
    /// The old ground where it differs.
    pub existing: Switch,
    /// Marks of what stays, and the heaps of earth.
    pub keep_outs: Switch,
    /// Surveyed points and breaklines.
    pub survey: Switch,
    /// Plans and aerials on the ground.
    pub pictures: Switch,
    /// Squared paper over the plan.
    pub grid: Switch,
    /// Metres at the end of the depth colours.
    pub depth_end_m: f32,
}

impl Default for Layers {
    /// What nobody should forget is marked from the start.
    fn default() -> Self {
        Self {
            stage: Stage::Finished,
            depths: Switch::Off,
            slopes: Switch::Off,
            heights: None,
            arrows: Switch::Off,
            rounds: Switch::Off,
            existing: Switch::Off,
            keep_outs: Switch::On,
            survey: Switch::Off,
            pictures: Switch::On,
            grid: Switch::Off,
            depth_end_m: 0.0,
        }
    }
}

impl Layers {
    /// Whether depths, slopes or heights show in colours.
    pub(crate) fn coloured(self) -> Switch {
        let others = self.slopes == Switch::On || self.heights.is_some();
        if others { Switch::On } else { self.depths }
    }
}

/// A level, and how far the ground stands above and below it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heights {
    /// The level, as an elevation in metres.
    pub level_m: f64,
    /// The same in the scene.
    up: f32,
    /// Metres at both ends of the colours.
    pub end_m: f64,
}

impl Heights {
    /// Heights of a scene's ground against a level; the colours end at a round length in `unit`.
    pub(crate) fn against(level_m: f64, scene: &Scene, unit: LengthUnit) -> Self {
        let [low, high] = [scene.extent.low[2] - level_m, scene.extent.high[2] - level_m];
        let end_m = scale_end_m(-low, high, unit);
        Self { level_m, up: scene.frame.scene([0.0, 0.0, level_m]).y, end_m }
    }
}

/// On or off.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Switch {
    /// Not shown.
    #[default]
    Off,
    /// Shown.
    On,
}

impl Switch {
    /// The other one.
    pub(crate) fn turned(self) -> Self {
        match self {
            Self::Off => Self::On,
            Self::On => Self::Off,
        }
    }
}

#[derive(Component)]
struct Drawn(Arc<Shape>);

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Shown>();
    app.init_resource::<Layers>();
    app.init_resource::<Hidden>();
    app.add_systems(
        Update,
        (
            present.run_if(resource_changed::<Shown>),
            paint.run_if(resource_changed::<Layers>.or_else(resource_changed::<Hidden>)),
        )
            .in_set(crate::schedule::ViewSet::Present),
    );
}

fn present(
    mut commands: Commands,
    mut shown: ResMut<Shown>,
    mut meshes: ResMut<Assets<Mesh>>,
    palette: Res<Palette>,
    layers: Res<Layers>,
    hidden: Res<Hidden>,
    mut drawn: Query<(Entity, &Piece, &mut Drawn, &mut Mesh3d)>,
) {
    let shown = shown.bypass_change_detection();
    let Some(scene) = &shown.scene else { return };
    let mut waiting = scene.pieces.clone();
    shown.sent = 0;
    for (entity, piece, mut drawn, mut mesh) in &mut drawn {
        match waiting.remove(piece) {
            None => commands.entity(entity).despawn(),
            Some(shape) if Arc::ptr_eq(&shape, &drawn.0) => {}
            Some(shape) => {
                mesh.0 = meshes.add(Shape::clone(&shape).mesh());
                drawn.0 = shape;
                shown.sent += 1;
            }
        }
    }
    shown.sent += waiting.len();
    for (piece, shape) in waiting {
        let mesh = Mesh3d(meshes.add(Shape::clone(&shape).mesh()));
        let visibility = seen(shows(piece, *layers, &hidden));
        let mut entity =
            commands.spawn((piece, Drawn(shape), mesh, Transform::IDENTITY, visibility));
        dress(&mut entity, piece, &palette, 0);
    }
}

fn paint(
    layers: Res<Layers>,
    hidden: Res<Hidden>,
    palette: Res<Palette>,
    mut materials: ResMut<Assets<GardenMaterial>>,
    mut pieces: Query<(&Piece, &mut Visibility)>,
) {
    for handle in [&palette.garden, &palette.leaves] {
        if let Some(mut material) = materials.get_mut(handle) {
            let show = &mut material.extension.uniform.show;
            show.x = f32::from(u8::from(layers.coloured() == Switch::On));
            show.z = f32::from(u8::from(layers.slopes == Switch::On));
            show.y = layers.depth_end_m.max(0.01);
            if let Some(heights) = layers.heights {
                (show.y, show.z, show.w) = (heights.end_m as f32, 2.0, heights.up);
            }
        }
    }
    for (piece, mut visibility) in &mut pieces {
        *visibility = seen(shows(*piece, *layers, &hidden));
    }
}

/// Gives a piece its material, and the layers on which it is seen, counted from `first`.
pub(crate) fn dress(
    entity: &mut EntityCommands<'_>,
    piece: Piece,
    palette: &Palette,
    first: usize,
) {
    match piece {
        Piece::Water(_) | Piece::Falls(_) => {
            entity.insert((MeshMaterial3d(palette.water.clone()), NotShadowCaster));
        }
        Piece::Plants(_) | Piece::Horizon | Piece::Crown(_) => {
            entity.insert(MeshMaterial3d(palette.leaves.clone()));
        }
        Piece::Ghost | Piece::Shade => {
            entity.insert((
                MeshMaterial3d(palette.ghost.clone()),
                NotShadowCaster,
                NotShadowReceiver,
            ));
        }
        // Its picture is given to it once that is read.
        Piece::Drape(_) => {}
        Piece::Dome => {
            entity.insert((MeshMaterial3d(palette.sky.clone()), NotShadowCaster));
        }
        _ => {
            entity.insert(MeshMaterial3d(palette.garden.clone()));
        }
    }
    let layer = match piece {
        Piece::Contours | Piece::KeptPlan(_) | Piece::HeapPlan(_) => PLAN_LAYER,
        Piece::Shade => SHADE_LAYER,
        Piece::Crown(_) | Piece::Heap(_) => AROUND_LAYER,
        Piece::Wash | Piece::Horizon | Piece::Dome => AROUND_LAYER,
        _ => 0,
    };
    entity.insert(layered(first, &[layer]));
    match piece {
        Piece::KeptMarks(_) | Piece::HeapMarks(_) | Piece::Survey => {
            entity.insert((NotShadowCaster, NotShadowReceiver));
        }
        // A plan, which shows no heap that stands, would show its shadow.
        Piece::Contours
        | Piece::KeptPlan(_)
        | Piece::HeapPlan(_)
        | Piece::Heap(_)
        | Piece::Wash
        | Piece::Horizon => {
            entity.insert(NotShadowCaster);
        }
        _ => {}
    }
}

/// These layers, counted from a first one.
pub(crate) fn layered(first: usize, own: &[usize]) -> RenderLayers {
    own.iter().map(|layer| first + layer).collect()
}

/// Whether a piece is seen under the chosen layers: depth and slope colours need the bare ground.
pub(crate) fn shows(piece: Piece, layers: Layers, hidden: &Hidden) -> Switch {
    match piece {
        Piece::Water(work)
        | Piece::Falls(work)
        | Piece::Plants(work)
        | Piece::Stones(work)
        | Piece::Sheet(work)
            if hidden.0.contains(&work) =>
        {
            Switch::Off
        }
        Piece::Ghost => layers.existing,
        Piece::Survey => layers.survey,
        Piece::Drape(_) => match layers.coloured() {
            Switch::On => Switch::Off,
            Switch::Off => layers.pictures,
        },
        Piece::KeptMarks(_) | Piece::HeapPlan(_) | Piece::HeapMarks(_) => layers.keep_outs,
        Piece::Shade => layers.coloured().turned(),
        // A trunk is no slope, nor ground of any height.
        Piece::Crown(_) if layers.heights.is_some() => Switch::Off,
        Piece::Crown(_) => layers.slopes.turned(),
        Piece::Heap(_) => match layers.coloured() {
            Switch::On => Switch::Off,
            Switch::Off => layers.keep_outs,
        },
        Piece::Water(_)
        | Piece::Falls(_)
        | Piece::Plants(_)
        | Piece::Stones(_)
        | Piece::Sheet(_) => layers.coloured().turned(),
        _ => Switch::On,
    }
}

/// Seen or not, as a switch says.
pub(crate) fn seen(switch: Switch) -> Visibility {
    match switch {
        Switch::On => Visibility::Inherited,
        Switch::Off => Visibility::Hidden,
    }
}
