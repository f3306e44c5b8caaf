//! `fill-underfoot`: works on level ground at 30 m that stand higher than it, by 5 % of settlement.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::FillUnderfoot;
/// Half an inch of settlement: 5 % of this.
const LEAST_M: f64 = 0.0127 / 0.05;

fn pad(up_m: f64) -> Site {
    garden(
        2,
        vec![WorkKind::Pad(Pad {
            outline: straight(&[[-3.0, -3.0], [3.0, -3.0], [3.0, 3.0], [-3.0, 3.0]]),
            purpose: PadPurpose::Patio,
            plane: Plane {
                at: [0.0, 0.0],
                level_m: GROUND_M + up_m,
                toward: [0.0, 4.0],
                fall: 0.0,
            },
            cut_bank: 3.0,
            fill_bank: 3.0,
            build_up: Default::default(),
            bank_build_up: Default::default(),
        })],
    )
}

#[test]
fn a_pad_on_fill_settles_by_its_share() {
    check(&pad(LEAST_M - 0.001), CODE, &[]);
    check(&pad(0.4), CODE, &[(1, 0.02, 0.0127)]);
    let mut stiff = pad(0.4);
    stiff.digging.settlement = 0.0;
    check(&stiff, CODE, &[]);
}

/// What is stripped is filled again, and what is laid is no fill.
#[test]
fn topsoil_taken_off_adds_to_the_fill_and_paving_takes_from_it() {
    let mut site = pad(0.2);
    check(&site, CODE, &[]);
    site.soils.topsoil.strip_m = 0.15;
    check(&site, CODE, &[(1, 0.05 * 0.35, 0.0127)]);
    let WorkKind::Pad(pad) = &mut site.works[0].kind else { panic!("a pad") };
    pad.build_up.bedding_m = 0.15;
    check(&site, CODE, &[]);
}

#[test]
fn a_filter_that_is_raised_stands_on_fill() {
    // Its floor lies half a metre below its lip, its rim 0.15 m above.
    check(&garden(2, vec![WorkKind::FilterBed(filter(GROUND_M + 0.08))]), CODE, &[]);
    let site = garden(2, vec![WorkKind::FilterBed(filter(GROUND_M + 0.35))]);
    check(&site, CODE, &[(1, 0.05 * 0.5, 0.0127)]);
}

/// A wall upon a bank: a pad raised first, the wall on it.
#[test]
fn a_wall_upon_fill_settles_with_it() {
    let wall = Wall {
        line: straight(&[[-2.0, 0.0], [2.0, 0.0]]),
        top_m: vec![GROUND_M + 1.4],
        batter: 0.1,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 3.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: None,
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    let mut site = pad(0.8);
    site.works.push(Work {
        id: WorkId(2),
        name: "Wall".into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind: WorkKind::Wall(wall),
    });
    site.next_id = 3;
    let of_wall: Vec<_> =
        found(&site, CODE).into_iter().filter(|f| f.work == Some(WorkId(2))).collect();
    let [finding] = &of_wall[..] else { panic!("{of_wall:?}") };
    assert!((finding.measured.value - 0.05 * 0.6).abs() < 1e-3, "{finding:?}");
    assert!(finding.caution.is_some());
}
