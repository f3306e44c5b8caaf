//! How far a number can be trusted.

/// Whether a formula is used within what it was measured for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Within the range for which the formula was calibrated.
    Calibrated,
    /// Beyond it: the number is an estimate, to be shown as one.
    Estimate,
}

impl Trust {
    /// `Calibrated` when all holds that the formula asks for.
    pub(crate) fn when(within: bool) -> Self {
        if within { Self::Calibrated } else { Self::Estimate }
    }

    /// What two numbers together can be trusted for: the worse.
    pub fn and(self, other: Self) -> Self {
        self.max(other)
    }
}
