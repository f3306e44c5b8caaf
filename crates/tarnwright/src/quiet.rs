//! Keeps the graphics driver's own mutterings off the terminal.

use std::env;

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
