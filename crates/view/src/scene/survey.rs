//! What was surveyed: points as small diamonds, breaklines as fine ribbons, and what is written beside
//! them.

use bevy::math::Vec3;
use site::Site;

use super::Scene;
use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::Lie;
use crate::frame::SceneFrame;
use crate::theme::paper;

/// Marks lie so far above what they would be hidden by, metres.
const LIFT_M: f64 = 0.03;
/// Ribbons bend with the ground in pieces of this length, metres.
const PIECE_M: f64 = 0.4;
/// More points than this are drawn thinned: no two of them could be told apart.
const MOST_POINTS: usize = 20_000;

/// What is written beside a surveyed point.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SurveyWord {
    /// Where, local metres: on the drawn ground, or above it where it was surveyed higher.
    pub at: [f64; 3],
    /// Its level as surveyed, metres.
    pub level_m: f64,
    /// Its code, empty where it has none.
    pub code: String,
}

/// The marks of a survey on the ground that is drawn.
pub(crate) fn shape(scene: &Scene, site: &Site) -> Shape {
    let half = (scene.extent.radius_m() * 0.0016).clamp(0.03, 2.0) as f32;
    let mut shape = Shape::default();
    let lines = site.survey.breaklines.iter().cloned().chain(site.survey.code_lines());
    for line in lines {
        for ends in line.points_m.windows(2) {
            ribbon(&mut shape, [ends[0], ends[1]], 0.35 * half, scene);
        }
    }
    for word in scene.survey.iter() {
        let at = scene.frame.scene(word.at) + Vec3::Y * 0.01;
        diamond(&mut shape, at, 1.45 * half, paper::SHEET.linear());
        diamond(&mut shape, at + Vec3::Y * 0.008, half, paper::INK.linear());
    }
    shape
}

/// The surveyed points with what is written beside them; those that are set aside are left out.
pub(crate) fn words(scene: &Scene, site: &Site) -> Vec<SurveyWord> {
    let survey = &site.survey;
    let stride = survey.points.len() / MOST_POINTS + 1;
    let word = |at_m: [f64; 3], code: &str| SurveyWord {
        at: above(at_m, &scene.finished),
        level_m: at_m[2],
        code: code.to_owned(),
    };
    if survey.points.is_empty() {
        // Points that level notes make are the corners of the ground itself.
        let Some(existing) = &scene.existing else { return Vec::new() };
        let surface = existing.surface();
        let place = |v: &ground::LatticePoint| {
            let at = surface.lattice().metres(*v);
            existing.elevation(at).map(|z| word([at[0], at[1], z], ""))
        };
        return surface.vertices().iter().step_by(stride).filter_map(place).collect();
    }
    let kept = survey.points.iter().filter(|point| !survey.set_aside.contains(&point.name));
    kept.step_by(stride).map(|point| word(point.at_m, &point.code)).collect()
}

/// The place itself, or above the ground that hides it.
fn above(at_m: [f64; 3], drawn: &Lie) -> [f64; 3] {
    let ground = drawn.elevation([at_m[0], at_m[1]]).unwrap_or(at_m[2]);
    [at_m[0], at_m[1], at_m[2].max(ground) + LIFT_M]
}

fn ribbon(shape: &mut Shape, [a, b]: [[f64; 3]; 2], half: f32, scene: &Scene) {
    let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let n = (length / PIECE_M).ceil().max(1.0) as usize;
    let at = |k: usize| {
        let t = k as f64 / n as f64;
        above(std::array::from_fn(|i| a[i] + (b[i] - a[i]) * t), &scene.finished)
    };
    for k in 0..n {
        strip(shape, [at(k), at(k + 1)], half, scene.frame);
    }
}

fn strip(shape: &mut Shape, ends: [[f64; 3]; 2], half: f32, frame: SceneFrame) {
    let [a, b] = ends.map(|at| frame.scene(at));
    let along = (b - a).normalize_or(Vec3::X);
    let side = Vec3::new(along.z, 0.0, -along.x) * half;
    let tint = paper::MARKING.linear();
    let names = [a - side, b - side, b + side, a + side]
        .map(|at| shape.corner(Corner::new(at, Vec3::Y, Stuff::Plain).tinted(tint)));
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}

fn diamond(shape: &mut Shape, at: Vec3, half: f32, tint: Vec3) {
    let names = [Vec3::X, Vec3::NEG_Z, Vec3::NEG_X, Vec3::Z]
        .map(|way| shape.corner(Corner::new(at + way * half, Vec3::Y, Stuff::Plain).tinted(tint)));
    shape.triangle([names[0], names[1], names[2]]);
    shape.triangle([names[0], names[2], names[3]]);
}
