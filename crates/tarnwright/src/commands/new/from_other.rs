//! A site's survey from any other file of ground: a LandXML file of its own in the site's folder.
//!
//! The file holds points, breaklines and outlines, from which the triangles of the file that was read
//! come again; a cloud or a grid is thinned once. So the folder needs no other file.

use anyhow::anyhow;
use exchange::content::{Line, LineKind, LinePlace};
use exchange::convert::{Format, Held};
use exchange::landxml;
use exchange::surveyed::{Surveyed, ground_places_m};
use exchange::unit_words::word_of;
use site::{Frame, Survey};

use super::{OutlineCodes, Read, accuracy, add_outlines, code_of, lines_of, taken_text};
use crate::cli::New;
use crate::commands::convert::now;
use crate::ground_file;
use crate::survey_file;

/// Name of the survey in the site's folder.
const SURVEY: &str = "survey.xml";
/// More points than this make every edit of a site slow. Our own measure, on two cores.
const MANY: usize = 100_000;

pub(super) fn read(asked: &New, format: Format, held: Held) -> anyhow::Result<Read> {
    let at_survey = |error: &dyn std::fmt::Display| anyhow!("{}: {error}", asked.survey.display());
    ground_file::refuse_cut(&asked.survey, &held)?;
    let mut notes = ground_file::doubts(&held);
    let original = original(asked, &held);
    let content = ground_file::as_one(&asked.survey, held, &asked.read, &mut notes)?;
    let places = ground_places_m(&content).map_err(|error| at_survey(&error))?;
    let mut frame = survey_file::frame(places.into_iter(), content.unit)?;
    frame.horizontal_datum.clone_from(&content.datum.horizontal);
    frame.vertical_datum.clone_from(&content.datum.vertical);
    let mut surveyed =
        Surveyed::of(&content, &frame, &mut notes).map_err(|error| at_survey(&error))?;
    if let Some(original) = original {
        surveyed.name = original;
    }
    add_breaklines(&mut surveyed, asked, &frame)?;
    let out = surveyed.content(content.unit, &content.datum, &content.points);
    let text = landxml::write(&out, content.unit, &now());
    // What the site is worked out from is what it will be opened with.
    let (points, breaklines) = survey_file::of_landxml(text.as_bytes(), &frame)
        .map_err(|error| at_survey(&format_args!("{error:#}")))?;
    let mut survey = Survey {
        file: SURVEY.to_owned(),
        points,
        breaklines,
        line_codes: asked.read.lines.clone(),
        boundary: surveyed.boundary.as_ref().map(|line| ring(line, &frame)).unwrap_or_default(),
        voids: surveyed.voids.iter().map(|line| ring(line, &frame)).collect(),
        accuracy_m: accuracy(asked, content.unit)?,
        ..Survey::default()
    };
    let codes =
        OutlineCodes { boundary: asked.boundary_code.as_ref(), voids: asked.void_code.as_ref() };
    add_outlines(&mut survey, asked, &surveyed.points, codes, &frame)?;
    if survey.points.len() > MANY {
        notes.push(format!(
            "more than {MANY} points make every edit slow: a larger --error keeps fewer"
        ));
    }
    let taken = taken_text(&surveyed);
    let told = told(asked, format, word_of(content.unit), &taken, &notes);
    let near_m = survey.points.iter().map(|point| point.at_m).collect();
    Ok(Read { frame, survey, near_m, text, told })
}

/// What the surface of a thinned file is called: the file, and the error.
fn original(asked: &New, held: &Held) -> Option<String> {
    let is_thinned = match held {
        Held::Cloud(_) => true,
        Held::Content(content) => content.grid.is_some(),
    };
    let file = asked.survey.file_name().map(|name| name.to_string_lossy());
    let error = asked.read.error.as_deref().unwrap_or_default();
    is_thinned.then(|| format!("{}, thinned to {error}", file.unwrap_or_default()))
}

fn add_breaklines(surveyed: &mut Surveyed, asked: &New, frame: &Frame) -> anyhow::Result<()> {
    let Some(path) = &asked.breaklines else { return Ok(()) };
    let stem = code_of(path);
    for (number, run) in (1..).zip(lines_of(path, frame.unit)?.0) {
        surveyed.breaklines.push(Line {
            name: format!("{stem}-{number}"),
            kind: LineKind::Breakline,
            places: run.iter().map(|point| LinePlace::solid(point.at_m)).collect(),
        });
    }
    Ok(())
}

/// A closed line as an outline of the site, local metres, to the finest step of a lattice.
fn ring(line: &Line, frame: &Frame) -> Vec<[f64; 2]> {
    let [east, north] = frame.origin_m;
    let open = line.places.len() - usize::from(line.is_closed());
    let local = |p: &LinePlace| [p.at_m[0] - east, p.at_m[1] - north];
    line.places[..open].iter().map(|p| local(p).map(|c| (c * 1e6).round() / 1e6)).collect()
}

fn told(asked: &New, format: Format, unit: &str, taken: &str, notes: &[String]) -> String {
    let mut out = format!("{}: {format}, unit {unit}\n", asked.survey.display());
    notes.iter().for_each(|note| out.push_str(&format!("  {note}\n")));
    out.push_str(&format!("  {SURVEY} in the site's folder holds what was taken: {taken}\n"));
    out
}
