//! Straight stretches on plan.

/// A straight stretch between two places, local metres.
pub(crate) type Stretch = [[f64; 2]; 2];

/// Whether two stretches cross; touching is no crossing.
pub(crate) fn cross([a, b]: Stretch, [c, d]: Stretch) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Distance of a place from a stretch, metres.
pub(crate) fn to_stretch_m(p: [f64; 2], [a, b]: Stretch) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let squared = d[0] * d[0] + d[1] * d[1];
    let along = (p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1];
    let share = if squared > 0.0 { (along / squared).clamp(0.0, 1.0) } else { 0.0 };
    libm::hypot(p[0] - a[0] - share * d[0], p[1] - a[1] - share * d[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_cross_within_and_touch_at_ends() {
        let level = [[0.0, 0.0], [4.0, 0.0]];
        assert!(cross(level, [[1.0, -1.0], [2.0, 1.0]]));
        assert!(!cross(level, [[1.0, 0.0], [2.0, 1.0]]));
        assert!(!cross(level, [[5.0, -1.0], [5.0, 1.0]]));
    }

    #[test]
    fn the_nearest_place_is_within_or_an_end() {
        let level = [[0.0, 0.0], [4.0, 0.0]];
        assert_eq!(to_stretch_m([1.0, 2.0], level), 2.0);
        assert_eq!(to_stretch_m([7.0, 4.0], level), 5.0);
        assert_eq!(to_stretch_m([3.0, 4.0], [[0.0; 2]; 2]), 5.0);
    }
}
