//! `tarnwright new`: a site from a survey.

mod from_list;
mod from_other;
pub(crate) mod preview;

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, anyhow, bail};
use design::{Evaluation, Severity, evaluate};
use exchange::points::{self, Point, Told};
use exchange::report;
use exchange::surveyed::Surveyed;
use ground::query::plan_area_m2;
use site::{Frame, Site, Survey, Viewpoint};
use units::{LengthUnit, accuracy_text, area_text, parse_length};

use crate::cli::New;
use crate::ground_file::{self, GroundFile};
use crate::site_folder::{text_of, write_whole};
use crate::survey_file::{self, ACCURACY_M, bare_site};
use crate::{Outcome, progress, say};

/// Height of the eye of someone who stands, in metres. Common practice, no source.
const EYE_M: f64 = 1.6;

/// A survey that was read, for a site of its own.
struct Read {
    frame: Frame,
    survey: Survey,
    /// Places near one another, local metres: where people may stand and look.
    near_m: Vec<[f64; 3]>,
    /// The survey as it is written into the site's folder, beside the name in `survey.file`.
    text: String,
    /// What was read, and what of it is in doubt.
    told: String,
}

/// Starts a site, or says what would be understood.
pub(crate) fn run(asked: &New) -> anyhow::Result<Outcome> {
    progress::heed();
    if !asked.preview {
        refuse_existing(&asked.dir)?;
    }
    let file = ground_file::read(&asked.survey, &asked.read, asked.bench.as_deref())?;
    if asked.preview {
        return preview::run(asked, file);
    }
    let made = made(asked, file)?;
    progress::go_on()?;
    write_folder(&asked.dir, &made.site, &made.text)?;
    say(&format!("{}{}", made.told, summary(asked, &made.site, &made.evaluation)))?;
    Ok(match report::n_findings(&made.evaluation, Severity::Stop) {
        0 => Outcome::Done,
        _ => Outcome::StopStands,
    })
}

/// A site from a survey, not yet written.
pub(crate) struct Made {
    /// The site.
    pub site: Site,
    /// The survey as it is written into the site's folder, beside the name in `survey.file`.
    pub text: String,
    evaluation: Evaluation,
    told: String,
}

/// Makes a site of a survey; nothing is written.
pub(crate) fn made(asked: &New, file: GroundFile) -> anyhow::Result<Made> {
    let read = match file {
        GroundFile::List(file) => from_list::read(asked, *file)?,
        GroundFile::Other { format, held } => from_other::read(asked, format, *held)?,
    };
    let mut site = bare_site(&title(asked), read.frame, read.survey);
    site.viewpoints = vec![first_viewpoint(&read.near_m)];
    let evaluation = progress::during("working out the ground", || evaluate(&site));
    if let Some(reason) = &evaluation.survey.refused {
        bail!("{}: {reason}, expected points that span a surface", asked.survey.display());
    }
    Ok(Made { site, text: read.text, evaluation, told: read.told })
}

/// Refuses a folder that holds anything: nothing of the user's is written over.
pub(crate) fn refuse_existing(dir: &Path) -> anyhow::Result<()> {
    let holds_anything = match fs::read_dir(dir) {
        Ok(mut entries) => entries.next().is_some(),
        Err(_) => dir.exists(),
    };
    if holds_anything {
        bail!(
            "{}: read a folder or file that stands already, expected a new folder",
            dir.display()
        );
    }
    Ok(())
}

fn title(asked: &New) -> String {
    let folder = || asked.dir.file_name().map(|name| name.to_string_lossy().into_owned());
    asked.title.clone().or_else(folder).unwrap_or_else(|| "Garden".to_owned())
}

fn accuracy(asked: &New, unit: LengthUnit) -> anyhow::Result<f64> {
    let Some(text) = &asked.accuracy else { return Ok(ACCURACY_M) };
    parse_length(text, unit).map_err(|error| anyhow!("--accuracy {text}: {error}"))
}

/// Codes of the outlines: the flags', else those that a list names.
struct OutlineCodes<'a> {
    boundary: Option<&'a String>,
    voids: Option<&'a String>,
}

/// Boundary and voids, from files or by the codes of points.
fn add_outlines(
    survey: &mut Survey,
    asked: &New,
    of_points: &[Point],
    codes: OutlineCodes<'_>,
    frame: &Frame,
) -> anyhow::Result<()> {
    let told = Told { columns: None, unit: Some(frame.unit) };
    if let Some(path) = &asked.boundary {
        let rows = survey_file::read(path, &told)?.list.points;
        survey.boundary = outline(path, &rows.iter().collect::<Vec<_>>(), frame)?;
    } else if let Some(code) = codes.boundary {
        survey.boundary = outline(&asked.survey, &points::with_code(of_points, code), frame)?;
    }
    if let Some(path) = &asked.voids {
        let rows = survey_file::read(path, &told)?.list.points;
        survey.voids.clear();
        for run in points::runs(&rows) {
            survey.voids.push(outline(path, &run.iter().collect::<Vec<_>>(), frame)?);
        }
    } else if let Some(code) = codes.voids {
        let is_void = |run: &&[Point]| run[0].code.eq_ignore_ascii_case(code);
        survey.voids.clear();
        for run in points::runs(of_points).filter(is_void) {
            survey.voids.push(outline(&asked.survey, &run.iter().collect::<Vec<_>>(), frame)?);
        }
    }
    Ok(())
}

fn outline(path: &Path, rows: &[&Point], frame: &Frame) -> anyhow::Result<Vec<[f64; 2]>> {
    let ring = points::outline(rows).map_err(|error| anyhow!("{}: {error}", path.display()))?;
    let [east, north] = frame.origin_m;
    Ok(ring.into_iter().map(|[x, y]| [x - east, y - north]).collect())
}

/// The lines of a file as runs of points, each of two or more.
fn lines_of(
    path: &Path,
    unit: LengthUnit,
) -> anyhow::Result<(Vec<Vec<Point>>, Vec<points::Doubt>)> {
    let list = survey_file::read(path, &Told { columns: None, unit: Some(unit) })?.list;
    let runs: Vec<Vec<Point>> = points::runs(&list.points).map(<[Point]>::to_vec).collect();
    if let Some(lone) = runs.iter().find(|run| run.len() < 2) {
        bail!(
            "{}: line {}: read a line of one point, expected two or more",
            path.display(),
            lone[0].line
        );
    }
    Ok((runs, list.doubts))
}

/// The code of a file's lines: its name in capitals.
fn code_of(path: &Path) -> String {
    path.file_stem().map_or("LINE".into(), |stem| stem.to_string_lossy()).to_uppercase()
}

/// What is taken of a file of ground.
fn taken_text(laid: &Surveyed) -> String {
    let counted = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let outline = match &laid.boundary {
        None => "outline the hull of its points".to_owned(),
        Some(line) => format!("outline of {}", counted(line.places.len() - 1, "corner")),
    };
    [
        counted(laid.points.len(), "point"),
        counted(laid.breaklines.len(), "breakline"),
        outline,
        counted(laid.voids.len(), "void"),
    ]
    .join(", ")
}

/// Someone at the edge of the garden who looks to its middle.
fn first_viewpoint(near_m: &[[f64; 3]]) -> Viewpoint {
    let middle_z = near_m.iter().map(|at| at[2]).sum::<f64>() / near_m.len().max(1) as f64;
    let southmost = near_m.iter().min_by(|a, b| a[1].total_cmp(&b[1]));
    let [x, y, _] = southmost.copied().unwrap_or_default();
    Viewpoint {
        name: "Edge of the garden".to_owned(),
        // A tenth of the way in, so that the eye stands on surveyed ground.
        at_m: [0.9 * x, 0.9 * y].map(to_the_centimetre),
        eye_m: EYE_M,
        toward_m: [0.0, 0.0, to_the_centimetre(middle_z)],
    }
}

/// Finer than anyone aims an eye.
fn to_the_centimetre(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0
}

/// Writes the site beside its place and moves it there whole.
pub(crate) fn write_folder(dir: &Path, site: &Site, survey_text: &str) -> anyhow::Result<()> {
    let beside = beside(dir);
    let written = fs::create_dir(&beside)
        .with_context(|| format!("{}: cannot make this folder", dir.display()))
        .and_then(|()| write_whole(&beside.join(&site.survey.file), survey_text.as_bytes()))
        .and_then(|()| {
            let document = beside.join("site.ron");
            write_whole(&document, text_of(site, &document)?.as_bytes())
        })
        .and_then(|()| progress::go_on())
        .and_then(|()| {
            fs::rename(&beside, dir)
                .with_context(|| format!("{}: cannot make this folder", dir.display()))
        });
    if written.is_err() {
        // What was begun is of no use; the error that stopped it is what matters.
        let _ = fs::remove_dir_all(&beside);
    }
    written
}

fn beside(dir: &Path) -> PathBuf {
    let name = dir.file_name().map_or("site".into(), |name| name.to_string_lossy());
    dir.with_file_name(format!(".{name}.{}", std::process::id()))
}

/// What became of the survey.
fn summary(asked: &New, site: &Site, evaluation: &Evaluation) -> String {
    let unit = site.frame.unit;
    let mut out = report::levels_text(site, evaluation);
    for finding in &evaluation.findings {
        out.push_str(&format!("  {}: {}\n", finding.severity.as_str(), finding.message));
    }
    if let Some(ground) = &evaluation.existing {
        out.push_str(&format!(
            "  existing ground: {} points, {} triangles, {}\n",
            ground.vertices().len(),
            ground.faces().len(),
            area_text(plan_area_m2(ground), unit)
        ));
    }
    if asked.accuracy.is_none() {
        out.push_str(&format!(
            "  one shot is taken as good to {}; change it with --accuracy or in site.ron\n",
            accuracy_text(site.survey.accuracy_m, unit)
        ));
    }
    out.push_str(&format!(
        "Site in {dir}. Next: tarnwright view {dir}\n",
        dir = asked.dir.display()
    ));
    out
}
