//! What follows a hand in the real window: the ground and the section while a point of the section is dragged; and a
//! folder that has lost its picture.

mod driver;

use std::fs;

use acceptance::{demo_site, tarnwright, top};
use driver::Window;
use serde_json::Value;

#[test]
fn numbers_ground_and_section_follow_a_shelf_that_is_pulled_on_the_section_and_still_held() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));
    let settled = |now: &Value| now["current"] == true && now["scene_revision"] == now["revision"];
    window.until("the first scene", |now| settled(now) && !now["camera"].is_null());
    window.click("work 1");
    window.key("x");
    let first = window.until("the section and a shelf's staff", |now| {
        settled(now)
            && now["section"]["cut_m2"].is_f64()
            && now["widgets"]["section 1 rings[0].depth_m"].is_array()
    });
    let side = |i: usize| first["widgets"]["section 1 rings[0].depth_m"][i].as_f64().unwrap();
    let at = [(side(0) + 0.5 * side(2)) as i64, (side(1) + 0.5 * side(3)) as i64];
    window.move_to(at);
    window.xdotool(&["mousedown", "1"]);
    window.pause();
    // Two pulls with the button held: each is followed before the hand lets go.
    let mut before = first.clone();
    for down in [5, 9] {
        window.move_to([at[0], at[1] + down]);
        before = window.until("all to follow the hand", |now| {
            now["hand"] == "holds"
                && settled(now)
                && now["revision"].as_u64() > before["revision"].as_u64()
                && now["earth"]["cut_bank_m3"] != before["earth"]["cut_bank_m3"]
                && now["section"]["cut_m2"].is_f64()
                && now["section"]["cut_m2"] != before["section"]["cut_m2"]
        });
    }
    window.xdotool(&["mouseup", "1"]);
    window.until("the hand to let go", |now| now["hand"] == "rests");
    // Both pulls were one drag, and one drag is one step.
    window.key("ctrl+z");
    window.until("all put back", |now| settled(now) && now["earth"] == first["earth"]);
}

#[test]
fn a_picture_whose_file_has_gone_is_told_and_the_garden_shows_all_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let picture = top().join("crates/exchange/tests/data/quarter.jpg");
    fs::copy(picture, folder.path().join("plan.jpg")).unwrap();
    let pins = ["--pin", "4,60 = 103", "--pin", "50,60 = 109"];
    let words = ["drape", "site", "--picture", "plan.jpg", "--name", "Sketch"];
    let ran = tarnwright(folder.path(), &[&words[..], &pins[..]].concat());
    assert_eq!(ran.status, 0, "{ran:?}");
    fs::remove_file(site.join("plan.jpg")).unwrap();
    let window = Window::open(&site, &folder.path().join("probe.json"));
    let told = window.until("what has gone", |now| {
        now["notice"].as_str().is_some_and(|notice| notice.contains("plan.jpg"))
    });
    assert!(told["notice"].as_str().unwrap().contains("cannot be read"), "{}", told["notice"]);
    window.until("the garden", |now| now["current"] == true && !now["camera"].is_null());
}
