//! What a build found in its input and how it settled it.

use crate::LatticePoint;

/// What a build found in its input; lists are in the order of their places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BuildReport {
    /// Places that were named more than once.
    pub merged: Vec<Merged>,
    /// Places where two breaklines cross, whatever their heights.
    pub crossings: Vec<Meeting>,
    /// Vertices that stand on a breakline at another height than the line's own.
    pub bends: Vec<Meeting>,
    /// Pieces along which breaklines run more than once.
    pub overlaps: Vec<[LatticePoint; 2]>,
    /// Places where a breakline repeats its last vertex.
    pub zero_length: Vec<LatticePoint>,
    /// Points and breakline vertices that the boundary or a void cut away.
    pub outside: Vec<LatticePoint>,
    /// Boundary and void vertices beyond the survey, where no ground is invented.
    pub beyond_survey: Vec<LatticePoint>,
}

/// A place that was named more than once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Merged {
    /// The place.
    pub at: LatticePoint,
    /// How often it was named.
    pub count: usize,
    /// The lowest and the highest height named, in metres.
    pub heights: [f64; 2],
    /// The height it was given: the mean of all that were named.
    pub height: f64,
}

/// A place where two lines, or a line and a vertex, meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meeting {
    /// The place.
    pub at: LatticePoint,
    /// The lower and the higher of the heights that the two give, in metres.
    pub heights: [f64; 2],
    /// The height it was given.
    pub height: f64,
}

/// Heights closer than this are the same: it is above the rounding of an interpolation along a line
/// at any height on Earth, and far below what a survey can tell.
pub(super) const SAME_HEIGHT_M: f64 = 1e-9;

impl Meeting {
    /// Whether the two give different heights.
    pub fn differs(&self) -> bool {
        self.heights[1] - self.heights[0] > SAME_HEIGHT_M
    }
}
