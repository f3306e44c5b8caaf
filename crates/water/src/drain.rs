//! A drain under the liner: what it must carry, what it carries with its fall, and how close drains
//! must lie.

use crate::range::{between, elevation, flow_or_none, length, not_negative, positive, share};
use crate::solve::root;
use crate::{OutOfRange, Trust};

/// Fall of a drain, metres for each metre, below which silt stays in it: common practice, 0.5 %.
pub const LEAST_DRAIN_FALL: f64 = 0.005;

/// Depth of water over the diameter at which a round pipe carries most.
const MOST_FULL: f64 = 0.938;

/// A round drain that runs partly full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrainPipe {
    /// Inside diameter, metres.
    pub diameter_m: f64,
    /// Manning's n: 0.009 to 0.013 smooth, 0.015 to 0.025 corrugated (from memory).
    pub n: f64,
    /// Length to the outlet, metres.
    pub length_m: f64,
    /// Elevation of its invert at the upper end, metres.
    pub upper_m: f64,
    /// Elevation of its invert at the outlet, metres.
    pub outlet_m: f64,
}

/// A drain at work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drained {
    /// Fall, metres for each metre; below zero it runs the wrong way.
    pub fall: f64,
    /// What it carries when full, cubic metres per second; none without a fall.
    pub full_m3_s: f64,
    /// Depth of the water over the diameter; none where it carries less than is asked.
    pub filling: Option<f64>,
    /// An estimate where the fall is below [`LEAST_DRAIN_FALL`] or the outlet is drowned.
    pub trust: Trust,
    /// How far the outlet's invert stands above the water that it runs into, metres; below zero it is
    /// drowned, and the groundwater comes down no further.
    pub outlet_above_water_m: f64,
}

/// A drain against the water that comes to it, and the water that it runs into, metres.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// Manning's equation for a round section; the depth of a part-full pipe by its angle, Chow 1959, ch.
/// 2 and 6.
pub fn drain(pipe: DrainPipe, flow_m3_s: f64, receiving_m: f64) -> Result<Drained, OutOfRange> {
    let diameter = ("the inside diameter of a drain, m,", pipe.diameter_m);
    let diameter_m = between((0.01, 10.0), "0.01 to 10", diameter)?;
    let n = between((0.005, 1.0), "0.005 to 1", ("Manning's n", pipe.n))?;
    let length_m = length("the length of a drain, m,", pipe.length_m)?;
    let upper_m = elevation("the invert of a drain, m,", pipe.upper_m)?;
    let outlet_m = elevation("the invert of a drain's outlet, m,", pipe.outlet_m)?;
    let receiving_m = elevation("the water that a drain runs into, m,", receiving_m)?;
    let flow_m3_s = flow_or_none("the flow to a drain, m3/s,", flow_m3_s)?;
    let fall = (upper_m - outlet_m) / length_m;
    let carries = |filling: f64| round_m3_s(diameter_m, n, fall, filling);
    let filling = if fall <= 0.0 || flow_m3_s > carries(MOST_FULL) {
        None
    } else {
        Some(root(0.0, MOST_FULL, |filling| carries(filling) - flow_m3_s))
    };
    let outlet_above_water_m = outlet_m - receiving_m;
    Ok(Drained {
        fall,
        full_m3_s: if fall > 0.0 { carries(1.0) } else { 0.0 },
        filling,
        trust: Trust::when(fall >= LEAST_DRAIN_FALL && outlet_above_water_m >= 0.0),
        outlet_above_water_m,
    })
}

/// Groundwater that seeps through ground to a drain, cubic metres per second.
///
/// # Errors
/// [`OutOfRange`] for a conductivity above 10 m/s, or a number below zero.
///
/// # Source
/// Darcy's law, Q = k i A.
pub fn seepage_m3_s(conductivity_m_s: f64, gradient: f64, area_m2: f64) -> Result<f64, OutOfRange> {
    let k = ("the conductivity of ground, m/s,", conductivity_m_s);
    let k = between((0.0, 10.0), "0 to 10", k)?;
    let gradient = not_negative("the gradient of groundwater", gradient)?;
    Ok(k * gradient * not_negative("the area of seepage, m2,", area_m2)?)
}

/// Distance between parallel drains, metres, that holds groundwater midway no higher than
/// `midway_m` above a tight layer when it stands `at_drain_m` above it at the drains.
///
/// # Errors
/// [`OutOfRange`] when conductivity or recharge is not above zero, or the water midway is not above
/// that at the drains.
///
/// # Source
/// Donnan 1946: L^2 = 4 k (b^2 - a^2) / q, from memory.
pub fn drain_spacing_m(
    conductivity_m_s: f64,
    recharge_m_s: f64,
    at_drain_m: f64,
    midway_m: f64,
) -> Result<f64, OutOfRange> {
    let k = ("the conductivity of ground, m/s,", conductivity_m_s);
    let k = between((1.0e-12, 10.0), "1e-12 to 10", k)?;
    let recharge = ("water that comes to the ground, m/s,", recharge_m_s);
    let recharge_m_s = between((1.0e-12, 1.0), "1e-12 to 1", recharge)?;
    let at_drain_m = not_negative("groundwater at the drains above a tight layer, m,", at_drain_m)?;
    let midway_m = positive("groundwater midway above a tight layer, m,", midway_m)?;
    let rise_m =
        positive("groundwater midway above that at the drains, m,", midway_m - at_drain_m)?;
    Ok((4.0 * k * rise_m * (midway_m + at_drain_m) / recharge_m_s).sqrt())
}

/// Share of the section of a round pipe that is wet, by its filling.
///
/// # Errors
/// [`OutOfRange`] for a filling outside 0 to 1.
///
/// # Source
/// Geometry of the circle; Chow 1959, ch. 2.
pub fn wet_share_of_round(filling: f64) -> Result<f64, OutOfRange> {
    let angle = wet_angle_rad(share("the filling of a pipe", filling)?);
    Ok((angle - libm::sin(angle)) / (2.0 * core::f64::consts::PI))
}

fn wet_angle_rad(filling: f64) -> f64 {
    2.0 * libm::acos((1.0 - 2.0 * filling).clamp(-1.0, 1.0))
}

fn round_m3_s(diameter_m: f64, n: f64, fall: f64, filling: f64) -> f64 {
    let angle = wet_angle_rad(filling);
    let area_m2 = 0.125 * diameter_m * diameter_m * (angle - libm::sin(angle));
    if area_m2 <= 0.0 {
        return 0.0;
    }
    let radius_m = area_m2 / (0.5 * diameter_m * angle);
    area_m2 * libm::cbrt(radius_m * radius_m) * fall.max(0.0).sqrt() / n
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn pipe(fall: f64) -> DrainPipe {
        DrainPipe {
            diameter_m: 0.1,
            n: 0.016,
            length_m: 10.0,
            upper_m: 10.0,
            outlet_m: 10.0 - 10.0 * fall,
        }
    }

    /// A full pipe by hand: A 0.007854 m2, R 0.025 m, at 1 % and n 0.016: 4.2 L/s; half full carries
    /// half of it, and 0.938 of the diameter the most, 1.076 of full (Chow 1959, from memory).
    #[test]
    fn a_drain_by_hand() {
        let full = drain(pipe(0.01), 0.001, 9.0).unwrap();
        let by_hand = 0.007_854 * libm::pow(0.025, 2.0 / 3.0) * 0.1 / 0.016;
        assert!((full.full_m3_s / by_hand - 1.0).abs() < 1e-4);
        let half = drain(pipe(0.01), 0.5 * full.full_m3_s, 9.0).unwrap();
        assert!((half.filling.unwrap() - 0.5).abs() < 1e-9);
        let ratio = round_m3_s(0.1, 0.016, 0.01, MOST_FULL) / full.full_m3_s;
        assert!((ratio - 1.076).abs() < 1e-3);
        assert_eq!(drain(pipe(0.01), 1.08 * full.full_m3_s, 9.0).unwrap().filling, None);
        assert!((wet_share_of_round(0.5).unwrap() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_flat_or_drowned_drain_says_so() {
        let flat = drain(pipe(0.0), 0.001, 9.0).unwrap();
        assert_eq!((flat.full_m3_s, flat.filling, flat.trust), (0.0, None, Trust::Estimate));
        let drowned = drain(pipe(0.01), 0.001, 9.95).unwrap();
        assert!(drowned.outlet_above_water_m < 0.0 && drowned.trust == Trust::Estimate);
        assert!(drain(pipe(-0.01), 0.001, 9.0).unwrap().fall < 0.0);
    }

    /// Donnan by hand: 4 x 1e-5 (1 - 0.25) / 1e-7 = 300, so 17.3 m; Darcy: 1e-5 x 0.1 x 50.
    #[test]
    fn spacing_and_seepage_by_hand() {
        let spacing = drain_spacing_m(1e-5, 1e-7, 0.5, 1.0).unwrap();
        assert!((spacing - 300.0_f64.sqrt()).abs() < 1e-9);
        assert!((seepage_m3_s(1e-5, 0.1, 50.0).unwrap() - 5e-5).abs() < 1e-18);
    }

    #[test]
    fn what_is_no_drain_is_refused() {
        assert!(drain(DrainPipe { n: f64::NAN, ..pipe(0.01) }, 0.001, 9.0).is_err());
        assert!(drain(pipe(0.01), f64::NAN, 9.0).is_err());
        assert!(drain(pipe(0.01), 0.001, f64::INFINITY).is_err());
        assert!(drain_spacing_m(1e-5, 1e-7, 1.0, 0.5).is_err());
        assert!(seepage_m3_s(f64::NAN, 0.1, 1.0).is_err() && wet_share_of_round(1.1).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(67), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_filling_carries_the_flow(fall in 1e-4..0.5f64, share in 0.001..1.07f64) {
            let full = drain(pipe(fall), 0.0, 0.0).unwrap().full_m3_s;
            let filling = drain(pipe(fall), share * full, 0.0).unwrap().filling.unwrap();
            let actual = (10.0 - (10.0 - 10.0 * fall)) / 10.0;
            prop_assert!((round_m3_s(0.1, 0.016, actual, filling) / full - share).abs() < 1e-9);
        }
    }
}
