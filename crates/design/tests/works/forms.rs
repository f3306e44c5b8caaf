//! Closed forms on level ground, turned, moved and at the survey's edge.

use std::sync::Arc;

use design::evaluate;
use site::works::{
    Curve, FilterBed, Hill, IntakeBay, Lip, Pad, Path, Plane, PlaneGrade, Stream, Tier, TopRun,
    Wall,
};
use site::{Survey, WorkKind};

use crate::garden::*;

/// One work of each kind at two sizes, with the difference of its cut and fill in cubic metres.
fn closed_forms(placed: Placed) -> Vec<([WorkKind; 2], [f64; 2])> {
    // V-03, Math Central, University of Regina: top 100 by 70 ft, 12 ft deep, 2:1 holds 44,256 ft3.
    let pond = |scale: f64| {
        let outline = rectangle(placed, 100.0 * FT * scale, 70.0 * FT * scale);
        let depth_m = 12.0 * FT * scale;
        WorkKind::Basin(basin(outline, vec![inset(2.0 * depth_m, depth_m - 0.1)]))
    };
    let pond_m3 = |scale: f64| 44_256.0 * (FT * scale).powi(3);
    let prism = |h: f64, top: f64, bottom: f64| 0.5 * h * (top + bottom);
    let small = |kind: fn(Placed, f64) -> WorkKind| [kind(placed, 4.0), kind(placed, 10.0)];
    // A frustum with level ends is h / 6 (A + 4 M + B).
    let bed_m3 = 0.8 / 6.0 * (12.0 + 4.0 * (3.6 * 2.6) + 3.2 * 2.2);
    let no_bed = FilterBed { outline: Curve::default(), ..filter(placed) };
    let bay_m3 = 0.8 / 6.0 * (4.0 + 4.0 * (1.6 * 1.6) + 1.2 * 1.2);
    let no_bay = IntakeBay { outline: Curve::default(), ..bay(placed) };
    vec![
        ([pond(0.5), pond(0.75)], [pond_m3(0.75) - pond_m3(0.5), 0.0]),
        // V-17: 9.75 ft2 of section.
        (small(|p, l| WorkKind::Hill(hill(p, l))), [0.0, 6.0 * 9.75 * FT * FT]),
        (
            small(|p, l| WorkKind::Wall(wall(p, l))),
            [0.0, 6.0 * (0.8 * 0.4 + 0.5 * 0.8 * 0.8 * 3.0)],
        ),
        (small(|p, l| WorkKind::Wall(tiered_wall(p, l))), [0.0, 6.0 * tiered_wall_m2()]),
        (
            small(|p, l| WorkKind::Wall(stepped_wall(p, l))),
            [0.0, 3.0 * (wall_m2(0.9) + wall_m2(0.6))],
        ),
        (
            small(|p, l| WorkKind::Stream(stream(p, l))),
            [6.0 * prism(0.5, 0.6 + 2.0 * 1.5 * 0.5, 0.6), 0.0],
        ),
        ([WorkKind::FilterBed(no_bed), WorkKind::FilterBed(filter(placed))], [bed_m3, 0.0]),
        ([WorkKind::IntakeBay(no_bay), WorkKind::IntakeBay(bay(placed))], [bay_m3, 0.0]),
        // Both banks of 1 in 2 hold a triangle of 0.3 by 0.6 m, and of 0.2 by 0.4 m.
        (small(|p, l| WorkKind::Pad(sunk_pad(p, l))), [6.0 * (3.0 * 0.3 + 2.0 * 0.09), 0.0]),
        (small(|p, l| WorkKind::Path(raised_path(p, l))), [0.0, 6.0 * (1.2 * 0.2 + 2.0 * 0.04)]),
        (small(|p, l| WorkKind::PlaneGrade(falling_lawn(p, l))), falling_lawn_m3(6.0)),
        (small(|p, l| WorkKind::Trench(trench(p, l))), trench_m3(6.0)),
        (small(|p, l| WorkKind::Strip(strip(p, l))), [0.0; 2]),
    ]
}

fn sunk_pad(placed: Placed, length_m: f64) -> Pad {
    let pad = pad(placed, length_m);
    Pad { plane: Plane { level_m: -0.3, ..pad.plane }, ..pad }
}

fn raised_path(placed: Placed, length_m: f64) -> Path {
    Path { level_m: vec![0.2], ..path(placed, length_m) }
}

/// A lawn that falls 1 in 10 across its width of 4 m, from 0.1 m above the ground to 0.3 m below it.
fn falling_lawn(placed: Placed, length_m: f64) -> PlaneGrade {
    let plane = Plane {
        at: placed.at([0.0, -2.0]),
        level_m: 0.1,
        toward: placed.at([0.0, 5.0]),
        fall: 0.1,
    };
    PlaneGrade { plane, ..lawn(placed, length_m) }
}

/// The lawn meets the ground after 1 m of its width; beyond lies a cut bank of 1 in 3, before it a fill
/// bank of 1 in 4.
fn falling_lawn_m3(length_m: f64) -> [f64; 2] {
    let triangle = |width_m: f64, height_m: f64| 0.5 * width_m * height_m;
    let cut_m2 = triangle(3.0, 0.3) + triangle(0.9, 0.3);
    let fill_m2 = triangle(1.0, 0.1) + triangle(0.4, 0.1);
    [length_m * cut_m2, length_m * fill_m2]
}

/// A trench 0.7 m deep and 0.4 m wide whose sides lean by 5 mm over 1.2 m, with 0.1 m of bedding and a
/// pipe of 110 mm: dug, and what of it is filled again.
fn trench_m3(length_m: f64) -> [f64; 2] {
    let dug_m2 = 0.7 * (0.4 + 0.005 * 0.7 / 1.2);
    let laid_m2 = 0.1 * 0.4 + 0.25 * std::f64::consts::PI * 0.11 * 0.11;
    [length_m * dug_m2, length_m * (dug_m2 - laid_m2)]
}

/// Whether a kind changes the finished ground.
fn shows(kind: &WorkKind) -> bool {
    !matches!(kind, WorkKind::Trench(_) | WorkKind::Strip(_))
}

fn tiered_wall(placed: Placed, length_m: f64) -> Wall {
    Wall { tiers: vec![Tier { back_m: 1.2, rise_m: 0.5 }], ..wall(placed, length_m) }
}

/// Two tops of 0.4 m, a bench of 0.8 m that falls 1 in 3 between them, and the fill behind the second.
fn tiered_wall_m2() -> f64 {
    let bench_m2 = 0.8 * (0.8 - 0.5 * 0.8 / 3.0);
    0.4 * 0.8 + bench_m2 + wall_m2(1.3)
}

fn stepped_wall(placed: Placed, length_m: f64) -> Wall {
    let half_m = 0.5 * length_m;
    Wall {
        line: placed.line(&[[-half_m, 0.0], [0.0, 0.0], [half_m, 0.0]]),
        top_m: vec![0.9, 0.6, 0.3],
        top_run: TopRun::Stepped,
        ..wall(placed, length_m)
    }
}

/// A top of 0.4 m and the fill that falls 1 in 3 behind it.
fn wall_m2(high_m: f64) -> f64 {
    0.4 * high_m + 0.5 * high_m * high_m * 3.0
}

#[test]
fn every_kind_moves_its_closed_form_turned_and_moved() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let forms = closed_forms(placed);
        let mut names: Vec<_> = forms.iter().map(|(kinds, _)| kind_name(&kinds[0])).collect();
        names.sort_unstable();
        assert_eq!(
            names,
            [
                "basin",
                "filter bed",
                "hill",
                "intake bay",
                "pad",
                "path",
                "plane grade",
                "stream",
                "strip",
                "trench",
                "wall",
                "wall",
                "wall",
            ]
        );
        for (kinds, expected) in forms {
            let [small, large] = kinds.clone().map(|kind| {
                let evaluation = sound(&site(placed, |_| 0.0, vec![kind]));
                [evaluation.works[0].cut_m3, evaluation.works[0].fill_m3]
            });
            for k in 0..2 {
                let found = large[k] - small[k];
                let near = (found - expected[k]).abs() <= 1e-6 * (1.0 + expected[k]);
                let name = kind_name(&kinds[0]);
                assert!(near, "{name}, cut or fill {k}: {found}, not {}", expected[k]);
            }
        }
    }
}

/// What is dug and filled again leaves the finished ground as it was, to the byte.
#[test]
fn a_trench_and_a_strip_change_no_finished_ground() {
    let hidden: Vec<WorkKind> = closed_forms(TURNED)
        .into_iter()
        .flat_map(|(kinds, _)| kinds)
        .filter(|kind| !shows(kind))
        .collect();
    assert_eq!(hidden.len(), 4);
    let evaluation = sound(&site(TURNED, |[x, y]| 0.05 * x - 0.02 * y, hidden));
    let finished = evaluation.finished.expect("there is ground");
    assert!(Arc::ptr_eq(&finished, &evaluation.existing.expect("there is ground")));
}

/// V-15: top radius 10 ft, bottom 4 ft, depth 3 ft holds 490.09 ft3; chords close in on it as the
/// square of their number.
#[test]
fn a_round_basin_closes_in_on_its_frustum() {
    let off = |n: u32| {
        let corner = |i: u32| {
            let angle = f64::from(i) / f64::from(n) * std::f64::consts::TAU;
            let (sin, cos) = libm::sincos(angle);
            [10.0 * FT * cos, 10.0 * FT * sin]
        };
        let outline = Curve { points: (0..n).map(corner).collect(), smooth: false };
        let pond = basin(outline, vec![inset(6.0 * FT, 3.0 * FT - 0.1)]);
        let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Basin(pond)]));
        490.088_453_960_008_2 - evaluation.works[0].cut_m3 / FT.powi(3)
    };
    let (coarse, fine) = (off(32), off(64));
    assert!(fine.abs() < 0.01 * 490.09, "{fine}");
    assert!((coarse / fine - 4.0).abs() < 0.1, "{coarse} {fine}");
}

#[test]
fn a_basin_holds_its_frustum_of_water() {
    let outline = rectangle(AS_DRAWN, 6.0, 4.0);
    let kind = WorkKind::Basin(basin(outline, vec![inset(1.0, 0.9)]));
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![kind]));
    let water = &evaluation.water[0];
    // 1 in 1 sides: the water stands 0.1 m within the outline and the floor 1 m.
    let held = 0.9 / 6.0 * (5.8 * 3.8 + 4.0 * (4.9 * 2.9) + 4.0 * 2.0);
    assert!((water.volume_m3 - held).abs() < 1e-6 * held, "{}", water.volume_m3);
    assert!((water.area_m2 - 5.8 * 3.8).abs() < 1e-5 && water.level_m == -0.1);
    let [_, area_m2, volume_m3] = *water.stages.last().unwrap();
    assert_eq!((area_m2, volume_m3), (water.area_m2, water.volume_m3));
    assert!(water.stages.windows(2).all(|pair| pair[0][2] <= pair[1][2]));
}

#[test]
fn works_that_do_not_touch_may_change_places() {
    let apart = Placed { turn_rad: 0.3, by: [-15.0, 12.0] };
    let kinds = [
        WorkKind::Hill(hill(apart, 6.0)),
        WorkKind::FilterBed(filter(Placed { by: [10.0, -10.0], ..AS_DRAWN })),
    ];
    let ground = |[x, y]: [f64; 2]| 0.02 * x - 0.01 * y;
    let forward = sound(&site(AS_DRAWN, ground, kinds.to_vec()));
    let back = sound(&site(AS_DRAWN, ground, kinds.iter().rev().cloned().collect()));
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-7 * (1.0 + a), "{a} {b}");
    near(forward.earth.cut_bank_m3, back.earth.cut_bank_m3);
    near(forward.earth.fill_compacted_m3, back.earth.fill_compacted_m3);
    near(forward.works[0].fill_m3, back.works[1].fill_m3);
    near(forward.works[1].cut_m3, back.works[0].cut_m3);
    assert_eq!(forward.earth.recut_m3, 0.0);
}

/// A pond on level ground, and a ridge across the garden that its bank's plane would shave.
#[test]
fn a_bank_does_not_shave_a_far_rise() {
    let ridge = |[x, _]: [f64; 2]| if x >= 20.0 { 14.0 } else { 0.0 };
    let mut pond = basin(rectangle(AS_DRAWN, 6.0, 4.0), vec![inset(1.0, 0.9)]);
    (pond.water_level_m, pond.freeboard_m) = (-0.4, 0.1);
    let kinds = vec![WorkKind::Basin(pond)];
    let evaluation = sound(&site(AS_DRAWN, ridge, kinds.clone()));
    let level = sound(&site(AS_DRAWN, |_| 0.0, kinds));
    let (with, without) = (evaluation.works[0].cut_m3, level.works[0].cut_m3);
    assert!((with - without).abs() < 1e-9 * without, "{with} {without}");
}

#[test]
fn nothing_changes_beyond_the_banks() {
    let ground = |[x, y]: [f64; 2]| 0.05 * x + 0.02 * y;
    for (kinds, _) in closed_forms(AS_DRAWN) {
        let [kind, _] = kinds;
        let evaluation = sound(&site(AS_DRAWN, ground, vec![kind]));
        let (before, after) = (evaluation.existing.unwrap(), evaluation.finished.unwrap());
        let places = [&before, &after].map(|s| ground::query::Locator::new(&**s));
        for corner in [[-29.0, -29.0], [29.0, -28.0], [28.0, 29.0], [-28.5, 27.5]] {
            assert_eq!(places[0].elevation(corner), places[1].elevation(corner));
        }
    }
}

#[test]
fn a_work_at_the_surveys_edge_says_what_lies_beyond() {
    let edge = Placed { turn_rad: 0.2, by: [30.0, 0.0] };
    for (kinds, _) in closed_forms(edge) {
        let [_, kind] = kinds;
        if !shows(&kind) {
            continue;
        }
        let name = kind_name(&kind);
        let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![kind]));
        assert!(evaluation.works[0].beyond_m2 > 0.0, "{name}");
    }
    for (kinds, _) in closed_forms(AS_DRAWN) {
        let [kind, _] = kinds;
        let name = kind_name(&kind);
        let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![kind]));
        assert_eq!(evaluation.works[0].beyond_m2, 0.0, "{name}");
    }
}

#[test]
fn a_bank_that_the_surveys_edge_cuts_off_is_an_open_end() {
    let near = Placed { turn_rad: 0.0, by: [27.0, 0.0] };
    let raised = FilterBed { lip: Lip { elevation_m: 1.5, ..filter(near).lip }, ..filter(near) };
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::FilterBed(raised)]));
    let work = &evaluation.works[0];
    // The rim ends 0.7 m before the survey does; 1 in 2 leaves it 1.15 m high there.
    let highest = work.open_ends.iter().map(|end| end.rise_m).fold(0.0, f64::max);
    assert!((highest - 1.15).abs() < 1e-6, "{highest}");
    assert_eq!(work.beyond_m2, 0.0);
}

/// An edit is local: the ground before the work that changes is shared, not made again.
#[test]
fn an_edit_of_the_last_work_shares_the_ground_before_it() {
    let mut evaluator = design::Evaluator::default();
    let mut evaluate = |height_m: f64| {
        let mut bank = hill(Placed { by: [14.0, 12.0], ..AS_DRAWN }, 6.0);
        bank.crest_m = vec![height_m];
        let pond = basin(rectangle(AS_DRAWN, 6.0, 4.0), vec![inset(1.0, 0.9)]);
        let mut site = site(AS_DRAWN, |[x, _]| 0.03 * x, Vec::new());
        site.works = crate::garden::site(
            AS_DRAWN,
            |_| 0.0,
            vec![WorkKind::Basin(pond), WorkKind::Hill(bank)],
        )
        .works;
        evaluator.evaluate(&site)
    };
    let (first, second) = (evaluate(0.5), evaluate(0.8));
    let shared = |pick: fn(&design::Evaluation) -> &Arc<ground::Surface>| {
        Arc::ptr_eq(pick(&first), pick(&second))
    };
    assert!(shared(|e| e.existing.as_ref().expect("there is ground")));
    assert!(shared(|e| &e.works[0].after));
    assert!(shared(|e| &e.works[1].before));
    assert!(!shared(|e| &e.works[1].after));
    assert!(second.works[1].fill_m3 > first.works[1].fill_m3);
    assert_eq!(first.works[0].cut_m3, second.works[0].cut_m3);
}

#[test]
fn a_work_without_a_shape_says_so_and_moves_nothing() {
    let none = Curve::default();
    let kinds = vec![
        WorkKind::Basin(basin(none.clone(), vec![inset(1.0, 0.9)])),
        WorkKind::Hill(Hill { crest: none.clone(), ..hill(AS_DRAWN, 4.0) }),
        WorkKind::Wall(Wall { line: none.clone(), ..wall(AS_DRAWN, 4.0) }),
        WorkKind::Stream(Stream { line: none.clone(), ..stream(AS_DRAWN, 4.0) }),
        WorkKind::FilterBed(FilterBed { outline: none.clone(), ..filter(AS_DRAWN) }),
        WorkKind::IntakeBay(IntakeBay { outline: none.clone(), ..bay(AS_DRAWN) }),
        WorkKind::Pad(Pad { outline: none.clone(), ..pad(AS_DRAWN, 4.0) }),
        WorkKind::Path(Path { line: none.clone(), ..path(AS_DRAWN, 4.0) }),
        WorkKind::PlaneGrade(PlaneGrade { outline: none, ..lawn(AS_DRAWN, 4.0) }),
    ];
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, kinds));
    for work in &evaluation.works {
        assert_eq!(work.shape.problems.len(), 1);
        assert_eq!((work.cut_m3, work.fill_m3), (0.0, 0.0));
    }
}

#[test]
fn a_survey_that_makes_no_ground_makes_no_figures() {
    let mut site = site(AS_DRAWN, |_| 0.0, Vec::new());
    site.survey = Arc::new(Survey::default());
    let evaluation = evaluate(&site);
    assert!(evaluation.existing.is_none() && evaluation.survey.refused.is_some());
    assert!(evaluation.earth.cut_bank_m3.is_nan());
}
