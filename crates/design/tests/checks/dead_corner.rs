//! Dead corners of a pond: where it is drawn beside the stream's mouth, and where at its far end.

use design::{PondRounds, evaluate, rounds, running};
use site::works::*;
use site::{Site, WorkId, WorkKind};

use super::running_water::{pipe, pump, stream, watered};
use super::*;

const CODE: Code = Code::DeadCorner;
/// Ends of the pond, east.
const HALF_M: f64 = 12.0;

/// A pond of 24 by 6 m with a stream at its west end, drawn through a bay at an end.
fn long_pond(bay_x: f64) -> Site {
    let mut stream = stream();
    stream.line = straight(&[[0.0, 2.0], [-2.0, -3.0], [-9.0, -3.5], [-10.0, -8.2]]);
    stream.stations[2].along_m = 17.0;
    let mut site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.075, 20.0)), stream);
    let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
    basin.outline = straight(&[[-HALF_M, -14.0], [HALF_M, -14.0], [HALF_M, -8.0], [-HALF_M, -8.0]]);
    let side = bay_x.signum();
    let (near, far) = (bay_x + 0.8 * side, bay_x + 1.8 * side);
    let bay = IntakeBay {
        outline: straight(&[
            [near.min(far), -11.5],
            [near.max(far), -11.5],
            [near.max(far), -10.5],
            [near.min(far), -10.5],
        ]),
        from: Some(WorkId(1)),
        sill: Sill { at: [near, -11.0], width_m: 0.8, depth_m: 0.2 },
        water_level_m: 29.8,
        freeboard_m: 0.1,
        depth_m: 0.6,
        side: 0.2,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    let work = Work { id: WorkId(4), kind: WorkKind::IntakeBay(bay), ..site.works[0].clone() };
    site.works.insert(1, work);
    site.next_id = 5;
    site.circulation.pumps[0].draws_from = Some(WorkId(4));
    assert_eq!(site.check(), Ok(()));
    site
}

fn of_pond(site: &Site) -> PondRounds {
    let evaluation = evaluate(site);
    rounds(site, &evaluation, &running(site, &evaluation)).remove(0)
}

#[test]
fn a_pond_that_is_drawn_beside_its_stream_stands_at_its_far_end() {
    let finding = found(&long_pond(-HALF_M), CODE).into_iter().next().expect("its far end stands");
    assert!(finding.at_m[0] > 0.0, "{:?}", finding.at_m);
    assert!(finding.message.contains("on the east side"), "{}", finding.message);
    assert_eq!(found(&long_pond(HALF_M), CODE), []);
}

#[test]
fn it_is_held_against_its_limits() {
    let share = of_pond(&long_pond(-HALF_M)).rounds.expect("all is given").dead_share();
    assert!((0.2..0.9).contains(&share), "{share}");
    let with = |limit: f64| {
        let mut site = long_pond(-HALF_M);
        site.limits.dead_share = limit;
        site
    };
    assert_eq!(found(&with(share + 1e-6), CODE), []);
    let finding = found(&with(share - 1e-6), CODE).remove(0);
    assert_eq!(finding.measured.value, share);
    // Asked for older water, less of it is dead.
    let mut old = long_pond(-HALF_M);
    old.limits.dead_turnovers = 100.0;
    assert!(of_pond(&old).rounds.expect("all is given").dead_share() < 0.9 * share);
}

/// The cells hold the pond: their volume is that of its water, and so is the time that fills it.
#[test]
fn the_cells_hold_the_ponds_water() {
    let site = long_pond(HALF_M);
    let evaluation = evaluate(&site);
    let body = &evaluation.water[0];
    let rounds = of_pond(&site).rounds.expect("all is given");
    // Without the bay, which the body holds too.
    let ratio = rounds.circulation.volume_m3 / body.volume_m3;
    assert!((0.97..1.01).contains(&ratio), "{ratio}");
    let n = rounds.circulation.cells.iter().flatten().count();
    assert!((250..330).contains(&n), "{n}");
    let flow = running(&site, &evaluation).pumps[0].duty.clone().unwrap().flow_m3_s;
    assert!((rounds.circulation.flow_m3_s / flow - 1.0).abs() < 0.02);
}

#[test]
fn what_is_led_back_stirs_the_corner() {
    let site = long_pond(-HALF_M);
    let finding = found(&site, CODE).remove(0);
    let remedy = design::remedy(&site, &finding).expect("some part of the flow stirs it");
    assert!(remedy.site.is_none() && remedy.message.contains("points"), "{}", remedy.message);
}

#[test]
fn what_is_not_drawn_is_not_told() {
    let mut site = long_pond(HALF_M);
    site.circulation.pumps[0].lines[0].pipe.inner_m = None;
    let evaluation = evaluate(&site);
    assert_eq!(rounds(&site, &evaluation, &running(&site, &evaluation)), []);
    // A pipe that ends in the pond, nobody knows where.
    let mut site = long_pond(HALF_M);
    site.circulation.pumps[0].lines[0].feeds = Some(WorkId(1));
    site.circulation.pumps[0].lines[0].outlet_m = None;
    let why = of_pond(&site).rounds.expect_err("it has no trench");
    assert!(why.0.contains("trench"), "{why}");
}

/// The rear garden's pond has a lobe that its stream passes by; the level garden's goes round whole.
#[test]
fn the_demos_differ() {
    use super::demo_sites::{level_garden, rear_garden};
    let finding = found(&rear_garden(), CODE).remove(0);
    assert!(finding.message.contains("north-west side"), "{}", finding.message);
    assert_eq!(found(&level_garden(), CODE), []);
}

/// The longer water may stand the less is told, down to a corner that a rake reaches: that is not.
#[test]
fn a_corner_of_a_hands_breadth_is_not_told() {
    let mut site = long_pond(-HALF_M);
    let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
    // So small that a cell is half of what is told.
    basin.outline = straight(&[[-HALF_M, -14.0], [0.0, -14.0], [0.0, -8.0], [-HALF_M, -8.0]]);
    let evaluation = evaluate(&site);
    let running = running(&site, &evaluation);
    let mut told = [false; 2];
    for step in 0..400 {
        site.limits.dead_turnovers = libm::pow(1.02, f64::from(step));
        let pond = rounds(&site, &evaluation, &running).remove(0);
        let found = pond.rounds.expect("it goes round");
        let Some(largest) = found.dead.first() else { break };
        let is_small = largest.area_m2 < 0.5;
        if std::mem::replace(&mut told[usize::from(is_small)], true) {
            continue;
        }
        site.limits.dead_share = 0.5 * found.dead_share();
        assert_eq!(self::found(&site, CODE).is_empty(), is_small, "{} m2", largest.area_m2);
        site.limits.dead_share = 0.1;
    }
    assert_eq!(told, [true; 2]);
}
