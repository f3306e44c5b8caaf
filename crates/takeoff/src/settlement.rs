//! Fill that settles, and the overbuild that makes up for it.

use units::Compacted;

use crate::OutOfRange;
use crate::range::{not_negative, share};

/// What a fill is built higher by, so that it stands as drawn when it has settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overbuild {
    /// Height above the drawn one, metres, where the fill is highest.
    pub height_m: f64,
    /// What this adds to the fill.
    pub extra: Compacted,
}

/// The overbuild of a fill that settles by `settles` of its own height.
///
/// Every column of the fill is built higher by the same share of its height, over the plan it has:
/// height and volume grow alike, and its flanks are steeper by that share until it has settled.
/// `settles` is 0 to 1. A flank that is at its limit as drawn is beyond it while overbuilt.
///
/// ```
/// # use takeoff::overbuild;
/// # use units::Compacted;
/// // design.md section 5: 4 ft at 8 % is 0.32 ft.
/// let built = overbuild(4.0 * 0.3048, Compacted::from_m3(50.0), 0.08)?;
/// assert!((built.height_m / 0.3048 - 0.32).abs() < 1e-12);
/// assert_eq!(built.extra.m3(), 4.0);
/// # Ok::<(), takeoff::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a height or fill below zero or a share outside 0 to 1.
///
/// # Source
/// The share is common practice, 5 to 10 % for earth placed without compaction control; NRCS 378
/// asks 5 % of embankments (H-10, from memory).
pub fn overbuild(height_m: f64, fill: Compacted, settles: f64) -> Result<Overbuild, OutOfRange> {
    let settles = share("the share by which fill settles", settles)?;
    let height_m = not_negative("the height of fill, m,", height_m)? * settles;
    let extra = Compacted::from_m3(not_negative("the fill, m3,", fill.m3())? * settles);
    Ok(Overbuild { height_m, extra })
}

/// The share by which a fill settles when only its shrink is known: half of it.
///
/// A soil that grows when placed, with a shrink below zero, is taken not to settle.
///
/// # Errors
/// [`OutOfRange`] unless the shrink is at most 1 and a finite number.
///
/// # Source
/// *Moving the Earth: The Workbook of Excavation* p. 2.51: settlement of an embankment is depth
/// times shrink over 2 (V-18).
pub fn settlement_of_shrink(shrink: f64) -> Result<f64, OutOfRange> {
    if shrink.is_finite() && shrink < 0.0 {
        return Ok(0.0);
    }
    Ok(share("shrink", shrink)? / 2.0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    /// V-18, *Moving the Earth* p. 2.51: 48 in at a shrink of 0.2 settle by 4.8 in.
    #[test]
    fn settlement_of_an_embankment() {
        let settles = settlement_of_shrink(0.2).unwrap();
        let inch_m = 0.0254;
        let built = overbuild(48.0 * inch_m, Compacted::from_m3(0.0), settles).unwrap();
        assert!((built.height_m / inch_m - 4.8).abs() < 1e-12);
        assert_eq!(settlement_of_shrink(-0.3), Ok(0.0));
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        let fill = Compacted::from_m3(1.0);
        assert!(overbuild(-1.0, fill, 0.08).is_err());
        assert!(overbuild(1.0, Compacted::from_m3(f64::NAN), 0.08).is_err());
        assert!(overbuild(1.0, fill, 8.0).is_err());
        assert!(settlement_of_shrink(f64::NAN).is_err() && settlement_of_shrink(1.1).is_err());
        assert!(settlement_of_shrink(f64::NEG_INFINITY).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, rng_seed: RngSeed::Fixed(33), ..ProptestConfig::default() })]

        /// A cone built higher over the same plan: its volume grows as its height does.
        #[test]
        fn a_cone_grows_as_its_height(radius in 0.1..9.0f64, height in 0.0..4.0f64, settles in 0.0..1.0f64) {
            let volume = |h: f64| core::f64::consts::PI / 3.0 * radius * radius * h;
            let built = overbuild(height, Compacted::from_m3(volume(height)), settles).unwrap();
            let whole = volume(height) + built.extra.m3();
            prop_assert!((whole - volume(height + built.height_m)).abs() < 1e-9);
        }
    }
}
