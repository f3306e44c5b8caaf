//! `compare` on closed forms, lists and stages.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{demo_site, tarnwright};
use serde_json::Value;
use tempfile::TempDir;

/// A square of `side` by `side` whose corners have these elevations, turned and moved.
fn square(path: &Path, side: f64, elevations: [f64; 4], turned_deg: f64, at: [f64; 2]) {
    let (sin, cos) = libm::sincos(turned_deg.to_radians());
    let mut text = "name,x,y,z\n".to_owned();
    for (k, (x, y)) in [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].into_iter().enumerate()
    {
        let (east, north) = (at[0] + cos * x - sin * y, at[1] + sin * x + cos * y);
        text.push_str(&format!("{k},{east:.9},{north:.9},{}\n", elevations[k]));
    }
    fs::write(path, text).unwrap();
}

fn compared(folder: &Path, a: &str, b: &str, unit: &str) -> Value {
    let ran = tarnwright(folder, &["compare", a, b, "--units", unit, "--json"]);
    assert_eq!(ran.status, 0, "{ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

fn near(value: &Value, key: &str, expected: f64) {
    let found = value[key].as_f64().unwrap_or_else(|| panic!("{key}: {value}"));
    assert!(
        (found - expected).abs() <= 1e-6 * expected.abs().max(1.0),
        "{key}: {found} {expected}"
    );
}

/// A slab of 0.5 over 20 by 20 is 200; tilted planes that cross on the middle line leave two
/// wedges of 20 by 10 with 1 at the edge: 100 each. Turned, moved far off, in metres and feet.
#[test]
fn slabs_and_wedges() {
    let foot_m: f64 = 0.3048;
    for (unit, length_m) in [("m", 1.0), ("ft", foot_m)] {
        for (turned, at) in [(0.0, [0.0, 0.0]), (30.0, [500_000.0, 4_500_000.0])] {
            let folder = TempDir::new().unwrap();
            let path = |name: &str| folder.path().join(name);
            square(&path("level.csv"), 20.0, [10.0; 4], turned, at);
            square(&path("raised.csv"), 20.0, [10.5; 4], turned, at);
            square(&path("tilted.csv"), 20.0, [9.0, 11.0, 11.0, 9.0], turned, at);
            let (m, m2, m3) = (length_m, length_m * length_m, length_m * length_m * length_m);
            let slab = compared(folder.path(), "level.csv", "raised.csv", unit);
            near(&slab, "fill_m3", 200.0 * m3);
            near(&slab, "cut_m3", 0.0);
            near(&slab, "net_m3", 200.0 * m3);
            near(&slab, "common_area_m2", 400.0 * m2);
            near(&slab, "highest_fill_m", 0.5 * m);
            let wedges = compared(folder.path(), "level.csv", "tilted.csv", unit);
            near(&wedges, "cut_m3", 100.0 * m3);
            near(&wedges, "fill_m3", 100.0 * m3);
            near(&wedges, "cut_area_m2", 200.0 * m2);
            near(&wedges, "fill_area_m2", 200.0 * m2);
            near(&wedges, "deepest_cut_m", m);
            let back = compared(folder.path(), "tilted.csv", "level.csv", unit);
            assert_eq!(back["cut_m3"], wedges["fill_m3"]);
            assert_eq!(back["fill_m3"], wedges["cut_m3"]);
        }
    }
}

/// Only the ground that both cover counts.
#[test]
fn half_covered() {
    let folder = TempDir::new().unwrap();
    square(&folder.path().join("a.csv"), 20.0, [10.0; 4], 0.0, [0.0, 0.0]);
    square(&folder.path().join("b.csv"), 20.0, [12.0; 4], 0.0, [10.0, 0.0]);
    let value = compared(folder.path(), "a.csv", "b.csv", "m");
    near(&value, "common_area_m2", 200.0);
    near(&value, "fill_m3", 400.0);
    square(&folder.path().join("away.csv"), 20.0, [12.0; 4], 0.0, [30.0, 0.0]);
    let ran =
        tarnwright(folder.path(), &["compare", "a.csv", "away.csv", "--units", "m", "--json"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.err.contains("no common ground"), "{ran:?}");
    assert_eq!(ran.out, "");
}

#[test]
fn stages_of_a_site_agree_with_its_report() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let of = |from: &str, to: &str| -> Value {
        let ran = tarnwright(folder.path(), &["compare", from, to, "--json"]);
        assert_eq!(ran.status, 0, "{ran:?}");
        serde_json::from_str(&ran.out).unwrap()
    };
    let value = of("site:stripped", "site:subgrade");
    let report = tarnwright(folder.path(), &["report", "site", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    near(&value, "cut_m3", number(&report["earthwork"]["cut_bank_m3"]));
    near(&value, "fill_m3", number(&report["earthwork"]["fill_compacted_m3"]));
    let stripped = of("site:existing", "site:stripped");
    near(&stripped, "cut_m3", number(&report["earthwork"]["topsoil"]["strip_m3"]));
    let dug = of("site:existing", "site:subgrade");
    near(&dug, "cut_m3", number(&report["earthwork"]["dug_m3"]));
    let laid = of("site:liner", "site:finished");
    assert!(number(&laid["fill_m3"]) > 1.0 && number(&laid["cut_m3"]) < 1e-6, "{laid}");
    // The survey's own list is the existing ground, but for the points that the site sets aside.
    let words = [
        "compare",
        "site:existing",
        "site/survey.csv",
        "--units",
        "ft",
        "--json",
        "--lines",
        "HOUSE,PATH-L,PATH-R,BANK-TOP,BANK-TOE",
    ];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    let value: Value = serde_json::from_str(&ran.out).unwrap();
    assert!(number(&value["cut_m3"]) + number(&value["fill_m3"]) < 1e-6, "{value}");
}

/// Copies the demo site with its document told in a frame of another origin and step.
fn elsewhere(folder: &Path, name: &str, by_m: [f64; 2], step_um: u32) {
    let to = folder.join(name);
    fs::create_dir(&to).unwrap();
    fs::copy(folder.join("site/survey.csv"), to.join("survey.csv")).unwrap();
    let text = fs::read_to_string(folder.join("site/site.ron")).unwrap();
    let site = site::file::parse(&text).unwrap();
    let [east, north] = site.frame.origin_m;
    let origin_m = [east + by_m[0], north + by_m[1]];
    let frame = site::Frame { origin_m, step_um, ..site.frame.clone() };
    let moved = site::reframed(&site, &frame).unwrap();
    fs::write(to.join("site.ron"), site::file::write(&moved)).unwrap();
}

#[test]
fn sites_in_frames_of_their_own_are_compared() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    // The same garden from another origin: nothing but rounding lies between.
    elsewhere(folder.path(), "moved", [37.123_456_7, -12.25], 10);
    for (a, b) in [("site:finished", "moved:finished"), ("moved:finished", "site:finished")] {
        let ran = tarnwright(folder.path(), &["compare", a, b, "--json"]);
        assert_eq!(ran.status, 0, "{ran:?}");
        assert!(ran.err.contains(&format!("{b}: compared in the frame")), "{ran:?}");
        let step = if a.starts_with("site") { "0.001 mm" } else { "0.01 mm" };
        assert!(ran.err.contains(step), "{ran:?}");
        let value: Value = serde_json::from_str(&ran.out).unwrap();
        let number = |key: &str| value[key].as_f64().unwrap();
        // 150 m2 of garden with places off by up to 10 um on slopes of up to 1 in 1: below 1 L.
        assert!(number("cut_m3") + number("fill_m3") < 1e-3, "{value}");
    }
    // What is built lies between the stages, whichever frame they are told in.
    let near_m3 = |a: &str, b: &str| {
        let value = compared(folder.path(), a, b, "ft");
        [value["cut_m3"].as_f64().unwrap(), value["fill_m3"].as_f64().unwrap()]
    };
    let here = near_m3("site:existing", "site:finished");
    let across = near_m3("site:existing", "moved:finished");
    for k in 0..2 {
        assert!((here[k] - across[k]).abs() < 1e-3, "{here:?} {across:?}");
    }
    let ran = tarnwright(folder.path(), &["compare", "site:existing", "moved:existing"]);
    assert_eq!(ran.status, 0, "{ran:?}");
}

#[test]
fn a_site_that_the_other_frame_does_not_reach_is_refused_with_the_place() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    elsewhere(folder.path(), "far", [0.0, 0.0], 1000);
    let document = folder.path().join("far/site.ron");
    let text = fs::read_to_string(&document).unwrap();
    let start = text.find("origin_m: (").unwrap() + "origin_m: (".len();
    fs::write(&document, format!("{}9{}", &text[..start], &text[start..])).unwrap();
    let ran = tarnwright(folder.path(), &["compare", "site:finished", "far:finished"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.err.contains("far:finished: read survey.boundary[0]: (90000.3048, "), "{ran:?}");
    assert!(ran.err.contains("expected places within reach of the other surface's frame"));
}

#[test]
fn a_list_that_lies_nowhere_near_a_site_is_refused_for_that() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    square(&folder.path().join("away.csv"), 20.0, [10.0; 4], 0.0, [90_000.0, 0.0]);
    for words in [["away.csv", "site:existing"], ["site:existing", "away.csv"]] {
        let ran =
            tarnwright(folder.path(), &[&["compare"], &words[..], &["--units", "m"]].concat());
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:?}");
        assert!(ran.err.contains("away.csv: read points beyond reach"), "{ran:?}");
        assert!(ran.err.contains("expected two surfaces of one site"), "{ran:?}");
    }
}

#[test]
fn a_stage_that_there_is_not_is_refused() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let ran = tarnwright(folder.path(), &["compare", "site:existing", "site:ready"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(
        ran.err.contains("expected existing, stripped, subgrade, liner or finished"),
        "{ran:?}"
    );
    let ran = tarnwright(folder.path(), &["compare", "site", "site:existing"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.err.contains("site:existing to site:finished"), "{ran:?}");
}
