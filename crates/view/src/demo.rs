//! The demo gardens as tests and examples read them.

use std::sync::Arc;

use exchange::level_book;
use exchange::points::{Told, read};
use site::{LevelNotes, Site, Survey, SurveyPoint};

/// The rear garden with its survey.
pub(crate) fn rear_garden() -> Site {
    let text = include_str!("../../../demo-sites/rear-garden/site.ron");
    let mut site = site::file::parse(text).expect("the demo site is sound");
    let list = include_bytes!("../../../demo-sites/rear-garden/survey.csv");
    let told = Told { columns: None, unit: Some(site.frame.unit) };
    let [east, north] = site.frame.origin_m;
    let points = read(list, &told)
        .expect("the demo's list is sound")
        .points
        .into_iter()
        .map(|p| SurveyPoint {
            name: p.name,
            at_m: [p.at_m[0] - east, p.at_m[1] - north, p.at_m[2]],
            code: p.code,
            line: p.line,
        })
        .collect();
    site.survey = Arc::new(Survey { points, ..Survey::clone(&site.survey) });
    site
}

/// The level garden with its level book.
#[allow(dead_code, reason = "not all that read this file draw it")]
pub(crate) fn level_garden() -> Site {
    let text = include_str!("../../../demo-sites/level-garden/site.ron");
    let mut site = site::file::parse(text).expect("the demo site is sound");
    let book = include_bytes!("../../../demo-sites/level-garden/levels.csv");
    let told = level_book::Told { unit: Some(site.frame.unit), bench: None };
    let book = level_book::read(book, &told).expect("the demo's level book is sound");
    let LevelNotes { permitted, share, .. } = site.survey.levels.clone().unwrap_or_default();
    let mut notes = LevelNotes { permitted, share, ..book.notes };
    let [east, north] = site.frame.origin_m;
    for row in &mut notes.file_rows {
        row.at_m = row.at_m.map(|[x, y]| [x - east, y - north]);
    }
    site.survey = Arc::new(Survey { levels: Some(notes), ..Survey::clone(&site.survey) });
    site
}
