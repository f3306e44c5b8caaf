//! Drives the shipped program in a real window: a virtual display, real pointer and key events.
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::cell::Cell;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Mutex, PoisonError};
use std::thread::sleep;
use std::time::{Duration, Instant};

use acceptance::program;
use serde_json::Value;

/// Longest wait for one thing to show, on a machine that draws in software beside other tests.
pub(crate) const PATIENCE: Duration = Duration::from_secs(120);

/// The tools whose hints the hand that drives has read: none of them comes before a click.
const READ: &str = "Plan\nBird's-eye\nWalk\nSection\ndraw another line\nPlay the job\nWater\nPond\nStream\n\
    Planted filter\nIntake bay\nHill\nWall\nSitting place\nPath\nLawn\nTrench\nStrip\ncopy\nmirror\nbeside\n\
    cut\njoin\nlevels\nrain\narrows\nheights\nrounds\nBalance the earth\nBeside\nBuild order\n";

/// Servers that start at once may take one number: one starts after the other.
static STARTS: Mutex<()> = Mutex::new(());

/// Servers that are started before there is none.
const N_SERVERS: usize = 5;

/// A virtual display that answers, and its name.
fn served() -> (Child, String) {
    let _one_by_one = STARTS.lock().unwrap_or_else(PoisonError::into_inner);
    for _ in 0..N_SERVERS {
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
        let answers = || {
            let asked =
                Command::new("xdotool").arg("getdisplaygeometry").env("DISPLAY", &display).output();
            asked.expect("xdotool is installed: apt-get install xdotool").status.success()
        };
        for _ in 0..50 {
            if answers() {
                return (server, display);
            }
            sleep(Duration::from_millis(100));
        }
        server.kill().and_then(|()| server.wait()).expect("the server can be ended");
    }
    panic!("no display server answers");
}

/// The program's window on a display of its own.
pub(crate) struct Window {
    display: String,
    probe: PathBuf,
    log: PathBuf,
    children: Vec<Child>,
    n_clicks: Cell<usize>,
    n_keys: Cell<usize>,
}

impl Window {
    /// On a site.
    pub(crate) fn open(site: &Path, probe: &Path) -> Self {
        Self::run(&[&site.display().to_string()], site, probe)
    }

    /// Without a site, in a folder.
    pub(crate) fn begin(folder: &Path, probe: &Path) -> Self {
        Self::run(&[], folder, probe)
    }

    fn run(arguments: &[&str], at: &Path, probe: &Path) -> Self {
        let state = probe.with_extension("state");
        fs::create_dir_all(state.join("tarnwright")).expect("the test's folder can be written");
        fs::write(state.join("tarnwright/read"), READ).expect("the test's folder can be written");
        let (server, display) = served();
        let log = probe.with_extension("log");
        let program = Command::new(program())
            .arg("view")
            .args(arguments)
            .args(["--size", "1280x720"])
            .current_dir(at)
            .env("XDG_STATE_HOME", state)
            .env("DISPLAY", &display)
            .env("TARNWRIGHT_PROBE", probe)
            .env_remove("WAYLAND_DISPLAY")
            .stderr(fs::File::create(&log).expect("the log can be made"))
            .spawn()
            .expect("the program starts");
        let window = Self {
            display,
            probe: probe.to_owned(),
            log,
            children: vec![program, server],
            n_clicks: Cell::new(0),
            n_keys: Cell::new(0),
        };
        window.until("the window", |_| true);
        window.xdotool(&["search", "--sync", "--name", "Tarnwright", "windowfocus", "--sync"]);
        window
    }

    /// What is shown, once it is so.
    pub(crate) fn until(&self, what: &str, is_so: impl Fn(&Value) -> bool) -> Value {
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

    pub(crate) fn xdotool(&self, arguments: &[&str]) {
        let ran = Command::new("xdotool")
            .args(arguments)
            .env("DISPLAY", &self.display)
            .output()
            .expect("xdotool is installed: apt-get install xdotool");
        assert!(ran.status.success(), "xdotool {arguments:?}: {ran:?}");
    }

    /// Lets the program draw a few frames, so that it has seen what the pointer did: on a busy machine
    /// that draws in software, one may take longer than a hand's own pause.
    pub(crate) fn pause(&self) {
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

    /// How many clicks or drags, and how many keystrokes, the hand has made.
    pub(crate) fn counted(&self) -> [usize; 2] {
        [self.n_clicks.get(), self.n_keys.get()]
    }

    /// Clicks at a place of the window.
    pub(crate) fn click_at(&self, at: [i64; 2]) {
        self.move_to(at);
        self.press_here();
    }

    /// Clicks where the pointer is.
    fn press_here(&self) {
        self.n_clicks.set(self.n_clicks.get() + 1);
        self.xdotool(&["click", "1"]);
        self.pause();
    }

    /// Types letters.
    pub(crate) fn type_words(&self, words: &str) {
        self.n_keys.set(self.n_keys.get() + words.len());
        self.xdotool(&["type", "--delay", "60", words]);
        self.pause();
    }

    pub(crate) fn move_to(&self, [x, y]: [i64; 2]) {
        self.xdotool(&["mousemove", &x.to_string(), &y.to_string()]);
        self.pause();
    }

    pub(crate) fn drag(&self, from: [i64; 2], to: [i64; 2]) {
        self.n_clicks.set(self.n_clicks.get() + 1);
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
    pub(crate) fn click(&self, widget: &str) {
        loop {
            let now = self.until(widget, |now| now["widgets"][widget].is_array());
            let side = |i: usize| {
                now["widgets"][widget][i].as_f64().expect("the probe tells the widget's rectangle")
            };
            let middle = [side(0) + 0.5 * side(2), side(1) + 0.5 * side(3)].map(f64::floor);
            self.move_to(middle.map(|c| c as i64));
            // What still scrolls may have been told of below the window, where no pointer comes.
            let there = self.until("the pointer to be seen", |seen| {
                let off = |i: usize| seen["pointer"][i].as_f64().map(|c| (c - middle[i]).abs());
                let is_there = [0, 1].iter().all(|&i| off(i).is_some_and(|off| off <= 1.0));
                is_there || seen["widgets"][widget] != now["widgets"][widget]
            });
            if there["widgets"][widget] == now["widgets"][widget] {
                break;
            }
        }
        self.press_here();
    }

    pub(crate) fn type_into(&self, widget: &str, words: &str) {
        self.click(widget);
        self.type_words(words);
        self.key("Return");
    }

    /// Presses a key, each modifier before it held for some frames, as a hand does.
    pub(crate) fn key(&self, key: &str) {
        self.n_keys.set(self.n_keys.get() + 1);
        let mut held: Vec<&str> = key.split('+').collect();
        let key = held.pop().unwrap_or_default();
        for modifier in &held {
            self.xdotool(&["keydown", modifier]);
            self.pause();
        }
        self.xdotool(&["key", key]);
        self.pause();
        for modifier in &held {
            self.xdotool(&["keyup", modifier]);
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
