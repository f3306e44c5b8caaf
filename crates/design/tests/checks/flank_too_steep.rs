//! `flank-too-steep`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::FlankTooSteep;

fn hilly(run_per_rise: f64) -> Site {
    garden(2, vec![WorkKind::Hill(hill(run_per_rise))])
}

#[test]
fn a_flank_is_judged_by_the_plane_it_lies_in() {
    check(&hilly(3.0), CODE, &[]);
    check(&hilly(2.9), CODE, &[(1, 2.9, 3.0)]);
    check_remedy(&hilly(2.9), CODE);
    check_remedy(&hilly(1.2), CODE);
}

#[test]
fn a_changed_limit_is_the_limit() {
    let mut site = hilly(3.0);
    site.limits.flank_run_per_rise = 4.0;
    check(&site, CODE, &[(1, 3.0, 4.0)]);
    check_remedy(&site, CODE);
}

#[test]
fn one_steep_side_is_half_of_it() {
    let mut kind = hill(3.0);
    kind.left[0].run_per_rise = 2.0;
    let site = garden(2, vec![WorkKind::Hill(kind)]);
    // The slopes are blended from one side to the other, so the steep one is met near its middle.
    let finding = found(&site, CODE).remove(0);
    // The left of a crest that runs east is north; its flank begins half a metre from the crest.
    assert!(finding.at_m[1] > 0.5 && finding.at_m[1] < 2.9, "{:?}", finding.at_m);
    assert!((2.0..2.1).contains(&finding.measured.value), "{finding:?}");
    assert_eq!(finding.severity, Severity::LookAt);
    check_remedy(&site, CODE);
}

#[test]
fn fill_that_slides_is_a_stop_with_its_caution() {
    let severity = |run| found(&hilly(run), CODE)[0].severity;
    assert_eq!((severity(1.51), severity(1.49)), (Severity::LookAt, Severity::Stop));
    assert!(found(&hilly(1.49), CODE)[0].caution.is_some());
}

#[test]
fn a_crest_that_bends_and_falls_is_steeper_than_its_flanks_and_the_remedy_knows() {
    let flank = |run_per_rise| Flank { run_per_rise, shoulder_m: 0.4, toe_m: 0.5 };
    let flanks = vec![flank(3.2), flank(3.0), flank(2.1)];
    let kind = Hill {
        crest: Curve { points: vec![[-4.0, 0.0], [0.0, 1.5], [3.0, -2.0]], smooth: true },
        crest_m: vec![GROUND_M + 1.4, GROUND_M + 1.3, GROUND_M + 0.9],
        width_m: vec![0.6, 1.0, 0.6],
        left: flanks.clone(),
        right: flanks,
        held_by: None,
        build_up: Default::default(),
    };
    let site = garden(2, vec![WorkKind::Hill(kind)]);
    assert_eq!(found(&site, CODE).len(), 1);
    check_remedy(&site, CODE);
}

#[test]
fn filled_banks_and_backfill_are_flanks_and_cut_banks_are_not() {
    let mut raised = basin(30.5);
    raised.fill_bank = 2.5;
    let site = garden(2, vec![WorkKind::Basin(raised)]);
    check(&site, CODE, &[(1, 2.5, 3.0)]);
    check_remedy(&site, CODE);

    let mut sunk = basin(29.0);
    sunk.cut_bank = 1.5;
    check(&garden(2, vec![WorkKind::Basin(sunk)]), CODE, &[]);

    let wall = Wall {
        line: straight(&[[-6.0, 10.0], [6.0, 10.0]]),
        top_m: vec![31.0],
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 2.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: None,
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    let site = garden(2, vec![WorkKind::Wall(wall)]);
    check(&site, CODE, &[(1, 2.0, 3.0)]);
    check_remedy(&site, CODE);
}
