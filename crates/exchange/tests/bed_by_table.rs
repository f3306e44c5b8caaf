//! The report says where it has a stream's roughness from, when that is a table.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use design::evaluate;
use exchange::{level_book, report};
use site::works::StreamBed;
use site::{LevelNotes, Site, Survey, WorkKind};

/// The level garden with its level book, as the program opens it.
fn level_garden() -> Site {
    // Cargo runs tests in their package's folder, whichever clone built them.
    let folder = Path::new("../../demo-sites/level-garden");
    let text = fs::read_to_string(folder.join("site.ron")).expect("the demo stands there");
    let mut site = site::file::parse(&text).expect("the demo is sound");
    let bytes = fs::read(folder.join(&site.survey.file)).expect("the demo has its survey");
    let told = level_book::Told { unit: Some(site.frame.unit), bench: None };
    let mut file_rows = level_book::read(&bytes, &told).expect("its book is sound").notes.file_rows;
    let [east, north] = site.frame.origin_m;
    for row in &mut file_rows {
        row.at_m = row.at_m.map(|[x, y]| [x - east, y - north]);
    }
    let stored = site.survey.levels.clone().expect("it has level notes");
    let levels = Some(LevelNotes { file_rows, ..stored });
    site.survey = Arc::new(Survey { levels, ..Survey::clone(&site.survey) });
    site
}

#[test]
fn a_bed_by_the_table_is_told_with_its_source() {
    let plain = level_garden();
    let told = |stone_m: Option<f64>, bed: Option<StreamBed>| {
        let mut site = plain.clone();
        for work in &mut site.works {
            if let WorkKind::Stream(stream) = &mut work.kind {
                (stream.bed_stone_m, stream.bed) = (stone_m, bed);
            }
        }
        report::text(&site, &evaluate(&site))
    };
    let table = "how rough its bed is, by a table";
    let concrete = told(None, Some(StreamBed::SmoothConcrete));
    let row = "smooth concrete, n 0.013 (Chow 1959 table 5-6, from memory)";
    let line = format!("{table}: {row}; in water as thin as this an estimate");
    assert!(concrete.contains(&line), "{concrete}");
    let loose = "loose stones of its bed";
    assert!(!concrete.contains(loose), "{concrete}");
    let gravel = told(None, Some(StreamBed::GravelAndCobbles));
    assert!(gravel.contains("loose stones of its bed: not known, their size is not given"));
    // The size of its stones rules, and nothing is said of the table.
    let both = told(Some(0.03), Some(StreamBed::SmoothConcrete));
    assert!(!both.contains(table) && both.contains("along its bed up to"), "{both}");
    let neither = told(None, None);
    let why =
        "along its bed: not known, neither the size of its bed's stones nor a bed of the table";
    assert!(!neither.contains(table) && neither.contains(why), "{neither}");
}
