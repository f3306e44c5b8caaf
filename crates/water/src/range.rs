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

/// Lengths, areas, volumes and times of a garden stay far below this; it keeps products of several
/// from running over to infinity.
const MOST: f64 = 1.0e9;

/// And what divides stays above this.
const LEAST: f64 = 1.0e-9;

/// Widths, diameters and lengths of what water runs through.
const LENGTHS_M: (f64, f64) = (1.0e-4, 1.0e5);

/// Streams of a garden carry litres a second; a river in flood is still far below the upper end.
const FLOWS_M3_S: (f64, f64) = (1.0e-9, 1.0e5);

/// `found`, when it is above zero.
pub(crate) fn positive(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((LEAST, MOST), OutOfRange { what, allowed: "above 0 (1e-9 to 1e9)", found })
}

/// `found`, when it is zero or more.
pub(crate) fn not_negative(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((0.0, MOST), OutOfRange { what, allowed: "0 or more (to 1e9)", found })
}

/// `found`, when it is a width, a diameter or a length of something that exists.
pub(crate) fn length(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within(LENGTHS_M, OutOfRange { what, allowed: "above 0 (1e-4 to 1e5)", found })
}

/// `found`, when it is a flow, not none.
pub(crate) fn flow(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within(FLOWS_M3_S, OutOfRange { what, allowed: "above 0 (1e-9 to 1e5)", found })
}

/// `found`, when it is a flow or none.
pub(crate) fn flow_or_none(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((0.0, FLOWS_M3_S.1), OutOfRange { what, allowed: "0 or more (to 1e5)", found })
}

/// `found`, when it is an elevation of ground.
pub(crate) fn elevation(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((-1.0e5, 1.0e5), OutOfRange { what, allowed: "a number (-1e5 to 1e5)", found })
}

/// `found`, when it is a share of a whole.
pub(crate) fn share(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((0.0, 1.0), OutOfRange { what, allowed: "0 to 1 as a share", found })
}

/// `found`, when it is a share of a whole and not none of it.
pub(crate) fn some_share(what: &'static str, found: f64) -> Result<f64, OutOfRange> {
    within((LEAST, 1.0), OutOfRange { what, allowed: "above 0 and at most 1 as a share", found })
}

/// `found`, when it lies between two numbers; `allowed` says so in words.
pub(crate) fn between(
    ends: (f64, f64),
    allowed: &'static str,
    (what, found): (&'static str, f64),
) -> Result<f64, OutOfRange> {
    within(ends, OutOfRange { what, allowed, found })
}

fn within((least, most): (f64, f64), number: OutOfRange) -> Result<f64, OutOfRange> {
    if (least..=most).contains(&number.found) { Ok(number.found) } else { Err(number) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_in_no_range() {
        let ranges =
            [positive, not_negative, length, flow, flow_or_none, elevation, share, some_share];
        for range in ranges {
            for no_number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                assert!(range("depth", no_number).is_err());
            }
        }
        assert!(flow("flow", 0.0).is_err() && flow_or_none("flow", 0.0).is_ok());
        assert!(some_share("part", 0.0).is_err() && share("part", 1.0).is_ok());
        let said = share("the part that is open", 1.5).unwrap_err().to_string();
        assert_eq!(said, "the part that is open must be 0 to 1 as a share, not 1.5");
    }
}
