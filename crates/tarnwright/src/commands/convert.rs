//! `tarnwright convert`: a file of ground, or the grounds of a site, in another format.

mod of_site;

use std::fs;
use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::Context as _;
use exchange::convert::{Asked, Input, convert};
use exchange::landxml::Stamp;

use crate::cli::{Convert, ReadArgs};
use crate::ground_file::{asked as asked_of, at, length};
use crate::site_folder::write_whole;
use crate::{Outcome, progress, say};

/// Converts a file.
pub(crate) fn run(asked: &Convert) -> anyhow::Result<Outcome> {
    progress::heed();
    if let Some((site, stages)) = of_site::told(&asked.input)? {
        return of_site::run(asked, &site, &stages);
    }
    let wanted = wanted(&asked.read, asked)?;
    let bytes = fs::read(&asked.input).with_context(|| {
        format!("{}: cannot be read, expected a file of ground", asked.input.display())
    })?;
    let name = asked.input.to_string_lossy();
    let out_name = asked.output.to_string_lossy();
    let input = Input { bytes: &bytes, name: &name };
    let doing = format!("converting {}", asked.input.display());
    let converted = progress::watched(&doing, |watch| convert(input, &out_name, &wanted, watch))
        .map_err(|error| at(&asked.input, &error))?;
    progress::go_on()?;
    write_whole(&asked.output, &converted.bytes)?;
    let mut out = format!("{}: read as {}\n", asked.input.display(), converted.from);
    for note in &converted.notes {
        out.push_str(&format!("  {note}\n"));
    }
    out.push_str(&format!("{} written\n", asked.output.display()));
    say(&out)?;
    Ok(Outcome::Done)
}

fn wanted(read: &ReadArgs, asked: &Convert) -> anyhow::Result<Asked> {
    let unit = read.units;
    Ok(Asked {
        out_unit: asked.to_units,
        step_m: length("--step", asked.step.as_deref(), unit)?,
        interval_m: length("--interval", asked.interval.as_deref(), unit)?,
        scale: asked.scale,
        stamp: now(),
        ..asked_of(read)?
    })
}

/// The time, for files that must tell it.
pub(crate) fn now() -> Stamp {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Stamp::of_unix_s(now.as_secs())
}
