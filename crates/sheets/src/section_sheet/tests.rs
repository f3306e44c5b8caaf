use design::section::section;
use site::{Frame as SiteFrame, Site, Survey, SurveyPoint};

use super::*;

/// Bare ground that falls 1 in 10 to the east from 10 m.
fn garden() -> Site {
    let text = include_str!("../../../../demo-sites/level-garden/site.ron");
    let mut site = site::file::parse(text).unwrap();
    let at = |x: f64, y: f64| [x, y, 10.0 - 0.1 * x];
    let points = (0..=20).flat_map(|x| (0..=10).map(move |y| (f64::from(x), f64::from(y))));
    let points = points.map(|(x, y)| SurveyPoint {
        name: format!("{x}-{y}"),
        at_m: at(x, y),
        ..SurveyPoint::default()
    });
    site.title = "Slope".into();
    site.frame = SiteFrame { unit: LengthUnit::Metre, ..site.frame.clone() };
    site.survey = std::sync::Arc::new(Survey {
        points: points.collect(),
        accuracy_m: 0.01,
        ..Survey::default()
    });
    site.works.clear();
    site.houses.clear();
    site.keep_outs.clear();
    site.stockpiles.clear();
    site
}

#[test]
fn a_sheet_says_its_scale_and_reads_its_levels_off_the_ground() {
    let site = garden();
    let evaluation = design::evaluate(&site);
    let cut = section(&site, &evaluation, &[[2.0, 5.0], [18.0, 5.0]]).unwrap();
    assert!((cut.length_m - 16.0).abs() < 1e-9);
    let svg = section_sheet(&SectionSheet { name: "Down the slope", section: &cut, site: &site });
    // 16 m on 261 mm is 1 to 61.3, so 1 to 75; 1.6 m of fall are 21 mm of 116: drawn twice.
    assert!(svg.contains("1 : 75 on A4, heights drawn 2 times"), "{svg}");
    assert!(svg.contains("runs to the east"), "{svg}");
    for words in ["9.80 m", "9.60 m", "same"] {
        assert!(svg.contains(&format!(">{words}</text>")), "{words}");
    }
}

#[test]
fn a_bearing_is_the_nearest_of_eight() {
    let site = garden();
    let evaluation = design::evaluate(&site);
    for (to, word) in [([10.0, 9.0], "north"), ([3.0, 1.0], "south-west"), ([17.0, 4.5], "east")] {
        let cut = section(&site, &evaluation, &[[10.0, 5.0], to]).unwrap();
        assert_eq!(bearing_word(&cut), word);
    }
}
