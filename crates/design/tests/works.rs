//! Every kind of work through closed forms: on level ground, turned, moved, on a slope and at the
//! survey's edge.

use std::sync::Arc;

use design::{Evaluation, evaluate};
use proptest::prelude::*;
use site::works::{
    Basin, BasinRing, Curve, FilterBed, Flank, Floor, Hill, Lip, RingShape, Side, Station, Stream,
    Wall, WallMaterial,
};
use site::{Frame, Site, Survey, SurveyPoint, Work, WorkId, WorkKind};
use units::LengthUnit;

const FT: f64 = 0.3048;

/// A plan motion: a turn about the origin, then a shift.
#[derive(Clone, Copy)]
struct Placed {
    turn_rad: f64,
    by: [f64; 2],
}

const AS_DRAWN: Placed = Placed { turn_rad: 0.0, by: [0.0, 0.0] };
const TURNED: Placed = Placed { turn_rad: std::f64::consts::FRAC_PI_6, by: [0.0, 0.0] };
const MOVED: Placed = Placed { turn_rad: 0.0, by: [311.25, -70.5] };

impl Placed {
    fn at(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = libm::sincos(self.turn_rad);
        [x * cos - y * sin + self.by[0], x * sin + y * cos + self.by[1]]
    }

    fn line(self, points: &[[f64; 2]]) -> Curve {
        Curve { points: points.iter().map(|&p| self.at(p)).collect(), smooth: false }
    }
}

/// A site on surveyed ground of 60 by 60 m about the origin.
fn site(placed: Placed, ground: impl Fn([f64; 2]) -> f64, works: Vec<WorkKind>) -> Site {
    let mut points = Vec::new();
    for i in -6..=6 {
        for j in -6..=6 {
            let p = [f64::from(i) * 5.0, f64::from(j) * 5.0];
            let [x, y] = placed.at(p);
            points.push(SurveyPoint {
                name: format!("{i},{j}"),
                at_m: [x, y, ground(p)],
                ..SurveyPoint::default()
            });
        }
    }
    let works: Vec<Work> = works
        .into_iter()
        .zip(1..)
        .map(|(kind, id)| Work {
            id: WorkId(id),
            name: format!("work {id}"),
            note: String::new(),
            visible: true,
            kind,
        })
        .collect();
    Site {
        format: Site::FORMAT,
        title: "test".into(),
        frame: Frame {
            unit: LengthUnit::Metre,
            step_um: 1,
            origin_m: [0.0, 0.0],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey { points, accuracy_m: 0.01, ..Survey::default() }),
        soil: Default::default(),
        next_id: works.len() as u32 + 1,
        works,
        houses: Vec::new(),
        limits: Default::default(),
        haul: Default::default(),
        viewpoints: Vec::new(),
    }
}

/// Evaluates and checks what must hold for any site: valid surfaces, nets that sum to the whole.
fn sound(site: &Site) -> Evaluation {
    let evaluation = evaluate(site);
    let mut net_m3 = 0.0;
    let mut moved_m3 = 0.0;
    for work in &evaluation.works {
        work.after.check().expect("every stage is a valid surface");
        net_m3 += work.fill_m3 - work.cut_m3;
        moved_m3 += work.fill_m3 + work.cut_m3;
        assert!(work.recut_m3 >= 0.0 && work.recut_m3 <= work.cut_m3 + 1e-9);
    }
    let earth = &evaluation.earth;
    let whole_m3 = earth.fill_compacted_m3 - earth.cut_bank_m3;
    assert!((net_m3 - whole_m3).abs() <= 1e-9 * (1.0 + moved_m3), "{net_m3} {whole_m3}");
    evaluation
}

fn rectangle(placed: Placed, a: f64, b: f64) -> Curve {
    let (x, y) = (0.5 * a, 0.5 * b);
    placed.line(&[[-x, -y], [x, -y], [x, y], [-x, y]])
}

fn inset(run_m: f64, depth_m: f64) -> BasinRing {
    BasinRing { shape: RingShape::Inset { run_m: vec![run_m] }, depth_m }
}

/// A basin whose edge stands at elevation zero.
fn basin(outline: Curve, rings: Vec<BasinRing>) -> Basin {
    Basin {
        outline,
        water_level_m: -0.1,
        freeboard_m: 0.1,
        liner_edge_m: Vec::new(),
        overflow: None,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rings,
        floor: Floor::Level,
    }
}

fn hill(placed: Placed, length_m: f64) -> Hill {
    let flank = Flank { run_per_rise: 3.0, shoulder_m: 0.0, toe_m: 0.0 };
    Hill {
        crest: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        crest_m: vec![1.5 * FT],
        width_m: vec![2.0 * FT],
        left: vec![flank],
        right: vec![flank],
    }
}

fn wall(placed: Placed, length_m: f64) -> Wall {
    Wall {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        top_m: vec![0.8],
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 3.0,
        material: WallMaterial::Stone,
        holds: None,
    }
}

/// A straight stream whose edges stand at elevation zero.
fn stream(placed: Placed, length_m: f64) -> Stream {
    let station = |along_m| Station {
        along_m,
        invert_m: -0.5,
        bed_width_m: 0.6,
        side: 1.5,
        edge_m: [0.5, 0.5],
    };
    Stream {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        from: None,
        into: None,
        stations: vec![station(0.0), station(length_m)],
        falls: Vec::new(),
        water_depth_m: 0.1,
        freeboard_m: 0.1,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rim_width_m: 0.2,
    }
}

/// A filter whose rim and lip stand at elevation zero.
fn filter(placed: Placed) -> FilterBed {
    FilterBed {
        outline: rectangle(placed, 4.0, 3.0),
        lip: Lip { at: placed.at([2.0, 0.0]), width_m: 0.6, elevation_m: 0.0 },
        depth_m: 0.8,
        side: 0.5,
        freeboard_m: 0.0,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        gravel_below_lip_m: 0.05,
    }
}

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
    vec![
        ([pond(0.5), pond(0.75)], [pond_m3(0.75) - pond_m3(0.5), 0.0]),
        // V-17: 9.75 ft2 of section.
        (small(|p, l| WorkKind::Hill(hill(p, l))), [0.0, 6.0 * 9.75 * FT * FT]),
        (
            small(|p, l| WorkKind::Wall(wall(p, l))),
            [0.0, 6.0 * (0.8 * 0.4 + 0.5 * 0.8 * 0.8 * 3.0)],
        ),
        (
            small(|p, l| WorkKind::Stream(stream(p, l))),
            [6.0 * prism(0.5, 0.6 + 2.0 * 1.5 * 0.5, 0.6), 0.0],
        ),
        ([WorkKind::FilterBed(no_bed), WorkKind::FilterBed(filter(placed))], [bed_m3, 0.0]),
    ]
}

/// Names every kind, so that a new one does not escape the closed forms.
fn kind_name(kind: &WorkKind) -> &'static str {
    match kind {
        WorkKind::Basin(_) => "basin",
        WorkKind::Stream(_) => "stream",
        WorkKind::Hill(_) => "hill",
        WorkKind::Wall(_) => "wall",
        WorkKind::FilterBed(_) => "filter bed",
    }
}

#[test]
fn every_kind_moves_its_closed_form_turned_and_moved() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let forms = closed_forms(placed);
        let mut names: Vec<_> = forms.iter().map(|(kinds, _)| kind_name(&kinds[0])).collect();
        names.sort_unstable();
        assert_eq!(names, ["basin", "filter bed", "hill", "stream", "wall"]);
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

#[test]
fn what_is_kept_between_evaluations_changes_nothing() {
    let mut evaluator = design::Evaluator::default();
    let mut pond = basin(rectangle(AS_DRAWN, 6.0, 4.0), vec![inset(1.0, 0.9)]);
    for depth_m in [0.9, 0.7, 0.9] {
        pond.rings[0].depth_m = depth_m;
        let kinds = vec![
            WorkKind::Basin(pond.clone()),
            WorkKind::Stream(stream(Placed { by: [-5.0, 1.0], ..AS_DRAWN }, 6.0)),
        ];
        let site = site(AS_DRAWN, |[x, _]| 0.03 * x, kinds);
        let (kept, fresh) = (evaluator.evaluate(&site), evaluate(&site));
        assert_eq!(kept.finished, fresh.finished);
        assert_eq!((kept.earth, kept.haul), (fresh.earth, fresh.haul));
        assert_eq!(kept.water[0].stages, fresh.water[0].stages);
        assert_eq!(kept.findings, fresh.findings);
    }
}

#[test]
fn a_work_without_a_shape_says_so_and_moves_nothing() {
    let none = Curve::default();
    let kinds = vec![
        WorkKind::Basin(basin(none.clone(), vec![inset(1.0, 0.9)])),
        WorkKind::Hill(Hill { crest: none.clone(), ..hill(AS_DRAWN, 4.0) }),
        WorkKind::Wall(Wall { line: none.clone(), ..wall(AS_DRAWN, 4.0) }),
        WorkKind::Stream(Stream { line: none.clone(), ..stream(AS_DRAWN, 4.0) }),
        WorkKind::FilterBed(FilterBed { outline: none, ..filter(AS_DRAWN) }),
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

/// A pond as a client draws one: a smooth, often concave ring.
fn pond_outline() -> impl Strategy<Value = Curve> {
    proptest::collection::vec(1.5..6.0_f64, 5..10).prop_map(|radii| {
        let n = radii.len() as f64;
        let spoke = |(i, r): (usize, &f64)| {
            let (sin, cos) = libm::sincos(i as f64 / n * std::f64::consts::TAU);
            [r * cos, r * sin]
        };
        Curve { points: radii.iter().enumerate().map(spoke).collect(), smooth: true }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn any_garden_evaluates_to_valid_ground(
        outline in pond_outline(),
        runs in proptest::collection::vec(0.1..1.0_f64, 1..4),
        level_m in -1.5..1.0_f64,
        grade in -0.08..0.08_f64,
        bend in proptest::collection::vec(-2.0..2.0_f64, 3),
        flank in (1.2..4.0_f64, 0.0..1.0_f64, 0.0..1.5_f64),
        drop_m in 0.1..0.6_f64,
    ) {
        let rings = runs.iter().enumerate().map(|(i, &run)| inset(run, 0.3 * (i + 1) as f64));
        let mut pond = basin(outline, rings.collect());
        pond.water_level_m = level_m;
        let flank = Flank { run_per_rise: flank.0, shoulder_m: flank.1, toe_m: flank.2 };
        let bank = Hill {
            crest: Curve {
                points: vec![[-4.0, 14.0 + bend[0]], [0.0, 16.0], [4.0, 14.0 + bend[1]]],
                smooth: true,
            },
            crest_m: vec![1.0, 1.4, 1.2],
            width_m: vec![0.8],
            left: vec![flank],
            right: vec![Flank { run_per_rise: flank.run_per_rise + 0.5, ..flank }],
        };
        let mut water = stream(AS_DRAWN, 14.0);
        water.line = Curve {
            points: vec![[0.0, 15.0], [bend[2], 11.0], [bend[1], 7.0], [0.0, 2.0]],
            smooth: true,
        };
        water.into = Some(WorkId(1));
        water.stations[0].invert_m = level_m + 2.0 * drop_m;
        water.stations[1].invert_m = level_m;
        water.falls.push(site::works::Fall {
            along_m: 6.0,
            crest_m: level_m + 1.5 * drop_m,
            crest_width_m: 0.5,
            drop_m,
            pool_m: 0.1,
        });
        let kinds = vec![
            WorkKind::Basin(pond),
            WorkKind::Hill(bank),
            WorkKind::Stream(water),
            WorkKind::Wall(Wall {
                line: Curve { points: vec![[-3.0, 12.0], [bend[0], 12.5], [3.0, 12.0]], smooth: true },
                batter: 0.1,
                ..wall(AS_DRAWN, 4.0)
            }),
        ];
        sound(&site(AS_DRAWN, |[x, y]| grade * x + 0.03 * y, kinds));
    }
}
