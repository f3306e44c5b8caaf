//! Level books: read by `new` and on opening, typed in the document, reported, and refused.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{snapshot, tarnwright};
use serde_json::Value;
use tempfile::TempDir;

/// One run of three set-ups over 500 m: it closes 6 mm low, of 8.5 mm permitted, so the shots of the
/// first and the last set-up come up by 1.2 and 6 mm: 25.3222, 25.3222, 25.760 and 25.760 m.
const BOOK: &str = "\
name;BS;IS;FS;known;distance;x;y;code
BM1;1,525;;;25,000;;;;
1;;1,204;;;;0;0;GS
2;;1,204;;;;10;0;GS
TP1;0,872;;1,913;;100;;;
TP2;1,760;;1,140;;150;;;
3;;0,350;;;;10;10;GS
4;;0,350;;;;0;10;GS
BM1;;;1,110;;250;;;
";

fn write(folder: &Path, name: &str, text: &str) {
    fs::write(folder.join(name), text).unwrap();
}

fn started(book: &str, arguments: &[&str]) -> (TempDir, String) {
    let folder = TempDir::new().unwrap();
    write(folder.path(), "book.csv", book);
    let words = [&["new", "garden", "--survey", "book.csv", "--units", "m"], arguments].concat();
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    (folder, ran.out)
}

/// Least and greatest level of the existing ground.
fn levels(folder: &Path) -> [f64; 2] {
    let ran = tarnwright(folder, &["report", "garden", "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{ran:?}"));
    ["min_z_m", "max_z_m"].map(|key| report["surfaces"]["existing"][key].as_f64().unwrap())
}

fn near(found: [f64; 2], expected: [f64; 2]) {
    assert!(found.iter().zip(expected).all(|(f, e)| (f - e).abs() < 1e-9), "{found:?}");
}

const CLOSES: [&str; 4] = [
    "Levels, BM1 back to BM1, 3 set-ups over 500.00 m",
    "page check    backsights less foresights -0.006 m, last less first -0.006 m",
    "misclosure    6.0 mm low of the known 25.00 m; permitted 8.5 mm",
    "adjusted      by distance, up to 6.0 mm at the end of the run",
];

#[test]
fn a_site_starts_from_a_level_book_and_reports_how_it_closes() {
    let (folder, said) = started(BOOK, &[]);
    let report = tarnwright(folder.path(), &["report", "garden", "--out", "report"]);
    for words in CLOSES {
        assert!(said.contains(words) && report.out.contains(words), "{words:?} {report:?}");
    }
    near(levels(folder.path()), [25.3222, 25.760]);
    let table = fs::read_to_string(folder.path().join("report/levels.csv")).unwrap();
    let row = "3,,0.3500,,,25.7540,0.0060,25.7600,10.0000,10.0000,GS";
    assert!(table.lines().any(|line| line == row), "{table}");
    // The book is kept as it was read; nothing of it stands in the document.
    let document = fs::read_to_string(folder.path().join("garden/site.ron")).unwrap();
    assert!(document.contains("share: ByDistance") && !document.contains("TP1"), "{document}");
}

#[test]
fn the_first_marks_elevation_may_be_told_once() {
    let bare = BOOK.replace("25,000", "");
    let (folder, _) = started(&bare, &["--bench", "25.000"]);
    near(levels(folder.path()), [25.3222, 25.760]);
    for (book, arguments, said) in [
        (BOOK, &["--bench", "25"][..], "expected it told once, not by --bench too"),
        (bare.as_str(), &[][..], "line 2: read a first mark without an elevation"),
        (bare.as_str(), &["--bench", "high"][..], "--bench: read `high`, expected a number"),
        ("name,x,y,z\n1,0,0,1\n2,9,0,1\n3,9,9,1\n", &["--bench", "1"][..], "expected a level book"),
    ] {
        refused(book, arguments, said);
    }
}

fn refused(book: &str, arguments: &[&str], said: &str) {
    let folder = TempDir::new().unwrap();
    write(folder.path(), "book.csv", book);
    let before = snapshot(folder.path());
    let words = [&["new", "garden", "--survey", "book.csv", "--units", "m"], arguments].concat();
    let ran = tarnwright(folder.path(), &words);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:?}");
    assert!(ran.err.contains(said), "{said:?} is not in {ran:?}");
    assert_eq!(snapshot(folder.path()), before);
}

#[test]
fn bad_rows_are_named_with_file_and_line() {
    let with = |from: &str, to: &str| BOOK.replace(from, to);
    for (book, said) in [
        (
            with("1,913", "1,913 1,915"),
            "book.csv: line 5, column 12: read `1,913 1,915`, expected one foresight",
        ),
        (
            with("BM1;1,525;;;", "BM1;;;1,525;"),
            "book.csv: line 2: read a foresight before any backsight",
        ),
        (with("TP1;0,872", "TP1;"), "book.csv: line 5: read a turning point without a backsight"),
        (with("1,204", "l,204"), "book.csv: line 3, column 4: read `l,204`, expected a number"),
        (with("1,204", "NaN"), "book.csv: line 3, column 4: read `NaN`, expected a number"),
        (
            with("BM1;;;1,110;;250;;;\n", ""),
            "book.csv: line 8: read the end of the notes without a closing sight",
        ),
        (with("BS;IS", "BS;BS"), "book.csv: line 1: read `name;BS;BS;FS;"),
    ] {
        refused(&book, &[], said);
    }
}

/// 36 mm over half a kilometre, of 8.5 mm.
#[test]
fn a_misclosure_beyond_the_limit_stops_and_is_not_shared_out() {
    let folder = TempDir::new().unwrap();
    write(folder.path(), "book.csv", &BOOK.replace("1,110", "1,140"));
    let words = ["new", "garden", "--survey", "book.csv", "--units", "m"];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 1, "{ran:?}");
    for said in
        ["36.0 mm below 25.00 m on BM1", "survey.levels.permitted.per_root_km_m permits 8.5 mm"]
    {
        assert!(ran.out.contains(said), "{said:?} is not in {ran:?}");
    }
    near(levels(folder.path()), [25.321, 25.754]);
    let report = tarnwright(folder.path(), &["report", "garden", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    let finding = &report["findings"][0];
    assert_eq!([&finding["code"], &finding["severity"]], ["survey-suspect", "stop"]);
    assert!((finding["measured"].as_f64().unwrap() - 0.036).abs() < 1e-9, "{finding}");
    assert!((finding["limit"].as_f64().unwrap() - 0.012 * 0.5_f64.sqrt()).abs() < 1e-9);
    assert!(finding["remedy"].as_str().unwrap().contains("Level the run again"), "{finding}");
}

/// The document of a site with its level notes typed in it, and no other survey.
fn typed(folder: &Path, rows: &str) {
    let document = folder.join("garden/site.ron");
    let text = fs::read_to_string(&document).unwrap();
    let text = text.replace("file: \"survey.csv\"", "file: \"\"");
    assert!(text.contains("rows: []"), "{text}");
    fs::write(&document, text.replace("rows: []", &format!("rows: [{rows}]"))).unwrap();
    fs::remove_file(folder.join("garden/survey.csv")).unwrap();
}

const TYPED: &str = "(name: \"BM1\", back_m: Some(1.5), known_m: Some(30.0)),
    (intermediate_m: Some(1.0), at_m: Some((-5.0, -5.0))),
    (intermediate_m: Some(1.0), at_m: Some((5.0, -5.0))),
    (intermediate_m: Some(2.0), at_m: Some((5.0, 5.0))),
    (name: \"BM1\", fore_m: Some(1.504), distance_m: Some(250.0)),";

#[test]
fn notes_are_typed_in_the_document() {
    let (folder, _) = started(BOOK, &[]);
    typed(folder.path(), TYPED);
    // 4 mm low of 6 mm permitted: all comes up by 4 mm.
    near(levels(folder.path()), [29.504, 30.504]);
}

#[test]
fn typed_notes_that_cannot_be_reduced_are_named_with_their_field() {
    for (from, to, said) in [
        ("back_m: Some(1.5)", "back_m: Some(NaN)", "survey.levels.rows[0].back_m"),
        (
            "back_m: Some(1.5)",
            "fore_m: Some(1.5)",
            "expected a backsight on a mark of known elevation",
        ),
        ("fore_m: Some(1.504)", "fore_m: Some(1.5), fore_m: Some(1.6)", "the field fore_m again"),
        ("distance_m: Some(250.0)", "", "by which the misclosure is to be shared"),
    ] {
        let (folder, _) = started(BOOK, &[]);
        typed(folder.path(), &TYPED.replace(from, to));
        let ran = tarnwright(folder.path(), &["report", "garden"]);
        assert_eq!(ran.status, 2, "{ran:?}");
        let named = ran.err.contains("site.ron: line ") && ran.err.contains(said);
        assert!(named, "{said:?} is not in {ran:?}");
    }
}
