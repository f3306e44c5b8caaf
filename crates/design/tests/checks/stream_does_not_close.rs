//! `stream-does-not-close`.

use design::Code;
use site::works::*;
use site::{Site, WorkId, WorkKind};

use super::*;

const CODE: Code = Code::StreamDoesNotClose;
const LIP_M: f64 = 30.8;
const WATER_M: f64 = 30.0;

/// A stream of eight metres from a filter's lip to a pond, with one fall; it closes.
fn closing() -> Stream {
    let station = |along_m, invert_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.5,
        side: 1.0,
        edge_m: [0.2; 2],
    };
    Stream {
        line: straight(&[[0.0, 2.0], [0.0, -6.0]]),
        from: Some(WorkId(1)),
        into: Some(WorkId(2)),
        stations: vec![station(0.0, LIP_M), station(5.0, 30.2), station(8.0, WATER_M)],
        falls: vec![Fall {
            along_m: 3.0,
            crest_m: 30.7,
            crest_width_m: 0.4,
            parts: Vec::new(),
            stone_m: None,
            face_run_m: None,
            drop_m: 0.4,
            pool_m: 0.1,
        }],
        water_depth_m: 0.04,
        bed_stone_m: None,
        bed: None,
        sheet_m: None,
        freeboard_m: 0.1,
        cut_bank: 3.0,
        fill_bank: 3.0,
        rim_width_m: 0.3,
        islands: Vec::new(),
        bed_build_up: Default::default(),
        side_build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

fn flowing(change: impl FnOnce(&mut Stream)) -> Site {
    let mut stream = closing();
    change(&mut stream);
    let kinds = vec![
        WorkKind::FilterBed(filter(LIP_M)),
        WorkKind::Basin(basin(WATER_M)),
        WorkKind::Stream(stream),
    ];
    garden(2, kinds)
}

#[test]
fn what_adds_up_closes() {
    check(&flowing(|_| {}), CODE, &[]);
}

#[test]
fn the_head_meets_the_lip() {
    check(&flowing(|s| s.stations[0].invert_m = LIP_M - 0.009), CODE, &[]);
    check(&flowing(|s| s.stations[0].invert_m = LIP_M + 0.009), CODE, &[]);
    for gap_m in [0.011, -0.011, 0.3, -0.09] {
        let site = flowing(|s| s.stations[0].invert_m = LIP_M + gap_m);
        check(&site, CODE, &[(3, gap_m.abs(), 0.01)]);
        check_remedy(&site, CODE);
    }
    let above = found(&flowing(|s| s.stations[0].invert_m = LIP_M + 0.3), CODE).remove(0);
    assert!(above.message.contains("no water enters"), "{}", above.message);
}

#[test]
fn the_mouth_meets_the_water() {
    for gap_m in [0.009, -0.009] {
        check(&flowing(|s| s.stations[2].invert_m = WATER_M + gap_m), CODE, &[]);
    }
    for gap_m in [0.011, -0.011, 0.15, -0.3] {
        let site = flowing(|s| s.stations[2].invert_m = WATER_M + gap_m);
        check(&site, CODE, &[(3, gap_m.abs(), 0.01)]);
        check_remedy(&site, CODE);
    }
}

#[test]
fn the_bed_does_not_rise() {
    check(&flowing(|s| s.stations[1].invert_m = 30.3), CODE, &[]);
    let site = flowing(|s| s.stations[1].invert_m = 30.35);
    check(&site, CODE, &[(3, 0.05, 0.0)]);
    check_remedy(&site, CODE);
    let said = found(&site, CODE).remove(0).message;
    assert!(said.contains("station 2"), "{said}");
}

#[test]
fn a_bed_may_rise_out_of_its_own_pool_and_no_farther() {
    let raised = |crest_m: f64| {
        flowing(|s| {
            s.falls[0].crest_m = crest_m;
            s.falls[0].drop_m = crest_m - 30.3;
        })
    };
    check(&raised(30.89), CODE, &[]);
    check(&raised(30.92), CODE, &[(3, 0.12, 0.1)]);
    check_remedy(&raised(30.92), CODE);
}

#[test]
fn a_drop_too_many_shows_where_the_sum_fails() {
    // Ten centimetres more at the fall: the bed below it would have to rise again.
    let site = flowing(|s| s.falls[0].drop_m = 0.6);
    check(&site, CODE, &[(3, 0.1, 0.0)]);
    check_remedy(&site, CODE);
}
