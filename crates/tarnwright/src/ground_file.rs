//! Files of ground on disk, whatever their format.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, anyhow, bail};
use exchange::content::Content;
use exchange::convert::{self, Asked, Format, Held, Input};
use exchange::landxml::Axes;
use exchange::points::Told;
use exchange::surveyed::one_ground;
use units::{LengthUnit, parse_length};

use crate::cli::ReadArgs;
use crate::progress;
use crate::survey_file::{self, ListFile};

/// A file of ground that was read.
pub(crate) enum GroundFile {
    /// A point list or a level book.
    List(Box<ListFile>),
    /// Any other format.
    Other {
        /// What it is.
        format: Format,
        /// What it holds.
        held: Box<Held>,
    },
}

/// Reads a file of ground of any format; messages begin with its path.
///
/// `name` may end in a colon and the name of one surface of the file.
pub(crate) fn read(
    name: &Path,
    args: &ReadArgs,
    bench: Option<&str>,
) -> anyhow::Result<GroundFile> {
    let (path, surface) = parted(name);
    let bytes = fs::read(&path).with_context(|| {
        format!(
            "{}: cannot be read, expected a point list or another file of ground",
            path.display()
        )
    })?;
    of_bytes((&path, surface), bytes, args, bench)
}

/// Reads the bytes of a file of ground of any format, of which one surface may be named.
pub(crate) fn of_bytes(
    (path, surface): (&Path, Option<String>),
    bytes: Vec<u8>,
    args: &ReadArgs,
    bench: Option<&str>,
) -> anyhow::Result<GroundFile> {
    let shown = path.to_string_lossy();
    let is_list = matches!(Format::of(&bytes, &shown), Some(Format::PointList));
    if is_list && surface.is_none() {
        return list(path, bytes, args, bench).map(|list| GroundFile::List(Box::new(list)));
    }
    if let Some(bench) = bench {
        bail!("--bench {bench}: expected a level book, and {} is none", path.display());
    }
    let wanted = Asked { surface, ..asked(args)? };
    let input = Input { bytes: &bytes, name: &shown };
    let reading = format!("reading {}", path.display());
    let (held, format) = progress::watched(&reading, |watch| convert::read(input, &wanted, watch))
        .map_err(|error| at(path, &error))?;
    Ok(GroundFile::Other { format, held: Box::new(held) })
}

/// What a file holds as one surface: clouds and grids are thinned to the error that was asked for.
pub(crate) fn as_one(
    path: &Path,
    held: Held,
    args: &ReadArgs,
    notes: &mut Vec<String>,
) -> anyhow::Result<Content> {
    let wanted = asked(args)?;
    let thinning = format!("making the surface of {}", path.display());
    progress::watched(&thinning, |watch| one_ground(held, &wanted, notes, watch))
        .map_err(|error| at(path, &error))
}

/// What the flags ask of reading a file.
pub(crate) fn asked(args: &ReadArgs) -> anyhow::Result<Asked> {
    let axes = match (args.easting_first, args.northing_first) {
        (true, _) => Some(Axes::EastingFirst),
        (_, true) => Some(Axes::NorthingFirst),
        _ => None,
    };
    Ok(Asked {
        unit: args.units,
        z_unit: args.z_units,
        columns: args.columns.clone(),
        lines: args.lines.clone(),
        axes,
        classes: args.classes.clone(),
        error_m: length("--error", args.error.as_deref(), args.units)?,
        grid_factor: args.grid_factor,
        ..Asked::default()
    })
}

/// A length with its unit, or in the unit that is told; a bare number in no unit is asked about.
pub(crate) fn length(
    flag: &str,
    text: Option<&str>,
    unit: Option<LengthUnit>,
) -> anyhow::Result<Option<f64>> {
    let Some(text) = text else { return Ok(None) };
    let has_unit = text.contains(|c: char| c.is_alphabetic() || matches!(c, '\'' | '"'));
    if unit.is_none() && !has_unit {
        bail!(
            "{flag} {text}: read a number without a unit, expected one such as {text} m or {text} ft"
        );
    }
    parse_length(text, unit.unwrap_or(LengthUnit::Metre))
        .map(Some)
        .map_err(|error| anyhow!("{flag} {text}: {error}"))
}

/// Refuses a file that ends too early: half a ground is no ground to plan on.
pub(crate) fn refuse_cut(path: &Path, held: &Held) -> anyhow::Result<()> {
    let stopped = match held {
        Held::Content(content) => &content.stopped,
        Held::Cloud(cloud) => &cloud.stopped,
    };
    match stopped {
        Some(stopped) => bail!(
            "{}: {stopped}; `tarnwright convert` keeps what stands before the cut",
            path.display()
        ),
        None => Ok(()),
    }
}

/// What stands in doubt in what was read, and where it ends too early.
pub(crate) fn doubts(held: &Held) -> Vec<String> {
    let (doubts, stopped) = match held {
        Held::Content(content) => (&content.doubts, &content.stopped),
        Held::Cloud(cloud) => (&cloud.doubts, &cloud.stopped),
    };
    let cut = stopped.iter().map(|stopped| format!("the file is cut: {stopped}"));
    doubts.iter().cloned().chain(cut).collect()
}

/// A file and the surface of it that is named behind a colon; the whole is a file where it is one.
fn parted(name: &Path) -> (PathBuf, Option<String>) {
    let text = name.to_string_lossy();
    let colons = text.match_indices(':').rev().map(|(at, _)| at);
    let named = |at: usize| {
        let path = Path::new(&text[..at]);
        path.is_file().then(|| (path.to_owned(), Some(text[at + 1..].to_owned())))
    };
    let is_whole = name.exists();
    let mut found = colons.filter(|_| !is_whole).filter_map(named);
    found.next().unwrap_or_else(|| (name.to_owned(), None))
}

/// An error at a file.
pub(crate) fn at(path: &Path, error: &dyn std::fmt::Display) -> anyhow::Error {
    let (path, said) = (path.display().to_string(), error.to_string());
    // Some name the file themselves.
    if said.starts_with(&path) { anyhow!(said) } else { anyhow!("{path}: {said}") }
}

/// A point list or level book, its places taken from the grid to the ground.
fn list(
    path: &Path,
    bytes: Vec<u8>,
    args: &ReadArgs,
    bench: Option<&str>,
) -> anyhow::Result<ListFile> {
    let wanted = asked(args)?;
    convert::check(Format::PointList, &wanted).map_err(|error| at(path, &error))?;
    let told = Told { columns: args.columns.clone(), unit: args.units };
    let mut file = survey_file::parsed(path, bytes, &told, bench)?;
    let factor = convert::grid_factor(&wanted).map_err(|error| at(path, &error))?;
    if factor != 1.0 {
        if file.notes.is_some() {
            bail!(
                "{}: read --grid-factor beside a level book, expected a point list",
                path.display()
            );
        }
        for point in &mut file.list.points {
            let [x, y, z] = point.at_m;
            point.at_m = [x / factor, y / factor, z];
        }
        file.is_as_told = false;
    }
    Ok(file)
}
