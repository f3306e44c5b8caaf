//! Sums that lose next to nothing to rounding.

/// A running compensated sum: its error is that of one rounding plus n² ulps of the terms' rounding
/// squared, however much the terms cancel.
///
/// The result depends on the order of the terms, so callers add in a fixed order. A term that is not
/// finite makes the value not a number or infinite, never a plausible figure.
///
/// ```
/// let mut sum = ground::Sum::default();
/// for term in [1e16, 1.0, -1e16] {
///     sum.add(term);
/// }
/// assert_eq!(sum.value(), 1.0);
/// ```
///
/// # Source
/// A. Neumaier, "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen", ZAMM 54
/// (1974), algorithm IV.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sum {
    total: f64,
    lost: f64,
}

impl Sum {
    /// Adds one term.
    #[inline]
    pub fn add(&mut self, term: f64) {
        let total = self.total + term;
        self.lost += if self.total.abs() >= term.abs() {
            (self.total - total) + term
        } else {
            (term - total) + self.total
        };
        self.total = total;
    }

    /// The sum of the terms so far.
    #[inline]
    pub fn value(&self) -> f64 {
        if self.total.is_finite() { self.total + self.lost } else { self.total }
    }
}

impl Extend<f64> for Sum {
    fn extend<I: IntoIterator<Item = f64>>(&mut self, terms: I) {
        for term in terms {
            self.add(term);
        }
    }
}

impl FromIterator<f64> for Sum {
    fn from_iter<I: IntoIterator<Item = f64>>(terms: I) -> Self {
        let mut sum = Self::default();
        sum.extend(terms);
        sum
    }
}

/// A running total that is the same in whatever order its terms come.
///
/// Each term is counted in whole 2^-50ths, so that adding is exact; terms of 2^-50 and less are
/// lost. A term or a total beyond 2^76, or a term that is no number, makes the value not a number.
///
/// ```
/// let terms = [1e9, 0.1, -1e9, 0.2, 1e-3];
/// let total = |terms: &[f64]| terms.iter().copied().collect::<ground::Total>().value();
/// assert_eq!(total(&terms), total(&[0.2, 1e-3, 1e9, 0.1, -1e9]));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Total {
    parts: i128,
    has_no_value: bool,
}

impl Total {
    const PARTS_PER_ONE: f64 = (1u64 << 50) as f64;

    /// Adds one term.
    #[inline]
    pub fn add(&mut self, term: f64) {
        // A double is a whole number of 53 bits times a power of two: shifting it counts its parts.
        let bits = term.to_bits();
        let exponent = (bits >> 52 & 0x7ff) as i32;
        let whole = i128::from(bits & ((1 << 52) - 1) | 1 << 52);
        let parts = match exponent - 1075 + 50 {
            shift @ 0..=74 => whole << shift,
            shift @ -53..0 => whole >> -shift,
            shift => {
                self.has_no_value |= shift > 74;
                0
            }
        };
        let signed = if term < 0.0 { -parts } else { parts };
        let (sum, is_beyond) = self.parts.overflowing_add(signed);
        self.has_no_value |= is_beyond;
        self.parts = sum;
    }

    /// Adds all terms of another total.
    #[inline]
    pub fn add_total(&mut self, other: Self) {
        let (sum, is_beyond) = self.parts.overflowing_add(other.parts);
        self.has_no_value |= is_beyond | other.has_no_value;
        self.parts = sum;
    }

    /// The sum of the terms so far.
    #[inline]
    pub fn value(&self) -> f64 {
        if self.has_no_value { f64::NAN } else { self.parts as f64 / Self::PARTS_PER_ONE }
    }
}

impl std::ops::Neg for Total {
    type Output = Self;

    fn neg(self) -> Self {
        let (parts, is_beyond) = self.parts.overflowing_neg();
        Self { parts, has_no_value: self.has_no_value | is_beyond }
    }
}

impl FromIterator<f64> for Total {
    fn from_iter<I: IntoIterator<Item = f64>>(terms: I) -> Self {
        let mut total = Self::default();
        terms.into_iter().for_each(|term| total.add(term));
        total
    }
}

#[cfg(test)]
mod tests {
    use super::{Sum, Total};

    #[test]
    fn a_total_knows_no_order() {
        let terms: Vec<f64> =
            (0..1_000).map(|i| f64::from(i * 7919 % 1_000 - 500).powi(5) / 3.0).collect();
        let forward: Total = terms.iter().copied().collect();
        let backward: Total = terms.iter().rev().copied().collect();
        assert_eq!(forward, backward);
        let sum: Sum = terms.into_iter().collect();
        assert!((forward.value() - sum.value()).abs() <= 1e-12 * sum.value().abs());
        for beyond in [f64::NAN, f64::INFINITY, -f64::INFINITY, 1e30] {
            assert!([1.0, beyond].into_iter().collect::<Total>().value().is_nan(), "{beyond}");
        }
        let most = 2.0_f64.powi(76);
        assert_eq!([most, -most, 1.0].into_iter().collect::<Total>().value(), 1.0);
        assert!([most; 3].into_iter().collect::<Total>().value().is_nan());
    }

    #[test]
    fn small_terms_survive_large_ones() {
        let mut sum: Sum = std::iter::repeat_n(0.1, 10_000_000).collect();
        sum.add(1e12);
        sum.extend([-1e12]);
        assert!((sum.value() - 1e6).abs() < 1e-4_f64.powi(2));
    }

    #[test]
    fn what_is_not_finite_shows() {
        assert!([1.0, f64::NAN].into_iter().collect::<Sum>().value().is_nan());
        assert_eq!([1.0, f64::INFINITY].into_iter().collect::<Sum>().value(), f64::INFINITY);
        assert!([f64::INFINITY, -f64::INFINITY].into_iter().collect::<Sum>().value().is_nan());
    }
}
