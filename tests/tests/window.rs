//! The shipped program in a real window: a virtual display, real pointer and key events.
//!
//! The program publishes what it shows in the file that `TARNWRIGHT_PROBE` names; the test waits for
//! that, never for a time.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use acceptance::{demo_site, program, tarnwright};
use serde_json::Value;

/// Longest wait for one thing to show, on a machine that draws in software beside other tests.
const PATIENCE: Duration = Duration::from_secs(120);

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

/// The program's window on a display of its own.
struct Window {
    display: String,
    probe: PathBuf,
    log: PathBuf,
    children: Vec<Child>,
}

impl Window {
    fn open(site: &Path, probe: &Path) -> Self {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x720x24", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("Xvfb is installed: apt-get install xvfb xdotool");
        let mut number = String::new();
        let out = server.stdout.take().expect("its output is piped");
        BufReader::new(out).read_line(&mut number).expect("the server says its number");
        let display = format!(":{}", number.trim());
        let log = probe.with_extension("log");
        let program = Command::new(program())
            .args(["view", &site.display().to_string(), "--size", "1280x720"])
            .env("DISPLAY", &display)
            .env("TARNWRIGHT_PROBE", probe)
            .env_remove("WAYLAND_DISPLAY")
            .stderr(fs::File::create(&log).expect("the log can be made"))
            .spawn()
            .expect("the program starts");
        let window =
            Self { display, probe: probe.to_owned(), log, children: vec![program, server] };
        window.until("the window", |_| true);
        window.xdotool(&["search", "--sync", "--name", "Tarnwright", "windowfocus", "--sync"]);
        window
    }

    /// What is shown, once it is so.
    fn until(&self, what: &str, is_so: impl Fn(&Value) -> bool) -> Value {
        let start = Instant::now();
        let mut last = Value::Null;
        while start.elapsed() < PATIENCE {
            if let Ok(text) = fs::read_to_string(&self.probe)
                && let Ok(now) = serde_json::from_str::<Value>(&text)
            {
                if is_so(&now) {
                    return now;
                }
                last = now;
            }
            sleep(Duration::from_millis(40));
        }
        let log = fs::read_to_string(&self.log).unwrap_or_default();
        panic!("waited in vain for {what}; shown last: {last:#}\n{log}");
    }

    fn xdotool(&self, arguments: &[&str]) {
        let ran = Command::new("xdotool")
            .args(arguments)
            .env("DISPLAY", &self.display)
            .output()
            .expect("xdotool is installed: apt-get install xdotool");
        assert!(ran.status.success(), "xdotool {arguments:?}: {ran:?}");
    }

    /// Lets the program draw a few frames, so that it has seen what the pointer did: on a busy machine
    /// that draws in software, one may take longer than a hand's own pause.
    fn pause(&self) {
        let n_frames = || {
            let text = fs::read_to_string(&self.probe).ok()?;
            serde_json::from_str::<Value>(&text).ok()?["frames"].as_u64()
        };
        let (start, before) = (Instant::now(), n_frames().unwrap_or(0));
        sleep(Duration::from_millis(400));
        // Frames that change nothing shown are not told of: they are waited for no longer than this.
        while n_frames().is_none_or(|now| now < before + 2)
            && start.elapsed() < Duration::from_millis(2500)
        {
            sleep(Duration::from_millis(40));
        }
    }

    fn move_to(&self, [x, y]: [i64; 2]) {
        self.xdotool(&["mousemove", &x.to_string(), &y.to_string()]);
        self.pause();
    }

    fn drag(&self, from: [i64; 2], to: [i64; 2]) {
        self.move_to(from);
        self.xdotool(&["mousedown", "1"]);
        self.pause();
        let middle = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
        self.move_to(middle);
        self.move_to(to);
        self.xdotool(&["mouseup", "1"]);
        self.pause();
    }

    /// Clicks in the middle of a widget, once the pointer is seen there and the widget has stayed
    /// where it was: a panel that is shown for the first time may still find its place.
    fn click(&self, widget: &str) {
        loop {
            let now = self.until(widget, |now| now["widgets"][widget].is_array());
            let side = |i: usize| {
                now["widgets"][widget][i].as_f64().expect("the probe tells the widget's rectangle")
            };
            let middle = [side(0) + 0.5 * side(2), side(1) + 0.5 * side(3)].map(f64::floor);
            self.move_to(middle.map(|c| c as i64));
            let there = self.until("the pointer to be seen", |now| {
                let off = |i: usize| now["pointer"][i].as_f64().map(|c| (c - middle[i]).abs());
                [0, 1].iter().all(|&i| off(i).is_some_and(|off| off <= 1.0))
            });
            if there["widgets"][widget] == now["widgets"][widget] {
                break;
            }
        }
        self.xdotool(&["click", "1"]);
        self.pause();
    }

    fn type_into(&self, widget: &str, words: &str) {
        self.click(widget);
        self.xdotool(&["type", "--delay", "60", words]);
        self.pause();
        self.key("Return");
    }

    /// Presses a key, each modifier before it held for some frames, as a hand does.
    fn key(&self, key: &str) {
        let (held, key) = key.split_once('+').map_or((None, key), |(held, key)| (Some(held), key));
        if let Some(held) = held {
            self.xdotool(&["keydown", held]);
            self.pause();
        }
        self.xdotool(&["key", key]);
        self.pause();
        if let Some(held) = held {
            self.xdotool(&["keyup", held]);
            self.pause();
        }
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        for child in &mut self.children {
            // It may have ended by itself.
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}
