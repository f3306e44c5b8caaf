//! How much the graphics adapter is asked to do, chosen by what the adapter is.

use bevy::prelude::*;
use bevy::render::renderer::RenderAdapterInfo;
use wgpu::DeviceType;

/// The environment may name another quality than the adapter suggests, `plain` or `full`: for full pictures
/// on machines without a graphics card, for plain ones that are compared, and for cards that stumble.
const ASKED: &str = "TARNWRIGHT_QUALITY";

/// How finely the scene is drawn.
#[derive(Resource, Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quality {
    /// No shadows and no smoothing: for software adapters that must keep up with a hand.
    Plain,
    /// Long shadows, smooth edges.
    Full,
}

impl Quality {
    /// What an adapter of this kind can draw while someone drags.
    pub(crate) fn of(device: DeviceType) -> Self {
        match device {
            DeviceType::Cpu | DeviceType::Other => Self::Plain,
            DeviceType::IntegratedGpu | DeviceType::DiscreteGpu | DeviceType::VirtualGpu => {
                Self::Full
            }
        }
    }

    /// What the environment names, if it names any.
    pub(crate) fn asked() -> Option<Self> {
        match std::env::var(ASKED).ok()?.as_str() {
            "full" => Some(Self::Full),
            "plain" => Some(Self::Plain),
            _ => None,
        }
    }

    /// Samples for smooth edges.
    pub(crate) fn msaa(self) -> Msaa {
        match self {
            Self::Plain => Msaa::Off,
            Self::Full => Msaa::Sample4,
        }
    }
}

/// Chooses the quality by the adapter, unless the program already has.
pub(crate) fn plugin(app: &mut App) {
    app.add_systems(PreStartup, choose.run_if(not(resource_exists::<Quality>)));
}

fn choose(adapter: Option<Res<RenderAdapterInfo>>, mut commands: Commands) {
    let device = adapter.map_or(DeviceType::Cpu, |info| info.device_type);
    commands.insert_resource(Quality::asked().unwrap_or(Quality::of(device)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn software_adapters_are_spared() {
        assert_eq!(Quality::of(DeviceType::Cpu), Quality::Plain);
        assert_eq!(Quality::of(DeviceType::DiscreteGpu), Quality::Full);
    }
}
