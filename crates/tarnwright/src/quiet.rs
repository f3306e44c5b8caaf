//! Keeps mutterings that are not the program's own off the terminal.

use std::env;
use std::panic;
use std::path::{Component, Path};

/// What the driver looks for to find a compositor, and complains about where it is missing.
const RUNTIME_DIR: &str = "XDG_RUNTIME_DIR";

/// Where no compositor will ever listen.
const NOWHERE: &str = "/nonexistent";

/// Starts the program anew with a runtime folder named, where there is none.
///
/// The driver reads the process's own environment, which a running program cannot change safely.
/// Where the program cannot start anew it goes on as it is.
pub(crate) fn begin_again_if_noisy() {
    if env::var_os(RUNTIME_DIR).is_some() {
        return;
    }
    #[cfg(unix)]
    if let Ok(program) = env::current_exe() {
        use std::os::unix::process::CommandExt as _;
        // On success this never returns; on failure only the complaint is back.
        let _refused = std::process::Command::new(program)
            .args(env::args_os().skip(1))
            .env(RUNTIME_DIR, NOWHERE)
            .exec();
    }
}

/// Silences the unpacker of LAZ, which panics on some damaged bytes: the reader catches that, and says
/// in the file's own terms what is wrong and where.
pub(crate) fn hush_the_unpacker() {
    let told = panic::take_hook();
    panic::set_hook(Box::new(move |panicked| {
        if !panicked.location().is_some_and(|at| is_of_unpacker(at.file())) {
            told(panicked);
        }
    }));
}

/// Whether a file of source is the unpacker's, by the folder of its package.
fn is_of_unpacker(file: &str) -> bool {
    let is_package = |part: Component<'_>| {
        let name = part.as_os_str().to_string_lossy();
        name == "laz"
            || name
                .strip_prefix("laz-")
                .is_some_and(|v| v.starts_with(|c: char| c.is_ascii_digit()))
    };
    Path::new(file).components().any(is_package)
}
