//! `compare` on two saved versions of a site.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{demo_site, tarnwright};
use serde_json::Value;
use site::field::{FieldValue, fields, set};
use tempfile::TempDir;

/// Copies the demo site with its first ring of the pond deeper, and told in another frame.
fn deeper(folder: &Path, by_m: f64, frame_by_m: f64) {
    let to = folder.join("deeper");
    fs::create_dir(&to).unwrap();
    fs::copy(folder.join("site/survey.csv"), to.join("survey.csv")).unwrap();
    let text = fs::read_to_string(folder.join("site/site.ron")).unwrap();
    let mut site = site::file::parse(&text).unwrap();
    let field = |site: &site::Site| {
        let depth = fields(&site.works[0]).into_iter().find(|f| f.path == "rings[0].depth_m");
        depth.unwrap().value
    };
    let FieldValue::Number(depth_m) = field(&site) else { panic!("no depth") };
    let value = FieldValue::Number(depth_m + by_m);
    set(&mut site.works[0], "rings[0].depth_m", value).unwrap();
    let [east, north] = site.frame.origin_m;
    let origin_m = [east + frame_by_m, north];
    let frame = site::Frame { origin_m, ..site.frame.clone() };
    let site = site::reframed(&site, &frame).unwrap();
    fs::write(to.join("site.ron"), site::file::write(&site)).unwrap();
}

fn compared(folder: &Path, a: &str, b: &str) -> Value {
    let ran = tarnwright(folder, &["compare", a, b, "--json"]);
    assert_eq!(ran.status, 0, "{ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn two_versions_stand_side_by_side_and_agree_with_their_reports() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    deeper(folder.path(), 0.05, 0.0);
    let value = compared(folder.path(), "site", "deeper");
    let number = |value: &Value| value.as_f64().unwrap_or_else(|| panic!("{value}"));
    for (k, name) in ["site", "deeper"].into_iter().enumerate() {
        let report = tarnwright(folder.path(), &["report", name, "--json"]);
        let report: Value = serde_json::from_str(&report.out).unwrap();
        let cut = number(&report["earthwork"]["cut_bank_m3"]);
        assert!((number(&value["versions"][k]["cut_bank_m3"]) - cut).abs() < 1e-9);
        assert_eq!(value["versions"][k]["loads"], report["haul"]["loads"]);
        let works = report["earthwork"]["works"].as_array().unwrap();
        for (work, both) in works.iter().zip(value["works"].as_array().unwrap()) {
            assert_eq!((&work["work"], &work["cut_m3"]), (&both["work"], &both["cut_m3"][k]));
        }
    }
    // What lies between them is what `compare` finds between their stages.
    let ran = tarnwright(folder.path(), &["compare", "site:finished", "deeper:finished", "--json"]);
    let stages: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(value["between"], stages);
    assert!(number(&stages["cut_m3"]) > 0.1, "{stages}");
    let label = &value["parameters"][0]["what"];
    assert_eq!(label, "Ring 1 depth");
    let back = compared(folder.path(), "deeper", "site");
    assert_eq!(back["between"]["fill_m3"], value["between"]["cut_m3"]);
}

#[test]
fn a_version_beside_itself_is_the_same() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let value = compared(folder.path(), "site", "site/site.ron");
    assert_eq!(value["parameters"], Value::Array(Vec::new()));
    for key in ["cut_m3", "fill_m3", "net_m3", "cut_area_m2", "deepest_cut_m"] {
        assert_eq!(value["between"][key].as_f64(), Some(0.0), "{key}");
    }
    let ran = tarnwright(folder.path(), &["compare", "site", "site"]);
    assert!(ran.out.contains("No parameter differs"), "{ran:?}");
}

#[test]
fn a_version_in_another_frame_is_told_and_mapped() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    deeper(folder.path(), 0.05, 12.5);
    let ran = tarnwright(folder.path(), &["compare", "site", "deeper", "--out", "changes"]);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert!(ran.err.contains("deeper: compared in the frame of site"), "{ran:?}");
    assert!(ran.out.contains("Ring 1 depth: "), "{ran:?}");
    assert!(!ran.out.contains(" east, "), "no place differs: {ran:?}");
    let map = fs::read_to_string(folder.path().join("changes/depth-map.svg")).unwrap();
    for said in ["<svg ", "url(#lower1)", "lower", ">deeper<", "</svg>"] {
        assert!(map.contains(said), "{said:?} is not in the map");
    }
}

#[test]
fn a_map_is_asked_of_versions_only() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let words = ["compare", "site:existing", "site:finished", "--out", "changes"];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:?}");
    assert!(ran.err.contains("--out changes: expected two versions of a site"), "{ran:?}");
    assert!(!folder.path().join("changes").exists());
}
