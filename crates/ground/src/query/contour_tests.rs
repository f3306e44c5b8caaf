//! Contours against closed forms, on shelves, through vertices and over steps.

use super::*;
use crate::query::{region, sample};

fn shoelace_m2(ring: &[[f64; 2]]) -> f64 {
    let n = ring.len();
    (0..n)
        .map(|i| (ring[i], ring[(i + 1) % n]))
        .map(|(p, q)| p[0] * q[1] - p[1] * q[0])
        .sum::<f64>()
        / 2.0
}

fn length_m(line: &Contour) -> f64 {
    let closing = if line.closed { line.points.first() } else { None };
    let points = line.points.iter().chain(closing).collect::<Vec<_>>();
    points.windows(2).map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])).sum()
}

#[test]
fn a_cone_has_one_ring_a_level() {
    let hill = sample::cone(64, 3.0, 0.0, 1.0);
    for line in contour_set(&hill, &[0.25, 0.5, 0.75]) {
        assert!(line.closed);
        // Similar to the rim's polygon, whose area is 32 r2 sin(2 pi / 64).
        let radius = 3.0 * (1.0 - line.z);
        let area = 32.0 * radius * radius * libm::sin(std::f64::consts::TAU / 64.0);
        assert!(
            (shoelace_m2(&line.points) - area).abs() < 1e-4 * area,
            "higher ground on the left"
        );
    }
    assert!(contours(&hill, 1.0).is_empty(), "a summit that touches the level has no contour");
    assert!(contours(&hill, 1.5).is_empty());
    assert!(contours(&hill, f64::NAN).is_empty());
    assert!(contours(&hill, 0.0).is_empty(), "all ground stands at or above the rim's level");
}

#[test]
fn a_pit_turns_the_other_way() {
    let line = &contours(&sample::cone(12, 2.0, 0.0, -1.0), -0.5)[0];
    assert!(line.closed && shoelace_m2(&line.points) < 0.0);
}

#[test]
fn a_plane_has_open_lines_from_border_to_border() {
    let surface = sample::grid([5, 5], 1.0, |[x, _]| x);
    for z in [0.5, 1.0, 2.0, 2.3, 4.999] {
        let lines = contours(&surface, z);
        assert_eq!(lines.len(), 1, "at {z}");
        assert!(!lines[0].closed);
        assert!(lines[0].points.iter().all(|p| (p[0] - z).abs() < 1e-12));
        assert!((length_m(&lines[0]) - 5.0).abs() < 1e-12);
        let (first, last) = (lines[0].points[0], lines[0].points[lines[0].points.len() - 1]);
        assert_eq!((first[1], last[1]), (5.0, 0.0), "east, the higher side, lies on the left");
    }
}

#[test]
fn a_level_shelf_is_bounded_once() {
    // Rises to a shelf at 1 from x = 1 to x = 2, then on to 2 at x = 3.
    let z = |x: f64| x.min(1.0) + (x - 2.0).max(0.0);
    let strip = |x: f64| {
        vec![[x, 0.0, z(x)], [x + 1.0, 0.0, z(x + 1.0)], [x + 1.0, 2.0, z(x + 1.0)], [x, 2.0, z(x)]]
    };
    let lines = contours(&sample::patches(&[strip(0.0), strip(1.0), strip(2.0)]), 1.0);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].points, [[1.0, 2.0], [1.0, 0.0]]);
    // A shelf in a pit: its contour is its lower, inner rim.
    let pit = sample::grid([6, 6], 1.0, |[x, y]| {
        let out = (x - 3.0).abs().max((y - 3.0).abs());
        if out <= 1.0 { -1.0 } else { (out - 2.0).max(0.0) }
    });
    let lines = contours(&pit, 0.0);
    assert_eq!(lines.len(), 1);
    assert!(lines[0].closed);
}

#[test]
fn a_ridge_at_the_level_has_no_contour() {
    let roof = sample::grid([4, 2], 1.0, |[x, _]| -(x - 2.0).abs());
    assert!(contours(&roof, 0.0).is_empty());
    let valley = sample::grid([4, 2], 1.0, |[x, _]| (x - 2.0).abs());
    assert!(contours(&valley, 0.0).is_empty(), "no ground lies below");
}

#[test]
fn a_saddle_at_the_level_keeps_its_lines_apart() {
    let saddle = sample::grid([4, 4], 1.0, |[x, y]| (x - 2.0) * (y - 2.0));
    let lines = contours(&saddle, 0.0);
    assert_eq!(lines.len(), 2);
    assert!(lines.iter().all(|line| !line.closed && (length_m(line) - 4.0).abs() < 1e-12));
}

#[test]
fn a_step_is_followed_along_its_foot() {
    let lines = contours(&sample::terrace(), 0.5);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].points, [[2.0, 2.0], [2.0, 1.0], [2.0, 0.0]]);
}

#[test]
fn a_contour_runs_along_a_step_between_its_two_crossings() {
    // Ground that rises north, its eastern half 0.5 higher: the contour jogs along the step.
    let strip = |x: f64, lift: f64| {
        vec![[x, 0.0, lift], [x + 1.0, 0.0, lift], [x + 1.0, 2.0, 2.0 + lift], [x, 2.0, 2.0 + lift]]
    };
    let surface = sample::patches(&[strip(0.0, 0.0), strip(1.0, 0.5)]);
    let lines = contours(&surface, 1.0);
    assert_eq!(lines.len(), 1);
    assert!((length_m(&lines[0]) - 2.5).abs() < 1e-12);
    assert!(lines[0].points.contains(&[1.0, 1.0]) && lines[0].points.contains(&[1.0, 0.5]));
}

#[test]
fn rings_of_a_level_agree_with_its_region() {
    let bumps = |[x, y]: [f64; 2]| libm::sin(1.3 * x) * libm::cos(1.7 * y) + 0.05 * x;
    let surface = sample::grid([20, 20], 0.5, bumps);
    for z in [-0.8, -0.25, 0.0, 0.31, 1.2] {
        let above = region(&surface, |f| surface.corner_heights(f).map(|corner| corner - z));
        let rings = above.rings.iter().map(|ring| shoelace_m2(ring)).sum::<f64>();
        assert!((rings - above.area_m2).abs() < 1e-9, "at {z}");
        let below = region(&surface, |f| surface.corner_heights(f).map(|corner| z - corner));
        assert!((above.area_m2 + below.area_m2 - 100.0).abs() < 1e-9);
        let lines = contours(&surface, z);
        let drawn = lines.iter().map(length_m).sum::<f64>();
        assert!(drawn > 0.0);
        for line in &lines {
            let ends = [line.points[0], line.points[line.points.len() - 1]];
            let on_border = |p: [f64; 2]| p.iter().any(|&c| c == 0.0 || c == 10.0);
            assert!(line.closed || ends.into_iter().all(on_border));
        }
    }
}

#[test]
fn levels_are_whole_multiples() {
    assert_eq!(contour_levels([0.12, 0.5], 0.1).unwrap(), [2.0 * 0.1, 3.0 * 0.1, 0.4, 0.5]);
    assert_eq!(contour_levels([-1.0, 1.0], 1.0).unwrap(), [-1.0, 0.0, 1.0]);
    assert!(contour_levels([0.3, 0.4], 1.0).unwrap().is_empty());
    assert_eq!(contour_levels([0.0, 1.0], 0.0), Err(ContourError::Interval(0.0)));
    assert!(matches!(contour_levels([0.0, f64::NAN], 1.0), Err(ContourError::Range { .. })));
    assert!(matches!(contour_levels([0.0, 1e9], 1e-6), Err(ContourError::TooMany { .. })));
}
