//! Two versions of a site side by side.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, anyhow};
use design::Versions;
use exchange::versions;
use sheets::{DepthMap, Shows, depth_map};
use units::LengthUnit;

use crate::cli::Compare;
use crate::site_folder::{SiteFolder, write_whole};
use crate::{Outcome, progress, say};

/// Name of the depth map in the folder that was asked for.
const MAP: &str = "depth-map.svg";

/// Puts two versions side by side, in the frame of the first.
pub(super) fn run(asked: &Compare, folders: &[SiteFolder; 2]) -> anyhow::Result<Outcome> {
    let (from, to) = (folders[0].open()?, folders[1].open()?);
    let versions = progress::during("working out both versions", || Versions::of(&from, &to))
        .map_err(|error| {
            let ([east, north], step_um) = (from.frame.origin_m, from.frame.step_um);
            anyhow!(
                "{}: read {error}; expected places within reach of the other version's frame, whose \
                 origin is {east} m east, {north} m north and whose step is {step_um} um",
                asked.b
            )
        })?;
    if versions.is_moved() {
        eprintln!(
            "{}: compared in the frame of {}: its places are rounded to {} mm there",
            asked.b,
            asked.a,
            f64::from(from.frame.step_um) / 1000.0
        );
    }
    let names = [asked.a.as_str(), asked.b.as_str()];
    let unit = asked.read.units.unwrap_or(from.frame.unit);
    if asked.json {
        say(&versions::json(&versions, names))?;
    } else {
        say(&versions::text(&versions, names, unit))?;
    }
    if let Some(folder) = &asked.out {
        write_map(folder, &versions, names, unit)?;
        if !asked.json {
            say(&format!("\nDepth map in {}\n", folder.join(MAP).display()))?;
        }
    }
    Ok(Outcome::Done)
}

fn write_map(
    folder: &Path,
    versions: &Versions<'_>,
    names: [&str; 2],
    unit: LengthUnit,
) -> anyhow::Result<()> {
    let grounds = versions.evaluations.each_ref().map(|each| each.finished.as_deref());
    let ([Some(a), Some(b)], Some(between)) = (grounds, &versions.between) else {
        return Err(anyhow!("--out: a version has no ground, expected a map of two"));
    };
    let site = &versions.sites[1];
    let svg = depth_map(&DepthMap {
        shows: Shows::Versions(names),
        site,
        grounds: [a, b],
        between,
        unit,
    });
    fs::create_dir_all(folder)
        .with_context(|| format!("{}: cannot make this folder", folder.display()))?;
    write_whole(&folder.join(MAP), svg.as_bytes())
}
