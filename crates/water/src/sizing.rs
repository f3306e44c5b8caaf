//! Sizing both ways: the pump for a wanted thickness of water, or the crest's width for a pump.

use crate::crest::{critical_depth_of_unit_flow, width_for_brink_m};
use crate::range::{length, positive};
use crate::{
    BRINK_SHARE, CrestForm, Delivery, Duty, DutyError, GRAVITY_M_S2, GenericPump, OutOfRange, Pump,
    duty, pump_for,
};

/// Flow that leaves a level crest with a thickness at its brink, cubic metres per second.
///
/// ```
/// # use water::flow_for_brink_m3_s;
/// // 20 mm at the brink are a critical depth of 28 mm: (9.807 x 0.028^3)^0.5 = 0.01465 a metre.
/// assert!((flow_for_brink_m3_s(0.5, 0.02)? - 0.007_32).abs() < 1e-5);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when width or thickness is not above zero.
///
/// # Source
/// q = (g yc^3)^0.5 with the brink at 0.715 yc (Rouse 1936, from memory).
pub fn flow_for_brink_m3_s(width_m: f64, brink_depth_m: f64) -> Result<f64, OutOfRange> {
    let width_m = length("the width of a crest, m,", width_m)?;
    let critical_m = length("the thickness at the brink, m,", brink_depth_m)? / BRINK_SHARE;
    Ok(width_m * (GRAVITY_M_S2 * critical_m * critical_m * critical_m).sqrt())
}

/// Flow over a level crest with a head, cubic metres per second.
///
/// # Errors
/// [`OutOfRange`] when width or head is not above zero, or a rated coefficient is none.
///
/// # Source
/// Q = C b H^1.5; see [`CrestForm`].
pub fn flow_for_head_m3_s(width_m: f64, head_m: f64, form: CrestForm) -> Result<f64, OutOfRange> {
    let width_m = length("the width of a crest, m,", width_m)?;
    let head_m = length("the head over a crest, m,", head_m)?;
    let coefficient = positive("a crest's coefficient, m^0.5/s,", form.coefficient())?;
    Ok(coefficient * width_m * head_m * head_m.sqrt())
}

/// The smallest of the generic pumps that gives a level crest a thickness at its brink, over a line,
/// and its duty.
///
/// # Errors
/// [`DutyError::NoPump`] when none does; others for a number out of range.
///
/// # Source
/// [`flow_for_brink_m3_s`] and [`pump_for`].
pub fn pump_for_brink(
    width_m: f64,
    brink_depth_m: f64,
    delivery: Delivery<'_>,
) -> Result<(GenericPump, Duty), DutyError> {
    pump_for(flow_for_brink_m3_s(width_m, brink_depth_m)?, delivery)
}

/// The width of a level crest, metres, over which a pump on its line makes a thickness at the brink,
/// with the pump's duty. A wider crest is thinner.
///
/// # Errors
/// [`DutyError`] when the pump does not lift so high or a number is out of range.
///
/// # Source
/// [`duty`] and [`width_for_brink_m`].
pub fn width_for_pump_m(
    pump: &Pump,
    brink_depth_m: f64,
    delivery: Delivery<'_>,
) -> Result<(f64, Duty), DutyError> {
    let found = duty(pump, delivery)?;
    Ok((width_for_brink_m(found.flow_m3_s, brink_depth_m)?, found))
}

/// Thickness at the brink, metres, of a flow over a level crest that nothing drowns.
///
/// # Errors
/// [`OutOfRange`] when flow or width is not above zero.
///
/// # Source
/// As [`flow_for_brink_m3_s`].
pub fn brink_for_flow_m(flow_m3_s: f64, width_m: f64) -> Result<f64, OutOfRange> {
    let flow_m3_s = crate::range::flow("the flow over a crest, m3/s,", flow_m3_s)?;
    let width_m = length("the width of a crest, m,", width_m)?;
    Ok(BRINK_SHARE * critical_depth_of_unit_flow(flow_m3_s / width_m))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{FrictionLaw, GENERIC_PUMPS, Line, Pipe, PipeWall, Water};

    const LAW: FrictionLaw = FrictionLaw::DarcyWeisbach(Water::COOL);

    fn line() -> Line {
        let pipe = Pipe::new(0.06, 15.0, PipeWall::SMOOTH_PLASTIC).unwrap();
        Line::new(vec![pipe.with_loss(4.0).unwrap()])
    }

    fn over(line: &Line, lift_m: f64) -> Delivery<'_> {
        Delivery { line, lift_m, law: LAW }
    }

    /// There and back: the pump found for a thickness makes at least that, and the width found for
    /// the pump makes just that.
    #[test]
    fn thickness_pump_and_width_agree() {
        let (generic, found) = pump_for_brink(0.4, 0.015, over(&line(), 1.5)).unwrap();
        let brink = brink_for_flow_m(found.flow_m3_s, 0.4).unwrap();
        assert!(brink >= 0.015, "{brink}");
        let pump = generic.pump().unwrap();
        let (width, again) = width_for_pump_m(&pump, 0.015, over(&line(), 1.5)).unwrap();
        assert!(width >= 0.4 && again == found);
        let just = brink_for_flow_m(found.flow_m3_s, width).unwrap();
        assert!((just - 0.015).abs() < 1e-12);
        let flow = flow_for_head_m3_s(0.4, 0.03, CrestForm::Sharp).unwrap();
        let back = crate::width_for_head_m(flow, 0.03, CrestForm::Sharp).unwrap();
        assert!((back - 0.4).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_sized_is_refused() {
        assert!(flow_for_brink_m3_s(f64::NAN, 0.02).is_err());
        assert!(flow_for_head_m3_s(0.4, 0.0, CrestForm::Broad).is_err());
        assert!(brink_for_flow_m(0.0, 0.4).is_err());
        assert!(pump_for_brink(0.4, 0.015, over(&line(), 99.0)).is_err());
        let pump = GENERIC_PUMPS[0].pump().unwrap();
        assert!(width_for_pump_m(&pump, 0.015, over(&line(), 99.0)).is_err());
    }
}
