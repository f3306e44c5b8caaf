//! `rim-low`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::RimLow;
/// Water of the basin and its liner's edge.
const WATER_M: f64 = 30.0;
const EDGE_M: f64 = 30.1;

fn edged(liner_edge_m: [f64; 4], overflow: Option<[f64; 2]>) -> Site {
    let liner_edge_m = liner_edge_m.to_vec();
    garden(2, vec![WorkKind::Basin(Basin { liner_edge_m, overflow, ..basin(WATER_M) })])
}

#[test]
fn the_edge_stands_at_the_freeboard() {
    check(&edged([EDGE_M; 4], None), CODE, &[]);
    // Within what a crew levels to it stands.
    check(&edged([EDGE_M, EDGE_M, EDGE_M - 0.002, EDGE_M], None), CODE, &[]);
    let low = edged([EDGE_M, EDGE_M, EDGE_M - 0.04, EDGE_M], None);
    check(&low, CODE, &[(1, EDGE_M - 0.04, EDGE_M)]);
    check_remedy(&low, CODE);
    let finding = found(&low, CODE).remove(0);
    assert_eq!((finding.severity, finding.at_m[0], finding.at_m[1]), (Severity::LookAt, 4.0, -6.0));
    assert!(finding.message.contains("north-east"), "{}", finding.message);
}

#[test]
fn an_edge_below_the_water_is_a_stop() {
    let severity = |z| found(&edged([z, EDGE_M, EDGE_M, EDGE_M], None), CODE)[0].severity;
    assert_eq!(severity(WATER_M + 0.001), Severity::LookAt);
    assert_eq!(severity(WATER_M - 0.001), Severity::Stop);
    check_remedy(&edged([WATER_M - 0.05, EDGE_M, EDGE_M, EDGE_M], None), CODE);
}

#[test]
fn the_intended_overflow_may_stand_low_but_not_below_the_water() {
    let corner = Some([-4.0, -14.0]);
    check(&edged([WATER_M, EDGE_M, EDGE_M, EDGE_M], corner), CODE, &[]);
    let drains = edged([WATER_M - 0.01, EDGE_M, EDGE_M, EDGE_M], corner);
    check(&drains, CODE, &[(1, WATER_M - 0.01, EDGE_M)]);
    check_remedy(&drains, CODE);
    let elsewhere = edged([EDGE_M, EDGE_M, EDGE_M - 0.05, EDGE_M], corner);
    check(&elsewhere, CODE, &[(1, EDGE_M - 0.05, EDGE_M)]);
    assert!(found(&elsewhere, CODE)[0].message.contains("not the intended overflow"));
    check_remedy(&elsewhere, CODE);
}

#[test]
fn high_ground_outside_does_not_help_and_a_later_dig_hurts() {
    // A hill beside the low corner raises the ground, not the liner.
    let mut site = edged([EDGE_M, EDGE_M, EDGE_M - 0.05, EDGE_M], None);
    let ridge = Hill { crest: straight(&[[5.5, -8.0], [5.5, -4.0]]), ..hill(3.0) };
    site.works.push(Work { id: WorkId(2), kind: WorkKind::Hill(ridge), ..site.works[0].clone() });
    site.next_id = 3;
    assert_eq!(found(&site, CODE).len(), 1);

    let mut dug = edged([EDGE_M; 4], None);
    let outline = straight(&[[3.0, -12.0], [8.0, -12.0], [8.0, -8.0], [3.0, -8.0]]);
    let second = Basin { outline, ..basin(29.6) };
    dug.works.push(Work { id: WorkId(2), kind: WorkKind::Basin(second), ..dug.works[0].clone() });
    dug.next_id = 3;
    let said = found(&dug, CODE);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].message.contains("later work"), "{}", said[0].message);
}

/// A stream on its own with these edges above the bed at its head and mouth.
fn streaming(head: [f64; 2], mouth: [f64; 2]) -> Site {
    let station = |along_m, invert_m, edge_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.6,
        side: 1.0,
        edge_m,
    };
    let stream = Stream {
        line: straight(&[[-5.0, 0.0], [5.0, 0.0]]),
        from: None,
        into: None,
        stations: vec![station(0.0, 30.2, head), station(10.0, 29.9, mouth)],
        falls: Vec::new(),
        water_depth_m: 0.05,
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
    };
    garden(2, vec![WorkKind::Stream(stream)])
}

#[test]
fn a_streams_edges_stand_above_its_water() {
    check(&streaming([0.15; 2], [0.15; 2]), CODE, &[]);
    let low = streaming([0.15, 0.11], [0.15; 2]);
    check(&low, CODE, &[(1, 30.31, 30.35)]);
    assert!(found(&low, CODE)[0].message.contains("right"));
    check_remedy(&low, CODE);
    let both = streaming([0.11; 2], [0.04; 2]);
    assert_eq!(found(&both, CODE)[0].severity, Severity::Stop);
    check_remedy(&both, CODE);
}

#[test]
fn a_filters_edge_is_low_only_at_its_lip() {
    check(&garden(2, vec![WorkKind::FilterBed(filter(30.3))]), CODE, &[]);
}

/// A filter with this rim above its lip, and a stream from it that runs 5 cm deep with 10 cm of
/// freeboard.
fn fed(freeboard_m: f64) -> Site {
    let mut site = streaming([0.15; 2], [0.15; 2]);
    let WorkKind::Stream(stream) = &mut site.works[0].kind else { panic!("a stream") };
    stream.line = straight(&[[0.0, 2.0], [0.0, -8.0]]);
    stream.from = Some(WorkId(2));
    let bed = FilterBed { freeboard_m, ..filter(30.2) };
    site.works
        .insert(0, Work { id: WorkId(2), kind: WorkKind::FilterBed(bed), ..site.works[0].clone() });
    site.next_id = 3;
    site
}

#[test]
fn a_filters_rim_stands_above_the_water_that_runs_over_its_lip() {
    check(&fed(0.15), CODE, &[]);
    check(&fed(0.148), CODE, &[]);
    check(&fed(0.11), CODE, &[(2, 30.31, 30.35)]);
    check_remedy(&fed(0.11), CODE);
    assert_eq!(found(&fed(0.051), CODE)[0].severity, Severity::LookAt);
    assert_eq!(found(&fed(0.049), CODE)[0].severity, Severity::Stop);
    check_remedy(&fed(0.0), CODE);
    // Its own lip takes the water when no stream does.
    let alone = FilterBed { freeboard_m: 0.0, ..filter(30.2) };
    check(&garden(2, vec![WorkKind::FilterBed(alone)]), CODE, &[]);
}

#[test]
fn a_filter_in_a_pond_keeps_the_ponds_water_out() {
    let stands = |water_m: f64| {
        let outline = straight(&[[-6.0, 0.0], [6.0, 0.0], [6.0, 9.0], [-6.0, 9.0]]);
        let pond = Basin { outline, ..basin(water_m) };
        let kinds = vec![WorkKind::Basin(pond), WorkKind::FilterBed(filter(30.0))];
        found(&garden(2, kinds), CODE).into_iter().filter(|f| f.work == Some(WorkId(2))).count()
    };
    // The rim stands at 30.15, the pond asks 10 cm above its water.
    assert_eq!((stands(30.052), stands(30.054)), (0, 1));
}
