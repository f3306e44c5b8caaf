//! `tarnwright compare`: volumes between two surfaces, or two versions of a site.

mod versions;

use std::borrow::Cow;
use std::path::Path;
use std::sync::Arc;

use anyhow::{anyhow, bail};
use design::evaluate;
use exchange::comparison;
use exchange::content::Content;
use exchange::convert::Held;
use exchange::points::PointList;
use exchange::surveyed::{ground_places_m, own_surface};
use ground::Surface;
use ground::overlay::volumes;
use site::{Frame, Site, reframed};

use crate::cli::{Compare, ReadArgs};
use crate::ground_file::{self, GroundFile};
use crate::site_folder::SiteFolder;
use crate::stage::Stage;
use crate::survey_file::{self, bare_site, doubts_text, refuse_no_surface};
use crate::{Outcome, progress, say};

/// What one side of a comparison is.
enum Side {
    List { list: PointList },
    Ground { content: Box<Content> },
    Stage { site: Box<Site>, stage: Stage },
}

/// Compares two surfaces, or two versions of a site.
pub(crate) fn run(asked: &Compare) -> anyhow::Result<Outcome> {
    let folders = [&asked.a, &asked.b].map(|name| SiteFolder::at(Path::new(name)));
    if folders.iter().all(SiteFolder::holds_site) {
        return versions::run(asked, &folders);
    }
    if let Some(out) = &asked.out {
        bail!("--out {}: expected two versions of a site, by their folders", out.display());
    }
    progress::heed();
    let of_b = ReadArgs { units: asked.b_units.or(asked.read.units), ..asked.read.clone() };
    let sides = [side(&asked.a, &asked.read)?, side(&asked.b, &of_b)?];
    let frame = common_frame(&sides, [&asked.a, &asked.b])?;
    let surfaces = progress::during("working out both surfaces", || {
        let surface = |side, name: &String| surface(side, &frame, &asked.read, name);
        anyhow::Ok([surface(&sides[0], &asked.a)?, surface(&sides[1], &asked.b)?])
    })?;
    progress::go_on()?;
    let between = progress::during("measuring", || volumes(&surfaces[0], &surfaces[1]));
    if between.common_area_m2 <= 0.0 {
        bail!(
            "{} and {} cover no common ground, expected two surfaces of one site",
            asked.a,
            asked.b
        );
    }
    if asked.json {
        say(&comparison::json(&between))?;
    } else {
        let unit = asked.read.units.unwrap_or(frame.unit);
        say(&comparison::text(&asked.a, &asked.b, &between, unit))?;
    }
    Ok(Outcome::Done)
}

/// A file of ground where there is such a file, else a stage of a site.
fn side(text: &str, asked: &ReadArgs) -> anyhow::Result<Side> {
    let path = Path::new(text);
    if path.is_dir() {
        bail!(
            "{text}: read a folder, expected a file of ground or a stage, {text}:existing to \
             {text}:finished; or two versions of a site"
        );
    }
    if let Some((site, stage)) = Stage::told(text)? {
        return Ok(Side::Stage { site: Box::new(site), stage });
    }
    match ground_file::read(path, asked, None)? {
        GroundFile::List(file) => {
            let list = file.list;
            refuse_no_surface(path, &list)?;
            let doubts = doubts_text(&list.doubts);
            eprint!("{text}: {}\n{doubts}", list.dialect);
            Ok(Side::List { list })
        }
        GroundFile::Other { format, held } => {
            ground_file::refuse_cut(path, &held)?;
            let mut notes = ground_file::doubts(&held);
            let content = match *held {
                // A grid is a surface as it stands, unless fewer posts are asked for.
                Held::Content(content) if content.grid.is_none() || asked.error.is_none() => {
                    content
                }
                held => ground_file::as_one(path, held, asked, &mut notes)?,
            };
            eprintln!("{text}: {format}");
            notes.iter().for_each(|note| eprintln!("  {note}"));
            Ok(Side::Ground { content: Box::new(content) })
        }
    }
}

/// The frame of the first site, or one around both files.
fn common_frame(sides: &[Side; 2], names: [&String; 2]) -> anyhow::Result<Frame> {
    let mut places_m = Vec::new();
    let mut unit = None;
    for (side, name) in sides.iter().zip(names) {
        let of_side = match side {
            Side::Stage { site, .. } => return Ok(site.frame.clone()),
            Side::List { list } => {
                places_m.extend(survey_file::near(list).map(|p| [p.at_m[0], p.at_m[1]]));
                list.unit
            }
            Side::Ground { content } => {
                let places =
                    ground_places_m(content).map_err(|error| anyhow!("{name}: {error}"))?;
                places_m.extend(places);
                content.unit
            }
        };
        unit.get_or_insert(of_side);
    }
    survey_file::frame(places_m.into_iter(), unit.unwrap_or_default())
}

fn surface(
    side: &Side,
    frame: &Frame,
    asked: &ReadArgs,
    name: &str,
) -> anyhow::Result<Arc<Surface>> {
    let (evaluation, stage) = match side {
        Side::Stage { site, stage } => {
            let site = in_frame(site, frame, name)?;
            (evaluate(&site), *stage)
        }
        Side::Ground { content } => {
            let mut notes = Vec::new();
            let surface = own_surface(content, frame, &mut notes).map_err(|error| {
                let [east, north] = frame.origin_m;
                anyhow!(
                    "{name}: {error}; the frame of both has its origin at {east} m east, {north} m \
                     north"
                )
            })?;
            notes.iter().for_each(|note| eprintln!("{name}: {note}"));
            return Ok(Arc::new(surface));
        }
        Side::List { list } => {
            let survey = survey_file::survey(list, frame, &asked.lines);
            if survey.points.len() < survey.set_aside.len() + 3 {
                let [east, north] = frame.origin_m;
                bail!(
                    "{name}: read points beyond reach of the other surface's frame, whose origin is \
                     {east} m east, {north} m north; expected two surfaces of one site"
                );
            }
            (evaluate(&bare_site(name, frame.clone(), survey)), Stage::Existing)
        }
    };
    if let (Stage::Liner, Some(_), None) = (stage, &evaluation.between, stage.of(&evaluation)) {
        bail!("{name}: no work lays a liner, expected a stage that there is");
    }
    let surface = stage.of(&evaluation);
    let refused = evaluation.survey.refused.unwrap_or_else(|| "no ground".to_owned());
    surface.ok_or_else(|| anyhow!("{name}: {refused}, expected points that span a surface"))
}

/// The site told in a frame; says what that rounds where the frame is another than its own.
fn in_frame<'s>(site: &'s Site, frame: &Frame, name: &str) -> anyhow::Result<Cow<'s, Site>> {
    if site.frame.origin_m == frame.origin_m && site.frame.step_um == frame.step_um {
        return Ok(Cow::Borrowed(site));
    }
    let ([east, north], step_um) = (frame.origin_m, frame.step_um);
    let moved = reframed(site, frame).map_err(|error| {
        anyhow!(
            "{name}: read {error}; expected places within reach of the other surface's frame, whose \
             origin is {east} m east, {north} m north and whose step is {step_um} um"
        )
    })?;
    eprintln!(
        "{name}: compared in the frame of the other surface (origin {east} m east, {north} m north): \
         its places are rounded to {} mm there",
        f64::from(step_um) / 1000.0
    );
    Ok(Cow::Owned(moved))
}
