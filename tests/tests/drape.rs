//! A plan laid on a garden by known points, through the shipped program.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{Ran, demo_site, snapshot, tarnwright, top};
use serde_json::Value;
use tempfile::TempDir;

/// A folder with the demo garden and a small JPEG of 64 pixels square.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let picture = top().join("crates/exchange/tests/data/quarter.jpg");
    fs::copy(picture, folder.path().join("plan.jpg")).unwrap();
    folder
}

fn drape(folder: &Path, pins: &[&str]) -> Ran {
    let mut arguments = vec!["drape", "site", "--picture", "plan.jpg", "--name", "Sketch"];
    pins.iter().for_each(|pin| arguments.extend(["--pin", pin]));
    tarnwright(folder, &arguments)
}

/// Points 103 and 109 of the survey lie at (5008, 5000) and (5054, 5000) ft.
const TWO: [&str; 2] = ["4,60 = 103", "50,60 = 109"];

#[test]
fn a_plan_lies_by_two_points_and_the_report_names_it() {
    let folder = folder();
    let ran = drape(folder.path(), &TWO);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert!(ran.out.contains("Sketch (plan.jpg): lies by 2 known points"), "{ran:?}");
    assert!(folder.path().join("site/plan.jpg").is_file());
    let text = fs::read_to_string(folder.path().join("site/site.ron")).unwrap();
    let picture = site::file::parse(&text).unwrap().pictures.remove(0);
    assert_eq!(picture.size_px, [64, 64]);
    // 46 pixels are 46 ft: a foot a pixel, north up.
    let at = picture.fit().unwrap().on_ground([4.0, 50.0]);
    let expected = [5008.0 * 0.3048 - 1524.0, 5010.0 * 0.3048 - 1524.0];
    assert!((0..2).all(|axis| (at[axis] - expected[axis]).abs() < 1e-9), "{at:?}");
    let report = tarnwright(folder.path(), &["report", "site"]);
    assert!(report.out.contains("Draped pictures\n  Sketch (plan.jpg)"), "{}", report.out);
    let json = tarnwright(folder.path(), &["report", "site", "--json"]);
    let value: Value = serde_json::from_str(&json.out).unwrap();
    assert!((value["pictures"][0]["pixel_m"].as_f64().unwrap() - 0.3048).abs() < 1e-9);
}

#[test]
fn draping_again_lays_it_anew_and_a_doubtful_point_is_told() {
    let folder = folder();
    assert_eq!(drape(folder.path(), &TWO).status, 0);
    // The third lies 20 ft farther north than the plan shows.
    let three = ["4,60 = 5008,5000", "50,60 = 5054,5000", "4,20 = 5008,5060"];
    let ran = drape(folder.path(), &three);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert!(ran.out.contains("turned and scaled alone it misses them by"), "{ran:?}");
    assert!(ran.out.contains("look at known point"), "{ran:?}");
    let text = fs::read_to_string(folder.path().join("site/site.ron")).unwrap();
    let site = site::file::parse(&text).unwrap();
    assert_eq!((site.pictures.len(), site.pictures[0].pins.len()), (1, 3));
}

#[test]
fn what_lies_nowhere_is_refused_and_nothing_is_written() {
    let folder = folder();
    let before = snapshot(&folder.path().join("site"));
    let refused = |pins: &[&str], words: &[&str]| {
        let ran = drape(folder.path(), pins);
        assert_eq!(ran.status, 2, "{ran:?}");
        words.iter().for_each(|word| assert!(ran.err.contains(word), "{word}: {}", ran.err));
        assert_eq!(snapshot(&folder.path().join("site")), before);
    };
    refused(&TWO[..1], &["two known points or more"]);
    refused(&[TWO[0], "50,60 = 103"], &["in one place", "well apart"]);
    refused(&[TWO[0], "50,60 = nobody"], &["nobody", "surveyed point"]);
    refused(&[TWO[0], "50 60 109"], &["expected pixels right and down"]);
    refused(&[TWO[0], "90,60 = 109"], &["at_px", "64"]);
    refused(&[TWO[0], "50,60 = 5054,912000"], &["far off the survey"]);
    let over = ["4,60 = 5000,5008", "50,60 = 5000,5054", "4,20 = 5040,5008"];
    refused(&over, &["turn the picture over", "swapped"]);
    fs::write(folder.path().join("plan.jpg"), "no picture").unwrap();
    refused(&TWO, &["plan.jpg", "expected PNG or JPEG"]);
}
