//! Measured weirs: the published formulas for thin plates and long crests, to check a crest or to
//! measure a flow with a board.

use crate::fluid::GRAVITY_M_S2;
use crate::range::{between, length, not_negative, positive};
use crate::solve::root;
use crate::{OutOfRange, THIN_HEAD_M, Trust};

const FOOT_M: f64 = 0.3048;

/// The square root of metres per second in that of feet.
const ROOT_FOOT: f64 = 0.552_086_950_042_06;

/// A formula for the flow over a thin plate across a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlateFormula {
    /// Cd in Q = 2/3 Cd (2 g)^0.5 b H^1.5.
    Coefficient(f64),
    /// Francis: 3.33 (b - 0.1 n H) H^1.5 in feet, with n contracted ends.
    Francis {
        /// Contracted ends.
        n_contracted: u8,
    },
    /// Bazin: (0.405 + 0.003 / H) (2 g)^0.5 b H^1.5 in metres.
    Bazin,
    /// Rehbock, for a plate of a height above the bed: (3.234 + 5.347 / (320 H - 3) + 0.428 H / P) b
    /// H^1.5 in feet.
    Rehbock {
        /// Height of the crest above the bed upstream, metres.
        height_m: f64,
    },
    /// Cd = a + c H / P: 0.598 and 0.0897 in Cengel and Cimbala; 0.611 and 0.08 elsewhere.
    Linear {
        /// Height of the crest above the bed upstream, metres.
        height_m: f64,
        /// a.
        at_none: f64,
        /// c.
        by_head: f64,
    },
    /// Kindsvater and Carter over the full width: Ce = 0.602 + 0.075 H / P, with 0.003 ft added to
    /// the head and taken off the width.
    KindsvaterCarter {
        /// Height of the crest above the bed upstream, metres.
        height_m: f64,
    },
    /// Everett, Washington: (3.27 + 0.40 H / P) (b - 0.2 H) H^1.5 in feet.
    Everett {
        /// Height of the crest above the bed upstream, metres.
        height_m: f64,
    },
}

/// A flow by a weir.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Cubic metres per second.
    pub flow_m3_s: f64,
    /// An estimate below 0.2 ft of head (W-13).
    pub trust: Trust,
}

/// Flow over a thin plate of a width with a head, both metres.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// J. Lal, *Hydraulics*, ex. 4.5 (W-01: Francis, Bazin, Rehbock); Cengel and Cimbala ex. 13-11 (W-04);
/// USBR *Water Measurement Manual* ch. 7 (W-11; W-12 from memory); Everett stormwater manual fig.
/// 3.2.13 (W-14).
pub fn plate_flow(
    width_m: f64,
    head_m: f64,
    formula: PlateFormula,
) -> Result<Measured, OutOfRange> {
    let b = length("the width of a weir, m,", width_m)?;
    let h = length("the head over a weir, m,", head_m)?;
    let over_height =
        |height_m: f64| Ok::<f64, OutOfRange>(h / length("the height of a weir, m,", height_m)?);
    let by_cd = |cd: f64, b: f64, h: f64| 2.0 / 3.0 * cd * root_2g() * b * h * h.sqrt();
    let in_feet = |c: f64, b: f64| c * ROOT_FOOT * b * h * h.sqrt();
    let flow_m3_s = match formula {
        PlateFormula::Coefficient(cd) => {
            by_cd(between((0.1, 1.5), "0.1 to 1.5", ("the Cd of a weir", cd))?, b, h)
        }
        PlateFormula::Francis { n_contracted } => {
            in_feet(3.33, narrowed(b - 0.1 * f64::from(n_contracted) * h)?)
        }
        PlateFormula::Bazin => (0.405 + 0.003 / h) * root_2g() * b * h * h.sqrt(),
        PlateFormula::Rehbock { height_m } => {
            // Near no head the second term has no meaning, and is held.
            let small = 5.347 / (320.0 * (h / FOOT_M).max(0.02) - 3.0);
            in_feet(3.234 + small + 0.428 * over_height(height_m)?, b)
        }
        PlateFormula::Linear { height_m, at_none, by_head } => {
            let at_none = between((0.1, 1.5), "0.1 to 1.5", ("the Cd of a weir", at_none))?;
            let by_head = between((0.0, 1.0), "0 to 1", ("how Cd grows with the head", by_head))?;
            by_cd(at_none + by_head * over_height(height_m)?, b, h)
        }
        PlateFormula::KindsvaterCarter { height_m } => {
            let cd = 0.602 + 0.075 * over_height(height_m)?;
            by_cd(cd, narrowed(b - 0.003 * FOOT_M)?, h + 0.003 * FOOT_M)
        }
        PlateFormula::Everett { height_m } => {
            in_feet(3.27 + 0.40 * over_height(height_m)?, narrowed(b - 0.2 * h)?)
        }
    };
    Ok(Measured { flow_m3_s, trust: Trust::when(h >= THIN_HEAD_M) })
}

/// Head over a thin plate, metres, at which a flow passes.
///
/// # Errors
/// [`OutOfRange`] for a number out of range, also when the plate's formula ends before the flow.
pub fn plate_head_m(
    width_m: f64,
    flow_m3_s: f64,
    formula: PlateFormula,
) -> Result<f64, OutOfRange> {
    let flow_m3_s = positive("the flow over a weir, m3/s,", flow_m3_s)?;
    let excess = |h: f64| plate_flow(width_m, h, formula).map(|at| at.flow_m3_s - flow_m3_s);
    let (mut low, mut high) = (1.0e-4, 2.0e-4);
    while excess(high)? < 0.0 {
        (low, high) = (high, 2.0 * high);
    }
    Ok(root(low, high, |h| excess(h).unwrap_or(f64::INFINITY)))
}

/// Flow through a notch of 90 degrees in a thin plate, with a head in metres.
///
/// # Errors
/// [`OutOfRange`] for a head out of range.
///
/// # Source
/// Cone: 2.49 H^2.48 in feet; USBR *Water Measurement Manual*, from memory (W-10).
pub fn notch_flow(head_m: f64) -> Result<Measured, OutOfRange> {
    let head_m = length("the head over a weir, m,", head_m)?;
    let cfs = 2.49 * libm::pow(head_m / FOOT_M, 2.48);
    let flow_m3_s = cfs * FOOT_M * FOOT_M * FOOT_M;
    Ok(Measured { flow_m3_s, trust: Trust::when(head_m >= THIN_HEAD_M) })
}

/// Flow over a long crest with the head that the approach's velocity adds, cubic metres per second.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// Q = Cd 1.705 b ((H + V^2 / 2g)^1.5 - (V^2 / 2g)^1.5); J. Lal ex. 4.13 (W-08), which takes the
/// velocity of the flow without it.
pub fn long_crest_m3_s(
    width_m: f64,
    head_m: f64,
    cd: f64,
    approach_m_s: f64,
) -> Result<f64, OutOfRange> {
    let b = length("the width of a weir, m,", width_m)?;
    let h = length("the head over a weir, m,", head_m)?;
    let cd = between((0.1, 1.5), "0.1 to 1.5", ("the Cd of a weir", cd))?;
    let approach = ("the velocity of the approach, m/s,", approach_m_s);
    let velocity = between((0.0, 100.0), "0 to 100", approach)?;
    let added = velocity * velocity / (2.0 * GRAVITY_M_S2);
    let power = |head: f64| head * head.sqrt();
    let coefficient = 2.0 / 3.0 * (2.0 * GRAVITY_M_S2 / 3.0).sqrt() * cd;
    Ok(coefficient * b * (power(h + added) - power(added)))
}

/// Flow over a thin plate with water standing above its crest downstream, cubic metres per second:
/// the upper part as a free weir, the lower as a drowned opening.
///
/// # Errors
/// [`OutOfRange`] for a number out of range, or water that stands no higher upstream than down.
///
/// # Source
/// J. Lal ex. 4.14 (W-15), which takes 0.58 and 0.80.
pub fn drowned_plate_m3_s(
    width_m: f64,
    (above_m, below_m): (f64, f64),
    (free_cd, drowned_cd): (f64, f64),
) -> Result<f64, OutOfRange> {
    let b = length("the width of a weir, m,", width_m)?;
    let above_m = length("the head over a weir, m,", above_m)?;
    let below_m = not_negative("the water below over a weir's crest, m,", below_m)?;
    let fall_m = length("the head over a weir above the water below, m,", above_m - below_m)?;
    let cd = |cd: f64| between((0.1, 1.5), "0.1 to 1.5", ("the Cd of a weir", cd));
    let free = 2.0 / 3.0 * cd(free_cd)? * root_2g() * b * fall_m * fall_m.sqrt();
    Ok(free + cd(drowned_cd)? * b * below_m * root_2g() * fall_m.sqrt())
}

fn root_2g() -> f64 {
    (2.0 * GRAVITY_M_S2).sqrt()
}

fn narrowed(width_m: f64) -> Result<f64, OutOfRange> {
    length("the width of a weir less its contraction, m,", width_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CFS_M3_S: f64 = FOOT_M * FOOT_M * FOOT_M;
    const GPM_M3_S: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254 / 60.0;

    fn flow(width_m: f64, head_m: f64, formula: PlateFormula) -> f64 {
        plate_flow(width_m, head_m, formula).unwrap().flow_m3_s
    }

    /// W-01, J. Lal ex. 4.5: 7.573 ft, 1.2 ft of head, crest 2.85 ft above the bed, g 32.2.
    #[test]
    fn four_formulas_on_one_weir() {
        let height_m = 2.85 * FOOT_M;
        for (formula, cfs) in [
            (PlateFormula::Coefficient(0.62), 33.02),
            (PlateFormula::Francis { n_contracted: 0 }, 33.15),
            (PlateFormula::Bazin, 33.01),
            (PlateFormula::Rehbock { height_m }, 34.12),
        ] {
            let found = flow(7.573 * FOOT_M, 1.2 * FOOT_M, formula) / CFS_M3_S;
            assert!((found / cfs - 1.0).abs() < 1e-3, "{formula:?} {found}");
        }
    }

    /// W-02, Sarkar ex. 5.9: 4 m, 0.20 m: 0.655; with two contractions 0.6485, which is Francis' width
    /// with Cd 0.62 (Francis' own 3.33 gives 0.4 % more); Bazin 0.6656.
    #[test]
    fn suppressed_and_contracted() {
        let cd = PlateFormula::Coefficient(0.62);
        assert!((flow(4.0, 0.20, cd) / 0.655 - 1.0).abs() < 1e-3);
        assert!((flow(4.0 - 0.2 * 0.20, 0.20, cd) / 0.6485 - 1.0).abs() < 1e-3);
        let francis = flow(4.0, 0.20, PlateFormula::Francis { n_contracted: 2 });
        assert!((francis / 0.6485 - 1.004).abs() < 1e-3);
        assert!((flow(4.0, 0.20, PlateFormula::Bazin) / 0.6656 - 1.0).abs() < 1e-3);
    }

    /// W-03, Daugherty and Franzini ex. 12.4: 3 cfs a foot with 3.33 in a pool 4 ft deep: the crest is
    /// 3.07 ft high.
    #[test]
    fn head_for_a_flow() {
        let francis = PlateFormula::Francis { n_contracted: 0 };
        let head = plate_head_m(FOOT_M, 3.0 * CFS_M3_S, francis).unwrap();
        assert!(((4.0 - head / FOOT_M) / 3.07 - 1.0).abs() < 1e-3);
    }

    /// W-04, Cengel and Cimbala ex. 13-11: 5 m, pool 1.5 m, crest 0.6 m: 9.23 m3/s.
    #[test]
    fn a_coefficient_that_grows_with_the_head() {
        let formula = PlateFormula::Linear { height_m: 0.6, at_none: 0.598, by_head: 0.0897 };
        assert!((flow(5.0, 0.9, formula) / 9.23 - 1.0).abs() < 2e-3);
    }

    /// W-05, Subramanya ex. 13.31: 0.40 m, 10 cm, 25 L/s: Cd 0.669.
    #[test]
    fn a_measured_coefficient() {
        let one = flow(0.40, 0.10, PlateFormula::Coefficient(1.0));
        assert!((0.025 / one / 0.669 - 1.0).abs() < 1e-3);
    }

    /// W-06, Subramanya ex. 13.35: 2.5 m less two piers of 0.15 m, six contractions, Cd 0.62: 1.91.
    #[test]
    fn piers() {
        let width = 2.2 - 0.1 * 6.0 * 0.7;
        let found = flow(width, 0.7, PlateFormula::Coefficient(0.62));
        assert!((found / 1.91 - 1.0).abs() < 3e-3, "{found}");
    }

    /// W-08, J. Lal ex. 4.13: 100 ft, 2.25 ft, Cd 0.95, approach 120 by 4.25 ft: 990 cfs without the
    /// approach, 1,024 with the velocity that these have in it.
    #[test]
    fn a_long_crest_with_its_approach() {
        let found = |velocity_fps: f64| {
            let velocity = velocity_fps * FOOT_M;
            long_crest_m3_s(100.0 * FOOT_M, 2.25 * FOOT_M, 0.95, velocity).unwrap() / CFS_M3_S
        };
        assert!((found(0.0) / 990.0 - 1.0).abs() < 2e-3);
        let with = found(found(0.0) / (120.0 * 4.25));
        assert!((with / 1024.0 - 1.0).abs() < 2e-3, "{with}");
    }

    /// W-09, Oregon State Extension Circular 550 (1952) table 1: the measured-flow scale of a garden
    /// stream, gallons a minute over 1 ft and 2 ft, against Francis with both ends contracted.
    #[test]
    fn the_extension_table() {
        let francis = PlateFormula::Francis { n_contracted: 2 };
        for (head_ft, one_ft, two_ft) in
            [(0.10, 46.0, 95.0), (0.17, 103.0, 208.0), (0.25, 182.0, 368.0), (0.34, 285.0, 576.0)]
        {
            for (width_ft, gpm) in [(1.0, one_ft), (2.0, two_ft)] {
                let found = flow(width_ft * FOOT_M, head_ft * FOOT_M, francis) / GPM_M3_S;
                assert!((found / gpm - 1.0).abs() < 0.035, "{head_ft} {width_ft} {found}");
            }
        }
    }

    /// W-10, the same table for a notch of 90 degrees.
    #[test]
    fn the_extension_tables_notch() {
        for (head_ft, gpm) in [(0.10, 3.6), (0.25, 35.1), (0.34, 76.7)] {
            let found = notch_flow(head_ft * FOOT_M).unwrap().flow_m3_s / GPM_M3_S;
            assert!((found / gpm - 1.0).abs() < 0.035, "{head_ft} {found}");
        }
    }

    /// W-11 and W-12, USBR: 0.003 ft, and C1 3.220 and 0.400 in feet (from memory); W-13: an estimate
    /// below 0.2 ft.
    #[test]
    fn kindsvater_and_carter() {
        let height_m = 1.0 * FOOT_M;
        let formula = PlateFormula::KindsvaterCarter { height_m };
        let (width, head) = (2.0_f64, 0.5_f64);
        let found = flow(width * FOOT_M, head * FOOT_M, formula) / CFS_M3_S;
        let in_feet = (3.220 + 0.400 * head) * (width - 0.003) * libm::pow(head + 0.003, 1.5);
        assert!((found / in_feet - 1.0).abs() < 3e-3, "{found} {in_feet}");
        let trust = |head_ft: f64| plate_flow(1.0, head_ft * FOOT_M, formula).unwrap().trust;
        assert_eq!((trust(0.21), trust(0.19)), (Trust::Calibrated, Trust::Estimate));
    }

    /// W-14, Everett: C = 3.27 + 0.40 H / P, by hand: (3.27 + 0.2) (4 - 0.1) 0.5^1.5 = 4.785 cfs.
    #[test]
    fn a_citys_manual() {
        let formula = PlateFormula::Everett { height_m: FOOT_M };
        let found = flow(4.0 * FOOT_M, 0.5 * FOOT_M, formula) / CFS_M3_S;
        assert!((found / 4.785 - 1.0).abs() < 1e-3, "{found}");
    }

    /// W-15, J. Lal ex. 4.14: 6 ft, 0.5 ft above and 0.25 below: 160,000 imperial gallons an hour.
    #[test]
    fn a_drowned_weir() {
        let heads = (0.5 * FOOT_M, 0.25 * FOOT_M);
        let found = drowned_plate_m3_s(6.0 * FOOT_M, heads, (0.58, 0.80)).unwrap();
        assert!((found / 0.004_546_09 * 3600.0 / 160_440.0 - 1.0).abs() < 5e-3);
        // The book's parts give as much as the free weir would, a fifth more than Villemonte: a
        // crest reckoned by Villemonte asks for the higher edge.
        let crest = crate::Crest::level(0.0, 6.0 * FOOT_M, crate::CrestForm::Sharp).unwrap();
        let second = crest.flow_m3_s(heads.0, Some(heads.1));
        assert!((found / second - 1.2).abs() < 0.01, "{found} {second}");
    }

    #[test]
    fn what_is_no_weir_is_refused() {
        assert!(plate_flow(0.0, 0.1, PlateFormula::Bazin).is_err());
        assert!(plate_flow(1.0, f64::NAN, PlateFormula::Bazin).is_err());
        assert!(plate_flow(1.0, 0.1, PlateFormula::Coefficient(f64::NAN)).is_err());
        assert!(plate_flow(0.1, 2.0, PlateFormula::Francis { n_contracted: 2 }).is_err());
        assert!(plate_head_m(0.1, 10.0, PlateFormula::Francis { n_contracted: 2 }).is_err());
        assert!(plate_head_m(0.1, f64::NAN, PlateFormula::Bazin).is_err());
        assert!(long_crest_m3_s(10.0, 1.0, 0.95, f64::NAN).is_err());
        assert!(drowned_plate_m3_s(1.0, (0.2, 0.2), (0.6, 0.8)).is_err());
        assert!(notch_flow(f64::INFINITY).is_err());
    }
}
