//! `tarnwright new`: a site from a point list or a level book.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, anyhow, bail};
use design::{Evaluation, Severity, evaluate};
use exchange::points::{self, Point, PointList, PointsError, Told};
use exchange::unit_words::word_of;
use exchange::{level_book, report};
use ground::query::plan_area_m2;
use site::{Frame, Site, Survey, Viewpoint};
use units::{accuracy_text, area_text, parse_length};

use crate::cli::New;
use crate::site_folder::{local_notes, text_of, write_whole};
use crate::survey_file::{self, ACCURACY_M, ListFile, bare_site, doubts_text, refuse_no_surface};
use crate::{Outcome, progress, say};

/// Name of the survey in the site's folder.
const SURVEY: &str = "survey.csv";
/// Height of the eye of someone who stands, in metres. Common practice, no source.
const EYE_M: f64 = 1.6;

/// Starts a site.
pub(crate) fn run(asked: &New) -> anyhow::Result<Outcome> {
    refuse_existing(&asked.dir)?;
    let told = Told { columns: asked.list.columns.clone(), unit: asked.list.units };
    let file = survey_file::read_with_bench(&asked.survey, &told, asked.bench.as_deref())?;
    let ListFile { bytes, mut list, notes } = file;
    refuse_no_surface(&asked.survey, &list)?;
    let frame = survey_file::frame(&[&list], list.unit)?;
    let mut line_codes = asked.list.lines.clone();
    let at_survey = |error: PointsError| anyhow!("{}: {error}", asked.survey.display());
    let survey_text = match (&asked.breaklines, &notes) {
        (None, None) => points::as_read(&bytes, &list).map_err(at_survey)?,
        (None, Some(_)) => {
            level_book::as_read(&bytes, list.unit, asked.bench.as_deref()).map_err(at_survey)?
        }
        (Some(path), None) => {
            line_codes.extend(add_breaklines(&mut list, path)?);
            points::write(&list.points, list.unit)
        }
        (Some(path), Some(_)) => bail!(
            "{}: read breaklines beside a level book, expected codes in the book's own rows",
            path.display()
        ),
    };
    let mut survey = survey_file::survey(&list, &frame, &line_codes);
    survey.file = SURVEY.to_owned();
    survey.accuracy_m = accuracy(asked, &list)?;
    add_outlines(&mut survey, asked, &list, &frame)?;
    let n_lines = survey.code_lines().len();
    if let Some(notes) = notes {
        // What the notes make of the ground is computed, not stored.
        survey.points = Vec::new();
        survey.levels = Some(local_notes(notes, frame.origin_m));
    }
    let mut site = bare_site(&title(asked), frame, survey);
    site.viewpoints = vec![first_viewpoint(&site, &list)];
    let evaluation = progress::during("working out the ground", || evaluate(&site));
    if let Some(reason) = &evaluation.survey.refused {
        bail!("{}: {reason}, expected points that span a surface", asked.survey.display());
    }
    write_folder(&asked.dir, &site, &survey_text)?;
    say(&summary(asked, &list, n_lines, &site, &evaluation))?;
    Ok(match report::n_findings(&evaluation, Severity::Stop) {
        0 => Outcome::Done,
        _ => Outcome::StopStands,
    })
}

/// Refuses a folder that holds anything: nothing of the user's is written over.
pub(super) fn refuse_existing(dir: &Path) -> anyhow::Result<()> {
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

fn accuracy(asked: &New, list: &PointList) -> anyhow::Result<f64> {
    let Some(text) = &asked.accuracy else { return Ok(ACCURACY_M) };
    parse_length(text, list.unit).map_err(|error| anyhow!("--accuracy {text}: {error}"))
}

/// Adds the lines of a file to the list, each with a code of its own, and answers their codes.
fn add_breaklines(list: &mut PointList, path: &Path) -> anyhow::Result<Vec<String>> {
    let told = Told { columns: None, unit: Some(list.unit) };
    let lines = survey_file::read(path, &told)?.list;
    let stem = path.file_stem().map_or("LINE".into(), |stem| stem.to_string_lossy()).to_uppercase();
    let mut codes = Vec::new();
    for run in points::runs(&lines.points) {
        if run.len() < 2 {
            bail!(
                "{}: line {}: read a line of one point, expected two or more",
                path.display(),
                run[0].line
            );
        }
        let code = format!("{stem}-{}", codes.len() + 1);
        // A gap in the numbering stands for the blank line that ends the run before.
        let first_line = list.points.last().map_or(0, |point| point.line) + 2;
        for (line, point) in (first_line..).zip(run) {
            let name = format!("{code}-{}", line - first_line + 1);
            list.points.push(Point { name, code: code.clone(), line, ..point.clone() });
        }
        codes.push(code);
    }
    list.doubts.extend(lines.doubts);
    Ok(codes)
}

/// Boundary and voids, from files or by code.
fn add_outlines(
    survey: &mut Survey,
    asked: &New,
    list: &PointList,
    frame: &Frame,
) -> anyhow::Result<()> {
    let told = Told { columns: None, unit: Some(list.unit) };
    let boundary_code = asked.boundary_code.as_ref().or(list.boundary_code.as_ref());
    let void_code = asked.void_code.as_ref().or(list.void_code.as_ref());
    if let Some(path) = &asked.boundary {
        let rows = survey_file::read(path, &told)?.list.points;
        survey.boundary = outline(path, &rows.iter().collect::<Vec<_>>(), frame)?;
    } else if let Some(code) = boundary_code {
        survey.boundary = outline(&asked.survey, &points::with_code(&list.points, code), frame)?;
    }
    if let Some(path) = &asked.voids {
        let rows = survey_file::read(path, &told)?.list.points;
        for run in points::runs(&rows) {
            survey.voids.push(outline(path, &run.iter().collect::<Vec<_>>(), frame)?);
        }
    } else if let Some(code) = void_code {
        let is_void = |run: &&[Point]| run[0].code.eq_ignore_ascii_case(code);
        for run in points::runs(&list.points).filter(is_void) {
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

/// Someone at the edge of the garden who looks to its middle.
fn first_viewpoint(site: &Site, list: &PointList) -> Viewpoint {
    let near: Vec<&Point> = survey_file::near(list).collect();
    let [east, north] = site.frame.origin_m;
    let local = |point: &Point| [point.at_m[0] - east, point.at_m[1] - north, point.at_m[2]];
    let middle_z = near.iter().map(|point| point.at_m[2]).sum::<f64>() / near.len().max(1) as f64;
    let southmost = near.iter().min_by(|a, b| a.at_m[1].total_cmp(&b.at_m[1]));
    let [x, y, _] = southmost.map_or([0.0; 3], |point| local(point));
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
fn write_folder(dir: &Path, site: &Site, survey_text: &str) -> anyhow::Result<()> {
    let beside = beside(dir);
    let written = fs::create_dir(&beside)
        .with_context(|| format!("{}: cannot make this folder", dir.display()))
        .and_then(|()| write_whole(&beside.join(SURVEY), survey_text.as_bytes()))
        .and_then(|()| {
            let document = beside.join("site.ron");
            write_whole(&document, text_of(site, &document)?.as_bytes())
        })
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

fn summary(
    asked: &New,
    list: &PointList,
    n_lines: usize,
    site: &Site,
    evaluation: &Evaluation,
) -> String {
    let unit = site.frame.unit;
    let mut out = format!(
        "{}: {} points, {}, unit {}\n",
        asked.survey.display(),
        list.points.len(),
        list.dialect,
        word_of(list.unit)
    );
    if !site.survey.line_codes.is_empty() {
        let codes = site.survey.line_codes.join(", ");
        out.push_str(&format!("  breaklines from the codes {codes}: {n_lines}\n"));
    }
    if !site.survey.set_aside.is_empty() {
        let names = site.survey.set_aside.join(", ");
        out.push_str(&format!("  set aside, too far off for any garden: {names}\n"));
    }
    out.push_str(&doubts_text(&list.doubts));
    out.push_str(&report::levels_text(site, evaluation));
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
