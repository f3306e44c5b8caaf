//! A tree: a stem with a crown where one looks from the side, and a drawn crown in plan.
//!
//! The site knows the stem and the roots; how high and how wide the crown stands is dressing, grown
//! from the stem, and is never measured.

use std::f32::consts::TAU;

use bevy::math::Vec3;
use site::keep_out::Tree;

use super::Place;
use crate::scene::plants;
use crate::scene::seed::Seed;
use crate::scene::shape::{Corner, Shape};
use crate::scene::stuff::Stuff;
use crate::theme::{garden, paper};

/// Sides of a stem or a limb.
const N_SIDES: usize = 9;

/// Leaves on each ball of the crown.
const N_LEAVES: usize = 520;

/// Scallops around a crown in plan.
const N_SCALLOPS: usize = 13;

/// The stem with its crown.
pub(super) fn standing(tree: &Tree, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let Some(ground) = place.lie.elevation(tree.at) else { return shape };
    let foot = place.frame.scene([tree.at[0], tree.at[1], ground - 0.05]);
    let mut seed = Seed::of_cell(tree.at.map(|c| (c * 20.0) as i32), 0x7EE);
    let (radius, height) = (crown_radius(tree), height(tree));
    let fork = foot + Vec3::Y * (0.34 * height);
    let girth = 0.5 * tree.stem_m as f32;
    limb(&mut shape, [foot, fork], [girth * 1.25, girth * 0.8]);
    let middle = foot + Vec3::Y * (height - 0.9 * radius);
    let hue = Vec3::new(seed.between(0.86, 1.06), 1.0, seed.between(0.72, 0.92));
    for k in 0..11 {
        let angle = TAU * (k as f32 * 0.382 + 0.1 * seed.unit());
        let up = if k < 6 { seed.between(-0.45, 0.10) } else { seed.between(0.30, 0.85) };
        let out = if k < 6 { 0.62 } else { 0.34 } * radius;
        let at = middle + Vec3::new(angle.cos() * out, up * radius * 0.85, angle.sin() * out);
        let half = Vec3::new(1.0, 0.78, 1.0) * radius * seed.between(0.52, 0.66);
        let tint = hue * seed.between(0.74, 1.06);
        let offset = Vec3::splat(seed.between(0.0, 40.0));
        if k < 6 {
            limb(&mut shape, [fork - Vec3::Y * 0.2, at], [girth * 0.55, girth * 0.16]);
        }
        plants::blob(&mut shape, at, half * 0.92, tint * 0.50, offset, Stuff::Foliage);
        plants::foliage(&mut shape, [at, half], tint, N_LEAVES, &mut seed);
    }
    shape
}

/// The crown as a plan draws it: a scalloped line, and the stem as a disc.
pub(super) fn in_plan(tree: &Tree, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let Some(ground) = place.lie.elevation(tree.at) else { return shape };
    // Above all ground that the crown hangs over.
    let at = place.frame.scene([tree.at[0], tree.at[1], ground + 1.6]);
    let radius = crown_radius(tree);
    let n = N_SCALLOPS * 6;
    let rim: Vec<Vec3> = (0..=n)
        .map(|k| {
            let angle = TAU * k as f32 / n as f32;
            let scallop = (angle * N_SCALLOPS as f32 * 0.5).sin().abs();
            Vec3::new(angle.cos(), 0.0, -angle.sin()) * radius * (0.90 + 0.10 * scallop)
        })
        .collect();
    let half = (0.006 * radius).max(0.022);
    for pair in rim.windows(2) {
        let way = (pair[1] - pair[0]).normalize_or(Vec3::X);
        let side = Vec3::new(-way.z, 0.0, way.x) * half;
        let quad = [pair[0] + side, pair[1] + side, pair[1] - side, pair[0] - side];
        flat(&mut shape, &quad.map(|off| at + off), garden::LEAF.linear() * 0.30);
    }
    let stem = (0.5 * tree.stem_m as f32).max(0.06);
    let disc: Vec<Vec3> = (0..16)
        .map(|k| {
            let angle = TAU * k as f32 / 16.0;
            at + Vec3::new(angle.cos(), 0.0, -angle.sin()) * stem
        })
        .collect();
    flat(&mut shape, &disc, paper::INK.linear());
    shape
}

/// Places around a crown and in its middle, with heights above the ground.
pub(super) fn crown_places(tree: &Tree) -> impl Iterator<Item = [f64; 3]> {
    let (at, radius, up) = (tree.at, f64::from(crown_radius(tree)), f64::from(height(tree)));
    (0..9).map(move |k| {
        let (s, c) = libm::sincos(std::f64::consts::TAU * f64::from(k) / 8.0);
        let reach = if k == 8 { 0.0 } else { radius };
        [at[0] + c * reach, at[1] + s * reach, up - radius]
    })
}

/// Places around the top, the middle and the foot of a crown, with heights above the ground.
pub(super) fn crown_round(tree: &Tree) -> impl Iterator<Item = [f64; 3]> {
    let (at, radius) = (tree.at, f64::from(crown_radius(tree)));
    let middle = f64::from(height(tree)) - 0.9 * radius;
    let rings = [[-0.6, 0.85], [0.0, 1.05], [0.9, 0.55]];
    rings.into_iter().flat_map(move |[up, wide]| {
        (0..12).map(move |k| {
            let (s, c) = libm::sincos(std::f64::consts::TAU * f64::from(k) / 12.0);
            let reach = wide * radius;
            [at[0] + c * reach, at[1] + s * reach, middle + up * radius]
        })
    })
}

/// How high a tree of such a stem is drawn, in metres.
fn height(tree: &Tree) -> f32 {
    2.2 + 13.0 * tree.stem_m.min(0.7) as f32
}

/// How wide a crown of such a stem is drawn, in metres.
fn crown_radius(tree: &Tree) -> f32 {
    (7.5 * tree.stem_m as f32).clamp(0.9, 4.5)
}

/// A tapering round limb between two places.
fn limb(shape: &mut Shape, [from, to]: [Vec3; 2], girths: [f32; 2]) {
    let along = (to - from).normalize_or(Vec3::Y);
    let one = along.any_orthonormal_vector();
    let two = along.cross(one);
    let ring = |shape: &mut Shape, at: Vec3, girth: f32| -> Vec<u32> {
        (0..N_SIDES)
            .map(|k| {
                let angle = TAU * k as f32 / N_SIDES as f32;
                let out = one * angle.cos() + two * angle.sin();
                let corner = Corner::new(at + out * girth, out, Stuff::Mulch);
                shape.corner(corner.tinted(Vec3::new(0.86, 0.98, 1.06)).open(0.8))
            })
            .collect()
    };
    let (low, high) = (ring(shape, from, girths[0]), ring(shape, to, girths[1]));
    for k in 0..N_SIDES {
        let next = (k + 1) % N_SIDES;
        shape.triangle([low[k], low[next], high[next]]);
        shape.triangle([low[k], high[next], high[k]]);
    }
}

/// A flat convex face of paint, counter-clockwise seen from above.
fn flat(shape: &mut Shape, at: &[Vec3], tint: Vec3) {
    let corner = |at: &Vec3| Corner::new(*at, Vec3::Y, Stuff::Plain).tinted(tint);
    let names: Vec<u32> = at.iter().map(|at| shape.corner(corner(at))).collect();
    for k in 1..names.len().saturating_sub(1) {
        shape.triangle([names[0], names[k], names[k + 1]]);
    }
}
