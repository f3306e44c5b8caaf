//! The least change, against a bisection and a grid of one's own.

use design::solver::{Goal, Number, Reached, SAME_EARTH_M3};
use site::field::{FieldValue, set};
use site::{Site, WorkId, WorkKind};

use super::garden::{GROUND_M, basin, garden, hill, lawn, level};
use super::{freed, solved, spoil_m3};

fn with_lawn(site: &Site, level_m: f64) -> Site {
    let mut site = site.clone();
    set(&mut site.works[1], "plane.level_m", FieldValue::Number(level_m))
        .expect("within its range");
    site
}

fn with_crest(site: &Site, crest_m: f64) -> Site {
    let mut site = site.clone();
    let WorkKind::Hill(hill) = &mut site.works[2].kind else { panic!("a hill") };
    hill.crest_m = vec![crest_m];
    site
}

/// Where a falling function comes to a target.
fn bisected(mut low: f64, mut high: f64, target: f64, of: impl Fn(f64) -> f64) -> f64 {
    assert!(of(low) > target && of(high) < target);
    while high - low > 1e-5 {
        let middle = 0.5 * (low + high);
        if of(middle) > target { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[test]
fn one_number_comes_where_a_bisection_by_hand_does() {
    let site = garden(vec![basin(), lawn()]);
    for target_m3 in [0.0, 10.0] {
        let by_hand_m =
            bisected(29.7, 30.4, target_m3, |level_m| spoil_m3(&with_lawn(&site, level_m)));
        let goal = match target_m3 {
            0.0 => Goal::NoSpoil,
            bank_m3 => Goal::Spoil { bank_m3 },
        };
        let outcome = solved(&site, &[freed(level(2), 29.7, 30.4)], &[goal]);
        assert_eq!(outcome.goals[0].reached, Reached::Yes);
        let to = outcome.numbers[0].to;
        assert!((to - by_hand_m).abs() <= 0.0025 + 1e-6, "{to} {by_hand_m}");
        // A crew sets whole steps of 5 mm.
        assert!((to / 0.005 - (to / 0.005).round()).abs() < 1e-6, "{to}");
        assert!(outcome.n_evaluations < 20, "{}", outcome.n_evaluations);
    }
}

#[test]
fn two_numbers_share_the_change_as_a_fine_grid_says() {
    let site = garden(vec![basin(), lawn(), hill(&[[8.0, 6.0], [14.0, 6.0]], 3.0)]);
    let (lawn_m, crest_m) = ([29.8, 30.6], [30.9, 31.6]);
    let target_m3 = spoil_m3(&site) - 14.0;
    // For each level of the lawn on a fine grid, the crest that balances is bisected.
    let (mut least, mut place) = (f64::INFINITY, [0.0; 2]);
    for step in 0..=40 {
        let level_m = lawn_m[0] + 0.01 * f64::from(step);
        let with_lawn = with_lawn(&site, level_m);
        let of = |crest: f64| spoil_m3(&with_crest(&with_lawn, crest));
        if of(crest_m[0]) <= target_m3 || of(crest_m[1]) >= target_m3 {
            continue;
        }
        let crest = bisected(crest_m[0], crest_m[1], target_m3, of);
        let shares = [(level_m - GROUND_M) / 0.8, (crest - GROUND_M - 1.2) / 0.7];
        let effort = shares.iter().map(|share| share * share).sum();
        if effort < least {
            (least, place) = (effort, [level_m, crest]);
        }
    }
    let numbers = [
        freed(level(2), lawn_m[0], lawn_m[1]),
        freed(Number::CrestLevel(WorkId(3)), crest_m[0], crest_m[1]),
    ];
    let outcome = solved(&site, &numbers, &[Goal::Spoil { bank_m3: target_m3 }]);
    assert_eq!(outcome.goals[0].reached, Reached::Yes);
    let found = [outcome.numbers[0].to, outcome.numbers[1].to];
    // The grid and the crew's steps each miss the least by a little; the effort barely knows.
    assert!(outcome.effort < 1.03 * least, "{} {least} {found:?} {place:?}", outcome.effort);
    assert!((found[0] - place[0]).abs() < 0.02, "{found:?} {place:?}");
    assert!(outcome.n_evaluations < 30, "{}", outcome.n_evaluations);
}

#[test]
fn what_is_reached_already_changes_nothing() {
    let site = garden(vec![basin(), lawn()]);
    let bank_m3 = spoil_m3(&site) + 0.5 * SAME_EARTH_M3;
    let outcome = solved(&site, &[freed(level(2), 29.7, 30.4)], &[Goal::Spoil { bank_m3 }]);
    assert_eq!((outcome.site, outcome.effort), (site, 0.0));
    assert!(outcome.n_evaluations <= 3);
}

#[test]
fn more_room_lets_a_number_take_more_of_the_change() {
    let site = garden(vec![basin(), lawn(), hill(&[[8.0, 6.0], [14.0, 6.0]], 3.0)]);
    let lawn_moves_by = |room_m: f64| {
        let numbers = [
            freed(level(2), GROUND_M - room_m, GROUND_M + room_m),
            freed(Number::CrestLevel(WorkId(3)), 30.9, 31.6),
        ];
        solved(&site, &numbers, &[Goal::NoSpoil]).numbers[0].to - GROUND_M
    };
    assert!(lawn_moves_by(0.5).abs() > 1.2 * lawn_moves_by(0.2).abs());
}
