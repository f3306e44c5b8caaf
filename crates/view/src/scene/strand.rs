//! Stones along the water: in groups of one large with its small ones, in gaps of cobbles, none alike.

use bevy::math::Vec3;

use super::seed::{Seed, patch_noise};
use super::shore::Shore;
use super::stones::{Cut, Stone};
use super::terrain::Lie;
use crate::frame::SceneFrame;

/// What stones are seated on.
#[derive(Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) finished: &'a Lie,
    pub(crate) frame: SceneFrame,
    /// Half the length of the largest stones, in metres.
    pub(crate) largest_m: f32,
}

/// Share of a stone's height that lies in the ground.
const BURIED: f32 = 0.33;

/// Seats stones along a shore, long side along the water.
pub(crate) fn line(laid: &mut Vec<Stone>, shore: &Shore, ground: Ground<'_>) {
    let n = shore.points.len();
    let mut carried = 0.0;
    let mut next = 0.1;
    for idx in 0..n.saturating_sub(usize::from(!shore.closed)) {
        let (a, b) = (shore.points[idx], shore.points[(idx + 1) % n]);
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
        let along =
            Vec3::new((b[0] - a[0]) as f32, 0.0, -(b[1] - a[1]) as f32).normalize_or(Vec3::X);
        while next < carried + length {
            let t = (next - carried) / length;
            let at = [0, 1].map(|i| a[i] + (b[i] - a[i]) * t);
            next += f64::from(Spot { at, along, ground }.fill(laid));
        }
        carried += length;
    }
}

/// A place on the shore, the water on the left of `along`.
struct Spot<'a> {
    at: [f64; 2],
    along: Vec3,
    ground: Ground<'a>,
}

impl Spot<'_> {
    /// Fills the place with what grows out of it; answers how far the next one is, in metres.
    fn fill(&self, laid: &mut Vec<Stone>) -> f32 {
        let cell = self.at.map(|c| (c * 16.0).round() as i32);
        let mut seed = Seed::of_cell(cell, 0x5E0E);
        let crowd = patch_noise(self.at, 1.3, 77);
        let largest = self.ground.largest_m;
        if crowd < 0.34 {
            self.strew(laid, &mut seed, 3, 0.14 * largest);
            return largest * seed.between(0.5, 0.9);
        }
        let share = seed.unit();
        // Few are large; the many between them are a third of their size.
        let size = largest * (0.26 + 0.30 * share + 0.55 * share.powi(6)) * (0.7 + 0.5 * crowd);
        let aside = seed.between(-0.55, 0.35) * size;
        self.seat(laid, &mut seed, [0.0, aside], size);
        if share > 0.72 {
            let small = size * seed.between(0.34, 0.52);
            let end = if seed.unit() < 0.5 { -1.0 } else { 1.0 };
            let reach = end * (size + 0.6 * small);
            self.seat(laid, &mut seed, [reach, aside - 0.7 * size], small);
        }
        self.strew(laid, &mut seed, 2, 0.12 * largest);
        size * seed.between(1.25, 1.9)
    }

    /// Pebbles about the place, some of them in the water.
    fn strew(&self, laid: &mut Vec<Stone>, seed: &mut Seed, n: usize, size: f32) {
        for _ in 0..n {
            let reach = self.ground.largest_m;
            let off = [seed.between(-0.9, 0.9) * reach, seed.between(-1.2, 0.9) * reach];
            let size = size * seed.between(0.6, 1.8);
            self.seat(laid, seed, off, size);
        }
    }

    /// One stone, so far along the shore and so far out of the water.
    fn seat(&self, laid: &mut Vec<Stone>, seed: &mut Seed, off: [f32; 2], size: f32) {
        let out = Vec3::new(-self.along.z, 0.0, self.along.x);
        let shift = self.along * off[0] + out * off[1];
        let at = [self.at[0] + f64::from(shift.x), self.at[1] - f64::from(shift.z)];
        let Some(level) = self.ground.finished.elevation(at) else { return };
        let half =
            Vec3::new(size, size * seed.between(0.45, 0.72), size * seed.between(0.62, 0.86));
        let up = half.y * (1.0 - 2.0 * BURIED);
        let place = self.ground.frame.scene([at[0], at[1], level]) + Vec3::Y * up;
        let number = (seed.unit() * 1.0e6) as usize;
        laid.push(Stone { at: place, along: self.along, half, cut: Cut::Field, number });
    }
}
