//! A lot of earth: one quantity in the bank, loose and by mass.

use units::{Bank, Loose};

use crate::Soil;

/// Earth that is hauled, in the three ways in which it is counted.
///
/// Lots of several soils add, because each already stands in its own states.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lot {
    /// Volume in the bank.
    pub bank: Bank,
    /// Volume when dug.
    pub loose: Loose,
    /// Mass, tonnes.
    pub mass_t: f64,
}

/// A lot and how far either way each of its counts may lie.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RangedLot {
    /// The lot at the middle of every range.
    pub lot: Lot,
    /// The greatest departure of each count.
    pub plus_minus: Lot,
}

impl Lot {
    /// So much of `soil` in the bank.
    ///
    /// ```
    /// # use takeoff::{Lot, Soil};
    /// let lot = Lot::of(Soil::new(1.6, 0.25, 0.10)?, units::Bank::from_m3(8.0));
    /// assert_eq!((lot.loose.m3(), lot.mass_t), (10.0, 12.8));
    /// # Ok::<(), takeoff::SoilError>(())
    /// ```
    pub fn of(soil: Soil, bank: Bank) -> Self {
        Self { bank, loose: soil.loose(bank), mass_t: soil.mass_t(bank) }
    }

    /// Both lots together.
    pub fn and(self, other: Self) -> Self {
        self.with(other, |a, b| a + b)
    }

    fn with(self, other: Self, op: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            bank: Bank::from_m3(op(self.bank.m3(), other.bank.m3())),
            loose: Loose::from_m3(op(self.loose.m3(), other.loose.m3())),
            mass_t: op(self.mass_t, other.mass_t),
        }
    }
}

impl RangedLot {
    /// Widens the plus or minus of each count to take in `other`.
    pub(crate) fn widen(&mut self, other: Lot) {
        let off = self.lot.with(other, |a, b| (a - b).abs());
        self.plus_minus = self.plus_minus.with(off, f64::max);
    }
}
