//! `survey-thin`, `survey-suspect` and `beyond-survey`.

use std::sync::Arc;

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

/// A basin of eight metres on shots every two metres, of which these are left out.
fn thinned(gone: impl Fn([f64; 3]) -> bool) -> Site {
    let mut site = garden(2, vec![WorkKind::Basin(basin(29.8))]);
    let survey = Arc::make_mut(&mut site.survey);
    survey.points.retain(|point| !gone(point.at_m));
    site
}

#[test]
fn shots_every_two_metres_are_dense_and_every_four_are_thin() {
    check(&thinned(|_| false), Code::SurveyThin, &[]);
    let long_m = 4.0 * std::f64::consts::SQRT_2;
    let site = garden(4, vec![WorkKind::Basin(basin(29.8))]);
    check(&site, Code::SurveyThin, &[(1, long_m, 3.0)]);
}

#[test]
fn the_spacing_limit_is_where_it_is_set() {
    let mut site = garden(2, vec![WorkKind::Basin(basin(29.8))]);
    let long_m = 2.0 * std::f64::consts::SQRT_2;
    site.limits.survey_spacing_m = long_m + 0.001;
    check(&site, Code::SurveyThin, &[]);
    site.limits.survey_spacing_m = long_m - 0.001;
    check(&site, Code::SurveyThin, &[(1, long_m, long_m - 0.001)]);
}

#[test]
fn the_shots_that_a_thin_survey_lacks_are_placed_and_counted() {
    let site = garden(4, vec![WorkKind::Basin(basin(29.8))]);
    let evaluation = evaluate(&site);
    let shots = design::shots_wanted(&site, &evaluation, WorkId(1));
    assert!(shots.len() > 3, "{shots:?}");
    let with = |shots: &[[f64; 2]]| {
        let mut site = site.clone();
        let survey = Arc::make_mut(&mut site.survey);
        for &[x, y] in shots {
            survey.points.push(point(survey.points.len(), [x, y, 30.0]));
        }
        found(&site, Code::SurveyThin).len()
    };
    assert_eq!((with(&shots), with(&shots[..shots.len() * 9 / 10])), (0, 1));
    let finding = found(&site, Code::SurveyThin).remove(0);
    let remedy = design::remedy(&site, &finding).expect("the shots");
    let said = format!("Shoot {} more levels", shots.len());
    assert!(remedy.message.starts_with(&said) && remedy.site.is_none(), "{}", remedy.message);
    // A dense survey lacks none.
    let dense = garden(2, vec![WorkKind::Basin(basin(29.8))]);
    assert!(design::shots_wanted(&dense, &evaluate(&dense), WorkId(1)).is_empty());
}

#[test]
fn one_missing_shot_is_no_thin_survey() {
    check(&thinned(|at| at[0] == 0.0 && at[1] == -10.0), Code::SurveyThin, &[]);
}

/// The findings about a site with one more shot.
fn with_shot(at_m: [f64; 3]) -> (Site, Vec<design::Finding>) {
    let mut site = garden(2, Vec::new());
    let survey = Arc::make_mut(&mut site.survey);
    let shot = point(survey.points.len(), at_m);
    survey.points.push(shot);
    let found = found(&site, Code::SurveySuspect);
    (site, found)
}

#[test]
fn a_second_shot_on_a_place_may_differ_by_the_surveys_accuracy() {
    assert_eq!(with_shot([2.0, 2.0, 30.019]).1, []);
    let (_, found) = with_shot([2.0, 2.0, 30.021]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0].measured.value - 0.021).abs() < 1e-9);
    assert!((found[0].measured.limit - 0.020).abs() < 1e-9);
    assert!(found[0].message.contains("30.00 m and 30.02 m"), "{}", found[0].message);
}

#[test]
fn a_shot_far_off_says_how_far() {
    // Half the side of the garden is 24 m: four shots in five lie within 27.8 m of its middle.
    let (_, found) = with_shot([0.0, 900.0, 30.0]);
    assert_eq!(found.len(), 1, "{found:?}");
    let measured = found[0].measured;
    assert!((measured.value - 900.0).abs() < 1e-9, "{measured:?}");
    assert!(measured.limit > 20.0 * 24.0 && measured.limit < 20.0 * 30.0, "{measured:?}");
    assert!(found[0].message.contains("900.00 m from the middle"), "{}", found[0].message);
    // Within that it belongs to the survey.
    assert_eq!(with_shot([0.0, 450.0, 30.0]).1, []);
}

/// The level garden with one shot at its edge raised.
fn edge_raised(by_m: f64) -> Site {
    let mut site = garden(2, Vec::new());
    let survey = Arc::make_mut(&mut site.survey);
    let at_edge = survey.points.iter_mut().find(|p| p.at_m[0] == -24.0 && p.at_m[1] == 4.0);
    at_edge.expect("a shot at the edge").at_m[2] += by_m;
    site
}

#[test]
fn a_spike_at_the_surveys_edge_is_doubted_and_a_tuft_is_not() {
    let limit_m = 0.15;
    assert_eq!(found(&edge_raised(limit_m - 0.001), Code::SurveySuspect), []);
    for by_m in [limit_m + 0.001, 0.6, -0.6] {
        let site = edge_raised(by_m);
        let found = found(&site, Code::SurveySuspect);
        assert_eq!(found.len(), 1, "{found:?}");
        let measured = found[0].measured;
        assert!((measured.value - by_m.abs()).abs() < 1e-9, "{measured:?}");
        let cleared = design::remedy(&site, &found[0]).expect("a remedy").site.expect("a site");
        assert_eq!(self::found(&cleared, Code::SurveySuspect), []);
    }
}

#[test]
fn breaklines_that_cross_at_different_elevations_name_both() {
    let mut site = garden(2, Vec::new());
    let survey = Arc::make_mut(&mut site.survey);
    let line =
        |code: &str, points_m: Vec<[f64; 3]>| site::SurveyLine { code: code.into(), points_m };
    survey.breaklines = vec![
        line("A", vec![[0.5, 0.5, 30.0], [1.5, 1.5, 30.0]]),
        line("B", vec![[1.5, 0.5, 30.4], [0.5, 1.5, 30.4]]),
    ];
    let found = found(&site, Code::SurveySuspect);
    let crossing = found.iter().find(|f| f.message.contains("cross")).expect("the crossing");
    assert!(crossing.message.contains("30.00 m and 30.40 m"), "{}", crossing.message);
}

#[test]
fn swapped_columns_make_cliffs_and_a_stop() {
    let mut site = garden(2, Vec::new());
    assert_eq!(found(&site, Code::SurveySuspect), []);
    let survey = Arc::make_mut(&mut site.survey);
    for (i, point) in survey.points.iter_mut().enumerate() {
        let [x, y, z] = point.at_m;
        point.at_m = [z + 0.001 * i as f64, y, x];
    }
    let found = found(&site, Code::SurveySuspect);
    let swapped = found.iter().find(|f| f.message.contains("swapped")).expect("the cliffs");
    assert_eq!(swapped.severity, Severity::Stop);
}

#[test]
fn a_survey_that_makes_no_ground_is_a_stop() {
    let mut site = garden(2, Vec::new());
    Arc::make_mut(&mut site.survey).points.truncate(2);
    let found = found(&site, Code::SurveySuspect);
    assert_eq!((found.len(), found[0].severity), (1, Severity::Stop), "{found:?}");
}

/// A raised basin whose middle lies this far east: its rim reaches 4.5 m out, its bank 1.8 m more.
fn eastward(middle_m: f64) -> Site {
    let mut raised = basin(30.5);
    raised.outline.points.iter_mut().for_each(|p| p[0] += middle_m);
    garden(2, vec![WorkKind::Basin(raised)])
}

#[test]
fn a_bank_cut_off_at_the_surveys_edge_is_an_open_end() {
    assert_eq!(found(&eastward(17.69), Code::BeyondSurvey), []);
    // 12 cm farther east the bank ends 4 cm off the ground.
    let cut_off = found(&eastward(17.82), Code::BeyondSurvey);
    assert_eq!(cut_off.len(), 1, "{cut_off:?}");
    assert!((cut_off[0].measured.value - 0.04).abs() < 1e-6, "{cut_off:?}");
    assert!(cut_off[0].message.contains("meets no ground"), "{}", cut_off[0].message);
    check_remedy(&eastward(17.82), Code::BeyondSurvey);
    let remedy = design::remedy(&eastward(18.6), &found(&eastward(18.6), Code::BeyondSurvey)[0]);
    let remedy = remedy.expect("a remedy");
    // The bank ends 0.30 m above the edge; 0.28 m too high at 1 in 3 is 0.84 m, and a hair.
    assert!(
        remedy.message.starts_with("Shoot levels 0.85 m farther out on the east side"),
        "{}",
        remedy.message
    );
}

#[test]
fn shots_as_far_out_as_the_remedy_says_clear_it() {
    let site = eastward(18.6);
    let farther = |by_m: f64| {
        let mut site = site.clone();
        let survey = Arc::make_mut(&mut site.survey);
        for y in (-24..=24).step_by(2) {
            let shot = point(survey.points.len(), [24.0 + by_m, f64::from(y), 30.0]);
            survey.points.push(shot);
        }
        found(&site, Code::BeyondSurvey)
    };
    assert_eq!(farther(0.841), []);
    assert_eq!(farther(0.9 * 0.841).len(), 1);
}

#[test]
fn a_rim_beyond_the_survey_says_what_is_left_out() {
    let out = found(&eastward(19.6), Code::BeyondSurvey);
    // The last 10 cm of the rim: eight metres of it, and what its round corners add.
    assert!(out.iter().any(|f| (f.measured.value - 0.841).abs() < 0.005), "{out:?}");
    assert!(out.iter().all(|f| f.work == Some(WorkId(1))), "{out:?}");
    let area = out.iter().find(|f| (f.measured.value - 0.841).abs() < 0.005).expect("the rim");
    let remedy = design::remedy(&eastward(19.6), area).expect("a remedy");
    assert!(remedy.message.contains("by as much"), "{}", remedy.message);
    let beyond = |site: &Site| {
        let findings = found(site, Code::BeyondSurvey);
        findings.iter().filter(|f| f.measured.unit == design::Unit::SquareMetre).count()
    };
    let edited = remedy.site.expect("a site");
    assert_eq!((beyond(&edited), beyond(&part_way(&eastward(19.6), &edited, 0.9))), (0, 1));
}

/// A wall of eight metres, 0.8 m high, that ends in level ground.
fn ends_in_the_open() -> Site {
    let wall = Wall {
        line: straight(&[[-4.0, 0.0], [4.0, 0.0]]),
        top_m: vec![30.8],
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 2.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: None,
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    garden(2, vec![WorkKind::Wall(wall)])
}

#[test]
fn a_wall_that_ends_before_its_fill_is_down_is_turned_back() {
    let site = ends_in_the_open();
    let finding = found(&site, Code::BeyondSurvey).remove(0);
    assert!((finding.measured.value - 0.8).abs() < 1e-6, "{finding:?}");
    let remedy = design::remedy(&site, &finding).expect("a remedy");
    // 0.705 m at 1 in 2, and the wall's thickness; a shovel trims the rest.
    let said = "Turn the wall's ends back into the fill by 1.81 m, their tops falling by 0.71 m";
    assert!(remedy.message.starts_with(said), "{}", remedy.message);
    let edited = remedy.site.expect("a site");
    assert_eq!(edited.check(), Ok(()));
    assert_eq!(found(&edited, Code::BeyondSurvey), []);
    let mut nearly = edited;
    let WorkKind::Wall(wall) = &mut nearly.works[0].kind else { panic!("a wall") };
    for point in [0, 3] {
        wall.line.points[point][1] *= 0.9;
        wall.top_m[point] += 0.1 * 0.705;
    }
    assert_eq!(found(&nearly, Code::BeyondSurvey).len(), 1);
}
