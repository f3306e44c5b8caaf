//! Slope arrows: whither the ground falls and how steeply, as many as can be read.

use std::collections::BTreeSet;

use egui::{Align2, Painter, Pos2, Shape, Stroke, Vec2, vec2};
use units::run_per_rise_text;

use super::Desk;
use crate::hand::judge::{Fall, fall};
use crate::panels::plan::Room;
use crate::panels::words::label_on_paper;
use crate::scene::Scene;
use crate::scene::present::Switch;
use crate::theme::paper;

/// Least distance between arrows, in points.
const APART: f32 = 74.0;

/// Length of an arrow, in points.
const LONG: f32 = 26.0;

/// Places along the longer side of the ground that may carry an arrow.
const ACROSS: usize = 96;

/// Draws the arrows that find room, each with its grade where that finds room too.
pub(super) fn over_garden(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let Some(scene) = desk.shown.scene.as_ref().filter(|_| desk.layers.arrows == Switch::On) else {
        return;
    };
    let painter = painter.with_clip_rect(room.bounds);
    let mut taken = BTreeSet::new();
    for at in places(scene) {
        let Some(level_m) = scene.finished.elevation(at) else { continue };
        let here = [at[0], at[1], level_m];
        let inner = room.bounds.shrink(0.5 * LONG);
        let Some(foot) = on_screen(here).filter(|foot| inner.contains(*foot)) else { continue };
        if !takes(&mut taken, foot) {
            continue;
        }
        if let Some(fall) = fall(scene, at) {
            arrow(&painter, (here, foot), &fall, on_screen, room);
        }
    }
}

/// Places all over the ground, coarse ones first: they stay as the eye nears, and finer ones join them.
fn places(scene: &Scene) -> impl Iterator<Item = [f64; 2]> + '_ {
    let (low, high) = (scene.extent.low, scene.extent.high);
    let longest_m = (high[0] - low[0]).max(high[1] - low[1]);
    let step_m = longest_m / ACROSS as f64;
    let counts = [0, 1].map(|axis| ((high[axis] - low[axis]) / step_m) as usize + 1);
    [32, 16, 8, 4, 2, 1].into_iter().flat_map(move |stride| {
        let rows = (0..counts[1]).step_by(stride);
        rows.flat_map(move |row| {
            let columns = (0..counts[0]).step_by(stride);
            let is_new =
                move |column: &usize| stride == 32 || !(row | column).is_multiple_of(2 * stride);
            columns.filter(is_new).map(move |column| {
                [low[0] + (column as f64 + 0.5) * step_m, low[1] + (row as f64 + 0.5) * step_m]
            })
        })
    })
}

/// Takes a place on the screen unless an arrow stands too near.
fn takes(taken: &mut BTreeSet<[i32; 4]>, foot: Pos2) -> bool {
    let cell = [(foot.x / APART).floor() as i32, (foot.y / APART).floor() as i32];
    let is_near =
        |other: &[i32; 4]| (Pos2::new(other[2] as f32, other[3] as f32) - foot).length() < APART;
    let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [cell[0] + dx, cell[1] + dy]));
    let mut near = around
        .flat_map(|[x, y]| taken.range([x, y, i32::MIN, i32::MIN]..=[x, y, i32::MAX, i32::MAX]));
    if near.any(is_near) {
        return false;
    }
    taken.insert([cell[0], cell[1], foot.x as i32, foot.y as i32])
}

/// One arrow down the slope, or a ring where the ground is level.
fn arrow(
    painter: &Painter,
    (here, foot): ([f64; 3], Pos2),
    fall: &Fall,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let (ink, halo) = (paper::INK.ink(), paper::SHEET.ink());
    let Fall::Down { way, rise_per_run } = fall else {
        painter.circle(foot, 3.5, halo, Stroke::new(1.4, ink));
        return;
    };
    const STEP_M: f64 = 0.1;
    let down =
        [here[0] + way[0] * STEP_M, here[1] + way[1] * STEP_M, here[2] - rise_per_run * STEP_M];
    let Some(toward) = on_screen(down) else { return };
    let along = (toward - foot).normalized();
    if along == Vec2::ZERO {
        return;
    }
    let [tail, tip] = [foot - along * (0.5 * LONG), foot + along * (0.5 * LONG)];
    let across = vec2(-along.y, along.x);
    painter.line_segment([tail, tip], Stroke::new(4.0, halo));
    painter.line_segment([tail, tip - along * 5.0], Stroke::new(1.8, ink));
    let head = vec![tip, tip - along * 9.0 + across * 4.5, tip - along * 9.0 - across * 4.5];
    painter.add(Shape::convex_polygon(head, ink, Stroke::new(1.0, halo)));
    let words = run_per_rise_text(1.0 / rise_per_run);
    let size = painter.layout_no_wrap(words.clone(), crate::theme::text(13.0), ink).size();
    // Beside the shaft, on the side on which it does not lie over the arrow.
    let beside = foot + across * (9.0 + 0.5 * (size.x * across.x.abs() + size.y * across.y.abs()));
    let spot = egui::Rect::from_center_size(beside, size);
    if room.is_free(spot) {
        let rect = label_on_paper(painter, beside, Align2::CENTER_CENTER, &words, ink);
        room.taken.push(rect);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_keep_their_distance() {
        let mut taken = BTreeSet::new();
        let mut stood: Vec<Pos2> = Vec::new();
        for k in 0..4000 {
            let foot = Pos2::new((k * 37 % 900) as f32, (k * 91 % 700) as f32);
            if takes(&mut taken, foot) {
                assert!(stood.iter().all(|other| (*other - foot).length() >= APART), "{foot:?}");
                stood.push(foot);
            }
        }
        assert!(stood.len() > 60, "{}", stood.len());
    }

    #[test]
    fn no_place_is_asked_twice() {
        let site = crate::demo::rear_garden();
        let scene = crate::scene::scene(&site, &design::evaluate(&site)).unwrap();
        let all: Vec<[u64; 2]> = places(&scene).map(|at| at.map(f64::to_bits)).collect();
        let each: BTreeSet<[u64; 2]> = all.iter().copied().collect();
        assert_eq!(each.len(), all.len());
        assert!(all.len() > ACROSS * ACROSS / 3);
    }
}
