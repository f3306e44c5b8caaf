//! Energy and force of a stream at a section, and the jump from one depth to the other.
//!
//! ```text
//!                      .~~~~~~~   y2 after the jump: slow and deep
//!   y1, fast and thin /
//!   ________________.'
//!   ==============================
//! ```

use crate::fluid::{GRAVITY_M_S2, Water};
use crate::range::{flow, length};
use crate::section::critical;
use crate::solve::{first_that, root};
use crate::{OutOfRange, Section};

/// Fast or slow water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Deeper than critical: ruled by what stands below.
    Slow,
    /// At or thinner than critical: ruled by what comes from above.
    Fast,
}

/// A flow at one depth of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtDepth {
    /// Mean velocity, metres per second.
    pub velocity_m_s: f64,
    /// Velocity over that of a small wave, (g A / T)^0.5: 1 is critical.
    pub froude: f64,
    /// Energy above the bed: the depth and the velocity head, metres.
    pub energy_m: f64,
    /// Fast or slow.
    pub regime: Regime,
}

/// A jump from fast to slow water on a level bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HydraulicJump {
    /// Depth before it, metres.
    pub before_m: f64,
    /// Depth after it, metres.
    pub after_m: f64,
    /// Froude number before it.
    pub froude_before: f64,
    /// Energy that it takes, metres.
    pub loss_m: f64,
    /// Power that it takes, watts, of water at 15 degrees.
    pub power_w: f64,
    /// Length over which the water boils, metres: 6.1 times the depth after it.
    ///
    /// Measured for Froude numbers of 4.5 to 13 in rectangles; an estimate otherwise (USBR
    /// Engineering Monograph 25, from memory).
    pub length_m: f64,
}

/// Why there is no jump.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum JumpError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The water before it is slow already.
    #[error(
        "water {before_m} m deep is slow: it jumps only below the critical depth {critical_m} m"
    )]
    Slow {
        /// Depth given, metres.
        before_m: f64,
        /// Critical depth, metres.
        critical_m: f64,
    },
}

/// Velocity, Froude number and energy of a flow at a depth.
///
/// ```
/// # use water::{Regime, Section, at_depth};
/// // C-12: 0.2 m3/s in 0.4 m, 0.15 m deep: V 3.33, Fr 2.75, energy 0.15 + 0.566.
/// let at = at_depth(Section::rectangle(0.4)?, 0.2, 0.15)?;
/// assert!((at.froude - 2.75).abs() < 0.005 && (at.energy_m - 0.716).abs() < 0.001);
/// assert_eq!(at.regime, Regime::Fast);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when flow or depth is not above zero.
///
/// # Source
/// Chow 1959, ch. 3, with an even velocity over the section.
pub fn at_depth(section: Section, flow_m3_s: f64, depth_m: f64) -> Result<AtDepth, OutOfRange> {
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let depth_m = length("the depth of water, m,", depth_m)?;
    Ok(running_at(section, flow_m3_s, depth_m))
}

/// The depth of the other regime at which a flow has the same energy, metres.
///
/// The critical depth is its own.
///
/// # Errors
/// [`OutOfRange`] when flow or depth is not above zero.
///
/// # Source
/// Chow 1959, ch. 3.
pub fn alternate_depth_m(
    section: Section,
    flow_m3_s: f64,
    depth_m: f64,
) -> Result<f64, OutOfRange> {
    let at = at_depth(section, flow_m3_s, depth_m)?;
    let critical_m = critical(section, flow_m3_s);
    let other = if depth_m < critical_m { Regime::Slow } else { Regime::Fast };
    Ok(depth_of_energy(section, flow_m3_s, at.energy_m, other).unwrap_or(critical_m))
}

/// The jump of a flow from a depth before it, metres, on a level bed without friction.
///
/// ```
/// # use water::{Section, jump};
/// // C-14: 7 m/s at 0.8 m in 10 m jump to 2.46 m and lose 0.577 m.
/// let jump = jump(Section::rectangle(10.0)?, 56.0, 0.8)?;
/// assert!((jump.after_m - 2.46).abs() < 0.01 && (jump.loss_m - 0.577).abs() < 0.002);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`JumpError`] when a number is out of range or the water is slow already.
///
/// # Source
/// Equal force, Q^2 / (g A) plus the first moment of the area; Chow 1959, ch. 3 and 15.
pub fn jump(section: Section, flow_m3_s: f64, before_m: f64) -> Result<HydraulicJump, JumpError> {
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let before_m = length("the depth before a jump, m,", before_m)?;
    let critical_m = critical(section, flow_m3_s);
    if before_m >= critical_m {
        return Err(JumpError::Slow { before_m, critical_m });
    }
    let force = force_m3(section, flow_m3_s, before_m);
    let excess = |y: f64| force_m3(section, flow_m3_s, y) - force;
    let most_m = first_that(2.0 * critical_m, 2.0, 200, |y| excess(y) >= 0.0);
    let after_m = root(critical_m, most_m.unwrap_or(before_m), excess);
    let before = running_at(section, flow_m3_s, before_m);
    let loss_m = before.energy_m - running_at(section, flow_m3_s, after_m).energy_m;
    Ok(HydraulicJump {
        before_m,
        after_m,
        froude_before: before.froude,
        loss_m,
        power_w: Water::COOL.unit_weight_n_m3() * flow_m3_s * loss_m,
        length_m: 6.1 * after_m,
    })
}

/// As [`at_depth`], for numbers that are known to be in range.
pub(crate) fn running_at(section: Section, flow_m3_s: f64, depth_m: f64) -> AtDepth {
    let area_m2 = section.area_m2(depth_m);
    let velocity_m_s = flow_m3_s / area_m2;
    let froude = velocity_m_s / (GRAVITY_M_S2 * area_m2 / section.top_width_m(depth_m)).sqrt();
    let energy_m = depth_m + velocity_m_s * velocity_m_s / (2.0 * GRAVITY_M_S2);
    let regime = if froude < 1.0 { Regime::Slow } else { Regime::Fast };
    AtDepth { velocity_m_s, froude, energy_m, regime }
}

/// Energy above the bed, metres.
pub(crate) fn energy_m(section: Section, flow_m3_s: f64, depth_m: f64) -> f64 {
    let velocity_m_s = flow_m3_s / section.area_m2(depth_m);
    depth_m + velocity_m_s * velocity_m_s / (2.0 * GRAVITY_M_S2)
}

/// Force of the flow on the section over the unit weight of water, cubic metres.
pub(crate) fn force_m3(section: Section, flow_m3_s: f64, depth_m: f64) -> f64 {
    flow_m3_s * flow_m3_s / (GRAVITY_M_S2 * section.area_m2(depth_m))
        + section.first_moment_m3(depth_m)
}

/// The depth of one regime at which a flow has an energy above the bed; none where the energy is less
/// than that of the critical depth.
pub(crate) fn depth_of_energy(
    section: Section,
    flow_m3_s: f64,
    energy: f64,
    regime: Regime,
) -> Option<f64> {
    let critical_m = critical(section, flow_m3_s);
    let excess = |y: f64| energy_m(section, flow_m3_s, y) - energy;
    if excess(critical_m) > 0.0 {
        return None;
    }
    let far_m = match regime {
        // The depth alone is more than the energy there.
        Regime::Slow => energy.max(critical_m),
        Regime::Fast => first_that(0.5 * critical_m, 0.5, 500, |y| excess(y) >= 0.0)?,
    };
    Some(root(critical_m, far_m, excess))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    const FOOT_M: f64 = 0.3048;

    /// C-09, Subramanya ex. 12.25: 6 m3/s in 2 m: critical energy 1.458 m, one and a half depths.
    #[test]
    fn energy_at_the_critical_depth() {
        let section = Section::rectangle(2.0).unwrap();
        let least = energy_m(section, 6.0, critical(section, 6.0));
        assert!((least / 1.458 - 1.0).abs() < 1e-3);
        assert!((least / critical(section, 6.0) - 1.5).abs() < 1e-12);
    }

    /// C-12, Cengel and Cimbala ex. 13-1: the depth that is alternate to 0.15 m is 0.69 m.
    #[test]
    fn alternate_depths() {
        let section = Section::rectangle(0.4).unwrap();
        let other = alternate_depth_m(section, 0.2, 0.15).unwrap();
        assert!((other / 0.69 - 1.0).abs() < 5e-3, "{other}");
        assert!((alternate_depth_m(section, 0.2, other).unwrap() - 0.15).abs() < 1e-12);
        let critical_m = critical(section, 0.2);
        assert!((critical_m / 0.294 - 1.0).abs() < 5e-3);
        let own = alternate_depth_m(section, 0.2, critical_m).unwrap();
        assert!((own - critical_m).abs() < 1e-7, "{own} {critical_m}");
    }

    /// C-13, Munson ex. 10.9: 0.6 ft at 18 fps in 100 ft: Fr 4.10, 3.19 ft, 277.5 hp.
    #[test]
    fn a_jump_below_a_fall() {
        let section = Section::rectangle(100.0 * FOOT_M).unwrap();
        let flow = 100.0 * 0.6 * 18.0 * FOOT_M * FOOT_M * FOOT_M;
        let jump = jump(section, flow, 0.6 * FOOT_M).unwrap();
        assert!((jump.froude_before / 4.095 - 1.0).abs() < 2e-3);
        assert!((jump.after_m / FOOT_M / 3.19 - 1.0).abs() < 2e-3);
        // The book's horsepower of 550 ft lbf/s, and water of 62.4 lb/ft3.
        assert!((jump.power_w / 745.7 / 277.5 - 1.0).abs() < 3e-3, "{}", jump.power_w / 745.7);
        assert!((jump.loss_m / FOOT_M / 2.265 - 1.0).abs() < 2e-3);
    }

    /// C-14, Cengel and Cimbala ex. 13-8.
    #[test]
    fn a_jump_in_metres() {
        let jump = jump(Section::rectangle(10.0).unwrap(), 56.0, 0.8).unwrap();
        assert!(
            (jump.after_m / 2.46 - 1.0).abs() < 3e-3 && (jump.loss_m / 0.577 - 1.0).abs() < 3e-3
        );
    }

    #[test]
    fn what_does_not_run_is_refused() {
        let section = Section::rectangle(1.0).unwrap();
        assert!(at_depth(section, 0.0, 0.1).is_err() && at_depth(section, 0.1, f64::NAN).is_err());
        assert!(matches!(jump(section, 0.1, 0.5), Err(JumpError::Slow { .. })));
        assert!(jump(section, f64::INFINITY, 0.5).is_err());
        assert_eq!(depth_of_energy(section, 0.1, 0.01, Regime::Slow), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(55), failure_persistence: None, ..ProptestConfig::default() })]

        /// In a rectangle the jump has a closed form (Belanger), and so has its loss.
        #[test]
        fn jumps_in_rectangles_are_belangers(
            bed in 0.05..20.0f64, magnitude in -5.0..2.0f64, share in 0.02..0.98f64,
        ) {
            let (section, flow) = (Section::rectangle(bed).unwrap(), libm::exp10(magnitude));
            let before = share * critical(section, flow);
            prop_assume!(before >= 1e-4);
            let jump = jump(section, flow, before).unwrap();
            let froude = running_at(section, flow, before).froude;
            let belanger = 0.5 * before * ((1.0 + 8.0 * froude * froude).sqrt() - 1.0);
            prop_assert!((jump.after_m / belanger - 1.0).abs() < 1e-9);
            let rise = jump.after_m - before;
            let loss = rise * rise * rise / (4.0 * before * jump.after_m);
            prop_assert!((jump.loss_m - loss).abs() < 1e-9 * loss + 1e-12 * (before + jump.after_m) * froude * froude);
            prop_assert!(jump.loss_m > -1e-15);
        }

        #[test]
        fn both_depths_of_an_energy_have_it(
            (bed, side) in (0.01..20.0f64, 0.0..5.0f64), magnitude in -6.0..3.0f64, more in 1.0..50.0f64,
        ) {
            let (section, flow) = (Section::new(bed, [side, 0.5 * side]).unwrap(), libm::exp10(magnitude));
            let critical_m = critical(section, flow);
            let energy = more * energy_m(section, flow, critical_m) * (1.0 + 1e-12);
            let slow = depth_of_energy(section, flow, energy, Regime::Slow).unwrap();
            let fast = depth_of_energy(section, flow, energy, Regime::Fast).unwrap();
            prop_assert!(fast <= critical_m && critical_m <= slow);
            for depth in [slow, fast] {
                prop_assert!((energy_m(section, flow, depth) / energy - 1.0).abs() < 1e-9);
            }
        }
    }
}
