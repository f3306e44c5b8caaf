//! `tarnwright completions` and `tarnwright manual`: the command line told to shells and to `man`.

use clap::{Arg, Command};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use crate::cli::Completions;
use crate::{Outcome, say};

/// Prints what a shell needs.
pub(crate) fn completions(asked: &Completions, mut command: Command) -> anyhow::Result<Outcome> {
    let mut out = Vec::new();
    clap_complete::generate(asked.shell, &mut command, "tarnwright", &mut out);
    say(&String::from_utf8_lossy(&out))?;
    Ok(Outcome::Done)
}

/// Prints the manual page: the program, then each command with its flags and examples.
pub(crate) fn manual(command: &Command) -> anyhow::Result<Outcome> {
    let mut out = Vec::new();
    let whole = Man::new(command.clone());
    whole.render_title(&mut out)?;
    whole.render_name_section(&mut out)?;
    whole.render_synopsis_section(&mut out)?;
    whole.render_description_section(&mut out)?;
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        render_command(sub, &mut out)?;
    }
    whole.render_extra_section(&mut out)?;
    say(&String::from_utf8_lossy(&out))?;
    Ok(Outcome::Done)
}

fn render_command(command: &Command, out: &mut Vec<u8>) -> std::io::Result<()> {
    let mut page = Roff::new();
    let heading = format!("TARNWRIGHT {}", command.get_name().to_uppercase());
    page.control("SH", [heading.as_str()]);
    page.text([roman(command.get_about().map(ToString::to_string).unwrap_or_default())]);
    for arg in command.get_arguments().filter(|arg| !arg.is_hide_set()) {
        page.control("TP", []);
        page.text([bold(spelled(arg))]);
        page.text([roman(arg.get_help().map(ToString::to_string).unwrap_or_default())]);
    }
    // What follows is laid out by its own lines.
    page.control("PP", []);
    page.control("nf", []);
    for line in command.get_after_help().map(ToString::to_string).unwrap_or_default().lines() {
        page.text([roman(line)]);
    }
    page.control("fi", []);
    page.to_writer(out)
}

/// An argument as it is typed: `--units UNIT`, `-o FILE` or `DIR`.
fn spelled(arg: &Arg) -> String {
    let names = arg.get_value_names().unwrap_or_default().iter().map(ToString::to_string);
    let values = names.collect::<Vec<_>>().join(" ");
    let mut out = String::new();
    if let Some(short) = arg.get_short() {
        out.push_str(&format!("-{short} "));
    }
    if let Some(long) = arg.get_long() {
        out.push_str(&format!("--{long} "));
    }
    if arg.get_action().takes_values() {
        out.push_str(&values);
    }
    out.trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;
    use crate::cli::Cli;

    #[test]
    fn the_manual_tells_every_command_and_flag() {
        let mut page = Vec::new();
        let command = Cli::command();
        for sub in command.get_subcommands() {
            render_command(sub, &mut page).unwrap();
        }
        let page = String::from_utf8(page).unwrap();
        for sub in command.get_subcommands() {
            assert!(page.contains(&format!("TARNWRIGHT {}", sub.get_name().to_uppercase())));
            for long in sub.get_arguments().filter_map(Arg::get_long) {
                let told = format!("\\-\\-{}", long.replace('-', "\\-"));
                assert!(page.contains(&told), "{told}");
            }
        }
    }
}
