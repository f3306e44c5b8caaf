//! Low warm sun, soft sky, long shadow.

use bevy::light::{
    CascadeShadowConfig, CascadeShadowConfigBuilder, DirectionalLightShadowMap, GlobalAmbientLight,
};
use bevy::prelude::*;

use crate::look::Look;
use crate::quality::Quality;
use crate::schedule::ViewSet;

/// The one sun.
#[derive(Component)]
pub(crate) struct Sun;

/// Toward the sun: it stands 28 degrees high in the west-south-west; the same as in `sky.wgsl`.
pub(super) const TOWARD_SUN: Vec3 = Vec3::new(-0.7160, 0.4695, 0.5166);

/// Farthest that shadows are drawn, in metres.
const FARTHEST_M: f32 = 75.0;

/// Side of one map of shadows, in pixels: a map of twice the side takes four times as long to fill,
/// whatever stands in it.
const MAP_SIZE: usize = 2048;

pub(crate) fn plugin(app: &mut App) {
    app.insert_resource(GlobalAmbientLight {
        color: Color::srgb(0.93, 0.96, 1.0),
        brightness: 760.0,
        ..default()
    });
    app.insert_resource(DirectionalLightShadowMap { size: MAP_SIZE });
    app.add_systems(Startup, rise);
    app.add_systems(Update, fit.in_set(ViewSet::Present));
}

fn rise(mut commands: Commands, quality: Res<Quality>) {
    commands.spawn(sun(*quality, 0));
}

/// Lets a sun rise for the version beside the present one, which that must not shade.
pub(crate) fn rise_beside(mut commands: Commands, quality: Res<Quality>) {
    commands.spawn(sun(*quality, super::present::BESIDE));
}

/// A sun for the layers that are counted from `first`.
fn sun(quality: Quality, first: usize) -> impl Bundle {
    let shadows = quality == Quality::Full;
    let layers = [0, super::present::AROUND_LAYER, super::present::PLAN_LAYER];
    (
        Sun,
        DirectionalLight {
            color: Color::srgb(1.0, 0.91, 0.77),
            illuminance: 9_000.0,
            shadow_maps_enabled: shadows,
            shadow_depth_bias: 0.03,
            shadow_normal_bias: 1.2,
            ..default()
        },
        cascades(Look::Walk),
        Transform::from_translation(TOWARD_SUN).looking_at(Vec3::ZERO, Vec3::Y),
        super::present::layered(first, &layers),
    )
}

/// The maps of shadows follow from how one looks.
fn fit(
    cameras: Query<&Look, (With<Camera3d>, Changed<Look>)>,
    mut suns: Query<&mut CascadeShadowConfig, With<Sun>>,
) {
    let Some(look) = cameras.iter().last() else { return };
    for mut config in &mut suns {
        *config = cascades(*look);
    }
}

/// Maps of shadows, nearest first: every look has as many as lie before it, since each is drawn whole.
fn cascades(look: Look) -> CascadeShadowConfig {
    let (num_cascades, first_cascade_far_bound) = match look {
        // From above and from the air all ground is about equally far.
        Look::Plan | Look::BirdsEye => (1, FARTHEST_M),
        Look::Walk => (3, 9.0),
    };
    CascadeShadowConfigBuilder {
        num_cascades,
        minimum_distance: 0.2,
        first_cascade_far_bound,
        maximum_distance: FARTHEST_M,
        ..default()
    }
    .build()
}
