//! A heap of earth in the place drawn for it: as steep as it stands, and as high as it may.

use bevy::math::Vec3;
use site::Stockpile;
use site::earth::Heaped;

use super::Place;
use crate::scene::seed::patch_noise;
use crate::scene::shape::{Corner, Shape};
use crate::scene::stuff::Stuff;

/// Most cells across a heap.
const MOST_ACROSS: f64 = 60.0;

/// Smallest cell, in metres.
const CELL_M: f64 = 0.16;

/// The heap that fills its place: from the outline up at its slope, to its greatest height.
pub(super) fn shape(pile: &Stockpile, place: &Place<'_>) -> Shape {
    let mut shape = Shape::default();
    let outline = &pile.outline_m;
    let (Some(low), Some(high)) = (bound(outline, f64::min), bound(outline, f64::max)) else {
        return shape;
    };
    let longest_m = (high[0] - low[0]).max(high[1] - low[1]);
    let cell_m = (longest_m / MOST_ACROSS).max(CELL_M);
    let n = [0, 1].map(|i| ((high[i] - low[i]) / cell_m).ceil() as usize + 1);
    let tint = match pile.holds {
        Heaped::Topsoil => Vec3::new(0.74, 0.68, 0.62),
        Heaped::Subsoil => Vec3::new(1.50, 1.28, 0.98),
    };
    let at = |i: usize, k: usize| [low[0] + i as f64 * cell_m, low[1] + k as f64 * cell_m];
    let top = |p: [f64; 2]| -> Option<[f64; 3]> {
        let lumps = 0.05 * f64::from(patch_noise(p, 0.35, 0x4EA9) - 0.5);
        let rise = height_m(pile, p);
        let lumpy = if rise > 0.0 { (rise + lumps).max(0.01) } else { -0.04 };
        Some([p[0], p[1], place.lie.elevation(p)? + lumpy])
    };
    for i in 0..n[0] {
        for k in 0..n[1] {
            let ring = [at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1)];
            if ring.iter().all(|p| height_m(pile, *p) <= 0.0) {
                continue;
            }
            let Some(corners) = ring.iter().map(|p| top(*p)).collect::<Option<Vec<_>>>() else {
                continue;
            };
            let names: Vec<u32> = corners
                .iter()
                .map(|p| {
                    let normal = normal(pile, [p[0], p[1]], 0.5 * cell_m);
                    let corner = Corner::new(place.frame.scene(*p), normal, Stuff::Soil);
                    shape.corner(corner.tinted(tint))
                })
                .collect();
            shape.triangle([names[0], names[1], names[2]]);
            shape.triangle([names[0], names[2], names[3]]);
        }
    }
    shape
}

/// Height of a filled heap above the ground at a place; zero outside its outline.
fn height_m(pile: &Stockpile, at: [f64; 2]) -> f64 {
    let outline = &pile.outline_m;
    if !ground::curve::contains(outline, at) {
        return 0.0;
    }
    let sides = (0..outline.len()).map(|k| {
        let (a, b) = (outline[k], outline[(k + 1) % outline.len()]);
        let (run, off) = ([b[0] - a[0], b[1] - a[1]], [at[0] - a[0], at[1] - a[1]]);
        let square = (run[0] * run[0] + run[1] * run[1]).max(1e-12);
        let t = ((off[0] * run[0] + off[1] * run[1]) / square).clamp(0.0, 1.0);
        libm::hypot(off[0] - t * run[0], off[1] - t * run[1])
    });
    let inset_m = sides.fold(f64::INFINITY, f64::min);
    (inset_m / pile.run_per_rise.max(0.1)).min(pile.height_m)
}

fn normal(pile: &Stockpile, at: [f64; 2], e: f64) -> Vec3 {
    let rise = |i: usize| {
        let (mut ahead, mut behind) = (at, at);
        ahead[i] += e;
        behind[i] -= e;
        ((height_m(pile, ahead) - height_m(pile, behind)) / (2.0 * e)) as f32
    };
    Vec3::new(-rise(0), 1.0, rise(1)).normalize_or(Vec3::Y)
}

fn bound(outline: &[[f64; 2]], pick: fn(f64, f64) -> f64) -> Option<[f64; 2]> {
    outline.iter().copied().reduce(|a, b| [pick(a[0], b[0]), pick(a[1], b[1])])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heap_rises_at_its_slope_and_no_higher_than_it_may() {
        let pile = Stockpile {
            name: "Heap".into(),
            holds: Heaped::Topsoil,
            outline_m: vec![[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]],
            run_per_rise: 1.5,
            height_m: 1.2,
        };
        assert_eq!(height_m(&pile, [-0.1, 2.0]), 0.0);
        assert!((height_m(&pile, [3.0, 0.9]) - 0.6).abs() < 1e-12);
        assert!((height_m(&pile, [3.0, 2.0]) - 1.2).abs() < 1e-12);
    }
}
