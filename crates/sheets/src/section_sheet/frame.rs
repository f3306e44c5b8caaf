//! Which station and level of a section stand where on its sheet.

use design::section::Section;
use units::{LengthUnit, elevation_text};

use super::SMALL;
use crate::RULE;
use crate::paper::SCALES;
use crate::svg::{Anchor, Svg, Type};

/// The drawing on the sheet: stations to the right, levels up.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    /// The scale: 1 to this, along the line.
    pub(super) scale: f64,
    /// How many times heights are drawn.
    pub(super) stretch: f64,
    /// Left, top, right and bottom of the drawing, millimetres.
    pub(super) within: [f64; 4],
    /// Where station nought and `low_m` are, millimetres.
    origin: [f64; 2],
    low_m: f64,
    high_m: f64,
}

/// Heights are stretched as little as makes them fill this share of the drawing.
const LEAST_SHARE: f64 = 0.22;

const STRETCHES: [f64; 4] = [1.0, 2.0, 4.0, 5.0];

impl Frame {
    /// The frame of a section that fits a part of the sheet.
    pub(super) fn fitting(section: &Section, within: [f64; 4]) -> Self {
        let [left, top, right, bottom] = within;
        let [low_m, high_m] = section.range_m();
        let (wide, high) = (right - left, bottom - top);
        let rise_m = (high_m - low_m).max(0.1);
        let least = (1000.0 * section.length_m / wide).max(1000.0 * rise_m / high);
        let scale = SCALES.into_iter().find(|scale| *scale >= least).unwrap_or(least.ceil());
        let tall = |stretch: f64| 1000.0 * rise_m * stretch / scale;
        let legible = |stretch: &f64| tall(*stretch) >= LEAST_SHARE * high;
        let fitting: Vec<f64> = STRETCHES.into_iter().filter(|s| tall(*s) <= high).collect();
        let stretch = fitting.iter().copied().find(legible).or(fitting.last().copied());
        let stretch = stretch.unwrap_or(1.0);
        let origin = [
            left + 0.5 * (wide - 1000.0 * section.length_m / scale),
            bottom - 0.5 * (high - tall(stretch)),
        ];
        Self { scale, stretch, within, origin, low_m, high_m }
    }

    /// A station and a level on the sheet, millimetres.
    pub(super) fn on_paper(&self, [station_m, z]: [f64; 2]) -> [f64; 2] {
        let mm = 1000.0 / self.scale;
        let [x, y] = self.origin;
        [x + mm * station_m, y - mm * self.stretch * (z - self.low_m)]
    }

    /// Stations and levels on the sheet.
    pub(super) fn places(&self, profile: &[[f64; 2]]) -> Vec<[f64; 2]> {
        profile.iter().map(|&at| self.on_paper(at)).collect()
    }

    /// Fine level lines at round elevations, with their numbers at the left.
    pub(super) fn levels(&self, svg: &mut Svg, unit: LengthUnit) {
        const ROUND: [f64; 8] = [0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0];
        /// Lines stand at least so far apart, millimetres.
        const APART_MM: f64 = 7.0;
        let apart = |every_m: f64| every_m * self.stretch * 1000.0 / self.scale;
        let intervals = ROUND.into_iter().map(|round| unit.to_metres(round));
        let Some(every_m) = intervals.into_iter().find(|m| apart(*m) >= APART_MM) else { return };
        let [left, _, right, _] = self.within;
        let first = (self.low_m / every_m).floor() as i64;
        let last = (self.high_m / every_m).ceil() as i64;
        for level_m in (first..=last).map(|k| k as f64 * every_m) {
            let y = self.on_paper([0.0, level_m])[1];
            svg.path(
                &format!("M{left} {y:.2}H{right}"),
                &format!("fill=\"none\" stroke=\"{RULE}\" stroke-width=\"0.15\""),
            );
            let how = Type { anchor: Anchor::End, size_mm: 2.4, ..SMALL };
            svg.text([left - 1.5, y + 0.9], &elevation_text(level_m, unit), how);
        }
    }
}
