//! The main job on the demo sites: numbers on the terminal, reports in a folder, the 3D view of the
//! first.

use std::path::PathBuf;
use std::process::Command;

use anyhow::bail;

use crate::run::{DEMOS, cargo, demo_report, must, program, status, top};
use crate::system;

/// Whether the user has agreed to packages being installed.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Consent {
    /// Ask first.
    Ask,
    /// Agreed on the command line.
    Given,
}

/// Runs the demo.
pub(crate) fn run(consent: Consent) -> anyhow::Result<()> {
    system::set_up(consent)?;
    println!("Building the program; the first time takes about a quarter of an hour.");
    must(&mut cargo(&["build", "--package", "tarnwright"]))?;
    for demo in DEMOS {
        report(demo)?;
    }
    if std::env::var_os("DISPLAY").is_none_or(|name| name.is_empty()) {
        println!("No display is named, so the 3D view stays closed; the reports above are whole.");
        return Ok(());
    }
    println!("Opening the 3D view of {}; close its window to end.", DEMOS[0]);
    // What keeps a window from opening is said by the program itself.
    if !status(Command::new(program()?).arg("view").arg(site(DEMOS[0])))?.success() {
        bail!("the 3D view did not stay open; the reports above are whole");
    }
    Ok(())
}

/// Reports on one demo site, on the terminal and in a folder.
fn report(demo: &str) -> anyhow::Result<()> {
    println!();
    let mut command = Command::new(program()?);
    command.arg("report").arg(site(demo)).arg("--out").arg(demo_report(demo));
    if std::env::var_os("XDG_RUNTIME_DIR").is_none() {
        // Drivers grumble on the terminal without one.
        command.env("XDG_RUNTIME_DIR", std::env::temp_dir());
    }
    let reported = status(&mut command)?;
    // 1 says that findings stand that say stop: the first demo has them on purpose.
    if !matches!(reported.code(), Some(0 | 1)) {
        bail!("the report failed: {reported}");
    }
    Ok(())
}

fn site(demo: &str) -> PathBuf {
    top().join("demo-sites").join(demo)
}
