//! Hills that a wall holds.

use design::{Evaluator, mounds};
use ground::query::Locator;
use site::works::{Flank, Hill, Side, Wall};
use site::{Site, SurveyPoint, WorkId, WorkKind};

use crate::garden::*;

const GRADE: f64 = 1.0 / 3.0;

/// The least width of a crest is 2 cm.
const HALF_CREST_M: f64 = 0.01;

/// A hill with this crest at 1.2 m, held by work 2.
fn hill_at(placed: Placed, crest: &[[f64; 2]]) -> Hill {
    let flank = Flank { run_per_rise: 3.0, shoulder_m: 0.0, toe_m: 0.0 };
    Hill {
        crest: placed.line(crest),
        crest_m: vec![1.2],
        width_m: vec![0.0],
        left: vec![flank],
        right: vec![flank],
        held_by: Some(WorkId(2)),
        ..hill(placed, 1.0)
    }
}

/// A wall that retains what lies to the left of its line.
fn wall_at(placed: Placed, line: &[[f64; 2]], top_m: f64) -> Wall {
    Wall { line: placed.line(line), top_m: vec![top_m], ..wall(placed, 1.0) }
}

/// A hill, and the wall that is built after it.
fn garden(placed: Placed, across: f64, hill: Hill, wall: Wall) -> Site {
    site(placed, |[_, y]| across * y, vec![WorkKind::Hill(hill), WorkKind::Wall(wall)])
}

/// Plan area of a facetted sector of radius one: whole facets about the circle.
fn sector_m2(step_rad: f64, n: f64) -> f64 {
    n * libm::tan(0.5 * step_rad)
}

/// A cone at 1 in 3 whose apex stands on the wall: half of it is there, in sixteen facets all round.
#[test]
fn half_a_cone_stands_behind_its_wall() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let wall = wall_at(placed, &[[-6.0, 0.0], [6.0, 0.0]], 0.6);
        let evaluation = sound(&garden(placed, 0.0, hill_at(placed, &[[0.0, 0.0]]), wall));
        assert_eq!(evaluation.works[0].shape.problems, []);
        let (r, big) = (HALF_CREST_M, HALF_CREST_M + 3.6);
        let frustum = 1.2 / 3.0 * (r * r + r * big + big * big);
        let expected = 0.5 * sector_m2(std::f64::consts::PI / 8.0, 16.0) * frustum;
        let found = evaluation.works[0].fill_m3;
        assert!((found - expected).abs() < 1e-5 * expected, "{found}, not {expected}");
        // An exact step along the wall.
        let after = Locator::new(&*evaluation.works[0].after);
        for x in [-2.0, -0.5, 1.0] {
            let at = |y: f64| after.elevation(placed.at([x, y])).expect("within the survey");
            let cone_m = 1.2 - (x.abs() - HALF_CREST_M) * GRADE;
            assert!((at(1e-5) - cone_m).abs() < 0.03, "{} {cone_m}", at(1e-5));
            assert!(at(-1e-5).abs() < 1e-6, "{}", at(-1e-5));
        }
    }
}

/// A ridge two metres behind a wall of six: in front of it nothing stands but a quarter of a cone
/// round each end, in a half and four whole facets of 20 degrees.
#[test]
fn a_ridge_comes_round_the_ends_of_its_wall() {
    let high_m = 1.2 - (2.0 - HALF_CREST_M) * GRADE;
    let foot_m = high_m / GRADE;
    for placed in [AS_DRAWN, TURNED] {
        let fill_m3 = |held_by| {
            let hill = Hill { held_by, ..hill_at(placed, &[[-12.0, 2.0], [12.0, 2.0]]) };
            let wall = wall_at(placed, &[[-3.0, 0.0], [3.0, 0.0]], 0.2);
            sound(&garden(placed, 0.0, hill, wall)).works[0].fill_m3
        };
        let cone_m3 = sector_m2(std::f64::consts::PI / 9.0, 4.5) * foot_m * foot_m * high_m / 3.0;
        let expected = 6.0 * 0.5 * high_m * foot_m - 2.0 * cone_m3;
        let found = fill_m3(None) - fill_m3(Some(WorkId(2)));
        assert!((found - expected).abs() < 1e-5 * expected, "{found}, not {expected}");
    }
}

/// On a slope the ends have no simple form, but a longer wall has the same ends farther apart; and
/// where the survey ends nothing is counted.
#[test]
fn what_a_wall_keeps_out_is_the_section_in_front_of_it() {
    for placed in [AS_DRAWN, TURNED] {
        for across in [0.1, -0.1, 0.0] {
            let fill_m3 = |from: f64, to: f64| {
                let crest_m = 1.2 + 2.0 * across;
                let hill = hill_at(placed, &[[-14.0, 2.0], [45.0, 2.0]]);
                let hill = Hill { crest_m: vec![crest_m], ..hill };
                let wall = wall_at(placed, &[[from, 0.0], [to, 0.0]], 0.2);
                sound(&garden(placed, across, hill, wall)).works[0].fill_m3
            };
            let high_m = 1.2 + 2.0 * across - (2.0 - HALF_CREST_M) * GRADE;
            let section_m2 = 0.5 * high_m * high_m / (GRADE - across);
            for [short, long] in [[[-3.0, 3.0], [-3.0, 7.0]], [[20.0, 35.0], [16.0, 35.0]]] {
                let found = fill_m3(short[0], short[1]) - fill_m3(long[0], long[1]);
                let expected = 4.0 * section_m2;
                let near = (found - expected).abs() < 1e-5 * expected;
                assert!(near, "{across} {short:?}: {found}, not {expected}");
            }
        }
    }
}

/// Beside the way down past a wall's end the ground is whole, whichever way the wall runs.
#[test]
fn the_flank_is_whole_beside_the_walls_ends() {
    let crests: [&[[f64; 2]]; 2] = [&[[-8.0, 2.0], [8.0, 2.0]], &[[0.5, 2.0]]];
    for crest in crests {
        for ends in
            [[[-2.0, 0.0], [2.0, 0.0]], [[-2.0, -0.6], [2.0, 0.9]], [[-1.5, 1.0], [2.0, 0.0]]]
        {
            let wall = wall_at(AS_DRAWN, &ends, 0.2);
            let evaluation = sound(&garden(AS_DRAWN, 0.0, hill_at(AS_DRAWN, crest), wall));
            let outcome = &evaluation.works[0];
            assert_eq!((&outcome.shape.problems[..], &outcome.open_ends[..]), (&[][..], &[][..]));
            let ground = Locator::new(&*outcome.after);
            let mut highest_m: f64 = 0.0;
            for end in ends {
                for k in 0..72 {
                    // Round each end, at half a metre, but for where the wall itself is crossed.
                    let around = |k: f64| {
                        let (sin, cos) = libm::sincos(k * std::f64::consts::PI / 36.0);
                        [end[0] + 0.5 * cos, end[1] + 0.5 * sin]
                    };
                    let [a, b] = [around(f64::from(k) + 0.5), around(f64::from(k) + 1.5)];
                    let crosses_wall = {
                        let side = |p: [f64; 2]| {
                            let d = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
                            d[0] * (p[1] - ends[0][1]) - d[1] * (p[0] - ends[0][0])
                        };
                        side(a) * side(b) <= 0.0
                            && (a[0] - end[0]) * (ends[0][0] + ends[1][0] - 2.0 * end[0]) > 0.0
                    };
                    let z = [a, b].map(|p| ground.elevation(p).expect("within the survey"));
                    highest_m = highest_m.max(z[0]);
                    // An arc of 44 mm at a grade of 1 in 3 falls by 15 mm at most.
                    let whole = (z[0] - z[1]).abs() < 0.017;
                    assert!(whole || crosses_wall, "{ends:?} at {a:?}: {z:?}");
                }
            }
            assert!(highest_m > 0.2, "{highest_m}");
        }
    }
}

#[test]
fn the_wall_may_be_built_before_the_hill() {
    let wall = wall_at(TURNED, &[[-3.0, 0.0], [1.0, -0.5], [3.0, 0.0]], 0.5);
    let mut site = garden(TURNED, 0.05, hill_at(TURNED, &[[-5.0, 1.5], [5.0, 2.0]]), wall);
    let after = sound(&site);
    site.works.reverse();
    let before = sound(&site);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-7 * (1.0 + a), "{a} {b}");
    let [after_m3, before_m3] = [&after, &before].map(moved);
    near(after_m3.fill_m3, before_m3.fill_m3);
    near(after_m3.cut_m3, before_m3.cut_m3);
    assert!(after.works[0].fill_m3 > 5.0);
}

#[test]
fn a_crest_in_front_of_its_wall_is_told() {
    let wall = wall_at(AS_DRAWN, &[[-3.0, 0.0], [3.0, 0.0]], 0.5);
    let hill = hill_at(AS_DRAWN, &[[0.0, 1.0], [0.0, -1.0]]);
    let evaluation = sound(&garden(AS_DRAWN, 0.0, hill, wall));
    let told = &evaluation.works[0].shape.problems;
    assert_eq!(told[0].message, "its crest runs in front of the wall that holds it");
    assert_eq!(told[0].at_m, [0.0, -1.0]);
}

/// A hill follows its wall: what is kept between evaluations knows the wall's line, side and tiers.
#[test]
fn an_edit_of_the_wall_changes_the_hill() {
    let mut evaluator = Evaluator::default();
    let mut site = garden(
        AS_DRAWN,
        0.0,
        hill_at(AS_DRAWN, &[[-6.0, 2.0], [6.0, 2.0]]),
        wall_at(AS_DRAWN, &[[-3.0, 0.0], [3.0, 0.0]], 0.5),
    );
    let mut fills = Vec::new();
    let edits: [fn(&mut Wall); 4] = [
        |_| {},
        |wall| wall.line.points[1] = [4.0, 0.5],
        |wall| wall.tiers.push(site::works::Tier { back_m: 0.9, rise_m: 0.3 }),
        |wall| wall.retains = Side::Right,
    ];
    for edit in edits {
        let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
        edit(wall);
        let (kept, fresh) = (evaluator.evaluate(&site), sound(&site));
        assert_eq!(kept.finished, fresh.finished);
        assert_eq!(kept.works[0].shape, fresh.works[0].shape);
        fills.push(kept.works[0].fill_m3);
    }
    assert!(fills.windows(2).all(|pair| (pair[0] - pair[1]).abs() > 1e-3), "{fills:?}");
    site.works[1].visible = false;
    let free = evaluator.evaluate(&site);
    assert!(free.works[0].fill_m3 > fills[0] + 0.1);
}

/// Design section 7: half a cone at 1 in 3 against a 1.2 m step that is level behind, M = 0.25. The
/// step is surveyed, 2 mm wide.
#[test]
fn half_a_cone_against_a_step_measures_a_quarter() {
    let hill = Hill { held_by: None, ..hill_at(AS_DRAWN, &[[0.0, 0.0]]) };
    let ground = |[_, y]: [f64; 2]| if y < 0.0 { 0.0 } else { 1.2 };
    let mut site = site(AS_DRAWN, ground, vec![WorkKind::Hill(hill)]);
    let survey = std::sync::Arc::make_mut(&mut site.survey);
    for i in -60..=60 {
        let at_m = [0.5 * f64::from(i), -0.002, 0.0];
        survey.points.push(SurveyPoint { name: format!("foot {i}"), at_m, ..Default::default() });
        let at_m = [0.5 * f64::from(i), 0.0, 1.2];
        survey.points.push(SurveyPoint { name: format!("top {i}"), at_m, ..Default::default() });
    }
    let found = mounds(&site, &sound(&site));
    assert_eq!(found.len(), 1);
    assert!((found[0].closed - 0.5).abs() < 1e-9, "{}", found[0].closed);
    assert!((found[0].measure - 0.25).abs() < 0.25 * 0.02, "{}", found[0].measure);
}
