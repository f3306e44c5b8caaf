//! The least rectangle around places: one side lies along a side of their convex hull.

/// A rectangle at any angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rectangle {
    /// Length of its long side, metres.
    pub(crate) long_m: f64,
    /// Length of its short side, metres.
    pub(crate) short_m: f64,
    /// Its corners, counter-clockwise.
    pub(crate) corners_m: [[f64; 2]; 4],
}

/// The rectangle of least area around places; none around a line or a point.
///
/// # Source
/// H. Freeman, R. Shapira, "Determining the minimum-area encasing rectangle for an arbitrary closed
/// curve", Communications of the ACM 18 (1975): a side of it is collinear with a side of the hull.
pub(crate) fn least_around(places: &[[f64; 2]]) -> Option<Rectangle> {
    let hull = hull(places);
    if hull.len() < 3 {
        return None;
    }
    let sides = (0..hull.len()).map(|i| [hull[i], hull[(i + 1) % hull.len()]]);
    let rectangles = sides.filter_map(|side| along(&hull, side));
    rectangles.min_by(|a, b| (a.long_m * a.short_m).total_cmp(&(b.long_m * b.short_m)))
}

/// The middle of the convex hull of places: of its area, its length, or its point.
pub(crate) fn middle_of_hull(places: &[[f64; 2]]) -> Option<[f64; 2]> {
    let hull = hull(places);
    let &origin = hull.first()?;
    let (mut area, mut moment) = (0.0, [0.0; 2]);
    for pair in hull.windows(2).skip(1) {
        let (a, b) = (sub(pair[0], origin), sub(pair[1], origin));
        let twice = cross(a, b);
        area += twice;
        moment = [0, 1].map(|k| moment[k] + twice * (a[k] + b[k]) / 3.0);
    }
    let extent = hull.iter().map(|&p| norm(sub(p, origin))).fold(0.0, f64::max);
    if area > 1e-9 * extent * extent {
        return Some([origin[0] + moment[0] / area, origin[1] + moment[1] / area]);
    }
    let &last = hull.iter().max_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])))?;
    Some([0, 1].map(|k| 0.5 * (origin[k] + last[k])))
}

/// The rectangle around a hull with one side along `side`.
fn along(hull: &[[f64; 2]], [a, b]: [[f64; 2]; 2]) -> Option<Rectangle> {
    let d = sub(b, a);
    let length = norm(d);
    if length == 0.0 {
        return None;
    }
    let u = [d[0] / length, d[1] / length];
    let v = [-u[1], u[0]];
    let reach = |axis: [f64; 2]| {
        let shadow = |p: &[f64; 2]| dot(sub(*p, a), axis);
        let start = [f64::INFINITY, f64::NEG_INFINITY];
        hull.iter().map(shadow).fold(start, |[low, high], s| [low.min(s), high.max(s)])
    };
    let ([u0, u1], [v0, v1]) = (reach(u), reach(v));
    let corner = |s: f64, t: f64| [a[0] + s * u[0] + t * v[0], a[1] + s * u[1] + t * v[1]];
    let (width, depth) = (u1 - u0, v1 - v0);
    (width > 0.0 && depth > 0.0).then(|| Rectangle {
        long_m: width.max(depth),
        short_m: width.min(depth),
        corners_m: [corner(u0, v0), corner(u1, v0), corner(u1, v1), corner(u0, v1)],
    })
}

/// The convex hull, counter-clockwise from the least place; without places on its sides.
fn hull(places: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut sorted = places.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let chain = |places: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for &p in places {
            while let [.., a, b] = chain[..] {
                if cross(sub(b, a), sub(p, a)) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut sorted.iter());
    hull.extend(chain(&mut sorted.iter().rev()));
    hull
}

fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn norm(a: [f64; 2]) -> f64 {
    libm::hypot(a[0], a[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_rectangle_is_its_own_least() {
        let (sin, cos) = libm::sincos(0.5);
        let turn = |[x, y]: [f64; 2]| [10.0 + x * cos - y * sin, -4.0 + x * sin + y * cos];
        let places = [[0.0, 0.0], [7.0, 0.0], [7.0, 2.0], [0.0, 2.0], [3.0, 1.0], [3.5, 2.0]];
        let found = least_around(&places.map(turn)).unwrap();
        assert!((found.long_m - 7.0).abs() < 1e-12 && (found.short_m - 2.0).abs() < 1e-12);
    }

    #[test]
    fn lines_and_points_have_no_rectangle_but_a_middle() {
        assert_eq!(least_around(&[[0.0, 0.0], [1.0, 1.0], [3.0, 3.0]]), None);
        assert_eq!(middle_of_hull(&[[0.0, 0.0], [1.0, 1.0], [3.0, 3.0]]), Some([1.5, 1.5]));
        assert_eq!(middle_of_hull(&[[2.0, 5.0]]), Some([2.0, 5.0]));
        assert_eq!(middle_of_hull(&[]), None);
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0], [1.9, 1.9]];
        assert_eq!(middle_of_hull(&square), Some([1.0, 1.0]));
    }
}
