//! Shadows on the ground for adapters that draw none: what stands high keeps the low sun from it.
//!
//! Dressing like the trees that cast them: soft, by the same sun, and never measured.

use bevy::math::Vec3;
use site::{KeepOutKind, Site};

use super::kept;
use super::light::TOWARD_SUN;
use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::Lie;
use crate::frame::SceneFrame;

/// Side of the cells in which the ground is shaded, in metres.
const CELL_M: f64 = 0.4;

/// How far the shade lies above the ground, in metres.
const LIFT_M: f64 = 0.02;

/// A shadow thickens from its edge over so many metres.
const SOFT_M: f64 = 0.7;

/// What is left of the light: cool, since only the sky gives it.
const TINT: Vec3 = Vec3::new(0.010, 0.016, 0.024);

/// The shade of houses and of the trees that stay.
pub(super) fn shape(site: &Site, lie: &Lie, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for house in &site.houses {
        let feet = house.outline_m.iter().map(|[x, y]| [*x, *y, 0.0]);
        let eaves = house.outline_m.iter().map(|[x, y]| [*x, *y, house.height_m]);
        fall(&mut shape, &hull(feet.chain(eaves).map(cast).collect()), lie, frame);
    }
    for kept in &site.keep_outs {
        if let KeepOutKind::Tree(tree) = &kept.kind {
            let crown = kept::crown_round(tree).map(cast).collect();
            fall(&mut shape, &hull(crown), lie, frame);
        }
    }
    shape
}

/// Where the shadow of a place falls that stands so many metres above level ground.
fn cast([x, y, up]: [f64; 3]) -> [f64; 2] {
    let [east, height, south] = TOWARD_SUN.to_array().map(f64::from);
    [x - up * east / height, y + up * south / height]
}

/// Shades the ground within a convex outline, counter-clockwise.
fn fall(shape: &mut Shape, outline: &[[f64; 2]], lie: &Lie, frame: SceneFrame) {
    let bound = |pick: fn(f64, f64) -> f64| {
        outline.iter().copied().reduce(|a, b| [pick(a[0], b[0]), pick(a[1], b[1])])
    };
    let (Some(low), Some(high)) = (bound(f64::min), bound(f64::max)) else { return };
    let n = [0, 1].map(|i| ((high[i] - low[i]) / CELL_M).ceil().min(400.0) as usize + 1);
    let names: Vec<Vec<Option<u32>>> = (0..=n[0])
        .map(|i| {
            (0..=n[1])
                .map(|k| {
                    let at = [low[0] + i as f64 * CELL_M, low[1] + k as f64 * CELL_M];
                    let z = lie.elevation(at)? + LIFT_M;
                    let share = (inset_m(outline, at) / SOFT_M).clamp(0.0, 1.0) as f32;
                    let at = frame.scene([at[0], at[1], z]);
                    let corner = Corner::new(at, Vec3::Y, Stuff::Ghost).tinted(TINT);
                    Some(shape.corner(corner.open(share)))
                })
                .collect()
        })
        .collect();
    for i in 0..n[0] {
        for k in 0..n[1] {
            let ring = [names[i][k], names[i + 1][k], names[i + 1][k + 1], names[i][k + 1]];
            let [Some(a), Some(b), Some(c), Some(d)] = ring else { continue };
            let reach = [0, 1].map(|side| low[side] + ([i, k][side] as f64 + 0.5) * CELL_M);
            if inset_m(outline, reach) > -CELL_M {
                shape.triangle([a, b, c]);
                shape.triangle([a, c, d]);
            }
        }
    }
}

/// How far a place lies within a convex outline; below zero outside.
fn inset_m(outline: &[[f64; 2]], at: [f64; 2]) -> f64 {
    let sides = (0..outline.len()).map(|k| {
        let (a, b) = (outline[k], outline[(k + 1) % outline.len()]);
        let run = [b[0] - a[0], b[1] - a[1]];
        let length_m = libm::hypot(run[0], run[1]).max(1e-9);
        (run[0] * (at[1] - a[1]) - run[1] * (at[0] - a[0])) / length_m
    });
    sides.fold(f64::INFINITY, f64::min)
}

/// The convex outline around places, counter-clockwise.
fn hull(mut places: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    places.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |o: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
    };
    let half = |places: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut line: Vec<[f64; 2]> = Vec::new();
        for place in places {
            while let [.., o, a] = line[..]
                && turn(o, a, place) <= 0.0
            {
                line.pop();
            }
            line.push(place);
        }
        line.pop();
        line
    };
    let mut outline = half(&mut places.iter().copied());
    outline.extend(half(&mut places.iter().rev().copied()));
    outline
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shadow_falls_away_from_the_sun_as_far_as_the_sun_is_low() {
        let [east, north] = cast([10.0, 20.0, 2.0]);
        let run_m = libm::hypot(east - 10.0, north - 20.0);
        // The sun stands 28 degrees high in the west-south-west.
        assert!((run_m - 2.0 / libm::tan(28f64.to_radians())).abs() < 0.01, "{run_m}");
        assert!(east > 10.0 && north > 20.0);
    }

    #[test]
    fn a_hull_holds_every_place_and_runs_around_them() {
        let places = vec![[0.0, 0.0], [2.0, 0.0], [1.0, 0.5], [2.0, 2.0], [0.0, 2.0]];
        let outline = hull(places.clone());
        assert_eq!(outline.len(), 4);
        assert!(places.iter().all(|place| inset_m(&outline, *place) >= 0.0));
        assert!((inset_m(&outline, [1.0, 0.5]) - 0.5).abs() < 1e-12);
        assert!(inset_m(&outline, [3.0, 1.0]) < 0.0);
    }
}
