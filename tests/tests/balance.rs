//! `balance`: numbers are freed, goals are reached or said to be out of reach, versions are written.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use acceptance::{demo_site, snapshot, tarnwright};
use serde_json::Value;
use tempfile::TempDir;

/// The demo site in a folder of its own.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    folder
}

/// The first number of the demo's list, as `--free` takes it: the pond's water level.
fn water_level(folder: &TempDir) -> (String, f64) {
    let listed = tarnwright(folder.path(), &["balance", "site", "--list"]);
    assert_eq!(listed.status, 0, "{listed:?}");
    let mut lines = listed.out.lines();
    let work = lines.next().unwrap().to_owned();
    let row = lines.find(|line| line.trim_start().starts_with("Water level")).unwrap();
    let level: f64 = row.split_whitespace().rev().nth(1).unwrap().parse().unwrap();
    (format!("{work} water level"), level)
}

#[test]
fn a_version_is_written_whose_report_says_what_was_told() {
    let folder = folder();
    let before = snapshot(&folder.path().join("site"));
    let (name, level) = water_level(&folder);
    let free = format!("{name} from {} to {}", level - 0.5, level + 0.2);
    let asked = ["balance", "site", "--free", &free, "--goal", "spoil=0", "--json", "-o", "even"];
    let ran = tarnwright(folder.path(), &asked);
    assert!(ran.status < 2, "{ran:?}");
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    let report = tarnwright(folder.path(), &["report", "even", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    let spoil = |value: &Value| value["spoil_bank_m3"].as_f64().unwrap();
    assert!((spoil(&told["earth"][1]) - spoil(&report["earthwork"])).abs() < 1e-6);
    assert_eq!(snapshot(&folder.path().join("site")), before, "the site itself stays");
    // A folder that holds something is never written over.
    let again = tarnwright(folder.path(), &asked);
    assert_eq!(again.status, 2, "{again:?}");
}

#[test]
fn what_is_out_of_reach_is_said_to_be_so() {
    let folder = folder();
    let (name, level) = water_level(&folder);
    let free = format!("{name} from {} to {}", level - 0.02, level + 0.02);
    let ran = tarnwright(
        folder.path(),
        &["balance", "site", "--free", &free, "--goal", "spoil=5000", "--goal", "no-mound"],
    );
    assert!(ran.status < 2, "{ran:?}");
    assert!(ran.out.contains("not reached"), "{}", ran.out);
}

#[test]
fn bad_words_end_with_what_was_expected() {
    let folder = folder();
    let (name, level) = water_level(&folder);
    let free = format!("{name} from {level} to {}", level + 0.5);
    for (words, expected) in [
        (["--free", "Meadow level from 1 to 2", "--goal", "no-spoil"], "the name of a work"),
        (["--free", "Meadow level", "--goal", "no-spoil"], "its least and its greatest value"),
        (["--free", &format!("{name} from NaN to 1"), "--goal", "no-spoil"], "expected a number"),
        (["--free", &free, "--goal", "flat"], "wall-tops-at-lip"),
        (["--free", &free, "--goal", "spoil=NaN"], "a volume of earth"),
    ] {
        let ran = tarnwright(folder.path(), &[&["balance", "site"], &words[..]].concat());
        assert_eq!(ran.status, 2, "{ran:?}");
        assert!(ran.err.contains(expected), "{expected}: {}", ran.err);
    }
    assert_eq!(tarnwright(folder.path(), &["balance", "site"]).status, 2);
}
