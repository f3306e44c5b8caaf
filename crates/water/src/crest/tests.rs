use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;

const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;
const GALLON_M3: f64 = 231.0 * INCH_M * INCH_M * INCH_M;

fn level(width_m: f64, form: CrestForm) -> Crest {
    Crest::level(0.0, width_m, form).unwrap()
}

/// W-07, V. M. Ponce, SDSU CIVE 530 (2005): 3.087 in feet, SI 1.705; 20 ft at 0.8 ft pass 44.22 cfs
/// with 3.09.
#[test]
fn the_broad_crest_by_its_own_coefficient() {
    assert!((CrestForm::Broad.coefficient() - 1.705).abs() < 5e-4);
    let flow = level(20.0 * FOOT_M, CrestForm::Broad).flow_m3_s(0.8 * FOOT_M, None);
    assert!((flow / (FOOT_M * FOOT_M * FOOT_M) / 44.22 - 1.0).abs() < 1e-3);
}

/// Check values section 3, table of water thickness over a lip (computed there): flow in US gallons
/// an hour for each inch, then head sharp, head broad, critical and brink depth in inches.
#[test]
fn thickness_over_a_lip() {
    for (per_inch, sharp_in, broad_in, critical_in, brink_in) in [
        (50.0, 0.426, 0.448, 0.299, 0.214),
        (100.0, 0.676, 0.711, 0.474, 0.339),
        (150.0, 0.886, 0.932, 0.621, 0.444),
        (200.0, 1.074, 1.129, 0.753, 0.538),
        (300.0, 1.407, 1.480, 0.986, 0.705),
    ] {
        let flow = per_inch * 20.0 * GALLON_M3 / 3600.0;
        let allowance = EdgeAllowance::default();
        let sharp = level(20.0 * INCH_M, CrestForm::Sharp).over(flow, None, allowance).unwrap();
        let broad = level(20.0 * INCH_M, CrestForm::Broad).over(flow, None, allowance).unwrap();
        for (found_m, inches) in [
            (sharp.head_m, sharp_in),
            (broad.head_m, broad_in),
            (broad.critical_depth_m, critical_in),
            (broad.brink_depth_m, brink_in),
        ] {
            assert!((found_m / INCH_M - inches).abs() < 1e-3, "{found_m} {inches}");
        }
        assert_eq!(broad.trust, Trust::Estimate);
        assert!((broad.edge_above_crest_m - broad.head_m - 0.05).abs() < 1e-12);
    }
}

/// The same table's inverse: heads in inches over a sharp lip and US gallons an hour for each inch.
#[test]
fn flow_of_a_head_over_a_lip() {
    for (head_in, per_inch) in
        [(0.25, 22.5), (0.5, 63.6), (0.75, 116.8), (1.0, 179.8), (1.5, 330.3), (2.0, 508.5)]
    {
        let flow = level(INCH_M, CrestForm::Sharp).flow_m3_s(head_in * INCH_M, None);
        assert!((flow / GALLON_M3 * 3600.0 - per_inch).abs() < 0.06, "{head_in}");
    }
}

/// E-07, a rule of thumb: 100 gallons an hour for each inch is no quarter inch of head.
#[test]
fn a_quarter_inch_sheet_needs_more_lip_than_that() {
    let flow = 100.0 * GALLON_M3 / 3600.0;
    let over = level(INCH_M, CrestForm::Sharp).over(flow, None, EdgeAllowance::default()).unwrap();
    assert!((over.head_m / INCH_M - 0.68).abs() < 5e-3);
    assert!((over.critical_depth_m / INCH_M - 0.47).abs() < 5e-3);
    assert!((over.brink_depth_m / INCH_M - 0.34).abs() < 5e-3);
}

/// Common practice: about 7,200 US gallons an hour over a crest of 13.5 in stand near 2 in high.
#[test]
fn a_common_pump_over_a_common_crest() {
    let flow = 7200.0 * GALLON_M3 / 3600.0;
    let crest = level(13.5 * INCH_M, CrestForm::Sharp);
    let over = crest.over(flow, None, EdgeAllowance::default()).unwrap();
    assert!((over.head_m / INCH_M - 2.08).abs() < 0.03, "{}", over.head_m / INCH_M);
}

/// W-06, Subramanya ex. 13.35: three bays between two piers, each contracted at both ends, Cd 0.62.
#[test]
fn contracted_ends_take_a_tenth_of_the_head_each() {
    let coefficient = 2.0 / 3.0 * 0.62 * (2.0 * GRAVITY_M_S2).sqrt();
    let bay = Crest::level(0.0, 2.2 / 3.0, CrestForm::Rated(coefficient)).unwrap();
    let flow = 3.0 * bay.with_contracted_ends(2).unwrap().flow_m3_s(0.7, None);
    // Beyond the bound of a fifth: 0.14 m of 0.733 is 0.191, within it.
    assert!((flow / 1.909 - 1.0).abs() < 3e-3, "{flow}");
}

/// A triangle of 90 degrees by its own closed form: Q = C 0.8 H^2.5, by integration.
#[test]
fn a_notch_is_the_sum_of_its_strips() {
    let notch = Crest::uneven(&[[-1.0, 1.0], [0.0, 0.0], [1.0, 1.0]], CrestForm::Sharp).unwrap();
    for head in [0.01, 0.1, 0.5] {
        let closed = CrestForm::Sharp.coefficient() * 0.8 * libm::pow(head, 2.5);
        assert!((notch.flow_m3_s(head, None) / closed - 1.0).abs() < 1e-12);
        assert!((notch.wet_width_m(head) - 2.0 * head).abs() < 1e-12);
    }
    let near_level = Crest::uneven(&[[0.0, 0.0], [1.0, 1e-9]], CrestForm::Sharp).unwrap();
    let flat = level(1.0, CrestForm::Sharp).flow_m3_s(0.1, None);
    assert!((near_level.flow_m3_s(0.1, None) / flat - 1.0).abs() < 1e-7);
    let tilted = |d: f64| {
        let crest = Crest::uneven(&[[0.0, 0.0], [1.0, d]], CrestForm::Broad).unwrap();
        crest.flow_m3_s(0.1, None)
    };
    // Both ways of integration agree where one takes over from the other.
    assert!((tilted(0.001 - 1e-12) / tilted(0.001 + 1e-12) - 1.0).abs() < 1e-10);
}

#[test]
fn a_drowned_crest_passes_less_and_an_equal_level_none() {
    for form in [CrestForm::Sharp, CrestForm::Broad, CrestForm::Rated(1.5)] {
        let crest = level(1.0, form);
        let free = crest.flow_m3_s(0.3, None);
        assert_eq!(crest.flow_m3_s(0.3, Some(-1.0)), free);
        assert_eq!(crest.flow_m3_s(0.3, Some(0.0)), free);
        assert_eq!(crest.flow_m3_s(0.3, Some(0.3)), 0.0);
        assert!(crest.flow_m3_s(0.3, Some(0.28)) < 0.8 * free);
        let near = crest.flow_m3_s(0.3, Some(0.3 - 1e-12));
        assert!(near > 0.0 && near < 1e-3 * free + 1e-4, "{near}");
    }
    let broad = level(1.0, CrestForm::Broad);
    let (below, beyond) = (0.2 - 1e-9, 0.2 + 1e-9);
    let step = broad.flow_m3_s(0.3, Some(below)) - broad.flow_m3_s(0.3, Some(beyond));
    assert!(step.abs() < 1e-12);
}

#[test]
fn widths_for_a_head_or_a_brink() {
    let width = width_for_head_m(0.01, 0.05, CrestForm::Broad).unwrap();
    assert!((level(width, CrestForm::Broad).flow_m3_s(0.05, None) - 0.01).abs() < 1e-15);
    let width = width_for_brink_m(0.01, 0.02).unwrap();
    let over = level(width, CrestForm::Broad).over(0.01, None, EdgeAllowance::default()).unwrap();
    assert!((over.brink_depth_m - 0.02).abs() < 1e-12);
    assert!(width_for_head_m(0.01, 0.0, CrestForm::Broad).is_err());
    assert!(width_for_head_m(0.01, 0.1, CrestForm::Rated(f64::NAN)).is_err());
}

#[test]
fn what_is_no_crest_is_refused() {
    assert!(Crest::level(0.0, 0.0, CrestForm::Sharp).is_err());
    assert!(Crest::level(f64::NAN, 1.0, CrestForm::Sharp).is_err());
    assert!(Crest::level(0.0, 1.0, CrestForm::Rated(f64::NAN)).is_err());
    assert_eq!(Crest::uneven(&[[0.0, 0.0]], CrestForm::Sharp), Err(CrestError::Points(1)));
    let backward = [[0.0, 0.0], [1.0, 0.0], [0.5, 0.0]];
    assert_eq!(Crest::uneven(&backward, CrestForm::Sharp), Err(CrestError::Order(2)));
    let crest = level(1.0, CrestForm::Sharp);
    assert!(crest.level_for_m(0.0, None).is_err() && crest.level_for_m(f64::NAN, None).is_err());
    assert!(crest.level_for_m(0.1, Some(f64::INFINITY)).is_err());
    assert!(crest.flow_m3_s(f64::NAN, None).is_nan());
    assert!(crest.flow_m3_s(1.0, Some(f64::NAN)).is_nan());
    let thin = Crest::level(1.0e5, 1.0e5, CrestForm::Sharp).unwrap();
    let over = thin.over(1.0e-9, None, EdgeAllowance::default()).unwrap();
    assert!(over.critical_depth_m > 0.0 && over.head_m > over.critical_depth_m);
    let less = EdgeAllowance { least_m: -0.1, share_of_head: 0.0 };
    assert!(crest.over(0.1, None, less).is_err());
    assert!(crest.with_contracted_ends(3).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(51), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_level_for_a_flow_gives_that_flow(
        steps in prop::collection::vec((0.001..3.0f64, -2.0..2.0f64), 2..7),
        magnitude in -8.0..4.0f64,
        below in prop::option::of(-3.0..6.0f64),
        form in 0..3_usize,
        ends in 0..3_u8,
    ) {
        let form = [CrestForm::Sharp, CrestForm::Broad, CrestForm::Rated(1.4)][form];
        let mut across = 0.0;
        let points: Vec<_> = steps.iter().map(|&(run, z)| { across += run; [across, z] }).collect();
        let crest = Crest::uneven(&points, form).unwrap().with_contracted_ends(ends).unwrap();
        let flow = libm::exp10(magnitude);
        let level = crest.level_for_m(flow, below).unwrap();
        // Near-equal levels hold few digits of their difference.
        let slack = 1e-9 * flow + (crest.flow_m3_s(level + 1e-12, below) - crest.flow_m3_s(level - 1e-12, below)).abs();
        prop_assert!((crest.flow_m3_s(level, below) - flow).abs() <= slack);
        prop_assert!(crest.flow_m3_s(level + 0.01, below) >= flow - slack);
        let over = crest.over(flow, below, EdgeAllowance::default()).unwrap();
        prop_assert!(over.critical_depth_m <= over.head_m);
        prop_assert!(over.brink_depth_m < over.critical_depth_m || flow < 1e-12);
        if let Some(below) = below {
            prop_assert!(crest.level_for_m(flow, None).unwrap() <= level + 1e-12);
            prop_assert!(level >= below);
        }
    }
}
