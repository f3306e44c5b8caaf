//! Random gardens: whatever is drawn, the ground is valid and the earth adds up.

use proptest::prelude::*;
use site::works::{Curve, Flank, Hill, Wall};
use site::{WorkId, WorkKind};

use crate::garden::*;

/// A pond as a client draws one: a smooth, often concave ring.
fn pond_outline() -> impl Strategy<Value = Curve> {
    proptest::collection::vec(1.5..6.0_f64, 5..10).prop_map(|radii| {
        let n = radii.len() as f64;
        let spoke = |(i, r): (usize, &f64)| {
            let (sin, cos) = libm::sincos(i as f64 / n * std::f64::consts::TAU);
            [r * cos, r * sin]
        };
        Curve { points: radii.iter().enumerate().map(spoke).collect(), smooth: true }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn any_garden_evaluates_to_valid_ground(
        outline in pond_outline(),
        runs in proptest::collection::vec(0.1..1.0_f64, 1..4),
        level_m in -1.5..1.0_f64,
        grade in -0.08..0.08_f64,
        bend in proptest::collection::vec(-2.0..2.0_f64, 3),
        flank in (1.2..4.0_f64, 0.0..1.0_f64, 0.0..1.5_f64),
        drop_m in 0.1..0.6_f64,
    ) {
        let rings = runs.iter().enumerate().map(|(i, &run)| inset(run, 0.3 * (i + 1) as f64));
        let mut pond = basin(outline, rings.collect());
        pond.water_level_m = level_m;
        let flank = Flank { run_per_rise: flank.0, shoulder_m: flank.1, toe_m: flank.2 };
        let bank = Hill {
            crest: Curve {
                points: vec![[-4.0, 14.0 + bend[0]], [0.0, 16.0], [4.0, 14.0 + bend[1]]],
                smooth: true,
            },
            crest_m: vec![1.0, 1.4, 1.2],
            width_m: vec![0.8],
            left: vec![flank],
            right: vec![Flank { run_per_rise: flank.run_per_rise + 0.5, ..flank }],
        };
        let mut water = stream(AS_DRAWN, 14.0);
        water.line = Curve {
            points: vec![[0.0, 15.0], [bend[2], 11.0], [bend[1], 7.0], [0.0, 2.0]],
            smooth: true,
        };
        water.into = Some(WorkId(1));
        water.stations[0].invert_m = level_m + 2.0 * drop_m;
        water.stations[1].invert_m = level_m;
        water.falls.push(site::works::Fall {
            along_m: 6.0,
            crest_m: level_m + 1.5 * drop_m,
            crest_width_m: 0.5,
            drop_m,
            pool_m: 0.1,
        });
        let kinds = vec![
            WorkKind::Basin(pond),
            WorkKind::Hill(bank),
            WorkKind::Stream(water),
            WorkKind::Wall(Wall {
                line: Curve { points: vec![[-3.0, 12.0], [bend[0], 12.5], [3.0, 12.0]], smooth: true },
                batter: 0.1,
                ..wall(AS_DRAWN, 4.0)
            }),
        ];
        sound(&site(AS_DRAWN, |[x, y]| grade * x + 0.03 * y, kinds));
    }
}
