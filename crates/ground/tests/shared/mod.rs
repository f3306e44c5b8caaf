//! Surfaces that the tests of overlays are made of.

#![allow(dead_code, reason = "each test binary uses some of these")]

pub(crate) mod second_way;

use ground::triangulate::{Terrain, build};
use ground::{Lattice, LatticePoint, Surface, Tag};

/// A generator of fixed sequences: splitmix64.
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x1234_5678)
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from zero to one.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
}

pub(crate) fn at(x: f64, y: f64) -> LatticePoint {
    Lattice::default().snap([x, y]).expect("near the origin")
}

/// The surface through points given in metres.
pub(crate) fn through(points: &[[f64; 3]]) -> Surface {
    let points = points.iter().map(|&[x, y, z]| (at(x, y), z)).collect();
    build(&Terrain {
        lattice: Lattice::default(),
        points,
        breaklines: Vec::new(),
        boundary: None,
        voids: Vec::new(),
        tag: Tag::default(),
    })
    .expect("the points span a surface")
    .surface
}

/// Random heights up to `height` on random places in a square of `side` metres, its corners included.
pub(crate) fn rough(random: &mut Random, n: usize, side: f64, height: f64) -> Surface {
    let mut points: Vec<[f64; 3]> = [[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]]
        .iter()
        .map(|&[x, y]| [x, y, random.unit() * height])
        .collect();
    points.extend(
        (0..n).map(|_| [random.unit() * side, random.unit() * side, random.unit() * height]),
    );
    through(&points)
}

/// A square grid of `n` by `n` cells of one metre, with its south-west corner at `corner`.
pub(crate) fn grid(corner: [f64; 2], n: usize, z: impl Fn(f64, f64) -> f64) -> Surface {
    let mut points = Vec::new();
    for i in 0..=n {
        for j in 0..=n {
            let (x, y) = (corner[0] + i as f64, corner[1] + j as f64);
            points.push([x, y, z(x, y)]);
        }
    }
    through(&points)
}

/// The surface through points on the lattice, when they span one.
pub(crate) fn on_lattice(points: &[(LatticePoint, f64)]) -> Option<Surface> {
    let terrain = Terrain { points: points.to_vec(), ..Terrain::default() };
    build(&terrain).ok().map(|built| built.surface)
}
