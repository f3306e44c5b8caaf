//! What the window's start asks for: folders, surveys and new sites.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{anyhow, bail};
use exchange::points::{self, Columns, Point};
use exchange::understood::Understood;
use site::{Survey, faults};
use units::{LengthUnit, parse_length};
use view::{Entry, EntryKind, First, Opened, Slope, Source, Start, Told};

use crate::cli::{New, ReadArgs};
use crate::commands::new;
use crate::ground_file::{self, GroundFile};
use crate::site_folder::SiteFolder;

/// Endings of files that may hold a survey.
const SURVEYS: [&str; 13] = [
    "csv", "txt", "tsv", "asc", "xyz", "xml", "las", "laz", "tif", "tiff", "geojson", "json", "pts",
];
/// How well the levels of a slope are known that nobody has measured. Our own measure.
const GUESSED: &str = "150 mm";

/// Begins sites for the window.
pub(crate) struct Starter;

impl Start for Starter {
    fn first_folder(&self) -> PathBuf {
        std::env::current_dir().unwrap_or_else(|_| PathBuf::from("/"))
    }

    fn list(&self, folder: &Path) -> Result<Vec<Entry>, String> {
        let cannot = |error| format!("{}: cannot be looked into: {error}", folder.display());
        let mut entries: Vec<Entry> = fs::read_dir(folder)
            .map_err(cannot)?
            .flatten()
            .filter_map(|e| entry(&e.path()))
            .collect();
        entries.sort_by_key(|entry| (entry.kind == EntryKind::Survey, entry.name.to_lowercase()));
        Ok(entries)
    }

    fn open(&self, folder: &Path) -> Result<Opened, String> {
        super::opened(folder).map_err(|error| format!("{error:#}"))
    }

    fn understand(&self, survey: &Told) -> Result<Understood, String> {
        understand(survey).map_err(|error| in_fields(&format!("{error:#}")))
    }

    fn make(&self, survey: &Told, folder: &Path) -> Result<Opened, String> {
        let made = make(survey, folder).and_then(|()| super::opened(folder));
        made.map_err(|error| in_fields(&format!("{error:#}")))
    }
}

/// A message with the names of the sheet's fields where it names flags of the command line.
fn in_fields(message: &str) -> String {
    let fields = [
        ("--units", "\"Unit\" below"),
        ("--columns", "\"Columns\" below"),
        ("--lines", "\"Codes that join\" below"),
        ("--bench", "\"First mark's level\" below"),
        ("--error", "\"Thin to within\" below"),
        ("--easting-first", "easting first, chosen below,"),
        ("--northing-first", "northing first, chosen below,"),
    ];
    fields.iter().fold(message.to_owned(), |said, (flag, field)| said.replace(flag, field))
}

/// What is told of a thing in a folder; nothing of what is hidden or of no use.
fn entry(path: &Path) -> Option<Entry> {
    let name = path.file_name()?.to_str().filter(|name| !name.starts_with('.'))?.to_owned();
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_lowercase);
    let kind = if path.is_dir() {
        if SiteFolder::at(path).holds_site() { EntryKind::Site } else { EntryKind::Folder }
    } else if ending.is_some_and(|ending| SURVEYS.contains(&ending.as_str())) {
        EntryKind::Survey
    } else {
        return None;
    };
    Some(Entry { name, kind })
}

fn understand(survey: &Told) -> anyhow::Result<Understood> {
    let asked = asked(survey, Path::new(""))?;
    new::preview::understood(&asked, read(survey, &asked)?)
}

fn make(survey: &Told, folder: &Path) -> anyhow::Result<()> {
    if folder.as_os_str().is_empty() {
        bail!("the site has no folder yet: name one that does not stand");
    }
    new::refuse_existing(folder)?;
    let asked = asked(survey, folder)?;
    let mut made = new::made(&asked, read(survey, &asked)?)?;
    let site = &mut made.site;
    for (told, datum) in [
        (&survey.horizontal_datum, &mut site.frame.horizontal_datum),
        (&survey.vertical_datum, &mut site.frame.vertical_datum),
    ] {
        if !told.trim().is_empty() {
            *datum = told.trim().to_owned();
        }
    }
    let aside = &mut Arc::<Survey>::make_mut(&mut site.survey).set_aside;
    aside.extend(
        survey.set_aside.iter().filter(|name| !aside.contains(name)).cloned().collect::<Vec<_>>(),
    );
    if let Some(fault) = faults(site).into_iter().next() {
        bail!("{}: {}", fault.path, fault.rule);
    }
    let evaluation = design::evaluate(site);
    if let Some(reason) = &evaluation.survey.refused {
        bail!("with those points set aside: {reason}");
    }
    new::write_folder(folder, site, &made.text)
}

/// What is told, as the command line would tell it.
fn asked(survey: &Told, folder: &Path) -> anyhow::Result<New> {
    let words = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    let columns = words(&survey.columns).map(|order| Columns::given(&order)).transpose()?;
    let lines = survey.lines.split([',', ' ']).filter(|code| !code.is_empty()).map(str::to_owned);
    let slope = matches!(survey.source, Source::Slope(_));
    Ok(New {
        dir: folder.to_owned(),
        survey: match &survey.source {
            Source::File(path) => path.clone(),
            Source::Text(_) => PathBuf::from("what was typed"),
            Source::Slope(_) => PathBuf::from("a plain slope"),
        },
        preview: false,
        bench: words(&survey.bench),
        read: ReadArgs {
            units: survey.unit,
            columns,
            lines: lines.collect(),
            easting_first: survey.first == First::Easting,
            northing_first: survey.first == First::Northing,
            error: words(&survey.error),
            ..ReadArgs::default()
        },
        breaklines: None,
        boundary: None,
        boundary_code: None,
        voids: None,
        void_code: None,
        title: words(&survey.title),
        accuracy: slope.then(|| GUESSED.to_owned()),
    })
}

fn read(survey: &Told, asked: &New) -> anyhow::Result<GroundFile> {
    let bench = asked.bench.as_deref();
    match &survey.source {
        Source::File(path) => ground_file::read(path, &asked.read, bench),
        Source::Text(text) if text.trim().is_empty() => {
            bail!("nothing is typed yet, expected points or level notes, one a line")
        }
        Source::Text(text) => {
            let bytes = text.clone().into_bytes();
            ground_file::of_bytes((&asked.survey, None), bytes, &asked.read, bench)
        }
        Source::Slope(slope) => {
            let unit = survey.unit.unwrap_or(LengthUnit::Metre);
            let bytes = points::write(&shots(slope, unit)?, unit).into_bytes();
            let args = ReadArgs { units: Some(unit), ..ReadArgs::default() };
            ground_file::of_bytes((&asked.survey, None), bytes, &args, None)
        }
    }
}

/// Nine points of a plain slope, in metres, its middle at 0, 0.
fn shots(slope: &Slope, unit: LengthUnit) -> anyhow::Result<Vec<Point>> {
    let length = |what: &str, text: &str| {
        parse_length(text, unit).map_err(|error| anyhow!("{what} {text}: {error}"))
    };
    let sides = [length("west to east", &slope.east)?, length("south to north", &slope.north)?];
    if let Some(side) = sides.into_iter().find(|side| !(1.0..=2000.0).contains(side)) {
        bail!("a side of {side:.2} m, expected 1 to 2000 m");
    }
    let level_m = length("level", &slope.level)?;
    let percent: f64 =
        slope.percent.trim().trim_end_matches('%').trim().parse().map_err(|_| {
            anyhow!("fall {}: expected a number of percent, 0 to 50", slope.percent)
        })?;
    if !(0.0..=50.0).contains(&percent) {
        bail!("fall {percent}: expected 0 to 50 percent");
    }
    // Whole eighths of a turn, so that a fall due north leaves no trace of east.
    let eighth = std::f64::consts::FRAC_1_SQRT_2;
    let [east, north] = [
        [0.0, 1.0],
        [eighth, eighth],
        [1.0, 0.0],
        [eighth, -eighth],
        [0.0, -1.0],
        [-eighth, -eighth],
        [-1.0, 0.0],
        [-eighth, eighth],
    ][slope.toward % 8];
    let mut points = Vec::new();
    for row in [-0.5, 0.0, 0.5] {
        for column in [-0.5, 0.0, 0.5] {
            let [x, y] = [column * sides[0], row * sides[1]];
            let z = level_m - percent / 100.0 * (x * east + y * north);
            let name = format!("S{}", points.len() + 1);
            points.push(Point { name, at_m: [x, y, z], ..Point::default() });
        }
    }
    Ok(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIST: &str = "name,x,y,z,code\n1,0,0,10,\n2,30,0,10.5,\n3,30,40,12,\n4,0,40,11.5,\n\
                        5,15,20,11,\n6,16,21,25,\n";

    fn text(words: &str) -> Told {
        Told {
            source: Source::Text(words.into()),
            unit: Some(LengthUnit::Metre),
            ..Told::default()
        }
    }

    #[test]
    fn typed_points_are_understood_put_right_and_become_a_site() {
        let folder = tempfile::tempdir().unwrap();
        let unread = Starter.understand(&Told { unit: None, ..text(LIST) }).unwrap_err();
        assert!(unread.contains("\"Unit\" below") && !unread.contains("--"), "{unread}");
        let mut told = text(LIST);
        let understood = Starter.understand(&told).unwrap();
        assert_eq!(understood.kind, "a point list, 6 points");
        assert_eq!(understood.points[2].at_m, [30.0, 40.0, 12.0]);
        // Northing first: what is shown turns about.
        told.columns = "name,y,x,z,code".into();
        assert_eq!(Starter.understand(&told).unwrap().points[2].at_m, [40.0, 30.0, 12.0]);
        told.columns.clear();
        told.set_aside.insert("6".into());
        (told.title, told.vertical_datum) = ("Typed garden".into(), "the sill".into());
        let at = folder.path().join("garden");
        let opened = Starter.make(&told, &at).unwrap();
        assert_eq!(opened.site.title, "Typed garden");
        assert_eq!(opened.site.frame.vertical_datum, "the sill");
        assert_eq!(opened.site.survey.set_aside, ["6"]);
        let ground = design::evaluate(&opened.site).existing.unwrap();
        assert_eq!(ground.vertices().len(), 5);
        // What stands is not written over.
        assert!(Starter.make(&told, &at).err().unwrap().contains("expected a new folder"));
        assert_eq!(Starter.open(&at).unwrap().site, opened.site);
    }

    #[test]
    fn level_notes_and_a_plain_slope_become_sites() {
        let folder = tempfile::tempdir().unwrap();
        let notes =
            "name,BS,IS,FS,known,x,y\nBM,1.2,,,50,0,0\nA,,1.1,,,9,0\nB,,1.3,,,9,9\nBM,,,1.2,50,,\n";
        let understood = Starter.understand(&text(notes)).unwrap();
        assert!(understood.kind.starts_with("a level book"), "{}", understood.kind);
        // 1.2 up to the instrument and 1.2 down again: the run closes.
        let closes = understood.facts.iter().find(|fact| fact.of == "misclosure").unwrap();
        assert!(closes.told.starts_with("0.0 mm "), "{}", closes.told);
        assert!(closes.told.contains("of the known 50.00 m; permitted"), "{}", closes.told);
        assert!(Starter.make(&text(notes), &folder.path().join("levels")).is_ok());
        let slope = Slope { percent: "5".into(), toward: 2, ..Slope::default() };
        let told = Told { source: Source::Slope(slope), ..Told::default() };
        let opened = Starter.make(&told, &folder.path().join("slope")).unwrap();
        let heights = |x: f64| {
            let points = opened.site.survey.points.iter().filter(move |p| p.at_m[0] == x);
            points.map(|p| p.at_m[2]).collect::<Vec<_>>()
        };
        assert_eq!((heights(-12.5), heights(12.5)), (vec![10.625; 3], vec![9.375; 3]));
        assert_eq!(opened.site.survey.accuracy_m, 0.15);
        for (percent, east) in [("steep", "25 m"), ("51", "25 m"), ("2", "0.5 m"), ("2", "wide")] {
            let (percent, east) = (percent.to_owned(), east.to_owned());
            let slope = Slope { percent, east, ..Slope::default() };
            let told = Told { source: Source::Slope(slope), ..Told::default() };
            assert!(Starter.understand(&told).is_err(), "{told:?}");
        }
    }

    #[test]
    fn a_folder_shows_sites_folders_and_surveys_and_what_cannot_be_made_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        fs::create_dir(at.join("b-folder")).unwrap();
        fs::write(at.join("points.CSV"), LIST).unwrap();
        fs::write(at.join("letter.odt"), "").unwrap();
        fs::write(at.join(".hidden.csv"), "").unwrap();
        let file = Told { source: Source::File(at.join("points.CSV")), ..text("") };
        Starter.make(&file, &at.join("A garden")).unwrap();
        let listed: Vec<(String, EntryKind)> =
            Starter.list(at).unwrap().into_iter().map(|e| (e.name, e.kind)).collect();
        let expected = [
            ("A garden", EntryKind::Site),
            ("b-folder", EntryKind::Folder),
            ("points.CSV", EntryKind::Survey),
        ];
        assert_eq!(listed, expected.map(|(name, kind)| (name.to_owned(), kind)));
        let all = (1..=6).map(|n| n.to_string()).collect();
        let told = Told { set_aside: all, ..text(LIST) };
        let error = Starter.make(&told, &at.join("none")).err().unwrap();
        assert!(error.contains("set aside"), "{error}");
        assert!(!at.join("none").exists());
        assert!(Starter.list(&at.join("gone")).is_err());
    }
}
