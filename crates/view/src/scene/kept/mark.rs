//! Marks painted on the ground: ink on a pale casing, in strokes of their own.

use bevy::math::Vec3;

use crate::frame::SceneFrame;
use crate::scene::shape::{Corner, Shape};
use crate::scene::stuff::Stuff;
use crate::scene::terrain::Lie;
use crate::theme::paper;

/// How a line is painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    /// Half the breadth of its ink, in metres.
    half_m: f32,
    /// Lengths painted and left out, in turn, in metres.
    pub pattern_m: &'static [f64],
}

impl Stroke {
    /// Electricity: long dashes.
    pub(super) const POWER: Self = Self::wide(&[0.70, 0.25]);
    /// Gas: a dash and a dot.
    pub(super) const GAS: Self = Self::wide(&[0.55, 0.20, 0.12, 0.20]);
    /// Drinking water: a dash and two dots.
    pub(super) const WATER: Self = Self::wide(&[0.55, 0.18, 0.12, 0.18, 0.12, 0.18]);
    /// Waste water or rain: nearly whole.
    pub(super) const SEWER: Self = Self::wide(&[1.60, 0.18]);
    /// Telephone or data: short dashes.
    pub(super) const DATA: Self = Self::wide(&[0.28, 0.22]);
    /// Nobody knows: dots.
    pub(super) const UNKNOWN: Self = Self::wide(&[0.12, 0.26]);
    /// A boundary: two long dashes and a short one.
    pub(super) const BOUNDARY: Self = Self::wide(&[0.90, 0.20, 0.90, 0.20, 0.25, 0.20]);
    /// What stands or lies there.
    pub(super) const OUTLINE: Self = Self::wide(&[1.0, 0.0]);
    /// The root zone as chosen.
    pub(super) const ROOTS: Self = Self { half_m: 0.022, pattern_m: &[0.40, 0.14] };
    /// The root zone by the published rule, where that is another.
    pub(super) const PUBLISHED: Self = Self { half_m: 0.014, pattern_m: &[0.10, 0.20] };
    /// A distance to keep.
    pub(super) const DISTANCE: Self = Self { half_m: 0.014, pattern_m: &[0.22, 0.18] };

    const fn wide(pattern_m: &'static [f64]) -> Self {
        Self { half_m: 0.035, pattern_m }
    }
}

/// Longest piece of a mark, so that it follows the ground, in metres.
const PIECE_M: f64 = 0.25;

/// Height of casing and ink above the ground, in metres.
const LIFT_M: [f32; 2] = [0.022, 0.030];

/// How far the casing stands out beyond the ink, in metres.
const CASING_M: f32 = 0.022;

/// Chord of a round mark, in metres.
const CHORD_M: f64 = 0.20;

/// What paints on one ground.
pub(super) struct Brush<'a> {
    pub shape: &'a mut Shape,
    pub lie: &'a Lie,
    pub frame: SceneFrame,
}

impl Brush<'_> {
    /// An open line.
    pub(super) fn line(&mut self, line: &[[f64; 2]], stroke: Stroke) {
        let mut left = Left { idx: 0, m: stroke.pattern_m[0] };
        for leg in line.windows(2) {
            self.leg([leg[0], leg[1]], stroke, &mut left);
        }
    }

    /// A line that runs back to its start.
    pub(super) fn closed(&mut self, outline: &[[f64; 2]], stroke: Stroke) {
        let mut line = outline.to_vec();
        line.extend(outline.first());
        self.line(&line, stroke);
    }

    /// A ring around a place.
    pub(super) fn ring(&mut self, at: [f64; 2], radius_m: f64, stroke: Stroke) {
        self.closed(&arc(at, radius_m, [0.0, std::f64::consts::TAU]), stroke);
    }

    /// Short strokes from a ring toward its middle.
    pub(super) fn ticks(&mut self, at: [f64; 2], radius_m: f64) {
        const APART_M: f64 = 0.9;
        let n = (std::f64::consts::TAU * radius_m / APART_M).ceil().max(6.0) as usize;
        let long_m = (0.22 * radius_m).min(0.30);
        for k in 0..n {
            let (s, c) = libm::sincos(std::f64::consts::TAU * k as f64 / n as f64);
            let out = |reach_m: f64| [at[0] + c * reach_m, at[1] + s * reach_m];
            let stroke = Stroke { pattern_m: &[1.0, 0.0], ..Stroke::PUBLISHED };
            self.line(&[out(radius_m - 0.05), out(radius_m - 0.05 - long_m)], stroke);
        }
    }

    /// Short strokes from an outline inward, as a plan draws a slope that rises from it.
    pub(super) fn slope_ticks(&mut self, outline: &[[f64; 2]], run_m: f64) {
        const APART_M: f64 = 0.45;
        let ring = counter_clockwise(outline);
        for k in 0..ring.len() {
            let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
            let length_m = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-9);
            let inward = [-(b[1] - a[1]) / length_m, (b[0] - a[0]) / length_m];
            let n = (length_m / APART_M).floor() as usize;
            for i in 1..n {
                let foot = [0, 1].map(|c| a[c] + (b[c] - a[c]) * i as f64 / n as f64);
                // Long and short by turns; at the ends none runs past its corner's own slope.
                let off_m = (i as f64).min((n - i) as f64) * length_m / n as f64;
                let long_m = run_m.min(off_m) * if i % 2 == 0 { 0.9 } else { 0.45 };
                let head = [0, 1].map(|c| foot[c] + inward[c] * long_m);
                let stroke = Stroke { pattern_m: &[1.0, 0.0], ..Stroke::ROOTS };
                self.line(&[foot, head], stroke);
            }
        }
    }

    /// A line at a distance all around an outline.
    pub(super) fn around(&mut self, outline: &[[f64; 2]], distance_m: f64, stroke: Stroke) {
        if distance_m > 0.0 {
            self.closed(&around(&counter_clockwise(outline), distance_m), stroke);
        }
    }

    /// A line at a distance on both sides of a line, and round its ends.
    pub(super) fn around_line(&mut self, line: &[[f64; 2]], distance_m: f64, stroke: Stroke) {
        if distance_m > 0.0 && line.len() > 1 {
            let back = line[1..line.len() - 1].iter().rev();
            let there_and_back: Vec<[f64; 2]> = line.iter().chain(back).copied().collect();
            self.closed(&around(&there_and_back, distance_m), stroke);
        }
    }

    fn leg(&mut self, [a, b]: [[f64; 2]; 2], stroke: Stroke, left: &mut Left) {
        let length_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
        let at = |s: f64| [0, 1].map(|i| a[i] + (b[i] - a[i]) * s / length_m);
        let mut from_m = 0.0;
        while length_m - from_m > 1e-6 {
            while left.m <= 1e-9 {
                left.idx = (left.idx + 1) % stroke.pattern_m.len();
                left.m = stroke.pattern_m[left.idx];
            }
            let to_m = (from_m + left.m.min(PIECE_M)).min(length_m);
            if left.idx.is_multiple_of(2) {
                self.piece([at(from_m), at(to_m)], stroke.half_m);
            }
            left.m -= to_m - from_m;
            from_m = to_m;
        }
    }

    fn piece(&mut self, ends: [[f64; 2]; 2], half_m: f32) {
        let [Some(a), Some(b)] = ends.map(|[x, y]| {
            let z = self.lie.elevation([x, y])?;
            Some(self.frame.scene([x, y, z]))
        }) else {
            return;
        };
        let way = b - a;
        let along = Vec3::new(way.x, 0.0, way.z).normalize_or(Vec3::X);
        let side = Vec3::new(along.z, 0.0, -along.x);
        let strokes = [(paper::SHEET, half_m + CASING_M), (paper::INK, half_m)];
        for ((rgb, half_m), lift_m) in strokes.into_iter().zip(LIFT_M) {
            let (side, up) = (side * half_m, Vec3::Y * lift_m);
            let names = [a - side, b - side, b + side, a + side].map(|at| {
                let corner = Corner::new(at + up, Vec3::Y, Stuff::Plain);
                self.shape.corner(corner.tinted(rgb.linear()))
            });
            self.shape.triangle([names[0], names[1], names[2]]);
            self.shape.triangle([names[0], names[2], names[3]]);
        }
    }
}

/// What is left of the part of a pattern that is being painted or left out.
struct Left {
    idx: usize,
    m: f64,
}

fn arc(at: [f64; 2], radius_m: f64, [from, to]: [f64; 2]) -> Vec<[f64; 2]> {
    let n = (((to - from) * radius_m / CHORD_M).ceil() as usize).clamp(4, 400);
    (0..=n)
        .map(|k| {
            let (s, c) = libm::sincos(from + (to - from) * k as f64 / n as f64);
            [at[0] + c * radius_m, at[1] + s * radius_m]
        })
        .collect()
}

/// The line on the right of a ring at a distance, round at its outer corners.
fn around(ring: &[[f64; 2]], distance_m: f64) -> Vec<[f64; 2]> {
    let n = ring.len();
    let angle = |k: usize| {
        let (a, b) = (ring[k % n], ring[(k + 1) % n]);
        libm::atan2(b[1] - a[1], b[0] - a[0]) - std::f64::consts::FRAC_PI_2
    };
    let mut line = Vec::new();
    for (k, &place) in ring.iter().enumerate() {
        let (before, after) = (angle(k + n - 1), angle(k));
        let turn = (after - before).rem_euclid(std::f64::consts::TAU);
        if turn <= std::f64::consts::PI + 1e-9 {
            line.extend(arc(place, distance_m, [before, before + turn]));
        } else {
            // An inner corner: where the two sides' lines cross.
            let half = 0.5 * (turn - std::f64::consts::TAU);
            let (s, c) = libm::sincos(before + half);
            let reach_m = distance_m / libm::cos(half).max(0.2);
            line.push([place[0] + c * reach_m, place[1] + s * reach_m]);
        }
    }
    line
}

fn counter_clockwise(outline: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut outline = outline.to_vec();
    if ground::curve::signed_area_m2(&outline) < 0.0 {
        outline.reverse();
    }
    outline
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distance_is_kept_all_around() {
        let square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
        let off = |p: &[f64; 2]| {
            let beyond = p.map(|c| (c - 2.0_f64).abs() - 2.0);
            libm::hypot(beyond[0].max(0.0), beyond[1].max(0.0))
        };
        let line = around(&square, 1.5);
        assert!(line.len() > 40 && line.iter().all(|p| (off(p) - 1.5).abs() < 1e-9));
        // There and back along a line: round at both ends.
        let line = around(&[[0.0, 0.0], [5.0, 0.0]], 0.5);
        let off = |p: &[f64; 2]| libm::hypot(p[0] - p[0].clamp(0.0, 5.0), p[1]);
        assert!(line.iter().all(|p| (off(p) - 0.5).abs() < 1e-9));
    }

    #[test]
    fn an_inner_corner_is_cut_where_its_sides_cross() {
        let ell = [[0.0, 0.0], [3.0, 0.0], [3.0, 1.0], [1.0, 1.0], [1.0, 3.0], [0.0, 3.0]];
        let line = around(&ell, 0.5);
        assert!(line.iter().any(|p| (p[0] - 1.5).abs() < 1e-9 && (p[1] - 1.5).abs() < 1e-9));
    }
}
