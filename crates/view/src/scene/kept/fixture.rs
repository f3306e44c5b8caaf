//! Drains and gates.

use bevy::math::Vec3;
use site::keep_out::{Drain, Gate};

use super::Place;
use crate::scene::shape::{Corner, Shape};
use crate::scene::stuff::Stuff;
use crate::theme::garden;

/// Half the side of a drain's grate, in metres.
const GRATE_M: f32 = 0.15;

/// Bars of a grate.
const N_BARS: usize = 5;

/// Half the side and the height of a gate's post, in metres.
const POST_M: [f32; 2] = [0.05, 1.15];

/// How far the fence is drawn on beyond a gate's posts, in metres.
const FENCE_M: f32 = 0.9;

/// A square grate level with the ground.
pub(super) fn drain(drain: &Drain, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let Some(ground) = place.lie.elevation(drain.at) else { return shape };
    let at = place.frame.scene([drain.at[0], drain.at[1], ground]);
    let iron = garden::IRON.linear();
    let (half, across) = (Vec3::X * GRATE_M, Vec3::Z * GRATE_M);
    slab(&mut shape, at, [half, across, Vec3::Y * 0.008], iron * 0.25);
    for k in 0..N_BARS {
        let off = 2.0 * (k as f32 + 0.5) / N_BARS as f32 - 1.0;
        slab(&mut shape, at + half * off, [half * 0.09, across, Vec3::Y * 0.016], iron);
    }
    for side in [-1.0, 1.0] {
        slab(&mut shape, at + across * side, [half, across * 0.12, Vec3::Y * 0.018], iron);
        slab(&mut shape, at + half * side, [half * 0.12, across, Vec3::Y * 0.018], iron);
    }
    shape
}

/// Two posts with a little of the fence that they stand in: what is open between them shows.
pub(super) fn gate(gate: &Gate, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let [Some(from), Some(to)] = [gate.from, gate.to].map(|[x, y]| {
        let z = place.lie.elevation([x, y])?;
        Some(place.frame.scene([x, y, z]))
    }) else {
        return shape;
    };
    let along = Vec3::new(to.x - from.x, 0.0, to.z - from.z).normalize_or(Vec3::X);
    let across = Vec3::new(-along.z, 0.0, along.x);
    let timber = garden::TIMBER.linear();
    for (foot, out) in [(from, -along), (to, along)] {
        let [half, high] = POST_M;
        let post = [along * half, across * half, Vec3::Y * (0.5 * high + 0.1)];
        slab(&mut shape, foot + Vec3::Y * (0.5 * high - 0.1), post, timber);
        for rail in [0.40, 0.85] {
            let middle = foot + out * (0.5 * FENCE_M) + Vec3::Y * rail;
            let half = [along * (0.5 * FENCE_M), across * 0.02, Vec3::Y * 0.045];
            slab(&mut shape, middle, half, timber * 1.2);
        }
        let end = [along * 0.035, across * 0.035, Vec3::Y * 0.5];
        slab(&mut shape, foot + out * FENCE_M + Vec3::Y * 0.45, end, timber);
    }
    shape
}

/// A block around a middle, by its half sides: two level ones, and up.
fn slab(shape: &mut Shape, middle: Vec3, [one, two, up]: [Vec3; 3], tint: Vec3) {
    // The sides turn counter-clockwise seen from above.
    let two = if one.cross(two).y > 0.0 { two } else { -two };
    let corner = |a: f32, b: f32, c: f32| middle + one * a + two * b + up * c;
    let ring = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    face(shape, ring.map(|(a, b)| corner(a, b, 1.0)), tint);
    for k in 0..4 {
        let ((a, b), (c, d)) = (ring[k], ring[(k + 1) % 4]);
        let at = [corner(a, b, -1.0), corner(c, d, -1.0), corner(c, d, 1.0), corner(a, b, 1.0)];
        face(shape, at, tint);
    }
}

fn face(shape: &mut Shape, at: [Vec3; 4], tint: Vec3) {
    let normal = (at[1] - at[0]).cross(at[3] - at[0]).normalize_or(Vec3::Y);
    let names = at.map(|at| shape.corner(Corner::new(at, normal, Stuff::Plain).tinted(tint)));
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}
