//! Words on a sheet, clear of each other.

use crate::svg::{Anchor, Svg, Type};
use crate::{INK, PAPER};

/// The room that names have and have taken, millimetres on the sheet.
#[derive(Debug)]
pub(crate) struct Labels {
    within: [f64; 4],
    taken: Vec<[f64; 4]>,
}

/// Width of a letter as a share of its size: a little more than most sans faces take.
const LETTER: f64 = 0.62;

/// How far a name gives way to those before it, millimetres down, nearest first.
const SHIFTS: [f64; 9] = [0.0, 4.0, -4.0, 8.0, -8.0, 12.0, -12.0, 16.0, -16.0];

impl Labels {
    /// Names within left, top, right and bottom.
    pub(crate) fn within(within: [f64; 4]) -> Self {
        Self { within, taken: Vec::new() }
    }

    /// Keeps names off a mark of some millimetres about a place.
    pub(crate) fn keep_off(&mut self, [x, y]: [f64; 2], half_mm: f64) {
        self.taken.push([x - half_mm, y - half_mm, x + half_mm, y + half_mm]);
    }

    /// Puts words in the middle of a place or as near as there is room; none where the place is not
    /// shown or has no room.
    pub(crate) fn put(&mut self, svg: &mut Svg, at: [f64; 2], words: &str, size_mm: f64) {
        let half = 0.5 * LETTER * size_mm * words.chars().count() as f64;
        let [left, top, right, bottom] = self.within;
        let is_shown = (left..=right).contains(&at[0]) && (top..=bottom).contains(&at[1]);
        if !is_shown || 2.0 * half > right - left {
            return;
        }
        let x = at[0].clamp(left + half, right - half);
        let boxed = |y: f64| [x - half, y - 0.6 * size_mm, x + half, y + 0.6 * size_mm];
        let free = |area: &[f64; 4]| {
            area[1] >= top && area[3] <= bottom && !self.taken.iter().any(|other| meet(area, other))
        };
        let found = SHIFTS.iter().map(|shift| at[1] + shift).find(|&y| free(&boxed(y)));
        if let Some(y) = found {
            self.taken.push(boxed(y));
            write(svg, [x, y], words, size_mm);
        }
    }
}

fn meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Words that stay legible on any class: ink on a rim of paper.
fn write(svg: &mut Svg, [x, y]: [f64; 2], words: &str, size_mm: f64) {
    let rim = format!(
        "paint-order=\"stroke\" stroke=\"{PAPER}\" stroke-width=\"0.9\" stroke-linejoin=\"round\""
    );
    svg.group(&rim, |svg| {
        let how = Type { size_mm, anchor: Anchor::Middle, ink: INK, weight: "bold" };
        svg.text([x, y + 0.35 * size_mm], words, how);
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_clear_of_each_other_and_within_the_plan() {
        let mut svg = Svg::sheet([100.0, 100.0], "white");
        let mut labels = Labels::within([0.0, 0.0, 100.0, 100.0]);
        for _ in 0..4 {
            labels.put(&mut svg, [2.0, 50.0], "Pond", 3.0);
        }
        labels.put(&mut svg, [-5.0, 50.0], "Beyond", 3.0);
        assert_eq!(labels.taken.len(), 4);
        for (i, area) in labels.taken.iter().enumerate() {
            assert!(area[0] >= 0.0, "{area:?}");
            assert!(labels.taken[..i].iter().all(|other| !meet(area, other)), "{labels:?}");
        }
        assert!(!svg.finish().contains("Beyond"));
    }
}
