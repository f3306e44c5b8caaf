//! What a pond loses and what fills it: evaporation, splash, top-up, filling.

use crate::OutOfRange;
use crate::range::{between, flow, flow_or_none, not_negative, positive, share};

/// Seconds in a week.
const WEEK_S: f64 = 7.0 * 86_400.0;

/// Evaporation of a small lake over that of a class A pan.
///
/// # Source
/// NOAA/NWS practice, 0.7 and from 0.6 to 0.8; from memory (E-03).
pub const COMMON_PAN_COEFFICIENT: f64 = 0.7;

/// A pan as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanReading {
    /// Depth at first, metres.
    pub first_m: f64,
    /// Rain meanwhile, metres.
    pub rain_m: f64,
    /// Water taken out, metres of its depth.
    pub taken_m: f64,
    /// Depth at last, metres.
    pub last_m: f64,
}

/// What a water lost and gained over a time, to tell its evaporation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterBalance {
    /// Area of the water, square metres.
    pub area_m2: f64,
    /// Flow in, cubic metres per second.
    pub in_m3_s: f64,
    /// Flow out, cubic metres per second.
    pub out_m3_s: f64,
    /// Rain, metres.
    pub rain_m: f64,
    /// Rise of the level, metres; below zero it fell.
    pub rise_m: f64,
    /// Time, seconds.
    pub time_s: f64,
}

/// What a running pond loses in a week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeeklyLoss {
    /// To the air over its area, cubic metres.
    pub evaporation_m3: f64,
    /// To splash, cubic metres.
    pub splash_m3: f64,
    /// By which the level falls, metres, if nothing fills it up.
    pub fall_m: f64,
}

/// Evaporation of a pond, metres, from a pan's reading; below zero where the pan gained.
///
/// # Errors
/// [`OutOfRange`] for a depth below zero or a coefficient outside 0 to 1.
///
/// # Source
/// What left the pan times a coefficient (E-02).
pub fn pan_evaporation_m(pan: PanReading, coefficient: f64) -> Result<f64, OutOfRange> {
    let first_m = not_negative("the depth of a pan, m,", pan.first_m)?;
    let rain_m = not_negative("rain, m,", pan.rain_m)?;
    let taken_m = not_negative("water taken from a pan, m,", pan.taken_m)?;
    let last_m = not_negative("the depth of a pan, m,", pan.last_m)?;
    let coefficient = share("a pan's coefficient", coefficient)?;
    Ok(coefficient * (first_m + rain_m - taken_m - last_m))
}

/// Evaporation of a water, metres, from its balance: what came in and did not stay or run out.
///
/// What seeps away is counted as evaporation too.
///
/// # Errors
/// [`OutOfRange`] for an area or time that is not above zero, or another number out of range.
///
/// # Source
/// Water balance; Bedient et al., problem 1.7 (E-01).
pub fn balance_evaporation_m(balance: WaterBalance) -> Result<f64, OutOfRange> {
    let area_m2 = positive("the area of the water, m2,", balance.area_m2)?;
    let in_m3_s = flow_or_none("the flow in, m3/s,", balance.in_m3_s)?;
    let out_m3_s = flow_or_none("the flow out, m3/s,", balance.out_m3_s)?;
    let rain_m = not_negative("rain, m,", balance.rain_m)?;
    let rise = ("the rise of the level, m,", balance.rise_m);
    let rise_m = between((-1.0e4, 1.0e4), "-1e4 to 1e4", rise)?;
    let time_s = positive("the time, s,", balance.time_s)?;
    Ok((in_m3_s - out_m3_s) * time_s / area_m2 + rain_m - rise_m)
}

/// What a running pond loses in a week.
///
/// `evaporation_m_day` is the depth lost in a day; `splash_share` is the share of the flow over falls
/// that lands outside the liner or drifts away. There is no citable value for it (E-08): a share of 0
/// is a tight stream, and a ten-thousandth is felt within a week.
///
/// ```
/// # use water::weekly_loss;
/// // 20 m2 at 6 mm a day: 0.84 m3; 5 L/s with 1e-4 splashed: 0.3024 m3; 57 mm in all.
/// let loss = weekly_loss(20.0, 0.006, 0.005, 1.0e-4)?;
/// assert!((loss.evaporation_m3 - 0.84).abs() < 1e-12);
/// assert!((loss.splash_m3 - 0.3024).abs() < 1e-12);
/// assert!((loss.fall_m - 0.057_12).abs() < 1e-12);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
pub fn weekly_loss(
    area_m2: f64,
    evaporation_m_day: f64,
    flow_m3_s: f64,
    splash_share: f64,
) -> Result<WeeklyLoss, OutOfRange> {
    let area_m2 = positive("the area of the water, m2,", area_m2)?;
    let day = ("evaporation in a day, m,", evaporation_m_day);
    let evaporation_m3 = 7.0 * between((0.0, 0.1), "0 to 0.1", day)? * area_m2;
    let flow_m3_s = flow_or_none("the flow over falls, m3/s,", flow_m3_s)?;
    let splash_m3 = share("the share that splashes away", splash_share)? * flow_m3_s * WEEK_S;
    let fall_m = (evaporation_m3 + splash_m3) / area_m2;
    Ok(WeeklyLoss { evaporation_m3, splash_m3, fall_m })
}

impl WeeklyLoss {
    /// Minutes in a week for which a top-up valve of a flow must be open.
    ///
    /// # Errors
    /// [`OutOfRange`] for a flow that is not above zero.
    pub fn top_up_min(self, valve_m3_s: f64) -> Result<f64, OutOfRange> {
        let valve_m3_s = flow("the flow of the top-up, m3/s,", valve_m3_s)?;
        Ok((self.evaporation_m3 + self.splash_m3) / valve_m3_s / 60.0)
    }
}

/// Time to fill a volume, seconds, at a supply less what is lost meanwhile.
///
/// # Errors
/// [`OutOfRange`] when the supply is not above what is lost, or a number is out of range.
pub fn filling_time_s(volume_m3: f64, supply_m3_s: f64, lost_m3_s: f64) -> Result<f64, OutOfRange> {
    let volume_m3 = not_negative("the volume to fill, m3,", volume_m3)?;
    let supply_m3_s = flow("the supply, m3/s,", supply_m3_s)?;
    let lost_m3_s = flow_or_none("what is lost while filling, m3/s,", lost_m3_s)?;
    Ok(volume_m3 / flow("the supply less what is lost, m3/s,", supply_m3_s - lost_m3_s)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    const INCH_M: f64 = 0.0254;
    const FOOT_M: f64 = 0.3048;
    const GALLON_M3: f64 = 231.0 * INCH_M * INCH_M * INCH_M;

    /// E-01, Bedient et al. problem 1.7: 15.5254 cm in 30 days.
    #[test]
    fn evaporation_of_a_lake() {
        let balance = WaterBalance {
            area_m2: 708_000.0,
            in_m3_s: 1.5,
            out_m3_s: 1.25,
            rain_m: 0.24,
            rise_m: 1.0,
            time_s: 30.0 * 86_400.0,
        };
        assert!((balance_evaporation_m(balance).unwrap() - 0.155_254).abs() < 1e-6);
        assert!(balance_evaporation_m(WaterBalance { area_m2: 0.0, ..balance }).is_err());
        assert!(balance_evaporation_m(WaterBalance { rise_m: f64::NAN, ..balance }).is_err());
    }

    /// E-02, exam question: 8.0 cm and 5.0 of rain less 3.0 drawn leave 9.0; at 0.6 that is 6 mm.
    #[test]
    fn evaporation_by_a_pan() {
        let pan = PanReading { first_m: 0.08, rain_m: 0.05, taken_m: 0.03, last_m: 0.09 };
        assert!((pan_evaporation_m(pan, 0.6).unwrap() - 0.006).abs() < 1e-12);
        assert!(pan_evaporation_m(pan, 1.5).is_err());
        assert!((0.6..=0.8).contains(&COMMON_PAN_COEFFICIENT));
    }

    /// E-04: an inch over a square foot is 0.6234 gallons; a quarter inch a day over 200 ft2 31.17.
    #[test]
    fn a_depth_over_an_area() {
        let loss = weekly_loss(200.0 * FOOT_M * FOOT_M, 0.25 * INCH_M, 0.0, 0.0).unwrap();
        assert!((loss.evaporation_m3 / 7.0 / GALLON_M3 - 31.17).abs() < 0.005);
        assert!((INCH_M * FOOT_M * FOOT_M / GALLON_M3 - 0.6234).abs() < 5e-5);
        assert!((loss.top_up_min(loss.evaporation_m3 / 600.0).unwrap() - 10.0).abs() < 1e-9);
    }

    #[test]
    fn filling_takes_what_the_supply_leaves() {
        let time = filling_time_s(20.0, 0.000_5, 0.000_1).unwrap();
        assert!((time - 50_000.0).abs() < 1e-6);
        assert!(filling_time_s(20.0, 0.000_1, 0.000_1).is_err());
        assert!(filling_time_s(f64::NAN, 0.000_1, 0.0).is_err());
        assert!(weekly_loss(20.0, f64::NAN, 0.0, 0.0).is_err());
    }
}
