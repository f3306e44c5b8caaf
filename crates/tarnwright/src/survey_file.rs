//! From point lists and other files of ground to a survey in a frame of its own.

use std::fmt::Display;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use anyhow::{Context as _, anyhow, bail};
use exchange::content::Line;
use exchange::landxml::{self, LandXmlError};
use exchange::level_book;
use exchange::points::{self, Doubt, DoubtKind, Point, PointList, Told};
use exchange::surveyed::Surveyed;
use ground::Lattice;
use site::{Frame, Haul, LevelNotes, Limits, Site, Soils, Survey, SurveyLine, SurveyPoint};
use units::LengthUnit;

use crate::progress;
use crate::site_folder::local;

/// Vertical accuracy that a shot is given where nobody tells: 15 mm, a laser and rod on lawn.
/// Common practice, no source.
pub(crate) const ACCURACY_M: f64 = 0.015;
/// Works reach beyond the survey, so the lattice reaches this many times as far.
const ROOM: f64 = 1.5;
/// Doubts of one kind shown one by one.
const SHOWN: usize = 12;

/// A point list and its bytes; of a level book, the points that it is reduced to.
pub(crate) struct ListFile {
    pub bytes: Vec<u8>,
    pub list: PointList,
    /// The level book's notes, places in the world's frame.
    pub notes: Option<LevelNotes>,
    /// Whether the list's places are those that its bytes tell.
    pub is_as_told: bool,
}

/// Reads a point list or a level book; messages begin with its path.
pub(crate) fn read(path: &Path, told: &Told) -> anyhow::Result<ListFile> {
    let bytes = fs::read(path)
        .with_context(|| format!("{}: cannot be read, expected a point list", path.display()))?;
    parsed(path, bytes, told, None)
}

/// A point list, or a level book whose first mark's elevation may be told.
pub(crate) fn parsed(
    path: &Path,
    bytes: Vec<u8>,
    told: &Told,
    bench: Option<&str>,
) -> anyhow::Result<ListFile> {
    let at_path = |error: &dyn Display| anyhow!("{}: {error}", path.display());
    let reading = format!("reading {}", path.display());
    if told.columns.is_none() && level_book::is_level_book(&bytes) {
        let told = level_book::Told { unit: told.unit, bench: bench.map(str::to_owned) };
        let book = progress::during(&reading, || level_book::read(&bytes, &told))
            .map_err(|error| at_path(&error))?;
        return Ok(ListFile { bytes, list: book.list, notes: Some(book.notes), is_as_told: true });
    }
    if let Some(bench) = bench {
        bail!("--bench {bench}: expected a level book, and {} is a point list", path.display());
    }
    let list = progress::during(&reading, || points::read(&bytes, told))
        .map_err(|error| at_path(&error))?;
    Ok(ListFile { bytes, list, notes: None, is_as_told: true })
}

/// Refuses a list whose points span no surface.
pub(crate) fn refuse_no_surface(path: &Path, list: &PointList) -> anyhow::Result<()> {
    points::check_spread(&list.points).map_err(|error| anyhow!("{}: {error}", path.display()))
}

/// A frame around places: its origin in their middle at whole metres, its lattice the finest that
/// reaches well beyond them.
pub(crate) fn frame(
    places_m: impl Iterator<Item = [f64; 2]>,
    unit: LengthUnit,
) -> anyhow::Result<Frame> {
    let places: Vec<[f64; 2]> = places_m.collect();
    let range = |axis: usize| {
        places.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], place| {
            [low.min(place[axis]), high.max(place[axis])]
        })
    };
    let (east, north) = (range(0), range(1));
    let middle = |[low, high]: [f64; 2]| ((low + high) / 2.0).round();
    let half = |[low, high]: [f64; 2]| (high - low) / 2.0 + 1.0;
    let reach_m = ROOM * half(east).max(half(north));
    let lattice = Lattice::reaching(reach_m).ok_or_else(|| {
        anyhow!("the points spread over {:.0} m, expected a garden: strays?", 2.0 * reach_m / ROOM)
    })?;
    Ok(Frame {
        unit,
        step_um: lattice.step_um(),
        origin_m: [middle(east), middle(north)],
        horizontal_datum: String::new(),
        vertical_datum: String::new(),
    })
}

/// The points of a list but those that are far off.
pub(crate) fn near(list: &PointList) -> impl Iterator<Item = &Point> {
    let far: Vec<u32> = list
        .doubts
        .iter()
        .filter(|doubt| doubt.kind == DoubtKind::FarOff)
        .map(|doubt| doubt.line)
        .collect();
    list.points.iter().filter(move |point| far.binary_search(&point.line).is_err())
}

/// The survey of a list in a frame, joined by `line_codes` and by those that the list tells.
///
/// Points beyond the frame's reach are set aside.
pub(crate) fn survey(list: &PointList, frame: &Frame, line_codes: &[String]) -> Survey {
    let points = local(&list.points, frame.origin_m);
    let reach_m = Lattice::new(frame.step_um).map_or(0.0, Lattice::reach_m);
    let beyond = |at: [f64; 3]| at[0].abs() > reach_m || at[1].abs() > reach_m;
    let set_aside = points.iter().filter(|p| beyond(p.at_m)).map(|p| p.name.clone()).collect();
    let mut codes = list.line_codes.clone();
    codes.extend(line_codes.iter().filter(|code| !list.line_codes.contains(code)).cloned());
    Survey {
        file: String::new(),
        points,
        breaklines: Vec::new(),
        line_codes: codes,
        boundary: Vec::new(),
        voids: Vec::new(),
        set_aside,
        accuracy_m: ACCURACY_M,
        levels: None,
    }
}

/// Points and breaklines of a LandXML file in a frame, as a site's folder holds one.
pub(crate) fn of_landxml(
    bytes: &[u8],
    frame: &Frame,
) -> anyhow::Result<(Vec<SurveyPoint>, Vec<SurveyLine>)> {
    // A file that does not tell its unit is in the one that its site tells.
    let content = match landxml::read(bytes, &landxml::Told::default()) {
        Err(LandXmlError::UnitUnknown) => {
            let unit = Some(frame.unit);
            landxml::read(bytes, &landxml::Told { unit, ..landxml::Told::default() })
        }
        other => other,
    }?;
    if let Some(stopped) = &content.stopped {
        bail!("{stopped}");
    }
    let surveyed = Surveyed::of(&content, frame, &mut Vec::new())?;
    points::check_spread(&surveyed.points)?;
    let [east, north] = frame.origin_m;
    let line = |line: &Line| SurveyLine {
        code: line.name.clone(),
        points_m: (line.places.iter())
            .filter_map(|p| Some([p.at_m[0] - east, p.at_m[1] - north, p.z_m?]))
            .collect(),
    };
    let breaklines = surveyed.breaklines.iter().map(line).collect();
    Ok((local(&surveyed.points, frame.origin_m), breaklines))
}

/// A site with nothing but its survey.
pub(crate) fn bare_site(title: &str, frame: Frame, survey: Survey) -> Site {
    Site {
        format: Site::FORMAT,
        title: title.to_owned(),
        frame,
        survey: Arc::new(survey),
        soils: Soils::default(),
        keep_outs: Vec::new(),
        digging: site::Digging::default(),
        carry: site::Carry::default(),
        stockpiles: Vec::new(),
        works: Vec::new(),
        next_id: 1,
        circulation: Default::default(),
        weather: Default::default(),
        houses: Vec::new(),
        limits: Limits::default(),
        haul: Haul::default(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

/// Doubts as lines of text: the first of each kind, and how many more there are.
pub(crate) fn doubts_text(doubts: &[Doubt]) -> String {
    let mut sorted: Vec<&Doubt> = doubts.iter().collect();
    sorted.sort_by_key(|doubt| (doubt.kind, doubt.line));
    let mut out = String::new();
    for kind in sorted.chunk_by(|a, b| a.kind == b.kind) {
        for doubt in kind.iter().take(SHOWN) {
            out.push_str(&format!("  look at line {}: {}\n", doubt.line, doubt.message));
        }
        if kind.len() > SHOWN {
            out.push_str(&format!("  and {} more like these\n", kind.len() - SHOWN));
        }
    }
    out
}
