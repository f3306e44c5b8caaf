//! The level garden with the shoulders of its hill drawn out until it is no mound and no truck comes:
//! the version that stands beside it is what the solver makes of it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use design::solver::{Bound, Freed, Goal, Measures, Outcome, Reached, solve};
use design::{Code, Evaluator, Severity, evaluate, mounds};
use exchange::{balance, level_book};
use site::{LevelNotes, Site, Survey};

const TITLE: &str = "Level garden behind a house, the hill's shoulders drawn out";

/// Set to anything, the version is written instead of compared.
const WRITE: &str = "TARNWRIGHT_WRITE_DEMO";

fn folder(name: &str) -> PathBuf {
    // Cargo runs tests in their package's folder, whichever clone built them.
    Path::new("../../demo-sites").join(name)
}

/// A demo site with its level book, as the program opens it.
fn demo(name: &str) -> Site {
    let text = fs::read_to_string(folder(name).join("site.ron")).expect("the demo stands there");
    let mut site = site::file::parse(&text).expect("the demo is sound");
    let bytes = fs::read(folder(name).join(&site.survey.file)).expect("the demo has its survey");
    let told = level_book::Told { unit: Some(site.frame.unit), bench: None };
    let book = level_book::read(&bytes, &told).expect("its book is sound");
    let LevelNotes { permitted, share, .. } =
        site.survey.levels.clone().expect("it has level notes");
    let mut notes = LevelNotes { permitted, share, ..book.notes };
    let [east, north] = site.frame.origin_m;
    for row in &mut notes.file_rows {
        row.at_m = row.at_m.map(|[x, y]| [x - east, y - north]);
    }
    site.survey = Arc::new(Survey { levels: Some(notes), ..Survey::clone(&site.survey) });
    site
}

fn solved(site: &Site, words: &[&str], goals: &[Goal]) -> Outcome {
    let freed = words.iter().map(|words| balance::freed(site, words));
    let freed: Vec<Freed> = freed.collect::<Result<_, _>>().expect("each can be freed");
    solve(&mut Evaluator::default(), site, &freed, goals).expect("it is asked soundly")
}

fn measure(site: &Site) -> f64 {
    mounds(site, &evaluate(site)).iter().map(|mound| mound.measure).fold(0.0, f64::max)
}

#[test]
fn earth_goes_into_the_shoulders_until_it_is_no_mound_and_no_truck_comes() {
    let site = demo("level-garden");
    let freed = [
        "Filter hill south-west shoulder from 0 to 4",
        "Filter hill south-east shoulder from 0 to 3",
        "Lawn level from 49.70 to 49.90",
        // The topsoil that is left over goes onto the lawn, whose level takes subsoil for it.
        "Lawn Lawn, topsoil from 15 cm to 25 cm",
    ];
    let outcome = solved(&site, &freed, &[Goal::NoMound, Goal::NoTruck]);
    println!("{}", balance::text(&site, &outcome));
    assert!(outcome.is_reached(), "{:?}", outcome.goals);
    assert!(measure(&site) > 0.45 && measure(&outcome.site) <= site.limits.mound_advice);
    let haul = &outcome.after.haul;
    assert_eq!((haul.loads, haul.topsoil_loads), (Some(0), Some(0)));
    let earth = &outcome.after.earth;
    assert!(earth.spoil_bank_m3 >= 0.0 && earth.topsoil.surplus_m3 >= 0.0, "{earth:?}");
    // Both shoulders go out, and what goes is the finding of the mound alone.
    assert!(outcome.numbers[..2].iter().all(|number| number.to > 0.5), "{:?}", outcome.numbers);
    assert_eq!(outcome.raised, []);
    let cleared: Vec<Code> = outcome.cleared.iter().map(|finding| finding.code).collect();
    assert_eq!(cleared, [Code::ReadsAsMound]);
    assert!(outcome.n_evaluations < 160, "{}", outcome.n_evaluations);
    let version = Site { title: TITLE.into(), ..outcome.site };
    let document = folder("level-garden-shoulders").join("site.ron");
    if std::env::var_os(WRITE).is_some() {
        fs::create_dir_all(folder("level-garden-shoulders")).unwrap();
        fs::write(&document, site::file::write(&version)).unwrap();
        let book = folder("level-garden").join(&site.survey.file);
        fs::copy(book, folder("level-garden-shoulders").join(&site.survey.file)).unwrap();
    }
    let kept = fs::read_to_string(&document).unwrap();
    assert!(kept == site::file::write(&version), "written anew with {WRITE} set");
}

#[test]
fn the_version_reads_as_ground_and_sends_no_truck() {
    let site = demo("level-garden-shoulders");
    assert_eq!(site.title, TITLE);
    let evaluation = evaluate(&site);
    assert_eq!((evaluation.haul.loads, evaluation.haul.topsoil_loads), (Some(0), Some(0)));
    let codes = |severity| {
        let findings = evaluation.findings.iter().filter(move |f| f.severity == severity);
        findings.map(|finding| finding.code).collect::<Vec<_>>()
    };
    assert!(!codes(Severity::LookAt).contains(&Code::ReadsAsMound));
    assert_eq!(codes(Severity::Stop), []);
    let of = |name: &str| fs::read(folder(name).join(&site.survey.file)).unwrap();
    assert_eq!(of("level-garden"), of("level-garden-shoulders"), "one survey");
}

#[test]
fn short_shoulders_cannot_hide_it_and_that_is_said() {
    let site = demo("level-garden");
    let freed = [
        "Filter hill south-west shoulder from 0 to 0.4",
        "Filter hill south-east shoulder from 0 to 0.4",
    ];
    let outcome = solved(&site, &freed, &[Goal::NoMound]);
    let told = balance::text(&site, &outcome);
    assert!(!outcome.is_reached());
    let goal = &outcome.goals[0];
    assert!(matches!(&goal.reached, Reached::BoundBy(numbers) if !numbers.is_empty()), "{told}");
    assert_eq!(goal.parts[0].measures, Measures::Mound);
    assert!(goal.parts[0].off() > 0.0 && goal.parts[0].after < goal.parts[0].before, "{told}");
    assert!(outcome.numbers.iter().any(|number| number.bound == Some(Bound::Most)), "{told}");
    assert!(told.contains("not reached: ") && told.contains("at its greatest, 0.400 m"), "{told}");
}
