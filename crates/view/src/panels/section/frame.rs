//! Which station and level of a section stand where on its strip.

use design::section::{Gap, Section};
use egui::{Pos2, Rect, pos2, vec2};
use units::LengthUnit;

/// Stations to the right, levels up, in true proportion or with heights stretched by a stated amount.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// The drawing, in points.
    pub(super) rect: Rect,
    /// Where station nought and `low_m` are.
    origin: Pos2,
    low_m: f64,
    high_m: f64,
    points_per_m: f64,
    stretch: f64,
}

/// Heights are stretched as little as makes them fill this share of the drawing.
const LEAST_SHARE: f64 = 0.4;

const STRETCHES: [f64; 4] = [1.0, 2.0, 3.0, 5.0];

/// Room for words at both sides, above and below, in points.
const ASIDE: f32 = 64.0;
const BELOW: f32 = 14.0;

/// The same above, as a share of the drawing: two rows of words where it is high, one where it is low.
const ABOVE: f32 = 0.24;

impl Frame {
    pub(super) fn fitting(section: &Section, rect: Rect) -> Self {
        let [low_m, high_m] = section.range_m();
        let room = Rect::from_min_max(
            rect.min + vec2(ASIDE, ABOVE * rect.height()),
            rect.max - vec2(ASIDE, BELOW),
        );
        let (wide, high) = (f64::from(room.width().max(1.0)), f64::from(room.height().max(1.0)));
        let rise_m = (high_m - low_m).max(0.05);
        let points_per_m = (wide / section.length_m).min(high / rise_m);
        let share = |stretch: f64| rise_m * stretch * points_per_m / high;
        let fitting = STRETCHES.into_iter().filter(|stretch| share(*stretch) <= 1.0 + 1e-9);
        let fitting: Vec<f64> = fitting.collect();
        let legible = fitting.iter().copied().find(|stretch| share(*stretch) >= LEAST_SHARE);
        let stretch = legible.or(fitting.last().copied()).unwrap_or(1.0);
        let left = room.center().x - (0.5 * points_per_m * section.length_m) as f32;
        let bottom = room.center().y + (0.5 * points_per_m * stretch * rise_m) as f32;
        Self { rect, origin: pos2(left, bottom), low_m, high_m, points_per_m, stretch }
    }

    /// A station and a level on the strip.
    pub(super) fn at(&self, [station_m, z]: [f64; 2]) -> Pos2 {
        let along = self.points_per_m * station_m;
        let up = self.points_per_m * self.stretch * (z - self.low_m);
        self.origin + vec2(along as f32, -up as f32)
    }

    /// The station at a place across the strip.
    pub(super) fn station_m(&self, x: f32) -> Option<f64> {
        let station_m = f64::from(x - self.origin.x) / self.points_per_m;
        station_m.is_finite().then_some(station_m)
    }

    /// Metres of height to a point of the screen.
    pub(super) fn rise_per_point_m(&self) -> f64 {
        1.0 / (self.points_per_m * self.stretch)
    }

    /// The corners of a gap, around it.
    pub(super) fn quad(&self, gap: &Gap) -> [Pos2; 4] {
        let ([s0, s1], [[a0, a1], [b0, b1]]) = (gap.stations, gap.levels);
        [[s0, a0], [s1, a1], [s1, b1], [s0, b0]].map(|at| self.at(at))
    }

    /// Round elevations that stand a line of type apart or more.
    pub(super) fn round_levels_m(&self, unit: LengthUnit) -> Vec<f64> {
        const ROUND: [f64; 9] = [0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
        const APART: f64 = 22.0;
        let apart = |every_m: &f64| every_m * self.stretch * self.points_per_m >= APART;
        let Some(every_m) = ROUND.map(|round| unit.to_metres(round)).into_iter().find(apart) else {
            return Vec::new();
        };
        let (first, last) = (self.low_m / every_m, self.high_m / every_m);
        (first.ceil() as i64..=last.floor() as i64).map(|k| k as f64 * every_m).collect()
    }

    pub(super) fn proportion_text(&self) -> String {
        if self.stretch == 1.0 {
            "true proportion".into()
        } else {
            format!("heights drawn {} times", self.stretch)
        }
    }
}
