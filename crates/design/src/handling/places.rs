//! Places on plan: the room in an outline, middles, and ways.

use ground::curve::{self, Closure, contains};

use crate::rectangle::{least_around, middle_of_hull};
use crate::stretch::cross;

/// A rectangle within an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RoomOnPlan {
    pub(super) long_m: f64,
    pub(super) short_m: f64,
    pub(super) middle_m: [f64; 2],
}

/// The greatest rectangle within an outline that has the middle, the direction and the proportions
/// of the least one around it: the outline itself where that is a rectangle.
pub(super) fn room(outline_m: &[[f64; 2]]) -> Option<RoomOnPlan> {
    let around = least_around(outline_m)?;
    let [a, _, c, _] = around.corners_m;
    let middle_m = [0, 1].map(|k| 0.5 * (a[k] + c[k]));
    let scaled = |share: f64| {
        around.corners_m.map(|p| [0, 1].map(|k| middle_m[k] + share * (p[k] - middle_m[k])))
    };
    let fits = |share: f64| lies_within(&scaled(share), outline_m);
    let share = if fits(1.0 - WITHIN) { 1.0 } else { greatest_share(fits)? };
    Some(RoomOnPlan { long_m: share * around.long_m, short_m: share * around.short_m, middle_m })
}

/// The middle of an outline.
pub(super) fn middle(outline_m: &[[f64; 2]]) -> [f64; 2] {
    middle_of_hull(outline_m).unwrap_or([f64::NAN; 2])
}

/// Length of a line on plan, metres.
pub(super) fn length_m(line_m: &[[f64; 2]]) -> f64 {
    curve::length_m(line_m, Closure::Open)
}

/// The place half-way along a line on plan; none of a line without places.
pub(super) fn half_way(line_m: &[[f64; 2]]) -> Option<[f64; 2]> {
    let mut left_m = 0.5 * length_m(line_m);
    for pair in line_m.windows(2) {
        let run_m = apart_m(pair[0], pair[1]);
        if run_m > 0.0 && run_m >= left_m {
            let share = left_m / run_m;
            return Some([0, 1].map(|k| pair[0][k] + share * (pair[1][k] - pair[0][k])));
        }
        left_m -= run_m;
    }
    line_m.last().copied()
}

/// Distance on plan, metres.
pub(super) fn apart_m(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}

/// A rectangle that touches its outline may lie this share within it.
const WITHIN: f64 = 1e-9;

/// Halvings of the share: to a billionth.
const HALVINGS: usize = 30;

/// The greatest share that fits, where every smaller one does; none where nearly nothing fits.
fn greatest_share(fits: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if fits(middle) { low = middle } else { high = middle }
    }
    (low > 0.0).then_some(low)
}

fn lies_within(corners_m: &[[f64; 2]; 4], outline_m: &[[f64; 2]]) -> bool {
    let sides = (0..4).map(|i| [corners_m[i], corners_m[(i + 1) % 4]]);
    let n = outline_m.len();
    let edges = || (0..n).map(|i| [outline_m[i], outline_m[(i + 1) % n]]);
    corners_m.iter().all(|&corner| contains(outline_m, corner))
        && sides.into_iter().all(|side| edges().all(|edge| !cross(side, edge)))
        && !outline_m.iter().any(|&place| contains(corners_m, place))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_rectangle_is_its_own_room() {
        let (sin, cos) = libm::sincos(0.4);
        let turn = |[x, y]: [f64; 2]| [3.0 + x * cos - y * sin, 1.0 + x * sin + y * cos];
        let room = room(&[[0.0, 0.0], [5.0, 0.0], [5.0, 3.0], [0.0, 3.0]].map(turn)).unwrap();
        assert!((room.long_m - 5.0).abs() < 1e-9 && (room.short_m - 3.0).abs() < 1e-9);
        let middle = turn([2.5, 1.5]);
        assert!(apart_m(room.middle_m, middle) < 1e-9);
    }

    /// Around a right triangle of 4 by 4 lies a rectangle along its long side, 4√2 by 2√2; about its
    /// middle, half-way up, a rectangle of half its size touches both short sides.
    #[test]
    fn in_a_triangle_the_room_is_smaller() {
        let room = room(&[[0.0, 0.0], [4.0, 0.0], [0.0, 4.0]]).unwrap();
        let area_m2 = room.long_m * room.short_m;
        assert!(area_m2 > 1.0 && area_m2 < 8.0, "{room:?}");
    }

    #[test]
    fn half_way_counts_the_length() {
        assert_eq!(half_way(&[[0.0, 0.0], [4.0, 0.0], [4.0, 2.0]]), Some([3.0, 0.0]));
        assert_eq!(half_way(&[[1.0, 2.0]]), Some([1.0, 2.0]));
        assert_eq!(half_way(&[]), None);
    }

    #[test]
    fn a_line_has_no_room() {
        assert_eq!(room(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), None);
    }
}
