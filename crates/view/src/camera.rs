//! The camera that draws the garden: its lens, haze and the paper behind it.

pub(crate) mod motion;
pub(crate) mod pick;
pub(crate) mod steer;

use bevy::camera::visibility::RenderLayers;
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::pbr::{DistanceFog, FogFalloff};
use bevy::prelude::*;

use crate::look::{Look, Pose};
use crate::quality::Quality;
use crate::scene::present::{AROUND_LAYER, PLAN_LAYER, SHADE_LAYER, Switch};
use crate::theme::{garden, paper};

pub(crate) fn plugin(app: &mut App) {
    app.add_plugins((steer::plugin, motion::plugin));
}

/// The camera's components for a look.
pub(crate) fn bundle(
    look: Look,
    pose: Pose,
    quality: Quality,
    radius_m: f64,
    coloured: Switch,
) -> impl Bundle {
    (
        Camera3d::default(),
        look,
        Camera { clear_color: background(look), ..default() },
        pose.projection,
        pose.transform,
        quality.msaa(),
        tones(coloured),
        haze(look, radius_m),
        layers(look, quality),
    )
}

/// The garden's light is bent to what a screen can show; depth and slope colours are shown as
/// published.
pub(crate) fn tones(coloured: Switch) -> Tonemapping {
    match coloured {
        Switch::Off => Tonemapping::TonyMcMapface,
        Switch::On => Tonemapping::None,
    }
}

/// Paper behind the plan, haze behind the rest.
pub(crate) fn background(look: Look) -> ClearColorConfig {
    let rgb = match look {
        Look::Plan => paper::SHEET.day,
        Look::BirdsEye | Look::Walk => garden::HAZE,
    };
    ClearColorConfig::Custom(Color::srgb_u8(rgb.0, rgb.1, rgb.2))
}

/// What a look sees: the plan leaves out what was not measured.
pub(crate) fn layers(look: Look, quality: Quality) -> RenderLayers {
    match (look, quality) {
        (Look::Plan, _) => RenderLayers::from_layers(&[0, PLAN_LAYER]),
        (_, Quality::Full) => RenderLayers::from_layers(&[0, AROUND_LAYER]),
        (_, Quality::Plain) => RenderLayers::from_layers(&[0, AROUND_LAYER, SHADE_LAYER]),
    }
}

/// Garden haze that thickens beyond the survey.
pub(crate) fn haze(look: Look, radius_m: f64) -> DistanceFog {
    let haze = garden::HAZE;
    let reach = radius_m as f32;
    let falloff = match look {
        Look::Plan => FogFalloff::Linear { start: 1.0e6, end: 2.0e6 },
        Look::BirdsEye => FogFalloff::Linear { start: reach * 1.8 + 8.0, end: reach * 9.0 + 60.0 },
        Look::Walk => FogFalloff::Linear { start: reach * 0.9, end: reach * 7.0 + 45.0 },
    };
    // As bright as the sky that it hangs before.
    let light = haze.linear() * 1.9;
    DistanceFog { color: Color::linear_rgb(light.x, light.y, light.z), falloff, ..default() }
}
