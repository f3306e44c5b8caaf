//! Low warm sun, soft sky, long shadow.

use bevy::camera::visibility::RenderLayers;
use bevy::light::{CascadeShadowConfigBuilder, DirectionalLightShadowMap, GlobalAmbientLight};
use bevy::prelude::*;

use crate::quality::Quality;

/// The one sun.
#[derive(Component)]
pub(crate) struct Sun;

/// Toward the sun: it stands 28 degrees high in the west-south-west; the same as in `sky.wgsl`.
const TOWARD_SUN: Vec3 = Vec3::new(-0.7160, 0.4695, 0.5166);

pub(crate) fn plugin(app: &mut App) {
    app.insert_resource(GlobalAmbientLight {
        color: Color::srgb(0.93, 0.96, 1.0),
        brightness: 760.0,
        ..default()
    });
    app.insert_resource(DirectionalLightShadowMap { size: 4096 });
    app.add_systems(Startup, rise);
}

fn rise(mut commands: Commands, quality: Res<Quality>) {
    let shadows = *quality == Quality::Full;
    commands.spawn((
        Sun,
        DirectionalLight {
            color: Color::srgb(1.0, 0.91, 0.77),
            illuminance: 9_000.0,
            shadow_maps_enabled: shadows,
            shadow_depth_bias: 0.03,
            shadow_normal_bias: 1.2,
            ..default()
        },
        CascadeShadowConfigBuilder {
            num_cascades: 3,
            minimum_distance: 0.2,
            first_cascade_far_bound: 9.0,
            maximum_distance: 75.0,
            ..default()
        }
        .build(),
        Transform::from_translation(TOWARD_SUN).looking_at(Vec3::ZERO, Vec3::Y),
        RenderLayers::from_layers(&[0, super::present::AROUND_LAYER, super::present::PLAN_LAYER]),
    ));
}
