//! Uniform flow: what a stream carries at a depth, and the depth that a flow takes.

use crate::range::{flow, length, positive};
use crate::section::{DEEPEST_M, THINNEST_M};
use crate::solve::{first_that, root};
use crate::{OutOfRange, Roughness, Section};

/// A stream that runs on evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Channel {
    /// Its section.
    pub section: Section,
    /// What its bed is of.
    pub roughness: Roughness,
    /// Fall for each metre along the bed, above zero.
    pub bed_slope: f64,
    /// Height of its lower edge above the bed, metres: deeper water runs over.
    pub edge_height_m: f64,
}

/// Why a flow has no normal depth.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NormalDepthError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The flow is more than the section carries at the depth of its edges.
    #[error("the section carries {carries_m3_s} m3/s at most before it overtops")]
    Overtops {
        /// Flow at the depth of the edges, cubic metres per second.
        carries_m3_s: f64,
    },
}

/// The flow of a stream that runs evenly at a depth, cubic metres per second.
///
/// `bed_slope` is the fall for each metre along the bed.
///
/// ```
/// # use water::{Roughness, Section, uniform_flow_m3_s};
/// // C-02: 5 m wide, 0.8 m deep, n 0.015, 0.0025: R 0.606, V 2.387, Q 9.55.
/// let section = Section::rectangle(5.0)?;
/// let flow = uniform_flow_m3_s(section, Roughness::manning(0.015)?, 0.0025, 0.8)?;
/// assert!((flow - 9.55).abs() < 0.005);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when slope or depth is not above zero.
///
/// # Source
/// Manning's equation, Q = A R^(2/3) S^(1/2) / n in metres; Chow 1959, ch. 5.
pub fn uniform_flow_m3_s(
    section: Section,
    roughness: Roughness,
    bed_slope: f64,
    depth_m: f64,
) -> Result<f64, OutOfRange> {
    let bed_slope = positive("the fall of a stream's bed", bed_slope)?;
    let depth_m = length("the depth of water, m,", depth_m)?;
    Ok(roughness.conveyance_m3_s(section, depth_m) * bed_slope.sqrt())
}

/// The slope, metres for each metre, at which a flow runs evenly at a depth: also what friction takes
/// where it runs at that depth on any slope.
///
/// # Errors
/// [`OutOfRange`] when flow or depth is not above zero.
///
/// # Source
/// Manning's equation, S = (Q / K)^2.
pub fn friction_slope(
    section: Section,
    roughness: Roughness,
    flow_m3_s: f64,
    depth_m: f64,
) -> Result<f64, OutOfRange> {
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let depth_m = length("the depth of water, m,", depth_m)?;
    let ratio = flow_m3_s / roughness.conveyance_m3_s(section, depth_m);
    Ok(ratio * ratio)
}

/// Normal depth of steady uniform flow in a channel, metres from the invert.
///
/// The depth is exact to rounding.
///
/// # Errors
/// [`NormalDepthError::Overtops`] when the flow is more than the section carries at the depth of its
/// edges; [`NormalDepthError::Number`] unless flow, slope and height are above zero.
///
/// # Source
/// Manning's equation; Chow 1959, ch. 6.
pub fn normal_depth_m(channel: Channel, flow_m3_s: f64) -> Result<f64, NormalDepthError> {
    let bed_slope = positive("the fall of a stream's bed", channel.bed_slope)?;
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let edge_height_m = length("the height of a stream's edge, m,", channel.edge_height_m)?;
    let Channel { section, roughness, .. } = channel;
    let carries = |y: f64| roughness.conveyance_m3_s(section, y) * bed_slope.sqrt();
    if carries(edge_height_m) < flow_m3_s {
        return Err(NormalDepthError::Overtops { carries_m3_s: carries(edge_height_m) });
    }
    let enough = |y: f64| carries(y) >= flow_m3_s;
    let most = first_that(THINNEST_M, 4.0, 60, enough).unwrap_or(DEEPEST_M);
    Ok(root(0.0, most.min(edge_height_m), |y| carries(y) - flow_m3_s))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    const FOOT_M: f64 = 0.3048;
    const CFS_M3_S: f64 = FOOT_M * FOOT_M * FOOT_M;
    /// Books take 1.49 for 1 / 0.3048^(1/3) = 1.4859.
    const BOOK: f64 = 1.49 / 1.485_918;

    fn n(n: f64) -> Roughness {
        Roughness::manning(n).unwrap()
    }

    fn trapezoid(bed: f64, run: f64) -> Section {
        Section::new(bed, [run, run]).unwrap()
    }

    fn channel(section: Section, roughness: Roughness, bed_slope: f64) -> Channel {
        Channel { section, roughness, bed_slope, edge_height_m: 1.0e4 }
    }

    /// C-01, Munson, Young and Okiishi ex. 10.3: 12 ft, 5 ft deep, banks at 40 degrees, 0.0014, n
    /// 0.012: 917 cfs with 1.49, 914.4 with 1.486.
    #[test]
    fn a_trapezoid_in_feet() {
        let section = trapezoid(12.0 * FOOT_M, 1.0 / libm::tan(40.0_f64.to_radians()));
        let flow = uniform_flow_m3_s(section, n(0.012), 0.0014, 5.0 * FOOT_M).unwrap() / CFS_M3_S;
        assert!((flow * BOOK / 917.0 - 1.0).abs() < 2e-3, "{flow}");
        assert!((flow / 914.4 - 1.0).abs() < 5e-4, "{flow}");
        let (area, top) = (section.area_m2(5.0 * FOOT_M), section.top_width_m(5.0 * FOOT_M));
        let velocity = flow * CFS_M3_S * BOOK / area;
        let froude = velocity / (9.806_65 * area / top).sqrt();
        assert!((froude / 0.929 - 1.0).abs() < 2e-3, "{froude}");
        let froude_on_depth = velocity / (9.806_65 * 5.0 * FOOT_M).sqrt();
        assert!((froude_on_depth / 0.804 - 1.0).abs() < 2e-3, "{froude_on_depth}");
    }

    /// C-02 and C-03, V. M. Ponce, SDSU CIVE 530 (2007, 2008).
    #[test]
    fn rectangles() {
        let section = trapezoid(5.0, 0.0);
        let flow = uniform_flow_m3_s(section, n(0.015), 0.0025, 0.8).unwrap();
        assert!((flow / 9.548 - 1.0).abs() < 1e-3 && (flow / 4.0 / 2.387 - 1.0).abs() < 1e-3);
        let flow = uniform_flow_m3_s(section, n(0.015), 0.003, 1.5).unwrap();
        assert!((flow / 26.23 - 1.0).abs() < 1e-3 && (flow / 7.5 / 3.498 - 1.0).abs() < 1e-3);
    }

    /// C-04, Subramanya ex. 12.3.
    #[test]
    fn the_slope_for_a_flow() {
        let slope = friction_slope(trapezoid(10.0, 1.5), n(0.015), 100.0, 3.0).unwrap();
        assert!((slope / 4.451e-4 - 1.0).abs() < 1e-3, "{slope}");
    }

    /// C-05, Cengel and Cimbala ex. 13-2: beds at 0.3 and 1 degree.
    #[test]
    fn two_bed_slopes() {
        let section = trapezoid(0.8, 1.0 / libm::tan(60.0_f64.to_radians()));
        for (degrees, expected) in [(0.3_f64, 0.60), (1.0, 1.10)] {
            let slope = libm::tan(degrees.to_radians());
            let flow = uniform_flow_m3_s(section, n(0.030), slope, 0.52).unwrap();
            assert!((flow / expected - 1.0).abs() < 1e-2, "{flow}");
        }
    }

    /// C-06, USACE WES *Streambank Manual* app. A ex. 2, table A.2, with its 1.49.
    #[test]
    fn normal_depth_over_a_rocky_bed() {
        let section = trapezoid(140.0 * FOOT_M, 2.0);
        for (roughness, depth_ft, top_ft, velocity_fps) in
            [(0.034, 10.6, 182.4, 7.9), (0.036, 11.0, 184.0, 7.6), (0.038, 11.3, 185.2, 7.3)]
        {
            let flow = 13_500.0 * CFS_M3_S;
            let depth =
                normal_depth_m(channel(section, n(roughness / BOOK), 0.0017), flow).unwrap();
            assert!((depth / FOOT_M / depth_ft - 1.0).abs() < 5e-3);
            assert!((section.top_width_m(depth) / FOOT_M / top_ft - 1.0).abs() < 5e-3);
            let velocity = flow / section.area_m2(depth) / FOOT_M;
            assert!((velocity / velocity_fps - 1.0).abs() < 5e-3);
        }
    }

    /// C-07, Natarajan ex. 8.6: 0.84 m2/s, n 0.02, 0.0016; a wide channel of 1,000 m.
    #[test]
    fn depth_of_a_wide_channel() {
        let wide = trapezoid(1000.0, 0.0);
        let depth = normal_depth_m(channel(wide, n(0.02), 0.0016), 840.0).unwrap();
        assert!((depth / 0.59 - 1.0).abs() < 1e-2, "{depth}");
        let closed = libm::pow(0.84 * 0.02 / 0.04, 0.6);
        assert!((depth / closed - 1.0).abs() < 1e-3, "{depth} {closed}");
    }

    #[test]
    fn a_full_section_says_what_it_carries() {
        let section = trapezoid(0.5, 1.0);
        let most = uniform_flow_m3_s(section, n(0.04), 0.01, 0.2).unwrap();
        let garden = Channel { edge_height_m: 0.2, ..channel(section, n(0.04), 0.01) };
        let over = normal_depth_m(garden, most * 1.01);
        assert_eq!(over, Err(NormalDepthError::Overtops { carries_m3_s: most }));
        assert!(normal_depth_m(Channel { bed_slope: 0.0, ..garden }, 0.01).is_err());
        assert!(normal_depth_m(garden, f64::NAN).is_err());
        assert!(uniform_flow_m3_s(section, n(0.04), -0.1, 0.2).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(54), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn normal_depth_carries_the_flow(
            (bed, side, stone) in (0.01..20.0f64, 0.0..5.0f64, 0.001..1.0f64),
            (log_slope, log_flow) in (-6.0..0.0f64, -7.0..3.0f64),
        ) {
            let section = trapezoid(bed, side);
            let (slope, flow) = (libm::exp10(log_slope), libm::exp10(log_flow));
            for roughness in [n(0.04), Roughness::variable_power(stone).unwrap()] {
                let depth = normal_depth_m(channel(section, roughness, slope), flow).unwrap();
                let carries = roughness.conveyance_m3_s(section, depth) * slope.sqrt();
                prop_assert!((carries / flow - 1.0).abs() < 1e-9, "{} {}", depth, carries / flow);
            }
        }
    }
}
