//! What the program needs of the system: a graphics driver and the libraries of a window.

use std::io::{IsTerminal as _, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};

use crate::demo::Consent;
use crate::run::status;

/// Libraries that a window loads when it opens.
const WINDOW_PACKAGES: [&str; 6] =
    ["libvulkan1", "libxkbcommon-x11-0", "libx11-6", "libxcursor1", "libxrandr2", "libxi6"];
/// A driver that draws in software, where no other stands.
const DRIVER_PACKAGE: &str = "mesa-vulkan-drivers";
/// Where drivers tell that they stand.
const DRIVER_FOLDERS: [&str; 3] =
    ["/usr/share/vulkan/icd.d", "/etc/vulkan/icd.d", "/usr/local/share/vulkan/icd.d"];

/// Installs what is missing on a Debian-like system, once the user agrees.
///
/// What cannot be installed is said, and the demo goes on: the numbers need none of it.
pub(crate) fn set_up(consent: Consent) -> anyhow::Result<()> {
    if !answers("dpkg-query", &["--version"]) {
        println!("This is no Debian-like system: pictures and the view need a Vulkan driver.");
        return Ok(());
    }
    let missing = missing_packages();
    if missing.is_empty() {
        return Ok(());
    }
    println!("For pictures and the 3D view these packages are missing: {}", missing.join(" "));
    if consent == Consent::Ask && !agrees()? {
        println!("Nothing is installed; the numbers come without them.");
        return Ok(());
    }
    if !install(&missing)? {
        println!("They could not be installed; the numbers come without them.");
    }
    Ok(())
}

fn missing_packages() -> Vec<&'static str> {
    let mut needed = WINDOW_PACKAGES.to_vec();
    if !DRIVER_FOLDERS.iter().any(|folder| holds_driver(Path::new(folder))) {
        needed.push(DRIVER_PACKAGE);
    }
    needed.retain(|package| !is_installed(package));
    needed
}

fn holds_driver(folder: &Path) -> bool {
    let is_json = |path: &Path| path.extension().is_some_and(|extension| extension == "json");
    std::fs::read_dir(folder)
        .is_ok_and(|entries| entries.flatten().any(|entry| is_json(&entry.path())))
}

fn is_installed(package: &str) -> bool {
    // Newer releases carry some libraries under a name that ends in t64.
    [package.to_owned(), format!("{package}t64")].iter().any(|name| {
        let asked = Command::new("dpkg-query").args(["-W", "-f=${Status}", name]).output();
        asked.is_ok_and(|told| told.stdout.ends_with(b"ok installed"))
    })
}

fn agrees() -> anyhow::Result<bool> {
    if !std::io::stdin().is_terminal() {
        return Ok(false);
    }
    print!("Install them now? [y/N] ");
    std::io::stdout().flush()?;
    let mut answer = String::new();
    std::io::stdin().read_line(&mut answer)?;
    Ok(matches!(answer.trim().to_lowercase().as_str(), "y" | "yes"))
}

fn install(packages: &[&str]) -> anyhow::Result<bool> {
    let is_root = Command::new("id").arg("-u").output().is_ok_and(|id| id.stdout == b"0\n");
    let apt = |arguments: &[&str]| {
        let mut command = Command::new(if is_root { "apt-get" } else { "sudo" });
        if !is_root {
            command.arg("apt-get");
        }
        command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive");
        command
    };
    let update = status(&mut apt(&["update", "-q"]))?;
    let arguments = [&["install", "-y", "-q", "--no-install-recommends"], packages].concat();
    Ok(update.success() && status(&mut apt(&arguments))?.success())
}

fn answers(program: &str, arguments: &[&str]) -> bool {
    Command::new(program)
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}
