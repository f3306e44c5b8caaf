//! The program: command line, files, threads and clock; opens the view.

mod cli;
mod commands;
mod ground_file;
mod progress;
mod quiet;
mod site_folder;
mod stage;
mod survey_file;
mod system;

use std::io::Write as _;
use std::process::ExitCode;

use clap::Parser as _;

/// How a command ended.
enum Outcome {
    /// It did what was asked.
    Done,
    /// It did what was asked, and findings stand that say stop.
    StopStands,
}

fn main() -> ExitCode {
    let cli = cli::Cli::parse();
    quiet::begin_again_if_noisy();
    quiet::hush_the_unpacker();
    match cli.run() {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::StopStands) => ExitCode::from(1),
        Err(error) => {
            eprintln!("tarnwright: {error:#}");
            ExitCode::from(if progress::is_called_off() { progress::CALLED_OFF } else { 2 })
        }
    }
}

/// Writes to standard output; a reader that has gone away is no error.
fn say(text: &str) -> anyhow::Result<()> {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(()),
    }
}
