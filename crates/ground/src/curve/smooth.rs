//! A smooth curve through drawn points, flattened within a chord tolerance.

use super::{Closure, CurveError, along, cross, left_of, lerp, norm, sub, unit};

/// How values between the drawn points are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blend {
    /// Straight between neighbours.
    Linear,
    /// Smooth and never beyond its neighbours' values.
    Smooth,
}

/// A flattened curve: its points, and where each lies between the drawn points.
#[derive(Clone, Debug, PartialEq)]
pub struct Smoothed {
    /// The points of the curve, in metres.
    pub points: Vec<[f64; 2]>,
    /// For each point the index of the drawn point before it plus the fraction to the next.
    pub parameters: Vec<f64>,
}

/// The most chords for one drawn segment: its chords are then as fine as the eye.
const MOST_CHORDS: usize = 512;

/// The smooth curve through the drawn points, flattened so that no chord is farther than
/// `chord_tolerance_m` from it, with few chords for each drawn segment.
///
/// Between drawn points the chords' ends stand off the curve by no more than the tolerance too, so
/// that a ring holds the area of its curve. It goes through every drawn point, makes no loop or cusp between two of them and turns with them;
/// a drawn point that repeats the one before it is kept and adds no curve. One or two points are
/// returned as they are.
///
/// # Errors
/// [`CurveError::NotFinite`] and [`CurveError::Tolerance`].
///
/// # Source
/// Catmull and Rom's spline with centripetal parameters: C. Yuksel, S. Schaefer, J. Keyser,
/// "Parameterization and Applications of Catmull–Rom Curves", Computer-Aided Design 43 (2011).
pub fn smooth(
    points: &[[f64; 2]],
    closure: Closure,
    chord_tolerance_m: f64,
) -> Result<Smoothed, CurveError> {
    if let Some(point) = points.iter().position(|p| !p.iter().all(|c| c.is_finite())) {
        return Err(CurveError::NotFinite { point });
    }
    if !(chord_tolerance_m > 0.0 && chord_tolerance_m.is_finite()) {
        return Err(CurveError::Tolerance { tolerance_m: chord_tolerance_m });
    }
    let n_points = points.len();
    if n_points < 3 {
        let parameters = (0..n_points).map(|i| i as f64).collect();
        return Ok(Smoothed { points: points.to_vec(), parameters });
    }
    let mut out = Smoothed { points: Vec::new(), parameters: Vec::new() };
    for segment in 0..closure.n_segments(n_points) {
        out.points.push(points[segment]);
        out.parameters.push(segment as f64);
        let bezier = bezier_of(points, closure, segment);
        flatten(&bezier, segment as f64, chord_tolerance_m, &mut out);
    }
    if closure == Closure::Open {
        out.points.push(points[n_points - 1]);
        out.parameters.push((n_points - 1) as f64);
    }
    Ok(out)
}

/// The value at a parameter (index plus fraction), between the values at the drawn points.
///
/// Parameters before the first or after the last point of an open line take the end's value. The
/// answer is NaN when there are no values or the parameter is NaN.
///
/// # Source
/// The smooth blend: M. Steffen, "A simple method for monotonic interpolation in one dimension",
/// Astronomy and Astrophysics 239 (1990), equations 6 to 11 with unit spacing.
pub fn interpolate(values: &[f64], closure: Closure, parameter: f64, blend: Blend) -> f64 {
    let n_values = values.len();
    if n_values == 0 || !parameter.is_finite() {
        return f64::NAN;
    }
    let n = n_values as f64;
    let parameter = match closure {
        Closure::Open => parameter.clamp(0.0, n - 1.0),
        Closure::Closed => parameter - n * (parameter / n).floor(),
    };
    let before = (parameter.floor() as usize).min(n_values - 1);
    let after = match closure {
        Closure::Open => (before + 1).min(n_values - 1),
        Closure::Closed => (before + 1) % n_values,
    };
    let u = parameter - before as f64;
    let (a, b) = (values[before], values[after]);
    if u == 0.0 {
        return a;
    }
    match blend {
        Blend::Linear => a + (b - a) * u,
        Blend::Smooth => {
            let rise = b - a;
            let (s0, s1) = (steffen(values, closure, before), steffen(values, closure, after));
            a + u * (s0 + u * ((3.0 * rise - 2.0 * s0 - s1) + u * (s0 + s1 - 2.0 * rise)))
        }
    }
}

/// Slope at a value, limited so that the curve never leaves its neighbours' range.
fn steffen(values: &[f64], closure: Closure, i: usize) -> f64 {
    let n = values.len();
    let (before, after) = match closure {
        Closure::Closed => ((i + n - 1) % n, (i + 1) % n),
        Closure::Open if i == 0 => return values[1.min(n - 1)] - values[0],
        Closure::Open if i + 1 == n => return values[i] - values[i - 1],
        Closure::Open => (i - 1, i + 1),
    };
    let (s0, s1) = (values[i] - values[before], values[after] - values[i]);
    if s0 * s1 <= 0.0 {
        return 0.0;
    }
    let least = s0.abs().min(s1.abs()).min(0.25 * (s0 + s1).abs());
    2.0 * s0.signum() * least
}

/// The segment's curve as a cubic in Bézier form.
fn bezier_of(points: &[[f64; 2]], closure: Closure, segment: usize) -> [[f64; 2]; 4] {
    let n = points.len();
    let (p1, p2) = (points[segment], points[(segment + 1) % n]);
    let p0 = match closure {
        Closure::Open if segment == 0 => lerp(p1, p2, -1.0),
        _ => points[(segment + n - 1) % n],
    };
    let p3 = match closure {
        Closure::Open if segment + 2 == n => lerp(p2, p1, -1.0),
        _ => points[(segment + 2) % n],
    };
    let [d1, d2, d3] = [(p0, p1), (p1, p2), (p2, p3)].map(|(a, b)| norm(sub(b, a)).sqrt());
    [p1, handle(p0, p1, p2, d1, d2), handle(p3, p2, p1, d3, d2), p2]
}

/// The control point beside `at` on its way to `next`, `before` being the point on its other side.
fn handle(before: [f64; 2], at: [f64; 2], next: [f64; 2], d_before: f64, d: f64) -> [f64; 2] {
    if d_before == 0.0 || d == 0.0 {
        return at;
    }
    let (bb, dd) = (d_before * d_before, d * d);
    let weight = 2.0 * bb + 3.0 * d_before * d + dd;
    let below = 3.0 * d_before * (d_before + d);
    std::array::from_fn(|k| (bb * next[k] - dd * before[k] + weight * at[k]) / below)
}

/// Adds the inner points of a piece of curve, where it bends most the closest and no more than the
/// tolerance needs; its ends are the caller's.
fn flatten(bezier: &[[f64; 2]; 4], first: f64, tolerance_m: f64, out: &mut Smoothed) {
    let bends = bends(bezier);
    let fits = |n| {
        let shares: Vec<f64> = (0..=n).map(|k| share_of(&bends, k as f64 / n as f64)).collect();
        chords(bezier, &shares, tolerance_m).map(|points| (shares, points))
    };
    let Some((shares, points)) = (1..=MOST_CHORDS).find_map(fits) else { return };
    out.parameters.extend(shares[1..shares.len() - 1].iter().map(|share| first + share));
    out.points.extend(points);
}

/// Pieces of equal parameter over which the bend of a piece of curve is summed.
const N_BENDS: usize = 32;

/// The least share of the mean bend that a stretch counts for, so that none goes without points.
const LEAST_BEND: f64 = 0.25;

/// How much of a piece of curve's chords belongs before each of even parameters, from 0 to 1: chords
/// of one error stand as close as the root of the curvature.
fn bends(bezier: &[[f64; 2]; 4]) -> [f64; N_BENDS + 1] {
    let [p0, p1, p2, p3] = *bezier;
    let (a, b, c) = (sub(p1, p0), sub(p2, p1), sub(p3, p2));
    let (u, v) = (sub(b, a), sub(c, b));
    let bend: [f64; N_BENDS] = std::array::from_fn(|i| {
        let t = (i as f64 + 0.5) / N_BENDS as f64;
        let first = lerp(lerp(a, b, t), lerp(b, c, t), t);
        let speed = norm(first);
        if speed > 0.0 { (cross(first, lerp(u, v, t)).abs() / speed).sqrt() } else { 0.0 }
    });
    let mean = bend.iter().sum::<f64>() / N_BENDS as f64;
    let mut before = [0.0; N_BENDS + 1];
    for (i, bend) in bend.into_iter().enumerate() {
        // A straight piece is as good anywhere.
        before[i + 1] = before[i] + if mean > 0.0 { bend.max(LEAST_BEND * mean) } else { 1.0 };
    }
    before.map(|sum| sum / before[N_BENDS])
}

/// The parameter before which a share of the bend lies.
fn share_of(bends: &[f64; N_BENDS + 1], share: f64) -> f64 {
    let after = bends.partition_point(|bend| *bend < share).clamp(1, N_BENDS);
    let (from, to) = (bends[after - 1], bends[after]);
    ((after - 1) as f64 + (share - from) / (to - from)) / N_BENDS as f64
}

/// The inner points of a piece of curve in chords between some of its parameters; none when they are
/// too few.
///
/// ```text
///            o-------o         o  a point moved outward: with it the chords hold
///         .'           `.         the area that they had cut off
///        x               x     x  an end of the piece, which stays
/// ```
/// Chords between points of the curve would cut off area on the outside of every bend, so a pond
/// would hold too little. Each inner point is moved square to the chord of its neighbours by the area
/// that the chords at it cut off, which leaves no first-order error.
fn chords(bezier: &[[f64; 2]; 4], shares: &[f64], tolerance_m: f64) -> Option<Vec<[f64; 2]>> {
    let n = shares.len() - 1;
    let mut points: Vec<[f64; 2]> = shares.iter().map(|&s| polar(bezier, [s; 3])).collect();
    let mut moves_m2 = vec![0.0; points.len()];
    for k in 0..n {
        let part = part(bezier, [shares[k], shares[k + 1]]);
        if off_chord(&part) > tolerance_m {
            return None;
        }
        let ends = [k, k + 1];
        let is_inner = |i: &&usize| **i > 0 && **i < n;
        let n_inner = ends.iter().filter(is_inner).count() as f64;
        ends.iter().filter(is_inner).for_each(|&i| moves_m2[i] += cut_off_m2(&part) / n_inner);
    }
    let plain = points.clone();
    for i in 1..n {
        let Some(chord) = unit(plain[i - 1], plain[i + 1]) else { continue };
        let half_m = 0.5 * norm(sub(plain[i + 1], plain[i - 1]));
        let move_m = moves_m2[i] / half_m;
        if move_m.abs() > tolerance_m {
            return None;
        }
        points[i] = along(plain[i], left_of(chord), -move_m);
    }
    points.pop();
    Some(points.split_off(1))
}

/// The area between a piece of curve and its chord: above zero where the curve lies to the right of
/// the chord. Half the integral of x dy - y dx in Bézier form.
fn cut_off_m2([p0, p1, p2, p3]: &[[f64; 2]; 4]) -> f64 {
    let [a, b, c] = [p1, p2, p3].map(|p| sub(*p, *p0));
    0.15 * (cross(a, b) + cross(a, c) + 2.0 * cross(b, c))
}

/// How far a piece of curve may lie from its chord: it is a blend of chord points and at most three
/// quarters of the greater control offset.
fn off_chord([p0, p1, p2, p3]: &[[f64; 2]; 4]) -> f64 {
    0.75 * distance_to_segment(*p1, *p0, *p3).max(distance_to_segment(*p2, *p0, *p3))
}

/// The part of a piece of curve between two of its parameters.
fn part(bezier: &[[f64; 2]; 4], [from, to]: [f64; 2]) -> [[f64; 2]; 4] {
    // A control point is the curve's polar form at the ends' parameters.
    [[from; 3], [from, from, to], [from, to, to], [to; 3]].map(|shares| polar(bezier, shares))
}

/// The polar form of a cubic: de Casteljau's construction with a parameter of its own at each step.
fn polar([p0, p1, p2, p3]: &[[f64; 2]; 4], [s, t, u]: [f64; 3]) -> [f64; 2] {
    let (a, b, c) = (lerp(*p0, *p1, s), lerp(*p1, *p2, s), lerp(*p2, *p3, s));
    lerp(lerp(a, b, t), lerp(b, c, t), u)
}

fn distance_to_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    super::measure::nearest_on_segment(p, a, b).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn circle_of_drawn_points_stays_round_and_within_the_tolerance() {
        let drawn: Vec<[f64; 2]> = (0..16)
            .map(|i| {
                let (sin, cos) = libm::sincos(f64::from(i) * std::f64::consts::PI / 8.0);
                [5.0 * cos, 5.0 * sin]
            })
            .collect();
        let fine = smooth(&drawn, Closure::Closed, 1e-5).unwrap();
        for p in &fine.points {
            assert!((norm(*p) - 5.0).abs() < 0.005, "{p:?}");
        }
        let coarse = smooth(&drawn, Closure::Closed, 0.01).unwrap();
        assert!(coarse.points.len() < fine.points.len() / 4);
        for p in &fine.points {
            let nearest = super::super::Path::new(&coarse.points, Closure::Closed)
                .unwrap()
                .nearest(*p)
                .distance_m;
            assert!(nearest <= 0.01 + 1e-5, "{nearest}");
        }
    }

    /// Chords with their ends on the curve would cut off two thirds of the tolerance all along: some
    /// 0.13 m2 of this pond.
    #[test]
    fn a_ring_of_few_chords_holds_the_area_of_its_curve() {
        let drawn: Vec<[f64; 2]> = [3.0, 2.2, 3.4, 1.6, 2.8, 3.1, 2.0]
            .iter()
            .zip(0..)
            .map(|(r, i)| {
                let (sin, cos) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 7.0);
                [r * cos, r * sin]
            })
            .collect();
        let ring = |tolerance_m: f64| smooth(&drawn, Closure::Closed, tolerance_m).unwrap();
        let area = |ring: &Smoothed| crate::curve::signed_area_m2(&ring.points);
        let (coarse, fine) = (ring(0.01), ring(1e-5));
        assert!((area(&coarse) - area(&fine)).abs() < 0.005, "{} {}", area(&coarse), area(&fine));
        assert!(coarse.points.len() < 60, "{}", coarse.points.len());
        let path =
            |ring: &Smoothed| super::super::Path::new(&ring.points, Closure::Closed).unwrap();
        let (coarse_path, fine_path) = (path(&coarse), path(&fine));
        for p in &fine.points {
            assert!(coarse_path.nearest(*p).distance_m <= 0.01 + 1e-5);
        }
        for p in &coarse.points {
            assert!(fine_path.nearest(*p).distance_m <= 0.01 + 1e-5);
        }
    }

    #[test]
    fn a_curve_passes_through_its_drawn_points_at_whole_parameters() {
        let drawn = [[0.0, 0.0], [4.0, 1.0], [4.0, 1.0], [4.5, 6.0], [-2.0, 3.0]];
        for closure in [Closure::Open, Closure::Closed] {
            let curve = smooth(&drawn, closure, 0.001).unwrap();
            for (i, p) in drawn.iter().enumerate() {
                let at = curve.parameters.iter().position(|&t| t == i as f64).unwrap();
                assert_eq!(curve.points[at], *p);
            }
            assert!(curve.parameters.windows(2).all(|w| w[0] < w[1]));
        }
    }

    #[test]
    fn smooth_values_stay_between_their_neighbours_and_meet_the_drawn_ones() {
        let values = [1.0, 1.0, 3.0, 2.9, -4.0];
        for closure in [Closure::Open, Closure::Closed] {
            for step in 0..=400 {
                let t = f64::from(step) / 100.0;
                let (i, z) = (t.floor() as usize, interpolate(&values, closure, t, Blend::Smooth));
                let (a, b) = (values[i], values[(i + 1).min(4)]);
                assert!(z >= a.min(b) - 1e-12 && z <= a.max(b) + 1e-12, "{t}: {z}");
            }
        }
        assert_eq!(interpolate(&values, Closure::Closed, 4.5, Blend::Linear), -1.5);
        assert!(interpolate(&values, Closure::Open, f64::NAN, Blend::Linear).is_nan());
    }

    #[test]
    fn bad_input_is_named() {
        let line = [[0.0, 0.0], [1.0, f64::NAN], [2.0, 0.0]];
        assert_eq!(smooth(&line, Closure::Open, 0.1), Err(CurveError::NotFinite { point: 1 }));
        assert!(matches!(smooth(&[], Closure::Open, 0.0), Err(CurveError::Tolerance { .. })));
    }
}
