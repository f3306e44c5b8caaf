//! What is understood of a survey, before anything is written, and the flags that correct it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use exchange::content::{Content, Datum, LineKind};
use exchange::convert::{Format, Held};
use exchange::points::{Point, PointList, check_spread};
use exchange::surveyed::{Surveyed, ground_places_m};
use exchange::unit_words::word_of;
use units::LengthUnit;

use crate::cli::New;
use crate::ground_file::{self, GroundFile};
use crate::survey_file::{self, ListFile, doubts_text};
use crate::{Outcome, say};

const STRING: &str = "a string takes any text";

/// Says what is understood of a survey.
pub(super) fn run(asked: &New, file: GroundFile) -> anyhow::Result<Outcome> {
    let mut out = match file {
        GroundFile::List(file) => of_list(asked, &file),
        GroundFile::Other { format, held } => of_other(asked, format, *held)?,
    };
    writeln!(
        out,
        "Nothing is written. Without --preview this starts a site in {}.",
        asked.dir.display()
    )
    .expect(STRING);
    say(&out)?;
    Ok(Outcome::Done)
}

fn of_list(asked: &New, file: &ListFile) -> String {
    let list = &file.list;
    let kind = if file.notes.is_some() { "a level book" } else { "a point list" };
    let mut out = format!(
        "{}: {kind}, {} points\n  {}; another order: --columns\n",
        asked.survey.display(),
        list.points.len(),
        list.dialect
    );
    out.push_str(&unit_text(list.unit));
    out.push_str(&extent_text(survey_file::near(list).map(|point| point.at_m), list.unit));
    out.push_str(&codes_text(&list.points));
    out.push_str(&breaklines_text(asked, list));
    let outline = asked.boundary_code.as_ref().or(list.boundary_code.as_ref());
    let outline = match (&asked.boundary, outline) {
        (Some(path), _) => format!("from {}", path.display()),
        (None, Some(code)) => format!("points of the code {code}"),
        (None, None) => "the hull of all points; --boundary or --boundary-code".to_owned(),
    };
    writeln!(out, "  outline: {outline}").expect(STRING);
    out.push_str(&datum_text(&Datum::default()));
    out.push_str(&doubts_text(&list.doubts));
    if let Err(error) = check_spread(&list.points) {
        writeln!(out, "  no ground: {error}").expect(STRING);
    }
    out
}

fn breaklines_text(asked: &New, list: &PointList) -> String {
    let near = survey_file::near(list).map(|point| [point.at_m[0], point.at_m[1]]);
    let frame = match survey_file::frame(near, list.unit) {
        Ok(frame) => frame,
        Err(error) => return format!("  no ground: {error}\n"),
    };
    let survey = survey_file::survey(list, &frame, &asked.read.lines);
    let mut out = String::new();
    if !survey.set_aside.is_empty() {
        let names = survey.set_aside.join(", ");
        writeln!(out, "  set aside, too far off for any garden: {names}").expect(STRING);
    }
    if survey.line_codes.is_empty() {
        out.push_str("  breaklines: none; --lines names the codes that join\n");
    } else {
        let codes = survey.line_codes.join(", ");
        let n = survey.code_lines().len();
        writeln!(out, "  breaklines: {n} from the codes {codes}; others: --lines").expect(STRING);
    }
    out
}

fn of_other(asked: &New, format: Format, held: Held) -> anyhow::Result<String> {
    let mut out = format!("{}: {format}\n", asked.survey.display());
    let (unit, datum) = match &held {
        Held::Cloud(cloud) => (cloud.unit, cloud.datum.clone()),
        Held::Content(content) => (content.unit, content.datum.clone()),
    };
    out.push_str(&unit_text(unit));
    match &held {
        Held::Cloud(cloud) => {
            out.push_str(&extent_text(cloud.points_m(), unit));
            for count in &cloud.classes {
                writeln!(out, "  class {}: {} points", class_text(count.class), count.n_points)
                    .expect(STRING);
            }
            writeln!(out, "  taken: {} points; others: --classes", cloud.len()).expect(STRING);
        }
        Held::Content(content) => out.push_str(&content_text(content)),
    }
    out.push_str(&datum_text(&datum));
    if matches!(format, Format::LandXml) {
        out.push_str("  places: northing first, as the schema has them, unless --easting-first\n");
    } else if matches!(format, Format::Las | Format::Laz | Format::GeoJson) {
        out.push_str(
            "  places: easting first, as the standard has them, unless --northing-first\n",
        );
    }
    let mut notes = ground_file::doubts(&held);
    out.push_str(&ground_text(asked, held, &mut notes)?);
    notes.iter().for_each(|note| writeln!(out, "  look at: {note}").expect(STRING));
    Ok(out)
}

/// What would become the ground, or what must be told for it.
fn ground_text(asked: &New, held: Held, notes: &mut Vec<String>) -> anyhow::Result<String> {
    let must_thin = match &held {
        Held::Cloud(_) => true,
        Held::Content(content) => content.grid.is_some(),
    };
    if must_thin && asked.read.error.is_none() {
        return Ok("  ground: thinned to an error that must be told: --error\n".to_owned());
    }
    if let Held::Content(content) = &held
        && let Err(error) = ground_places_m(content)
    {
        return Ok(format!("  ground: {error}\n"));
    }
    let content = ground_file::as_one(&asked.survey, held, &asked.read, notes)?;
    let laid = ground_places_m(&content).map_err(anyhow::Error::from).and_then(|places| {
        let frame = survey_file::frame(places.into_iter(), content.unit)?;
        Ok(Surveyed::of(&content, &frame, notes)?)
    });
    Ok(match laid {
        Ok(laid) => format!("  ground: {}\n", super::taken_text(&laid)),
        Err(error) => format!("  no ground: {error:#}\n"),
    })
}

fn content_text(content: &Content) -> String {
    let unit = content.unit;
    let mut out = String::new();
    if let Some(grid) = &content.grid {
        let [columns, rows] = grid.size();
        let [dx, dy] = grid.step_m().map(|step| unit.from_metres(step));
        let n = grid.posts_m().count();
        out.push_str(&extent_text(grid.posts_m(), unit));
        writeln!(
            out,
            "  grid: {columns} by {rows} posts, {dx:.3} by {dy:.3} {} apart, {} without a height",
            word_of(unit),
            columns * rows - n
        )
        .expect(STRING);
    }
    if !content.points.is_empty() {
        out.push_str(&extent_text(content.points.iter().map(|point| point.at_m), unit));
        writeln!(out, "  points: {}", content.points.len()).expect(STRING);
        out.push_str(&codes_text(&content.points));
    }
    out.push_str(&lines_text("  lines", content.lines.iter().map(|line| line.kind)));
    for tin in &content.surfaces {
        writeln!(
            out,
            "  surface {}: {} points, {} triangles",
            tin.name,
            tin.vertices_m.len(),
            tin.faces.len()
        )
        .expect(STRING);
        out.push_str(&extent_text(tin.vertices_m.iter().copied(), unit));
        out.push_str(&lines_text("    with", tin.lines.iter().map(|line| line.kind)));
    }
    out
}

fn unit_text(unit: LengthUnit) -> String {
    format!("  unit: {}; another, where the file tells none: --units\n", word_of(unit))
}

/// From where to where places stand, in the unit of the file.
fn extent_text(places_m: impl Iterator<Item = [f64; 3]>, unit: LengthUnit) -> String {
    let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for place in places_m {
        for (range, c) in range.iter_mut().zip(place) {
            *range = [range[0].min(c), range[1].max(c)];
        }
    }
    let mut out = String::new();
    for (name, range) in ["easting", "northing", "elevation"].iter().zip(range) {
        let [low, high] = range.map(|c| unit.from_metres(c));
        if low <= high {
            let unit = word_of(unit);
            writeln!(out, "  {name}: {low:.2} to {high:.2} {unit}, {:.2} in all", high - low)
                .expect(STRING);
        }
    }
    out
}

/// The codes of points, by how many have each.
fn codes_text(points: &[Point]) -> String {
    const SHOWN: usize = 20;
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for point in points.iter().filter(|point| !point.code.is_empty()) {
        *counts.entry(&point.code).or_default() += 1;
    }
    if counts.is_empty() {
        return String::new();
    }
    let words = counts.iter().take(SHOWN).map(|(code, n)| format!("{code} {n}"));
    let more = if counts.len() > SHOWN { ", and more" } else { "" };
    format!("  codes: {}{more}\n", words.collect::<Vec<_>>().join(", "))
}

fn lines_text(what: &str, kinds: impl Iterator<Item = LineKind>) -> String {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    kinds.for_each(|kind| *counts.entry(kind.as_str()).or_default() += 1);
    if counts.is_empty() {
        return String::new();
    }
    let words = counts.iter().map(|(kind, n)| format!("{n} of the kind {kind}"));
    format!("{what}: {}\n", words.collect::<Vec<_>>().join(", "))
}

fn datum_text(datum: &Datum) -> String {
    let told =
        |words: &str| if words.is_empty() { "not told".to_owned() } else { words.to_owned() };
    format!("  datum: {}; of elevations: {}\n", told(&datum.horizontal), told(&datum.vertical))
}

/// A class of points by its number and its name.
///
/// # Source
/// ASPRS LAS 1.4 R16, standard classes of points.
fn class_text(class: u8) -> String {
    let name = match class {
        0 | 1 => "not classified",
        2 => "ground",
        3 => "low plants",
        4 => "plants",
        5 => "high plants",
        6 => "building",
        7 => "low noise",
        9 => "water",
        18 => "high noise",
        _ => return class.to_string(),
    };
    format!("{class}, {name}")
}
