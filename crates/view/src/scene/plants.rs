//! Plants: tufts of blades, leafy mounds, lily pads, and the grass at one's feet.

use std::f32::consts::TAU;

use bevy::math::Vec3;

use super::seed::Seed;
use super::shape::{Corner, Shape};
use super::stones::solid_noise;
use super::stuff::Stuff;

/// A clump of blades that bend outward.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tuft {
    /// Its foot in the scene.
    pub foot: Vec3,
    /// Length of its blades, in metres.
    pub height: f32,
    /// How far the blades lean out, as a share of their length.
    pub spread: f32,
    /// Number of blades.
    pub n_blades: usize,
    /// Width of a blade at its foot, in metres.
    pub width: f32,
    /// Tint of the tips.
    pub tint: Vec3,
}

/// A low cushion of leaves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mound {
    /// Its foot in the scene.
    pub foot: Vec3,
    /// Its radius, in metres.
    pub radius: f32,
    /// Its height, in metres.
    pub height: f32,
    /// Tint of its leaves.
    pub tint: Vec3,
    /// Tint of its flowers, when it flowers.
    pub flowers: Option<Vec3>,
}

/// Adds a tuft.
pub(crate) fn tuft(shape: &mut Shape, tuft: Tuft, seed: &mut Seed) {
    for _ in 0..tuft.n_blades {
        let angle = seed.between(0.0, TAU);
        let out = Vec3::new(angle.cos(), 0.0, angle.sin());
        let length = tuft.height * seed.between(0.6, 1.08);
        let lean = tuft.spread * seed.between(0.25, 1.0);
        let start = tuft.foot + out * (tuft.height * 0.06 * seed.unit());
        let shade = seed.between(0.78, 1.15);
        blade(shape, start, out, length, lean, tuft.width, tuft.tint * shade);
    }
}

/// Adds a cushion: a dim body clad in leaves.
pub(crate) fn mound(shape: &mut Shape, mound: Mound, seed: &mut Seed) {
    let offset = Vec3::splat(seed.between(0.0, 40.0));
    let half = Vec3::new(mound.radius, mound.height, mound.radius);
    blob(shape, mound.foot, half * 0.86, mound.tint * 0.42, offset, Stuff::Foliage);
    let n_leaves = (110.0 + 2100.0 * mound.radius * mound.radius).min(360.0) as usize;
    for _ in 0..n_leaves {
        let way = upper_direction(seed);
        let bump = 1.0 + 0.25 * (solid_noise(way * 2.2 + offset) - 0.5);
        let at = mound.foot + way * half * bump * seed.between(0.88, 1.04);
        let size = mound.radius * seed.between(0.055, 0.11) + 0.012;
        let shade = seed.between(0.68, 1.22) * (0.72 + 0.36 * way.y);
        let flowering = mound.flowers.filter(|_| way.y > 0.25 && seed.unit() < 0.16);
        leaf(shape, at, way, size, flowering.unwrap_or(mound.tint * shade), Stuff::Leaf, seed);
    }
}

/// Adds a lily pad that floats with its middle at `at`.
pub(crate) fn lily_pad(shape: &mut Shape, at: Vec3, radius: f32, seed: &mut Seed) {
    const N: usize = 14;
    let turn = seed.between(0.0, TAU);
    let tint = Vec3::new(0.62, 0.86, 0.62) * seed.between(0.65, 1.0);
    let middle = shape.corner(Corner::new(at, Vec3::Y, Stuff::Leaf).tinted(tint * 0.85));
    let rim: Vec<u32> = (0..=N)
        .map(|k| {
            // The notch takes a tenth of the round.
            let angle = turn + 0.30 + (TAU - 0.60) * k as f32 / N as f32;
            let lift = Vec3::Y * 0.006 * seed.unit();
            let place = at + Vec3::new(angle.cos(), 0.0, angle.sin()) * radius + lift;
            shape.corner(Corner::new(place, Vec3::Y, Stuff::Leaf).tinted(tint))
        })
        .collect();
    for pair in rim.windows(2) {
        shape.triangle([middle, pair[1], pair[0]]);
    }
}

/// Adds one blade of grass: three corners.
pub(crate) fn grass_blade(shape: &mut Shape, foot: Vec3, height: f32, tint: Vec3, seed: &mut Seed) {
    let angle = seed.between(0.0, TAU);
    let across = Vec3::new(angle.cos(), 0.0, angle.sin()) * 0.0035;
    let lean = Vec3::new(-angle.sin(), 0.0, angle.cos()) * height * seed.between(-0.45, 0.45);
    let normal = (Vec3::Y + lean * 4.0).normalize();
    let corner = |at, tint| Corner::new(at, normal, Stuff::Blade).tinted(tint);
    shape.facet([
        corner(foot - across, tint * 0.80).open(0.75),
        corner(foot + across, tint * 0.80).open(0.75),
        corner(foot + Vec3::Y * height + lean, tint * 1.22),
    ]);
}

/// Adds a lumpy ball or the upper half of one, as hedges and crowns are seen from afar.
pub(crate) fn blob(
    shape: &mut Shape,
    middle: Vec3,
    half: Vec3,
    tint: Vec3,
    offset: Vec3,
    stuff: Stuff,
) {
    // What stands far off needs no more facets than it shows.
    let (around, up) = if half.x > 0.32 { (7, 5) } else { (14, 8) };
    let place = |ring: usize, k: usize| {
        let polar = std::f32::consts::PI * (ring as f32 / up as f32);
        let round = TAU * (k % around) as f32 / around as f32;
        let way = Vec3::new(polar.sin() * round.cos(), polar.cos(), polar.sin() * round.sin());
        (middle + way * half * lump(way, offset), way)
    };
    let names: Vec<Vec<u32>> = (0..=up)
        .map(|ring| {
            (0..=around)
                .map(|k| {
                    let (at, way) = place(ring, k);
                    let normal = (way / half.max(Vec3::splat(1e-3))).normalize_or(Vec3::Y);
                    let open = 0.40 + 0.60 * (way.y * 0.5 + 0.5);
                    shape.corner(Corner::new(at, normal, stuff).tinted(tint).open(open))
                })
                .collect()
        })
        .collect();
    for ring in 0..up {
        for k in 0..around {
            let (a, b) = (names[ring][k], names[ring][k + 1]);
            let (c, d) = (names[ring + 1][k], names[ring + 1][k + 1]);
            shape.triangle([a, b, d]);
            shape.triangle([a, d, c]);
        }
    }
}

/// How far a lumpy ball reaches in a direction, about one.
fn lump(way: Vec3, offset: Vec3) -> f32 {
    1.0 + 0.34 * (solid_noise(way * 1.6 + offset) - 0.5)
        + 0.26 * (solid_noise(way * 3.9 + offset) - 0.5)
}

/// Adds loose leaves around a lumpy ball, so that its outline against the sky is not a stone's.
pub(crate) fn fringe(shape: &mut Shape, middle: Vec3, half: Vec3, tint: Vec3, offset: Vec3) {
    const N_LEAVES: usize = 9;
    let key = [(middle.x * 8.0) as i32, (middle.z * 8.0) as i32];
    let mut seed = Seed::of_cell(key, 0xF21);
    for _ in 0..N_LEAVES {
        let way = upper_direction(&mut seed);
        let at = middle + way * half * lump(way, offset) * seed.between(0.97, 1.03);
        let size = half.x * seed.between(0.22, 0.40);
        let shade = seed.between(0.70, 1.25) * (0.74 + 0.34 * way.y);
        leaf(shape, at, way, size, tint * shade, Stuff::Foliage, &mut seed);
    }
}

/// Clads a ball of a crown, given by its middle and half sides, in leaves.
pub(crate) fn foliage(
    shape: &mut Shape,
    [middle, half]: [Vec3; 2],
    tint: Vec3,
    n_leaves: usize,
    seed: &mut Seed,
) {
    for _ in 0..n_leaves {
        let angle = seed.between(0.0, TAU);
        let up = seed.between(-0.7, 1.0);
        let flat = (1.0 - up * up).max(0.0).sqrt();
        let way = Vec3::new(angle.cos() * flat, up, angle.sin() * flat);
        let at = middle + way * half * seed.between(0.86, 1.08);
        let shade = seed.between(0.66, 1.24) * (0.70 + 0.34 * way.y);
        let size = half.x * seed.between(0.035, 0.065) + 0.025;
        leaf(shape, at, way, size, tint * shade, Stuff::Leaf, seed);
    }
}

fn blade(shape: &mut Shape, foot: Vec3, out: Vec3, length: f32, lean: f32, width: f32, tint: Vec3) {
    const N: usize = 4;
    let across = Vec3::new(-out.z, 0.0, out.x);
    let normal = (out * 0.6 + Vec3::Y).normalize();
    let mut last: Option<[u32; 2]> = None;
    for k in 0..=N {
        let t = k as f32 / N as f32;
        let rise = Vec3::Y * length * (t - 0.30 * lean * t * t);
        let at = foot + rise + out * (length * lean * t * t);
        let side = across * (0.5 * width * (1.0 - t * t));
        let corner = |at| {
            let shade = 0.50 + 0.55 * t;
            Corner::new(at, normal, Stuff::Leaf).tinted(tint * shade).open(0.40 + 0.60 * t)
        };
        let names = [shape.corner(corner(at - side)), shape.corner(corner(at + side))];
        if let Some([a, b]) = last {
            shape.triangle([a, b, names[1]]);
            shape.triangle([a, names[1], names[0]]);
        }
        last = Some(names);
    }
}

fn leaf(
    shape: &mut Shape,
    at: Vec3,
    way: Vec3,
    size: f32,
    tint: Vec3,
    stuff: Stuff,
    seed: &mut Seed,
) {
    let tilt = Vec3::new(seed.between(-0.6, 0.6), seed.between(-0.2, 0.6), seed.between(-0.6, 0.6));
    let facing = (way + tilt).normalize_or(Vec3::Y);
    let one = facing.any_orthonormal_vector();
    let (angle, long) = (seed.between(0.0, TAU), seed.between(1.2, 1.9));
    let (s, c) = angle.sin_cos();
    let two = facing.cross(one);
    let (u, v) = (one * c + two * s, two * c - one * s);
    let normal = (way * 0.8 + facing * 0.5).normalize_or(Vec3::Y);
    let corner = |at: Vec3, shade: f32| Corner::new(at, normal, stuff).tinted(tint * shade);
    let names = [
        shape.corner(corner(at - u * size * long * 0.5, 0.8)),
        shape.corner(corner(at + v * size * 0.5, 1.0)),
        shape.corner(corner(at + u * size * long * 0.5, 1.1)),
        shape.corner(corner(at - v * size * 0.5, 1.0)),
    ];
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}

fn upper_direction(seed: &mut Seed) -> Vec3 {
    let angle = seed.between(0.0, TAU);
    let up = seed.between(-0.05, 1.0);
    let flat = (1.0 - up * up).max(0.0).sqrt();
    Vec3::new(angle.cos() * flat, up, angle.sin() * flat)
}
