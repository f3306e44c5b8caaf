//! What lies around the survey: nothing is invented there.
//!
//! Beyond an inked line the ground is a pale wash that eases from the survey's border to one level
//! and fades into haze and hedges; it stands for nothing measured and carries no number.

use std::f32::consts::TAU;

use bevy::math::Vec3;
use ground::{NONE, Surface};

use super::plants::blob;
use super::seed::{Seed, patch_noise};
use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::{Lie, corner_places};
use crate::frame::{Extent, SceneFrame};
use crate::theme::paper;

/// One stretch of the survey's border, its places in local metres.
type Stretch = [[f64; 3]; 2];

/// How far the wash reaches beyond the survey's middle, in its own radii.
const REACH: f64 = 9.0;

/// The border of a surface: edges that no second face shares, the survey on their left.
pub(crate) fn border(surface: &Surface) -> Vec<Stretch> {
    let mut border = Vec::new();
    for (idx, face) in surface.faces().iter().enumerate() {
        let places = corner_places(surface, idx as u32);
        for edge in 0..3 {
            if face.neighbours[edge] == NONE {
                border.push([places[edge], places[(edge + 1) % 3]]);
            }
        }
    }
    border
}

/// The inked line along the border, lying a finger above the ground.
pub(crate) fn border_line(border: &[Stretch], frame: SceneFrame) -> Shape {
    const HALF_M: f32 = 0.022;
    const DASH_M: f32 = 0.45;
    let mut shape = Shape::default();
    for [a, b] in border {
        let (from, to) = (frame.scene(*a), frame.scene(*b));
        let way = to - from;
        let along = way.normalize_or(Vec3::X);
        let side = Vec3::new(-along.z, 0.0, along.x).normalize_or(Vec3::X) * HALF_M;
        let n = (way.length() / (2.0 * DASH_M)).ceil().max(1.0) as usize;
        for k in 0..n {
            let start = from + way * (k as f32 / n as f32);
            let end = from + way * ((k as f32 + 0.6) / n as f32);
            let lift = Vec3::Y * 0.025;
            let corners = [start - side, start + side, end + side, end - side].map(|at| {
                Corner::new(at + lift, Vec3::Y, Stuff::Plain).tinted(paper::SECOND.linear())
            });
            let names = corners.map(|corner| shape.corner(corner));
            shape.triangle([names[0], names[1], names[2]]);
            shape.triangle([names[0], names[2], names[3]]);
        }
    }
    shape
}

/// The pale wash around the survey, with a low edge under its border.
pub(crate) fn wash(border: &[Stretch], lie: &Lie, extent: Extent, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for [a, b] in border {
        let at = |p: [f64; 3], drop: f64| frame.scene([p[0], p[1], p[2] - drop]);
        shape.quad([at(*a, 0.9), at(*b, 0.9), at(*b, 0.0), at(*a, 0.0)], Stuff::Soil);
    }
    let rings = Rings::around(extent);
    let heights = |at: [f64; 2]| wash_height(at, border, lie, extent);
    let names: Vec<Vec<u32>> = rings
        .radii
        .iter()
        .map(|radius| {
            (0..=rings.n_around)
                .map(|k| {
                    let at = rings.place(*radius, k);
                    let z = heights(at);
                    let corner =
                        Corner::new(frame.scene([at[0], at[1], z]), Vec3::Y, Stuff::Beyond);
                    shape.corner(corner)
                })
                .collect()
        })
        .collect();
    for ring in 0..names.len() - 1 {
        for k in 0..rings.n_around {
            let corners = [
                rings.place(rings.radii[ring], k),
                rings.place(rings.radii[ring], k + 1),
                rings.place(rings.radii[ring + 1], k),
                rings.place(rings.radii[ring + 1], k + 1),
            ];
            let middle = [0, 1].map(|i| corners.iter().map(|c| c[i]).sum::<f64>() / 4.0);
            let covered = corners.iter().chain([&middle]).all(|c| lie.face_at(*c).is_some());
            if covered {
                continue;
            }
            let (a, b) = (names[ring][k], names[ring][k + 1]);
            let (c, d) = (names[ring + 1][k], names[ring + 1][k + 1]);
            shape.triangle([a, c, d]);
            shape.triangle([a, d, b]);
        }
    }
    shape
}

/// Hedges and trees far out, before the sky.
pub(crate) fn horizon(extent: Extent, border: &[Stretch], lie: &Lie, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    let centre = extent.centre();
    let radius = extent.radius_m();
    for (row, (far, low, high)) in
        [(1.0, 1.5, 2.2), (1.7, 2.4, 4.0), (2.6, 4.0, 7.5)].into_iter().enumerate()
    {
        let distance = radius * 1.15 + 9.0 + radius * (far - 1.0) * 1.6 + 14.0 * (far - 1.0);
        let n = (f64::from(TAU) * distance / (1.05 + 1.1 * row as f64)) as usize;
        for k in 0..n {
            let mut seed = Seed::of_index(k, 0x4ED6E + row as u64);
            let angle = f64::from(TAU) * (k as f64 + 0.4 * f64::from(seed.unit())) / n as f64;
            let out = distance * (1.0 + 0.10 * f64::from(seed.between(-1.0, 1.0)));
            let at = [centre[0] + out * libm::cos(angle), centre[1] + out * libm::sin(angle)];
            let tall = patch_noise(at, 9.0, 31 + row as u64);
            // Gaps let the haze through.
            if patch_noise(at, 7.0, 41 + row as u64) < 0.16 {
                continue;
            }
            let height = low + (high - low) * tall;
            let ground = wash_height(at, border, lie, extent);
            let foot = frame.scene([at[0], at[1], ground + f64::from(height) * 0.36]);
            let half = Vec3::new(
                height * seed.between(0.50, 0.85),
                height * 0.66,
                height * seed.between(0.50, 0.85),
            );
            let shade = seed.between(0.72, 1.15);
            let tint = Vec3::new(shade * seed.between(0.85, 1.15), shade, shade * 0.9);
            blob(
                &mut shape,
                foot,
                half,
                tint,
                Vec3::splat(seed.between(0.0, 80.0)),
                Stuff::Foliage,
            );
        }
    }
    shape
}

/// A dome that holds everything, drawn from within.
pub(crate) fn dome(extent: Extent, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    let middle = frame.scene(extent.centre());
    let radius = (extent.radius_m() * REACH * 1.4).max(180.0) as f32;
    blob_inward(&mut shape, middle, radius);
    shape
}

fn blob_inward(shape: &mut Shape, middle: Vec3, radius: f32) {
    const AROUND: usize = 32;
    const UP: usize = 16;
    let names: Vec<Vec<u32>> = (0..=UP)
        .map(|ring| {
            let polar = std::f32::consts::PI * ring as f32 / UP as f32;
            (0..=AROUND)
                .map(|k| {
                    let round = TAU * k as f32 / AROUND as f32;
                    let way = Vec3::new(
                        polar.sin() * round.cos(),
                        polar.cos(),
                        polar.sin() * round.sin(),
                    );
                    shape.corner(Corner::new(middle + way * radius, -way, Stuff::Plain))
                })
                .collect()
        })
        .collect();
    for ring in 0..UP {
        for k in 0..AROUND {
            let (a, b) = (names[ring][k], names[ring][k + 1]);
            let (c, d) = (names[ring + 1][k], names[ring + 1][k + 1]);
            shape.triangle([a, d, b]);
            shape.triangle([a, c, d]);
        }
    }
}

struct Rings {
    centre: [f64; 3],
    radii: Vec<f64>,
    n_around: usize,
}

impl Rings {
    fn around(extent: Extent) -> Self {
        let radius = extent.radius_m().max(2.0);
        let mut radii = vec![0.0];
        let fine = (radius / 22.0).clamp(0.35, 4.0);
        let mut at = fine;
        while at < radius * 1.25 {
            radii.push(at);
            at += fine;
        }
        while at < radius * REACH {
            radii.push(at);
            at *= 1.16;
        }
        Self { centre: extent.centre(), radii, n_around: 120 }
    }

    fn place(&self, radius: f64, k: usize) -> [f64; 2] {
        let angle = f64::from(TAU) * (k % self.n_around) as f64 / self.n_around as f64;
        [self.centre[0] + radius * libm::cos(angle), self.centre[1] + radius * libm::sin(angle)]
    }
}

/// Height of the wash: just below the nearest border, easing outward to the border's mean.
fn wash_height(at: [f64; 2], border: &[Stretch], lie: &Lie, extent: Extent) -> f64 {
    if let Some(z) = lie.elevation(at) {
        return z - 1.0;
    }
    let mut nearest = (f64::INFINITY, extent.low[2]);
    let mut mean = (0.0, 0.0);
    for [a, b] in border {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length2 = d[0] * d[0] + d[1] * d[1];
        let along = ((at[0] - a[0]) * d[0] + (at[1] - a[1]) * d[1]) / length2.max(1e-12);
        let t = along.clamp(0.0, 1.0);
        let off = libm::hypot(at[0] - a[0] - d[0] * t, at[1] - a[1] - d[1] * t);
        if off < nearest.0 {
            nearest = (off, a[2] + (b[2] - a[2]) * t);
        }
        let length = libm::sqrt(length2);
        mean = (mean.0 + length * 0.5 * (a[2] + b[2]), mean.1 + length);
    }
    let level = if mean.1 > 0.0 { mean.0 / mean.1 } else { extent.low[2] };
    let ease = (nearest.0 / (1.6 * extent.radius_m() + 6.0)).min(1.0);
    let share = ease * ease * (3.0 - 2.0 * ease);
    // The wash sinks a good step below the border, so that the survey's edge reads as an edge.
    let sink = 0.45;
    // It only ever eases downward: rising, it would show through the survey's lower edges.
    nearest.1 + (level - nearest.1).min(0.0) * share - sink
}
