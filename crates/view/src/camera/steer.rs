//! Steering by pointer and keys: what a drag, a wheel and a step do in each look.

use bevy::input::mouse::{AccumulatedMouseScroll, MouseScrollUnit};
use bevy::prelude::*;
use bevy_egui::input::{egui_wants_any_keyboard_input, egui_wants_any_pointer_input};
use design::Evaluation;
use site::WorkId;

use super::motion::Viewer;
use super::pick;
use crate::beside::Beside;
use crate::choice::Choice;
use crate::cut::Cut;
use crate::derive::Derived;
use crate::hand::{Click, Hand};
use crate::look::{Eye, Look};
use crate::scene::Scene;
use crate::scene::present::{Shown, Switch};
use crate::schedule::ViewSet;

/// The eye goes no farther off than this many times the garden's radius: from there nothing is seen of it.
const FARTHEST: f64 = 8.0;

/// Radians for each point that a drag moves.
const TURN_PER_POINT: f64 = 0.0055;

/// Metres a second on foot.
const WALK_MPS: f64 = 1.5;

/// A drag farther than this, in points, is no click.
const CLICK_POINTS: f32 = 4.0;

/// What the pointer holds.
#[derive(Resource, Default)]
struct Grip {
    /// The place on the ground that a drag holds.
    at: Option<[f64; 3]>,
    /// How far the drag has gone, in points.
    gone: f32,
    /// Where the pointer was last seen, in points.
    last: Vec2,
    holds: Holds,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Holds {
    #[default]
    Nothing,
    Ground,
}

/// The ground under the pointer.
#[derive(Resource, Default)]
pub(crate) struct Under {
    /// Where, in local metres.
    pub at: Option<[f64; 3]>,
    /// The same in plan; beyond the survey, where the pointer meets level ground.
    pub plan: Option<[f64; 2]>,
    /// The pointer on the screen, in points.
    pub pointer: Vec2,
    /// Whether it is over another version, where nothing is drawn and chosen: the place is then the same
    /// place of the present one.
    pub is_beside: Switch,
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Grip>();
    app.init_resource::<Under>();
    app.init_resource::<Hand>();
    app.add_systems(
        Update,
        ((
            look_under,
            grip.run_if(not(egui_wants_any_pointer_input)),
            drag,
            near.run_if(not(egui_wants_any_pointer_input)),
            walk.run_if(not(egui_wants_any_keyboard_input)),
        )
            .chain()
            .run_if(resource_exists::<Eye>),)
            .in_set(ViewSet::Input),
    );
}

fn look_under(
    window: Query<&Window>,
    viewer: Query<(&Camera, &GlobalTransform), With<Viewer>>,
    (shown, beside, hand): (Res<Shown>, Option<Res<Beside>>, Res<Hand>),
    mut under: ResMut<Under>,
) {
    let (Ok(window), Ok((camera, transform))) = (window.single(), viewer.single()) else { return };
    let Some(pointer) = window.cursor_position() else {
        (under.at, under.plan) = (None, None);
        return;
    };
    under.pointer = pointer;
    let scene = shown.scene.as_ref();
    // What the hand holds stays in its own version.
    let parting = beside.and_then(|beside| beside.parting).filter(|_| hand.held.is_none());
    let apart = parting.filter(|parting| pointer.x < parting.at).map(|parting| parting.apart);
    under.is_beside = if apart.is_some() { Switch::On } else { Switch::Off };
    let pointer = pointer + Vec2::new(apart.unwrap_or(0.0), 0.0);
    let ray = camera.viewport_to_world(transform, pointer).ok();
    under.at = scene.zip(ray).and_then(|(scene, ray)| pick::ground_hit(scene, ray));
    let level = scene.zip(ray).and_then(|(scene, ray)| pick::level_hit(scene, ray));
    under.plan = under.at.map(|[east, north, _]| [east, north]).or(level);
}

fn grip(
    buttons: Res<ButtonInput<MouseButton>>,
    under: Res<Under>,
    hand: Res<Hand>,
    mut grip: ResMut<Grip>,
) {
    let pressed = [MouseButton::Left, MouseButton::Right, MouseButton::Middle];
    // What stands at the back of the paper does not count as paper: a handle says so itself.
    if hand.over == Switch::On || hand.held.is_some() {
        return;
    }
    if buttons.any_just_pressed(pressed) {
        *grip = Grip { at: under.at, gone: 0.0, last: under.pointer, holds: Holds::Ground };
    }
}

#[allow(clippy::too_many_arguments, reason = "a system's parameters are what it reads")]
fn drag(
    buttons: Res<ButtonInput<MouseButton>>,
    window: Query<&Window>,
    shown: Res<Shown>,
    under: Res<Under>,
    derived: Res<Derived>,
    mut grip: ResMut<Grip>,
    keys: Res<ButtonInput<KeyCode>>,
    mut choice: ResMut<Choice>,
    mut cut: ResMut<Cut>,
    mut hand: ResMut<Hand>,
    mut eye: ResMut<Eye>,
) {
    let (Some(scene), Ok(window)) = (&shown.scene, window.single()) else { return };
    if grip.holds == Holds::Nothing {
        return;
    }
    let held = [MouseButton::Left, MouseButton::Right, MouseButton::Middle];
    if !buttons.any_pressed(held) {
        let clicks = buttons.just_released(MouseButton::Left) && under.is_beside == Switch::Off;
        if grip.gone < CLICK_POINTS && clicks {
            let shift = keys.any_pressed([KeyCode::ShiftLeft, KeyCode::ShiftRight]);
            let shift = if shift { Switch::On } else { Switch::Off };
            match under.at.filter(|_| cut.drawing.is_some()) {
                Some([east, north, _]) => cut.draw([east, north], shift),
                None if hand.takes_clicks() => {
                    hand.click = under.plan.map(|at| Click { at, straight: shift });
                }
                None => choose(&mut choice, scene, under.at, derived.evaluation.as_deref()),
            }
        }
        *grip = Grip::default();
        return;
    }
    // The pointer's own way, not the device's: a pen or a remote screen has no raw motion.
    let delta = under.pointer - grip.last;
    grip.last = under.pointer;
    grip.gone += delta.length();
    if delta == Vec2::ZERO || grip.gone < CLICK_POINTS {
        return;
    }
    let (dx, dy) = (f64::from(delta.x), f64::from(delta.y));
    let slides = !buttons.pressed(MouseButton::Left);
    let height = f64::from(window.height());
    match eye.look {
        Look::Plan => {
            let per_point = eye.plan.height_m / height;
            eye.plan.centre[0] -= dx * per_point;
            eye.plan.centre[1] += dy * per_point;
        }
        Look::BirdsEye if slides => {
            let pivot = grip.at.unwrap_or_else(|| scene.extent.centre());
            slide(&mut eye, pivot, [dx, dy], height);
        }
        Look::BirdsEye => {
            let pivot = grip.at.unwrap_or_else(|| scene.extent.centre());
            let (turn, tilt) = (-dx * TURN_PER_POINT, dy * TURN_PER_POINT);
            eye.birds_eye = eye.birds_eye.turned(pivot, turn, tilt);
        }
        Look::Walk => {
            eye.walk.heading += dx * TURN_PER_POINT * 0.7;
            eye.walk.dip = (eye.walk.dip - dy * TURN_PER_POINT * 0.7).clamp(-0.9, 1.2);
        }
    }
}

/// Moves the eye level so that the held place follows the pointer.
fn slide(eye: &mut Eye, pivot: [f64; 3], [dx, dy]: [f64; 2], height: f64) {
    let bird = &mut eye.birds_eye;
    let away = (0..3).map(|i| (pivot[i] - bird.at[i]).powi(2)).sum::<f64>();
    let per_point =
        libm::sqrt(away) * 2.0 * libm::tan(0.5 * f64::from(crate::look::AERIAL_FOV)) / height;
    let (s, c) = libm::sincos(bird.heading);
    let ahead = dy * per_point / libm::sin(bird.dip).max(0.25);
    bird.at[0] += -dx * per_point * s + ahead * c;
    bird.at[1] += dx * per_point * c + ahead * s;
}

fn near(
    scroll: Res<AccumulatedMouseScroll>,
    shown: Res<Shown>,
    under: Res<Under>,
    mut eye: ResMut<Eye>,
) {
    let Some(scene) = &shown.scene else { return };
    let notches = match scroll.unit {
        MouseScrollUnit::Line => scroll.delta.y,
        MouseScrollUnit::Pixel => scroll.delta.y / 60.0,
    };
    if notches == 0.0 {
        return;
    }
    let factor = libm::pow(0.86, f64::from(notches));
    match eye.look {
        Look::Plan => {
            let most = FARTHEST * scene.extent.radius_m();
            let height = (eye.plan.height_m * factor).clamp(0.5, most);
            let kept = height / eye.plan.height_m;
            if let Some(at) = under.at {
                for (centre, at) in eye.plan.centre.iter_mut().zip(at) {
                    *centre = at + (*centre - at) * kept;
                }
            }
            eye.plan.height_m = height;
        }
        Look::BirdsEye => {
            let target = under.at.unwrap_or_else(|| scene.extent.centre());
            let away = (0..3).map(|i| (eye.birds_eye.at[i] - target[i]).powi(2)).sum::<f64>();
            let away = libm::sqrt(away);
            let factor = (away * factor).clamp(1.2, FARTHEST * scene.extent.radius_m()) / away;
            eye.birds_eye.at =
                std::array::from_fn(|i| target[i] + (eye.birds_eye.at[i] - target[i]) * factor);
        }
        Look::Walk => {}
    }
}

fn walk(
    keys: Res<ButtonInput<KeyCode>>,
    time: Res<Time<Real>>,
    shown: Res<Shown>,
    hand: Option<Res<Hand>>,
    mut eye: ResMut<Eye>,
) {
    let (Some(scene), Look::Walk) = (&shown.scene, eye.look) else { return };
    let held = |one, two| f64::from(u8::from(keys.any_pressed([one, two])));
    let ahead = held(KeyCode::KeyW, KeyCode::ArrowUp) - held(KeyCode::KeyS, KeyCode::ArrowDown);
    let aside = held(KeyCode::KeyD, KeyCode::ArrowRight) - held(KeyCode::KeyA, KeyCode::ArrowLeft);
    let length = libm::hypot(ahead, aside);
    // Letters that are typed, or that call a command, move no foot.
    let types = hand.is_some_and(|hand| hand.typed.is_some());
    let longer =
        [KeyCode::ControlLeft, KeyCode::ControlRight, KeyCode::ShiftLeft, KeyCode::ShiftRight];
    if length == 0.0 || types || keys.any_pressed(longer) {
        return;
    }
    let stride = WALK_MPS * f64::from(time.delta_secs().min(0.1)) / length;
    let (s, c) = libm::sincos(eye.walk.heading);
    let way = [(ahead * c + aside * s) * stride, (ahead * s - aside * c) * stride];
    let from = eye.walk.at;
    // Where the straight way is barred, a foot slides along what bars it.
    let ways = [way, [way[0], 0.0], [0.0, way[1]]];
    let to = ways
        .into_iter()
        .map(|way| [from[0] + way[0], from[1] + way[1]])
        .find(|to| scene.can_step(from, *to));
    if let Some(to) = to {
        eye.walk.at = to;
    }
}

/// A click chooses the work whose ground or water is hit.
fn choose(
    choice: &mut Choice,
    scene: &Scene,
    at: Option<[f64; 3]>,
    evaluation: Option<&Evaluation>,
) {
    let owner = at.and_then(|at| {
        let face = scene.finished.face_at([at[0], at[1]])?;
        Some(scene.finished.surface().faces()[face as usize].tag.owner)
    });
    let known = owner.filter(|owner| *owner != 0 && evaluation.is_some());
    choice.work = known.map(WorkId);
    choice.finding = None;
}
