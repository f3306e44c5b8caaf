//! What is written over the garden itself: pins, the plan's words, the level at the pointer.

use bevy::prelude::{Camera, GlobalTransform};
use egui::{Align2, Context, pos2, vec2};

use super::{Answers, Desk, beside, falls, flowing, freed, hand, hill, rounds, section, survey};
use crate::look::{Eye, Look};
use crate::panels::{grid, pins, plan, words};
use crate::scene::present::Switch;
use crate::scene::{Scene, Stage};
use crate::theme;

/// Writes over the garden.
pub(super) fn over_garden(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    eye: &Eye,
    (camera, transform): (&Camera, &GlobalTransform),
    answers: &mut Answers,
) {
    let Some(scene) = &desk.shown.scene else { return };
    let unit = desk.document.site().frame.unit;
    let on_screen = |local: [f64; 3]| {
        let at = camera.world_to_viewport(transform, scene.frame.scene(local)).ok()?;
        Some(pos2(at.x, at.y) / desk.page.scale)
    };
    let Some(lay) = desk.lay() else { return };
    let bounds = lay.garden();
    let mut painter = ctx.layer_painter(egui::LayerId::background());
    if desk.beside.shown == Switch::On {
        // What is written over the present version is not of the other one.
        painter.shrink_clip_rect(bounds.with_max_y(ctx.content_rect().bottom()));
    }
    let sight = hand::Sight { on_screen: &on_screen, bounds };
    let mut room = plan::Room::within(bounds);
    room.taken = hand::rooms(desk, &sight);
    // Findings are of the finished plan: before it, and while the job runs, they would stand over nothing.
    // A hand that draws clicks on the ground, not on what stands over it.
    let draws = desk.hand.is_busy() || desk.cut.drawing.is_some();
    let squares = (eye.look == Look::Plan && desk.layers.grid == Switch::On)
        .then(|| squares(ctx, desk, eye, &on_screen))
        .flatten();
    if let Some(squares) = &squares {
        grid::rule(&painter, squares, ctx.content_rect());
    }
    let is_planned = scene.stage != Stage::Before && desk.play.shown == Switch::Off;
    let reads = is_planned && !draws && !freed::is_shown(desk);
    let judged = desk.derived.evaluation.as_ref().filter(|_| reads);
    if let Some(evaluation) = judged {
        // Who stands in the garden sees no place behind a bank.
        let from = scene.frame.local(transform.translation());
        let pins: Vec<pins::Pin> = evaluation
            .findings
            .iter()
            .enumerate()
            .filter(|(_, found)| eye.look != Look::Walk || is_in_sight(scene, from, found.at_m))
            .filter_map(|(finding, found)| Some(pins::Pin { finding, at: on_screen(found.at_m)? }))
            .filter(|pin| bounds.expand(4.0).contains(pin.at))
            .collect();
        let flags = pins::flags(&painter, evaluation, &pins, desk.choice.finding, unit, &room);
        room.taken.extend(flags.iter().map(|flag| flag.rect));
        answers.finding = pins::pins_ui(ctx, evaluation, &flags).or(answers.finding);
    }
    section::over_garden(ctx, desk, &on_screen, bounds, answers);
    flowing::over_garden(&painter, desk, &on_screen, &mut room);
    hill::over_garden(&painter, desk, &on_screen, &mut room);
    freed::over_garden(&painter, desk, &on_screen, (bounds, &mut room));
    survey::over_garden(&painter, desk, &on_screen, &mut room);
    if eye.look == Look::Plan {
        let points_per_m = ctx.content_rect().height() / eye.plan.height_m as f32;
        let foot = bounds.left_bottom() + vec2(0.0, -40.0);
        room.taken.push(plan::north(&painter, foot + vec2(16.0, 8.0)));
        room.taken.push(plan::scale(&painter, foot + vec2(104.0, 20.0), 120.0, points_per_m, unit));
        if let Some(squares) = &squares {
            room.taken.push(grid::tell(&painter, squares, foot + vec2(176.0, 14.0)));
        }
        let sheet = plan::PlanSheet::of(desk.document.site(), scene, points_per_m, &on_screen);
        let sheet = sheet.with_kept(scene, desk.layers.keep_outs, &on_screen);
        sheet.paint(&painter, &mut room);
    } else if desk.layers.keep_outs == Switch::On {
        let words = plan::kept_words(scene, &on_screen);
        plan::write(&painter, &words, theme::paper::INK.ink(), &mut room);
    }
    if desk.hand.held.is_none() {
        falls::over_garden(&painter, desk, &on_screen, &mut room);
    }
    rounds::over_garden(&painter, desk, &on_screen, &mut room);
    hand::over_garden(ctx, desk, &sight, answers);
    if desk.hand.is_busy() {
        return;
    }
    if let Some(at) = desk.under.at.filter(|_| !ctx.is_pointer_over_egui()) {
        let level = units::elevation_text(at[2], unit);
        if desk.under.is_beside == Switch::On {
            return beside::tell(ctx, desk, at, &level);
        }
        let before = scene.existing.as_ref().and_then(|lie| lie.elevation([at[0], at[1]]));
        let words = match before.map(|before| at[2] - before) {
            Some(rise) if rise > 0.01 => {
                format!("{level}, fill {}", units::length_text(rise, unit))
            }
            Some(rise) if rise < -0.01 => {
                format!("{level}, cut {}", units::length_text(-rise, unit))
            }
            _ => level,
        };
        let pointer = desk.under.pointer / desk.page.scale;
        let pointer = pos2(pointer.x + 16.0, pointer.y + 14.0);
        words::label_on_paper(&painter, pointer, Align2::LEFT_TOP, &words, theme::paper::INK.ink());
    }
}

/// Squared paper over the plan as it lies on the screen.
fn squares(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    eye: &Eye,
    on_screen: &dyn Fn([f64; 3]) -> Option<egui::Pos2>,
) -> Option<grid::Grid> {
    let points_per_m = ctx.content_rect().height() / eye.plan.height_m as f32;
    let [east, north] = eye.plan.centre;
    let height_m = desk.shown.scene.as_ref()?.extent.high[2];
    // From a place that is surely seen: far from it, single precision tells no places apart.
    let seen = on_screen([east, north, height_m])?;
    let origin = seen + vec2(-east as f32, north as f32) * points_per_m;
    Some(grid::Grid { origin, points_per_m, unit: desk.document.site().frame.unit })
}

/// Whether nothing of the ground stands between the eye and a place.
fn is_in_sight(scene: &Scene, from: [f64; 3], at: [f64; 3]) -> bool {
    const STRIDE_M: f64 = 0.15;
    const HAIR_M: f64 = 0.03;
    let way: [f64; 3] = std::array::from_fn(|i| from[i] - at[i]);
    let n = (libm::hypot(way[0], way[1]) / STRIDE_M).ceil().clamp(1.0, 2000.0) as usize;
    (1..n).all(|k| {
        let t = k as f64 / n as f64;
        let place: [f64; 3] = std::array::from_fn(|i| at[i] + way[i] * t);
        let ground = scene.finished.elevation([place[0], place[1]]);
        ground.is_none_or(|ground| ground < place[2] + HAIR_M)
    })
}
