//! How the program is called: exit status, help, and silence where its output is piped.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use acceptance::{demo_site, program, snapshot, tarnwright};
use tempfile::TempDir;

#[test]
fn every_command_shows_an_example() {
    for command in ["new", "view", "report", "compare", "picture"] {
        let ran = tarnwright(Path::new("."), &[command, "--help"]);
        assert_eq!(ran.status, 0, "{ran:?}");
        assert!(ran.out.contains("Example") && ran.out.contains("  tarnwright "), "{ran:?}");
    }
    let ran = tarnwright(Path::new("."), &["--help"]);
    assert!(ran.out.contains("Exit status: 0 done; 1 done, and findings stand that say stop"));
}

#[test]
fn the_exit_status_says_whether_findings_say_stop() {
    let folder = TempDir::new().unwrap();
    demo_site(folder.path());
    let ran = tarnwright(folder.path(), &["report", "site"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""), "a pipe is told nothing but the report");
    assert!(ran.out.contains("■ stop"), "{}", ran.out);
    let text = "name,x,y,z\n1,0,0,10\n2,20,0,10\n3,20,20,11\n4,0,20,11\n5,10,10,10.5\n";
    fs::write(folder.path().join("points.csv"), text).unwrap();
    let words = ["new", "bare", "--survey", "points.csv", "--units", "m"];
    assert_eq!(tarnwright(folder.path(), &words).status, 0);
    let ran = tarnwright(folder.path(), &["report", "bare"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{ran:?}");
    assert!(ran.out.contains("No works yet"), "{}", ran.out);
}

#[test]
fn a_picture_that_cannot_be_is_refused_before_anything_is_drawn() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let before = snapshot(&site);
    for (words, said) in [
        (&["--from", "attic", "-o", "a.png"][..], "Kitchen window"),
        (&["--from", "plan", "-o", "a.png", "--size", "0x40"], "expected width x height"),
        (&["--from", "plan", "-o", "a.png", "--size", "40x99999"], "expected width x height"),
        (&["--from", "plan", "-o", "a.png", "--size", "wide"], "expected width x height"),
        (&["--from", "plan"], "--output"),
    ] {
        let ran = tarnwright(&site, &[&["picture", "."], words].concat());
        assert_eq!(ran.status, 2, "{ran:?}");
        assert!(ran.err.contains(said), "{ran:?}");
        assert_eq!(snapshot(&site), before);
    }
}

/// Without a display the view says so in one line.
#[cfg(target_os = "linux")]
#[test]
fn a_view_without_a_display_says_so_in_one_line() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let before = snapshot(&site);
    let ran = Command::new(program())
        .args(["view", "."])
        .current_dir(&site)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(2), "{said}");
    assert!(said.lines().count() == 1 && said.contains("no display"), "{said}");
    assert_eq!(snapshot(&site), before);
}

/// A display that asks for a key, which the program has not: one line and what to do, no panic's text.
#[cfg(target_os = "linux")]
#[test]
fn a_view_on_a_display_that_does_not_let_it_in_says_so_in_one_line() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let before = snapshot(&site);
    // Family "any", no address, no number, the kind of key, the key: lengths before each, big end first.
    let (kind, key) = (b"MIT-MAGIC-COOKIE-1", b"0123456789abcdef");
    let sized = |bytes: &[u8]| [&(bytes.len() as u16).to_be_bytes()[..], bytes].concat();
    let entry = [&[0xff, 0xff, 0, 0, 0, 0][..], &sized(kind), &sized(key)].concat();
    fs::write(folder.path().join("keys"), entry).unwrap();
    let mut server = Command::new("Xvfb")
        .args(["-displayfd", "1", "-screen", "0", "640x480x24", "-nolisten", "tcp", "-auth"])
        .arg(folder.path().join("keys"))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("Xvfb is installed: apt-get install xvfb");
    let mut number = String::new();
    let out = server.stdout.take().expect("its output is piped");
    BufReader::new(out).read_line(&mut number).expect("the server says its number");
    let ran = Command::new(program())
        .args(["view", "."])
        .current_dir(&site)
        .env("DISPLAY", format!(":{}", number.trim()))
        .env("XAUTHORITY", folder.path().join("none"))
        .env("XDG_STATE_HOME", folder.path())
        .env_remove("WAYLAND_DISPLAY")
        .output();
    server.kill().and_then(|()| server.wait()).expect("the server can be ended");
    let ran = ran.unwrap();
    let said = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(2), "{said}");
    assert!(said.lines().count() == 1 && said.contains("does not let this program in"), "{said}");
    assert!(said.contains("XAUTHORITY"), "it says what to do: {said}");
    assert_eq!(snapshot(&site), before);
}
