//! Prisms, falls and winding streams.

use super::*;
use crate::curve::{Closure, Path, norm, sub, turned};
use crate::patch::cross_lines;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::f64::consts::PI;

fn volume_above_zero(surface: &Surface) -> f64 {
    let lattice = surface.lattice();
    (0..surface.faces().len() as u32)
        .map(|f| {
            let [a, b, c] = surface.corners(f);
            let twice = crate::predicates::orient(a, b, c) as f64 * lattice.step_m().powi(2);
            0.5 * twice * surface.corner_heights(f).iter().sum::<f64>() / 3.0
        })
        .sum()
}

fn placed(p: [f64; 2], angle: f64, by: [f64; 2]) -> [f64; 2] {
    let t = turned(p, angle);
    [t[0] + by[0], t[1] + by[1]]
}

/// A dam 300 ft long, base 100 ft, top 14 ft, height 15 ft holds 9,500 yd3: Math Central,
/// University of Regina, QQ.09.07/jd1. A berm 1.5 ft high, 2 ft on top and 3 to 1 has 9.75 ft2
/// of section: its closed form.
#[test]
fn a_dam_and_a_berm_have_their_prisms_volume() {
    const FT: f64 = 0.3048;
    let prism = |offsets: [f64; 4], height: f64, length: f64, angle: f64, by: [f64; 2]| {
        let at = |y: f64| Section {
            points: offsets
                .iter()
                .zip([0.0, height, height, 0.0])
                .map(|(x, z)| (placed([x * FT, y * FT], angle, by), z * FT))
                .collect(),
        };
        let sections = [at(0.0), at(0.4 * length), at(length)];
        corridor(Lattice::default(), &sections, 7, &[1, 2, 1]).unwrap()
    };
    for (angle, by) in [(0.0, [0.0, 0.0]), (std::f64::consts::PI / 6.0, [311.25, -70.5])] {
        let dam = prism([-50.0, -7.0, 7.0, 50.0], 15.0, 300.0, angle, by);
        let yards = volume_above_zero(&dam) / FT.powi(3) / 27.0;
        assert!((yards / 9500.0 - 1.0).abs() < 1e-7, "{yards}");
        let berm = prism([-5.5, -1.0, 1.0, 5.5], 1.5, 10.0, angle, by);
        assert!((volume_above_zero(&berm) / FT.powi(3) / 97.5 - 1.0).abs() < 1e-6);
    }
}

#[test]
fn a_fall_is_an_exact_step() {
    let at = |y: f64, z: f64| Section {
        points: vec![([-1.0, y], z + 0.5), ([0.0, y], z), ([1.0, y], z + 0.5)],
    };
    let sections = [at(0.0, 2.0), at(3.0, 1.9), at(3.0, 1.5), at(5.0, 1.4)];
    let surface = corridor(Lattice::default(), &sections, 1, &[1, 2]).unwrap();
    assert_eq!(surface.faces().len(), 8);
    let fall: Vec<f64> = step_heights(&surface);
    assert_eq!(fall.len(), 2);
    assert!(fall.iter().all(|h| (h - 0.4).abs() < 1e-12));
}

/// The mean height of each step, in metres.
fn step_heights(surface: &Surface) -> Vec<f64> {
    let mut found = Vec::new();
    for (f, face) in surface.faces().iter().enumerate() {
        for k in 0..3 {
            let n = face.neighbours[k];
            if n == NONE || (n as usize) < f {
                continue;
            }
            let other = &surface.faces()[n as usize];
            let z = |face: &crate::Face, v: u32| {
                let corner = face.vertices.iter().position(|&w| w == v).unwrap();
                surface.heights()[face.heights[corner] as usize]
            };
            let (a, b) = (face.vertices[k], face.vertices[(k + 1) % 3]);
            let [da, db] = [a, b].map(|v| (z(face, v) - z(other, v)).abs());
            if da + db > 0.0 {
                found.push(0.5 * (da + db));
            }
        }
    }
    found
}

#[test]
fn a_tight_bend_is_trimmed_and_a_fold_is_named() {
    let line: Vec<[f64; 2]> =
        (0..=24).map(|i| turned([1.0, 0.0], f64::from(i) * std::f64::consts::PI / 24.0)).collect();
    // The bed is wider than the bend's radius on its inside.
    let crossing = cross_lines(&line, &vec![[2.0, 2.0]; line.len()]).unwrap();
    let sections: Vec<Section> = crossing
        .iter()
        .enumerate()
        .map(|(i, c)| Section {
            points: [-2.0, -0.5, 0.5, 2.0]
                .iter()
                .map(|&o| (c.at_offset(o), 1.0 - 0.01 * i as f64))
                .collect(),
        })
        .collect();
    let surface = corridor(Lattice::default(), &sections, 1, &[1, 2, 3]).unwrap();
    surface.check().unwrap();
    assert!(step_heights(&surface).is_empty());
    let plain: Vec<Section> = line
        .iter()
        .map(|&p| Section { points: vec![([3.0 * p[0], 3.0 * p[1]], 0.0), ([-p[0], -p[1]], 0.0)] })
        .collect();
    let folded = corridor(Lattice::default(), &plain, 1, &[1]);
    assert!(
        matches!(folded, Err(CorridorError::Folds { .. } | CorridorError::Overlaps { .. })),
        "{folded:?}"
    );
}

#[test]
fn bad_sections_are_named() {
    let s = |n: usize| Section { points: vec![([n as f64, 0.0], 0.0); n] };
    assert_eq!(
        corridor(Lattice::default(), &[s(2), s(3)], 1, &[1]),
        Err(CorridorError::Unequal { section: 1, found: 3, expected: 2 })
    );
    assert_eq!(corridor(Lattice::default(), &[s(2)], 1, &[1]), Err(CorridorError::TooFew));
    assert_eq!(corridor(Lattice::default(), &[s(2), s(2)], 1, &[1]), Err(CorridorError::Empty));
    let no_z = Section { points: vec![([0.0, 1.0], f64::NAN), ([1.0, 1.0], 0.0)] };
    assert_eq!(
        corridor(Lattice::default(), &[s(2), no_z], 1, &[1]),
        Err(CorridorError::NotFinite { section: 1, point: 0 })
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, rng_seed: RngSeed::Fixed(3), ..ProptestConfig::default() })]
    #[test]
    fn winding_streams_are_whole_or_overlap_where_they_return(
        turns in prop::collection::vec((0.3..1.5f64, -0.6..0.6f64), 2..40),
        half_width in 0.2..2.0f64,
    ) {
        let (mut at, mut heading) = ([0.0, 0.0], 0.0);
        let mut line = vec![at];
        for (length, turn) in turns {
            heading += turn;
            let step = turned([length, 0.0], heading);
            at = [at[0] + step[0], at[1] + step[1]];
            line.push(at);
        }
        let lines = cross_lines(&line, &vec![[half_width; 2]; line.len()]).unwrap();
        let offsets = [-1.0, -0.4, 0.4, 1.0].map(|share| share * half_width);
        let sections: Vec<Section> = lines
            .iter()
            .enumerate()
            .map(|(i, c)| Section {
                points: offsets.iter().map(|&o| (c.at_offset(o), -0.01 * i as f64)).collect(),
            })
            .collect();
        match corridor(Lattice::default(), &sections, 1, &[1, 2, 3]) {
            Ok(surface) => prop_assert!(step_heights(&surface).iter().all(|h| *h < 1e-9)),
            // A line that comes back within its own width overlaps itself, and only such a one.
            Err(CorridorError::Overlaps { .. }) => {
                let path = Path::new(&line, Closure::Open).unwrap();
                let length = path.length_m();
                let comes_back = (0..400).any(|i| (0..i).any(|j| {
                    let [s, t] = [i, j].map(|k| f64::from(k) * length / 400.0);
                    let (p, q) = (path.at_station(s).at, path.at_station(t).at);
                    s - t > PI * half_width && norm(sub(p, q)) < 2.5 * half_width
                }));
                prop_assert!(comes_back);
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
