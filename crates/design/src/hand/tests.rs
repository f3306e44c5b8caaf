//! A hand on ground that slopes one in ten down to the east, 10 m at the origin.

use site::field::{FieldValue, fields};
use site::shape::{Ends, lines};
use site::works::{Side, WorkKind};
use site::{Curve, Edit, Site, SurveyPoint, Work, apply};

use super::*;

fn slope([x, y]: [f64; 2]) -> Option<f64> {
    ((-50.0..=50.0).contains(&x) && (-50.0..=50.0).contains(&y)).then_some(10.0 - 0.1 * x)
}

fn bare() -> Site {
    let text = "(format: 5, title: \"Bare\", frame: (unit: Metre, step_um: 1, origin_m: (0.0, 0.0)), \
                survey: (file: \"s.csv\", accuracy_m: 0.01), next_id: 1)";
    let mut site = site::file::parse(text).unwrap();
    let point = |name: &str, at_m| SurveyPoint { name: name.into(), at_m, ..Default::default() };
    site.survey = std::sync::Arc::new(site::Survey {
        points: vec![point("A", [5.0, 5.0, 9.5]), point("B", [-5.0, 5.0, 10.5])],
        ..site::Survey::clone(&site.survey)
    });
    site
}

fn drawn(kind: Kind, points: &[[f64; 2]], site: &Site) -> Work {
    let curve = Curve { points: points.to_vec(), smooth: true };
    begin(kind, curve, site, &slope).unwrap().work
}

fn with(site: &Site, work: Work) -> Site {
    apply(site, &Edit::AddWork { work, at: usize::MAX }).unwrap()
}

fn round(middle: [f64; 2], radius: f64) -> Vec<[f64; 2]> {
    (0..8)
        .map(|k| {
            let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::FRAC_PI_4);
            [middle[0] + radius * cos, middle[1] + radius * sin]
        })
        .collect()
}

#[test]
fn every_kind_that_a_hand_draws_is_a_valid_work_of_that_kind() {
    let mut site = bare();
    for kind in Kind::ALL {
        let points = match kind.ends() {
            Ends::Closed => round([3.0, 2.0], 2.5),
            Ends::Open => vec![[-6.0, 0.0], [-2.0, 1.0], [2.0, 0.0]],
        };
        site = with(&site, drawn(kind, &points, &site));
        assert_eq!(Kind::of(&site.works.last().unwrap().kind), kind);
    }
    assert_eq!(site.check(), Ok(()));
    // The same name is not given twice.
    let again = drawn(Kind::Basin, &round([20.0, 0.0], 3.0), &site);
    assert_eq!(again.name, "Pond 2");
}

#[test]
fn a_pond_dams_nothing_up_and_has_two_shelves_where_there_is_room() {
    let site = bare();
    // Drawn clockwise: it goes counter-clockwise all the same.
    let mut points = round([0.0, 0.0], 3.0);
    points.reverse();
    let WorkKind::Basin(basin) = drawn(Kind::Basin, &points, &site).kind else { panic!("a pond") };
    let edge_m = basin.water_level_m + basin.freeboard_m;
    // Lowest ground of the outline: 10 - 0.1 * 3 at its east end.
    assert!((edge_m - 9.7).abs() < 0.002, "{edge_m}");
    assert!(ground::curve::signed_area_m2(&basin.outline.points) > 0.0);
    assert_eq!(basin.rings.len(), 5);
    let small = drawn(Kind::Basin, &round([0.0, 0.0], 0.8), &site);
    let WorkKind::Basin(small) = small.kind else { panic!("a pond") };
    assert_eq!(small.rings.len(), 1);
}

#[test]
fn a_stream_runs_downhill_into_the_pond_from_the_filter_and_its_falls_close() {
    let site = with(&bare(), drawn(Kind::Basin, &round([8.0, 0.0], 3.0), &bare()));
    let site = with(&site, drawn(Kind::FilterBed, &round([-8.0, 0.0], 2.0), &site));
    let WorkKind::FilterBed(bed) = &site.works[1].kind else { panic!("a filter") };
    // Its lip lies downhill.
    assert!(bed.lip.at[0] > -6.1, "{:?}", bed.lip.at);
    // Drawn uphill, from the pond to the lip.
    let points = [[6.0, 0.0], [0.0, 1.0], bed.lip.at];
    let WorkKind::Stream(stream) = drawn(Kind::Stream, &points, &site).kind else { panic!() };
    assert_eq!((stream.from, stream.into), (Some(site.works[1].id), Some(site.works[0].id)));
    assert_eq!(stream.line.points[0], bed.lip.at);
    let WorkKind::Basin(basin) = &site.works[0].kind else { panic!("a pond") };
    let (head, mouth) = (stream.stations[0], stream.stations[1]);
    assert_eq!((head.invert_m, mouth.invert_m), (bed.lip.elevation_m, basin.water_level_m));
    // Down the bed and over every fall the levels lead from the head to the mouth.
    assert!(!stream.falls.is_empty());
    let drops: f64 = stream.falls.iter().map(|fall| fall.drop_m).sum();
    let by_bed = 0.03 * mouth.along_m;
    assert!((head.invert_m - drops - by_bed - mouth.invert_m).abs() < 0.005);
    for fall in &stream.falls {
        assert!(
            fall.crest_m < head.invert_m && fall.crest_m - fall.drop_m > mouth.invert_m - 0.005
        );
    }
}

#[test]
fn a_wall_holds_the_higher_side_and_a_hill_stands_on_its_highest_ground() {
    let site = bare();
    // It runs north; uphill is west, on its left.
    let WorkKind::Wall(wall) = drawn(Kind::Wall, &[[0.0, -3.0], [0.0, 3.0]], &site).kind else {
        panic!("a wall")
    };
    assert_eq!((wall.retains, wall.top_m.len()), (Side::Left, 1));
    assert!((wall.top_m[0] - (10.0 - 0.06 + 0.4)).abs() < 0.002, "{:?}", wall.top_m);
    let WorkKind::Hill(hill) = drawn(Kind::Hill, &[[-2.0, 0.0], [2.0, 0.0]], &site).kind else {
        panic!("a hill")
    };
    assert!((hill.crest_m[0] - 10.8).abs() < 1e-9);
}

#[test]
fn what_cannot_begin_says_why() {
    let site = bare();
    let fails = |kind, points: &[[f64; 2]]| {
        let curve = Curve { points: points.to_vec(), smooth: false };
        begin(kind, curve, &site, &slope).unwrap_err().to_string()
    };
    assert_eq!(
        fails(Kind::Basin, &[[0.0; 2], [1.0, 0.0]]),
        "a pond is drawn with 3 points or more"
    );
    let bow = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
    assert_eq!(fails(Kind::Pad, &bow), "the outline crosses itself");
    assert!(fails(Kind::Wall, &[[80.0, 0.0], [90.0, 0.0]]).contains("surveyed ground"));
    let curve = Curve { points: bow.to_vec(), smooth: false };
    assert_eq!(crossing_at(&curve, Ends::Closed), Some([1.0, 1.0]));
    assert_eq!(crossing_at(&Curve { points: bow[..3].to_vec(), smooth: true }, Ends::Closed), None);
}

#[test]
fn a_place_is_drawn_to_the_nearest_thing_that_is_on() {
    let site = with(&bare(), drawn(Kind::Wall, &[[0.0, -3.0], [0.0, 3.0]], &bare()));
    let targets = Targets::of(&site, None);
    let wish = |at, before| Wish { at, reach_m: 0.3, before, step_m: 0.5 };
    let mut snaps = Snaps::default();
    let near_a = targets.snap(&wish([5.1, 4.9], [None, None]), &snaps);
    assert_eq!(near_a.at, [5.0, 5.0]);
    assert_eq!(near_a.to, Some(Target::Point { name: "point A".into(), level_m: Some(9.5) }));
    let on_wall = targets.snap(&wish([0.2, 1.0], [None, None]), &snaps);
    assert_eq!(on_wall.at, [0.0, 1.0]);
    assert!(matches!(on_wall.to, Some(Target::Line { name, .. }) if name == "Wall"));
    // Square to the piece before, which ran north-east.
    let before = [Some([10.0, 10.0]), Some([9.0, 9.0])];
    let square = targets.snap(&wish([12.1, 8.0], before), &snaps);
    assert!((square.at[0] - 12.05).abs() < 1e-9 && (square.at[1] - 7.95).abs() < 1e-9);
    // With even lengths too the corner stands at a whole half metre.
    snaps.turn(Snap::Lengths);
    let even = targets.snap(&wish([12.1, 8.0], before), &snaps);
    assert!((apart(even.at, [10.0, 10.0]) - 3.0).abs() < 1e-9, "{even:?}");
    let none = targets.snap(&wish([5.1, 4.9], [None, None]), &Snaps::none());
    assert_eq!((none.at, none.to), ([5.1, 4.9], None));
    // The work in the hand is not drawn to itself.
    let held = Targets::of(&site, Some(site.works[0].id));
    assert_eq!(held.snap(&wish([0.2, 1.0], [None, None]), &snaps).to, None);
}

#[test]
fn levels_are_drawn_to_the_lip() {
    let site = with(&bare(), drawn(Kind::FilterBed, &round([0.0, 0.0], 2.0), &bare()));
    let targets = Targets::of(&site, None);
    let WorkKind::FilterBed(bed) = &site.works[0].kind else { panic!("a filter") };
    let lip_m = bed.lip.elevation_m;
    let mark = targets.snap_level(lip_m + 0.02, 0.05, &Snaps::default()).unwrap();
    assert_eq!((mark.level_m, mark.name.as_str()), (lip_m, "the lip of Planted filter"));
    assert!(targets.snap_level(lip_m + 0.2, 0.05, &Snaps::default()).is_none());
    assert!(targets.snap_level(lip_m, 0.05, &Snaps::none()).is_none());
}

#[test]
fn every_handle_pulls_what_it_stands_for_and_back() {
    let mut site = bare();
    for kind in Kind::ALL {
        let points = match kind.ends() {
            Ends::Closed => round([3.0, 2.0], 2.5),
            Ends::Open => vec![[-6.0, 0.0], [-2.0, 1.0], [2.0, 0.0]],
        };
        let work = drawn(kind, &points, &site);
        let all = grips(&work);
        let n_points = lines(&work.kind)[0].curve.points.len();
        let on_points = all.iter().filter(|grip| matches!(grip.pull, Pull::Point { .. })).count();
        assert_eq!(on_points, n_points, "{}", work.name);
        for grip in &all {
            let still = Hold { from: grip.at, at: grip.at, rise_m: 0.0 };
            let here = pulled(&work, &grip.pull, &still).unwrap().work;
            if !matches!(grip.pull, Pull::NewPoint { .. }) {
                close(&here, &work, &grip.name);
            }
            let moved = Hold { at: [grip.at[0] + 0.02, grip.at[1] + 0.01], rise_m: 0.02, ..still };
            let there = pulled(&work, &grip.pull, &moved).unwrap().work;
            assert_ne!(there, work, "{} of {}", grip.label, work.name);
        }
        let mut names: Vec<_> = all.iter().map(|grip| grip.name.clone()).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all.len(), "{}", work.name);
        site = with(&site, work);
    }
}

#[test]
fn a_depth_grows_downward_and_a_level_up_and_neither_leaves_its_range() {
    let work = drawn(Kind::Basin, &round([0.0, 0.0], 3.0), &bare());
    let grip = |path: &str| grips(&work).into_iter().find(|grip| grip.name == path).unwrap();
    let at = |rise_m| Hold { from: [0.0; 2], at: [0.0; 2], rise_m };
    let number = |path: &str, rise_m| pulled(&work, &grip(path).pull, &at(rise_m)).unwrap().number;
    assert_eq!(number("rings[0].depth_m", -0.1).map(|(_, n)| n), Some(0.35));
    let water = number("water_level_m", 0.1).unwrap().1;
    assert!((water - 9.7).abs() < 0.002, "{water}");
    let error = pulled(&work, &grip("rings[0].depth_m").pull, &at(5.0)).unwrap_err();
    assert!(error.to_string().contains("must be 0 to 20"), "{error}");
}

#[test]
fn levels_asked_for_at_points_are_given_to_them() {
    let mut work = drawn(Kind::Wall, &[[0.0, -3.0], [0.0, 0.0], [0.0, 3.0]], &bare());
    let WorkKind::Wall(before) = work.kind.clone() else { panic!("a wall") };
    give_levels(&mut work.kind, &[None, Some(11.5), None]);
    let WorkKind::Wall(after) = work.kind else { panic!("a wall") };
    assert_eq!(after.top_m, [before.top_m[0], 11.5, before.top_m[0]]);
}

/// Two works whose numbers are the same but for rounding.
fn close(a: &Work, b: &Work, what: &str) {
    for (a, b) in fields(a).iter().zip(&fields(b)) {
        let near = match (&a.value, &b.value) {
            (FieldValue::Number(a), FieldValue::Number(b)) => (a - b).abs() < 1e-6,
            (FieldValue::Place(Some(a)), FieldValue::Place(Some(b))) => apart(*a, *b) < 1e-6,
            (a, b) => a == b,
        };
        assert!(near, "{what}: {} {:?} {:?}", a.path, a.value, b.value);
    }
}

#[test]
fn a_long_wall_holds_the_pond_that_comes_near_amid_it() {
    let site = with(&bare(), drawn(Kind::Basin, &round([0.0, 2.8], 2.0), &bare()));
    let wall = drawn(Kind::Wall, &[[-12.0, 0.0], [12.0, 0.0]], &site);
    let WorkKind::Wall(wall) = wall.kind else { panic!("a wall") };
    assert_eq!(wall.holds, Some(site.works[0].id));
    let far = drawn(Kind::Wall, &[[-12.0, -2.0], [12.0, -2.0]], &site);
    let WorkKind::Wall(far) = far.kind else { panic!("a wall") };
    assert_eq!(far.holds, None);
}

#[test]
fn a_place_belongs_to_the_line_beside_it_and_else_to_the_outline_around_it() {
    let site = with(&bare(), drawn(Kind::Strip, &round([0.0, 0.0], 4.0), &bare()));
    let trench = drawn(Kind::Trench, &[[-3.0, 1.0], [3.0, 1.0]], &site);
    let site = with(&site, trench);
    let [strip, trench] = [site.works[0].id, site.works[1].id];
    assert_eq!(work_at(&site, [0.0, 1.1], 0.3), Some(trench));
    assert_eq!(work_at(&site, [0.0, -1.0], 0.3), Some(strip));
    assert_eq!(work_at(&site, [9.0, 9.0], 0.3), None);
}
