//! Laid stones: in courses up a wall, on the crest of a fall.

use bevy::math::Vec3;
use site::works::WallMaterial;

use super::seed::Seed;
use super::steps::Run;
use super::stones::{Cut, Stone};
use crate::frame::SceneFrame;

/// Lays the stones of a wall in front of one run of its steps.
pub(crate) fn lay_wall(
    laid: &mut Vec<Stone>,
    run: &Run,
    material: WallMaterial,
    frame: SceneFrame,
) {
    let bond = Bond::of(material);
    let line = Line::of_run(run);
    let tallest = line.points.iter().map(|p| p.high - p.low).fold(0.0, f64::max);
    let n_courses = (tallest / bond.height_m).ceil() as usize + 1;
    for course in 0..n_courses {
        let mut seed = Seed::of_cell([course as i32, key_of(run)], 0xBEEF);
        let mut along = -f64::from(seed.unit()) * bond.length_m[1];
        while along < line.length_m {
            let length = f64::from(seed.between(bond.length_m[0] as f32, bond.length_m[1] as f32));
            let number = 31 * key_of(run) as usize + 977 * course + (along * 100.0) as usize;
            let ease = seed.between(-0.025, 0.012);
            let middle = along + 0.5 * length;
            // A run may be shorter than both margins together.
            let margin = line.length_m.min(0.04) / 2.0;
            if let Some(at) = line.at(middle.clamp(margin, line.length_m - margin)) {
                let z = at.high + bond.crown_m - (course as f64 + 0.5) * bond.height_m
                    + f64::from(ease);
                if z > at.low - 0.35 * bond.height_m && at.high - at.low > 0.08 {
                    let half =
                        Vec3::new(0.515 * length as f32, 0.53 * bond.height_m as f32, bond.depth_m);
                    let lean = (at.lean * (at.high - z).max(0.0)) as f32;
                    let proud = bond.proud_m + seed.between(-0.03, 0.03) + lean;
                    let out = at.outward * (proud - bond.depth_m);
                    let place = frame.scene([at.plan[0], at.plan[1], z]) + out;
                    laid.push(Stone { at: place, along: at.along, half, cut: bond.cut, number });
                }
            }
            along += length;
        }
    }
}

/// Sets flat stones on the crest of a fall, water running over them.
pub(crate) fn crown_fall(laid: &mut Vec<Stone>, run: &Run, frame: SceneFrame) {
    let line = Line::of_run(run);
    let drop = line.points.iter().map(|p| p.high - p.low).fold(0.0, f64::max);
    if drop < 0.05 {
        return;
    }
    let mut seed = Seed::of_cell([key_of(run), 5], 0xFA11);
    // Shoulders stand up on both sides, and boulders rest at the foot.
    for (end, sign) in [(0.0, -1.0f32), (line.length_m, 1.0)] {
        let Some(at) = line.at(end.clamp(0.01, line.length_m - 0.01)) else { continue };
        for k in 0..3 {
            let size = seed.between(0.17, 0.30) * (1.0 + 0.4 * (drop as f32).min(1.0));
            let half = Vec3::new(size, size * seed.between(0.55, 0.8), size * 0.75);
            let z = at.high + f64::from(half.y) * 0.25 - f64::from(k) * 0.55 * drop.min(0.9);
            let out = at.along * sign * (0.75 * size + 0.05)
                + at.outward * (seed.between(-0.12, 0.10) + 0.14 * k as f32);
            let place = frame.scene([at.plan[0], at.plan[1], z]) + out;
            let number =
                7000 + 13 * key_of(run) as usize + k as usize + 50 * usize::from(sign > 0.0);
            laid.push(Stone { at: place, along: at.along, half, cut: Cut::Field, number });
        }
    }
    let mut along = 0.0;
    while along < line.length_m {
        let length = f64::from(seed.between(0.22, 0.42)).min(line.length_m - along).max(0.12);
        if let Some(at) = line.at((along + 0.5 * length).min(line.length_m - 0.01)) {
            let half = Vec3::new(0.52 * length as f32, 0.045, 0.17);
            let place = frame.scene([at.plan[0], at.plan[1], at.high - 0.025]) + at.outward * 0.02;
            let number = 9000 + key_of(run) as usize + (along * 50.0) as usize;
            laid.push(Stone { at: place, along: at.along, half, cut: Cut::Laid, number });
        }
        along += length;
    }
}

/// How a wall is laid.
struct Bond {
    height_m: f64,
    length_m: [f64; 2],
    depth_m: f32,
    proud_m: f32,
    /// How far the top course stands above the wall's top.
    crown_m: f64,
    cut: Cut,
}

impl Bond {
    fn of(material: WallMaterial) -> Self {
        match material {
            WallMaterial::Stone => Self {
                height_m: 0.16,
                length_m: [0.24, 0.52],
                depth_m: 0.16,
                proud_m: 0.05,
                crown_m: 0.01,
                cut: Cut::Laid,
            },
            WallMaterial::Block => Self {
                height_m: 0.20,
                length_m: [0.42, 0.43],
                depth_m: 0.14,
                proud_m: 0.03,
                crown_m: 0.01,
                cut: Cut::Laid,
            },
            WallMaterial::Boulder => Self {
                height_m: 0.40,
                length_m: [0.48, 0.92],
                depth_m: 0.30,
                proud_m: 0.15,
                crown_m: 0.07,
                cut: Cut::Field,
            },
        }
    }
}

struct Line {
    points: Vec<LinePoint>,
    length_m: f64,
}

#[derive(Clone, Copy)]
struct LinePoint {
    station_m: f64,
    plan: [f64; 2],
    high: f64,
    low: f64,
    lean: f64,
    along: Vec3,
    outward: Vec3,
}

impl Line {
    fn of_run(run: &Run) -> Self {
        let mut points = Vec::with_capacity(2 * run.len());
        let mut station_m = 0.0;
        for step in run {
            let outward = step.outward();
            let along = Vec3::new(outward.z, 0.0, -outward.x);
            for end in 0..2 {
                points.push(LinePoint {
                    station_m: station_m + if end == 0 { 0.0 } else { step.length_m() },
                    plan: step.ends[end],
                    high: step.high[end],
                    low: step.low[end],
                    lean: step.lean,
                    along,
                    outward,
                });
            }
            station_m += step.length_m();
        }
        Self { points, length_m: station_m }
    }

    fn at(&self, station_m: f64) -> Option<LinePoint> {
        let after = self.points.iter().position(|p| p.station_m >= station_m)?;
        let (p, q) = (self.points[after.saturating_sub(1)], self.points[after]);
        let span = q.station_m - p.station_m;
        let t = if span > 0.0 { (station_m - p.station_m) / span } else { 0.0 };
        let mix = |a: f64, b: f64| a + (b - a) * t;
        Some(LinePoint {
            station_m,
            plan: [mix(p.plan[0], q.plan[0]), mix(p.plan[1], q.plan[1])],
            high: mix(p.high, q.high),
            low: mix(p.low, q.low),
            ..q
        })
    }
}

fn key_of(run: &Run) -> i32 {
    let tag = run[0].upper;
    let [x, y] = run[0].ends[0];
    (tag.owner as i32 * 53 + (x * 4.0) as i32 * 7 + (y * 4.0) as i32).abs()
}
