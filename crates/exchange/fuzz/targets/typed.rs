//! What people type: lengths, orders of columns, goals, units.
#![no_main]

use exchange::balance::goal;
use exchange::points::Columns;
use exchange::unit_words::unit_of;
use libfuzzer_sys::fuzz_target;
use units::{LengthUnit, parse_length};

fuzz_target!(|text: &str| {
    for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::FootInch, LengthUnit::UsSurveyFoot] {
        if let Ok(length_m) = parse_length(text, unit) {
            assert!(length_m.is_finite(), "{length_m}");
        }
        let _ = goal(text, unit);
    }
    if let Ok(columns) = Columns::given(text) {
        let again = Columns::given(&columns.text()).expect("an order that was understood");
        assert_eq!(again.order(), columns.order());
    }
    let _ = unit_of(text);
});
