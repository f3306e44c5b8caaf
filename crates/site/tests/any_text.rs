//! Whatever stands in a site's file, it is read as a valid site or refused with its place.

mod sample;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use site::file::{parse, write};

/// What replaces a stretch of the file.
const STRANGE: [&str; 18] = [
    "NaN",
    "inf",
    "-1",
    "1e308",
    "(",
    ")",
    "[",
    "]",
    ",",
    "\"",
    "//",
    "/*",
    "None",
    "Some(1)",
    "true",
    "\u{0}",
    "ü",
    "format: 2",
];

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 1500,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(23),
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_broken_file_is_read_or_refused_with_its_place(
        breaks in proptest::collection::vec((0.0..1.0_f64, 0..STRANGE.len(), 0..4_usize), 1..4),
    ) {
        let mut text = write(&sample::site());
        for (share, strange, taken) in breaks {
            let chars: Vec<char> = text.chars().collect();
            let at = (share * chars.len() as f64) as usize;
            let end = (at + taken).min(chars.len());
            let (before, after) = (&chars[..at], &chars[end..]);
            text = before.iter().collect::<String>() + STRANGE[strange] + &after.iter().collect::<String>();
        }
        match parse(&text) {
            Ok(site) => {
                prop_assert_eq!(site.check(), Ok(()));
                prop_assert_eq!(parse(&write(&site)), Ok(site));
            }
            Err(error) => {
                let n_lines = text.lines().count();
                prop_assert!((1..=n_lines + 1).contains(&error.line), "{error} of {n_lines} lines");
                prop_assert!(error.column >= 1 && !error.read.is_empty(), "{error}");
                prop_assert!(!error.expected.is_empty(), "{error}");
            }
        }
    }
}
