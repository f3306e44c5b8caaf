//! The demo sites, read from their folders.

use std::path::Path;
use std::sync::Arc;

use site::{LevelNotes, LevelRow, Site, SurveyPoint};

/// The demo on a slope: a list of points in feet.
pub(crate) fn rear_garden() -> Site {
    let (mut site, list) = parsed("rear-garden");
    let origin = site.frame.origin_m;
    let point = |(line, row): (usize, &str)| {
        let cells: Vec<&str> = row.split(',').collect();
        let feet = |k: usize| cells.get(k)?.trim().parse::<f64>().ok();
        let at_m =
            [feet(1)? * 0.3048 - origin[0], feet(2)? * 0.3048 - origin[1], feet(3)? * 0.3048];
        let (name, code) = (cells[0].into(), cells.get(4)?.trim().into());
        Some(SurveyPoint { name, at_m, code, line: line as u32 + 1 })
    };
    let points = list.lines().enumerate().filter_map(point).collect();
    Arc::make_mut(&mut site.survey).points = points;
    site
}

/// The demo on level ground: a level book in metres, with decimal commas.
pub(crate) fn level_garden() -> Site {
    let (mut site, book) = parsed("level-garden");
    let origin = site.frame.origin_m;
    let row = |(line, row): (usize, &str)| {
        let cells: Vec<String> = row.split(';').map(|cell| cell.trim().replace(',', ".")).collect();
        let number = |k: usize| cells.get(k)?.parse::<f64>().ok();
        let is_row = cells.len() > 8 && cells[0] != "name";
        let place = (|| Some([number(6)? - origin[0], number(7)? - origin[1]]))();
        is_row.then(|| LevelRow {
            name: cells[0].clone(),
            back_m: number(1),
            intermediate_m: number(2),
            fore_m: number(3),
            known_m: number(4),
            distance_m: number(5),
            at_m: place,
            code: cells[8].clone(),
            line: line as u32 + 1,
        })
    };
    let file_rows = book.lines().enumerate().filter_map(row).collect();
    let stored = site.survey.levels.clone().unwrap_or_default();
    Arc::make_mut(&mut site.survey).levels = Some(LevelNotes { file_rows, ..stored });
    site
}

fn folder(name: &str) -> std::path::PathBuf {
    // Cargo runs tests in their package's folder, whichever clone built them.
    Path::new("../../demo-sites").join(name)
}

fn parsed(name: &str) -> (Site, String) {
    let text =
        std::fs::read_to_string(folder(name).join("site.ron")).expect("the demo stands there");
    let site = site::file::parse(&text).expect("the demo is sound");
    let survey = std::fs::read(folder(name).join(&site.survey.file)).expect("with its survey");
    (site, String::from_utf8_lossy(&survey).into_owned())
}
