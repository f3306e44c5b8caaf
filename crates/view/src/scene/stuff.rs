//! What things in the garden are made of, and which part of a work is made of what.

use bevy::math::Vec3;
use design::part::Part;
use ground::Tag;
use site::works::PadPurpose;
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
    /// Pale slabs with joints.
    Paving = 15,
    /// Walked stuff: gravel and clay rolled to one firm face.
    Rolled = 16,
    /// The liner's dark rubber.
    Liner = 17,
}

/// How many stuffs the shader has room for.
pub(crate) const N_STUFFS: usize = 20;

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
            Self::Paving => garden::PAVING,
            Self::Rolled => garden::ROLLED,
            Self::Liner => garden::LINER,
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
        (Part::Rim, WorkKind::Stream(_) | WorkKind::Basin(_) | WorkKind::IntakeBay(_)) => {
            Stuff::Gravel
        }
        (Part::Rim, _) => Stuff::Planted,
        // Grass runs on over what eases a lawn or a path into the ground around it.
        (Part::CutBank | Part::FillBank, WorkKind::PlaneGrade(_) | WorkKind::Path(_)) => {
            Stuff::Lawn
        }
        (Part::CutBank, _) => Stuff::Soil,
        (Part::FillBank, _) => Stuff::Planted,
        (Part::Flank | Part::Crest, _) => Stuff::Planted,
        (Part::WallTop | Part::WallFace, _) => Stuff::Stone,
        (Part::Backfill, _) => Stuff::Mulch,
        (Part::Pad, WorkKind::Pad(pad)) => match pad.purpose {
            PadPurpose::Patio => Stuff::Paving,
            PadPurpose::SittingPlace => Stuff::Rolled,
            PadPurpose::Building => Stuff::Gravel,
        },
        (Part::Pad, _) => Stuff::Gravel,
        (Part::Path, _) => Stuff::Rolled,
        (Part::Lawn, _) => Stuff::Lawn,
        (Part::Island, _) => Stuff::Stone,
    }
}

/// What the upright face below a work's part shows: stone where it is built, earth where ground
/// breaks off.
pub(crate) fn of_riser(site: &Site, upper: Tag) -> Stuff {
    match Part::of(upper.part) {
        _ if site.work(WorkId(upper.owner)).is_none() => Stuff::Soil,
        Part::Existing
        | Part::CutBank
        | Part::FillBank
        | Part::Flank
        | Part::Crest
        | Part::Backfill
        | Part::Lawn => Stuff::Soil,
        Part::Floor
        | Part::Side
        | Part::Shelf
        | Part::Rim
        | Part::Bed
        | Part::WallTop
        | Part::WallFace
        | Part::Pad
        | Part::Path
        | Part::Island => Stuff::Stone,
    }
}

/// How a work's slabs lie, in half turns off east: along the longest side of its outline.
pub(crate) fn half_turns(site: &Site, owner: u32) -> f32 {
    let Some(WorkKind::Pad(pad)) = site.work(WorkId(owner)).map(|work| &work.kind) else {
        return 0.0;
    };
    let points = &pad.outline.points;
    let sides = (0..points.len()).map(|k| {
        let (a, b) = (points[k], points[(k + 1) % points.len()]);
        [b[0] - a[0], b[1] - a[1]]
    });
    let longest = sides.max_by(|a, b| libm::hypot(a[0], a[1]).total_cmp(&libm::hypot(b[0], b[1])));
    let [east, north] = longest.unwrap_or([1.0, 0.0]);
    let half_turns = libm::atan2(north, east) / std::f64::consts::PI;
    // Slabs that are turned by half a turn lie as before.
    (half_turns - libm::round(half_turns)) as f32
}
