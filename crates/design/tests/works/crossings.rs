//! Works that join a basin: a path across it on stones, a bay that draws from it.

use design::Evaluation;
use ground::query::Locator;
use site::works::{Basin, IntakeBay, Path, Sill, SteppingStones};
use site::{WorkId, WorkKind};

use crate::garden::*;

/// A pond of 6 by 4 m with upright sides, water 0.9 m deep at -0.1 m.
fn pond() -> Basin {
    basin(rectangle(AS_DRAWN, 6.0, 4.0), vec![inset(0.0, 0.9)])
}

/// Places within the pond's outline.
fn inside() -> impl Iterator<Item = [f64; 2]> {
    (0..60).flat_map(|i| {
        (0..40).map(move |k| [-2.95 + 0.1 * f64::from(i), -1.95 + 0.1 * f64::from(k)])
    })
}

/// A path of 12 m across the pond, 0.2 m above the ground, its cheeks upright.
fn crossing(y: f64) -> Path {
    Path {
        line: AS_DRAWN.line(&[[-6.0, y], [0.0, y], [6.0, y]]),
        level_m: vec![0.2],
        fill_bank: 0.0,
        cut_bank: 0.0,
        stones: Some(SteppingStones {
            across: WorkId(1),
            stone_m: 0.5,
            gap_m: 0.15,
            above_water_m: 0.1,
        }),
        ..path(AS_DRAWN, 1.0)
    }
}

#[test]
fn a_path_on_stones_moves_no_earth_within_the_water() {
    let kinds = vec![WorkKind::Basin(pond()), WorkKind::Path(crossing(0.0))];
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, kinds));
    let work = &evaluation.works[1];
    // 3 m on each shore.
    assert!((work.fill_m3 - 2.0 * 3.0 * 1.2 * 0.2).abs() < 1e-5, "{}", work.fill_m3);
    assert_eq!(work.cut_m3, 0.0);
    let ground = [&work.before, &work.after].map(|surface| Locator::new(&**surface));
    for at in inside() {
        assert_eq!(ground[0].elevation(at), ground[1].elevation(at), "{at:?}");
    }
    // Nine stones and eight gaps take 5.7 of 6 m.
    assert_eq!((work.shape.problems.len(), work.shape.stones.len()), (0, 9));
    for (i, stone) in work.shape.stones.iter().enumerate() {
        let x = 0.65 * (i as f64 - 4.0);
        assert!((stone.at_m[0] - x).abs() < 1e-9 && stone.at_m[1] == 0.0, "{stone:?}");
        assert!((stone.top_m - 0.0).abs() < 1e-12 && stone.radius_m == 0.25, "{stone:?}");
    }
}

#[test]
fn stones_that_find_no_water_are_told() {
    let kinds = vec![WorkKind::Basin(pond()), WorkKind::Path(crossing(8.0))];
    let evaluation = sound(&site(AS_DRAWN, |_| 0.0, kinds));
    let shape = &evaluation.works[1].shape;
    assert!(shape.problems[0].message.contains("does not cross the basin"), "{shape:?}");
    assert_eq!(shape.problems[0].at_m, [-6.0, 8.0]);
}

/// A bay of 2 by 2 m east of the pond, its sill in its west side.
fn bay_from(west: f64, depth_m: f64, rim_width_m: f64) -> IntakeBay {
    let placed = Placed { by: [west + 1.0, 0.0], ..AS_DRAWN };
    IntakeBay {
        from: Some(WorkId(1)),
        sill: Sill { at: [west, 0.0], width_m: 0.8, depth_m: 0.2 },
        water_level_m: -0.1,
        freeboard_m: 0.1,
        depth_m,
        side: 0.0,
        rim_width_m,
        ..bay(placed)
    }
}

fn joined(bay: IntakeBay) -> Evaluation {
    sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Basin(pond()), WorkKind::IntakeBay(bay)]))
}

/// Water in a box with sides that lean by 5 mm from its edge at zero to its floor.
fn box_m3([a, b]: [f64; 2], floor_m: f64) -> f64 {
    let area = |z: f64| {
        let lean = 2.0 * 0.005 * z / floor_m;
        (a - lean) * (b - lean)
    };
    let middle = 0.5 * (floor_m - 0.1);
    (-0.1 - floor_m) / 6.0 * (area(-0.1) + 4.0 * area(middle) + area(floor_m))
}

#[test]
fn the_ponds_water_fills_its_bay_over_the_sill() {
    let alone = box_m3([6.0, 4.0], -1.0);
    // Shallower than the pond, and deeper: over the sill into the deeper bay no water is lost.
    for depth_m in [0.7, 1.5] {
        let evaluation = joined(bay_from(3.3, depth_m, 1.5));
        assert_eq!(evaluation.works[1].shape.problems, []);
        let water = &evaluation.water[0];
        assert_eq!((evaluation.water.len(), water.level_m), (1, -0.1));
        // Between pond and bay 0.3 m of a channel 0.8 m wide, 0.2 m deep, sides 1 in 1.
        let channel_m3 = 0.3 * (0.2 * 0.8 + 0.2 * 0.2);
        let expected = alone + box_m3([2.0, 2.0], -0.1 - depth_m) + channel_m3;
        // The sill's own lean of 5 mm is left out.
        assert!((water.volume_m3 - expected).abs() < 2e-3, "{}, not {expected}", water.volume_m3);
        let last = water.stages.last().unwrap();
        assert!((last[2] - water.volume_m3).abs() < 1e-9, "{last:?}");
    }
}

/// Below the sill the pond and its bay are two hollows, and both count.
#[test]
fn a_stage_below_the_sill_is_that_of_both_hollows() {
    let evaluation = joined(bay_from(3.3, 1.5, 1.5));
    let [level_m, area_m2, volume_m3] = evaluation.water[0].stages[7];
    assert!((level_m + 0.55).abs() < 1e-9, "{level_m}");
    assert!((area_m2 / 28.0 - 1.0).abs() < 0.01, "{area_m2}");
    assert!((volume_m3 / (24.0 * 0.45 + 4.0 * 1.05) - 1.0).abs() < 0.01, "{volume_m3}");
}

/// Whatever rim the pond has and however narrow the bay's is, the sill is dug through both.
#[test]
fn no_rim_dams_the_sill() {
    let apart_m3 = box_m3([6.0, 4.0], -1.0) + box_m3([2.0, 2.0], -0.8);
    for (gap_m, rim_width_m) in [(0.1, 0.0), (0.5, 0.3), (1.5, 0.2)] {
        let evaluation = joined(bay_from(3.0 + gap_m, 0.7, rim_width_m));
        assert_eq!(evaluation.works[1].shape.problems, []);
        let water = &evaluation.water[0];
        let channel_m3 = water.volume_m3 - apart_m3;
        // The channel's section, as long as the gap.
        let expected = gap_m * (0.2 * 0.8 + 0.2 * 0.2);
        assert!((channel_m3 - expected).abs() < 2e-3, "{channel_m3}, not {expected}");
        assert_eq!(water.level_m, -0.1);
    }
}

#[test]
fn a_bay_that_reaches_into_its_pond_fills_nothing_there() {
    let evaluation = joined(bay_from(2.5, 0.7, 0.3));
    let work = &evaluation.works[1];
    let ground = [&work.before, &work.after].map(|surface| Locator::new(&**surface));
    for at in inside() {
        let [before, after] = [0, 1].map(|k| ground[k].elevation(at).expect("in the pond"));
        assert!(after <= before + 1e-9, "{at:?}: {before} {after}");
    }
    let water = &evaluation.water[0];
    // 1.5 m of the bay lie beyond the pond.
    let expected = box_m3([6.0, 4.0], -1.0) + 1.5 * 2.0 * 0.7;
    assert!((water.volume_m3 - expected).abs() < 0.03, "{}, not {expected}", water.volume_m3);
    assert!(work.fill_m3 < 1e-6, "{}", work.fill_m3);
}

#[test]
fn a_sill_that_does_not_face_its_pond_is_told() {
    let mut turned = bay_from(3.3, 0.7, 0.3);
    turned.sill.at = [5.3, 0.0];
    let evaluation = joined(turned);
    let problems = &evaluation.works[1].shape.problems;
    assert!(
        problems[0].message.contains("does not face its pond within 3.00 m: no water"),
        "{problems:?}"
    );
    assert_eq!(problems[0].at_m, [5.3, 0.0]);
    let alone = box_m3([6.0, 4.0], -1.0);
    assert!((evaluation.water[0].volume_m3 - alone).abs() < 1e-4);
    let shallow = IntakeBay { depth_m: 0.2, ..bay_from(3.3, 0.7, 0.3) };
    let problems = &joined(shallow).works[1].shape.problems.clone();
    assert_eq!(
        problems[0].message,
        "its sill lies 0.20 m below the water, and its floor only 0.20 m"
    );
}
