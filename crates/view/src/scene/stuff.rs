//! What things in the garden are made of, and which part of a work is made of what.

use bevy::math::Vec3;
use design::part::Part;
use site::{Site, WorkId, WorkKind};

use crate::theme::{Rgb, garden};

/// A material that the garden's shader can draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Stuff {
    /// One colour, as painted: plaster, wood, a line on the ground.
    Plain = 0,
    /// Mown grass.
    Lawn = 1,
    /// Bare earth.
    Soil = 2,
    /// Loose gravel.
    Gravel = 3,
    /// Granite.
    Stone = 4,
    /// Bark mulch.
    Mulch = 5,
    /// Mulch with ground cover: a planted flank.
    Planted = 6,
    /// Leaves and blades.
    Leaf = 7,
    /// Cobbles and gravel under water.
    Bed = 8,
    /// Ground beyond the survey: a pale wash that stands for nothing measured.
    Beyond = 9,
    /// Something that shines by itself.
    Lit = 10,
    /// Roof tiles.
    Roof = 11,
    /// Hedge and tree, seen from afar.
    Foliage = 12,
    /// The old ground, where it differs.
    Ghost = 13,
    /// Single blades of the mown grass around the eye: the lawn's own colour.
    Blade = 14,
}

impl Stuff {
    /// The number by which the shader knows it.
    pub(crate) fn code(self) -> f32 {
        f32::from(self as u8)
    }

    /// The colour from which the shader starts, in linear light.
    pub(crate) fn colour(self) -> Vec3 {
        let rgb: Rgb = match self {
            Self::Plain | Self::Lit => return Vec3::ONE,
            Self::Lawn | Self::Blade => garden::LAWN,
            Self::Soil => garden::SOIL,
            Self::Gravel => garden::GRAVEL,
            Self::Stone => garden::GRANITE,
            Self::Mulch => garden::MULCH,
            Self::Planted => garden::PLANTED,
            Self::Leaf => garden::LEAF,
            Self::Bed => garden::BED,
            Self::Beyond => garden::BEYOND,
            Self::Roof => garden::ROOF,
            Self::Foliage => garden::FOLIAGE,
            Self::Ghost => garden::GHOST,
        };
        rgb.linear()
    }
}

/// What the faces of one work's part are made of.
pub(crate) fn of_part(site: &Site, owner: u32, part: u32) -> Stuff {
    let Some(work) = site.work(WorkId(owner)) else {
        return Stuff::Lawn;
    };
    match (Part::of(part), &work.kind) {
        (Part::Existing, _) => Stuff::Lawn,
        (Part::Floor | Part::Side | Part::Shelf | Part::Bed, _) => Stuff::Bed,
        (Part::Rim, WorkKind::Stream(_) | WorkKind::Basin(_)) => Stuff::Gravel,
        (Part::Rim, _) => Stuff::Planted,
        (Part::CutBank, _) => Stuff::Soil,
        (Part::FillBank, _) => Stuff::Planted,
        (Part::Flank | Part::Crest, _) => Stuff::Planted,
        (Part::WallTop | Part::WallFace, _) => Stuff::Stone,
        (Part::Backfill, _) => Stuff::Mulch,
        (Part::Pad | Part::Path, _) => Stuff::Gravel,
        (Part::Lawn, _) => Stuff::Lawn,
        (Part::Island, _) => Stuff::Stone,
    }
}
