//! A core put in the place of its lid, against the core composed itself.

use std::f64::consts::TAU;

use ground::overlay::{Domain, Keep, Rooted, compose, inlaid, volumes};
use ground::patch::{Ring3, rings};
use ground::query::plan_area_m2;
use ground::{Lattice, Surface, Tag, Terrain, build};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const OWNER: u32 = 7;
const LID: Tag = Tag { owner: OWNER, part: 9 };
/// How deep a lid or a core is dug before it is laid, metres.
const SUNK_M: f64 = 0.01;

/// A surface over points of metres, three to each.
fn terrain(points: &[[f64; 3]]) -> Surface {
    let lattice = Lattice::default();
    let point = |&[x, y, z]: &[f64; 3]| (lattice.snap([x, y]).expect("the points are near"), z);
    let points = points.iter().map(point).collect();
    build(&Terrain { lattice, points, ..Terrain::default() }).expect("they span a surface").surface
}

/// A plane over 12 by 12 metres.
fn plane(z_m: impl Fn(f64, f64) -> f64) -> Surface {
    let corners = [[0.0, 0.0], [12.0, 0.0], [12.0, 12.0], [0.0, 12.0]];
    terrain(&corners.map(|[x, y]| [x, y, z_m(x, y)]))
}

/// A ground with a patch laid on it: dug a little deeper, then filled up to it.
fn laid(ground: &Surface, [dug, patch]: [&Surface; 2]) -> Surface {
    let rooted = Rooted::Parts(&[1, 2, LID.part]);
    let dug = compose(ground, &dug.raised(-SUNK_M), Keep::Lowest, Domain::Ground, rooted).surface;
    compose(&dug, patch, Keep::Highest, Domain::Ground, rooted).surface
}

/// A core, its lid, and that as a part of the core's.
struct Bowl {
    core: Surface,
    lid: Surface,
    dug: Surface,
}

impl Bowl {
    /// A rim with a floor inside it, both level; none where they meet.
    fn of(rim: &[[f64; 2]], floor: &[[f64; 2]], [rim_m, floor_m]: [f64; 2]) -> Option<Self> {
        let ring = |places: &[[f64; 2]], z: f64, part| Ring3 {
            points: places.iter().map(|&p| (p, z)).collect(),
            part,
        };
        let span = |all: &[Ring3]| rings(Lattice::default(), all, &[], OWNER).ok();
        Some(Self {
            core: span(&[ring(rim, rim_m, 1), ring(floor, floor_m, 2)])?,
            lid: span(&[ring(rim, rim_m, LID.part)])?,
            dug: span(&[ring(rim, rim_m, 1)])?,
        })
    }

    fn covered(&self, ground: &Surface) -> Surface {
        laid(ground, [&self.dug, &self.lid])
    }
}

fn bowl(rim: &[[f64; 2]], floor: &[[f64; 2]], levels_m: [f64; 2]) -> Bowl {
    Bowl::of(rim, floor, levels_m).expect("the rings span a surface")
}

/// Lays both ways and compares.
fn agree(ground: &Surface, bowl: &Bowl) -> Option<Surface> {
    let inlaid = inlaid(&bowl.covered(ground), LID, &bowl.core)?;
    inlaid.check().expect("it is valid");
    assert!(inlaid.faces().iter().all(|face| face.tag != LID));
    let whole = laid(ground, [&bowl.core, &bowl.core]);
    let between = volumes(&whole, &inlaid);
    let area_m2 = plan_area_m2(ground);
    assert!((between.common_area_m2 - area_m2).abs() < 1e-9, "{between:?}");
    // Along steps of a metre or two, 30 m at most, the two may lie a lattice step apart.
    assert!(between.cut_m3 + between.fill_m3 < 3e-5, "{between:?}");
    Some(inlaid)
}

const RIM: [[f64; 2]; 4] = [[3.0, 3.0], [9.0, 3.0], [9.0, 9.0], [3.0, 9.0]];
const FLOOR: [[f64; 2]; 4] = [[5.0, 5.0], [7.0, 5.0], [7.0, 7.0], [5.0, 7.0]];

/// A frustum of 36 and 4 square metres, one metre deep: (36 + 4 + 12) / 3.
#[test]
fn a_bowl_in_level_ground_takes_out_a_frustum() {
    let ground = plane(|_, _| 1.0);
    let bowl_of_rim = bowl(&RIM, &FLOOR, [1.0, 0.0]);
    let found = agree(&ground, &bowl_of_rim).expect("it fits");
    let moved = volumes(&ground, &found);
    assert!((moved.cut_m3 - 52.0 / 3.0).abs() < 1e-9 && moved.fill_m3 < 1e-9, "{moved:?}");
    // The core's own faces, none of them parted.
    let own = found.faces().iter().filter(|face| face.tag.owner == OWNER).count();
    assert_eq!(own, bowl_of_rim.core.faces().len());
}

/// On a slope the ground meets the rim halfway along two of its sides, where both are parted.
#[test]
fn an_outline_that_the_ground_crosses_is_parted_there() {
    let ground = plane(|x, _| 0.2 * (x - 6.0) + 1.0);
    let bowl_of_rim = bowl(&RIM, &FLOOR, [1.0, 0.0]);
    let found = agree(&ground, &bowl_of_rim).expect("it fits");
    let own = found.faces().iter().filter(|face| face.tag.owner == OWNER).count();
    assert!(own > bowl_of_rim.core.faces().len(), "{own}");
    for (face, f) in found.faces().iter().zip(0..).filter(|(face, _)| face.tag.owner == OWNER) {
        // Parts keep the plane of the face that they are cut from.
        let grade = found.plane(f).grade(found.lattice());
        let own = if face.tag.part == 2 { 0.0 } else { 0.5 };
        assert!((grade - own).abs() < 1e-9, "{grade}");
    }
}

#[test]
fn a_shot_on_the_outline_is_a_corner_of_it() {
    let mut points: Vec<[f64; 3]> =
        [[0.0, 0.0], [12.0, 0.0], [12.0, 12.0], [0.0, 12.0]].map(|[x, y]| [x, y, 1.3]).to_vec();
    points.extend([[4.5, 3.0, 1.4], [9.0, 3.0, 1.5], [6.0, 6.0, 2.0], [3.0, 8.000_001, 1.2]]);
    let bowl_of_rim = bowl(&RIM, &FLOOR, [1.0, 0.0]);
    agree(&terrain(&points), &bowl_of_rim).expect("it fits");
}

#[test]
fn what_does_not_fit_is_told() {
    let ground = plane(|_, _| 1.0);
    let bowl_of_rim = bowl(&RIM, &FLOOR, [1.0, 0.0]);
    let composed = bowl_of_rim.covered(&ground);
    // No lid at all, another outline, other heights along it.
    assert_eq!(inlaid(&ground, LID, &bowl_of_rim.core), None);
    let moved = RIM.map(|[x, y]| [x + 0.001, y]);
    assert_eq!(inlaid(&composed, LID, &bowl(&moved, &FLOOR, [1.0, 0.0]).core), None);
    assert_eq!(inlaid(&composed, LID, &bowl(&RIM, &FLOOR, [1.001, 0.0]).core), None);
    // A lid that the survey's edge cuts off, and an outline with a corner less.
    let beyond = RIM.map(|[x, y]| [x + 5.0, y]);
    let cut_off = bowl(&beyond, &FLOOR.map(|[x, y]| [x + 5.0, y]), [1.0, 0.0]);
    assert_eq!(inlaid(&cut_off.covered(&ground), LID, &cut_off.core), None);
    let fewer = [RIM[0], RIM[1], RIM[2]];
    let inner = [[6.0, 4.0], [8.0, 4.0], [8.0, 6.0]];
    assert_eq!(inlaid(&composed, LID, &bowl(&fewer, &inner, [1.0, 0.0]).core), None);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, rng_seed: RngSeed::Fixed(41), ..ProptestConfig::default() })]

    /// A bowl of any outline in any ground, lip by lip on lattice places and off them.
    #[test]
    fn a_core_under_its_lid_is_the_core_composed(
        shots in vec([0.0..12.0_f64, 0.0..12.0, 0.0..2.0], 0..60),
        radii in vec(1.5..5.0_f64, 5..40),
        share in 0.2..0.9_f64,
        rim_m in 0.2..1.8_f64,
        round in any::<bool>(),
    ) {
        // Rounded to decimetres shots, outlines and levels fall together.
        let to = |v: f64| if round { (10.0 * v).round() / 10.0 } else { v };
        let mut points: Vec<[f64; 3]> = shots.iter().map(|shot| shot.map(to)).collect();
        points.extend([[0.0, 0.0, 1.0], [12.0, 0.0, 1.1], [12.0, 12.0, 0.9], [0.0, 12.0, 1.0]]);
        let ground = terrain(&points);
        let n = radii.len() as f64;
        let ring = |share: f64| -> Vec<[f64; 2]> {
            let at = |(i, r): (usize, &f64)| {
                let (sin, cos) = libm::sincos(i as f64 / n * TAU);
                [6.0 + share * r * cos, 6.0 + share * r * sin]
            };
            radii.iter().enumerate().map(at).collect()
        };
        let rim: Vec<[f64; 2]> = ring(1.0).iter().map(|p| p.map(to)).collect();
        // Rounded rings may meet.
        let Some(bowl) = Bowl::of(&rim, &ring(share), [to(rim_m), -1.0]) else { return Ok(()) };
        prop_assert!(agree(&ground, &bowl).is_some(), "it fits");
    }
}
