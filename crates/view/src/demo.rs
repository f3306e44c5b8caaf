//! The demo garden as tests and examples read it.

use std::sync::Arc;

use exchange::points::{Told, read};
use site::{Site, Survey, SurveyPoint};

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
