//! Cut hatched and fill stippled, so that both read without colour.

use design::section::{Gap, Section};
use egui::{Color32, Painter, Stroke, pos2};

use super::frame::Frame;
use crate::theme::{Rgb, paper};

/// Between the lines of the hatching, and between the dots of the stippling, in points.
const APART: f32 = 6.0;

pub(super) fn moved(painter: &Painter, section: &Section, frame: &Frame) {
    for gap in &section.gaps {
        let is_cut = gap.area_m2() < 0.0;
        let Rgb(r, g, b) = if is_cut { paper::CUT } else { paper::FILL }.rgb();
        let wash = Color32::from_rgba_unmultiplied(r, g, b, 36);
        super::fill(painter, gap, frame, wash);
        if is_cut { hatched(painter, gap, frame) } else { stippled(painter, gap, frame) }
    }
}

/// The top and the bottom of a gap on the strip, at both ends.
fn sides(gap: &Gap, frame: &Frame) -> ([f32; 2], [f32; 2], [f32; 2]) {
    let [a0, a1, b1, b0] = frame.quad(gap);
    let (top, bottom) = ([a0.y.min(b0.y), a1.y.min(b1.y)], [a0.y.max(b0.y), a1.y.max(b1.y)]);
    ([a0.x, a1.x], top, bottom)
}

/// Lines that rise to the right; each goes on from gap to gap, since all are counted from one place.
fn hatched(painter: &Painter, gap: &Gap, frame: &Frame) {
    let (x, top, bottom) = sides(gap, frame);
    let ink = Stroke::new(0.8, paper::CUT.ink());
    // A line holds x + y: the places of the gap have it between these.
    let low = (x[0] + top[0]).min(x[1] + top[1]).min(x[0] + bottom[0]).min(x[1] + bottom[1]);
    let high = (x[0] + top[0]).max(x[1] + top[1]).max(x[0] + bottom[0]).max(x[1] + bottom[1]);
    let (first, last) = ((low / APART).ceil() as i32, (high / APART).floor() as i32);
    for sum in (first..=last).map(|k| k as f32 * APART) {
        // Below the top and above the bottom: each side of the gap holds on one part of the line.
        let mut span = x;
        for (side, sign) in [(top, 1.0), (bottom, -1.0)] {
            let off = [0, 1].map(|end| sign * (sum - x[end] - side[end]));
            span = held(span, x, off);
        }
        if span[1] > span[0] {
            painter.line_segment([0, 1].map(|end| pos2(span[end], sum - span[end])), ink);
        }
    }
}

/// The part of a span on which what is `off` at the ends of `x` is not below zero.
fn held(span: [f32; 2], x: [f32; 2], off: [f32; 2]) -> [f32; 2] {
    let zero = || x[0] + off[0] / (off[0] - off[1]) * (x[1] - x[0]);
    match (off[0] >= 0.0, off[1] >= 0.0) {
        (true, true) => span,
        (true, false) => [span[0], span[1].min(zero())],
        (false, true) => [span[0].max(zero()), span[1]],
        (false, false) => [span[1], span[0]],
    }
}

/// Dots in rows, every other one shifted.
fn stippled(painter: &Painter, gap: &Gap, frame: &Frame) {
    let (x, top, bottom) = sides(gap, frame);
    let ink = paper::FILL.ink();
    let (first, last) = ((x[0] / APART).ceil() as i32, (x[1] / APART).ceil() as i32);
    for column in first..last {
        let at = column as f32 * APART;
        let share = (at - x[0]) / (x[1] - x[0]);
        let [up, down] = [top, bottom].map(|side| side[0] + share * (side[1] - side[0]));
        let shift = if column % 2 == 0 { 0.0 } else { 0.5 * APART };
        let first = ((up - shift) / APART).ceil() as i32;
        let last = ((down - shift) / APART).floor() as i32;
        for row in first..=last {
            painter.circle_filled(pos2(at, row as f32 * APART + shift), 0.8, ink);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_held_where_its_side_lets_it() {
        let (span, x) = ([0.0, 4.0], [0.0, 4.0]);
        assert_eq!(held(span, x, [1.0, 3.0]), span);
        assert_eq!(held(span, x, [1.0, -3.0]), [0.0, 1.0]);
        assert_eq!(held(span, x, [-1.0, 1.0]), [2.0, 4.0]);
        let [from, to] = held(span, x, [-1.0, -1.0]);
        assert!(from > to);
    }
}
