//! The planted filter, the intake, and the turnover of the pond.

use crate::range::{between, flow, length, positive, share};
use crate::{Crest, OutOfRange, Water};

/// Hours in which a garden pond is turned over, least and greatest.
///
/// # Source
/// Common practice; no citable source (E-06): an adjustable default, not a check.
pub const COMMON_TURNOVER_H: [f64; 2] = [1.0, 2.0];

/// A filter bed through which the water rises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GravelBed {
    /// Area on plan, square metres.
    pub area_m2: f64,
    /// Depth of the gravel, metres.
    pub depth_m: f64,
    /// Share of voids between the stones, 0.2 to 0.6: 0.35 to 0.45 for clean gravel (from memory).
    pub void_share: f64,
    /// Size of the stones, metres.
    pub stone_m: f64,
}

/// A filter bed at work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filtering {
    /// Water in the voids, cubic metres.
    pub void_m3: f64,
    /// Velocity at which the water rises over the whole area, metres per second.
    pub upward_m_s: f64,
    /// Time that the water spends in the gravel, seconds.
    pub stay_s: f64,
    /// Head that clean gravel takes, metres; a bed that silts up takes far more.
    pub clean_loss_m: f64,
}

/// The water at an intake.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntakeDraw {
    /// How far the bay stands below the pond, metres.
    pub below_pond_m: f64,
    /// Velocity over the sill, metres per second, by the water's depth over it.
    pub over_sill_m_s: f64,
    /// Flow for each metre of the sill, square metres per second: what draws leaves in.
    pub unit_flow_m2_s: f64,
}

/// A filter bed under a flow.
///
/// ```
/// # use water::{GravelBed, filter};
/// // 6 m2, 0.5 m deep, 0.4 voids: 1.2 m3; 5 L/s rise at 0.83 mm/s and stay 240 s.
/// let bed = GravelBed { area_m2: 6.0, depth_m: 0.5, void_share: 0.4, stone_m: 0.02 };
/// let at_work = filter(bed, 0.005)?;
/// assert!((at_work.void_m3 - 1.2).abs() < 1e-12 && (at_work.stay_s - 240.0).abs() < 1e-9);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// Loss of clean gravel: S. Ergun 1952, h / L = 150 v (1 - e)^2 u / (g e^3 d^2) + 1.75 (1 - e) u^2 /
/// (g e^3 d), from memory.
pub fn filter(bed: GravelBed, flow_m3_s: f64) -> Result<Filtering, OutOfRange> {
    let area_m2 = positive("the area of a filter, m2,", bed.area_m2)?;
    let depth_m = length("the depth of gravel, m,", bed.depth_m)?;
    let voids = ("the share of voids in gravel", bed.void_share);
    let e = between((0.2, 0.6), "0.2 to 0.6", voids)?;
    let d = length("the size of gravel, m,", bed.stone_m)?;
    let flow_m3_s = flow("the flow through a filter, m3/s,", flow_m3_s)?;
    let u = flow_m3_s / area_m2;
    let void_m3 = area_m2 * depth_m * e;
    let (solid, cube, g) = (1.0 - e, e * e * e, crate::GRAVITY_M_S2);
    let viscous = 150.0 * Water::COOL.viscosity_m2_s() * solid * solid * u / (g * cube * d * d);
    let inertial = 1.75 * solid * u * u / (g * cube * d);
    Ok(Filtering {
        void_m3,
        upward_m_s: u,
        stay_s: void_m3 / flow_m3_s,
        clean_loss_m: depth_m * (viscous + inertial),
    })
}

/// The area of a filter, square metres, through which a flow rises at a velocity.
///
/// # Errors
/// [`OutOfRange`] for a flow or velocity that is not above zero.
pub fn filter_area_m2(flow_m3_s: f64, upward_m_s: f64) -> Result<f64, OutOfRange> {
    let upward = ("the velocity through a filter, m/s,", upward_m_s);
    let upward_m_s = between((1.0e-6, 1.0), "1e-6 to 1", upward)?;
    Ok(flow("the flow through a filter, m3/s,", flow_m3_s)? / upward_m_s)
}

/// Flow over each metre of a filter's lip, square metres per second.
///
/// # Errors
/// [`OutOfRange`] for a flow or width that is not above zero.
pub fn lip_load_m2_s(flow_m3_s: f64, lip_width_m: f64) -> Result<f64, OutOfRange> {
    let flow_m3_s = flow("the flow over a lip, m3/s,", flow_m3_s)?;
    Ok(flow_m3_s / length("the width of a lip, m,", lip_width_m)?)
}

/// The draw of an intake over its sill, with pond and bay at their running levels, metres.
///
/// # Errors
/// [`OutOfRange`] when no water stands over the sill, the bay stands above the pond, or a number is
/// out of range.
///
/// # Source
/// Continuity; the levels by [`crate::bay_level_m`].
pub fn intake_draw(
    sill: &Crest,
    (pond_m, bay_m): (f64, f64),
    flow_m3_s: f64,
) -> Result<IntakeDraw, OutOfRange> {
    let flow_m3_s = flow("the flow into an intake, m3/s,", flow_m3_s)?;
    let below = ("the pond above its bay, m,", pond_m - bay_m);
    let below_pond_m = between((0.0, 1.0e3), "0 to 1000", below)?;
    let wet_m = positive("the wet width of a sill, m,", sill.wet_width_m(pond_m))?;
    let lowest_m = sill.lowest_m();
    // The lower water, but not below the depth at which a free crest runs.
    let depth_m = (bay_m - lowest_m).max(2.0 / 3.0 * (pond_m - lowest_m));
    let depth_m = length("the water over a sill, m,", depth_m)?;
    let unit_flow_m2_s = flow_m3_s / wet_m;
    Ok(IntakeDraw { below_pond_m, over_sill_m_s: unit_flow_m2_s / depth_m, unit_flow_m2_s })
}

/// Time in which a flow turns over a pond, hours; `through_share` is the share of the flow that goes
/// through the pond as a whole.
///
/// See [`COMMON_TURNOVER_H`].
///
/// # Errors
/// [`OutOfRange`] for a volume or flow that is not above zero or a share outside 0 to 1.
pub fn turnover_h(volume_m3: f64, flow_m3_s: f64, through_share: f64) -> Result<f64, OutOfRange> {
    let volume_m3 = positive("the volume of the pond, m3,", volume_m3)?;
    let through = share("the share of the flow through the pond", through_share)?;
    let flow_m3_s = flow("the flow through the pond, m3/s,", flow_m3_s)?;
    Ok(volume_m3 / flow("the flow through the pond, m3/s,", flow_m3_s * through)? / 3600.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{CrestForm, bay_level_m};

    /// P-15, USGS definitions: 448.83 gpm for a day are 646,317 gallons.
    #[test]
    fn a_cubic_foot_per_second_for_a_day() {
        let gallon_m3 = 231.0 * 0.0254 * 0.0254 * 0.0254;
        let hours = turnover_h(646_317.0 * gallon_m3, 448.83 * gallon_m3 / 60.0, 1.0).unwrap();
        assert!((hours - 24.0).abs() < 2e-4, "{hours}");
    }

    /// Ergun's parts by hand for 20 mm gravel at 1 mm/s: viscous 150 x 1.139e-6 x 0.36 x 0.001 /
    /// (9.80665 x 0.064 x 0.0004) = 0.000245, inertial 1.75 x 0.6 x 1e-6 / (9.80665 x 0.064 x 0.02) =
    /// 0.0000837.
    #[test]
    fn clean_gravel_takes_little() {
        let bed = GravelBed { area_m2: 5.0, depth_m: 1.0, void_share: 0.4, stone_m: 0.02 };
        let at_work = filter(bed, 0.005).unwrap();
        assert!((at_work.clean_loss_m - 0.000_328_7).abs() < 1e-6, "{}", at_work.clean_loss_m);
        assert!((filter_area_m2(0.005, at_work.upward_m_s).unwrap() - 5.0).abs() < 1e-12);
        assert!((lip_load_m2_s(0.005, 0.5).unwrap() - 0.01).abs() < 1e-15);
    }

    #[test]
    fn an_intakes_draw() {
        let sill = Crest::level(9.9, 0.6, CrestForm::Broad).unwrap();
        let bay = bay_level_m(10.0, &sill, 0.008).unwrap();
        let draw = intake_draw(&sill, (10.0, bay), 0.008).unwrap();
        assert!((draw.below_pond_m - (10.0 - bay)).abs() < 1e-12);
        // The drop is the velocity head over the sill.
        let head = draw.over_sill_m_s * draw.over_sill_m_s / (2.0 * crate::GRAVITY_M_S2);
        assert!((head / draw.below_pond_m - 1.0).abs() < 1e-3, "{head} {}", draw.below_pond_m);
        assert!(intake_draw(&sill, (9.8, 9.7), 0.008).is_err());
        assert!(intake_draw(&sill, (10.0, 10.1), 0.008).is_err());
    }

    #[test]
    fn what_is_no_filter_is_refused() {
        let bed = GravelBed { area_m2: 6.0, depth_m: 0.5, void_share: 0.4, stone_m: 0.02 };
        assert!(filter(GravelBed { void_share: f64::NAN, ..bed }, 0.005).is_err());
        assert!(filter(GravelBed { area_m2: 0.0, ..bed }, 0.005).is_err());
        assert!(filter(bed, f64::INFINITY).is_err() && filter_area_m2(0.005, 0.0).is_err());
        assert!(lip_load_m2_s(0.0, 1.0).is_err() && turnover_h(10.0, 0.005, 0.0).is_err());
    }
}
