//! The three shaders: the solid garden, water, and the sky.

use bevy::asset::embedded_asset;
use bevy::mesh::MeshVertexBufferLayoutRef;
use bevy::pbr::{
    ExtendedMaterial, Material, MaterialExtension, MaterialExtensionKey, MaterialExtensionPipeline,
    MaterialPlugin,
};
use bevy::prelude::*;
use bevy::render::render_resource::{
    AsBindGroup, RenderPipelineDescriptor, ShaderType, SpecializedMeshPipelineError,
};
use bevy::shader::{ShaderRef, load_shader_library};

use super::depth::{self, N_STEPS};
use super::slope::{self, N_CLASSES};
use super::stuff::{N_STUFFS, Stuff};
use crate::quality::Quality;

/// Everything solid.
pub(crate) type GardenMaterial = ExtendedMaterial<StandardMaterial, Garden>;

/// Everything wet.
pub(crate) type WaterMaterial = ExtendedMaterial<StandardMaterial, Water>;

/// What the garden's shader adds to the renderer's own lighting.
#[derive(Asset, AsBindGroup, Reflect, Clone, Debug)]
#[bind_group_data(Grain)]
pub(crate) struct Garden {
    #[uniform(100)]
    pub(crate) uniform: GardenUniform,
    pub(crate) grain: Grain,
}

/// How much a shader does for each pixel.
#[derive(Reflect, Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[repr(u8)]
pub(crate) enum Grain {
    /// The renderer's own lighting, grain and ripples.
    #[default]
    Fine,
    /// One sun, one sky, one patch and one grain.
    Plain,
}

/// The numbers that the garden's shader reads.
#[derive(ShaderType, Reflect, Clone, Debug)]
pub(crate) struct GardenUniform {
    pub(crate) show: Vec4,
    pub(crate) colours: [Vec4; N_STUFFS],
    pub(crate) depths: [Vec4; N_STEPS + 1],
    pub(crate) slopes: [Vec4; N_CLASSES],
}

/// What the water's shader adds.
#[derive(Asset, AsBindGroup, Reflect, Clone, Debug, Default)]
#[bind_group_data(Grain)]
pub(crate) struct Water {
    pub(crate) grain: Grain,
}

/// The sky's dome.
#[derive(Asset, AsBindGroup, Reflect, Clone, Debug, Default)]
pub(crate) struct SkyMaterial {}

/// The one handle of each material that the whole scene shares.
#[derive(Resource, Clone)]
pub(crate) struct Palette {
    /// Solid, opaque.
    pub(crate) garden: Handle<GardenMaterial>,
    /// Leaves and blades, seen from both sides.
    pub(crate) leaves: Handle<GardenMaterial>,
    /// The old ground's ghost.
    pub(crate) ghost: Handle<GardenMaterial>,
    /// Water.
    pub(crate) water: Handle<WaterMaterial>,
    /// Sky.
    pub(crate) sky: Handle<SkyMaterial>,
}

pub(crate) fn plugin(app: &mut App) {
    load_shader_library!(app, "sky.wgsl");
    embedded_asset!(app, "garden.wgsl");
    embedded_asset!(app, "water.wgsl");
    embedded_asset!(app, "dome.wgsl");
    app.add_plugins((
        MaterialPlugin::<GardenMaterial>::default(),
        MaterialPlugin::<WaterMaterial>::default(),
        MaterialPlugin::<SkyMaterial>::default(),
    ));
    app.init_resource::<Palette>();
    app.add_systems(Startup, refine);
}

/// Fine grain and ripples where the adapter can draw them.
fn refine(
    quality: Res<Quality>,
    palette: Res<Palette>,
    mut gardens: ResMut<Assets<GardenMaterial>>,
    mut waters: ResMut<Assets<WaterMaterial>>,
) {
    let grain = match *quality {
        Quality::Plain => Grain::Plain,
        Quality::Full => Grain::Fine,
    };
    for handle in [&palette.garden, &palette.leaves, &palette.ghost] {
        if let Some(mut material) = gardens.get_mut(handle) {
            material.extension.grain = grain;
        }
    }
    if let Some(mut material) = waters.get_mut(&palette.water) {
        material.extension.grain = grain;
    }
}

impl Grain {
    /// Compiles the plain shader where it is wanted: a software adapter runs both sides of a branch.
    fn specialize(self, descriptor: &mut RenderPipelineDescriptor) {
        if let (Self::Plain, Some(fragment)) = (self, &mut descriptor.fragment) {
            fragment.shader_defs.push("PLAIN".into());
        }
    }
}

impl From<&Garden> for Grain {
    fn from(garden: &Garden) -> Self {
        garden.grain
    }
}

impl From<&Water> for Grain {
    fn from(water: &Water) -> Self {
        water.grain
    }
}

impl MaterialExtension for Garden {
    fn fragment_shader() -> ShaderRef {
        "embedded://view/scene/garden.wgsl".into()
    }

    fn specialize(
        _pipeline: &MaterialExtensionPipeline,
        descriptor: &mut RenderPipelineDescriptor,
        _layout: &MeshVertexBufferLayoutRef,
        key: MaterialExtensionKey<Self>,
    ) -> Result<(), SpecializedMeshPipelineError> {
        key.bind_group_data.specialize(descriptor);
        Ok(())
    }
}

impl MaterialExtension for Water {
    fn fragment_shader() -> ShaderRef {
        "embedded://view/scene/water.wgsl".into()
    }

    fn specialize(
        _pipeline: &MaterialExtensionPipeline,
        descriptor: &mut RenderPipelineDescriptor,
        _layout: &MeshVertexBufferLayoutRef,
        key: MaterialExtensionKey<Self>,
    ) -> Result<(), SpecializedMeshPipelineError> {
        key.bind_group_data.specialize(descriptor);
        Ok(())
    }

    fn enable_prepass() -> bool {
        false
    }

    fn enable_shadows() -> bool {
        false
    }
}

impl Material for SkyMaterial {
    fn fragment_shader() -> ShaderRef {
        "embedded://view/scene/dome.wgsl".into()
    }

    fn enable_prepass() -> bool {
        false
    }

    fn enable_shadows() -> bool {
        false
    }
}

impl Default for GardenUniform {
    fn default() -> Self {
        let mut colours = [Vec4::ONE; N_STUFFS];
        for stuff in [
            Stuff::Lawn,
            Stuff::Soil,
            Stuff::Gravel,
            Stuff::Stone,
            Stuff::Mulch,
            Stuff::Planted,
            Stuff::Leaf,
            Stuff::Bed,
            Stuff::Beyond,
            Stuff::Roof,
            Stuff::Foliage,
            Stuff::Ghost,
            Stuff::Blade,
            Stuff::Paving,
            Stuff::Rolled,
            Stuff::Liner,
        ] {
            colours[stuff as usize] = stuff.colour().extend(1.0);
        }
        Self {
            show: Vec4::new(0.0, 1.0, 0.0, 0.0),
            colours,
            depths: depth::ramp(),
            slopes: slope::ramp(),
        }
    }
}

impl FromWorld for Palette {
    fn from_world(world: &mut World) -> Self {
        let solid = |base: StandardMaterial| GardenMaterial {
            base,
            extension: Garden { uniform: GardenUniform::default(), grain: Grain::Fine },
        };
        let mut garden = world.resource_mut::<Assets<GardenMaterial>>();
        let (solids, leaves, ghost) = (
            garden.add(solid(StandardMaterial::default())),
            garden.add(solid(StandardMaterial {
                cull_mode: None,
                double_sided: false,
                ..default()
            })),
            garden.add(solid(StandardMaterial {
                alpha_mode: AlphaMode::Blend,
                cull_mode: None,
                double_sided: true,
                ..default()
            })),
        );
        let water = world.resource_mut::<Assets<WaterMaterial>>().add(WaterMaterial {
            base: StandardMaterial {
                alpha_mode: AlphaMode::Blend,
                cull_mode: None,
                unlit: true,
                ..default()
            },
            extension: Water::default(),
        });
        let sky = world.resource_mut::<Assets<SkyMaterial>>().add(SkyMaterial {});
        Self { garden: solids, leaves, ghost, water, sky }
    }
}
