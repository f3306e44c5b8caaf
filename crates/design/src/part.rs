//! Which part of a work a face of the finished ground belongs to.
//!
//! The kernel carries [`ground::Tag`]: its owner is the work's id (zero is existing ground), its
//! part one of these.

/// A part of a work, as materials, slopes and findings tell them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u32)]
pub enum Part {
    /// Existing ground, untouched.
    Existing = 0,
    /// The floor of a basin or its sump.
    Floor = 1,
    /// The side between two levels inside a basin or filter.
    Side = 2,
    /// A shelf: the band between two rings that falls less than 1 in 4.
    Shelf = 3,
    /// The level rim around water.
    Rim = 4,
    /// A bank cut from a rim up to existing ground.
    CutBank = 5,
    /// A bank filled from a rim down to existing ground.
    FillBank = 6,
    /// The bed of a stream.
    Bed = 7,
    /// The flank of a hill.
    Flank = 8,
    /// The level top of a hill.
    Crest = 9,
    /// The top of a wall.
    WallTop = 10,
    /// The leaning face of a wall.
    WallFace = 11,
    /// Fill behind a wall.
    Backfill = 12,
}

impl Part {
    /// Every part.
    pub const ALL: [Self; 13] = [
        Self::Existing,
        Self::Floor,
        Self::Side,
        Self::Shelf,
        Self::Rim,
        Self::CutBank,
        Self::FillBank,
        Self::Bed,
        Self::Flank,
        Self::Crest,
        Self::WallTop,
        Self::WallFace,
        Self::Backfill,
    ];

    /// The part with this number; existing ground for an unknown one.
    pub fn of(number: u32) -> Self {
        Self::ALL.get(number as usize).copied().unwrap_or(Self::Existing)
    }
}
