//! `wall-below-lip`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkId, WorkKind};
use units::LengthUnit;

use super::*;

const CODE: Code = Code::WallBelowLip;
const LIP_M: f64 = 30.8;
/// The least top beside the water: the lip and 5 cm of clearance.
const FULL_M: f64 = LIP_M + 0.05;

/// A filter from x = -1 to 1 and a wall below it from x = -4 to 4 with these tops.
fn walled(top_m: &[f64]) -> Site {
    let wall = Wall {
        line: straight(&[[-4.0, 1.2], [-1.0, 1.2], [0.0, 1.2], [1.0, 1.2], [4.0, 1.2]]),
        top_m: top_m.to_vec(),
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 4.0,
        material: WallMaterial::Boulder,
        stone_m: None,
        holds: Some(WorkId(1)),
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    garden(2, vec![WorkKind::FilterBed(filter(LIP_M)), WorkKind::Wall(wall)])
}

#[test]
fn the_top_reaches_the_lip_and_its_clearance() {
    check(&walled(&[FULL_M]), CODE, &[]);
    check(&walled(&[FULL_M - 0.01]), CODE, &[(2, FULL_M - 0.01, FULL_M)]);
    check_remedy(&walled(&[FULL_M - 0.01]), CODE);
}

#[test]
fn past_the_water_the_top_may_fall_at_the_chosen_grade() {
    // Three metres past the water, 1 in 6 allows half a metre.
    let falls = |by: f64| [FULL_M - by, FULL_M, FULL_M, FULL_M, FULL_M - by];
    check(&walled(&falls(0.45)), CODE, &[]);
    let site = walled(&falls(0.55));
    let finding = found(&site, CODE).remove(0);
    assert!((finding.measured.limit - (FULL_M - 0.5)).abs() < 0.2, "{finding:?}");
    assert!(finding.message.contains("Past the water"), "{}", finding.message);
    check_remedy(&site, CODE);
}

#[test]
fn one_low_end_is_raised_there_alone() {
    let site = walled(&[FULL_M, FULL_M, FULL_M, FULL_M - 0.1, FULL_M - 0.1]);
    check(&site, CODE, &[(2, FULL_M - 0.1, FULL_M)]);
    check_remedy(&site, CODE);
    let finding = found(&site, CODE).remove(0);
    assert_eq!((finding.at_m[0], finding.at_m[1]), (1.0, 1.2));
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.caution.is_some_and(|caution| caution.contains("4 ft")));
    let edited = finding.remedy.and_then(|remedy| remedy.site).expect("a site");
    let WorkKind::Wall(wall) = &edited.works[1].kind else { panic!("a wall") };
    assert_eq!(wall.top_m[..3], [FULL_M; 3]);
}

#[test]
fn the_message_speaks_feet_and_inches() {
    let mut site = walled(&[LIP_M - 2.75 * 0.0254]);
    site.frame.unit = LengthUnit::FootInch;
    site.limits.wall_clearance_m = 0.0;
    site.limits.wall_fall_run_per_rise = 0.1;
    let said = found(&site, CODE).remove(0).message;
    // Two metres of water, and a hair more on each side until the need has fallen away.
    let expected = "The wall is 2 3/4 in below the lip for 7 ft, worst in its middle. \
                    Raise it, or lower the lip.";
    assert_eq!(said, expected);
}

#[test]
fn a_wall_that_holds_no_water_is_not_asked() {
    let mut site = walled(&[30.2]);
    let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
    wall.holds = None;
    check(&site, CODE, &[]);
}

#[test]
fn a_wall_that_holds_a_pond_is_asked_for_its_water() {
    let mut site = walled(&[30.8]);
    site.works[0].kind = WorkKind::Basin(Basin {
        outline: straight(&[[-1.0, 2.0], [1.0, 2.0], [1.0, 4.0], [-1.0, 4.0]]),
        ..basin(30.8)
    });
    check(&site, CODE, &[(2, 30.8, 30.85)]);
    check_remedy(&site, CODE);
}

/// Level from each point to the next: past the water a stretch counts with its end that is nearer to
/// it, and the last point's level with nothing.
#[test]
fn a_stepped_top_is_asked_for_each_stretch() {
    let stepped = |tops: &[f64]| {
        let mut site = walled(tops);
        let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
        wall.top_run = TopRun::Stepped;
        site
    };
    let tops = [FULL_M, FULL_M, FULL_M, FULL_M, FULL_M - 5.0];
    check(&stepped(&tops), CODE, &[]);
    check(&walled(&tops), CODE, &[(2, FULL_M - 5.0, FULL_M - 0.5)]);
    // Sloping, 0.1 m less at the far end is no fault.
    let far_low = [FULL_M - 0.1, FULL_M, FULL_M, FULL_M, FULL_M];
    check(&walled(&far_low), CODE, &[]);
    check(&stepped(&far_low), CODE, &[(2, FULL_M - 0.1, FULL_M)]);
    check_remedy(&stepped(&far_low), CODE);
}

/// The hindmost tier in front of the water holds it: the outline lies 0.8 m behind the line.
#[test]
fn a_tier_in_front_of_the_water_holds_it() {
    let tiered = |top_m: f64, back_m: f64| {
        let mut site = walled(&[top_m]);
        let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
        wall.tiers = vec![Tier { back_m, rise_m: 0.3 }];
        site
    };
    check(&tiered(FULL_M - 0.3, 0.6), CODE, &[]);
    check(&tiered(FULL_M - 0.31, 0.6), CODE, &[(2, FULL_M - 0.01, FULL_M)]);
    check_remedy(&tiered(FULL_M - 0.31, 0.6), CODE);
    check(&tiered(FULL_M - 0.3, 0.9), CODE, &[(2, FULL_M - 0.3, FULL_M)]);
}
