//! Exact answers to the two questions that topology rests on.

use crate::LatticePoint;

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
