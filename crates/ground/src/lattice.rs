//! The integer lattice on which all plan coordinates lie.
//!
//! A surface's plan coordinates are whole numbers of lattice steps from the site's local origin, so
//! that side-of-line and in-circle questions have exact answers.

/// A place in plan, in whole lattice steps east (`x`) and north (`y`) of the site's local origin.
///
/// Both lie within [`Lattice::REACH`] of zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LatticePoint {
    /// Steps east.
    pub x: i32,
    /// Steps north.
    pub y: i32,
}

/// The size of the lattice step: a power of ten from one micrometre to one millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Lattice {
    steps_per_m: u32,
}

/// Why a lattice or a place on it was refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LatticeError {
    /// The step is none of 1, 10, 100 or 1000 micrometres.
    #[error("the lattice step must be 1, 10, 100 or 1000 micrometres, not {0}")]
    Step(u32),
    /// A coordinate is not a number, infinite, or too far from the local origin.
    #[error("the place ({x}, {y}) m lies beyond {reach_m} m from the local origin")]
    Beyond {
        /// Metres east.
        x: f64,
        /// Metres north.
        y: f64,
        /// The farthest that this lattice reaches, in metres.
        reach_m: f64,
    },
}

impl Default for Lattice {
    /// One micrometre.
    fn default() -> Self {
        Self { steps_per_m: 1_000_000 }
    }
}

impl Lattice {
    /// The greatest number of steps from zero: the lattice is 2^30 steps across, so that the
    /// in-circle determinant fits 128 bits.
    pub const REACH: i32 = 1 << 29;

    /// A lattice whose step is `step_um` micrometres: 1, 10, 100 or 1000.
    ///
    /// # Errors
    /// [`LatticeError::Step`] for any other step.
    pub fn new(step_um: u32) -> Result<Self, LatticeError> {
        match step_um {
            1 | 10 | 100 | 1000 => Ok(Self { steps_per_m: 1_000_000 / step_um }),
            other => Err(LatticeError::Step(other)),
        }
    }

    /// The finest lattice that reaches `extent_m` metres from the local origin, if any does.
    pub fn reaching(extent_m: f64) -> Option<Self> {
        [1, 10, 100, 1000]
            .into_iter()
            .filter_map(|step_um| Self::new(step_um).ok())
            .find(|lattice| extent_m <= lattice.reach_m())
    }

    /// The step in micrometres.
    pub fn step_um(self) -> u32 {
        1_000_000 / self.steps_per_m
    }

    /// The step in metres.
    pub fn step_m(self) -> f64 {
        1.0 / f64::from(self.steps_per_m)
    }

    /// How far from the local origin a coordinate may lie, in metres.
    pub fn reach_m(self) -> f64 {
        f64::from(Self::REACH) / f64::from(self.steps_per_m)
    }

    /// The lattice place nearest to a place in local metres.
    ///
    /// # Errors
    /// [`LatticeError::Beyond`] when a coordinate is not finite or beyond the reach.
    pub fn snap(self, local_m: [f64; 2]) -> Result<LatticePoint, LatticeError> {
        let scaled = local_m.map(|c| (c * f64::from(self.steps_per_m)).round());
        if scaled.iter().all(|c| c.abs() <= f64::from(Self::REACH)) {
            Ok(LatticePoint { x: scaled[0] as i32, y: scaled[1] as i32 })
        } else {
            Err(LatticeError::Beyond { x: local_m[0], y: local_m[1], reach_m: self.reach_m() })
        }
    }

    /// The place of `point` in local metres, correctly rounded.
    pub fn metres(self, point: LatticePoint) -> [f64; 2] {
        let per_m = f64::from(self.steps_per_m);
        [f64::from(point.x) / per_m, f64::from(point.y) / per_m]
    }

    /// A place between lattice points, given in steps, in local metres.
    pub(crate) fn metres_at(self, steps: [f64; 2]) -> [f64; 2] {
        steps.map(|s| s / f64::from(self.steps_per_m))
    }
}
