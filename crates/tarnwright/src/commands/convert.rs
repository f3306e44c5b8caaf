//! `tarnwright convert`: a file of ground in another format.

use std::fs;
use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::{Context as _, anyhow, bail};
use exchange::convert::{Asked, Input, convert};
use exchange::landxml::{Axes, Stamp};
use exchange::watch::unwatched;
use units::{LengthUnit, parse_length};

use crate::cli::Convert;
use crate::site_folder::write_whole;
use crate::{Outcome, progress, say};

/// Converts a file.
pub(crate) fn run(asked: &Convert) -> anyhow::Result<Outcome> {
    let bytes = fs::read(&asked.input).with_context(|| {
        format!("{}: cannot be read, expected a file of ground", asked.input.display())
    })?;
    let wanted = wanted(asked)?;
    let name = asked.input.to_string_lossy();
    let out_name = asked.output.to_string_lossy();
    let input = Input { bytes: &bytes, name: &name };
    let doing = format!("converting {}", asked.input.display());
    let converted = progress::during(&doing, || convert(input, &out_name, &wanted, &mut unwatched))
        .map_err(|error| anyhow!("{}: {error}", asked.input.display()))?;
    write_whole(&asked.output, &converted.bytes)?;
    let mut out = format!("{}: read as {}\n", asked.input.display(), converted.from);
    for note in &converted.notes {
        out.push_str(&format!("  {note}\n"));
    }
    out.push_str(&format!("{} written\n", asked.output.display()));
    say(&out)?;
    Ok(Outcome::Done)
}

fn wanted(asked: &Convert) -> anyhow::Result<Asked> {
    let unit = asked.list.units;
    let metres = |flag: &str, text: &Option<String>| match text {
        Some(text) => length(flag, text, unit).map(Some),
        None => Ok(None),
    };
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Ok(Asked {
        unit,
        z_unit: asked.z_units,
        out_unit: asked.to_units,
        columns: asked.list.columns.clone(),
        lines: asked.list.lines.clone(),
        axes: if asked.easting_first { Axes::EastingFirst } else { Axes::NorthingFirst },
        classes: asked.classes.clone(),
        error_m: metres("--error", &asked.error)?,
        step_m: metres("--step", &asked.step)?,
        interval_m: metres("--interval", &asked.interval)?,
        scale: asked.scale,
        stamp: Stamp::of_unix_s(now.as_secs()),
    })
}

/// A length with its unit, or in the unit that is told; a bare number in no unit is asked about.
fn length(flag: &str, text: &str, unit: Option<LengthUnit>) -> anyhow::Result<f64> {
    let has_unit = text.contains(|c: char| c.is_alphabetic() || matches!(c, '\'' | '"'));
    if unit.is_none() && !has_unit {
        bail!(
            "{flag} {text}: read a number without a unit, expected one such as {text} m or {text} ft"
        );
    }
    parse_length(text, unit.unwrap_or(LengthUnit::Metre))
        .map_err(|error| anyhow!("{flag} {text}: {error}"))
}
