//! Water that falls from a crest: as a sheet through the air or down a chute, how far it is thrown,
//! and how fast and thin it lands.
//!
//! ```text
//!   ===.__  V              ===.
//!      |   `.                  \__  chute: the face runs out further
//! drop |     \  sheet             \__  than the water throws
//!      |______\______              ==========
//!      | throw |
//! ```

use crate::fluid::GRAVITY_M_S2;
use crate::range::{flow, length, not_negative, positive};
use crate::solve::{first_that, root};
use crate::{BRINK_SHARE, OutOfRange, OverCrest, Roughness, Section, Trust};

/// Steps down a chute.
const N_CHUTE_STEPS: u32 = 400;

/// The face below a crest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Face {
    /// Upright or undercut.
    Upright,
    /// Sloping, with stone that the water may run on.
    Sloping {
        /// Horizontal run from the crest to the foot, metres.
        run_m: f64,
        /// Width of the water at the foot, metres; at the top it is the crest's.
        foot_width_m: f64,
        /// What the face is of.
        roughness: Roughness,
    },
}

/// How the water comes down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FallKind {
    /// Through the air.
    Sheet,
    /// On the face.
    Chute,
}

/// Water at the foot of a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Falling {
    /// Sheet or chute.
    pub kind: FallKind,
    /// Distance from the crest at which the outer side of the water lands, metres; for a chute, its
    /// foot.
    pub throw_m: f64,
    /// Distance at which the inner side of a sheet lands, metres; for a chute, its foot.
    pub inner_throw_m: f64,
    /// Velocity at the foot, along the water's own way, metres per second.
    pub foot_velocity_m_s: f64,
    /// Thickness at the foot, across the water's own way, metres.
    pub foot_thickness_m: f64,
    /// An estimate where the sheet is thinner than its formulas were measured for, and for chutes
    /// down which the water is thin or white.
    pub trust: Trust,
}

/// Why a fall cannot be reckoned.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FallError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The face is so flat and rough that water does not run down it fast.
    #[error("the face is so flat that water runs slowly on it: it is a reach of the stream")]
    Flat,
}

/// How far beyond the landing the liner is to reach for splash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SplashMargin {
    /// The least, metres.
    pub least_m: f64,
    /// Share of the drop.
    pub share_of_drop: f64,
}

/// A sheet against the liner below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Landing {
    /// Distance from the crest to which the liner must reach, metres: throw and splash.
    pub liner_needed_m: f64,
    /// How much the liner falls short, metres; below zero is to spare.
    pub short_by_m: f64,
}

/// An upright drop onto a level bed.
///
/// ```text
///   ==.
///     |`.                 .~~~~ after
///     |pool`.____________.
///     |=======|=====================
///     |length |   before
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StraightDrop {
    /// Depth of the pool behind the sheet, metres.
    pub pool_m: f64,
    /// Distance from the face to where the sheet lands, metres.
    pub length_m: f64,
    /// Depth of the fast water at the foot, metres.
    pub before_m: f64,
    /// Depth to which it jumps, metres.
    pub after_m: f64,
}

impl Default for SplashMargin {
    /// 0.3 m, or half the drop where that is more: common practice.
    fn default() -> Self {
        Self { least_m: 0.3, share_of_drop: 0.5 }
    }
}

/// How water that runs over a crest comes down.
///
/// `drop_m` is from the lowest point of the crest to the water or stone on which it lands, above
/// zero. On a sloping face the water is a sheet when its inner side clears the foot of the face, else
/// a chute from the crest on.
///
/// ```
/// # use water::{Crest, CrestForm, EdgeAllowance, Face, FallKind, fall};
/// // q 0.046 leaves 0.043 m thick at 1.07 m/s; 0.5 m down its inner side has run
/// // 1.07 x (2 x 0.5 / 9.807)^0.5 = 0.34 m, its outer one 1.07 x (2 x 0.543 / 9.807)^0.5 = 0.36 m.
/// let crest = Crest::level(10.0, 0.5, CrestForm::Broad)?;
/// let over = crest.over(0.023, None, EdgeAllowance::default())?;
/// let falling = fall(&over, 0.5, Face::Upright)?;
/// assert_eq!(falling.kind, FallKind::Sheet);
/// assert!((falling.inner_throw_m - 0.34).abs() < 0.005);
/// assert!((falling.throw_m - 0.36).abs() < 0.005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`FallError`] for a number out of range or a face on which water runs slowly.
///
/// # Source
/// Throw V (2 h / g)^0.5 with V at the brink; a body's free fall. Chute: energy against Manning's
/// friction down the face, with the depth across it, Chow 1959, ch. 3.
pub fn fall(over: &OverCrest, drop_m: f64, face: Face) -> Result<Falling, FallError> {
    let drop_m = length("the drop of a fall, m,", drop_m)?;
    let unit_flow_m2_s = positive("the flow for each metre of crest, m2/s,", over.unit_flow_m2_s)?;
    let brink_m = BRINK_SHARE * positive("the critical depth, m,", over.critical_depth_m)?;
    let velocity_m_s = unit_flow_m2_s / brink_m;
    let throw = |height_m: f64| velocity_m_s * (2.0 * height_m / GRAVITY_M_S2).sqrt();
    let inner_throw_m = throw(drop_m);
    if let Face::Sloping { run_m, foot_width_m, roughness } = face {
        let run_m = not_negative("the run of a fall's face, m,", run_m)?;
        let foot_width_m = length("the width of a fall at its foot, m,", foot_width_m)?;
        if inner_throw_m < run_m {
            return chute(over, (drop_m, run_m), foot_width_m, roughness);
        }
    }
    let fallen_m = drop_m + 0.5 * brink_m;
    let foot_velocity_m_s = (velocity_m_s * velocity_m_s + 2.0 * GRAVITY_M_S2 * fallen_m).sqrt();
    Ok(Falling {
        kind: FallKind::Sheet,
        throw_m: throw(drop_m + brink_m),
        inner_throw_m,
        foot_velocity_m_s,
        foot_thickness_m: unit_flow_m2_s / foot_velocity_m_s,
        trust: over.trust,
    })
}

/// Where a fall lands against a liner that reaches `liner_to_m` from the crest.
///
/// # Errors
/// [`OutOfRange`] for a number below zero.
pub fn landing(
    falling: &Falling,
    drop_m: f64,
    liner_to_m: f64,
    margin: SplashMargin,
) -> Result<Landing, OutOfRange> {
    let drop_m = not_negative("the drop of a fall, m,", drop_m)?;
    let liner_to_m = not_negative("the reach of the liner, m,", liner_to_m)?;
    let throw_m = not_negative("the throw of a fall, m,", falling.throw_m)?;
    let share = not_negative("the splash as a share of the drop", margin.share_of_drop)?;
    let splash_m = (share * drop_m).max(not_negative("the least splash, m,", margin.least_m)?);
    let liner_needed_m = throw_m + splash_m;
    Ok(Landing { liner_needed_m, short_by_m: liner_needed_m - liner_to_m })
}

/// The water at the foot of an upright drop onto a level bed without a pool.
///
/// # Errors
/// [`OutOfRange`] for a flow or drop that is not above zero.
///
/// # Source
/// W. Rand, "Flow geometry at straight drop spillways", Proc. ASCE 81 (1955), as in Chow 1959, ch.
/// 15, from memory: with D = q^2 / (g h^3), pool D^0.22, length 4.30 D^0.27, depths 0.54 D^0.425 and
/// 1.66 D^0.27, each of h.
pub fn straight_drop(unit_flow_m2_s: f64, drop_m: f64) -> Result<StraightDrop, OutOfRange> {
    let q = flow("the flow for each metre of crest, m2/s,", unit_flow_m2_s)?;
    let h = length("the drop of a fall, m,", drop_m)?;
    let number = q * q / (GRAVITY_M_S2 * h * h * h);
    Ok(StraightDrop {
        pool_m: h * libm::pow(number, 0.22),
        length_m: h * 4.30 * libm::pow(number, 0.27),
        before_m: h * 0.54 * libm::pow(number, 0.425),
        after_m: h * 1.66 * libm::pow(number, 0.27),
    })
}

/// Depth of the fast water at the foot of an upright drop, metres, however small the drop.
///
/// # Source
/// M. P. White 1943: y1 / yc = 2^0.5 / (1.06 + (h / yc + 1.5)^0.5), from memory. Within 15 % of
/// Rand's for drops of 1 to 50 critical depths.
pub(crate) fn foot_depth_m(critical_depth_m: f64, drop_m: f64) -> f64 {
    let drop = drop_m.max(0.0) / critical_depth_m;
    core::f64::consts::SQRT_2 * critical_depth_m / (1.06 + (drop + 1.5).sqrt())
}

/// Water down a sloping face, from critical at the crest.
fn chute(
    over: &OverCrest,
    (drop_m, run_m): (f64, f64),
    foot_width_m: f64,
    roughness: Roughness,
) -> Result<Falling, FallError> {
    let way_m = (drop_m * drop_m + run_m * run_m).sqrt();
    let (sine, cosine) = (drop_m / way_m, run_m / way_m);
    let step_m = way_m / f64::from(N_CHUTE_STEPS);
    let flow_m3_s = flow("the flow over a crest, m3/s,", over.flow_m3_s)?;
    // A crest of even depth that carries the flow as its deepest part does.
    let top_width_m = flow_m3_s / over.unit_flow_m2_s;
    let section = |width_m: f64| Section::rectangle(width_m);
    let mut depth_m = critical_on_slope(over.unit_flow_m2_s, cosine);
    let mut energy_m = energy_on_slope(over.unit_flow_m2_s, depth_m, cosine);
    for step in 1..=N_CHUTE_STEPS {
        let share = f64::from(step) / f64::from(N_CHUTE_STEPS);
        let width_m = top_width_m + share * (foot_width_m - top_width_m);
        let (q, here) = (flow_m3_s / width_m, section(width_m)?);
        energy_m += step_m * sine;
        let friction_m = |d: f64| {
            let ratio = flow_m3_s / roughness.conveyance_m3_s(here, d);
            step_m * ratio * ratio
        };
        let excess = |d: f64| energy_on_slope(q, d, cosine) + friction_m(d) - energy_m;
        let critical_m = critical_on_slope(q, cosine);
        if excess(critical_m) > 0.0 {
            return Err(FallError::Flat);
        }
        let thin_m = first_that(0.5 * critical_m, 0.5, 200, |d| excess(d) >= 0.0);
        depth_m = root(thin_m.unwrap_or(0.0), critical_m, excess);
        energy_m = energy_on_slope(q, depth_m, cosine);
    }
    let radius_m = section(foot_width_m)?.hydraulic_radius_m(depth_m);
    Ok(Falling {
        kind: FallKind::Chute,
        throw_m: run_m,
        inner_throw_m: run_m,
        foot_velocity_m_s: flow_m3_s / (foot_width_m * depth_m),
        foot_thickness_m: depth_m,
        trust: over.trust.and(roughness.trust(radius_m)),
    })
}

fn critical_on_slope(unit_flow_m2_s: f64, cosine: f64) -> f64 {
    libm::cbrt(unit_flow_m2_s * unit_flow_m2_s / (GRAVITY_M_S2 * cosine))
}

fn energy_on_slope(unit_flow_m2_s: f64, depth_m: f64, cosine: f64) -> f64 {
    let velocity_m_s = unit_flow_m2_s / depth_m;
    depth_m * cosine + velocity_m_s * velocity_m_s / (2.0 * GRAVITY_M_S2)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;
    use crate::energy::depth_of_energy;
    use crate::{Crest, CrestForm, EdgeAllowance, Regime, jump};

    fn over(flow_m3_s: f64, width_m: f64) -> OverCrest {
        let crest = Crest::level(0.0, width_m, CrestForm::Broad).unwrap();
        crest.over(flow_m3_s, None, EdgeAllowance::default()).unwrap()
    }

    fn sloping(run_m: f64, foot_width_m: f64, n: f64) -> Face {
        Face::Sloping { run_m, foot_width_m, roughness: Roughness::manning(n).unwrap() }
    }

    /// design.md section 8: the throw of a fall is V times the root of 2 h / g.
    #[test]
    fn throw_of_a_sheet() {
        let over = over(0.023, 0.5);
        let velocity = over.unit_flow_m2_s / over.brink_depth_m;
        let falling = fall(&over, 0.6, Face::Upright).unwrap();
        let plain = velocity * (2.0 * 0.6 / GRAVITY_M_S2).sqrt();
        assert!((falling.inner_throw_m - plain).abs() < 1e-12);
        assert!(falling.throw_m > plain && falling.throw_m < 1.05 * plain);
        // It lands as thin as its speed makes it.
        let speed = falling.foot_velocity_m_s;
        assert!((falling.foot_thickness_m * speed - over.unit_flow_m2_s).abs() < 1e-15);
        let short = landing(&falling, 0.6, 0.5, SplashMargin::default()).unwrap();
        assert!((short.liner_needed_m - falling.throw_m - 0.3).abs() < 1e-12);
        assert!((short.short_by_m - (short.liner_needed_m - 0.5)).abs() < 1e-12);
    }

    #[test]
    fn a_face_that_runs_out_makes_a_chute() {
        let over = over(0.023, 0.5);
        let throw = fall(&over, 0.5, Face::Upright).unwrap().inner_throw_m;
        let sheet = fall(&over, 0.5, sloping(0.99 * throw, 0.5, 0.03)).unwrap();
        let chute = fall(&over, 0.5, sloping(1.01 * throw, 0.5, 0.03)).unwrap();
        assert_eq!((sheet.kind, chute.kind), (FallKind::Sheet, FallKind::Chute));
        assert!(chute.foot_velocity_m_s < sheet.foot_velocity_m_s);
        let wide = fall(&over, 0.5, sloping(0.8, 1.0, 0.03)).unwrap();
        let narrow = fall(&over, 0.5, sloping(0.8, 0.4, 0.03)).unwrap();
        assert!(wide.foot_thickness_m < narrow.foot_thickness_m);
        let flat = fall(&over, 0.01, sloping(5.0, 0.5, 0.1));
        assert_eq!(flat, Err(FallError::Flat));
    }

    /// A gentle and nearly smooth chute keeps its energy: the foot's depth is the fast one that has
    /// it.
    #[test]
    fn a_smooth_chute_keeps_its_energy() {
        let over = over(0.5, 0.5);
        let chute = fall(&over, 0.5, sloping(20.0, 0.5, 0.005)).unwrap();
        let energy = 1.5 * over.critical_depth_m + 0.5;
        let section = Section::rectangle(0.5).unwrap();
        let without = depth_of_energy(section, 0.5, energy, Regime::Fast).unwrap();
        assert!(chute.foot_thickness_m > without);
        let steep = fall(&over, 0.5, sloping(1.5, 0.5, 0.005)).unwrap();
        assert!((steep.foot_thickness_m / without - 1.0).abs() < 0.06);
    }

    /// A second way: Rand's measured depths against White's momentum, and Rand's own pair against
    /// Belanger's jump.
    #[test]
    fn rand_white_and_belanger_agree_on_drops() {
        let section = Section::rectangle(1.0).unwrap();
        for drop_in_critical in [1.0, 2.0, 5.0, 10.0, 20.0, 50.0] {
            let q: f64 = 0.05;
            let critical = libm::cbrt(q * q / GRAVITY_M_S2);
            let rand = straight_drop(q, drop_in_critical * critical).unwrap();
            let white = foot_depth_m(critical, drop_in_critical * critical);
            assert!((rand.before_m / white - 1.0).abs() < 0.15, "{drop_in_critical}");
            let after = jump(section, q, rand.before_m).unwrap().after_m;
            assert!((rand.after_m / after - 1.0).abs() < 0.15, "{drop_in_critical}");
        }
        assert!((foot_depth_m(1.0, 0.0) - 0.619).abs() < 1e-3);
    }

    #[test]
    fn what_does_not_fall_is_refused() {
        let over = over(0.023, 0.5);
        assert!(fall(&over, 0.0, Face::Upright).is_err());
        assert!(fall(&over, f64::NAN, Face::Upright).is_err());
        assert!(fall(&over, 0.5, sloping(f64::NAN, 0.5, 0.03)).is_err());
        assert!(fall(&over, 0.5, sloping(1.0, 0.0, 0.03)).is_err());
        assert!(straight_drop(0.0, 1.0).is_err());
        let falling = fall(&over, 0.5, Face::Upright).unwrap();
        assert!(landing(&falling, 0.5, f64::NAN, SplashMargin::default()).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(57), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn falls_are_bounded_by_their_energy(
            (log_flow, width) in (-6.0..1.0f64, 0.02..5.0f64),
            (drop, run, foot) in (0.01..4.0f64, 0.0..4.0f64, 0.02..5.0f64),
            n in 0.01..0.2f64,
        ) {
            let over = over(libm::exp10(log_flow), width);
            if let Ok(falling) = fall(&over, drop, sloping(run, foot, n)) {
                prop_assert!(falling.throw_m.is_finite() && falling.throw_m > 0.0);
                let brink_energy = 2.0 * over.critical_depth_m + drop;
                let head = falling.foot_velocity_m_s * falling.foot_velocity_m_s / (2.0 * GRAVITY_M_S2);
                prop_assert!(head <= brink_energy * 1.001, "{} {}", head, brink_energy);
                let higher = fall(&over, drop * 1.1, Face::Upright).unwrap();
                prop_assert!(higher.throw_m > fall(&over, drop, Face::Upright).unwrap().throw_m);
            }
        }
    }
}
