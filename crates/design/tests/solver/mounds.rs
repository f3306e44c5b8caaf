//! No mound: the closed forms of the measure, and a bisection of a shoulder.

use design::mounds;
use design::solver::{Ends, Goal, Measures, Number, Reached};
use site::{Site, WorkId, WorkKind};

use super::garden::{garden, hill};
use super::{freed, solved};

const HILL: WorkId = WorkId(1);

fn measure(site: &Site) -> f64 {
    mounds(site, &design::evaluate(site)).iter().map(|mound| mound.measure).fold(0.0, f64::max)
}

/// A cone reads as a heap while it falls at the natural grade of 1 in 4 or more, and not at all once
/// it is gentler: M = 1 up to there, 0 beyond.
#[test]
fn a_cone_is_eased_to_the_natural_grade_and_no_further() {
    let site = garden(vec![hill(&[[0.0, 0.0]], 3.0)]);
    let outcome = solved(&site, &[freed(Number::FlankRun(HILL), 2.5, 7.0)], &[Goal::NoMound]);
    assert_eq!(outcome.goals[0].reached, Reached::Yes);
    let part = outcome.goals[0].parts[0];
    assert_eq!(part.measures, Measures::Mound);
    assert!(part.before > 0.99 && part.after <= 0.35, "{part:?}");
    // A tenth of run per rise is what a crew builds to; facets leave a hair.
    let run = outcome.numbers[0].to;
    assert!((3.9..=4.1 + 1e-9).contains(&run), "{run}");
    assert!(outcome.n_evaluations < 40, "{}", outcome.n_evaluations);
}

#[test]
fn a_shoulder_is_drawn_out_as_far_as_a_bisection_by_hand_says() {
    let crest = [[-0.75, 0.0], [0.75, 0.0]];
    let site = garden(vec![hill(&crest, 3.0)]);
    let drawn_out = |by_m: f64| {
        let mut site = site.clone();
        let WorkKind::Hill(hill) = &mut site.works[0].kind else { panic!("a hill") };
        hill.crest.points[1][0] += by_m;
        measure(&site)
    };
    assert!(drawn_out(0.0) > 0.35 && drawn_out(6.0) <= 0.35);
    let (mut low, mut high) = (0.0, 6.0);
    while high - low > 0.002 {
        let middle = 0.5 * (low + high);
        if drawn_out(middle) > 0.35 { low = middle } else { high = middle }
    }
    let number = Number::Shoulder(HILL, Ends::Last);
    let outcome = solved(&site, &[freed(number, 0.0, 6.0)], &[Goal::NoMound]);
    assert_eq!(outcome.goals[0].reached, Reached::Yes);
    let to = outcome.numbers[0].to;
    // The measure goes in steps, and may be met at more than one place; a lesser one is as good.
    assert!(to <= high + 0.02, "{to} {high}");
    assert!(drawn_out(to) <= 0.35 && drawn_out(to - 0.03) > 0.35, "{to} {high}");
}

#[test]
fn the_earth_of_a_shoulder_is_found_beside_it() {
    let mut site = garden(vec![hill(&[[-0.75, 0.0], [0.75, 0.0]], 3.0), super::garden::basin()]);
    site.works[1].name = "Pond".into();
    let numbers = [
        freed(Number::Shoulder(HILL, Ends::Last), 0.0, 6.0),
        freed(Number::Parameter(WorkId(2), "rings[0].depth_m".into()), 0.3, 0.9),
    ];
    let outcome = solved(&site, &numbers, &[Goal::NoMound, Goal::NoSpoil]);
    assert!(outcome.is_reached(), "{:?}", outcome.goals);
    assert!(measure(&outcome.site) <= 0.35);
    assert!(outcome.after.earth.spoil_bank_m3.abs() < 0.1, "{:?}", outcome.after.earth);
    assert!(outcome.n_evaluations < 90, "{}", outcome.n_evaluations);
}

#[test]
fn what_does_not_touch_the_hill_is_said_to_move_nothing() {
    let site = garden(vec![hill(&[[0.0, 0.0]], 3.0), super::garden::basin()]);
    let number = Number::Parameter(WorkId(2), "rings[0].depth_m".into());
    let outcome = solved(&site, &[freed(number, 0.3, 0.9)], &[Goal::NoMound]);
    assert_eq!(outcome.goals[0].reached, Reached::NothingMovesIt);
    assert_eq!(outcome.site, site);
}
