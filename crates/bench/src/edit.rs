//! One edit of the first work of a demo site, to all stages, volumes and findings.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use design::{AnswerKind, Evaluation, Evaluator, Threads, WorkDone, WorkOutcome};
use exchange::points::{self, Told};
use site::{Site, Survey, SurveyPoint, WorkKind};

use crate::measure::{Growth, Row, on_core_s, on_the_wall_s, quantile, seconds};

/// Edits measured.
const N_EDITS: usize = 200;

/// How far the edits move a thing: each by its own share, so that no answer is a kept one.
const SWING_M: f64 = 0.05;

/// Moves something of a site by metres.
type Move = fn(&mut Site, f64);

/// What is dragged: the depth of a shelf, and a place of the outline.
const EDITS: [(&str, Move); 2] = [("depth of a shelf", deepen), ("place of the outline", shift)];

/// The bars of the design, on two threads and by the clock on the wall.
pub(crate) fn bars() -> Vec<Row> {
    let site = demo();
    EDITS
        .into_iter()
        .flat_map(|(name, edit)| {
            let times_ms = times_ms(&site, edit, Threads::Two);
            [(0.5, "median", 16.0), (0.95, "95th", 33.0)].map(|(share, word, bar)| {
                let work = format!("edit, {name}, two threads, {word}");
                Row::at_most(&work, quantile(&times_ms, share), "ms", bar)
            })
        })
        .collect()
}

/// Where the time of each edit goes on one thread, by the kinds of answers: medians in milliseconds by
/// the thread's own clock, and how many answers of a kind the last edit found again and made anew.
///
/// An answer's time holds that of the answers made on its way.
pub(crate) fn split() -> String {
    let site = demo();
    let of_edit = |(name, edit): (&str, Move)| {
        let mut evaluator = Evaluator::with_clock(on_core_s);
        evaluator.evaluate(&site);
        let mut times_ms: BTreeMap<AnswerKind, Vec<f64>> = BTreeMap::new();
        let mut whole_ms = Vec::with_capacity(N_EDITS);
        for i in 0..N_EDITS {
            let edited = edited(&site, edit, i);
            whole_ms.push(1e3 * seconds(&mut || evaluator.evaluate(&edited)));
            for done in evaluator.work_done() {
                times_ms.entry(done.kind).or_default().push(1e3 * done.seconds);
            }
        }
        let line = |done: WorkDone| {
            let median_ms = quantile(&times_ms[&done.kind], 0.5);
            let (again, anew) = (done.found_again, done.made_anew);
            format!("  {:<26} {median_ms:>8.2} {again:>6} {anew:>6}\n", done.kind.name())
        };
        let lines: String = evaluator.work_done().into_iter().map(line).collect();
        let whole_ms = quantile(&whole_ms, 0.5);
        let head = format!("{name:<28} {:>8} {:>6} {:>6}", "ms", "again", "anew");
        format!("{head}\n  {:<26} {whole_ms:>8.2}\n{lines}", "all of it")
    };
    EDITS.into_iter().map(of_edit).collect()
}

/// An edit of the first work of the demo site with its last works taken away.
pub(crate) fn growth() -> Growth {
    let site = demo();
    let medians = (1..=site.works.len()).map(|n| {
        let mut fewer = site.clone();
        fewer.works.truncate(n);
        (n + 1, quantile(&times_ms(&fewer, deepen, Threads::One), 0.5) / 1e3)
    });
    Growth { work: "edit of the first of n - 1 works", medians: medians.collect() }
}

/// The times of the edits in milliseconds, each of a site like the one before: of one thread by its own
/// clock, of two by the clock on the wall.
fn times_ms(site: &Site, edit: Move, threads: Threads) -> Vec<f64> {
    let mut evaluator = Evaluator::on(threads);
    evaluator.evaluate(site);
    (0..N_EDITS)
        .map(|i| {
            let edited = edited(site, edit, i);
            let mut evaluate = || evaluator.evaluate(&edited);
            let time_s = match threads {
                Threads::One => seconds(&mut evaluate),
                Threads::Two => on_the_wall_s(&mut evaluate),
            };
            if i % PROVED_EVERY == 0 {
                prove(&evaluator.evaluate(&edited), &design::evaluate(&edited));
            }
            1e3 * time_s
        })
        .collect()
}

/// An answer that is found again in no time and is wrong is none: so often one is made anew beside it.
const PROVED_EVERY: usize = 20;

/// Proves that a warm evaluation is a fresh one.
fn prove(warm: &Evaluation, fresh: &Evaluation) {
    assert_eq!(warm.finished, fresh.finished);
    let grounds = |evaluation: &Evaluation| {
        evaluation.between.as_ref().map(|b| [b.stripped.clone(), b.subgrade.clone()])
    };
    assert_eq!(grounds(warm), grounds(fresh));
    assert_eq!((warm.earth, warm.haul), (fresh.earth, fresh.haul));
    assert_eq!((&warm.lifts, &warm.laid), (&fresh.lifts, &fresh.laid));
    assert_eq!(warm.findings, fresh.findings);
    for (warm, fresh) in warm.works.iter().zip(&fresh.works) {
        assert_eq!(warm.after, fresh.after);
        let moved = |work: &WorkOutcome| [work.cut_m3, work.fill_m3, work.recut_m3];
        assert_eq!(moved(warm), moved(fresh));
    }
}

/// The site with something moved by its own share of the swing.
fn edited(site: &Site, edit: Move, i: usize) -> Site {
    // Irrational steps come near every share and to none twice.
    let share = (i as f64 * 0.618_033_988_749_895).fract();
    let mut edited = site.clone();
    edit(&mut edited, share * SWING_M);
    edited
}

fn deepen(site: &mut Site, by_m: f64) {
    if let WorkKind::Basin(basin) = &mut site.works[0].kind {
        basin.rings[1].depth_m += by_m;
    }
}

fn shift(site: &mut Site, by_m: f64) {
    if let WorkKind::Basin(basin) = &mut site.works[0].kind {
        basin.outline.points[3][0] += by_m;
    }
}

/// The demo site as the program opens it.
fn demo() -> Site {
    // Clones may share one target folder, so where cargo runs this counts before where it was built.
    let here = std::env::var_os("CARGO_MANIFEST_DIR");
    let here = here.map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    let folder = here.join("../../demo-sites/rear-garden");
    let text = std::fs::read_to_string(folder.join("site.ron")).expect("the demo stands there");
    let mut site = site::file::parse(&text).expect("the demo is sound");
    let bytes = std::fs::read(folder.join(&site.survey.file)).expect("the demo has its survey");
    let told = Told { unit: Some(site.frame.unit), ..Told::default() };
    let list = points::read(&bytes, &told).expect("the demo's survey is sound");
    let [east, north] = site.frame.origin_m;
    let local = list.points.into_iter().map(|point| SurveyPoint {
        at_m: [point.at_m[0] - east, point.at_m[1] - north, point.at_m[2]],
        name: point.name,
        code: point.code,
        line: point.line,
    });
    site.survey = Arc::new(Survey { points: local.collect(), ..Survey::clone(&site.survey) });
    site
}
