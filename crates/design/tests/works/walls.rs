//! Walls in tiers and with stepped tops, by the closed form of their section.

use design::Evaluation;
use ground::query::Locator;
use site::works::{Side, Tier, TopRun, Wall};
use site::{Site, WorkKind};

use crate::garden::*;

/// Elevation of the line at x = 0.
const BASE_M: f64 = 12.0;

/// A wall of three faces along x, its line as it runs over ground that rises by `tilt`.
fn tiered(placed: Placed, [from, to]: [f64; 2], tilt: f64) -> Wall {
    let tier = |back_m, rise_m| Tier { back_m, rise_m };
    Wall {
        line: placed.line(&[[from, 0.0], [to, 0.0]]),
        top_m: [from, to].map(|x| BASE_M + tilt * x + 0.8).to_vec(),
        tiers: vec![tier(1.2, 0.5), tier(1.0, 0.4)],
        ..wall(placed, 1.0)
    }
}

/// Offsets behind the line and heights above the ground at its foot of the section of [`tiered`], by
/// hand: benches fall at 1 in 3 from the back of a top of 0.4 m to the foot of the next face.
fn section(batter: f64) -> Vec<[f64; 2]> {
    let mut places = vec![[-0.8 * batter - 1.0, -1.0 / batter.max(1e-9)], [0.0, 0.8], [0.4, 0.8]];
    if batter == 0.0 {
        places.remove(0);
    }
    let mut back = [0.4, 0.8];
    for top in [[1.2, 1.3], [2.2, 1.7]] {
        // On the bench z = back - (x - back) / 3, on the face x = top - batter (top - z).
        let foot_m = (top[0] - batter * (top[1] - back[1] - back[0] / 3.0)) / (1.0 + batter / 3.0);
        back[1] -= (foot_m - back[0]) / 3.0;
        places.extend([[foot_m, back[1]], top, [top[0] + 0.4, top[1]]]);
        back = [top[0] + 0.4, top[1]];
    }
    places.push([back[0] + 30.0, back[1] - 10.0]);
    if batter > 0.0 {
        // The leaning face in front goes on down into the ground.
        places[0] = [-3.0 * batter, 0.8 - 3.0];
    }
    places
}

/// Area between a section and the ground below it, which rises by `across` away from the front.
fn fill_m2(section: &[[f64; 2]], across: f64) -> f64 {
    section
        .windows(2)
        .map(|pair| {
            let [a, b] = [pair[0], pair[1]].map(|[y, z]| z - across * y);
            let (low, high) = (a.min(b), a.max(b));
            let mean = match (low >= 0.0, high <= 0.0) {
                (true, _) => 0.5 * (a + b),
                (_, true) => 0.0,
                _ => 0.5 * high * high / (high - low),
            };
            (pair[1][0] - pair[0][0]) * mean
        })
        .sum()
}

fn on_slope(placed: Placed, [tilt, across]: [f64; 2], wall: Wall) -> Site {
    site(placed, |[x, y]| BASE_M + tilt * x + across * y, vec![WorkKind::Wall(wall)])
}

fn fill_m3(site: &Site) -> f64 {
    let work = &sound(site).works[0];
    assert!(work.cut_m3 < 1e-9 && work.shape.problems.is_empty(), "{:?}", work.shape.problems);
    work.fill_m3
}

/// Ends are alike however long the wall is, so the difference is the section's.
#[test]
fn tiers_move_their_section_level_sloping_and_turned() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        for slopes in [[0.0, 0.0], [0.0, 0.15], [0.0, -0.15], [0.08, 0.1], [-0.12, -0.05]] {
            for (retains, batter) in [(Side::Left, 0.0), (Side::Right, 0.0), (Side::Left, 0.2)] {
                let behind = if retains == Side::Left { slopes[1] } else { -slopes[1] };
                let [short, long] = [[-2.0, 2.0], [-2.0, 8.0]].map(|ends| {
                    let wall = tiered(placed, ends, slopes[0]);
                    fill_m3(&on_slope(placed, slopes, Wall { retains, batter, ..wall }))
                });
                let expected = 6.0 * fill_m2(&section(batter), behind);
                let found = long - short;
                // Within half a centimetre of its ends a wall that slopes leans over with its facets.
                let share = if slopes[0] == 0.0 { 1e-6 } else { 5e-6 };
                let near = (found - expected).abs() < share * expected;
                assert!(near, "{slopes:?} {retains:?} {batter}: {found}, not {expected}");
            }
        }
    }
}

/// The survey ends at x = 30: what lies beyond is told and not counted.
#[test]
fn tiers_move_their_section_up_to_the_surveys_edge() {
    for placed in [AS_DRAWN, TURNED] {
        let outcome = |ends| {
            let site = on_slope(placed, [0.0, 0.1], tiered(placed, ends, 0.0));
            let work = &sound(&site).works[0];
            (work.fill_m3, work.beyond_m2)
        };
        let ((far, far_m2), (near, near_m2), (longer, longer_m2)) =
            (outcome([18.0, 33.0]), outcome([24.0, 33.0]), outcome([18.0, 37.0]));
        let expected = 6.0 * fill_m2(&section(0.0), 0.1);
        assert!((far - near - expected).abs() < 2e-6 * expected, "{far} {near} {expected}");
        assert!((longer - far).abs() < 1e-6 * far, "{longer} {far}");
        // Three tops of 0.4 m.
        assert!((near_m2 - far_m2).abs() < 1e-5 && far_m2 > 0.0, "{near_m2} {far_m2}");
        assert!((longer_m2 - far_m2 - 4.0 * 1.2).abs() < 1e-4, "{longer_m2} {far_m2}");
    }
}

fn locator(evaluation: &Evaluation) -> Locator<&ground::Surface> {
    Locator::new(&**evaluation.finished.as_ref().expect("there is ground"))
}

/// Each face is an exact step, and a place on each top has its level.
#[test]
fn the_faces_of_tiers_are_steps_round_bends_too() {
    let corner = [[-6.0, 0.0], [0.0, 0.0], [0.0, 6.0]];
    // The bend closes on its left, and opens on its right.
    for (retains, inward) in [(Side::Left, 1.0), (Side::Right, -1.0)] {
        let wall = Wall {
            line: AS_DRAWN.line(&corner),
            top_m: vec![0.8],
            retains,
            tiers: vec![Tier { back_m: 1.2, rise_m: 0.5 }],
            ..wall(AS_DRAWN, 1.0)
        };
        let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Wall(wall)]));
        let ground = locator(&evaluation);
        let at = |p: [f64; 2]| ground.elevation(p).expect("within the survey");
        let near = |found: f64, expected: f64| {
            assert!((found - expected).abs() < 1e-6, "{retains:?}: {found}, not {expected}");
        };
        let bench_m = 0.8 - 0.8 / 3.0;
        let hair = 1e-4;
        for away in [2.0, 4.0] {
            near(at([-away, inward * (1.2 - hair)]), bench_m + hair / 3.0);
            near(at([-away, inward * (1.2 + hair)]), 1.3);
            near(at([-away, -inward * hair]), 0.0);
            near(at([-away, inward * hair]), 0.8);
        }
        // Along the bisector the mitre stands root two away, a facet's middle one distance.
        let (way, reach) = match retains {
            Side::Left => ([-1.0, 1.0], 1.2),
            Side::Right => ([1.0, -1.0], 1.2 * std::f64::consts::FRAC_1_SQRT_2),
        };
        let out = |by: f64| way.map(|c| c * (reach + by));
        assert!((at(out(-hair)) - bench_m).abs() < 1e-3, "{}", at(out(-hair)));
        near(at(out(hair)), 1.3);
        let tops = &evaluation.works[0].shape.wall_tops;
        assert_eq!((tops.len(), tops[0].len()), (2, 3));
        assert!(tops[1].iter().all(|top| (top[2] - 1.3).abs() < 1e-12));
        assert_eq!(tops[1].len(), if retains == Side::Left { 3 } else { 6 });
        assert_eq!(tops[1][0], [-6.0, 1.2 * inward, 1.3]);
    }
}

#[test]
fn a_tier_without_room_behind_the_wall_in_front_is_told() {
    let said = |batter: f64, back_m: f64| {
        let wall =
            Wall { batter, tiers: vec![Tier { back_m, rise_m: 0.5 }], ..wall(AS_DRAWN, 6.0) };
        let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Wall(wall)]));
        assert!(evaluation.works[0].fill_m3 > 1.0);
        evaluation.works[0].shape.problems.clone()
    };
    // 0.4 m of thickness, and a lean of 0.2 over 0.5 m.
    assert_eq!(said(0.0, 0.41), []);
    assert!(said(0.0, 0.39)[0].message.contains("more than 0.40 m"));
    assert_eq!(said(0.2, 0.51), []);
    let told = said(0.2, 0.49);
    assert!(told[0].message.contains("wall 2 of its tiers needs more than 0.50 m"), "{told:?}");
}

/// Two arms that run back beside each other leave half their distance for a tier between them.
#[test]
fn a_tier_behind_a_line_that_bends_too_tightly_is_told() {
    let said = |back_m: f64| {
        let wall = Wall {
            line: AS_DRAWN.line(&[[-4.0, 0.0], [0.0, 0.0], [0.0, 1.6], [-4.0, 1.6]]),
            tiers: vec![Tier { back_m, rise_m: 0.5 }],
            ..wall(AS_DRAWN, 1.0)
        };
        sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Wall(wall)])).works[0].shape.problems.clone()
    };
    assert_eq!(said(0.79), []);
    let told = said(0.85);
    let expected = "wall 2 of its tiers stands 0.85 m behind the line, which bends too tightly for \
                    more than 0.80 m";
    assert_eq!((told.len(), told[0].message.as_str()), (1, expected));
}

/// A wall that steps down by 0.3 m at the origin.
fn stepped(placed: Placed, [from, to]: [f64; 2], batter: f64) -> Wall {
    Wall {
        line: placed.line(&[[from, 0.0], [0.0, 0.0], [to, 0.0]]),
        // The last point begins no stretch: its level is of no account.
        top_m: vec![BASE_M + 0.9, BASE_M + 0.6, BASE_M + 7.0],
        top_run: TopRun::Stepped,
        batter,
        ..wall(placed, 1.0)
    }
}

#[test]
fn a_stepped_top_moves_the_section_of_each_stretch() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        for (across, batter) in [(0.0, 0.0), (0.15, 0.0), (-0.15, 0.2)] {
            let [short, long] = [[-4.0, 4.0], [-7.0, 6.0]].map(|ends| {
                fill_m3(&on_slope(placed, [0.0, across], stepped(placed, ends, batter)))
            });
            let section_m2 = |top_m: f64| {
                let face = (batter > 0.0).then(|| [-3.0 * batter, top_m - 3.0]);
                let behind = [[0.0, top_m], [0.4, top_m], [30.4, top_m - 10.0]];
                fill_m2(&face.into_iter().chain(behind).collect::<Vec<_>>(), across)
            };
            let expected = 3.0 * section_m2(0.9) + 2.0 * section_m2(0.6);
            let found = long - short;
            let near = (found - expected).abs() < 2e-6 * expected;
            assert!(near, "{across} {batter}: {found}, not {expected}");
        }
    }
}

#[test]
fn a_stepped_top_is_level_and_then_a_step() {
    for batter in [0.0, 0.2] {
        let wall = stepped(AS_DRAWN, [-4.0, 4.0], batter);
        let evaluation = sound(&on_slope(AS_DRAWN, [0.0, 0.0], wall));
        let top = &evaluation.works[0].shape.wall_tops[0];
        let steps = [[-4.0, 0.9], [0.0, 0.9], [0.0, 0.6], [4.0, 0.6]];
        assert_eq!(top[..], steps.map(|[x, z]| [x, 0.0, BASE_M + z]));
        let ground = locator(&evaluation);
        let at = |p: [f64; 2]| ground.elevation(p).expect("within the survey") - BASE_M;
        let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-6, "{found}");
        for away in [1e-4, 1.0, 3.0] {
            for back in [1e-4, 0.2] {
                near(at([-away, back]), 0.9);
                near(at([away, back]), 0.6);
            }
            // The fill steps with it.
            near(at([-away, 1.4]), 0.9 - 1.0 / 3.0);
            near(at([away, 1.4]), 0.6 - 1.0 / 3.0);
        }
    }
}

/// Round a bend the step stands on the bend's own line, and a tier behind steps with the front.
#[test]
fn tiers_step_with_the_wall_in_front() {
    let wall = Wall {
        line: AS_DRAWN.line(&[[-6.0, 0.0], [0.0, 0.0], [0.0, 6.0]]),
        top_m: vec![0.6, 0.9, 0.0],
        top_run: TopRun::Stepped,
        tiers: vec![Tier { back_m: 1.2, rise_m: 0.5 }],
        ..wall(AS_DRAWN, 1.0)
    };
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Wall(wall)]));
    assert_eq!(evaluation.works[0].shape.problems, []);
    assert_eq!(evaluation.works[0].open_ends.iter().filter(|end| end.rise_m < 0.0).count(), 0);
    let ground = locator(&evaluation);
    let at = |p: [f64; 2]| ground.elevation(p).expect("within the survey");
    for (place, expected) in [
        ([-3.0, 0.2], 0.6),
        ([-0.2, 3.0], 0.9),
        ([-3.0, 1.3], 1.1),
        ([-1.3, 3.0], 1.4),
        // On both sides of the bisector.
        ([-1.4, 1.35], 1.1),
        ([-1.35, 1.4], 1.4),
    ] {
        assert!((at(place) - expected).abs() < 1e-6, "{place:?}: {}", at(place));
    }
}
