//! Two versions of a site side by side in the real window.

mod driver;

use std::fs;

use acceptance::{demo_site, tarnwright};
use driver::Window;
use serde_json::Value;
use site::field::{FieldValue, fields, set};

/// The demo site beside itself with a deeper pond: seen alike, told apart in numbers, and never changed.
#[test]
fn a_saved_version_stands_beside_the_present_one_and_only_that_is_edited() {
    let folder = tempfile::tempdir().unwrap();
    let own = demo_site(folder.path());
    let other = folder.path().join("deeper");
    fs::create_dir(&other).unwrap();
    fs::copy(own.join("survey.csv"), other.join("survey.csv")).unwrap();
    let mut site = site::file::parse(&fs::read_to_string(own.join("site.ron")).unwrap()).unwrap();
    let field = fields(&site.works[0]).into_iter().find(|f| f.path == "rings[1].depth_m").unwrap();
    let FieldValue::Number(depth_m) = field.value else { panic!("a depth is a number") };
    set(&mut site.works[0], &field.path, FieldValue::Number(depth_m + 0.1)).unwrap();
    fs::write(other.join("site.ron"), site::file::write(&site)).unwrap();
    let cut_of = |name: &str| {
        let report = tarnwright(folder.path(), &["report", name, "--json"]);
        let report: Value = serde_json::from_str(&report.out).unwrap();
        report["earthwork"]["cut_bank_m3"].as_f64().unwrap()
    };
    let (cut_own, cut_other) = (cut_of("site"), cut_of("deeper"));
    let is_cut = |told: &Value, m3: f64| told.as_f64().is_some_and(|cut| (cut - m3).abs() < 1e-9);

    let window = Window::open(&own, &folder.path().join("probe.json"));
    let settled = |now: &Value| now["current"] == true && now["scene_revision"] == now["revision"];
    let first = window.until("the first scene", |now| settled(now) && !now["camera"].is_null());
    window.key("0");
    let parted = window.until("the site as it was opened beside itself", |now| {
        now["beside"]["is_drawn"] == true && is_cut(&now["beside"]["cut_bank_m3"], cut_own)
    });
    assert_eq!(parted["beside"]["which"], "as opened");
    assert_ne!(parted["camera"], first["camera"], "the garden is brought into its half");

    window.click("version deeper");
    window.until("the other version", |now| {
        now["beside"]["which"] == "deeper" && is_cut(&now["beside"]["cut_bank_m3"], cut_other)
    });

    // A hand on the other version turns both and chooses nothing there.
    let at = parted["beside"]["at"].as_f64().unwrap() as i64;
    window.click_at([at - 150, 350]);
    let before = window.until("nothing chosen", |now| now["work"].is_null());
    window.drag([at - 200, 300], [at - 120, 320]);
    window.until("both to turn", |now| now["camera"] != before["camera"]);

    // An edit is of the present version.
    window.click("work 1");
    window.until("the card", |now| now["widgets"]["field rings[1].depth_m"].is_array());
    window.type_into("field rings[1].depth_m", "1 ft 7 in");
    let edited = window.until("the edit", |now| {
        settled(now) && now["saved"] == false && !is_cut(&now["earth"]["cut_bank_m3"], cut_own)
    });
    assert!(is_cut(&edited["beside"]["cut_bank_m3"], cut_other), "the other one stays");

    window.key("Escape");
    window.until("one version again", |now| now["beside"].is_null());
    window.key("ctrl+s");
    window.until("the save", |now| now["saved"] == true);
    // What was saved a moment ago is another version than what was opened.
    window.key("0");
    window.click("version as saved");
    window.until("the saved one", |now| {
        now["beside"]["which"] == "as saved"
            && now["beside"]["cut_bank_m3"] == edited["earth"]["cut_bank_m3"]
    });
    window.click("version before the last save");
    window.until("the one before it", |now| is_cut(&now["beside"]["cut_bank_m3"], cut_own));
    window.click("close beside");
    window.until("one version again", |now| now["beside"].is_null());
    drop(window);
    let kept = fs::read_to_string(other.join("site.ron")).unwrap();
    assert_eq!(kept, site::file::write(&site), "looking changes no version");
}
