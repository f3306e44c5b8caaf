use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;

fn slope(run: f64) -> Slope {
    Slope::from_run_per_rise(run).unwrap()
}

fn heap(length_m: f64, width_m: f64, height_m: f64, run: f64) -> Heap {
    Heap::new(length_m, width_m, height_m, slope(run)).unwrap()
}

/// V-14, trade reference table: 0.2618 D² h, a diameter of 26.5 ft and 10 ft high at 37 degrees are
/// 68 yd3.
#[test]
fn a_conical_pile() {
    let (foot_m, yard3_m3) = (0.3048, 0.9144_f64.powi(3));
    let repose = Slope::from_angle(37.0_f64.to_radians()).unwrap();
    let height_m = 13.25 * foot_m * repose.rise_per_run();
    assert!((height_m / foot_m - 9.98).abs() < 0.01);
    let pile = Heap::new(26.5 * foot_m, 26.5 * foot_m, height_m, repose).unwrap();
    assert_eq!(pile.form(), HeapForm::Cone);
    assert!((pile.volume().m3() / yard3_m3 - 68.0).abs() < 0.003 * 68.0);
}

/// V-15, a frustum of 10 ft, 4 ft and 3 ft: 490.09 ft3, here standing instead of dug.
#[test]
fn a_frustum() {
    let pile = heap(20.0, 20.0, 3.0, 2.0);
    assert!((pile.volume().m3() - 490.09).abs() < 0.01);
    assert_eq!((pile.top_width_m(), pile.form()), (8.0, HeapForm::Flat));
}

/// V-17, a berm 11 ft from toe to toe, 2 ft at the top and 1.5 ft high is 9.75 ft2 for each foot.
#[test]
fn a_berm_between_its_ends() {
    let long = heap(31.0, 11.0, 1.5, 3.0).volume().m3();
    let short = heap(21.0, 11.0, 1.5, 3.0).volume().m3();
    assert!((long - short - 97.5).abs() < 1e-9);
    let ridge = heap(18.0, 6.0, 2.0, 1.5);
    // 12 of straight at 6 m2, and a cone of π/3 x 9 x 2; on π x 9 + 6 x 12 of ground.
    assert!((ridge.volume().m3() - (72.0 + 6.0 * PI)).abs() < 1e-12);
    assert!((ridge.footprint_m2() - (72.0 + 9.0 * PI)).abs() < 1e-12);
    assert_eq!(ridge.form(), HeapForm::Ridge);
}

#[test]
fn a_heap_grows_from_cone_to_ridge_to_level_top() {
    let low = Room { length_m: 6.0, width_m: 12.0, height_m: Some(1.0) };
    let forms: Vec<_> = [1.0, 2.3, 15.0, 30.0]
        .iter()
        .map(|&m3| stockpile(Loose::from_m3(m3), low, slope(1.5)).unwrap())
        .map(|heap| (heap.form(), heap.length_m() > 11.999))
        .collect();
    let wanted = [HeapForm::Cone, HeapForm::Cone, HeapForm::Ridge, HeapForm::Flat];
    assert_eq!(forms, wanted.map(|form| (form, form == HeapForm::Flat)));
}

#[test]
fn what_does_not_fit_is_told() {
    let room = Room { length_m: 6.0, width_m: 6.0, height_m: None };
    let told = stockpile(Loose::from_m3(25.0), room, slope(1.5));
    let Err(StockpileError::TooMuch { fits_m3, over_m3 }) = told else { panic!("{told:?}") };
    assert!((fits_m3 - 6.0 * PI).abs() < 1e-9 && (fits_m3 + over_m3 - 25.0).abs() < 1e-12);
    let to_the_brim = stockpile(Loose::from_m3(fits_m3), room, slope(1.5)).unwrap();
    assert!((to_the_brim.width_m() - 6.0).abs() < 1e-9);
}

#[test]
fn what_is_out_of_range_is_refused() {
    let room = Room { length_m: 6.0, width_m: 6.0, height_m: None };
    for m3 in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(stockpile(Loose::from_m3(m3), room, slope(1.5)).is_err());
    }
    for bad in [0.0, f64::NAN] {
        assert!(greatest_heap(Room { length_m: bad, ..room }, slope(1.5)).is_err());
        assert!(greatest_heap(Room { width_m: bad, ..room }, slope(1.5)).is_err());
        assert!(greatest_heap(Room { height_m: Some(bad), ..room }, slope(1.5)).is_err());
    }
    assert!(greatest_heap(room, Slope::from_percent(0.0).unwrap()).is_err());
    let too_high = Heap::new(6.0, 6.0, 2.5, slope(1.5));
    assert!(matches!(too_high, Err(StockpileError::TooHigh { .. })));
    assert!(matches!(Heap::new(5.0, 6.0, 1.0, slope(1.5)), Err(StockpileError::TooShort { .. })));
}

fn any_room() -> impl Strategy<Value = (Room, f64)> {
    (0.5..20.0f64, 0.5..20.0f64, prop::option::of(0.1..6.0f64), 0.5..3.0f64)
        .prop_map(|(length_m, width_m, height_m, run)| (Room { length_m, width_m, height_m }, run))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, rng_seed: RngSeed::Fixed(35), ..ProptestConfig::default() })]

    /// The heap holds the volume given, inside the room, at its angle of repose.
    #[test]
    fn a_heap_holds_its_volume_and_stays_in_its_room((room, run) in any_room(), part in 0.001..1.0f64) {
        let most = greatest_heap(room, slope(run)).unwrap();
        let volume = most.volume().m3() * part;
        let heap = stockpile(Loose::from_m3(volume), room, slope(run)).unwrap();
        prop_assert!((heap.volume().m3() - volume).abs() < 1e-9 * volume.max(1.0));
        let (long, short) = (room.length_m.max(room.width_m), room.length_m.min(room.width_m));
        prop_assert!(heap.length_m() <= long * (1.0 + 1e-9) && heap.width_m() <= short * (1.0 + 1e-9));
        prop_assert!(heap.height_m() <= room.height_m.unwrap_or(f64::INFINITY) * (1.0 + 1e-12));
        prop_assert!(heap.height_m() <= most.height_m() * (1.0 + 1e-12));
        prop_assert!(2.0 * run * heap.height_m() <= heap.width_m() * (1.0 + 1e-9));
        prop_assert!(heap.length_m() >= heap.width_m() * (1.0 - 1e-9));
    }

    #[test]
    fn more_earth_is_no_lower_and_covers_more(
        (room, run) in any_room(),
        (part, more) in (0.001..1.0f64, 0.001..1.0f64),
    ) {
        let most = greatest_heap(room, slope(run)).unwrap().volume().m3();
        let of = |part| stockpile(Loose::from_m3(most * part), room, slope(run)).unwrap();
        let (less, more) = (of(part.min(more)), of(part.max(more)));
        prop_assert!(more.height_m() >= less.height_m() * (1.0 - 1e-9));
        prop_assert!(more.footprint_m2() >= less.footprint_m2() * (1.0 - 1e-9));
    }

    /// The closed form against thin level slices.
    #[test]
    fn the_volume_is_that_of_its_slices((room, run) in any_room()) {
        let heap = greatest_heap(room, slope(run)).unwrap();
        let n = 2000;
        let dz = heap.height_m() / f64::from(n);
        let slices: f64 = (0..n).map(|i| {
            let at = heap.width_m() / 2.0 - run * dz * (f64::from(i) + 0.5);
            dz * (PI * at * at + 2.0 * at * (heap.length_m() - heap.width_m()))
        }).sum();
        prop_assert!((slices - heap.volume().m3()).abs() < 1e-6 * slices);
    }

    #[test]
    fn twice_the_size_is_eight_times_the_earth((room, run) in any_room()) {
        let twice = Room {
            length_m: 2.0 * room.length_m,
            width_m: 2.0 * room.width_m,
            height_m: room.height_m.map(|h| 2.0 * h),
        };
        let of = |room| greatest_heap(room, slope(run)).unwrap().volume().m3();
        prop_assert!((of(twice) - 8.0 * of(room)).abs() < 1e-9 * of(twice));
    }
}
