//! Bad input: exit status 2, a message with file, line, what was read and what was expected, and
//! no file touched.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{Ran, demo_site, snapshot, tarnwright};
use tempfile::TempDir;

const GOOD: &str = "name,x,y,z\n1,0,0,10\n2,20,0,10\n3,20,20,11\n4,0,20,11\n";

/// Runs `new` on a survey of these bytes and expects a refusal that says all of `said`.
fn refused(bytes: &[u8], arguments: &[&str], said: &[&str]) {
    let folder = TempDir::new().unwrap();
    let survey = folder.path().join("points.csv");
    fs::write(&survey, bytes).unwrap();
    let before = snapshot(folder.path());
    let mut words = vec!["new", "garden", "--survey", "points.csv"];
    words.extend(arguments);
    let ran = tarnwright(folder.path(), &words);
    says(&ran, said);
    assert_eq!(snapshot(folder.path()), before, "files changed; {ran:?}");
}

fn says(ran: &Ran, said: &[&str]) {
    assert_eq!(ran.status, 2, "{ran:?}");
    assert_eq!(ran.out, "", "{ran:?}");
    for words in said {
        assert!(ran.err.contains(words), "{words:?} is not in {:?}", ran.err);
    }
}

const METRES: [&str; 2] = ["--units", "m"];

#[test]
fn a_missing_file() {
    let folder = TempDir::new().unwrap();
    let ran = tarnwright(folder.path(), &["new", "garden", "--survey", "none.csv", "--units", "m"]);
    says(&ran, &["none.csv", "cannot be read", "expected a point list"]);
    assert!(snapshot(folder.path()).is_empty());
}

#[test]
fn an_empty_file_and_one_without_points() {
    refused(b"", &METRES, &["points.csv: line 1: read an empty file, expected rows of points"]);
    refused(b"name,x,y,z\n", &METRES, &["points.csv: line 1: read to the end without a point"]);
}

#[test]
fn text_in_a_number() {
    let text = "name,x,y,z\n1,0,0,10\n2,twenty,0,10\n";
    let said = "points.csv: line 3, column 3: read `twenty`, expected a number for x (easting)";
    refused(text.as_bytes(), &METRES, &[said]);
}

#[test]
fn nan_infinity_and_values_beyond_any_site() {
    for (value, expected) in [
        ("NaN", "expected a number for z (elevation)"),
        ("inf", "expected a number for z (elevation)"),
        ("-infinity", "expected a number for z (elevation)"),
        ("1e308", "expected a number for z (elevation) that a site can have"),
        ("1e999", "expected a number for z (elevation) that a site can have"),
        ("9001", "expected a number for z (elevation) that a site can have, from -500 to 9000"),
    ] {
        let text = format!("{GOOD}5,10,10,{value}\n");
        let place = format!("points.csv: line 6, column 9: read `{value}`");
        refused(text.as_bytes(), &METRES, &[&place, expected]);
    }
    let text = format!("{GOOD}5,2e8,10,10\n");
    refused(text.as_bytes(), &METRES, &["line 6, column 3: read `2e8`", "a site can have"]);
}

#[test]
fn points_that_span_no_surface() {
    let expected = "expected at least three places that are not on one line";
    refused(b"x,y,z\n1,2,3\n", &METRES, &["points.csv: line 2: read a lone point", expected]);
    let line: String = (0..1000).map(|k| format!("{k},{},5\n", f64::from(k) / 3.0)).collect();
    let text = format!("x,y,z\n{line}");
    refused(text.as_bytes(), &METRES, &["line 1001: read 1000 points on one line", expected]);
}

#[test]
fn a_million_points_at_one_place() {
    let mut text = "x,y,z\n".to_owned();
    for _ in 0..1_000_000 {
        text.push_str("5,6,7\n");
    }
    refused(text.as_bytes(), &METRES, &["line 1000001: read 1000000 points at one place"]);
}

#[test]
fn a_binary_file() {
    let said = "points.csv: line 1, column 5: read the byte 0x00 of a binary file";
    refused(b"LAST\x00\x00\x01\x02\x03rest", &METRES, &[said, "expected a text file of points"]);
}

#[test]
fn a_list_whose_order_or_unit_nobody_tells() {
    let rows = "1,0,0,10\n2,20,0,10\n3,20,20,11\n";
    refused(rows.as_bytes(), &METRES, &["line 1: read `1,0,0,10`", "--columns name,x,y,z,code"]);
    refused(GOOD.as_bytes(), &[], &["the unit of length is not known", "--units"]);
    refused(GOOD.as_bytes(), &["--units", "cubits"], &["cubits", "m, ft"]);
    refused(GOOD.as_bytes(), &["--units", "m", "--columns", "name,x,y"], &["z", "missing"]);
}

#[test]
fn an_outline_that_crosses_itself() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("points.csv"), GOOD).unwrap();
    fs::write(folder.path().join("edge.csv"), "x,y,z\n0,0,0\n20,20,0\n20,0,0\n0,20,0\n").unwrap();
    let before = snapshot(folder.path());
    let words =
        ["new", "garden", "--survey", "points.csv", "--units", "m", "--boundary", "edge.csv"];
    let ran = tarnwright(folder.path(), &words);
    says(&ran, &["edge.csv: line 4: read an outline that crosses itself", "line 2", "expected"]);
    assert_eq!(snapshot(folder.path()), before);
}

/// What is refused as a survey is refused as well where two lists are compared, and as breaklines.
#[test]
fn a_bad_list_is_refused_whatever_it_is_for() {
    let cases: [(&[u8], &[&str]); 6] = [
        (b"", &["bad.csv: line 1: read an empty file", "expected rows of points"]),
        (b"x,y,z\n1,2,3\n4,five,6\n", &["bad.csv: line 3, column 3: read `five`", "expected"]),
        (b"x,y,z\n1,2,3\n4,5,NaN\n", &["bad.csv: line 3, column 5: read `NaN`", "expected"]),
        (b"x,y,z\n1,2,3\n4,5,inf\n", &["bad.csv: line 3, column 5: read `inf`", "expected"]),
        (b"x,y,z\n1,2,3\n4,1e300,6\n", &["bad.csv: line 3, column 3: read `1e300`", "expected"]),
        (
            b"\x7fELF\x02\x01\x01\x00\x00",
            &["bad.csv: line 1", "binary file", "expected a text file"],
        ),
    ];
    for (bytes, said) in cases {
        let folder = TempDir::new().unwrap();
        fs::write(folder.path().join("bad.csv"), bytes).unwrap();
        fs::write(folder.path().join("good.csv"), GOOD).unwrap();
        let before = snapshot(folder.path());
        for words in [
            &["compare", "good.csv", "bad.csv", "--units", "m"][..],
            &["compare", "bad.csv", "good.csv", "--units", "m"],
            &["new", "garden", "--survey", "good.csv", "--units", "m", "--breaklines", "bad.csv"],
        ] {
            let ran = tarnwright(folder.path(), words);
            assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:?}");
            for words in said {
                assert!(ran.err.contains(words), "{words:?} is not in {:?}", ran.err);
            }
            assert_eq!(snapshot(folder.path()), before);
        }
    }
}

#[test]
fn a_folder_that_holds_something() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("points.csv"), GOOD).unwrap();
    fs::create_dir(folder.path().join("garden")).unwrap();
    fs::write(folder.path().join("garden/letter.txt"), "keep me").unwrap();
    let before = snapshot(folder.path());
    let words = ["new", "garden", "--survey", "points.csv", "--units", "m"];
    let ran = tarnwright(folder.path(), &words);
    says(&ran, &["garden", "stands already", "expected a new folder"]);
    assert_eq!(snapshot(folder.path()), before);
}

/// A folder in which nobody, not even the superuser, can make anything.
#[cfg(target_os = "linux")]
const READ_ONLY: &str = "/sys";

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("points.csv"), GOOD).unwrap();
    let garden = format!("{READ_ONLY}/garden");
    let words = ["new", garden.as_str(), "--survey", "points.csv", "--units", "m"];
    says(&tarnwright(folder.path(), &words), &["/sys/garden: cannot make this folder"]);
    let site = demo_site(folder.path());
    let before = snapshot(&site);
    let report = format!("{READ_ONLY}/report");
    let ran = tarnwright(&site, &["report", ".", "--out", &report]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.err.contains("/sys/report: cannot make this folder"), "{ran:?}");
    assert_eq!(snapshot(&site), before);
}

/// Runs `report` on the demo site with its text changed and expects a refusal.
fn site_refused(change: impl Fn(&str) -> String, said: &[&str]) {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let document = site.join("site.ron");
    let text = fs::read_to_string(&document).unwrap();
    let changed = change(&text);
    assert_ne!(text, changed, "the change has changed nothing");
    fs::write(&document, changed).unwrap();
    let before = snapshot(&site);
    says(&tarnwright(folder.path(), &["report", "site"]), said);
    assert_eq!(snapshot(&site), before);
}

#[test]
fn a_site_cut_off_in_the_middle() {
    site_refused(|text| text[..text.len() / 2].to_owned(), &["site.ron: line ", "expected"]);
    site_refused(|_| String::new(), &["site.ron: line 1", "read an empty file", "expected a site"]);
}

#[test]
fn an_unknown_field() {
    let add = |text: &str| text.replacen("    title:", "    colour: 3,\n    title:", 1);
    site_refused(add, &["site.ron: line 5", "colour", "expected"]);
}

#[test]
fn a_number_that_is_none_or_out_of_its_range() {
    for value in ["NaN", "inf", "-0.2", "\"deep\""] {
        let text = format!("rim_width_m: {value}");
        site_refused(
            |site| site.replacen("rim_width_m: 0.4572", &text, 1),
            &["site.ron: line ", "read", "expected"],
        );
    }
}

#[test]
fn a_newer_format() {
    let newer = |text: &str| text.replacen("format: 6", "format: 999", 1);
    site_refused(newer, &["site.ron: line 4", "999", "newer"]);
}

#[test]
fn a_ring_that_crosses_itself() {
    // Two neighbours of the pond's outline change places.
    let cross = |text: &str| {
        let (first, second) = ("(13.4722, 14.8742)", "(10.668, 15.4229)");
        text.replacen(first, "(0, 0)", 1).replacen(second, first, 1).replacen("(0, 0)", second, 1)
    };
    site_refused(cross, &["site.ron: line ", "crosses itself", "expected"]);
}

#[test]
fn a_site_without_its_survey() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    fs::remove_file(site.join("survey.csv")).unwrap();
    let ran = tarnwright(folder.path(), &["report", "site"]);
    says(&ran, &["survey.csv: cannot be read", "expected a survey"]);
    let away = |text: &str| text.replacen("\"survey.csv\"", "\"../survey.csv\"", 1);
    site_refused(away, &["site.ron: line 14", "../survey.csv", "in the site's own folder"]);
}

#[test]
fn usage() {
    for words in [&["reprot"][..], &["report"], &["compare", "a.csv"], &["report", "x", "--loud"]] {
        let ran = tarnwright(Path::new("."), words);
        assert_eq!(ran.status, 2, "{words:?}: {ran:?}");
    }
    let ran = tarnwright(Path::new("."), &["report", "nowhere"]);
    says(&ran, &["nowhere/site.ron: cannot be read", "expected a site"]);
}
