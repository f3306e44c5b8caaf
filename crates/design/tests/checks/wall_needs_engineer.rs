//! `wall-needs-engineer`: walls on level ground at 30 m, their fill falling away behind them.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkId, WorkKind};

use super::*;

const CODE: Code = Code::WallNeedsEngineer;
const EMBEDDED_M: f64 = 0.2;

fn wall(shown_m: f64) -> Wall {
    Wall {
        line: straight(&[[-3.0, 0.0], [3.0, 0.0]]),
        top_m: vec![GROUND_M + shown_m],
        batter: 0.1,
        thickness_m: 0.4,
        embedment_m: EMBEDDED_M,
        retains: Side::Left,
        backfill: 3.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: None,
        top_run: Default::default(),
        tiers: Vec::new(),
    }
}

fn walled(wall: Wall) -> Site {
    garden(2, vec![WorkKind::Wall(wall)])
}

/// 4 ft from the bottom of the footing: 1.2192 m.
#[test]
fn a_plain_wall_may_stand_four_feet_from_its_footing() {
    check(&walled(wall(1.01)), CODE, &[]);
    check(&walled(wall(1.03)), CODE, &[(1, 1.23, 1.2192)]);
    let finding = found(&walled(wall(1.03)), CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.caution.is_some());
}

#[test]
fn a_wall_that_carries_more_is_looked_at_from_two_feet() {
    // The wall stands before the filter's bank is heaped, which then ends behind it.
    let carrying = |shown_m: f64| {
        let line = straight(&[[-4.0, 1.2], [4.0, 1.2]]);
        let held = Wall { holds: Some(WorkId(2)), line, ..wall(shown_m) };
        let bed = filter(GROUND_M + shown_m - 0.2);
        garden(2, vec![WorkKind::Wall(held), WorkKind::FilterBed(bed)])
    };
    check(&carrying(0.40), CODE, &[]);
    check(&carrying(0.45), CODE, &[(1, 0.65, 0.6096)]);
    let finding = found(&carrying(0.45), CODE).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.message.contains("the water of Work 2"), "{}", finding.message);
}

#[test]
fn a_tier_is_a_surcharge_on_the_one_before_it() {
    let tiered = |rise_m: f64| Wall { tiers: vec![Tier { back_m: 1.0, rise_m }], ..wall(0.5) };
    check(&walled(tiered(0.3)), CODE, &[(1, 0.7, 0.6096)]);
    let finding = found(&walled(tiered(0.3)), CODE).remove(0);
    assert!(finding.message.contains("the tier above it"), "{}", finding.message);
}
