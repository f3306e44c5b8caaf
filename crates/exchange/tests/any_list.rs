//! Whatever bytes stand in a point list or a level book, they are read or refused with their place.

use exchange::level_book;
use exchange::points::{Told, check_spread, read};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use units::LengthUnit;

/// Lists in several dialects, to be broken at random.
const LISTS: [&str; 6] = [
    "name,x,y,z,code\n1,1.5,2.5,100.25,GS\n2,-3,4,101,12\" oak\n3,7,8,9,EDGE\n",
    "Point;Easting;Northing;Elevation\n1;1,5;2,5;100,25\n2;-3;4;101,0\n3;7;8;99,5\n",
    "# units: us-ft\n# a comment\n\npt x y z d\n  1   1,5 2,5 100,25 GS\n2 -3,0 4,0 101,0 \"a b\"\n",
    "x (m),y (m),code,name,height (m)\r\n1.5,2.5,\"GS\"\"\",1,100.25\r\n-3,4,,2,101\r\n",
    "\u{FEFF}name\tx\ty\tz\r1\t5' 6\"\t2.5\t100.25\r2\t1e3\t4\t-101\r",
    "1 2 3 4 5\n6 7 8 9 10\n",
];

/// Level books, likewise.
const BOOKS: [&str; 2] = [
    "name;BS;IS;FS;known;distance;x;y\nBM;1,5;;;25;;;\n1;;1,2;;;;0;0\nT;0,8;;1,9;;9;;\nBM;;;0,4;;9;;\n",
    "# units: ft\n# bench: 100\nmark,back,fore,x (ft),y\nBM,5.5,,,\nA,1.2,2.3,3,4\nBM,,4.4,,\n",
];

/// What replaces a byte or stands before it.
const STRANGE: [&[u8]; 16] = [
    b"\"",
    b",",
    b";",
    b"\n",
    b"\r",
    b"\x00",
    b"NaN",
    b"1e999",
    b"-",
    b"\xff\xfe",
    b"\t",
    b"#",
    b"99999999999999999999",
    b"\xc3\x28",
    b" ",
    b"'",
];

fn broken(text: &str, breaks: &[(f64, usize, usize)]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for &(share, strange, taken) in breaks {
        let at = (share * bytes.len() as f64) as usize;
        let end = (at + taken).min(bytes.len());
        bytes.splice(at..end, STRANGE[strange].iter().copied());
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 3000,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(22),
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_broken_list_is_read_or_refused(
        list in 0..LISTS.len(),
        breaks in proptest::collection::vec((0.0..1.0_f64, 0..STRANGE.len(), 0..3_usize), 1..6),
        with_unit in any::<bool>(),
    ) {
        let bytes = broken(LISTS[list], &breaks);
        let told = Told { unit: with_unit.then_some(LengthUnit::Metre), ..Told::default() };
        match read(&bytes, &told) {
            Ok(list) => {
                for point in &list.points {
                    prop_assert!(point.at_m.iter().all(|c| c.is_finite()), "{point:?}");
                    prop_assert!(point.line > 0);
                }
                // A spread that makes no surface is refused in words, not by a panic.
                let _ = check_spread(&list.points);
            }
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.contains("expected"), "{said}");
            }
        }
    }

    #[test]
    fn a_broken_level_book_is_read_or_refused(
        book in 0..BOOKS.len(),
        breaks in proptest::collection::vec((0.0..1.0_f64, 0..STRANGE.len(), 0..3_usize), 1..6),
    ) {
        let bytes = broken(BOOKS[book], &breaks);
        let told = level_book::Told { unit: Some(LengthUnit::Foot), bench: None };
        let _ = level_book::is_level_book(&bytes);
        match level_book::read(&bytes, &told) {
            Ok(book) => {
                let finite = |p: &exchange::points::Point| p.at_m.iter().all(|c| c.is_finite());
                prop_assert!(book.list.points.iter().all(finite), "{book:?}");
            }
            Err(error) => {
                let said = error.to_string();
                let told = said.contains("line ") || said.contains("--units");
                prop_assert!(told && said.contains("expected"), "{said}");
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let told = Told { unit: Some(LengthUnit::Metre), ..Told::default() };
        if let Ok(list) = read(&bytes, &told) {
            prop_assert!(list.points.iter().all(|p| p.at_m.iter().all(|c| c.is_finite())));
        }
    }
}
