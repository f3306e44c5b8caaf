//! What is understood of a survey, before anything is written, and the flags that correct it.

use std::collections::BTreeMap;

use exchange::content::{Content, Datum, Line, LineKind, LinePlace};
use exchange::convert::{Format, Held};
use exchange::points::{Doubt, Point, PointList, check_spread};
use exchange::report::closing;
use exchange::surveyed::{Surveyed, ground_places_m};
use exchange::understood::{Correction, SHOWN_POINTS, Understood, points_text};
use exchange::unit_words::word_of;
use units::LengthUnit;

use crate::cli::New;
use crate::ground_file::{self, GroundFile};
use crate::survey_file::{self, ListFile, doubts_text};
use crate::{Outcome, say};

/// Says what is understood of a survey.
pub(super) fn run(asked: &New, file: GroundFile) -> anyhow::Result<Outcome> {
    let understood = understood(asked, file)?;
    let doubts: Vec<Doubt> = understood.doubts.iter().map(|(doubt, _)| doubt.clone()).collect();
    let notes = understood.notes.iter().map(|note| format!("  look at: {note}\n"));
    say(&format!(
        "{}: {}\n{}{}{}{}Nothing is written. Without --preview this starts a site in {}.\n",
        asked.survey.display(),
        understood.kind,
        understood.facts_text(),
        doubts_text(&doubts),
        notes.collect::<String>(),
        understood.no_ground.map(|why| format!("  no ground: {why}\n")).unwrap_or_default(),
        asked.dir.display()
    ))?;
    Ok(Outcome::Done)
}

/// What is understood of a survey, and what can be told to read it otherwise.
pub(crate) fn understood(asked: &New, file: GroundFile) -> anyhow::Result<Understood> {
    match file {
        GroundFile::List(file) => Ok(of_list(asked, &file)),
        GroundFile::Other { format, held } => of_other(asked, format, *held),
    }
}

fn of_list(asked: &New, file: &ListFile) -> Understood {
    let list = &file.list;
    let kind = if file.notes.is_some() { "a level book" } else { "a point list" };
    let mut out = Understood {
        kind: format!("{kind}, {}", points_text(list.points.len())),
        unit: Some(list.unit),
        points: list.points.iter().take(SHOWN_POINTS).cloned().collect(),
        doubts: list.doubts.iter().map(|doubt| (doubt.clone(), named(list, doubt))).collect(),
        corrections: match file.notes {
            Some(_) => vec![Correction::Unit, Correction::Bench, Correction::Lines],
            None => vec![Correction::Columns, Correction::Unit, Correction::Lines],
        },
        no_ground: check_spread(&list.points).err().map(|error| error.to_string()),
        ..Understood::default()
    };
    out.tell("", list.dialect.to_string(), Some("another order: --columns"));
    tell_unit(&mut out, list.unit);
    tell_extent(&mut out, solid(survey_file::near(list).map(|point| point.at_m)), list.unit);
    if let Some(closing) = file.notes.as_ref().and_then(|notes| closing(notes, list.unit)) {
        out.tell("misclosure", closing, None);
    }
    tell_codes(&mut out, &list.points);
    tell_breaklines(&mut out, asked, list);
    let outline = asked.boundary_code.as_ref().or(list.boundary_code.as_ref());
    match (&asked.boundary, outline) {
        (Some(path), _) => out.tell("outline", format!("from {}", path.display()), None),
        (None, Some(code)) => out.tell("outline", format!("points of the code {code}"), None),
        (None, None) => {
            let flags = Some("--boundary or --boundary-code");
            out.tell("outline", "the hull of all points", flags);
        }
    }
    tell_datum(&mut out, &Datum::default());
    out
}

/// The name of the point that a doubt is about.
fn named(list: &PointList, doubt: &Doubt) -> Option<String> {
    list.points.iter().find(|point| point.line == doubt.line).map(|point| point.name.clone())
}

fn tell_breaklines(out: &mut Understood, asked: &New, list: &PointList) {
    let near = survey_file::near(list).map(|point| [point.at_m[0], point.at_m[1]]);
    let frame = match survey_file::frame(near, list.unit) {
        Ok(frame) => frame,
        Err(error) => {
            out.no_ground = Some(error.to_string());
            return;
        }
    };
    let survey = survey_file::survey(list, &frame, &asked.read.lines);
    if !survey.set_aside.is_empty() {
        out.tell("set aside, too far off for any garden", survey.set_aside.join(", "), None);
    }
    if survey.line_codes.is_empty() {
        out.tell("breaklines", "none", Some("--lines names the codes that join"));
    } else {
        let (n, codes) = (survey.code_lines().len(), survey.line_codes.join(", "));
        out.tell("breaklines", format!("{n} from the codes {codes}"), Some("others: --lines"));
    }
}

fn of_other(asked: &New, format: Format, held: Held) -> anyhow::Result<Understood> {
    let (unit, datum) = match &held {
        Held::Cloud(cloud) => (cloud.unit, cloud.datum.clone()),
        Held::Content(content) => (content.unit, content.datum.clone()),
    };
    let mut out = Understood {
        kind: format.to_string(),
        unit: Some(unit),
        corrections: vec![Correction::Unit],
        ..Understood::default()
    };
    tell_unit(&mut out, unit);
    match &held {
        Held::Cloud(cloud) => {
            tell_extent(&mut out, solid(cloud.points_m()), unit);
            for count in &cloud.classes {
                let points = points_text(count.n_points as usize);
                out.tell(&format!("class {}", class_text(count.class)), points, None);
            }
            out.tell("taken", points_text(cloud.len()), Some("others: --classes"));
        }
        Held::Content(content) => tell_content(&mut out, content),
    }
    tell_datum(&mut out, &datum);
    if matches!(format, Format::LandXml) {
        out.corrections.push(Correction::Axes);
        let told = "northing first, as the schema has them, unless --easting-first";
        out.tell("places", told, None);
    } else if matches!(format, Format::Las | Format::Laz | Format::GeoJson) {
        out.corrections.push(Correction::Axes);
        let told = "easting first, as the standard has them, unless --northing-first";
        out.tell("places", told, None);
    }
    let mut notes = ground_file::doubts(&held);
    tell_ground(&mut out, asked, held, &mut notes)?;
    out.notes = notes;
    Ok(out)
}

/// What would become the ground, or what must be told for it.
fn tell_ground(
    out: &mut Understood,
    asked: &New,
    held: Held,
    notes: &mut Vec<String>,
) -> anyhow::Result<()> {
    let must_thin = match &held {
        Held::Cloud(_) => true,
        Held::Content(content) => content.grid.is_some(),
    };
    if must_thin {
        out.corrections.push(Correction::Error);
    }
    if must_thin && asked.read.error.is_none() {
        out.tell("ground", "thinned to an error that must be told", Some("--error"));
        return Ok(());
    }
    if let Held::Content(content) = &held
        && let Err(error) = ground_places_m(content)
    {
        out.tell("ground", error.to_string(), None);
        return Ok(());
    }
    let content = ground_file::as_one(&asked.survey, held, &asked.read, notes)?;
    let laid = ground_places_m(&content).map_err(anyhow::Error::from).and_then(|places| {
        let frame = survey_file::frame(places.into_iter(), content.unit)?;
        Ok(Surveyed::of(&content, &frame, notes)?)
    });
    match laid {
        Ok(laid) => out.tell("ground", super::taken_text(&laid), None),
        Err(error) => out.no_ground = Some(format!("{error:#}")),
    }
    Ok(())
}

fn tell_content(out: &mut Understood, content: &Content) {
    let unit = content.unit;
    if let Some(grid) = &content.grid {
        let [columns, rows] = grid.size();
        let [dx, dy] = grid.step_m().map(|step| unit.from_metres(step));
        let n = grid.posts_m().count();
        tell_extent(out, solid(grid.posts_m()), unit);
        let told = format!(
            "{columns} by {rows} posts, {dx:.3} by {dy:.3} {} apart, {} without a height",
            word_of(unit),
            columns * rows - n
        );
        out.tell("grid", told, None);
    }
    let along = |line: &Line| line.places.clone();
    let points = solid(content.points.iter().map(|point| point.at_m));
    tell_extent(out, points.chain(content.lines.iter().flat_map(along)), unit);
    if !content.points.is_empty() {
        out.tell("points", content.points.len().to_string(), None);
        tell_codes(out, &content.points);
    }
    tell_lines(out, "lines", content.lines.iter().map(|line| line.kind));
    for tin in &content.surfaces {
        let told = format!("{}, {} triangles", points_text(tin.vertices_m.len()), tin.faces.len());
        out.tell(&format!("surface {}", tin.name), told, None);
        tell_extent(out, solid(tin.vertices_m.iter().copied()), unit);
        tell_lines(out, "with", tin.lines.iter().map(|line| line.kind));
    }
}

fn tell_unit(out: &mut Understood, unit: LengthUnit) {
    out.tell("unit", word_of(unit), Some("another, where the file tells none: --units"));
}

/// From where to where places stand, in the unit of the file; elevations of those that have one.
fn tell_extent(out: &mut Understood, places: impl Iterator<Item = LinePlace>, unit: LengthUnit) {
    let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    let mut widen = |axis: usize, c: f64| {
        let [low, high] = range[axis];
        range[axis] = [low.min(c), high.max(c)];
    };
    for LinePlace { at_m: [x, y], z_m } in places {
        widen(0, x);
        widen(1, y);
        z_m.into_iter().for_each(|z| widen(2, z));
    }
    for (name, range) in ["easting", "northing", "elevation"].iter().zip(range) {
        let [low, high] = range.map(|c| unit.from_metres(c));
        if low <= high {
            let unit = word_of(unit);
            out.tell(name, format!("{low:.2} to {high:.2} {unit}, {:.2} in all", high - low), None);
        }
    }
}

fn solid(places_m: impl Iterator<Item = [f64; 3]>) -> impl Iterator<Item = LinePlace> {
    places_m.map(LinePlace::solid)
}

/// The codes of points, by how many have each.
fn tell_codes(out: &mut Understood, points: &[Point]) {
    const SHOWN: usize = 20;
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for point in points.iter().filter(|point| !point.code.is_empty()) {
        *counts.entry(&point.code).or_default() += 1;
    }
    if counts.is_empty() {
        return;
    }
    let words = counts.iter().take(SHOWN).map(|(code, n)| format!("{code} {n}"));
    let more = if counts.len() > SHOWN { ", and more" } else { "" };
    out.tell("codes", words.collect::<Vec<_>>().join(", ") + more, None);
}

fn tell_lines(out: &mut Understood, what: &str, kinds: impl Iterator<Item = LineKind>) {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    kinds.for_each(|kind| *counts.entry(kind.as_str()).or_default() += 1);
    if !counts.is_empty() {
        let words = counts.iter().map(|(kind, n)| format!("{n} of the kind {kind}"));
        out.tell(what, words.collect::<Vec<_>>().join(", "), None);
    }
}

fn tell_datum(out: &mut Understood, datum: &Datum) {
    let told =
        |words: &str| if words.is_empty() { "not told".to_owned() } else { words.to_owned() };
    let words = format!("{}; of elevations: {}", told(&datum.horizontal), told(&datum.vertical));
    out.tell("datum", words, None);
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
