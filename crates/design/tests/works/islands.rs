//! Rocks in a stream's bed, around which the water parts.

use design::Evaluation;
use design::part::Part;
use site::WorkKind;
use site::works::{Curve, Island, Stream};

use crate::garden::*;

/// A rock of 0.3 by 0.2 m at a place of the stream's line.
fn rock(placed: Placed, [x, y]: [f64; 2], top_m: f64) -> Island {
    let corners = [[-0.15, -0.1], [0.15, -0.1], [0.15, 0.1], [-0.15, 0.1]];
    let points = corners.iter().map(|[dx, dy]| placed.at([x + dx, y + dy])).collect();
    Island { outline: Curve { points, smooth: false }, top_m }
}

/// A stream of 10 m with a level bed 0.6 m wide at -0.5 m, and water to -0.4 m.
fn with_rocks(placed: Placed, islands: Vec<Island>) -> Evaluation {
    let kind = WorkKind::Stream(Stream { islands, ..stream(placed, 10.0) });
    sound(&site(placed, |_| 0.0, vec![kind]))
}

fn n_rock_faces(evaluation: &Evaluation) -> usize {
    let finished = evaluation.finished.as_ref().expect("there is ground");
    finished.faces().iter().filter(|face| Part::of(face.tag.part) == Part::Island).count()
}

/// Area of the rock's section at a share of its height: its sides lean by 5 mm.
fn area_m2(share: f64) -> f64 {
    let lean = 2.0 * 0.005 * share;
    (0.3 - lean) * (0.2 - lean)
}

/// Volume of the rock up to a share of its height of 0.3 m.
fn rock_m3(share: f64) -> f64 {
    0.3 * share / 6.0 * (area_m2(0.0) + 4.0 * area_m2(0.5 * share) + area_m2(share))
}

#[test]
fn a_rock_stands_in_the_bed_by_its_closed_form() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let [bare, parted] =
            [vec![], vec![rock(placed, [0.0, 0.05], -0.2)]].map(|rocks| with_rocks(placed, rocks));
        assert_eq!(parted.works[0].shape.problems, []);
        let found = bare.works[0].cut_m3 - parted.works[0].cut_m3;
        assert!((found - rock_m3(1.0)).abs() < 1e-6, "{found}, not {}", rock_m3(1.0));
        // The water reaches a third of its height.
        let [before, after] = [&bare, &parted].map(|evaluation| &evaluation.water[0]);
        let area = before.area_m2 - after.area_m2;
        assert!((area - area_m2(1.0 / 3.0)).abs() < 1e-5, "{area}");
        let volume = before.volume_m3 - after.volume_m3;
        assert!((volume - rock_m3(1.0 / 3.0)).abs() < 1e-6, "{volume}");
        assert!(n_rock_faces(&parted) >= 2 && n_rock_faces(&bare) == 0);
    }
}

/// Water runs over a rock that does not reach its surface: it takes volume and no area.
#[test]
fn a_sunken_rock_takes_no_surface() {
    let [bare, parted] =
        [vec![], vec![rock(AS_DRAWN, [0.0, 0.0], -0.45)]].map(|rocks| with_rocks(AS_DRAWN, rocks));
    let [before, after] = [&bare, &parted].map(|evaluation| &evaluation.water[0]);
    assert!((before.area_m2 - after.area_m2).abs() < 1e-9);
    let volume = before.volume_m3 - after.volume_m3;
    let expected = 0.05 / 6.0 * (area_m2(0.0) + 4.0 * area_m2(0.5) + area_m2(1.0));
    assert!((volume - expected).abs() < 1e-6, "{volume}, not {expected}");
}

#[test]
fn a_rock_in_a_falling_bed_is_cut_off_by_it() {
    let falling = |islands: Vec<Island>| {
        let mut stream = Stream { islands, ..stream(AS_DRAWN, 10.0) };
        for station in &mut stream.stations {
            station.invert_m = -0.5 - 0.05 * station.along_m;
        }
        sound(&site(AS_DRAWN, |_| 0.0, vec![WorkKind::Stream(stream)]))
    };
    let rocks = vec![rock(AS_DRAWN, [0.0, 0.0], -0.45)];
    let found = falling(vec![]).works[0].cut_m3 - falling(rocks).works[0].cut_m3;
    // The bed at the rock's middle lies 0.3 m below its top; the lean takes at most 5 mm all round.
    let upright = 0.06 * 0.3;
    assert!((upright - 0.005 * 0.3..upright).contains(&found), "{found}, not {upright}");
}

#[test]
fn what_does_not_stand_in_the_bed_is_told_and_left_out() {
    let placed = TURNED;
    let told = |rocks: Vec<Island>| {
        let evaluation = with_rocks(placed, rocks);
        let problems = evaluation.works[0].shape.problems.clone();
        (problems, n_rock_faces(&evaluation))
    };
    // The bed ends at 0.3 m.
    let (problems, n_faces) = told(vec![rock(placed, [1.0, 0.25], -0.2)]);
    assert_eq!(problems[0].message, "island 1 reaches 0.05 m beyond the bed");
    let [x, y] = placed.at([1.15, 0.35]);
    let off_m = libm::hypot(problems[0].at_m[0] - x, problems[0].at_m[1] - y);
    assert!(n_faces == 0 && (off_m < 1e-9 || (off_m - 0.3).abs() < 1e-9), "{off_m}");
    let (problems, _) = told(vec![rock(placed, [0.0, 0.0], -0.6)]);
    assert_eq!(
        problems[0].message,
        "island 1 does not stand out: its top is at -0.60 m, the bed at -0.50 m"
    );
    let two = vec![rock(placed, [0.0, 0.0], -0.2), rock(placed, [0.1, 0.05], -0.3)];
    let (problems, n_faces) = told(two);
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].message, "island 2 stands in another");
    assert!(n_faces > 0);
}
