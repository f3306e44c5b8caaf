//! Running cargo and the program.

use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus};

use anyhow::{Context as _, bail};

/// The demo sites that stand in the repository, by the names of their folders.
pub(crate) const DEMOS: [&str; 2] = ["rear-garden", "level-garden"];

/// The repository's top folder.
pub(crate) fn top() -> PathBuf {
    // Clones may share one target folder, so where cargo runs this counts before where it was built.
    let here = std::env::var_os("CARGO_MANIFEST_DIR");
    let here = here.map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    here.ancestors().nth(2).map_or_else(|| here.clone(), Path::to_owned)
}

/// Where a demo site's report is written.
pub(crate) fn demo_report(demo: &str) -> PathBuf {
    top().join("target").join("demo").join(demo)
}

/// Cargo at the repository's top.
pub(crate) fn cargo(arguments: &[&str]) -> Command {
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.args(arguments).current_dir(top());
    // What cargo tells this process about itself is not meant for the next one.
    cargo.env_remove("CARGO_MANIFEST_DIR");
    cargo
}

/// Runs to the end and answers how it ended.
pub(crate) fn status(command: &mut Command) -> anyhow::Result<ExitStatus> {
    let name = command.get_program().to_string_lossy().into_owned();
    command.status().with_context(|| format!("{name} cannot be started"))
}

/// Runs to the end and refuses any other end than success.
pub(crate) fn must(command: &mut Command) -> anyhow::Result<()> {
    let status = status(command)?;
    if !status.success() {
        let words: Vec<_> = command.get_args().map(|word| word.to_string_lossy()).collect();
        bail!("failed: {} {}", command.get_program().to_string_lossy(), words.join(" "));
    }
    Ok(())
}

/// The built program, which stands beside this one.
pub(crate) fn program() -> anyhow::Result<PathBuf> {
    let own = std::env::current_exe().context("this program does not know where it stands")?;
    Ok(own.with_file_name(format!("tarnwright{}", std::env::consts::EXE_SUFFIX)))
}
