//! Every look and every layer of the shipped program in its window, by their keys; and a walk in the garden.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

mod driver;

use std::thread::sleep;
use std::time::Duration;

use acceptance::demo_site;
use driver::Window;
use serde_json::Value;

fn settled(now: &Value) -> bool {
    now["current"] == true && now["scene_revision"] == now["revision"] && !now["camera"].is_null()
}

/// How many pieces of a kind are drawn.
fn n_drawn(now: &Value, kind: &str) -> u64 {
    now["drawn_pieces"][kind].as_u64().unwrap_or_default()
}

#[test]
fn each_look_and_each_layer_shows_what_it_names_and_goes_again() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));
    let first = window.until("the first scene", settled);
    assert_eq!(first["look"], "birds-eye");

    // From above all is true to scale: the plan has no lens.
    window.key("1");
    window.until("the plan", |now| now["look"] == "plan" && now["fov"].is_null());
    window.key("3");
    let walk = window.until("the walk", |now| now["look"] == "walk" && now["fov"].is_number());
    window.key("v");
    window.until("another place to stand", |now| now["camera"] != walk["camera"]);
    window.key("2");
    window.until("the air again", |now| {
        now["look"] == "birds-eye" && now["camera"] == first["camera"]
    });

    // The grounds on the way: water and plants only where the garden is built, the liner only where it
    // is laid.
    for (key, stage, has_liner) in [
        ("4", "Stripped", false),
        ("5", "Subgrade", false),
        ("6", "Liner", true),
        ("e", "Before", false),
    ] {
        window.key(key);
        let shown = window.until(stage, |now| now["stage"] == stage && n_drawn(now, "Ground") > 0);
        assert_eq!((n_drawn(&shown, "Water"), n_drawn(&shown, "Plants")), (0, 0), "{stage}");
        assert_eq!(n_drawn(&shown, "Liner") > 0, has_liner, "{stage}");
    }
    // Once more by the same key, it is the garden as it will be.
    window.key("e");
    window.until("the finished garden", |now| {
        now["stage"] == "Finished" && n_drawn(now, "Water") > 0 && n_drawn(now, "Plants") > 0
    });

    // What lies over the ground, on and off again.
    for (key, kind) in [("o", "Ghost"), ("y", "Survey"), ("k", "KeptMarks")] {
        let before = window.until("a settled window", settled);
        let was = n_drawn(&before, kind) > 0;
        window.key(key);
        window.until(kind, |now| (n_drawn(now, kind) > 0) != was);
        window.key(key);
        window.until(kind, |now| (n_drawn(now, kind) > 0) == was);
    }
    // Colours of depth and of slope are read on bare ground, with a legend; one at a time.
    for key in ["c", "g"] {
        window.key(key);
        window.until("colours on bare ground", |now| {
            n_drawn(now, "Water") == 0 && n_drawn(now, "Stones") == 0 && now["coloured"] == key
        });
    }
    window.key("g");
    window.until("the garden again", |now| n_drawn(now, "Water") > 0 && now["coloured"].is_null());
    let last = window.until("a settled window", settled);
    assert_eq!(last["saved"], true, "looking changes no site");
}

#[test]
fn a_walk_goes_where_feet_go_and_ends_at_the_water() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));
    window.until("the first scene", settled);
    let text = std::fs::read_to_string(site.join("site.ron")).unwrap();
    let rim =
        site::file::parse(&text).unwrap().works.into_iter().find_map(|work| match work.kind {
            site::works::WorkKind::Basin(basin) => Some(basin.outline.points),
            _ => None,
        });
    let rim = rim.expect("the demo has a pond");
    let place = |now: &Value| [0, 1].map(|i| now["eye"]["at"][i].as_f64().unwrap());
    let apart = |a: [f64; 2], b: [f64; 2]| libm::hypot(a[0] - b[0], a[1] - b[1]);
    let to_pond = |at| rim.iter().map(|p| apart(*p, at)).fold(f64::INFINITY, f64::min);

    // The first viewpoint looks at the pond.
    window.key("v");
    let begun = window.until("a place to stand", |now| now["look"] == "walk" && settled(now));
    assert!(to_pond(place(&begun)) > 3.0, "it begins some way off");
    window.xdotool(&["keydown", "w"]);
    window.until("the shore", |now| to_pond(place(now)) < 1.5);
    // On and on against the water: a foot slides along the shore, and never in.
    for _ in 0..8 {
        sleep(Duration::from_millis(1000));
        let now = window.until("the walk", settled);
        assert!(now["eye"]["foothold"].is_f64(), "it stands on firm ground: {}", now["eye"]);
    }
    window.xdotool(&["keyup", "w"]);
    assert_eq!(window.until("its end", settled)["saved"], true, "walking changes no site");
}
