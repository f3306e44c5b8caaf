//! Groundwater that lifts a liner, with the pond full, low and drained.
//!
//! ```text
//!   ~~~~~ groundwater ~~~~~    head = groundwater less liner
//!   ===== cover ===========    t
//!   ----- liner -----------
//!          ^ ^ ^ ^
//! ```

use crate::fluid::Water;
use crate::range::{between, elevation, not_negative};
use crate::{GRAVITY_M_S2, OutOfRange};

/// By how much what holds a liner down is to exceed what lifts it, unless changed.
///
/// # Source
/// design.md section 6; common practice.
pub const COMMON_UPLIFT_FACTOR: f64 = 1.2;

/// Ground around a liner and what lies on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinerGround {
    /// Elevation of the liner, metres.
    pub liner_m: f64,
    /// Seasonal high groundwater, metres.
    pub groundwater_m: f64,
    /// Thickness of gravel or stone on the liner, metres.
    pub cover_m: f64,
    /// Density of that cover with its pores full of water, kilograms per cubic metre.
    pub cover_saturated_kg_m3: f64,
    /// Density of that cover when the pond is drained, kilograms per cubic metre.
    pub cover_drained_kg_m3: f64,
}

/// What holds and what lifts, for each square metre of liner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uplift {
    /// Pressure of groundwater under the liner, pascals; none where it stands below.
    pub lifts_pa: f64,
    /// Weight of water and cover on the liner, pascals.
    pub holds_pa: f64,
    /// What holds over what lifts; infinite where nothing lifts.
    pub factor: f64,
    /// Thickness of cover, metres, at which the factor asked for is reached.
    pub cover_needed_m: f64,
}

/// Uplift with the pond at a level, metres: full, or low.
///
/// Water on the liner presses as groundwater lifts; the cover adds its weight under water. At a level
/// below the liner the pond is drained.
///
/// ```
/// # use water::{LinerGround, uplift_with_water};
/// // Liner 1 m down, water to 10.0, groundwater to 10.1: 1.1 m lift, 1.0 m and gravel hold.
/// let ground = LinerGround {
///     liner_m: 9.0,
///     groundwater_m: 10.1,
///     cover_m: 0.15,
///     cover_saturated_kg_m3: 2000.0,
///     cover_drained_kg_m3: 1700.0,
/// };
/// let full = uplift_with_water(ground, 10.0, 1.0)?;
/// assert!(full.factor > 1.0 && full.factor < 1.06);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a number out of range, a cover lighter than water or a factor outside 1 to 10.
///
/// # Source
/// Hydrostatics (K-26): net uplift is the unit weight of water times groundwater less pond, less the
/// cover's weight under water.
pub fn uplift_with_water(
    ground: LinerGround,
    pond_level_m: f64,
    factor_asked: f64,
) -> Result<Uplift, OutOfRange> {
    let pond_level_m = elevation("the level of the pond, m,", pond_level_m)?;
    let liner_m = elevation("the elevation of a liner, m,", ground.liner_m)?;
    let depth_m = pond_level_m - liner_m;
    if depth_m <= 0.0 {
        return uplift_drained(ground, factor_asked);
    }
    let water_n_m3 = Water::COOL.unit_weight_n_m3();
    let saturated = saturated_n_m3(ground)?;
    balance(ground, factor_asked, (depth_m * water_n_m3, saturated - water_n_m3))
}

/// Uplift with the pond drained: the cover alone holds, with its drained weight.
///
/// # Errors
/// [`OutOfRange`] as [`uplift_with_water`].
///
/// # Source
/// Hydrostatics (K-26): weight of the cover over that of water times the head above the liner.
pub fn uplift_drained(ground: LinerGround, factor_asked: f64) -> Result<Uplift, OutOfRange> {
    let density = ("the density of drained cover, kg/m3,", ground.cover_drained_kg_m3);
    let drained = between((500.0, 4000.0), "500 to 4000", density)? * GRAVITY_M_S2;
    balance(ground, factor_asked, (0.0, drained))
}

fn balance(
    ground: LinerGround,
    factor_asked: f64,
    (water_pa, cover_n_m3): (f64, f64),
) -> Result<Uplift, OutOfRange> {
    let liner_m = elevation("the elevation of a liner, m,", ground.liner_m)?;
    let groundwater_m = elevation("the elevation of groundwater, m,", ground.groundwater_m)?;
    let cover_m = not_negative("the thickness of cover, m,", ground.cover_m)?;
    let factor = ("the factor against uplift", factor_asked);
    let factor_asked = between((1.0, 10.0), "1 to 10", factor)?;
    let head_m = groundwater_m - liner_m;
    let lifts_pa = if head_m > 0.0 { head_m * Water::COOL.unit_weight_n_m3() } else { 0.0 };
    let holds_pa = water_pa + cover_m * cover_n_m3;
    let lacks_pa = factor_asked * lifts_pa - water_pa;
    Ok(Uplift {
        lifts_pa,
        holds_pa,
        factor: if lifts_pa > 0.0 { holds_pa / lifts_pa } else { f64::INFINITY },
        cover_needed_m: if lacks_pa > 0.0 { lacks_pa / cover_n_m3 } else { 0.0 },
    })
}

fn saturated_n_m3(ground: LinerGround) -> Result<f64, OutOfRange> {
    let density = ("the density of saturated cover, kg/m3,", ground.cover_saturated_kg_m3);
    Ok(between((1050.0, 4000.0), "1050 to 4000", density)? * GRAVITY_M_S2)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    const FOOT_M: f64 = 0.3048;
    const PCF_KG_M3: f64 = 0.453_592_37 / (FOOT_M * FOOT_M * FOOT_M);
    const PSF_PA: f64 = 0.453_592_37 * 9.806_65 / (FOOT_M * FOOT_M);

    fn ground(groundwater_m: f64, cover_m: f64) -> LinerGround {
        LinerGround {
            liner_m: 0.0,
            groundwater_m,
            cover_m,
            cover_saturated_kg_m3: 120.0 * PCF_KG_M3,
            cover_drained_kg_m3: 120.0 * PCF_KG_M3,
        }
    }

    /// K-26: a foot of head is 62.4 psf; it needs 1.083 ft of submerged cover (57.6 pcf) or 0.52 ft of
    /// 120 pcf in an empty pond, at a factor of 1.
    #[test]
    fn a_foot_of_groundwater() {
        // Full: groundwater a foot above the pond.
        let full = uplift_with_water(ground(4.0 * FOOT_M, 0.0), 3.0 * FOOT_M, 1.0).unwrap();
        let net = (full.lifts_pa - full.holds_pa) / PSF_PA;
        assert!((net / 62.4 - 1.0).abs() < 1e-3, "{net}");
        assert!((full.cover_needed_m / FOOT_M / 1.083 - 1.0).abs() < 1e-3);
        let drained = uplift_drained(ground(FOOT_M, 0.0), 1.0).unwrap();
        assert!((drained.lifts_pa / PSF_PA / 62.4 - 1.0).abs() < 1e-3);
        assert!((drained.cover_needed_m / FOOT_M / 0.52 - 1.0).abs() < 1e-3);
        let held = uplift_drained(ground(FOOT_M, 0.52 * FOOT_M), 1.0).unwrap();
        assert!((held.factor - 1.0).abs() < 1e-3);
    }

    #[test]
    fn low_groundwater_lifts_nothing() {
        let dry = uplift_drained(ground(-1.0, 0.1), COMMON_UPLIFT_FACTOR).unwrap();
        assert_eq!((dry.lifts_pa, dry.factor, dry.cover_needed_m), (0.0, f64::INFINITY, 0.0));
        let below = uplift_with_water(ground(0.5, 0.1), -0.2, 1.2).unwrap();
        assert_eq!(below, uplift_drained(ground(0.5, 0.1), 1.2).unwrap());
    }

    #[test]
    fn what_is_no_ground_is_refused() {
        assert!(uplift_with_water(ground(f64::NAN, 0.1), 1.0, 1.2).is_err());
        assert!(uplift_with_water(ground(1.0, -0.1), 1.0, 1.2).is_err());
        assert!(uplift_with_water(ground(1.0, 0.1), f64::NAN, 1.2).is_err());
        assert!(uplift_drained(ground(1.0, 0.1), 0.5).is_err());
        let light = LinerGround { cover_saturated_kg_m3: 900.0, ..ground(1.0, 0.1) };
        assert!(uplift_with_water(light, 1.0, 1.2).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(66), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_cover_needed_is_enough(groundwater in 0.01..3.0f64, pond in 0.01..3.0f64, factor in 1.0..2.0f64) {
            for at in [Some(pond), None] {
                let run = |cover_m| match at {
                    Some(level) => uplift_with_water(ground(groundwater, cover_m), level, factor).unwrap(),
                    None => uplift_drained(ground(groundwater, cover_m), factor).unwrap(),
                };
                let bare = run(0.0);
                let covered = run(bare.cover_needed_m);
                prop_assert!(covered.factor >= factor * (1.0 - 1e-12));
                prop_assert!(bare.cover_needed_m == 0.0 || (covered.factor / factor - 1.0).abs() < 1e-9);
            }
        }
    }
}
