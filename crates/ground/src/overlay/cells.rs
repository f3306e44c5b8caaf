//! The outline of a cell as places with the change of height at them.

use super::measure::{Corner, fan};
use super::overlap::{Overlap, Turn, next};
use crate::LatticePoint;
use crate::surface::Plane;

/// The difference of two planes as a plane over steps from an anchor.
pub(super) struct Change {
    z: f64,
    rise: [f64; 2],
}

/// Room for the edges of one cell, used again for the next.
#[derive(Default)]
pub(super) struct Edges {
    edges: [[Corner; 2]; 6],
    /// Where each edge of the first face crosses each of the second.
    crossings: [[Corner; 3]; 3],
}

impl Change {
    pub(super) fn between(from: &Plane, to: &Plane, anchor: LatticePoint) -> Self {
        Self {
            z: to.at(anchor) - from.at(anchor),
            rise: [to.rise[0] - from.rise[0], to.rise[1] - from.rise[1]],
        }
    }

    #[inline]
    fn corner(&self, [x, y]: [f64; 2]) -> Corner {
        Corner { x, y, rise_m: self.z + (self.rise[0] * x + self.rise[1] * y) }
    }
}

impl Edges {
    /// The edges of what two triangles share, in steps from the first corner of the first.
    ///
    /// A crossing is placed once for both edges that end there, along the edge of the second
    /// triangle.
    #[inline]
    pub(super) fn of(
        &mut self,
        shared: &Overlap,
        [a, b]: [[LatticePoint; 3]; 2],
        change: &Change,
    ) -> &[[Corner; 2]] {
        let place = |p: LatticePoint| {
            [i64::from(p.x) - i64::from(a[0].x), i64::from(p.y) - i64::from(a[0].y)]
                .map(|steps| steps as f64)
        };
        let Self { edges, crossings } = self;
        let mut known = [0u8; 3];
        let mut at = |turn: Turn| match turn {
            Turn::A(i) => change.corner(place(a[i as usize])),
            Turn::B(j) => change.corner(place(b[j as usize])),
            Turn::Cross(e, k) => {
                let (e, k) = (e as usize, k as usize);
                if known[e] >> k & 1 == 0 {
                    known[e] |= 1 << k;
                    let (p, q) = (place(b[k]), place(b[next(k)]));
                    let t = shared.crossing_share(e, k);
                    let on_edge = [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
                    crossings[e][k] = change.corner(on_edge);
                }
                crossings[e][k]
            }
        };
        for (edge, piece) in edges.iter_mut().zip(shared.pieces()) {
            *edge = [at(piece.start), at(piece.end)];
        }
        &edges[..shared.pieces().len()]
    }
}

/// The plan area that two triangles share, in square steps.
pub(super) fn shared_area(shared: &Overlap, a: [LatticePoint; 3], b: [LatticePoint; 3]) -> f64 {
    let mut edges = Edges::default();
    let edges = edges.of(shared, [a, b], &Change { z: 0.0, rise: [0.0; 2] });
    fan(edges[0][0], edges.iter().copied()).0
}

/// How far a plane over `b` lies above one over `a` at the corners of what the two share, in metres.
pub(super) fn change_at_corners(
    shared: &Overlap,
    corners: [[LatticePoint; 3]; 2],
    [from, to]: [&Plane; 2],
) -> impl Iterator<Item = f64> {
    let mut room = Edges::default();
    room.of(shared, corners, &Change::between(from, to, corners[0][0]));
    (0..shared.pieces().len()).map(move |i| room.edges[i][0].rise_m)
}
