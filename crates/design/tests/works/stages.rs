//! The grounds between existing and finished, and the earth between them, by closed forms.
//!
//! A pad longer than another has the same ends farther apart: the difference of what they move is the
//! section's area times the difference of their lengths.

use design::{Evaluation, Evaluator};
use ground::overlay::volumes;
use site::earth::{FillUse, LayerTop, SoilClass};
use site::works::{BuildUp, Pad, PadPurpose, Plane, Strip, Trench};
use site::{Site, Soil, WorkKind};

use crate::garden::*;

/// The pad's breadth, its depth below level ground, and the run of its banks for each rise.
const BREADTH_M: f64 = 4.0;
const DEPTH_M: f64 = 0.6;
const BANK: f64 = 2.0;
/// What lies on the pad, and on its banks.
const PAVED_M: f64 = 0.25;
const GROWN_M: f64 = 0.10;
/// Topsoil stripped, and how far around.
const STRIP_M: f64 = 0.15;
const MARGIN_M: f64 = 0.5;
/// How much longer the longer pad is.
const LONGER_M: f64 = 6.0;

fn pad(placed: Placed, length_m: f64) -> Pad {
    Pad {
        outline: rectangle(placed, length_m, BREADTH_M),
        purpose: PadPurpose::Patio,
        plane: Plane {
            at: placed.at([0.0, 0.0]),
            level_m: -DEPTH_M,
            toward: placed.at([1.0, 0.0]),
            fall: 0.0,
        },
        cut_bank: BANK,
        fill_bank: BANK,
        build_up: BuildUp { bedding_m: 0.10, gravel_m: 0.15, ..BuildUp::default() },
        bank_build_up: BuildUp { topsoil_m: GROWN_M, ..BuildUp::default() },
    }
}

fn stripped(placed: Placed, works: Vec<WorkKind>) -> Site {
    let mut site = site(placed, |_| 0.0, works);
    site.soils.topsoil.strip_m = STRIP_M;
    site.soils.topsoil.margin_m = MARGIN_M;
    site
}

/// The longer pad less the shorter one.
fn longer(placed: Placed, of: impl Fn(&Evaluation) -> f64) -> f64 {
    let [short, long] = [4.0, 4.0 + LONGER_M].map(|length_m| {
        let evaluation = sound(&stripped(placed, vec![WorkKind::Pad(pad(placed, length_m))]));
        whole(&evaluation);
        of(&evaluation)
    });
    long - short
}

/// What holds for any evaluation: layers measured on their own are the differences of the grounds.
fn whole(evaluation: &Evaluation) {
    let between = evaluation.between.as_ref().expect("there is ground");
    let [existing, finished] = [&evaluation.existing, &evaluation.finished]
        .map(|ground| ground.as_ref().expect("there is ground"));
    for ground in [&between.stripped, &between.subgrade].into_iter().chain(&between.liner) {
        ground.check().expect("it is valid");
    }
    // Through compositions volumes hold to 1e-7 of what is moved.
    let scale_m3 = 1.0 + evaluation.earth.dug_m3;
    let near = |found: f64, expected: f64, what: &str| {
        assert!((found - expected).abs() < 1e-7 * scale_m3, "{what}: {found} {expected}");
    };
    let earth = &evaluation.earth;
    let off = volumes(existing, &between.stripped);
    near(off.cut_m3, earth.topsoil.strip_m3, "stripped");
    near(off.fill_m3, 0.0, "nothing is raised by stripping");
    let on = volumes(&between.subgrade, finished);
    let laid_m3: f64 = evaluation.laid.iter().map(|(_, laid)| laid.whole_m3()).sum();
    let laid_topsoil_m3: f64 = evaluation.laid.iter().map(|(_, laid)| laid.topsoil_m3).sum();
    let around_m3 = earth.topsoil.respread_m3 - laid_topsoil_m3;
    near(on.fill_m3, laid_m3 + around_m3, "laid");
    near(on.cut_m3, 0.0, "nothing is lowered by laying");
    let moved = volumes(&between.stripped, &between.subgrade);
    let trenched = |of: fn(&design::TrenchOutcome) -> f64| -> f64 {
        evaluation.works.iter().filter_map(|work| work.trench.as_ref()).map(of).sum()
    };
    near(moved.cut_m3 + trenched(|t| t.dug_m3), earth.cut_bank_m3, "cut");
    near(moved.fill_m3 + trenched(|t| t.backfill_m3), earth.fill_compacted_m3, "fill");
    let dug = volumes(existing, &between.subgrade);
    near(evaluation.lifts.iter().map(|lift| lift.dug_m3).sum(), earth.dug_m3, "lifts");
    near(dug.cut_m3 + trenched(|t| t.dug_m3), earth.dug_m3, "dug");
    let soils_m3: f64 = evaluation.soils.iter().map(|soil| soil.cut_bank_m3).sum();
    near(soils_m3, earth.cut_bank_m3, "soils");
}

#[test]
fn a_pad_is_stripped_dug_and_laid_by_its_section() {
    let bank_run_m = BANK * DEPTH_M;
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let near = |found: f64, section_m2: f64| {
            let expected = LONGER_M * section_m2;
            assert!((found - expected).abs() < 2e-5 * expected, "{found}, not {expected}");
        };
        let around_m = BREADTH_M + 2.0 * bank_run_m + 2.0 * MARGIN_M;
        near(longer(placed, |e| e.earth.topsoil.strip_m3), STRIP_M * around_m);
        near(
            longer(placed, |e| e.earth.topsoil.respread_m3),
            2.0 * (STRIP_M * MARGIN_M + GROWN_M * bank_run_m),
        );
        // The banks' subgrade lies below the stripped ground but for the last of their run.
        let deep_m = DEPTH_M + GROWN_M - STRIP_M;
        let high_m = STRIP_M - GROWN_M;
        near(
            longer(placed, |e| e.earth.cut_bank_m3),
            (DEPTH_M + PAVED_M - STRIP_M) * BREADTH_M + BANK * deep_m * deep_m,
        );
        near(longer(placed, |e| e.earth.fill_compacted_m3), BANK * high_m * high_m);
        near(
            longer(placed, |e| e.earth.dug_m3),
            (DEPTH_M + PAVED_M) * BREADTH_M
                + 2.0 * (0.5 * bank_run_m * DEPTH_M + bank_run_m * GROWN_M)
                + 2.0 * MARGIN_M * STRIP_M,
        );
        near(longer(placed, |e| e.laid[0].1.bedding_m3), 0.10 * BREADTH_M);
        near(longer(placed, |e| e.laid[0].1.gravel_m3), 0.15 * BREADTH_M);
    }
}

/// The cut below 0.4 m is the lower soil's, whether its top is a depth or levels of borings.
#[test]
fn each_soil_gives_what_lies_below_its_top() {
    let lower = |top: LayerTop| Soil {
        name: "Clay".into(),
        top,
        class: SoilClass::B,
        fill: FillUse::Unfit,
        ..Soil::default()
    };
    let borings = vec![[-30.0, -30.0, -0.4], [30.0, -30.0, -0.4], [0.0, 30.0, -0.4]];
    for top in [LayerTop::Depth(0.4), LayerTop::Levels(borings)] {
        let [short, long] = [4.0, 4.0 + LONGER_M].map(|length_m| {
            let mut site = stripped(AS_DRAWN, vec![WorkKind::Pad(pad(AS_DRAWN, length_m))]);
            site.soils.layers.push(lower(top.clone()));
            let evaluation = sound(&site);
            whole(&evaluation);
            assert_eq!(evaluation.soils[1].to_fill_bank_m3, 0.0);
            assert_eq!(evaluation.soils[1].spoil_bank_m3, evaluation.soils[1].cut_bank_m3);
            evaluation.soils[1].cut_bank_m3
        });
        let deep_m = DEPTH_M + GROWN_M - 0.4;
        let expected = LONGER_M * ((DEPTH_M + PAVED_M - 0.4) * BREADTH_M + BANK * deep_m * deep_m);
        assert!((long - short - expected).abs() < 2e-5 * expected, "{} {expected}", long - short);
    }
}

/// A trench of bottom w, depth h and sides s has the section w h + s h h; it is filled again but for
/// its bedding and its pipe, and leaves the finished ground as it was.
#[test]
fn a_trench_is_dug_bedded_and_filled_again() {
    let trench = |placed: Placed, length_m: f64| Trench {
        line: placed.line(&[[-0.5 * length_m, 3.0], [0.5 * length_m, 3.0]]),
        invert_m: vec![-0.8],
        width_m: 0.4,
        side: 0.25,
        bedding_m: 0.1,
        pipe_m: 0.2,
    };
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let [short, long] = [4.0, 10.0].map(|length_m| {
            let works = vec![WorkKind::Trench(trench(placed, length_m))];
            let evaluation = sound(&site(placed, |_| 0.0, works));
            whole(&evaluation);
            assert_eq!(evaluation.finished, evaluation.existing);
            evaluation.works[0].trench.clone().expect("it is dug")
        });
        let near = |of: fn(&design::TrenchOutcome) -> f64, section_m2: f64| {
            let (found, expected) = (of(&long) - of(&short), 6.0 * section_m2);
            assert!((found - expected).abs() < 1e-5 * expected, "{found}, not {expected}");
        };
        let section_m2 = 0.4 * 0.9 + 0.25 * 0.9 * 0.9;
        let (bedding_m2, pipe_m2) = ((0.4 + 0.25 * 0.1) * 0.1, std::f64::consts::PI * 0.01);
        near(|t| t.dug_m3, section_m2);
        near(|t| t.bedding_m3, bedding_m2);
        near(|t| t.pipe_m3, pipe_m2);
        near(|t| t.backfill_m3, section_m2 - bedding_m2 - pipe_m2);
        near(|t| t.length_m, 1.0);
    }
}

/// A strip beside a pad takes its topsoil once where both lie over each other.
#[test]
fn topsoil_is_taken_once() {
    let strip = |x: f64| {
        let points = vec![[x, -1.0], [x + 4.0, -1.0], [x + 4.0, 1.0], [x, 1.0]];
        WorkKind::Strip(Strip { outline: site::Curve { points, smooth: false } })
    };
    let strip_m3 = |works: Vec<WorkKind>| {
        let evaluation = sound(&stripped(AS_DRAWN, works));
        whole(&evaluation);
        evaluation.earth.topsoil.strip_m3
    };
    let alone = strip_m3(vec![strip(10.0)]);
    assert!((alone - 8.0 * STRIP_M).abs() < 1e-9, "{alone}");
    let pad = || WorkKind::Pad(pad(AS_DRAWN, 6.0));
    let pad_m3 = strip_m3(vec![pad()]);
    assert!((strip_m3(vec![pad(), strip(10.0)]) - pad_m3 - alone).abs() < 1e-7);
    // From the pad's middle out to its edge all is stripped already.
    assert!((strip_m3(vec![pad(), strip(-1.0)]) - pad_m3).abs() < 1e-7);
}

#[test]
fn a_strip_without_a_depth_is_told() {
    let points = vec![[0.0, 0.0], [4.0, 0.0], [4.0, 2.0]];
    let works = vec![WorkKind::Strip(Strip { outline: site::Curve { points, smooth: false } })];
    let told = |site: &Site| {
        let evaluation = sound(site);
        evaluation.works[0].shape.problems.iter().any(|problem| problem.message.contains("topsoil"))
    };
    assert!(told(&site(AS_DRAWN, |_| 0.0, works.clone())));
    assert!(!told(&stripped(AS_DRAWN, works)));
}

/// Each ring of a basin has a build-up of its own, and the liner lies below all of it.
#[test]
fn a_basin_is_lined_below_its_gravel() {
    let mut pond = basin(rectangle(AS_DRAWN, 8.0, 6.0), vec![inset(1.0, 0.4), inset(0.5, 0.9)]);
    let lined = |gravel_m| BuildUp { liner_m: 0.005, gravel_m, ..BuildUp::default() };
    pond.build_up = lined(0.0);
    pond.rings[0].build_up = lined(0.1);
    pond.rings[1].build_up = lined(0.2);
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Basin(pond)]));
    whole(&evaluation);
    let laid = &evaluation.laid[0].1;
    // Within the first ring 6 by 4 m, within the second 5 by 3 m.
    assert!((laid.gravel_m3 - (0.1 * (24.0 - 15.0) + 0.2 * 15.0)).abs() < 1e-5, "{laid:?}");
    assert!((laid.liner_plan_m2 - 48.0).abs() < 1e-5, "{laid:?}");
    let liner = evaluation.between.as_ref().unwrap().liner.clone().expect("it is lined");
    let middle = ground::Locator::new(&*liner).elevation([0.0, 0.0]).expect("it lies there");
    assert!((middle + 1.0 + 0.2).abs() < 1e-9, "{middle}");
}

/// The evaluator's warm answers are those of a fresh one, whatever of the layers is edited.
#[test]
fn what_is_kept_between_edits_changes_no_answer() {
    let mut evaluator = Evaluator::default();
    let mut site = stripped(
        AS_DRAWN,
        vec![
            WorkKind::Pad(pad(AS_DRAWN, 6.0)),
            WorkKind::Hill(hill(Placed { turn_rad: 0.4, by: [2.0, 4.0] }, 5.0)),
        ],
    );
    for step in 0..6 {
        match step {
            1 => site.soils.topsoil.strip_m = 0.2,
            2 => site.soils.topsoil.margin_m = 1.0,
            3 => {
                let WorkKind::Pad(pad) = &mut site.works[0].kind else { panic!("a pad") };
                pad.build_up.gravel_m = 0.3;
            }
            4 => site.soils.topsoil.strip_m = 0.0,
            5 => site.works[1].visible = false,
            _ => {}
        }
        let [warm, cold] = [evaluator.evaluate(&site), design::evaluate(&site)];
        whole(&warm);
        assert_eq!((warm.earth, warm.haul), (cold.earth, cold.haul), "step {step}");
        assert_eq!(warm.lifts, cold.lifts);
        assert_eq!(warm.laid, cold.laid);
        let moved = |e: &Evaluation| -> Vec<[f64; 3]> {
            e.works.iter().map(|w| [w.cut_m3, w.fill_m3, w.recut_m3]).collect()
        };
        assert_eq!(moved(&warm), moved(&cold));
    }
}
