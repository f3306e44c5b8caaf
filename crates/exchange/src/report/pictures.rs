//! Plans and aerials that are draped on the ground: how each lies, and which known point is doubtful.

use std::fmt::Write as _;

use serde::Serialize;
use site::{Picture, Site};
use units::{LengthUnit, accuracy_text};

use super::STRING;

/// A draped picture as JSON has it, in SI.
#[derive(Serialize)]
pub(super) struct PictureReport<'a> {
    name: &'a str,
    file: &'a str,
    pixel_m: Option<f64>,
    off_m: Vec<f64>,
    doubtful: Option<usize>,
}

pub(super) fn report(site: &Site) -> Vec<PictureReport<'_>> {
    let all = site.pictures.iter().map(|picture| {
        let fit = picture.fit().ok();
        PictureReport {
            name: &picture.name,
            file: &picture.file,
            pixel_m: fit.as_ref().map(|fit| fit.pixel_m),
            doubtful: fit.as_ref().and_then(|fit| Some(picture.doubt(fit)?.0 + 1)),
            off_m: fit.map(|fit| fit.off_m).unwrap_or_default(),
        }
    });
    all.collect()
}

/// All draped pictures; nothing where there is none.
pub(super) fn text(site: &Site) -> String {
    if site.pictures.is_empty() {
        return String::new();
    }
    let mut out = "\nDraped pictures\n".to_owned();
    for picture in &site.pictures {
        out.push_str(&picture_text(picture, site.frame.unit));
    }
    out
}

/// How a picture lies, with what each known point is off where there are more than two.
pub fn picture_text(picture: &Picture, unit: LengthUnit) -> String {
    let (name, file) = (&picture.name, &picture.file);
    let fit = match picture.fit() {
        Ok(fit) => fit,
        Err(error) => return format!("  {name} ({file}): {error}\n"),
    };
    let (n, pixel) = (picture.pins.len(), accuracy_text(fit.pixel_m, unit));
    let mut out = format!("  {name} ({file}): lies by {n} known points, a pixel spans {pixel}\n");
    if n > 2 {
        let off: Vec<String> = fit.off_m.iter().map(|off_m| accuracy_text(*off_m, unit)).collect();
        writeln!(out, "    turned and scaled alone it misses them by {}", off.join(", "))
            .expect(STRING);
    }
    if let Some((i, _)) = picture.doubt(&fit) {
        let known = i + 1;
        writeln!(out, "    look at known point {known}: so much no sheet of paper stretches")
            .expect(STRING);
    }
    out
}
