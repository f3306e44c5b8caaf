//! A whole garden by the public face, as a design asks it: pump and pipe, filter and lip, stream and
//! falls, pond and bay.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use water::*;

const LAW: FrictionLaw = FrictionLaw::DarcyWeisbach(Water::COOL);
const LIP_M: f64 = 11.2;
const POND_M: f64 = 10.0;

fn rising_line() -> Line {
    let pipe = Pipe::new(0.075, 14.0, PipeWall::GROWN_OVER).unwrap();
    let pipe = pipe.with(Fitting::ElbowSmooth, 4).unwrap().with(Fitting::CheckValve, 1).unwrap();
    let pipe = pipe.with(Fitting::Strainer { clean: 1.0, clogged: 0.2 }, 1).unwrap();
    Line::new(vec![pipe.with(Fitting::Exit, 1).unwrap()])
}

fn crest(elevation_m: f64, width_m: f64) -> Crest {
    Crest::level(elevation_m, width_m, CrestForm::Broad).unwrap()
}

fn station(along_m: f64, invert_m: f64, bed_m: f64) -> Station {
    Station {
        along_m,
        invert_m,
        section: Section::new(bed_m, [1.0, 1.0]).unwrap(),
        roughness: Roughness::variable_power(0.08).unwrap(),
        edges_m: [invert_m + 0.3, invert_m + 0.28],
    }
}

/// Lip at 11.2, a pool behind a crest at 10.9, a fall onto a riffle, a last fall into the pond at 10.
fn stream() -> Stream {
    let fall = |elevation_m, width_m| FallCrest {
        crest: crest(elevation_m, width_m),
        face: Face::Upright,
    };
    let pool = Reach::new(vec![station(0.0, 10.78, 0.5), station(2.5, 10.75, 0.6)]).unwrap();
    let riffle = vec![station(2.5, 10.6, 0.5), station(5.0, 10.5, 0.4), station(7.0, 10.3, 0.5)];
    let pieces = vec![
        Piece { reach: pool, crest: Some(fall(10.9, 0.34)) },
        Piece { reach: Reach::new(riffle).unwrap(), crest: Some(fall(10.3, 0.5)) },
    ];
    Stream::new(Some(fall(LIP_M, 0.5)), pieces).unwrap()
}

/// 20 m2 and 9 m3 of pond, 1 m2 of bay, both 0.75 m deep.
fn table(area_m2: f64) -> StageTable {
    let row = |i: u32| {
        let y = 0.75 * f64::from(i) / 10.0;
        let share = 0.6 + 0.4 * y / 0.75;
        let volume_m3 = area_m2 * y * (0.6 + 0.2 * y / 0.75);
        Stage { level_m: POND_M - 0.75 + y, area_m2: area_m2 * share, volume_m3 }
    };
    StageTable::new((0..=10).map(row).collect()).unwrap()
}

#[test]
fn a_garden_runs() {
    // Pump and line agree on a flow a garden's fall looks well with.
    let line = rising_line();
    let delivery = Delivery { line: &line, lift_m: LIP_M + 0.06 - POND_M, law: LAW };
    let (generic, duty) = pump_for(0.0055, delivery).unwrap();
    assert!(duty.velocity_m_s < COMMON_PIPE_VELOCITY_M_S && duty.flow_m3_s < 0.009);
    let month = energy_kwh_per_month(duty.power_w, 24.0).unwrap();
    assert!((100.0..500.0).contains(&month), "{month}");

    // The same by the circuit, with the pond and the lip for places.
    let mut circuit = Circuit::new();
    let (pond, lip) = (circuit.water(POND_M).unwrap(), circuit.outlet(LIP_M + 0.06).unwrap());
    let way = circuit.pump(pond, lip, line.clone(), generic.pump().unwrap()).unwrap();
    let found = circuit.run(LAW).unwrap().way(way).unwrap();
    assert!((found.flow_m3_s / duty.flow_m3_s - 1.0).abs() < 1e-5);

    // The stream at that flow: heads at crests, edges above the water, gravel that stays.
    let running = Running {
        flow_m3_s: duty.flow_m3_s,
        mouth_m: Some(POND_M),
        allowance: EdgeAllowance::default(),
        step_m: COMMON_STEP_M,
    };
    let profile = stream().run(running).unwrap();
    let lip = profile.lip.unwrap();
    assert!((0.02..0.06).contains(&lip.over.head_m), "{}", lip.over.head_m);
    for fall in [Some(lip)].iter().chain(&profile.falls).flatten() {
        let falling = fall.falling.unwrap();
        let landing = landing(&falling, fall.drop_m, 1.0, SplashMargin::default()).unwrap();
        assert!(landing.short_by_m < 0.0 && fall.over.edge_above_crest_m > fall.over.head_m);
    }
    let edges: Vec<Point> = profile.reaches.iter().map(Profile::least_edge).collect();
    assert!(edges.iter().all(|p| p.edge_above_water_m[0] > 0.0 && p.edge_above_water_m[1] > 0.0));
    let cobble = BedStone { d50_m: 0.08, specific_gravity: 2.65, shields: COMMON_SHIELDS };
    // It stays where the water is slow, and is washed away from the foot of the fall.
    for point in profile.reaches.iter().flat_map(|reach| &reach.points) {
        let hold = stone_hold(point, cobble, Turbulence::High).unwrap();
        assert!(point.regime == Regime::Fast || hold.by_velocity < 1.0, "{point:?} {hold:?}");
    }
    let foot = stone_hold(&profile.reaches[1].points[0], cobble, Turbulence::High).unwrap();
    assert!(profile.reaches[1].foot == Foot::Free && !foot.stays());

    // The pond: what is in motion, with what stands behind the lip, drawn at start and back at stop.
    let in_motion_m3 = profile.in_motion_m3() + profile.behind_lip_m3(5.0).unwrap();
    let (pond, bay) = (table(20.0), table(1.0));
    let sill = crest(POND_M - 0.2, 0.8);
    let levels = start_stop_with_bay(StartUp {
        pond: &pond,
        bay: &bay,
        sill: &sill,
        level_m: POND_M,
        flow_m3_s: duty.flow_m3_s,
        in_motion_m3,
    })
    .unwrap();
    assert!(levels.pond.drop_m > 0.0 && levels.pond.drop_m < 0.05, "{levels:?}");
    assert!(levels.bay_drop_m >= levels.pond.drop_m && levels.pond.rise_m < 0.05);
    let turnover = turnover_h(pond.volume_m3(POND_M), duty.flow_m3_s, 1.0).unwrap();
    assert!(turnover < COMMON_TURNOVER_H[1], "{turnover}");
}

/// Common practice: near 7,300 US gallons an hour over a crest of 13.5 in, and enough to split over
/// three lips of it without a trickle.
#[test]
fn enough_to_split_over_three_lips() {
    let flow = 7300.0 * 231.0 * 0.0254 * 0.0254 * 0.0254 / 3600.0;
    let lips = [crest(10.0, 0.12), crest(10.0, 0.12), crest(10.01, 0.103)];
    let shared: Vec<SharedCrest<'_>> =
        lips.iter().map(|crest| SharedCrest { crest, below_m: None }).collect();
    let found = share_crests(&shared, flow, EdgeAllowance::default()).unwrap();
    let flows: Vec<f64> = found.crests.iter().flatten().map(|over| over.flow_m3_s).collect();
    assert_eq!(flows.len(), 3);
    assert!(flows.iter().all(|&share| share > 0.2 * flow));
    assert!((flows.iter().sum::<f64>() / flow - 1.0).abs() < 1e-12);
}
