//! Libraries of the system that pictures and the view load when they begin.

use std::process::Command;

/// What is to be drawn.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Needed {
    /// Pictures, without a window.
    Pictures,
    /// A window.
    Window,
}

/// A library and the Debian package that has it.
type Library = (&'static str, &'static str);

const PICTURES: [Library; 1] = [("libvulkan.so.1", "libvulkan1")];
const WINDOW: [Library; 5] = [
    ("libX11.so.6", "libx11-6"),
    ("libXcursor.so.1", "libxcursor1"),
    ("libXi.so.6", "libxi6"),
    ("libXrandr.so.2", "libxrandr2"),
    ("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
];

/// Which libraries are not found, one line each; empty where all stand, or where the system does not
/// tell.
pub(crate) fn missing(needed: Needed) -> String {
    listing().map_or_else(String::new, |listing| lacking(&listing, needed))
}

fn lacking(listing: &str, needed: Needed) -> String {
    let window: &[Library] = if needed == Needed::Window { &WINDOW } else { &[] };
    let all = PICTURES.iter().chain(window);
    all.filter(|(library, _)| !listing.contains(library))
        .map(|(library, package)| {
            format!("tarnwright: not found: {library}; on Debian: apt install {package}\n")
        })
        .collect()
}

/// All libraries that the system's loader knows.
fn listing() -> Option<String> {
    // Not every user has the folder in which it stands among those that are searched.
    let told = ["/sbin/ldconfig", "ldconfig"]
        .iter()
        .find_map(|program| Command::new(program).arg("-p").output().ok())?;
    let listing = String::from_utf8_lossy(&told.stdout).into_owned();
    (told.status.success() && !listing.is_empty()).then_some(listing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_library_that_is_missing_is_named_with_its_package() {
        let listing = "\tlibvulkan.so.1 (libc6,x86-64) => /lib/libvulkan.so.1\n\tlibX11.so.6 => /l\n\
            \tlibXcursor.so.1 => /l\n\tlibXi.so.6 => /l\n\tlibxkbcommon-x11.so.0 => /l\n";
        assert_eq!(lacking(listing, Needed::Pictures), "");
        let said = "tarnwright: not found: libXrandr.so.2; on Debian: apt install libxrandr2\n";
        assert_eq!(lacking(listing, Needed::Window), said);
        assert_eq!(lacking("", Needed::Window).lines().count(), 6);
    }
}
