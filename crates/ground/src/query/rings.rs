//! Which faces lie within rings, which beyond, and through which a ring runs.

use crate::LatticePoint;
use crate::predicates::orient;
use crate::surface::Surface;

/// How a face lies to a region that rings bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToRings {
    /// All of it within; it may touch a ring.
    Within,
    /// All of it beyond; it may touch a ring.
    Beyond,
    /// A ring runs through it.
    Crossed,
}

/// Cells along each side of the grid over the rings.
const N_CELLS: usize = 64;

/// How each face of a surface lies to the region within some rings.
///
/// Rings are closed and do not cross one another; what lies within an odd number of them is within
/// the region, so that a ring inside another bounds a hole. The answers are exact.
pub fn to_rings(surface: &Surface, rings: &[Vec<LatticePoint>]) -> Vec<ToRings> {
    let sides = Sides::of(rings);
    let face = |face: u32| {
        let corners = surface.corners(face);
        if sides.any_through(corners) {
            ToRings::Crossed
        } else if sides.hold_middle(corners) {
            ToRings::Within
        } else {
            ToRings::Beyond
        }
    };
    (0..surface.faces().len() as u32).map(face).collect()
}

/// The sides of all rings, by the cells of a grid and by its rows.
struct Sides {
    low: [i64; 2],
    cell: [i64; 2],
    cells: Vec<Vec<[LatticePoint; 2]>>,
    rows: Vec<Vec<[LatticePoint; 2]>>,
}

impl Sides {
    fn of(rings: &[Vec<LatticePoint>]) -> Self {
        let places = || rings.iter().flatten();
        let least = |of: fn(&LatticePoint) -> i32| places().map(of).min().unwrap_or(0).into();
        let most = |of: fn(&LatticePoint) -> i32| i64::from(places().map(of).max().unwrap_or(0));
        let low: [i64; 2] = [least(|p| p.x), least(|p| p.y)];
        let high = [most(|p| p.x), most(|p| p.y)];
        let cell = [0, 1].map(|k| (high[k] - low[k]) / N_CELLS as i64 + 1);
        let cells = vec![Vec::new(); N_CELLS * N_CELLS];
        let mut sides = Self { low, cell, cells, rows: vec![Vec::new(); N_CELLS] };
        for ring in rings {
            let following = ring.iter().skip(1).chain(ring.first());
            for (&a, &b) in ring.iter().zip(following) {
                let Some([xs, ys]) = sides.spans(&[a, b]) else { continue };
                for y in ys {
                    sides.rows[y].push([a, b]);
                    xs.clone().for_each(|x| sides.cells[y * N_CELLS + x].push([a, b]));
                }
            }
        }
        sides
    }

    /// The columns and rows of cells over the box around some places; none where it lies beyond.
    fn spans(&self, places: &[LatticePoint]) -> Option<[std::ops::RangeInclusive<usize>; 2]> {
        let span = |k: usize, of: fn(&LatticePoint) -> i32| {
            let at = |v: i64| (v - self.low[k]).div_euclid(self.cell[k]);
            let least = at(places.iter().map(of).min()?.into());
            let most = at(places.iter().map(of).max()?.into());
            let last = N_CELLS as i64 - 1;
            (least <= last && most >= 0).then(|| least.max(0) as usize..=most.min(last) as usize)
        };
        Some([span(0, |p| p.x)?, span(1, |p| p.y)?])
    }

    /// Whether a side runs through the inner of a triangle.
    fn any_through(&self, corners: [LatticePoint; 3]) -> bool {
        let Some([xs, ys]) = self.spans(&corners) else { return false };
        let mut near = ys.flat_map(|y| xs.clone().map(move |x| y * N_CELLS + x));
        near.any(|at| self.cells[at].iter().any(|side| runs_through(*side, corners)))
    }

    /// Whether the middle of a triangle, through which no side runs, lies within an odd number of
    /// rings.
    fn hold_middle(&self, corners: [LatticePoint; 3]) -> bool {
        // Three times the place is whole.
        let thrice = |of: fn(&LatticePoint) -> i32| corners.iter().map(|p| i64::from(of(p))).sum();
        let (x, y): (i64, i64) = (thrice(|p| p.x), thrice(|p| p.y));
        let row = (y.div_euclid(3) - self.low[1]).div_euclid(self.cell[1]);
        let Some(row) = usize::try_from(row).ok().and_then(|row| self.rows.get(row)) else {
            return false;
        };
        let is_east = |side: &&[LatticePoint; 2]| {
            let [(ax, ay), (bx, by)] = side.map(|p| (3 * i64::from(p.x), 3 * i64::from(p.y)));
            if (ay > y) == (by > y) {
                return false;
            }
            let turn =
                i128::from(bx - ax) * i128::from(y - ay) - i128::from(by - ay) * i128::from(x - ax);
            // Left of a side that rises, right of one that falls: the side passes east of the place.
            (turn < 0) == (by < ay)
        };
        row.iter().filter(is_east).count() % 2 == 1
    }
}

/// Whether a segment shares more than places of its rim with a counter-clockwise triangle.
fn runs_through([a, b]: [LatticePoint; 2], corners: [LatticePoint; 3]) -> bool {
    let beyond_edge = |k: usize| {
        let (p, q) = (corners[k], corners[(k + 1) % 3]);
        orient(p, q, a) <= 0 && orient(p, q, b) <= 0
    };
    if a == b || (0..3).any(beyond_edge) {
        return false;
    }
    let sides = corners.map(|p| orient(a, b, p));
    !(sides.iter().all(|side| *side >= 0) || sides.iter().all(|side| *side <= 0))
}

#[cfg(test)]
mod tests {
    use super::{ToRings, to_rings};
    use crate::{LatticePoint, Terrain, build};

    fn ring(places: &[[i32; 2]]) -> Vec<LatticePoint> {
        places.iter().map(|&[x, y]| LatticePoint { x, y }).collect()
    }

    /// Unit squares of 12 by 12, each in two triangles, against an outline with a hole: by counting.
    #[test]
    fn faces_lie_as_their_squares_do() {
        let points = (0..169).map(|i| (LatticePoint { x: i % 13, y: i / 13 }, 0.0)).collect();
        let field = build(&Terrain { points, ..Terrain::default() }).unwrap().surface;
        let outer = ring(&[[2, 2], [10, 2], [10, 10], [2, 10]]);
        let hole = ring(&[[4, 4], [4, 7], [6, 7], [6, 4]]);
        let count = |found: &[ToRings], wanted| found.iter().filter(|t| **t == wanted).count();
        let along = to_rings(&field, &[outer.clone(), hole]);
        assert_eq!(count(&along, ToRings::Crossed), 0);
        assert_eq!(count(&along, ToRings::Within), 2 * (64 - 6));
        assert_eq!(count(&along, ToRings::Beyond), 2 * (144 - 58));
        for (face, to) in (0..).zip(&along) {
            let corners = field.corners(face);
            let within = |p: &LatticePoint| (2..=10).contains(&p.x) && (2..=10).contains(&p.y);
            assert!(*to == ToRings::Beyond || corners.iter().all(within));
        }
        let slanted = to_rings(&field, &[ring(&[[0, 0], [12, 1], [12, 2], [0, 1]])]);
        assert!(count(&slanted, ToRings::Crossed) >= 24);
        // At both ends a corner of a square lies on the outline.
        assert_eq!(count(&slanted, ToRings::Within), 2);
        let far = to_rings(&field, &[ring(&[[20, 20], [30, 20], [30, 30]])]);
        assert_eq!(count(&far, ToRings::Beyond), field.faces().len());
    }
}
