//! What is kept between evaluations changes nothing: whatever was evaluated before, a site has the
//! bytes of an evaluation that knows nothing.

use design::{AnswerKind, Evaluation, Evaluator, Threads, WorkDone, evaluate};
use site::earth::{LayerTop, SoilClass};
use site::works::{Basin, BuildUp, Hill, Path, Stream, Wall};
use site::{Site, Soil, WorkId, WorkKind};

use crate::garden::*;

/// Proves that two evaluations are the same in all that they say.
pub(crate) fn prove_same(kept: &Evaluation, fresh: &Evaluation) {
    assert_eq!(kept.existing, fresh.existing);
    assert_eq!(kept.finished, fresh.finished);
    let grounds = |evaluation: &Evaluation| {
        evaluation.between.clone().map(|b| (b.stripped, b.subgrade, b.liner))
    };
    assert_eq!(grounds(kept), grounds(fresh));
    let areas = |evaluation: &Evaluation| {
        evaluation.between.as_ref().map(|between| [between.stripped_m2, between.margin_m2])
    };
    assert_eq!(areas(kept), areas(fresh));
    assert_eq!((kept.earth, kept.haul), (fresh.earth, fresh.haul));
    assert_eq!((&kept.soils, &kept.lifts, &kept.laid), (&fresh.soils, &fresh.lifts, &fresh.laid));
    assert_eq!(format!("{:?}", kept.water), format!("{:?}", fresh.water));
    assert_eq!(kept.survey, fresh.survey);
    assert_eq!(kept.findings, fresh.findings);
    assert_eq!(kept.works.len(), fresh.works.len());
    for (kept, fresh) in kept.works.iter().zip(&fresh.works) {
        assert_eq!((&kept.before, &kept.after), (&fresh.before, &fresh.after));
        assert_eq!((&kept.shape, &kept.open_ends), (&fresh.shape, &fresh.open_ends));
        let moved =
            |work: &design::WorkOutcome| [work.cut_m3, work.fill_m3, work.recut_m3, work.beyond_m2];
        assert_eq!(moved(kept), moved(fresh));
        assert_eq!(kept.trench, fresh.trench);
    }
}

/// A garden with works that meet: a hill, a pond, a stream into it, a path across its flank.
#[derive(Clone)]
struct Garden {
    mound: Hill,
    pond: Basin,
    creek: Stream,
    way: Path,
    low: Wall,
    strip_m: f64,
    soil_below_m: Option<f64>,
    margin_m: f64,
}

impl Garden {
    fn new() -> Self {
        let rings = vec![inset(0.6, 0.5), inset(0.5, 0.9)];
        let mut creek = stream(Placed { by: [-5.0, 1.0], ..AS_DRAWN }, 6.0);
        creek.into = Some(WorkId(2));
        Self {
            mound: hill(Placed { by: [-6.0, 4.0], ..AS_DRAWN }, 4.0),
            pond: basin(rectangle(AS_DRAWN, 6.0, 4.0), rings),
            creek,
            way: path(Placed { by: [1.0, -6.0], ..AS_DRAWN }, 5.0),
            low: wall(Placed { by: [8.0, 3.0], turn_rad: 0.7 }, 4.0),
            strip_m: 0.0,
            soil_below_m: None,
            margin_m: 0.5,
        }
    }

    fn site(&self) -> Site {
        let kinds = vec![
            WorkKind::Hill(self.mound.clone()),
            WorkKind::Basin(self.pond.clone()),
            WorkKind::Stream(self.creek.clone()),
            WorkKind::Path(self.way.clone()),
            WorkKind::Wall(self.low.clone()),
            WorkKind::Trench(trench(Placed { by: [-9.0, -7.0], ..AS_DRAWN }, 5.0)),
            WorkKind::Strip(strip(Placed { by: [9.0, -8.0], ..AS_DRAWN }, 3.0)),
        ];
        let mut site = site(AS_DRAWN, |[x, y]| 0.03 * x - 0.02 * y, kinds);
        site.soils.topsoil.strip_m = self.strip_m;
        site.soils.topsoil.margin_m = self.margin_m;
        site.soils.layers.extend(self.soil_below_m.map(|top_m| Soil {
            name: "clay".into(),
            top: LayerTop::Depth(top_m),
            class: SoilClass::A,
            ..Soil::default()
        }));
        site
    }
}

/// Works are edited one after the other, and edits are taken back, so that banks, outlines, cells and
/// compositions are found again in turn.
#[test]
fn what_is_kept_while_works_are_edited_changes_nothing() {
    let edits: [fn(&mut Garden); 18] = [
        |_| {},
        |garden| garden.pond.outline.points[0][0] -= 0.13,
        |garden| garden.pond.rings[0].depth_m += 0.05,
        |garden| garden.pond.outline.points[0][0] += 0.13,
        |garden| garden.strip_m = 0.15,
        |garden| garden.pond.rings[0].depth_m -= 0.05,
        |garden| garden.creek.cut_bank = 2.5,
        |garden| garden.pond.outline.points[2][1] += 0.21,
        |garden| garden.way.build_up = BuildUp { gravel_m: 0.2, ..BuildUp::default() },
        |garden| garden.creek.stations[1].invert_m -= 0.04,
        |garden| garden.pond.rings[1].depth_m += 0.03,
        |garden| garden.soil_below_m = Some(0.4),
        |garden| garden.pond.rings[1].depth_m -= 0.03,
        |garden| garden.mound.crest.points[0][0] += 0.17,
        |garden| garden.margin_m = 0.8,
        |garden| garden.low.line.points[1][0] += 0.3,
        |garden| garden.strip_m = 0.0,
        |garden| garden.pond.outline.points[2][1] -= 0.21,
    ];
    let (mut evaluator, mut garden) = (Evaluator::default(), Garden::new());
    for edit in edits {
        edit(&mut garden);
        let site = garden.site();
        let (kept, fresh) = (evaluator.evaluate(&site), evaluate(&site));
        prove_same(&kept, &fresh);
        let moved = |work: &design::WorkOutcome| work.cut_m3 + work.fill_m3;
        assert!(kept.works[..4].iter().all(|work| moved(work) > 0.1));
    }
}

/// A drag: many small steps of one number, each from the evaluation before, on two threads.
#[test]
fn what_is_kept_while_a_number_is_dragged_on_two_threads_changes_nothing() {
    let (mut evaluator, mut garden) = (Evaluator::on(Threads::Two), Garden::new());
    garden.strip_m = 0.12;
    garden.pond.rings[0].build_up = BuildUp { liner_m: 0.002, gravel_m: 0.1, ..BuildUp::default() };
    for step in 0..12 {
        match step % 3 {
            0 => garden.pond.rings[0].depth_m += 0.011,
            1 => garden.pond.outline.points[1][1] -= 0.017,
            _ => garden.mound.crest_m[0] += 0.013,
        }
        let site = garden.site();
        prove_same(&evaluator.evaluate(&site), &evaluate(&site));
    }
}

/// After nothing changed everything is found again; after an edit, most of it.
#[test]
fn what_did_not_change_is_counted_as_found_again() {
    let (mut evaluator, mut garden) = (Evaluator::default(), Garden::new());
    garden.strip_m = 0.15;
    let mut count = |garden: &Garden| {
        evaluator.evaluate(&garden.site());
        let done = evaluator.work_done();
        let sum = |of: fn(&WorkDone) -> u32| done.iter().map(of).sum::<u32>();
        [sum(|done| done.found_again), sum(|done| done.made_anew)]
    };
    let [_, cold] = count(&garden);
    let [again, anew] = count(&garden);
    assert!(anew == 0 && again > 20, "{again} found again, {anew} made anew");
    garden.mound.crest_m[0] += 0.01;
    let [again, anew] = count(&garden);
    assert!(anew > 5 && anew < cold && again > 10, "{again} found again, {anew} made anew");
}

/// A shelf lies within its pond's outline: that meets the ground as before, and no bound is made anew.
#[test]
fn a_shelf_that_is_dragged_makes_no_bound_anew() {
    let (mut evaluator, mut garden) = (Evaluator::default(), Garden::new());
    evaluator.evaluate(&garden.site());
    garden.pond.rings[0].depth_m += 0.02;
    evaluator.evaluate(&garden.site());
    let done = evaluator.work_done();
    let of = |kind| done.iter().find(|done| done.kind == kind).copied().expect("it is counted");
    assert_eq!(of(AnswerKind::Form).made_anew, 1);
    for kind in [AnswerKind::Lid, AnswerKind::Banked, AnswerKind::SweptBank] {
        assert_eq!(of(kind).made_anew, 0, "{kind:?}");
    }
    assert!(of(AnswerKind::Lid).found_again == 1 && of(AnswerKind::Banked).found_again > 1);
}
