use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::{COMMON_STEP_M, CrestForm, Regime, Roughness, Section, Station};

fn station(along_m: f64, invert_m: f64, bed_m: f64) -> Station {
    Station {
        along_m,
        invert_m,
        section: Section::new(bed_m, [1.0, 1.0]).unwrap(),
        roughness: Roughness::manning(0.04).unwrap(),
        edges_m: [invert_m + 0.25; 2],
    }
}

fn crest(elevation_m: f64, width_m: f64) -> FallCrest {
    let crest = Crest::level(elevation_m, width_m, CrestForm::Broad).unwrap();
    FallCrest { crest, face: Face::Upright }
}

fn piece(from: (f64, f64), to: (f64, f64), bed_m: f64, end: Option<FallCrest>) -> Piece {
    let stations = vec![station(from.0, from.1, bed_m), station(to.0, to.1, bed_m)];
    Piece { reach: Reach::new(stations).unwrap(), crest: end }
}

fn running(flow_m3_s: f64, mouth_m: Option<f64>) -> Running {
    Running { flow_m3_s, mouth_m, allowance: EdgeAllowance::default(), step_m: COMMON_STEP_M }
}

/// A lip, a pool, a fall, a riffle and a last fall into a pond at 10.
fn garden_stream() -> Stream {
    let pool = piece((0.0, 11.2), (3.0, 11.15), 0.6, Some(crest(11.3, 0.4)));
    let riffle = piece((3.0, 10.9), (8.0, 10.6), 0.5, Some(crest(10.6, 0.5)));
    Stream::new(Some(crest(11.6, 0.5)), vec![pool, riffle]).unwrap()
}

#[test]
fn a_garden_stream_from_lip_to_pond() {
    let found = garden_stream().run(running(0.008, Some(10.0))).unwrap();
    let lip = found.lip.unwrap();
    assert!((lip.over.level_m - found.head_m).abs() < 1e-12);
    let behind = found.behind_lip_m3(6.0).unwrap();
    assert!((behind - 6.0 * lip.over.head_m).abs() < 1e-15 && found.behind_lip_m3(-1.0).is_err());
    // The pool stands over the foot of the lip's fall.
    assert_eq!(found.reaches[0].foot, Foot::Drowned);
    assert!(lip.drop_m > 0.2 && lip.drop_m < 0.3, "{}", lip.drop_m);
    let pool = found.reaches[0].points.last().unwrap();
    let first = found.falls[0].unwrap();
    assert!((pool.energy_m - first.over.level_m).abs() < 1e-9);
    // The riffle runs on below the fall, and the last fall drops the whole way to the pond.
    let last = found.falls[1].unwrap();
    assert!((last.drop_m - 0.6).abs() < 1e-12 && last.falling.is_some());
    // 3 m of pool, 0.15 m deep, and a film over the riffle.
    assert!(found.still_m3 > 0.1 && found.in_motion_m3() > 0.05 && found.in_motion_m3() < 0.3);
    let more = garden_stream().run(running(0.012, Some(10.0))).unwrap();
    assert!(more.in_motion_m3() > found.in_motion_m3() && more.head_m > found.head_m);
}

/// A pond that rises above the last crest drowns it, and its backwater reaches up the riffle.
#[test]
fn a_high_pond_drowns_the_last_crest() {
    let low = garden_stream().run(running(0.008, Some(10.0))).unwrap();
    let high = garden_stream().run(running(0.008, Some(10.7))).unwrap();
    let last = high.falls[1].unwrap();
    assert!(last.over.undrowned_share < 1.0 && last.falling.is_none() && last.drop_m < 0.0);
    assert!(high.reaches[1].points.last().unwrap().level_m > 10.7);
    assert!(high.running_m3 > low.running_m3);
    // Far enough upstream nothing changes.
    assert_eq!(high.reaches[0], low.reaches[0]);
}

/// Two arms alike take half each; a wider arm takes more, and one whose crest stands too high none.
#[test]
fn an_island_parts_the_stream() {
    let arm = |bed_m: f64, head_m: f64| {
        Stream::new(None, vec![piece((0.0, head_m), (4.0, 10.0), bed_m, None)]).unwrap()
    };
    let run = |arms: &[Stream]| part_stream(arms, running(0.01, Some(10.05))).unwrap();
    let alike = run(&[arm(0.4, 10.04), arm(0.4, 10.04)]);
    assert!((alike.flows_m3_s[0] - 0.005).abs() < 1e-9);
    let wider = run(&[arm(0.3, 10.04), arm(0.6, 10.04)]);
    assert!(wider.flows_m3_s[1] > 1.5 * wider.flows_m3_s[0]);
    assert!((wider.flows_m3_s.iter().sum::<f64>() - 0.01).abs() < 1e-15);
    let heads: Vec<f64> = wider.arms.iter().flatten().map(|arm| arm.head_m).collect();
    assert!((heads[0] - wider.head_m).abs() < 1e-6 && (heads[1] - wider.head_m).abs() < 1e-6);
    let dry = run(&[arm(0.6, 10.04), arm(0.6, 10.5)]);
    assert_eq!((dry.arms[1].is_none(), dry.flows_m3_s[1]), (true, 0.0));
}

/// A chute feeds the reach below faster than slow water stands there.
#[test]
fn a_chute_shoots_into_the_reach() {
    let roughness = Roughness::manning(0.03).unwrap();
    let face = Face::Sloping { run_m: 0.8, foot_width_m: 0.5, roughness };
    let lip = FallCrest { face, ..crest(10.8, 0.5) };
    let stream = Stream::new(Some(lip), vec![piece((0.0, 10.3), (6.0, 10.2), 0.5, None)]).unwrap();
    let found = stream.run(running(0.01, None)).unwrap();
    assert_eq!(found.reaches[0].foot, Foot::Free);
    assert_eq!(found.reaches[0].points[0].regime, Regime::Fast);
    assert_eq!(found.reaches[0].jumps.len(), 1);
    assert_eq!(found.lip.unwrap().falling.unwrap().kind, FallKind::Chute);
}

#[test]
fn what_is_no_stream_is_refused() {
    assert_eq!(Stream::new(None, vec![]), Err(StreamError::NoReach));
    let open = || piece((0.0, 10.3), (6.0, 10.2), 0.5, None);
    assert_eq!(Stream::new(None, vec![open(), open()]), Err(StreamError::NoCrest(0)));
    let stream = garden_stream();
    assert!(stream.run(running(0.0, None)).is_err());
    assert!(stream.run(running(0.01, Some(f64::NAN))).is_err());
    assert!(stream.still_head_m(Some(f64::INFINITY)).is_ok(), "the mouth is beyond a crest");
    assert!(part_stream(&[], running(0.01, None)).is_err());
    let odd = Running { step_m: 0.0, ..running(0.01, None) };
    assert!(matches!(stream.run(odd), Err(StreamError::Reach { reach: 1, .. })));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(59), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_stream_runs(
        parts in prop::collection::vec((0.2..5.0f64, -0.2..1.0f64, -0.1..0.4f64, 0.05..2.0f64), 1..5),
        (log_flow, mouth) in (-5.0..0.0f64, prop::option::of(-2.0..3.0f64)),
    ) {
        let (mut along, mut bed) = (0.0, 10.0);
        let pieces: Vec<Piece> = parts.iter().map(|&(run, fall, pool, width)| {
            let reach = piece((along, bed), (along + run, bed - fall), width, Some(crest(bed - fall + pool, width)));
            along += run;
            bed -= fall + 0.3;
            reach
        }).collect();
        let stream = Stream::new(Some(crest(10.2, 0.5)), pieces).unwrap();
        let mouth_m = mouth.map(|mouth| bed + mouth);
        let found = stream.run(running(libm::exp10(log_flow), mouth_m)).unwrap();
        prop_assert!(found.head_m.is_finite() && found.running_m3 > 0.0);
        let more = stream.run(running(1.3 * libm::exp10(log_flow), mouth_m)).unwrap();
        prop_assert!(more.head_m >= found.head_m - 1e-9, "{} {}", more.head_m, found.head_m);
        let points = found.reaches.iter().flat_map(|reach| &reach.points);
        for point in points {
            prop_assert!(point.depth_m > 0.0 && point.level_m.is_finite());
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 20, rng_seed: RngSeed::Fixed(60), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn arms_of_any_kind_carry_the_whole(
        arms in prop::collection::vec((0.5..5.0f64, 0.0..0.5f64, 0.05..1.0f64), 1..4),
        (log_flow, mouth) in (-4.0..-0.5f64, -0.2..0.6f64),
    ) {
        let arms: Vec<Stream> = arms.iter().map(|&(run, fall, width)| {
            Stream::new(None, vec![piece((0.0, 10.0 + fall), (run, 10.0), width, None)]).unwrap()
        }).collect();
        let flow = libm::exp10(log_flow);
        let running = Running { step_m: 0.25, ..running(flow, Some(10.0 + mouth)) };
        let found = part_stream(&arms, running).unwrap();
        prop_assert!((found.flows_m3_s.iter().sum::<f64>() / flow - 1.0).abs() < 1e-12);
        for (arm, flow) in found.arms.iter().zip(&found.flows_m3_s) {
            prop_assert!(*flow >= 0.0);
            if let Some(arm) = arm {
                prop_assert!((arm.head_m - found.head_m).abs() < 2e-3, "{} {}", arm.head_m, found.head_m);
            }
        }
    }
}
