//! Rain: what runs off, and the crest by which a pond lets it out.

use crate::range::{between, elevation, not_negative, positive, share};
use crate::{Crest, EdgeAllowance, OutOfRange, OverCrest};

/// Rain that a soil takes before any runs off, as a share of what it can take in all.
///
/// # Source
/// TR-55 eq. 2-2: 0.2 (H-04).
const FIRST_TAKEN: f64 = 0.2;

/// Metres per second in a millimetre an hour.
const MM_H: f64 = 1.0e-3 / 3600.0;

/// A kind of ground and its share of rain that runs off in a short storm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunoffCoefficient {
    /// The ground in the trade's words.
    pub ground: &'static str,
    /// Least and greatest share.
    pub range: [f64; 2],
}

/// Shares of rain that run off, for the rational formula.
///
/// # Source
/// ASCE table in a rational worksheet after Schwab et al. (H-08). Flat is below 2 %, average 2 to 7,
/// steep above (from memory).
pub const RUNOFF_COEFFICIENTS: [RunoffCoefficient; 8] = [
    RunoffCoefficient { ground: "lawn on sand, flat", range: [0.05, 0.10] },
    RunoffCoefficient { ground: "lawn on sand, average", range: [0.10, 0.15] },
    RunoffCoefficient { ground: "lawn on sand, steep", range: [0.15, 0.20] },
    RunoffCoefficient { ground: "lawn on heavy soil, flat", range: [0.13, 0.17] },
    RunoffCoefficient { ground: "lawn on heavy soil, average", range: [0.18, 0.22] },
    RunoffCoefficient { ground: "lawn on heavy soil, steep", range: [0.25, 0.35] },
    RunoffCoefficient { ground: "roof", range: [0.75, 0.95] },
    RunoffCoefficient { ground: "drive or walk", range: [0.75, 0.85] },
];

/// A storm at the overflow of a pond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overflowing {
    /// The water over the crest.
    pub over: OverCrest,
    /// How far the liner's edge stands above the water, metres; below zero it overtops elsewhere.
    pub edge_above_water_m: f64,
}

/// Flow from a catchment in a short storm, cubic metres per second.
///
/// ```
/// # use water::rational_flow_m3_s;
/// // 100 m2 of roof at 0.9 in 60 mm/h: 0.9 x 60e-3 / 3600 x 100 = 1.5 L/s.
/// assert!((rational_flow_m3_s(0.9, 60.0, 100.0)? - 0.0015).abs() < 1e-12);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a share outside 0 to 1, an intensity outside 0 to 2000 mm/h or an area below
/// zero.
///
/// # Source
/// Rational formula, Q = C i A.
pub fn rational_flow_m3_s(
    runoff_share: f64,
    intensity_mm_h: f64,
    area_m2: f64,
) -> Result<f64, OutOfRange> {
    let runoff_share = share("the share of rain that runs off", runoff_share)?;
    let intensity = ("the intensity of rain, mm/h,", intensity_mm_h);
    let intensity_m_s = between((0.0, 2000.0), "0 to 2000", intensity)? * MM_H;
    Ok(runoff_share * intensity_m_s * not_negative("the area of a catchment, m2,", area_m2)?)
}

/// Depth that runs off a soil with a curve number, metres, from a depth of rain, metres.
///
/// None while the rain is at most a fifth of what the soil can take.
///
/// ```
/// # use water::curve_number_runoff_m;
/// // H-01: 8 in on CN 80: S 2.5 in, (8 - 0.5)^2 / (8 + 2) = 5.625 in.
/// assert!((curve_number_runoff_m(8.0 * 0.0254, 80.0)? / 0.0254 - 5.625).abs() < 1e-9);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a rain below zero or a curve number outside 30 to 100.
///
/// # Source
/// NRCS TR-55 (1986) eq. 2-3 and 2-4: (P - 0.2 S)^2 / (P + 0.8 S), S = 1000 / CN - 10 inches.
pub fn curve_number_runoff_m(rain_m: f64, curve_number: f64) -> Result<f64, OutOfRange> {
    let rain_m = not_negative("rain, m,", rain_m)?;
    let number = ("a curve number", curve_number);
    let curve_number = between((30.0, 100.0), "30 to 100", number)?;
    let takes_m = (1000.0 / curve_number - 10.0) * 0.0254;
    let beyond_m = rain_m - FIRST_TAKEN * takes_m;
    if beyond_m <= 0.0 {
        return Ok(0.0);
    }
    Ok(beyond_m * beyond_m / (beyond_m + takes_m))
}

/// The curve number of a catchment of several grounds: their mean by area.
///
/// # Errors
/// [`OutOfRange`] when an area is below zero, all are none, or a number lies outside 30 to 100.
///
/// # Source
/// TR-55 (1986) ch. 2.
pub fn mean_curve_number(grounds: &[(f64, f64)]) -> Result<f64, OutOfRange> {
    let (mut area_m2, mut sum) = (0.0, 0.0);
    for &(ground_m2, curve_number) in grounds {
        let ground_m2 = not_negative("the area of a ground, m2,", ground_m2)?;
        let number = ("a curve number", curve_number);
        area_m2 += ground_m2;
        sum += ground_m2 * between((30.0, 100.0), "30 to 100", number)?;
    }
    Ok(sum / positive("the area of a catchment, m2,", area_m2)?)
}

/// A storm's flow at the overflow of a pond that is full to its crest, with the liner's edge at an
/// elevation, metres. That the pond's own area holds the peak back is left out.
///
/// # Errors
/// [`OutOfRange`] for a flow that is not above zero or an edge that is no elevation.
///
/// # Source
/// [`Crest::over`].
pub fn overflow(
    crest: &Crest,
    flow_m3_s: f64,
    edge_m: f64,
    allowance: EdgeAllowance,
) -> Result<Overflowing, OutOfRange> {
    let edge_m = elevation("the elevation of a liner's edge, m,", edge_m)?;
    let over = crest.over(flow_m3_s, None, allowance)?;
    Ok(Overflowing { over, edge_above_water_m: edge_m - over.level_m })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::CrestForm;

    const INCH_M: f64 = 0.0254;
    const FOOT_M: f64 = 0.3048;
    const ACRE_M2: f64 = 43_560.0 * FOOT_M * FOOT_M;
    const CFS_M3_S: f64 = FOOT_M * FOOT_M * FOOT_M;
    const GPM_M3_S: f64 = 231.0 * INCH_M * INCH_M * INCH_M / 60.0;

    fn runoff_in(rain_in: f64, curve_number: f64) -> f64 {
        curve_number_runoff_m(rain_in * INCH_M, curve_number).unwrap() / INCH_M
    }

    /// H-01, H-02 and H-04: 5.625 in, 8.38 in, and nothing below a fifth of S.
    #[test]
    fn curve_numbers() {
        assert!((runoff_in(8.0, 80.0) - 5.625).abs() < 1e-9);
        assert!((runoff_in(9.0, 94.82) / 8.38 - 1.0).abs() < 1e-3);
        assert_eq!(runoff_in(0.5, 80.0), 0.0);
        assert!((runoff_in(3.0, 100.0) - 3.0).abs() < 1e-12);
    }

    /// H-03, TR-55 (1986) examples 2-1 to 2-4, the answers from memory: 6 in of rain.
    #[test]
    fn the_examples_of_tr_55() {
        for (number, inches) in [(70.0, 2.81), (75.0, 3.28), (77.0, 3.48), (74.0, 3.19)] {
            assert!((runoff_in(6.0, number) / inches - 1.0).abs() < 3e-3, "{number}");
        }
        // Example 2-1: pasture, 74 on 175 acres of group C and 61 on 75 of B (from memory): 70.1.
        let mean = mean_curve_number(&[(175.0, 74.0), (75.0, 61.0)]).unwrap();
        assert!((mean - 70.1).abs() < 1e-9);
    }

    /// H-05, H-06 and H-07: 146.94 and 4.125 cfs by C i A alone; the exact factor is 1.00833.
    #[test]
    fn the_rational_formula_in_acres_and_inches() {
        for (c, inches_h, acres, plain_cfs) in
            [(0.4, 2.87, 128.0, 146.944), (0.11, 1.25, 30.0, 4.125)]
        {
            let flow = rational_flow_m3_s(c, inches_h * 25.4, acres * ACRE_M2).unwrap() / CFS_M3_S;
            assert!((flow / plain_cfs / 1.008_333 - 1.0).abs() < 1e-5, "{flow}");
        }
    }

    /// H-13: 1,000 ft2 of roof at 0.9 in 4 in/h: 37.4 gallons a minute.
    #[test]
    fn a_roof_into_the_pond() {
        let flow = rational_flow_m3_s(0.9, 4.0 * 25.4, 1000.0 * FOOT_M * FOOT_M).unwrap();
        assert!((flow / GPM_M3_S / 37.4 - 1.0).abs() < 1e-3);
    }

    /// H-08.
    #[test]
    fn runoff_coefficients_of_the_table() {
        assert_eq!(RUNOFF_COEFFICIENTS[0].range, [0.05, 0.10]);
        assert_eq!(RUNOFF_COEFFICIENTS[5].range, [0.25, 0.35]);
        assert_eq!(RUNOFF_COEFFICIENTS[6].range, [0.75, 0.95]);
        assert!(RUNOFF_COEFFICIENTS.iter().all(|row| row.range[0] < row.range[1]));
    }

    #[test]
    fn an_overflow_against_its_edge() {
        let crest = Crest::level(10.0, 0.5, CrestForm::Broad).unwrap();
        let storm = overflow(&crest, 0.01, 10.1, EdgeAllowance::default()).unwrap();
        assert!((storm.edge_above_water_m - (0.1 - storm.over.head_m)).abs() < 1e-12);
        assert!(overflow(&crest, 0.01, f64::NAN, EdgeAllowance::default()).is_err());
    }

    #[test]
    fn what_is_no_rain_is_refused() {
        assert!(rational_flow_m3_s(1.1, 50.0, 10.0).is_err());
        assert!(rational_flow_m3_s(0.5, f64::NAN, 10.0).is_err());
        assert!(rational_flow_m3_s(0.5, 50.0, -1.0).is_err());
        assert!(curve_number_runoff_m(0.1, 0.0).is_err());
        assert!(curve_number_runoff_m(f64::INFINITY, 80.0).is_err());
        assert!(mean_curve_number(&[]).is_err());
    }
}
