//! The main job on the demo site: numbers on the terminal, a report in a folder, the 3D view.

use std::process::Command;

use anyhow::bail;

use crate::run::{DEMO, cargo, demo_report, must, program, status, top};
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
    let (site, report) = (top().join("demo-sites").join(DEMO), demo_report());
    println!();
    let mut command = Command::new(program()?);
    command.arg("report").arg(&site).arg("--out").arg(&report);
    if std::env::var_os("XDG_RUNTIME_DIR").is_none() {
        // Drivers grumble on the terminal without one.
        command.env("XDG_RUNTIME_DIR", std::env::temp_dir());
    }
    let reported = status(&mut command)?;
    // 1 says that findings stand that say stop: the demo has them on purpose.
    if !matches!(reported.code(), Some(0 | 1)) {
        bail!("the report failed: {reported}");
    }
    if !system::display_answers() {
        println!("No display answers, so the 3D view stays closed; the report above is whole.");
        return Ok(());
    }
    println!("The 3D view is open; close its window to end.");
    must(Command::new(program()?).arg("view").arg(&site))
}
