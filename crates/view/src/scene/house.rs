//! The house: a plain volume with a roof, and a lit window on the side that looks at the water.

use bevy::math::Vec3;
use site::House;

use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use crate::frame::SceneFrame;
use crate::theme::garden;

/// Rise over run of the roof.
const PITCH: f32 = 0.62;

/// How far the eaves stand out, in metres.
const EAVES_M: f32 = 0.40;

/// Builds a house; `toward` is the place in the scene that its window looks at, `ground` the lowest
/// ground beside it.
pub(crate) fn shape(house: &House, frame: SceneFrame, toward: Vec3, ground_m: f64) -> Shape {
    let mut shape = Shape::default();
    let outline = counter_clockwise(&house.outline_m);
    if outline.len() < 3 {
        return shape;
    }
    let base = (ground_m - 0.4).min(house.floor_m - 0.2);
    let at = |k: usize, z: f64| {
        let [x, y] = outline[k % outline.len()];
        frame.scene([x, y, z])
    };
    let eaves = house.floor_m + house.height_m;
    for k in 0..outline.len() {
        let sill = house.floor_m + 0.02;
        wall(
            &mut shape,
            [at(k, base), at(k + 1, base), at(k + 1, sill), at(k, sill)],
            Tone::Plinth,
        );
        wall(
            &mut shape,
            [at(k, sill), at(k + 1, sill), at(k + 1, eaves), at(k, eaves)],
            Tone::Plaster,
        );
    }
    let sides: Vec<[Vec3; 2]> =
        (0..outline.len()).map(|k| [at(k, house.floor_m), at(k + 1, house.floor_m)]).collect();
    if let Some(side) = side_that_looks(&sides, toward) {
        openings(&mut shape, side, house.height_m as f32);
    }
    roof(&mut shape, &outline, eaves, frame);
    shape
}

enum Tone {
    Plinth,
    Plaster,
    Timber,
    Lamp,
}

fn wall(shape: &mut Shape, at: [Vec3; 4], tone: Tone) {
    let normal = (at[1] - at[0]).cross(at[3] - at[0]).normalize_or(Vec3::Y);
    let (stuff, tint) = match tone {
        Tone::Plinth => (Stuff::Stone, Vec3::splat(0.9)),
        Tone::Plaster => (Stuff::Plain, garden::PLASTER.linear()),
        Tone::Timber => (Stuff::Plain, garden::TIMBER.linear()),
        Tone::Lamp => (Stuff::Lit, garden::LAMP.linear()),
    };
    let names = at.map(|at| shape.corner(Corner::new(at, normal, stuff).tinted(tint)));
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}

/// A wide window and a door on one side.
fn openings(shape: &mut Shape, side: [Vec3; 2], height: f32) {
    let (along, length) = {
        let way = side[1] - side[0];
        (way.normalize_or(Vec3::X), way.length())
    };
    let out = Vec3::new(-along.z, 0.0, along.x);
    let mut hole = |from: f32, to: f32, low: f32, high: f32, tone: Tone, proud: f32| {
        let at = |s: f32, z: f32| side[0] + along * s + Vec3::Y * z + out * proud;
        wall(shape, [at(from, low), at(to, low), at(to, high), at(from, high)], tone);
    };
    let width = (length * 0.34).clamp(0.8, 2.6);
    let middle = length * 0.60;
    let top = (height - 0.35).min(2.15);
    let (left, right) = (middle - width * 0.5, middle + width * 0.5);
    hole(left - 0.09, right + 0.09, 0.81, top + 0.09, Tone::Timber, 0.02);
    let pane = (width - 0.10) / 3.0;
    for k in 0..3 {
        let from = left + k as f32 * (pane + 0.05);
        hole(from, from + pane, 0.90, top, Tone::Lamp, 0.035);
    }
    if length > 4.0 {
        let door = length * 0.22;
        hole(door - 0.52, door + 0.52, 0.0, top + 0.05, Tone::Timber, 0.02);
        hole(door - 0.34, door + 0.34, 1.25, top - 0.12, Tone::Lamp, 0.035);
    }
}

fn side_that_looks(sides: &[[Vec3; 2]], toward: Vec3) -> Option<[Vec3; 2]> {
    let view = |side: &[Vec3; 2]| {
        let along = side[1] - side[0];
        let out = Vec3::new(-along.z, 0.0, along.x).normalize_or(Vec3::X);
        let way = (toward - 0.5 * (side[0] + side[1])).normalize_or(Vec3::X);
        out.dot(way) * along.length().min(6.0)
    };
    sides.iter().copied().max_by(|a, b| view(a).total_cmp(&view(b)))
}

/// A gabled roof over the rectangle around the outline, along its longest side.
fn roof(shape: &mut Shape, outline: &[[f64; 2]], eaves: f64, frame: SceneFrame) {
    let places: Vec<Vec3> = outline.iter().map(|p| frame.scene([p[0], p[1], eaves])).collect();
    let along = (0..places.len())
        .map(|k| places[(k + 1) % places.len()] - places[k])
        .max_by(|a, b| a.length().total_cmp(&b.length()))
        .unwrap_or(Vec3::X)
        .normalize_or(Vec3::X);
    let across = Vec3::new(-along.z, 0.0, along.x);
    let origin = places[0];
    let reach = |way: Vec3| {
        let spans = places.iter().map(|p| (*p - origin).dot(way));
        spans.fold((f32::INFINITY, f32::NEG_INFINITY), |(lo, hi), s| (lo.min(s), hi.max(s)))
    };
    let ((l0, l1), (w0, w1)) = (reach(along), reach(across));
    let (l0, l1, w0, w1) = (l0 - EAVES_M, l1 + EAVES_M, w0 - EAVES_M, w1 + EAVES_M);
    let rise = 0.5 * (w1 - w0) * PITCH;
    let drop = EAVES_M * PITCH;
    let at = |l: f32, w: f32, up: f32| origin + along * l + across * w + Vec3::Y * (up - drop);
    let ridge = 0.5 * (w0 + w1);
    let thick = 0.14;
    for (edge, sign) in [(w0, -1.0), (w1, 1.0)] {
        let quad = |lift: f32| {
            let side = [
                at(l0, edge, lift),
                at(l1, edge, lift),
                at(l1, ridge, rise + lift),
                at(l0, ridge, rise + lift),
            ];
            if sign < 0.0 { [side[1], side[0], side[3], side[2]] } else { side }
        };
        shape.quad(quad(thick), Stuff::Roof);
        let [a, b, c, d] = quad(0.0);
        wall(shape, [d, c, b, a], Tone::Timber);
        let (low, high) = (quad(0.0), quad(thick));
        wall(shape, [low[0], low[1], high[1], high[0]], Tone::Timber);
    }
    for (l, inset, turned) in [(l0, EAVES_M, true), (l1, -EAVES_M, false)] {
        let gable = [
            at(l + inset, w0 + EAVES_M, drop),
            at(l + inset, w1 - EAVES_M, drop),
            at(l + inset, ridge, rise),
        ];
        let edge = [
            [at(l, w0, 0.0), at(l, ridge, rise), at(l, ridge, rise + thick), at(l, w0, thick)],
            [at(l, ridge, rise), at(l, w1, 0.0), at(l, w1, thick), at(l, ridge, rise + thick)],
        ];
        for strip in edge {
            let strip = if turned { [strip[1], strip[0], strip[3], strip[2]] } else { strip };
            wall(shape, strip, Tone::Timber);
            // Seen from within the overhang too.
            wall(shape, [strip[1], strip[0], strip[3], strip[2]], Tone::Timber);
        }
        for corners in [gable, [gable[1], gable[0], gable[2]]] {
            let normal =
                (corners[1] - corners[0]).cross(corners[2] - corners[0]).normalize_or(Vec3::X);
            shape.facet(
                corners.map(|at| {
                    Corner::new(at, normal, Stuff::Plain).tinted(garden::PLASTER.linear())
                }),
            );
        }
    }
}

fn counter_clockwise(outline: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let n = outline.len();
    let twice_area: f64 = (0..n)
        .map(|k| {
            let (a, b) = (outline[k], outline[(k + 1) % n]);
            a[0] * b[1] - b[0] * a[1]
        })
        .sum();
    let mut outline = outline.to_vec();
    if twice_area < 0.0 {
        outline.reverse();
    }
    outline
}
