//! Exact answers to the two questions that topology rests on.

use crate::LatticePoint;
use std::cmp::Ordering;

/// Twice the signed area of the triangle `a`, `b`, `c`: above zero when it turns left.
///
/// Exact for every pair of places on the lattice.
#[inline]
pub fn orient(a: LatticePoint, b: LatticePoint, c: LatticePoint) -> i64 {
    let (bx, by) = (i64::from(b.x) - i64::from(a.x), i64::from(b.y) - i64::from(a.y));
    let (cx, cy) = (i64::from(c.x) - i64::from(a.x), i64::from(c.y) - i64::from(a.y));
    bx * cy - by * cx
}

/// Above zero when `d` lies inside the circle through the counter-clockwise triangle `a`, `b`, `c`;
/// zero on the circle.
///
/// Exact: differences are below 2^30, so the determinant is below 2^124.
#[inline]
pub fn in_circle(a: LatticePoint, b: LatticePoint, c: LatticePoint, d: LatticePoint) -> i128 {
    let row = |p: LatticePoint| {
        let (x, y) = (i64::from(p.x) - i64::from(d.x), i64::from(p.y) - i64::from(d.y));
        (x, y, x * x + y * y)
    };
    let (ax, ay, a2) = row(a);
    let (bx, by, b2) = row(b);
    let (cx, cy, c2) = row(c);
    i128::from(a2) * i128::from(bx * cy - by * cx) - i128::from(b2) * i128::from(ax * cy - ay * cx)
        + i128::from(c2) * i128::from(ax * by - ay * bx)
}

/// The sign of [`in_circle`]: `Greater` when `d` lies inside the circle.
///
/// Exact. The minors are whole numbers; their products are summed in floating point first, and in
/// 128 bits only when the sum is smaller than its rounding can be.
#[inline]
pub fn in_circle_sign(
    a: LatticePoint,
    b: LatticePoint,
    c: LatticePoint,
    d: LatticePoint,
) -> Ordering {
    let row = |p: LatticePoint| {
        let (x, y) = (i64::from(p.x) - i64::from(d.x), i64::from(p.y) - i64::from(d.y));
        (x, y, x * x + y * y)
    };
    let (ax, ay, a2) = row(a);
    let (bx, by, b2) = row(b);
    let (cx, cy, c2) = row(c);
    let (bc, ca, ab) = (bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx);
    let (ta, tb, tc) = (a2 as f64 * bc as f64, b2 as f64 * ca as f64, c2 as f64 * ab as f64);
    let sum = ta + tb + tc;
    // Each product carries three roundings and the sums two: 5 units of 2^-53, one to spare.
    let rounding = (ta.abs() + tb.abs() + tc.abs()) * (6.0 * f64::EPSILON / 2.0);
    if sum > rounding {
        Ordering::Greater
    } else if sum < -rounding {
        Ordering::Less
    } else {
        let exact = i128::from(a2) * i128::from(bc)
            + i128::from(b2) * i128::from(ca)
            + i128::from(c2) * i128::from(ab);
        exact.cmp(&0)
    }
}
