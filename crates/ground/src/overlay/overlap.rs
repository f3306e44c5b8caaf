//! The exact shape of the part of the plan that two triangles share.
//!
//! ```text
//!            b2
//!           /  \
//!    a2----x----x---a1      pieces of the shared outline run along edges of a or of b; they turn
//!      \  /      \ /        at corners of either and where an edge of a crosses one of b
//!       \/        x
//!       b0-------/-b1
//!         \     /
//!           a0
//! ```
//! Every decision is taken in whole numbers, so that the two triangles at an edge always agree on
//! what touches it.

use crate::LatticePoint;

/// Stands where a piece does not run along an edge of that triangle.
pub(crate) const NO_EDGE: u8 = 3;

/// Where the outline of the shared part turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turn {
    /// At a corner of `a` that is no corner of `b`.
    A(u8),
    /// At a corner of `b`.
    B(u8),
    /// Where an edge of `a` crosses an edge of `b`, inside both.
    Cross(u8, u8),
}

/// One straight, directed piece of the shared outline, the shared part on its left.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Piece {
    /// The edge of `a` that it runs along, or [`NO_EDGE`].
    pub(crate) a_edge: u8,
    /// The edge of `b` that it runs along, or [`NO_EDGE`].
    pub(crate) b_edge: u8,
    /// Where it starts.
    pub(crate) start: Turn,
    /// Where it ends.
    pub(crate) end: Turn,
}

/// The outline of the part of the plan that two triangles share; its pieces are in no order.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Overlap {
    pieces: [Piece; 6],
    n_pieces: usize,
    /// Twice the area that each edge of `a` spans with each corner of `b`, signed.
    pub(crate) b_sides: [[i64; 3]; 3],
    /// Twice the area that each edge of `b` spans with each corner of `a`, signed.
    pub(crate) a_sides: [[i64; 3]; 3],
}

/// What two counter-clockwise triangles share, when that has an area.
pub(crate) fn overlap(a: [LatticePoint; 3], b: [LatticePoint; 3]) -> Option<Overlap> {
    let mut shared = Overlap::NONE;
    shared.find(a, b).then_some(shared)
}

impl Overlap {
    /// No outline yet.
    pub(crate) const NONE: Self =
        Self { pieces: [BLANK; 6], n_pieces: 0, b_sides: [[0; 3]; 3], a_sides: [[0; 3]; 3] };

    /// Becomes what two counter-clockwise triangles share; false when that has no area.
    pub(crate) fn find(&mut self, a: [LatticePoint; 3], b: [LatticePoint; 3]) -> bool {
        self.take_sides(a, b);
        let Some(b_at) = against(&self.b_sides) else { return false };
        let Some(a_at) = against(&self.a_sides) else { return false };
        self.n_pieces = 0;
        for k in each(entering(&b_at)) {
            let along = lowest(b_at[k].on & b_at[next(k)].on);
            let Some([enter, exit]) = clip(&self.b_sides, k, &b_at) else { continue };
            let turn = |bound: Bound, own: usize| match bound {
                Bound::Own => Turn::B(own as u8),
                Bound::Corner(c) => Turn::A(c),
                Bound::Edge(e) if along == NO_EDGE => Turn::Cross(e, k as u8),
                Bound::Edge(e) => Turn::A(corner_between(e as usize, along as usize)),
            };
            let (start, end) = (turn(enter, k), turn(exit, next(k)));
            self.push(Piece { a_edge: along, b_edge: k as u8, start, end });
        }
        for e in each(entering(&a_at)) {
            if a_at[e].on & a_at[next(e)].on != 0 {
                continue;
            }
            let Some([enter, exit]) = clip(&self.a_sides, e, &a_at) else { continue };
            let turn = |bound: Bound, own: usize| match bound {
                Bound::Own => own_corner(a_at[own], own),
                Bound::Corner(c) => Turn::B(c),
                Bound::Edge(k) => Turn::Cross(e as u8, k),
            };
            let (start, end) = (turn(enter, e), turn(exit, next(e)));
            self.push(Piece { a_edge: e as u8, b_edge: NO_EDGE, start, end });
        }
        true
    }

    /// How far along an edge of `b` an edge of `a` crosses it.
    #[inline]
    pub(crate) fn crossing_share(&self, a_edge: usize, b_edge: usize) -> f64 {
        let sides = &self.b_sides[a_edge];
        share(sides[b_edge].abs(), sides[next(b_edge)].abs())
    }

    /// The pieces of the outline.
    pub(crate) fn pieces(&self) -> &[Piece] {
        &self.pieces[..self.n_pieces]
    }

    /// The pieces in counter-clockwise order, each starting where the one before ends.
    #[inline]
    pub(crate) fn order(&self) -> [u8; 6] {
        let mut order = [0, 1, 2, 3, 4, 5];
        for i in 1..self.n_pieces {
            let end = self.pieces[order[i - 1] as usize].end;
            let following = |&j: &usize| self.pieces[order[j] as usize].start == end;
            if let Some(j) = (i..self.n_pieces).find(following) {
                order.swap(i, j);
            }
        }
        order
    }

    /// Finds on which side of each edge of the one each corner of the other lies.
    ///
    /// With places told from the first corner of `a`, every side is a sum of at most three of ten
    /// products; these are below 2^61.
    #[inline]
    fn take_sides(&mut self, a: [LatticePoint; 3], b: [LatticePoint; 3]) {
        let from_first = |p: LatticePoint| {
            [i64::from(p.x) - i64::from(a[0].x), i64::from(p.y) - i64::from(a[0].y)]
        };
        let cross = |p: [i64; 2], q: [i64; 2]| p[0] * q[1] - p[1] * q[0];
        let (first, second) = (from_first(a[1]), from_first(a[2]));
        let b = b.map(from_first);
        let whole = cross(first, second);
        let (by_first, by_second) = (b.map(|p| cross(first, p)), b.map(|p| cross(second, p)));
        for k in 0..3 {
            let l = next(k);
            self.b_sides[0][k] = by_first[k];
            self.b_sides[1][k] = whole + by_second[k] - by_first[k];
            self.b_sides[2][k] = -by_second[k];
            let edge = cross(b[k], b[l]);
            self.a_sides[k] =
                [edge, edge + by_first[k] - by_first[l], edge + by_second[k] - by_second[l]];
        }
    }

    fn push(&mut self, piece: Piece) {
        self.pieces[self.n_pieces] = piece;
        self.n_pieces += 1;
    }
}

const BLANK: Piece = Piece { a_edge: NO_EDGE, b_edge: NO_EDGE, start: Turn::B(0), end: Turn::B(0) };

/// Where a corner lies against the edges of the other triangle, one bit an edge.
#[derive(Clone, Copy, Default)]
struct Against {
    /// The edges on whose outer side it lies.
    below: u8,
    /// The edges on whose lines it lies.
    on: u8,
}

/// What bounds a clipped edge at one end.
#[derive(Clone, Copy)]
enum Bound {
    /// The edge's own corner.
    Own,
    /// The inside of an edge of the other triangle.
    Edge(u8),
    /// A corner of the other triangle.
    Corner(u8),
}

#[inline]
pub(crate) fn next(i: usize) -> usize {
    if i == 2 { 0 } else { i + 1 }
}

/// The corner that two different edges of a triangle share.
#[inline]
fn corner_between(e: usize, f: usize) -> u8 {
    if next(e) == f { f as u8 } else { e as u8 }
}

/// Where each corner lies, from the sides of all edges that it lies on; none when an edge parts them.
#[inline]
fn against(sides: &[[i64; 3]; 3]) -> Option<[Against; 3]> {
    let mut at = [Against::default(); 3];
    for (e, row) in sides.iter().enumerate() {
        for (side, at) in row.iter().zip(&mut at) {
            at.below |= u8::from(*side < 0) << e;
            at.on |= u8::from(*side == 0) << e;
        }
    }
    let outside = |at: Against| at.below | at.on;
    (outside(at[0]) & outside(at[1]) & outside(at[2]) == 0).then_some(at)
}

/// The first of a set of edges, [`NO_EDGE`] of none.
#[inline]
fn lowest(edges: u8) -> u8 {
    (edges.trailing_zeros() as u8).min(NO_EDGE)
}

/// A corner of `a`, named as a corner of `b` where it is one too.
#[inline]
fn own_corner(at: Against, corner: usize) -> Turn {
    match at.on {
        0b011 => Turn::B(1),
        0b110 => Turn::B(2),
        0b101 => Turn::B(0),
        _ => Turn::A(corner as u8),
    }
}

/// The edges of which no single line of the other triangle leaves nothing.
#[inline]
fn entering(at: &[Against; 3]) -> u8 {
    let enters = |k: usize| {
        let (from, to) = (at[k], at[next(k)]);
        u8::from(from.below & (to.below | to.on) | from.on & to.below == 0) << k
    };
    enters(0) | enters(1) | enters(2)
}

/// The edges of a set, ascending.
#[inline]
fn each(mut edges: u8) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = lowest(edges);
        edges &= edges.wrapping_sub(1);
        (first != NO_EDGE).then_some(first as usize)
    })
}

/// What bounds the part of an entering edge on the inner side of three lines, from the sides of all
/// corners; none unless that has a length.
#[inline]
fn clip(sides: &[[i64; 3]; 3], edge: usize, at: &[Against; 3]) -> Option<[Bound; 2]> {
    let (k, l) = (edge, next(edge));
    let (start, enter) = bound(sides, at[k].below, [k, l]);
    let (end, exit) = bound(sides, at[l].below, [l, k]);
    let is_cut_twice = at[k].below != 0 && at[l].below != 0;
    if is_cut_twice && compare_products(enter[0], exit[0], enter[1], exit[1]) >= 0 {
        return None;
    }
    Some([start, end])
}

/// Where an edge comes in that starts on the outer side of some lines, one or two; and how far the
/// ends lie from the line that it crosses last: the outer one, then the inner one.
#[inline]
fn bound(sides: &[[i64; 3]; 3], below: u8, [outer, inner]: [usize; 2]) -> (Bound, [i64; 2]) {
    if below == 0 {
        return (Bound::Own, [0; 2]);
    }
    let distances = |e: u8| [-sides[e as usize][outer], sides[e as usize][inner]];
    let first = lowest(below);
    let second = lowest(below & (below - 1));
    let old = distances(first);
    if second == NO_EDGE {
        return (Bound::Edge(first), old);
    }
    let new = distances(second);
    match compare_products(new[0], old[1], old[0], new[1]) {
        0 => (Bound::Corner(corner_between(first as usize, second as usize)), old),
        s if s > 0 => (Bound::Edge(second), new),
        _ => (Bound::Edge(first), old),
    }
}

/// The share of the whole that comes before a crossing.
#[inline]
pub(crate) fn share(before: i64, after: i64) -> f64 {
    before as f64 / (before as f64 + after as f64)
}

/// The sign of `a * b - c * d` for factors at or above zero and below 2^62.
#[inline]
fn compare_products(a: i64, b: i64, c: i64, d: i64) -> i32 {
    // Each product is off by less than 2^-51 of itself, so a greater difference is sure.
    let (x, y) = (a as f64 * b as f64, c as f64 * d as f64);
    if (x - y).abs() > 1e-15 * (x + y) {
        return if x > y { 1 } else { -1 };
    }
    let (x, y) = (i128::from(a) * i128::from(b), i128::from(c) * i128::from(d));
    x.cmp(&y) as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: i32, y: i32) -> LatticePoint {
        LatticePoint { x, y }
    }

    fn turns(a: [LatticePoint; 3], b: [LatticePoint; 3]) -> usize {
        let shared = overlap(a, b).expect("the triangles overlap");
        let n = shared.pieces().len();
        let in_order = shared.order().map(|i| shared.pieces()[(i as usize).min(n - 1)]);
        for (i, piece) in in_order[..n].iter().enumerate() {
            assert_eq!(piece.end, in_order[(i + 1) % n].start, "{shared:?}");
        }
        shared.pieces().len()
    }

    #[test]
    fn sides_are_those_of_the_predicate() {
        use crate::predicates::orient;
        const FAR: i32 = crate::Lattice::REACH;
        let a = [p(-FAR, -FAR), p(FAR, 1 - FAR), p(3, FAR)];
        for b in [[p(5, -7), p(60, 11), p(-30, FAR)], [p(FAR, FAR), p(-FAR, FAR), p(1, -FAR)]] {
            let mut shared = Overlap::NONE;
            shared.take_sides(a, b);
            for (e, k) in (0..9).map(|i| (i / 3, i % 3)) {
                assert_eq!(shared.b_sides[e][k], orient(a[e], a[next(e)], b[k]));
                assert_eq!(shared.a_sides[k][e], orient(b[k], b[next(k)], a[e]));
            }
        }
    }

    #[test]
    fn a_star_of_two_triangles_has_six_corners() {
        let a = [p(0, 0), p(60, 0), p(30, 60)];
        let b = [p(0, 40), p(30, -20), p(60, 40)];
        assert_eq!(turns(a, b), 6);
        assert_eq!(turns(b, a), 6);
    }

    #[test]
    fn shared_corners_and_edges_close_the_outline() {
        let a = [p(0, 0), p(60, 0), p(0, 60)];
        assert_eq!(turns(a, a), 3);
        assert_eq!(turns(a, [p(0, 60), p(0, 0), p(60, 0)]), 3);
        assert_eq!(turns(a, [p(0, 0), p(60, 0), p(60, 60)]), 3);
        assert_eq!(turns(a, [p(0, 0), p(30, 0), p(0, 60)]), 3);
        assert_eq!(turns(a, [p(10, 0), p(20, 0), p(10, 10)]), 3);
        assert_eq!(turns(a, [p(-10, -10), p(60, 60), p(-60, 60)]), 3);
        assert_eq!(turns(a, [p(-60, 0), p(120, 0), p(0, 30)]), 4);
    }

    #[test]
    fn touching_is_not_overlapping() {
        let a = [p(0, 0), p(60, 0), p(0, 60)];
        assert!(overlap(a, [p(60, 0), p(0, 0), p(30, -9)]).is_none());
        assert!(overlap(a, [p(60, 0), p(90, 0), p(80, 9)]).is_none());
        assert!(overlap(a, [p(30, 30), p(60, 30), p(60, 60)]).is_none());
        assert!(overlap(a, [p(100, 100), p(160, 130), p(160, 160)]).is_none());
    }
}
