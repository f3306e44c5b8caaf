//! The ranges that plain numbers must lie in, and what is said when one does not.

/// A number outside what its quantity allows.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{what} must be {allowed}, not {found}")]
pub struct OutOfRange {
    /// The quantity and its unit, in the trade's words.
    pub what: &'static str,
    /// What is allowed.
    pub allowed: &'static str,
    /// What was given.
    pub found: f64,
}

/// Lengths, areas, volumes, times and prices of a garden stay far below this; it keeps products of
/// several from running over to infinity.
const MOST: f64 = 1.0e9;

/// And what divides stays above this.
const LEAST: f64 = 1.0e-9;

/// `found`, when it is above zero.
pub(crate) fn positive(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((LEAST, MOST), OutOfRange { what, allowed: "above 0 (1e-9 to 1e9)", found })
}

/// `found`, when it is zero or more.
pub(crate) fn not_negative(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((0.0, MOST), OutOfRange { what, allowed: "0 or more (to 1e9)", found })
}

/// `found`, when it is a share of a whole.
pub(crate) fn share(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((0.0, 1.0), OutOfRange { what, allowed: "0 to 1 as a share", found })
}

/// `found`, when it is a share of a whole and not none of it.
pub(crate) fn some_share(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((LEAST, 1.0), OutOfRange { what, allowed: "above 0 and at most 1 as a share", found })
}

/// `found`, when it is above zero and at most `most`; `allowed` says so in words.
pub(crate) fn up_to(
    most: f64,
    allowed: &'static str,
    (what, found): (&'static str, f64),
) -> Result<f64, OutOfRange> {
    within((LEAST, most), OutOfRange { what, allowed, found })
}

/// `found`, when a balance may hold it: finite, below zero for what is lacking.
pub(crate) fn balance(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((-MOST, MOST), OutOfRange { what, allowed: "a number (-1e9 to 1e9)", found })
}

fn within((least, most): (f64, f64), number: OutOfRange) -> Result<f64, OutOfRange> {
    if (least..=most).contains(&number.found) { Ok(number.found) } else { Err(number) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_in_no_range() {
        for range in [positive, not_negative, share, some_share, balance] {
            for no_number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                assert!(range("depth", no_number).is_err());
            }
        }
        assert!(positive("depth", 0.0).is_err() && not_negative("depth", 0.0).is_ok());
        assert!(some_share("waste", 0.0).is_err() && share("waste", 1.0).is_ok());
        let said = share("waste", 1.5).unwrap_err().to_string();
        assert_eq!(said, "waste must be 0 to 1 as a share, not 1.5");
    }
}
