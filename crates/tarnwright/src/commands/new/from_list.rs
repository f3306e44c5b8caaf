//! A site's survey from a point list or a level book.

use anyhow::{anyhow, bail};
use exchange::level_book;
use exchange::points::{self, Point, PointList, PointsError};
use exchange::understood::points_text;
use exchange::unit_words::word_of;

use super::{OutlineCodes, Read, accuracy, add_outlines, code_of, lines_of};
use crate::cli::New;
use crate::site_folder::local_notes;
use crate::survey_file::{self, ListFile, doubts_text, refuse_no_surface};

/// Name of the survey in the site's folder.
const SURVEY: &str = "survey.csv";

pub(super) fn read(asked: &New, file: ListFile) -> anyhow::Result<Read> {
    let ListFile { bytes, mut list, notes, is_as_told } = file;
    refuse_no_surface(&asked.survey, &list)?;
    let near = survey_file::near(&list).map(|point| [point.at_m[0], point.at_m[1]]);
    let frame = survey_file::frame(near, list.unit)?;
    let mut line_codes = asked.read.lines.clone();
    let at_survey = |error: PointsError| anyhow!("{}: {error}", asked.survey.display());
    let text = match (&asked.breaklines, &notes) {
        (None, None) if is_as_told => points::as_read(&bytes, &list).map_err(at_survey)?,
        (None, None) => points::write(&list.points, list.unit),
        (None, Some(_)) => {
            level_book::as_read(&bytes, list.unit, asked.bench.as_deref()).map_err(at_survey)?
        }
        (Some(_), None) => {
            line_codes.extend(add_breaklines(&mut list, asked)?);
            points::write(&list.points, list.unit)
        }
        (Some(path), Some(_)) => bail!(
            "{}: read breaklines beside a level book, expected codes in the book's own rows",
            path.display()
        ),
    };
    let mut survey = survey_file::survey(&list, &frame, &line_codes);
    survey.file = SURVEY.to_owned();
    survey.accuracy_m = accuracy(asked, list.unit)?;
    let codes = OutlineCodes {
        boundary: asked.boundary_code.as_ref().or(list.boundary_code.as_ref()),
        voids: asked.void_code.as_ref().or(list.void_code.as_ref()),
    };
    add_outlines(&mut survey, asked, &list.points, codes, &frame)?;
    let n_lines = survey.code_lines().len();
    if let Some(notes) = notes {
        // What the notes make of the ground is computed, not stored.
        survey.points = Vec::new();
        survey.levels = Some(local_notes(notes, frame.origin_m));
    }
    let told = told(asked, &list, n_lines, &survey);
    let [east, north] = frame.origin_m;
    let near_m = survey_file::near(&list)
        .map(|point| [point.at_m[0] - east, point.at_m[1] - north, point.at_m[2]])
        .collect();
    Ok(Read { frame, survey, near_m, text, told })
}

/// Adds the lines of a file to the list, each with a code of its own, and answers their codes.
fn add_breaklines(list: &mut PointList, asked: &New) -> anyhow::Result<Vec<String>> {
    let Some(path) = &asked.breaklines else { return Ok(Vec::new()) };
    let (runs, doubts) = lines_of(path, list.unit)?;
    let stem = code_of(path);
    let mut codes = Vec::new();
    for run in &runs {
        let code = format!("{stem}-{}", codes.len() + 1);
        // A gap in the numbering stands for the blank line that ends the run before.
        let first_line = list.points.last().map_or(0, |point| point.line) + 2;
        for (line, point) in (first_line..).zip(run) {
            let name = format!("{code}-{}", line - first_line + 1);
            list.points.push(Point { name, code: code.clone(), line, ..point.clone() });
        }
        codes.push(code);
    }
    list.doubts.extend(doubts);
    Ok(codes)
}

fn told(asked: &New, list: &PointList, n_lines: usize, survey: &site::Survey) -> String {
    let mut out = format!(
        "{}: {}, {}, unit {}\n",
        asked.survey.display(),
        points_text(list.points.len()),
        list.dialect,
        word_of(list.unit)
    );
    if !survey.line_codes.is_empty() {
        let codes = survey.line_codes.join(", ");
        out.push_str(&format!("  breaklines from the codes {codes}: {n_lines}\n"));
    }
    if !survey.set_aside.is_empty() {
        let names = survey.set_aside.join(", ");
        out.push_str(&format!("  set aside, too far off for any garden: {names}\n"));
    }
    out.push_str(&doubts_text(&list.doubts));
    out
}
