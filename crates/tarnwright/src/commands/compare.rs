//! `tarnwright compare`: volumes between two surfaces, or two versions of a site.

mod versions;

use std::borrow::Cow;
use std::path::Path;
use std::sync::Arc;

use anyhow::{anyhow, bail};
use design::{Evaluation, evaluate};
use exchange::comparison;
use exchange::points::{PointList, Told};
use ground::Surface;
use ground::overlay::volumes;
use site::{Frame, Site, reframed};
use units::LengthUnit;

use crate::cli::{Compare, ListArgs};
use crate::site_folder::SiteFolder;
use crate::survey_file::{self, bare_site, doubts_text, refuse_no_surface};
use crate::{Outcome, progress, say};

/// What one side of a comparison is.
enum Side {
    List { list: PointList },
    Stage { site: Box<Site>, stage: Stage },
}

#[derive(Clone, Copy)]
enum Stage {
    Existing,
    Stripped,
    Subgrade,
    Liner,
    Finished,
}

impl Stage {
    const ALL: [(&str, Self); 5] = [
        ("existing", Self::Existing),
        ("stripped", Self::Stripped),
        ("subgrade", Self::Subgrade),
        ("liner", Self::Liner),
        ("finished", Self::Finished),
    ];

    /// Its ground; none where the survey makes no ground or no liner is laid.
    fn of(self, evaluation: &Evaluation) -> Option<Arc<Surface>> {
        let between = evaluation.between.as_ref();
        match self {
            Self::Existing => evaluation.existing.clone(),
            Self::Stripped => between.map(|between| Arc::clone(&between.stripped)),
            Self::Subgrade => between.map(|between| Arc::clone(&between.subgrade)),
            Self::Liner => between.and_then(|between| between.liner.clone()),
            Self::Finished => evaluation.finished.clone(),
        }
    }
}

/// What a stage may be called.
const STAGES: &str = "existing, stripped, subgrade, liner or finished";

/// Compares two surfaces, or two versions of a site.
pub(crate) fn run(asked: &Compare) -> anyhow::Result<Outcome> {
    let folders = [&asked.a, &asked.b].map(|name| SiteFolder::at(Path::new(name)));
    if folders.iter().all(SiteFolder::holds_site) {
        return versions::run(asked, &folders);
    }
    if let Some(out) = &asked.out {
        bail!("--out {}: expected two versions of a site, by their folders", out.display());
    }
    let sides = [side(&asked.a, &asked.list)?, side(&asked.b, &asked.list)?];
    let frame = common_frame(&sides)?;
    let surfaces = progress::during("working out both surfaces", || {
        let surface = |side, name: &String| surface(side, &frame, &asked.list, name);
        anyhow::Ok([surface(&sides[0], &asked.a)?, surface(&sides[1], &asked.b)?])
    })?;
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
        let unit = asked.list.units.unwrap_or(frame.unit);
        say(&comparison::text(&asked.a, &asked.b, &between, unit))?;
    }
    Ok(Outcome::Done)
}

/// A point list where there is such a file, else a stage of a site.
fn side(text: &str, asked: &ListArgs) -> anyhow::Result<Side> {
    let path = Path::new(text);
    if path.is_dir() {
        bail!(
            "{text}: read a folder, expected a point list or a stage, {text}:existing to \
             {text}:finished; or two versions of a site"
        );
    }
    if let (false, Some((folder, stage))) = (path.exists(), text.rsplit_once(':')) {
        return stage_of(Path::new(folder), stage);
    }
    let told = Told { columns: asked.columns.clone(), unit: asked.units };
    let list = survey_file::read(path, &told)?.list;
    refuse_no_surface(path, &list)?;
    let doubts = doubts_text(&list.doubts);
    eprint!("{text}: {}\n{doubts}", list.dialect);
    Ok(Side::List { list })
}

fn stage_of(path: &Path, stage: &str) -> anyhow::Result<Side> {
    let folder = SiteFolder::at(path);
    if !folder.holds_site() {
        bail!("{}: cannot be read, expected a site's folder or a point list", path.display());
    }
    let Some(&(_, stage)) = Stage::ALL.iter().find(|(name, _)| *name == stage) else {
        bail!("{}: read the stage `{stage}`, expected {STAGES}", path.display());
    };
    Ok(Side::Stage { site: Box::new(folder.open()?), stage })
}

/// The frame of the first site, or one around both lists.
fn common_frame(sides: &[Side; 2]) -> anyhow::Result<Frame> {
    let mut lists = Vec::new();
    for side in sides {
        match side {
            Side::Stage { site, .. } => return Ok(site.frame.clone()),
            Side::List { list } => lists.push(list),
        }
    }
    let unit = lists.first().map_or(LengthUnit::Metre, |list| list.unit);
    survey_file::frame(&lists, unit)
}

fn surface(
    side: &Side,
    frame: &Frame,
    asked: &ListArgs,
    name: &str,
) -> anyhow::Result<Arc<Surface>> {
    let (evaluation, stage) = match side {
        Side::Stage { site, stage } => {
            let site = in_frame(site, frame, name)?;
            (evaluate(&site), *stage)
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
