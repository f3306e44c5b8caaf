//! Goals, bounds and checks that bind.

use design::solver::{Bound, Goal, Number, Reached};
use design::{Code, Evaluator};
use site::works::*;
use site::{Site, WorkId, WorkKind};

use super::garden::{GROUND_M, basin, garden, hill, lawn, level, straight};
use super::{freed, solved, spoil_m3};

#[test]
fn a_goal_out_of_reach_is_said_to_be_so_with_what_binds() {
    let site = garden(vec![basin(), lawn()]);
    // The pond leaves 20 m3 and more; 3 cm of lawn take 3.
    let outcome = solved(&site, &[freed(level(2), 29.97, 30.03)], &[Goal::NoSpoil]);
    assert_eq!(outcome.goals[0].reached, Reached::BoundBy(vec![0]));
    assert_eq!((outcome.numbers[0].to, outcome.numbers[0].bound), (30.03, Some(Bound::Most)));
    let part = outcome.goals[0].parts[0];
    assert!(part.off() > 10.0 && part.after < part.before, "{part:?}");
    assert!(!outcome.is_reached());
}

#[test]
fn a_number_goes_no_further_than_where_a_check_would_stop() {
    let site = garden(vec![hill(&[[-3.0, 0.0], [3.0, 0.0]], 3.0)]);
    let bank_m3 = spoil_m3(&site) + 30.0;
    let steep = [freed(Number::FlankRun(WorkId(1)), 0.6, 4.0)];
    let outcome = solved(&site, &steep, &[Goal::Spoil { bank_m3 }]);
    // Loose fill slides from 1 in 1.5.
    let stop = Bound::Stop { code: Code::FlankTooSteep, work: Some(WorkId(1)) };
    assert_eq!(outcome.numbers[0].bound, Some(stop), "{:?}", outcome.numbers);
    assert_eq!(outcome.goals[0].reached, Reached::BoundBy(vec![0]));
    assert!((1.45..=1.7).contains(&outcome.numbers[0].to), "{:?}", outcome.numbers);
}

/// A filter on a hill whose stream falls into the basin.
fn flowing() -> Site {
    let lip_m = GROUND_M + 0.6;
    let filter = FilterBed {
        outline: straight(&[[-1.0, 2.0], [1.0, 2.0], [1.0, 4.0], [-1.0, 4.0]]),
        lip: Lip { at: [0.0, 2.0], width_m: 0.5, elevation_m: lip_m },
        depth_m: 0.5,
        side: 0.5,
        freeboard_m: 0.15,
        rim_width_m: 0.3,
        cut_bank: 3.0,
        fill_bank: 3.0,
        gravel_below_lip_m: 0.05,
        void_share: None,
        gravel_m: None,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    let station = |along_m, invert_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.5,
        side: 1.0,
        edge_m: [0.2; 2],
    };
    let stream = Stream {
        line: straight(&[[0.0, 2.0], [0.0, -6.0]]),
        from: Some(WorkId(2)),
        into: Some(WorkId(1)),
        stations: vec![station(0.0, lip_m), station(8.0, GROUND_M - 0.1)],
        falls: Vec::new(),
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
    };
    garden(vec![basin(), WorkKind::FilterBed(filter), WorkKind::Stream(stream)])
}

#[test]
fn a_water_level_takes_the_mouth_along_and_a_lip_the_head() {
    let site = flowing();
    let numbers = [
        freed(Number::Parameter(WorkId(1), "water_level_m".into()), 29.7, 30.2),
        freed(Number::LipLevel(WorkId(2)), 30.3, 30.9),
    ];
    let bank_m3 = spoil_m3(&site) - 8.0;
    let outcome = solved(&site, &numbers, &[Goal::Spoil { bank_m3 }]);
    assert_eq!(outcome.goals[0].reached, Reached::Yes, "{:?}", outcome.goals);
    let kind = |i: usize| &outcome.site.works[i].kind;
    let (WorkKind::Basin(pond), WorkKind::FilterBed(bed), WorkKind::Stream(stream)) =
        (kind(0), kind(1), kind(2))
    else {
        panic!("as they were")
    };
    assert!(pond.water_level_m > 29.9 && bed.lip.elevation_m > 30.6, "{:?}", outcome.numbers);
    assert!((stream.stations[1].invert_m - pond.water_level_m).abs() < 1e-9);
    assert!((stream.stations[0].invert_m - bed.lip.elevation_m).abs() < 1e-9);
    assert_eq!(outcome.numbers[0].number, Number::WaterLevel(WorkId(1)));
}

#[test]
fn wall_tops_come_to_the_lip_and_its_clearance() {
    let mut site = flowing();
    let wall = |top_m: Vec<f64>| Wall {
        line: straight(&[[-2.0, 1.2], [2.0, 1.2]]),
        top_m,
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 4.0,
        material: WallMaterial::Boulder,
        stone_m: None,
        holds: Some(WorkId(2)),
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    for start_m in [30.4, 30.9] {
        let mut walled = site.works[0].clone();
        (walled.id, walled.name) = (WorkId(4), "Wall".into());
        walled.kind = WorkKind::Wall(wall(vec![start_m]));
        site.works.truncate(2);
        site.works.push(walled);
        site.next_id = 5;
        let numbers = [freed(Number::WallTops(WorkId(4)), 30.2, 31.2)];
        let outcome = solved(&site, &numbers, &[Goal::WallTopsAtLip]);
        assert_eq!(outcome.goals[0].reached, Reached::Yes, "{:?}", outcome.goals);
        // The lip at 30.6 and 5 cm of clearance.
        assert!((30.65..=30.655 + 1e-9).contains(&outcome.numbers[0].to), "{:?}", outcome.numbers);
    }
}

#[test]
fn no_truck_comes_for_less_than_a_tenth_of_a_load() {
    let mut site = garden(vec![basin(), lawn()]);
    site.soils.topsoil.strip_m = 0.1;
    site.soils.topsoil.margin_m = 0.0;
    let topsoil = Number::Parameter(WorkId(2), "build_up.topsoil_m".into());
    let numbers = [freed(level(2), 29.5, 31.0), freed(topsoil, 0.0, 0.4)];
    let outcome = solved(&site, &numbers, &[Goal::NoTruck]);
    assert_eq!(outcome.goals[0].reached, Reached::Yes, "{:?}", outcome.goals);
    assert!(outcome.before.haul.loads > Some(0));
    let haul = outcome.after.haul;
    assert_eq!((haul.loads, haul.topsoil_loads), (Some(0), Some(0)));
    let earth = outcome.after.earth;
    assert!(earth.spoil_bank_m3 >= 0.0 && earth.topsoil.surplus_m3 >= 0.0, "{earth:?}");
}

#[test]
fn twice_the_same_bytes_whatever_was_evaluated_before() {
    let site = garden(vec![basin(), lawn(), hill(&[[8.0, 6.0], [10.0, 6.0]], 3.0)]);
    let numbers = [
        freed(level(2), 29.8, 30.6),
        freed(Number::FlankRun(WorkId(3)), 2.5, 6.0),
        freed(Number::CrestLevel(WorkId(3)), 30.9, 31.6),
    ];
    let goals = [Goal::NoSpoil, Goal::NoMound];
    let first = solved(&site, &numbers, &goals);
    let mut warm = Evaluator::default();
    for _ in 0..2 {
        let again = design::solver::solve(&mut warm, &site, &numbers, &goals).unwrap();
        assert_eq!(site::file::write(&again.site), site::file::write(&first.site));
        assert_eq!((&again.numbers, &again.goals), (&first.numbers, &first.goals));
    }
    assert!(first.is_reached(), "{:?}", first.goals);
}
