//! How ponds go round: the way and speed of their water as arrows, and crosses where it stands.

use std::collections::BTreeSet;

use design::Rounds;
use egui::{Align2, Painter, Pos2, Shape, Stroke, Vec2, vec2};

use super::Desk;
use crate::panels::plan::Room;
use crate::panels::words::label_on_paper;
use crate::scene::present::Switch;
use crate::theme::paper;

/// Least distance between marks, in points.
const APART: f32 = 24.0;

/// Length of the arrow of the fastest water, and of the slowest that has one, in points.
const LONG: f32 = 24.0;
const SHORT: f32 = 7.0;

/// Half of a cross, in points.
const CROSS: f32 = 4.0;

/// Draws the water of every pond, and says what the marks mean.
pub(super) fn over_garden(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let Some(scene) = desk.shown.scene.as_ref().filter(|_| desk.layers.rounds == Switch::On) else {
        return;
    };
    let painter = painter.with_clip_rect(room.bounds);
    let mut said = Vec::new();
    for pond in scene.rounds.iter() {
        match &pond.rounds {
            Ok(rounds) => {
                pond_marks(&painter, rounds, on_screen, room.bounds);
                said.push(words(rounds));
            }
            Err(why) => said.push(format!("How a pond goes round is not known: {why}.")),
        }
    }
    if said.is_empty() {
        said.push("No pump draws from a pond yet.".into());
    }
    let mut foot = room.bounds.center_bottom() - vec2(0.0, 14.0);
    for words in said.iter().rev() {
        let ink = paper::INK.ink();
        let rect = label_on_paper(&painter, foot, Align2::CENTER_BOTTOM, words, ink);
        foot.y = rect.top() - 4.0;
        room.taken.push(rect);
    }
}

/// What the marks of a pond say.
fn words(rounds: &Rounds) -> String {
    let turnover_h = rounds.circulation.turnover_s() / 3600.0;
    let stands = match rounds.dead.first() {
        None => "all of it is renewed in time".to_owned(),
        Some(_) => {
            let share = (100.0 * rounds.dead_share()).round().max(1.0);
            format!("crosses: {share} % of it stands")
        }
    };
    format!(
        "Arrows: the pond's water goes round, once in {turnover_h:.1} hours; {stands}. Without wind, an \
         estimate."
    )
}

fn pond_marks(
    painter: &Painter,
    rounds: &Rounds,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    bounds: egui::Rect,
) {
    let dead: BTreeSet<usize> =
        rounds.dead.iter().flat_map(|corner| corner.cells.iter().copied()).collect();
    let speed = |way: [f64; 2]| (way[0] * way[0] + way[1] * way[1]).sqrt();
    let cells = rounds.circulation.cells.iter();
    let fastest = cells.flatten().map(|water| speed(water.velocity_m_s)).fold(1e-9, f64::max);
    let mut stood: Vec<Pos2> = Vec::new();
    for (cell, water) in rounds.circulation.cells.iter().enumerate() {
        let Some(water) = water else { continue };
        let at = rounds.local_m(rounds.circulation.middle_m(cell));
        let here = [at[0], at[1], rounds.level_m];
        let Some(foot) = on_screen(here).filter(|foot| bounds.contains(*foot)) else { continue };
        if stood.iter().any(|other| (*other - foot).length() < APART) {
            continue;
        }
        stood.push(foot);
        if dead.contains(&cell) {
            cross(painter, foot);
            continue;
        }
        let way = water.velocity_m_s;
        let share = (speed(way) / fastest).sqrt();
        let step = 0.1 / speed(way).max(1e-12);
        let ahead = [here[0] + step * way[0], here[1] + step * way[1], here[2]];
        if let Some(toward) = on_screen(ahead) {
            let long = SHORT + (LONG - SHORT) * share as f32;
            arrow(painter, foot, (toward - foot).normalized() * long);
        }
    }
}

fn cross(painter: &Painter, at: Pos2) {
    for (width, ink) in [(4.5, paper::SHEET.ink()), (1.8, paper::INK.ink())] {
        for arm in [vec2(CROSS, CROSS), vec2(CROSS, -CROSS)] {
            painter.line_segment([at - arm, at + arm], Stroke::new(width, ink));
        }
    }
}

fn arrow(painter: &Painter, middle: Pos2, along: Vec2) {
    if along == Vec2::ZERO {
        return;
    }
    let (ink, halo) = (paper::INK.ink(), paper::SHEET.ink());
    let [tail, tip] = [middle - 0.5 * along, middle + 0.5 * along];
    let way = along.normalized();
    let across = vec2(-way.y, way.x);
    painter.line_segment([tail, tip], Stroke::new(3.5, halo));
    painter.line_segment([tail, tip - way * 3.0], Stroke::new(1.5, ink));
    let head = vec![tip, tip - way * 6.5 + across * 3.2, tip - way * 6.5 - across * 3.2];
    painter.add(Shape::convex_polygon(head, ink, Stroke::new(0.8, halo)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_tell_whether_water_stands() {
        let mut site = crate::demo::rear_garden();
        let told = |site: &site::Site| {
            let scene = crate::scene::scene(site, &design::evaluate(site)).unwrap();
            words(scene.rounds[0].rounds.as_ref().unwrap())
        };
        assert!(told(&site).contains("crosses: 28 % of it stands"), "{}", told(&site));
        site.limits.dead_turnovers = 100.0;
        assert!(told(&site).contains("renewed in time"), "{}", told(&site));
    }
}
