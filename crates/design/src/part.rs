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
    /// A pad.
    Pad = 13,
    /// Graded lawn.
    Lawn = 14,
    /// A path's walked ground.
    Path = 15,
    /// A rock in a stream.
    Island = 16,
}

impl Part {
    /// Every part.
    pub const ALL: [Self; 17] = [
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
        Self::Pad,
        Self::Lawn,
        Self::Path,
        Self::Island,
    ];

    /// The part with this number, whatever its band; existing ground for an unknown one.
    pub fn of(number: u32) -> Self {
        Self::ALL.get((number % BAND) as usize).copied().unwrap_or(Self::Existing)
    }

    /// The number of this part in a band of a basin: zero outside its first ring, one inside it.
    pub(crate) const fn in_band(self, band: u32) -> u32 {
        self as u32 + BAND * band
    }

    /// The band of a part's number.
    pub(crate) const fn band_of(number: u32) -> u32 {
        number / BAND
    }
}

/// Numbers of parts below it, bands in multiples of it.
const BAND: u32 = 256;
