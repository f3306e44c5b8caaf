//! `tarnwright picture`: one picture of a site.

use std::io::Cursor;
use std::path::Path;

use anyhow::Context as _;
use design::evaluate;
use image::{ImageFormat, RgbaImage};
use view::{From, PictureRequest};

use crate::cli::Picture;
use crate::site_folder::{SiteFolder, write_whole};
use crate::system::Needed;
use crate::{Outcome, progress, system};

/// Draws a picture.
pub(crate) fn run(asked: &Picture) -> anyhow::Result<Outcome> {
    let site = SiteFolder::at(&asked.site).open()?;
    let evaluation = progress::during("working out the site", || evaluate(&site));
    let (width, height) = asked.size;
    let request = PictureRequest { from: from(&asked.from), width, height };
    let picture = progress::during("drawing", || view::picture(&site, &evaluation, &request))
        .inspect_err(|_| eprint!("{}", system::missing(Needed::Pictures)))?;
    write_png(&asked.output, &picture)?;
    Ok(Outcome::Done)
}

/// Writes a picture as a PNG file.
pub(crate) fn write_png(path: &Path, picture: &RgbaImage) -> anyhow::Result<()> {
    let mut bytes = Cursor::new(Vec::new());
    picture
        .write_to(&mut bytes, ImageFormat::Png)
        .with_context(|| format!("{}: cannot be written as PNG", path.display()))?;
    write_whole(path, &bytes.into_inner())
}

/// A look by its name, else a viewpoint.
fn from(name: &str) -> From {
    match name.to_lowercase().as_str() {
        "plan" => From::Plan,
        "depths" => From::Depths,
        "birds-eye" | "bird's-eye" => From::BirdsEye,
        _ => From::Walk(name.to_owned()),
    }
}
