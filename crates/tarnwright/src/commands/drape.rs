//! `tarnwright drape`: a plan or an aerial laid on a site's ground by known points.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, anyhow, bail};
use exchange::raster::Raster;
use exchange::report::picture_text;
use site::{Picture, Pin, Site};
use units::elevation_text;

use crate::cli::Drape;
use crate::site_folder::{SiteFolder, read_picture, write_whole};
use crate::{Outcome, progress, say};

/// Drapes a picture, or lays it anew.
pub(crate) fn run(asked: &Drape) -> anyhow::Result<Outcome> {
    let folder = SiteFolder::at(&asked.site);
    let mut site = folder.open()?;
    let raster = progress::during("reading the picture", || read_picture(&asked.picture))?;
    let picture = picture(asked, &site, &raster)?;
    picture.fit().map_err(|error| anyhow!("--pin: {error}"))?;
    let text = picture_text(&picture, site.frame.unit);
    match site.pictures.iter_mut().find(|known| known.file == picture.file) {
        Some(known) => *known = picture,
        None => site.pictures.push(picture),
    }
    site.check()?;
    copy_into(&folder, &asked.picture)?;
    folder.save(&site)?;
    say(&format!("{}\n{text}", site.title))?;
    Ok(Outcome::Done)
}

fn picture(asked: &Drape, site: &Site, raster: &Raster) -> anyhow::Result<Picture> {
    let file = file_name(&asked.picture)?;
    let stem = Path::new(&file).file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let pins = asked.pin.iter().map(|text| pin(text, site)).collect::<anyhow::Result<_>>()?;
    Ok(Picture {
        name: asked.name.clone().or(stem).unwrap_or_default(),
        file,
        size_px: raster.size,
        pins,
    })
}

fn file_name(path: &Path) -> anyhow::Result<String> {
    let name = path.file_name().ok_or_else(|| anyhow!("{}: names no file", path.display()))?;
    Ok(name.to_string_lossy().into_owned())
}

/// The site's folder holds its pictures.
fn copy_into(folder: &SiteFolder, from: &Path) -> anyhow::Result<()> {
    let to: PathBuf = folder.path().join(file_name(from)?);
    let bytes = fs::read(from).with_context(|| format!("{}: cannot be read", from.display()))?;
    match fs::read(&to) {
        Ok(there) if there == bytes => Ok(()),
        Ok(_) => {
            bail!("{}: another file of this name is there, expected a free name", to.display())
        }
        Err(_) => write_whole(&to, &bytes),
    }
}

/// A known point: `RIGHT,DOWN = EAST,NORTH`, or `RIGHT,DOWN = NAME` of a surveyed point.
fn pin(text: &str, site: &Site) -> anyhow::Result<Pin> {
    let expected = || {
        anyhow!(
            "--pin: read `{text}`, expected pixels right and down, an equals sign, and easting and \
             northing or the name of a surveyed point: \"120,340 = P12\""
        )
    };
    let (px, place) = text.split_once('=').ok_or_else(expected)?;
    let at_px = pair(px).ok_or_else(expected)?;
    if let Some(at) = pair(place) {
        let at_m = at.map(|length| site.frame.unit.to_metres(length));
        return Ok(Pin { at_px, at_m: on_site(text, at_m, site)? });
    }
    let name = place.trim();
    let mut named = site.survey.points.iter().filter(|point| point.name == name);
    match (named.next(), named.next()) {
        (Some(point), None) => Ok(Pin { at_px, at_m: [point.at_m[0], point.at_m[1]] }),
        (Some(_), Some(_)) => bail!("--pin: read {name}, which several surveyed points are called"),
        (None, _) if name.is_empty() || place.contains(',') => Err(expected()),
        (None, _) => bail!("--pin: read {name}, expected the name of a surveyed point"),
    }
}

fn pair(text: &str) -> Option<[f64; 2]> {
    let (a, b) = text.split_once(',')?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    Some([number(a)?, number(b)?])
}

/// A place of the world in the site's frame; one far off the survey is refused.
fn on_site(text: &str, world_m: [f64; 2], site: &Site) -> anyhow::Result<[f64; 2]> {
    let local =
        |[east, north]: [f64; 2]| [east - site.frame.origin_m[0], north - site.frame.origin_m[1]];
    let [east, north] = world_m;
    if off_m(local(world_m), site) <= FAR_M {
        return Ok(local(world_m));
    }
    if off_m(local([north, east]), site) <= FAR_M {
        bail!(
            "--pin: read `{text}`, which lies in the garden once swapped: expected easting, then northing"
        );
    }
    let unit = site.frame.unit;
    let [east, north] = site.frame.origin_m.map(|metres| elevation_text(metres, unit));
    bail!(
        "--pin: read `{text}`, which lies far off the survey, expected a place around {east} east, {north} \
         north"
    )
}

/// A plan may reach so far beyond what was surveyed, metres. Common practice, no source.
const FAR_M: f64 = 500.0;

/// How far a place lies beyond the box around the survey.
fn off_m(at: [f64; 2], site: &Site) -> f64 {
    let beyond = |axis: usize| {
        let along = || site.survey.points.iter().map(|point| point.at_m[axis]);
        let (low, high) =
            (along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max));
        if low > high { at[axis].abs() } else { (low - at[axis]).max(at[axis] - high).max(0.0) }
    };
    beyond(0).max(beyond(1))
}
