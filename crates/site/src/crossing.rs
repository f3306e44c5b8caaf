//! Whether an outline crosses itself.

/// The first two sides of a closed outline that meet where they should not, by the numbers of the
/// points at which they begin; nothing for a simple outline.
///
/// Sides that touch count; neighbours may share their common point and no more. The answer is
/// exact. Sides are looked at from west to east, each against those whose reach in easting it
/// shares.
pub fn crossing(ring: &[[f64; 2]]) -> Option<[usize; 2]> {
    let n_sides = ring.len();
    if n_sides < 3 {
        return None;
    }
    let side = |idx: usize| (ring[idx], ring[(idx + 1) % n_sides]);
    let west = |idx: &usize| side(*idx).0[0].min(side(*idx).1[0]);
    let east = |idx: usize| side(idx).0[0].max(side(idx).1[0]);
    let mut by_west: Vec<usize> = (0..n_sides).collect();
    by_west.sort_by(|a, b| west(a).total_cmp(&west(b)).then(a.cmp(b)));
    for (rank, &a) in by_west.iter().enumerate() {
        for &b in by_west[rank + 1..].iter().take_while(|b| west(b) <= east(a)) {
            let meet = if (a + 1) % n_sides == b {
                fold_back(side(a), side(b))
            } else if (b + 1) % n_sides == a {
                fold_back(side(b), side(a))
            } else {
                cross(side(a), side(b))
            };
            if meet {
                return Some([a.min(b), a.max(b)]);
            }
        }
    }
    None
}

/// Whether no three of the places span a triangle; exact.
pub(crate) fn on_one_line(places: &[[f64; 2]]) -> bool {
    let Some(&first) = places.first() else { return true };
    let Some(&other) = places.iter().find(|place| **place != first) else { return true };
    places.iter().all(|&place| turn(first, other, place) == 0.0)
}

type Side = ([f64; 2], [f64; 2]);

/// Whether the second side turns back along the first, at whose end it begins.
fn fold_back((a, b): Side, (_, c): Side) -> bool {
    let along = (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]);
    turn(a, b, c) == 0.0 && along > 0.0
}

fn cross((a, b): Side, (c, d): Side) -> bool {
    let (to_c, to_d) = (turn(a, b, c), turn(a, b, d));
    let (to_a, to_b) = (turn(c, d, a), turn(c, d, b));
    let apart = |p: f64, q: f64| (p > 0.0 && q > 0.0) || (p < 0.0 && q < 0.0);
    if to_c == 0.0 && to_d == 0.0 {
        let overlaps = |axis: usize| {
            let (low, high) = (a[axis].min(b[axis]), a[axis].max(b[axis]));
            c[axis].max(d[axis]) >= low && c[axis].min(d[axis]) <= high
        };
        return overlaps(0) && overlaps(1);
    }
    !apart(to_c, to_d) && !apart(to_a, to_b)
}

/// Twice the signed area of a triangle, exact in sign.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let coord = |[x, y]: [f64; 2]| robust::Coord { x, y };
    robust::orient2d(coord(a), coord(b), coord(c))
}

#[cfg(test)]
mod tests {
    use super::crossing;

    #[test]
    fn simple_outlines_do_not_cross() {
        assert_eq!(crossing(&[[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]), None);
        // A point in the middle of a straight side, and a concave one.
        assert_eq!(crossing(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [1.0, 2.0], [1.0, 1.0]]), None);
    }

    #[test]
    fn crossing_touching_and_folded_outlines_do() {
        let bow = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
        assert_eq!(crossing(&bow), Some([0, 2]));
        let touching = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 0.0], [0.0, 4.0]];
        assert!(crossing(&touching).is_some());
        let folded = [[0.0, 0.0], [4.0, 0.0], [2.0, 0.0], [2.0, 2.0]];
        assert_eq!(crossing(&folded), Some([0, 1]));
    }
}
