//! `wall-too-light`: a wall on level ground, its safety by hand.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::WallTooLight;

/// One metre from its footing to its top, upright.
fn walled(thickness_m: f64) -> Site {
    garden(
        2,
        vec![WorkKind::Wall(Wall {
            line: straight(&[[-3.0, 0.0], [3.0, 0.0]]),
            top_m: vec![GROUND_M + 0.8],
            batter: 0.0,
            thickness_m,
            embedment_m: 0.2,
            retains: Side::Left,
            backfill: 3.0,
            material: WallMaterial::Stone,
            stone_m: None,
            holds: None,
            top_run: Default::default(),
            tiers: Vec::new(),
        })],
    )
}

/// By hand, for each metre: earth of 1.6 t/m3 at 30 degrees pushes 0.5 * 1.6 / 3 = 0.26667 t at a third
/// of a metre; a wall of 2.2 t/m3 weighs 2.2 b. Tipping: 1.1 b² over 0.08889, 1.5 at b = 0.348 m. Pushed
/// out: 2.2 b tan 30 over 0.26667, 1.5 at b = 0.315 m.
#[test]
fn a_wall_of_a_metre_wants_a_third_of_its_height() {
    check(&walled(0.35), CODE, &[]);
    let thin_m: f64 = 0.33;
    check(&walled(thin_m), CODE, &[(1, 1.1 * thin_m * thin_m / (0.8 / 9.0), 1.5)]);
    let finding = found(&walled(thin_m), CODE).remove(0);
    assert!(finding.caution.is_some() && finding.message.contains("tipping over"));
    check_remedy(&walled(0.25), CODE);
}

#[test]
fn a_kerb_is_let_be() {
    let mut site = walled(0.1);
    let WorkKind::Wall(wall) = &mut site.works[0].kind else { panic!("a wall") };
    wall.top_m = vec![GROUND_M + 0.24];
    check(&site, CODE, &[]);
}

#[test]
fn a_wall_that_holds_water_stands_in_soaked_earth() {
    let mut site = walled(0.5);
    check(&site, CODE, &[]);
    site.works.push(Work {
        id: WorkId(2),
        name: "Filter".into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind: WorkKind::FilterBed(filter(GROUND_M + 0.3)),
    });
    site.next_id = 3;
    let WorkKind::Wall(wall) = &mut site.works[0].kind else { panic!("a wall") };
    wall.holds = Some(WorkId(2));
    let finding = found(&site, CODE).remove(0);
    assert!(finding.message.contains("full of water"), "{}", finding.message);
}
