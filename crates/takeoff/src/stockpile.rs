//! Loose earth in a heap at its angle of repose, and whether it fits the room that there is.
//!
//! ```text
//!      section          ___t___                 plan    ╭────────────────╮
//!                      /       \  height h             (                  )  width 2R
//!                  ___/_________\___                    ╰────────────────╯
//!                     r·h    r·h                        R   straight a   R
//! ```
//!
//! A heap is a straight ridge with half a cone at either end, its top cut off level where a height
//! limit says so. A cone is such a heap without a straight, a frustum one with a level top.

use core::f64::consts::PI;

use units::{Loose, Slope};

use crate::OutOfRange;
use crate::range::positive;

/// Run for each rise of loose mixed earth left to itself, about 34 degrees.
///
/// Common practice, no citable source: dry sand lies flatter, moist and stony earth steeper, and
/// rain flattens all. Set it from a heap on the site.
pub const COMMON_REPOSE_RUN_PER_RISE: f64 = 1.5;

/// The room for a heap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Longer or shorter side, metres.
    pub length_m: f64,
    /// The other side, metres.
    pub width_m: f64,
    /// The greatest height allowed, metres; none where the angle of repose alone limits it.
    pub height_m: Option<f64>,
}

/// The form that a heap takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeapForm {
    /// Tipped on one place.
    Cone,
    /// Drawn out along the room, with a sharp top.
    Ridge,
    /// Levelled on top: a frustum, or a ridge without its edge.
    Flat,
}

/// A heap of loose earth on level ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heap {
    radius_m: f64,
    straight_m: f64,
    height_m: f64,
    run_per_rise: f64,
}

/// Why earth makes no heap in a room.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StockpileError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// A heap's height is beyond the point where its flanks meet.
    #[error("a heap {width_m} m wide meets its own flanks below {height_m} m")]
    TooHigh {
        /// The heap's width, metres.
        width_m: f64,
        /// The height asked for, metres.
        height_m: f64,
    },
    /// A heap's ends are round, so it is never shorter than it is wide.
    #[error("a heap {width_m} m wide cannot be {length_m} m long")]
    TooShort {
        /// The heap's width, metres.
        width_m: f64,
        /// The length asked for, metres.
        length_m: f64,
    },
    /// The room holds less than is to be heaped.
    #[error("the room holds {fits_m3} m3 of loose earth, {over_m3} m3 less than there is")]
    TooMuch {
        /// What the room holds, cubic metres loose.
        fits_m3: f64,
        /// What is left without room, cubic metres loose.
        over_m3: f64,
    },
}

/// The greatest heap that stands in a room.
///
/// Its corners stay empty, because the ends are round. Clearances to edges, roots and drains are the
/// caller's to take off the room first: spoil lies at least 2 ft from the edge of an excavation
/// (29 CFR 1926.651(j)(2), K-04), and local codes may ask more.
///
/// # Errors
/// [`StockpileError::Number`] unless every length and the slope are above zero.
pub fn greatest_heap(room: Room, repose: Slope) -> Result<Heap, StockpileError> {
    let limits = Limits::new(room, repose)?;
    let height_m = limits.height_m.min(limits.width_m / (2.0 * limits.run));
    Heap::new(limits.length_m, limits.width_m, height_m, repose)
}

/// The heap that so much loose earth makes in a room.
///
/// It grows as earth is tipped: a cone, until the room's width or height binds; then a ridge of that
/// height, until the room's length binds; then, where the height binds, a level top that widens.
///
/// ```
/// # use takeoff::{HeapForm, Room, stockpile};
/// # use units::{Loose, Slope};
/// // A cone 2 m high at 1 in 1.5 has a radius of 3 m and π/3 x 9 x 2 = 18.85 m3.
/// let room = Room { length_m: 12.0, width_m: 8.0, height_m: None };
/// let heap = stockpile(Loose::from_m3(18.85), room, Slope::from_run_per_rise(1.5)?)?;
/// assert_eq!(heap.form(), HeapForm::Cone);
/// assert!((heap.height_m() - 2.0).abs() < 1e-3 && (heap.width_m() - 6.0).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`StockpileError::TooMuch`] says what the room holds; [`StockpileError::Number`] unless the
/// volume, every length and the slope are above zero.
pub fn stockpile(loose: Loose, room: Room, repose: Slope) -> Result<Heap, StockpileError> {
    let volume_m3 = positive("what is heaped, m3,", loose.m3())?;
    let limits = Limits::new(room, repose)?;
    let fits_m3 = greatest_heap(room, repose)?.volume().m3();
    if volume_m3 > fits_m3 * (1.0 + ROUNDING) {
        return Err(StockpileError::TooMuch { fits_m3, over_m3: volume_m3 - fits_m3 });
    }
    Ok(limits.heap(volume_m3.min(fits_m3)))
}

impl Heap {
    /// A heap from its footprint, its height and the slope of its flanks.
    ///
    /// # Errors
    /// [`StockpileError`] unless all are above zero, the length is no less than the width, and the
    /// flanks meet no lower than the height.
    pub fn new(
        length_m: f64,
        width_m: f64,
        height_m: f64,
        repose: Slope,
    ) -> Result<Self, StockpileError> {
        positive("a heap's length, m,", length_m)?;
        positive("a heap's width, m,", width_m)?;
        positive("a heap's height, m,", height_m)?;
        let run_per_rise = positive("a heap's run per rise", repose.run_per_rise())?;
        if length_m < width_m {
            return Err(StockpileError::TooShort { width_m, length_m });
        }
        if 2.0 * run_per_rise * height_m > width_m * (1.0 + ROUNDING) {
            return Err(StockpileError::TooHigh { width_m, height_m });
        }
        let (radius_m, straight_m) = (width_m / 2.0, length_m - width_m);
        Ok(Self { radius_m, straight_m, height_m, run_per_rise })
    }

    /// Length over all, metres.
    pub fn length_m(self) -> f64 {
        self.straight_m + 2.0 * self.radius_m
    }

    /// Width over all, metres.
    pub fn width_m(self) -> f64 {
        2.0 * self.radius_m
    }

    /// Height, metres.
    pub fn height_m(self) -> f64 {
        self.height_m
    }

    /// Width of its level top, metres; zero where its flanks meet.
    pub fn top_width_m(self) -> f64 {
        let top_m = 2.0 * (self.radius_m - self.run_per_rise * self.height_m);
        if top_m > self.width_m() * ROUNDING { top_m } else { 0.0 }
    }

    /// The ground that it covers, square metres: π R² + 2 R a.
    pub fn footprint_m2(self) -> f64 {
        PI * self.radius_m * self.radius_m + 2.0 * self.radius_m * self.straight_m
    }

    /// Its volume: the areas of its level slices, π ρ² + 2 ρ a at ρ = R - r z, summed from z = 0 to h.
    ///
    /// With t = R - r h that is π (R³ - t³) / (3 r) + a (R² - t²) / r: a cone is π R² h / 3, a sharp
    /// ridge r h² for each metre of its straight.
    pub fn volume(self) -> Loose {
        let drawn_in_m = self.run_per_rise * self.height_m;
        let [ends, straight] = slices(self.radius_m, drawn_in_m.min(self.radius_m));
        Loose::from_m3((ends + straight * self.straight_m) / self.run_per_rise)
    }

    /// The form that it takes.
    pub fn form(self) -> HeapForm {
        if self.top_width_m() > 0.0 {
            HeapForm::Flat
        } else if self.straight_m > self.width_m() * ROUNDING {
            HeapForm::Ridge
        } else {
            HeapForm::Cone
        }
    }
}

/// Share of a length or a volume that rounding may take or give.
const ROUNDING: f64 = 1.0e-9;

/// π (R³ - t³) / 3 and R² - t² with t = R - d, without the differences of near numbers.
fn slices(radius_m: f64, d: f64) -> [f64; 2] {
    let cubes = d * (3.0 * radius_m * (radius_m - d) + d * d);
    [PI / 3.0 * cubes, d * (2.0 * radius_m - d)]
}

/// A room with its sides in order and a height that always binds somewhere.
struct Limits {
    length_m: f64,
    width_m: f64,
    height_m: f64,
    run: f64,
}

impl Limits {
    fn new(room: Room, repose: Slope) -> Result<Self, OutOfRange> {
        let run = positive("a heap's run per rise", repose.run_per_rise())?;
        let a_m = positive("the room's length, m,", room.length_m)?;
        let b_m = positive("the room's width, m,", room.width_m)?;
        let (length_m, width_m) = (a_m.max(b_m), a_m.min(b_m));
        let height_m = match room.height_m {
            Some(limit_m) => positive("the room's height, m,", limit_m)?,
            None => width_m / (2.0 * run),
        };
        Ok(Self { length_m, width_m, height_m, run })
    }

    /// The heap of a volume that the room holds.
    fn heap(&self, volume_m3: f64) -> Heap {
        let run_per_rise = self.run;
        let most_m = self.height_m.min(self.width_m / (2.0 * self.run));
        let cone_m = libm::cbrt(3.0 * volume_m3 / (PI * self.run * self.run));
        let height_m = cone_m.min(most_m);
        let radius_m = self.run * height_m;
        let mut heap = Heap { radius_m, straight_m: 0.0, height_m, run_per_rise };
        if cone_m <= most_m {
            return heap;
        }
        let beyond_m3 = volume_m3 - heap.volume().m3();
        heap.straight_m = beyond_m3 / (self.run * height_m * height_m);
        if heap.length_m() > self.length_m {
            heap.radius_m = self.flat_radius_m(volume_m3).clamp(radius_m, self.width_m / 2.0);
            heap.straight_m = self.length_m - 2.0 * heap.radius_m;
        }
        heap
    }

    /// The radius at which a heap of the whole length and height, with a level top, has a volume.
    ///
    /// With d = r h and a = L - 2 R the volume is a quadratic in R:
    /// r V = (π - 4) d R² + (2 L d + (2 - π) d²) R + π d³ / 3 - L d².
    fn flat_radius_m(&self, volume_m3: f64) -> f64 {
        let d = self.run * self.height_m;
        let square = (PI - 4.0) * d;
        let linear = 2.0 * self.length_m * d + (2.0 - PI) * d * d;
        let rest = PI / 3.0 * d * d * d - self.length_m * d * d - self.run * volume_m3;
        let root = (linear * linear - 4.0 * square * rest).max(0.0).sqrt();
        -2.0 * rest / (linear + root)
    }
}

#[cfg(test)]
mod tests;
