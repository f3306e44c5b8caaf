//! The second demo site is what its page says: a nearly level garden in metres, surveyed with a
//! level, whose hill is made of the spoil alone and at first reads as a mound.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::mem::discriminant;

use acceptance::{tarnwright, top};
use serde_json::Value;
use site::{Site, WorkKind};
use units::LengthUnit;

fn report(how: &[&str]) -> String {
    let words = [&["report", "demo-sites/level-garden"], how].concat();
    let ran = tarnwright(&top(), &words);
    assert_eq!(ran.status, 0, "nothing to stop for: {ran:?}");
    ran.out
}

fn site() -> Site {
    let document = top().join("demo-sites/level-garden/site.ron");
    site::file::parse(&fs::read_to_string(document).unwrap()).unwrap()
}

#[test]
fn it_is_nearly_level_and_in_metres() {
    assert_eq!(site().frame.unit, LengthUnit::Metre);
    let report: Value = serde_json::from_str(&report(&["--json"])).unwrap();
    let of = |key: &str| report["surfaces"]["existing"][key].as_f64().unwrap();
    assert!(of("max_z_m") - of("min_z_m") < 0.5, "it falls by less than half a metre");
    assert!(of("plan_area_m2") > 600.0);
}

#[test]
fn its_hill_is_made_of_the_spoil_alone_and_reads_as_a_mound() {
    let report: Value = serde_json::from_str(&report(&["--json"])).unwrap();
    let earth = &report["earthwork"];
    assert!(earth["spoil_bank_m3"].as_f64().unwrap() > 0.0, "nothing is brought in");
    assert!(earth["topsoil"]["surplus_m3"].as_f64().unwrap() > 0.0, "no topsoil either");
    let findings = report["findings"].as_array().unwrap();
    assert!(findings.iter().any(|finding| finding["code"] == "reads-as-mound"), "{findings:?}");
}

/// Every kind of work is built in it, and every kind of keep-out stays.
#[test]
fn it_has_every_kind_of_work_and_of_keep_out() {
    let site = site();
    let kinds: Vec<_> = site.works.iter().map(|work| discriminant(&work.kind)).collect();
    assert_eq!((n_distinct(&kinds), kinds.len()), (11, 11), "one of each");
    let has_tiers =
        |kind: &WorkKind| matches!(kind, WorkKind::Wall(wall) if !wall.tiers.is_empty());
    assert!(site.works.iter().any(|work| has_tiers(&work.kind)));
    let kept: Vec<_> = site.keep_outs.iter().map(|kept| discriminant(&kept.kind)).collect();
    assert_eq!(n_distinct(&kept), 6);
}

fn n_distinct<T: PartialEq>(list: &[T]) -> usize {
    list.iter().enumerate().filter(|(rank, one)| !list[..*rank].contains(one)).count()
}

#[test]
fn its_report_tells_levels_topsoil_lifts_heaps_and_what_stays() {
    let text = report(&[]);
    for words in [
        "Levels, SILL back to SILL",
        "Topsoil, kept apart",
        "Soils, from the top down",
        "Trenches, dug and filled again",
        "Heaped, carried and loaded",
        "all of it has room",
        "Stays as it is",
        "caution",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}
