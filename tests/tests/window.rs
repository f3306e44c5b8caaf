//! The shipped program in a real window: a virtual display, real pointer and key events.
//!
//! The program publishes what it shows in the file that `TARNWRIGHT_PROBE` names; the test waits for
//! that, never for a time.

mod driver;

use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

use acceptance::{demo_site, tarnwright};
use driver::{PATIENCE, Window};
use serde_json::Value;

#[test]
fn a_depth_changed_in_the_window_is_what_the_report_says_after_saving() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));

    let first = window.until("the first scene", |now| {
        now["current"] == true
            && now["scene_revision"] == now["revision"]
            && !now["camera"].is_null()
    });

    // Orbit: a drag over open ground turns the eye.
    let from = [700, 560];
    window.drag(from, [860, 600]);
    window.until("the eye to turn", |now| now["camera"] != first["camera"]);

    // The pond's card, and a depth in it.
    window.click("work 1");
    window.until("the card", |now| {
        now["work"] == 1 && now["widgets"]["field rings[1].depth_m"].is_array()
    });
    window.type_into("field rings[1].depth_m", "1 ft 7 in");
    let deeper = window.until("deeper numbers", |now| {
        now["current"] == true && now["revision"] != first["revision"]
    });
    assert_ne!(deeper["balance"], first["balance"]);
    assert_ne!(deeper["earth"]["cut_bank_m3"], first["earth"]["cut_bank_m3"]);
    assert_eq!(deeper["saved"], false);

    window.key("ctrl+z");
    let undone = window.until("the undo", |now| {
        now["current"] == true && now["balance"] == first["balance"] && now["saved"] == true
    });
    assert_eq!(undone["earth"], first["earth"]);

    window.type_into("field rings[1].depth_m", "1 ft 9 in");
    window.until("the second change", |now| {
        now["current"] == true && now["saved"] == false && now["balance"] != first["balance"]
    });
    window.key("ctrl+s");
    let saved = window.until("the save", |now| now["saved"] == true && now["current"] == true);
    drop(window);

    let report = tarnwright(folder.path(), &["report", "site", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    for (shown, written) in [
        ("cut_bank_m3", &report["earthwork"]["cut_bank_m3"]),
        ("fill_compacted_m3", &report["earthwork"]["fill_compacted_m3"]),
        ("spoil_bank_m3", &report["earthwork"]["spoil_bank_m3"]),
        ("spoil_loose_m3", &report["haul"]["spoil_loose_m3"]),
        ("loads", &report["haul"]["loads"]),
    ] {
        assert_eq!(&saved["earth"][shown], written, "{shown}");
    }
    let words = tarnwright(folder.path(), &["report", "site"]);
    let balance = saved["balance"].as_str().unwrap();
    assert!(words.out.contains(balance), "the report does not say: {balance}");
}

#[test]
fn a_section_is_opened_drawn_anew_and_printed_and_the_job_is_played_to_its_end() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));
    let settled = |now: &Value| now["current"] == true && now["scene_revision"] == now["revision"];
    window.until("the first scene", |now| settled(now) && !now["camera"].is_null());

    // The section that the garden suggests, and the station that the pointer reads in it.
    window.key("x");
    let suggested = window.until("the section", |now| now["section"]["length_m"].is_f64());
    assert!(suggested["section"]["cut_m2"].as_f64().unwrap() > 1.0);
    let side = |i: usize| suggested["widgets"]["section"][i].as_f64().unwrap();
    window.move_to([(side(0) + 0.5 * side(2)) as i64, (side(1) + 0.5 * side(3)) as i64]);
    let half_m = 0.5 * suggested["section"]["length_m"].as_f64().unwrap();
    window.until("the station under the pointer", |now| {
        now["section"]["read_m"].as_f64().is_some_and(|read_m| (read_m - half_m).abs() < 0.1)
    });

    // A line of one's own: two clicks on the ground.
    window.key("l");
    for at in [[560, 300], [900, 330]] {
        window.move_to(at);
        window.xdotool(&["click", "1"]);
        window.pause();
    }
    let drawn = window.until("the drawn section", |now| {
        now["section"]["length_m"].is_f64()
            && now["section"]["length_m"] != suggested["section"]["length_m"]
    });
    assert_eq!(drawn["saved"], true, "looking changes no site");
    window.click("command print");
    let sheet = site.join("section.svg");
    let start = Instant::now();
    while !sheet.is_file() && start.elapsed() < PATIENCE {
        sleep(Duration::from_millis(100));
    }
    let svg = fs::read_to_string(&sheet).expect("the sheet is printed");
    assert!(svg.starts_with("<svg") && svg.contains("Section along your line"), "{svg}");
    window.click("close section");
    window.until("the section to close", |now| now["section"].is_null());

    // The job: at its end all is dug and filled that the balance line tells.
    window.key("j");
    let begun = window.until("the job", |now| now["job"]["last"].as_u64() > Some(3));
    assert_eq!((&begun["job"]["at"], &begun["job"]["cut_m3"]), (&0.into(), &0.0.into()));
    let way = |i: usize| begun["widgets"]["job way"][i].as_f64().unwrap();
    window.move_to([(way(0) + way(2) - 9.0) as i64, (way(1) + 0.5 * way(3)) as i64]);
    window.xdotool(&["click", "1"]);
    let ended = window.until("the job's end", |now| now["job"]["at"] == now["job"]["last"]);
    for (step, whole) in [("cut_m3", "cut_bank_m3"), ("fill_m3", "fill_compacted_m3")] {
        let [step_m3, whole_m3] =
            [&ended["job"][step], &ended["earth"][whole]].map(|m3| m3.as_f64().unwrap());
        assert!((step_m3 - whole_m3).abs() < 1e-6, "{step}: {step_m3}, not {whole_m3}");
    }
}

/// From a bare survey to a site, with one stray set aside on the way.
#[test]
fn a_window_without_a_site_makes_one_of_a_survey() {
    let folder = tempfile::tempdir().unwrap();
    let list = "name,x,y,z\n1,0,0,10\n2,30,0,10.5\n3,30,40,12\n4,0,40,11.5\n5,15,20,11\n\
                6,16,21,10.9\n7,9000,0,1\n";
    fs::write(folder.path().join("shots.csv"), list).unwrap();
    let window = Window::begin(folder.path(), &folder.path().join("probe.json"));
    window.click("entry shots.csv");
    // The list tells no unit: nothing is guessed.
    window.until("the refusal", |now| now["start"]["refused"].is_string());
    window.click("unit");
    window.click("unit metres");
    window.until("what is understood", |now| now["start"]["n_points"] == 7);
    window.click("aside 7");
    let ready = window.until("the preview", |now| now["start"]["ready"] == true);
    assert!(ready["widgets"]["aside 7"].is_array());
    assert!(!folder.path().join("shots-site").exists(), "nothing is written before");
    window.click("button Make the site");
    let made = window.until("the site's scene", |now| {
        now["start"].is_null() && now["current"] == true && !now["camera"].is_null()
    });
    assert_eq!(made["saved"], true);
    drop(window);
    let site = fs::read_to_string(folder.path().join("shots-site/site.ron")).unwrap();
    assert!(site.contains("\"7\"") && site.contains("unit: Metre"), "{site}");
    let report = tarnwright(folder.path(), &["report", "shots-site", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    assert_eq!(report["surfaces"]["existing"]["points"], 6);
}

/// A killed program loses nothing, and what it left is taken up only when a hand says so.
#[test]
fn what_a_killed_window_left_is_offered_at_the_next_start() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let first = fs::read(site.join("site.ron")).unwrap();
    let probe = folder.path().join("probe.json");
    let window = Window::open(&site, &probe);
    window.until("the first scene", |now| now["current"] == true && !now["camera"].is_null());
    window.click("work 1");
    window.type_into("field rings[1].depth_m", "1 ft 7 in");
    let edited =
        window.until("deeper numbers", |now| now["current"] == true && now["saved"] == false);
    let start = Instant::now();
    while !site.join("site.ron.autosave").is_file() && start.elapsed() < PATIENCE {
        sleep(Duration::from_millis(100));
    }
    drop(window);
    fs::remove_file(&probe).unwrap();
    assert_eq!(fs::read(site.join("site.ron")).unwrap(), first);

    let window = Window::open(&site, &probe);
    let asked =
        window.until("the question", |now| now["question"] == true && !now["balance"].is_null());
    assert_ne!(asked["balance"], edited["balance"]);
    // Nothing behind the question is reached, by pointer or by key.
    let side = |i: usize| asked["widgets"]["work 1"][i].as_f64().unwrap();
    window.click_at([(side(0) + 60.0) as i64, (side(1) + 8.0) as i64]);
    for key in ["1", "Delete", "0", "ctrl+s"] {
        window.key(key);
    }
    let still = window.until("the question", |now| now["question"] == true);
    for told in ["work", "look", "revision", "works", "beside", "saved"] {
        assert_eq!(still[told], asked[told], "{told}");
    }
    assert_eq!(fs::read(site.join("site.ron")).unwrap(), first);
    window.click("button Go on with the unsaved work");
    window.until("the unsaved work", |now| {
        now["current"] == true && now["balance"] == edited["balance"] && now["saved"] == false
    });
    window.key("ctrl+s");
    window.until("the save", |now| now["saved"] == true);
    drop(window);
    assert!(!site.join("site.ron.autosave").exists());
    assert_eq!(fs::read(site.join("site.ron.before")).unwrap(), first);
}

#[test]
fn a_finding_is_followed_its_remedy_seen_taken_undone_and_saved_and_the_pump_is_tried() {
    let folder = tempfile::tempdir().unwrap();
    let site = demo_site(folder.path());
    let window = Window::open(&site, &folder.path().join("probe.json"));
    let settled = |now: &Value| now["current"] == true && now["scene_revision"] == now["revision"];
    let first = window.until("the first scene", |now| settled(now) && !now["camera"].is_null());

    // The next finding with a remedy that can be taken: its change is worked out before it is.
    let mut seen = Value::Null;
    for n in 0..first["findings"].as_array().unwrap().len() {
        window.key("f");
        window.until("the next finding", |now| now["finding"] == n);
        seen = window.until("what is said of it", |now| now["widgets"].is_object());
        if seen["widgets"][format!("remedy {n}")].is_array() {
            break;
        }
    }
    let idx = seen["finding"].as_u64().unwrap() as usize;
    let remedy = format!("remedy {idx}");
    assert!(seen["widgets"][&remedy].is_array(), "the demo has a remedy to take: {seen:#}");
    let proposed = window.until("the remedy as if taken", |now| now["proposed"].is_u64());
    assert_eq!(proposed["revision"], first["revision"], "looking changes no site");
    window.click(&remedy);
    let taken = window
        .until("the remedy taken", |now| settled(now) && now["revision"] != first["revision"]);
    assert_eq!(taken["findings"].as_array().unwrap().len() as u64, proposed["proposed"]);
    assert_eq!(taken["saved"], false);
    window.key("ctrl+z");
    window.until("the undo", |now| {
        settled(now) && now["findings"] == first["findings"] && now["saved"] == true
    });

    // A view is kept, units are switched, and both are saved.
    window.key("u");
    window.until("decimal feet", |now| settled(now) && now["unit"] == "Foot");
    window.key("shift+v");
    window.until("the kept view", |now| {
        now["viewpoints"].as_array().map(Vec::len)
            == first["viewpoints"].as_array().map(|views| views.len() + 1)
    });
    window.key("ctrl+s");
    window.until("the save", |now| now["saved"] == true);

    // The pump is tried at the far end of its staff: thicker water, the same site.
    window.key("Escape");
    window.key("r");
    let sheet = window.until("the water sheet", |now| now["widgets"]["pump 0"].is_array());
    let side = |i: usize| sheet["widgets"]["pump 0"][i].as_f64().unwrap();
    window.move_to([(side(0) + 0.93 * side(2)) as i64, (side(1) + 11.0) as i64]);
    window.xdotool(&["click", "1"]);
    let tried = window.until("thicker water", |now| {
        let brink = |of: &Value| of["brinks_m"][0].as_f64().unwrap_or(0.0);
        settled(now) && brink(now) > 1.3 * brink(&first)
    });
    assert_eq!(tried["saved"], true, "trying changes no site");
    drop(window);

    let kept = fs::read_to_string(site.join("site.ron")).unwrap();
    assert!(kept.contains("View 4"), "{kept}");
}
