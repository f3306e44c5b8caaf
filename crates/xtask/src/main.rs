//! Sets up, runs the demo and verifies; nothing depends on it.

mod bench;
mod demo;
mod kept;
mod run;
mod system;
mod verify;

use std::process::ExitCode;

const USAGE: &str = "\
usage:
  cargo demo [--yes]              report on the demo site and show it; --yes installs without asking
  cargo verify [--fast]           format, clippy, every test; --fast leaves out the view and the program
  cargo xtask bench [ARGS]        measure the bars, as `bench` does: --json, --growth, --only WORD
  cargo xtask kept [--write]      compare the demo's numbers with the kept ones, or keep these";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["demo"] => demo::run(demo::Consent::Ask),
        ["demo", "--yes"] => demo::run(demo::Consent::Given),
        ["verify"] => verify::run(verify::Scope::Everything),
        ["verify", "--fast"] => verify::run(verify::Scope::WithoutTheView),
        ["bench", rest @ ..] => bench::run(rest),
        ["kept"] => kept::compare(),
        ["kept", "--write"] => kept::write(),
        _ => Err(anyhow::anyhow!("{USAGE}")),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error:#}");
            ExitCode::FAILURE
        }
    }
}
