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

#[cfg(test)]
mod tests {
    use super::Sum;

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
