use proptest::prelude::*;

use super::*;

/// A grid whose cells hold a depth by their column and row.
fn grid(cell_m: f64, [nx, ny]: [usize; 2], depth_m: impl Fn(usize, usize) -> f64) -> PondGrid {
    let depths_m = (0..nx * ny).map(|i| depth_m(i % nx, i / nx)).collect();
    PondGrid { cell_m, n_columns: nx, depths_m, manning_n: 0.03 }
}

fn enters(at_m: [f64; 2], flow_m3_s: f64, velocity_m_s: [f64; 2]) -> Enters {
    Enters { at_m, flow_m3_s, velocity_m_s }
}

fn drawn(at_m: [f64; 2]) -> Drawn {
    Drawn { at_m, share: 1.0 }
}

fn age_s(found: &Circulation, cell: usize) -> f64 {
    found.cells[cell].expect("a wet cell").age_s
}

/// In a canal water moves as one: its speed is flow over section, it ages by the way that it went, and
/// its level falls as Manning's formula has it.
#[test]
fn a_canal_runs_by_manning() {
    let (depth_m, flow, [nx, ny]) = (0.4, 0.06, [60, 4]);
    let canal = grid(0.5, [nx, ny], |_, _| depth_m);
    let rows = || (0..ny).map(|row| 0.5 * (row as f64 + 0.5));
    let speed = flow / (depth_m * 0.5 * ny as f64);
    let comes: Vec<_> = rows().map(|y| enters([0.25, y], flow / ny as f64, [speed, 0.0])).collect();
    let goes: Vec<_> = rows().map(|y| drawn([29.75, y])).collect();
    let plan = Plan::of(&canal).unwrap();
    let sources = sources(&plan, &comes, &goes).unwrap();
    let (motion, settled) = Motion::settled(&plan, &sources);
    assert!(settled);
    for column in 2..nx - 2 {
        let [east, north] = motion.velocity_m_s(plan.padded(nx + column));
        assert!((east / speed - 1.0).abs() < 1e-3 && north.abs() < 1e-3 * speed, "{east} {north}");
    }
    let found = circulate(&canal, &comes, &goes).unwrap();
    let between = age_s(&found, nx + 50) - age_s(&found, nx + 10);
    assert!((between / (20.0 / speed) - 1.0).abs() < 1e-3, "{between}");
    // Manning for wide water: slope = n^2 v^2 / h^(4/3).
    let slope = 0.03 * 0.03 * speed * speed / libm::pow(depth_m, 4.0 / 3.0);
    let falls = motion.fall_m(plan.padded(nx + 10), plan.padded(nx + 50));
    assert!((falls / (20.0 * slope) - 1.0).abs() < 0.01, "{falls} {}", 20.0 * slope);
}

/// Spalding: whatever the pond's shape, what is drawn is as old in the mean as volume over flow.
#[test]
fn what_is_drawn_is_as_old_as_the_turnover() {
    let pond = bean();
    let comes = [enters([0.3, 3.0], 0.004, [0.5, -0.1])];
    let goes = [drawn([8.5, 1.0]), Drawn { at_m: [6.0, 5.0], share: 3.0 }];
    let found = circulate(&pond, &comes, &goes).unwrap();
    let plan = Plan::of(&pond).unwrap();
    let ages = goes.map(|goes| {
        let padded = plan.nearest(goes.at_m).unwrap();
        let cell = (0..pond.depths_m.len()).find(|&cell| plan.padded(cell) == padded).unwrap();
        (goes.share / 4.0) * age_s(&found, cell)
    });
    let mean_s: f64 = ages.iter().sum();
    assert!((mean_s / found.turnover_s() - 1.0).abs() < 1e-6, "{mean_s} {}", found.turnover_s());
}

/// A pond of some 9 by 6 m with a bay cut out of one side.
fn bean() -> PondGrid {
    bean_of(30)
}

/// The same in so many columns.
fn bean_of(n: usize) -> PondGrid {
    let cell_m = 9.0 / n as f64;
    grid(cell_m, [n, n * 2 / 3], |i, j| {
        let [x, y] = [i, j].map(|i| cell_m * (i as f64 + 0.5));
        let out = ((x - 4.5) / 4.5).powi(2) + ((y - 3.0) / 3.0).powi(2);
        let bay = (x - 4.5).powi(2) + (y - 6.5).powi(2);
        if out < 1.0 && bay > 2.5 { 0.2 + 0.7 * (1.0 - out) } else { 0.0 }
    })
}

/// A jet along one wall of a tank drives a gyre: the water comes back along the other.
#[test]
fn a_jet_drives_the_water_round() {
    let tank = grid(0.5, [16, 16], |_, _| 0.6);
    let goes = [drawn([7.75, 0.25])];
    let along = |jet: f64| {
        let found = circulate(&tank, &[enters([0.25, 0.25], 0.005, [jet, 0.0])], &goes).unwrap();
        let east = |cell: usize| found.cells[cell].unwrap().velocity_m_s[0];
        (east(8), east(15 * 16 + 8), found)
    };
    let (near, far, driven) = along(1.5);
    assert!(near > 0.05 && far < -0.005, "{near} {far}");
    let (near, far, still) = along(0.0);
    assert!(near > 0.0 && far > 0.0, "water without momentum spreads: {near} {far}");
    // What the jet stirs is renewed; what only seeps past is not.
    let oldest = |found: &Circulation| {
        (0..256).map(|cell| age_s(found, cell)).fold(0.0, f64::max) / found.turnover_s()
    };
    assert!(oldest(&driven) < oldest(&still), "{} {}", oldest(&driven), oldest(&still));
}

/// The momentum of a jet in a canal without a bed to speak of goes through it whole.
#[test]
fn a_smooth_canal_hands_momentum_on() {
    let smooth = PondGrid { manning_n: 1e-6, ..grid(0.5, [40, 3], |_, _| 0.5) };
    let rows = || (0..3).map(|row| 0.5 * (row as f64 + 0.5));
    let comes: Vec<_> = rows().map(|y| enters([0.25, y], 0.01, [0.2, 0.0])).collect();
    let goes: Vec<_> = rows().map(|y| drawn([19.75, y])).collect();
    let plan = Plan::of(&smooth).unwrap();
    let (motion, _) = Motion::settled(&plan, &sources(&plan, &comes, &goes).unwrap());
    // It comes at 0.2 m/s and goes on at 0.04: the level rises by what it loses, Q (u1 - u2) / (g h b).
    let speed = 0.03 / (0.5 * 1.5);
    let rises = 0.03 * (0.2 - speed) / (9.80665 * 0.5 * 1.5);
    let found = -motion.fall_m(plan.padded(40), plan.padded(40 + 20));
    assert!((found / rises - 1.0).abs() < 0.02, "{found} {rises}");
}

/// A cul-de-sac beside a canal is dead, the canal is not.
#[test]
fn a_cul_de_sac_is_dead() {
    let shape = |i: usize, j: usize| if j < 4 || (18..22).contains(&i) { 0.5 } else { 0.0 };
    let pond = grid(0.25, [40, 16], shape);
    let comes = [enters([0.1, 0.5], 0.01, [0.0, 0.0])];
    let found = circulate(&pond, &comes, &[drawn([9.9, 0.5])]).unwrap();
    let corners = found.dead_corners(COMMON_DEAD_AGE);
    assert_eq!(corners.len(), 1);
    let [x, y] = corners[0].oldest_at_m;
    assert!((4.5..5.5).contains(&x) && y > 3.0, "{x} {y}");
    assert!(corners[0].cells.iter().all(|cell| cell / 40 >= 4));
    let canal = grid(0.25, [40, 4], |_, _| 0.5);
    let found = circulate(&canal, &comes, &[drawn([9.9, 0.5])]).unwrap();
    assert_eq!(found.dead_corners(COMMON_DEAD_AGE), []);
}

/// Water that lies apart is never reached.
#[test]
fn a_puddle_beside_the_pond_is_dead() {
    let pond = grid(0.5, [12, 4], |i, _| if i == 9 { 0.0 } else { 0.3 });
    let found = circulate(&pond, &[enters([0.2, 1.0], 0.002, [0.1, 0.0])], &[drawn([4.0, 1.0])]);
    let corners = found.unwrap().dead_corners(COMMON_DEAD_AGE);
    let apart = corners.iter().find(|corner| corner.oldest_s.is_infinite()).unwrap();
    assert_eq!((apart.cells.len(), apart.area_m2), (8, 2.0));
}

/// Drawn beside where it enters, the water runs straight across and leaves the rest to stand, whatever
/// the cells; drawn at the far end it renews most of the pond.
#[test]
fn water_that_is_drawn_beside_its_inlet_leaves_the_rest_to_stand() {
    for n in [20, 24, 30, 40] {
        let pond = bean_of(n);
        let dead_m2 = |out: [f64; 2]| {
            let comes = [enters([0.3, 3.0], 0.004, [0.5, -0.1])];
            let found = circulate(&pond, &comes, &[drawn(out)]).unwrap();
            let corners = found.dead_corners(COMMON_DEAD_AGE);
            corners.iter().map(|corner| corner.area_m2).sum::<f64>()
        };
        let (beside, far) = (dead_m2([1.0, 4.5]), dead_m2([8.5, 1.0]));
        assert!(beside > 7.0 && far < 2.5, "{n}: {beside} {far}");
    }
}

#[test]
fn what_cannot_be_told_says_why() {
    let pond = bean();
    let (comes, goes) = ([enters([0.3, 3.0], 0.004, [0.0; 2])], [drawn([8.0, 3.0])]);
    let dry = PondGrid { depths_m: vec![0.0; 600], ..pond.clone() };
    assert_eq!(circulate(&dry, &comes, &goes), Err(CirculationError::Dry));
    assert_eq!(circulate(&pond, &[], &goes), Err(CirculationError::NothingEnters));
    assert_eq!(circulate(&pond, &comes, &[]), Err(CirculationError::NothingDrawn));
    for flow in [0.0, -1.0, f64::NAN] {
        let comes = [enters([0.3, 3.0], flow, [0.0; 2])];
        assert!(matches!(circulate(&pond, &comes, &goes), Err(CirculationError::Number(_))));
    }
    let mut deep = pond.clone();
    deep.depths_m[0] = f64::NAN;
    assert!(matches!(circulate(&deep, &comes, &goes), Err(CirculationError::Number(_))));
    let off = [enters([f64::NAN, 0.0], 0.004, [0.0; 2])];
    assert_eq!(circulate(&pond, &off, &goes), Err(CirculationError::Apart));
    let none = PondGrid { n_columns: 0, depths_m: Vec::new(), ..pond.clone() };
    assert_eq!(circulate(&none, &comes, &goes), Err(CirculationError::Dry));
    // Cells of no columns stand in one.
    let one = PondGrid { n_columns: 0, depths_m: vec![0.5; 8], ..pond };
    let found = circulate(&one, &[enters([0.1, 0.1], 0.004, [0.0; 2])], &[drawn([0.1, 2.0])]);
    assert_eq!(found.map(|found| found.middle_m(7)), Ok([0.15, 2.25]));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// In any pond each cell passes on what it gets, no age is below nothing, and a pond turned by half a
    /// round holds as much.
    #[test]
    fn any_pond_passes_on_what_it_gets(
        depths in prop::collection::vec(prop_oneof![1 => Just(0.0), 4 => 0.05..1.5f64], 120),
        jet in [-1.0..1.0f64, -1.0..1.0f64],
        flow in 0.0005..0.02f64,
        places in [[0.0..6.0f64, 0.0..5.0f64], [0.0..6.0f64, 0.0..5.0f64]],
    ) {
        let pond = PondGrid { cell_m: 0.5, n_columns: 12, depths_m: depths, manning_n: 0.03 };
        let comes = [enters(places[0], flow, jet)];
        let goes = [drawn(places[1])];
        let plan = Plan::of(&pond).unwrap();
        let sources = sources(&plan, &comes, &goes).unwrap();
        let (motion, _) = Motion::settled(&plan, &sources);
        for &cell in &plan.wet {
            let net = motion.flow_m3_s(0, cell) - motion.flow_m3_s(0, cell + 1)
                + motion.flow_m3_s(1, cell) - motion.flow_m3_s(1, cell + plan.width);
            let net = net + sources.enters[cell] - sources.drawn[cell];
            prop_assert!(net.abs() < 1e-9 * flow, "{net}");
        }
        let found = circulate(&pond, &comes, &goes).unwrap();
        prop_assert!(found.cells.iter().flatten().all(|water| water.age_s > 0.0));
        // Turned by half a round the pond goes round as before, turned with it.
        let turned = |cell: usize| 119 - cell;
        let depths_m = (0..120).map(|cell| pond.depths_m[turned(cell)]).collect();
        let back = |[x, y]: [f64; 2]| [6.0 - x, 5.0 - y];
        let comes = [enters(back(places[0]), flow, jet.map(|speed| -speed))];
        let other = PondGrid { depths_m, ..pond };
        let other = circulate(&other, &comes, &[drawn(back(places[1]))]).unwrap();
        prop_assert_eq!(other.cells.iter().flatten().count(), found.cells.iter().flatten().count());
        prop_assert!((other.turnover_s() / found.turnover_s() - 1.0).abs() < 1e-12);
    }
}
