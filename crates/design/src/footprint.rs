//! The plan of what is stripped: the outlines of all works grown by a margin, and outlines drawn
//! besides.

use ground::query::outline_where;
use ground::{Lattice, LatticePoint, Surface};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::mesh::int::outline::offset::IntOutlineOffset;
use i_overlay::mesh::int::style::IntOutlineStyle;

/// Regions of the plan: each an outer ring, counter-clockwise, and its holes.
pub(crate) type Regions = Vec<Vec<Vec<LatticePoint>>>;

/// What the regions that are stripped follow from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Footprint {
    pub(crate) lattice: Lattice,
    /// Around the works, as straight as the margin allows.
    works: Vec<Ring>,
    /// By how many lattice steps they grow.
    margin: i32,
    /// What is stripped besides.
    strips: Vec<Ring>,
}

/// A closed ring of lattice places; outer ones run counter-clockwise, holes clockwise.
type Ring = Vec<IntPoint<i32>>;

/// The rim of what is stripped lies off its margin by no more than this share of it, and no more
/// than this: an operator sees the margin, no bend of daylight. A rim of fewer bends is cut sooner.
const MARGIN_PER_OFF: f64 = 32.0;
const MOST_OFF_M: f64 = 0.010;

impl Footprint {
    /// Around all works on a ground; `strips` are outlines in local metres.
    pub(crate) fn of(finished: &Surface, margin_m: f64, strips: &[Vec<[f64; 2]>]) -> Self {
        let lattice = finished.lattice();
        let margin = (margin_m / lattice.step_m()).round() as i32;
        let off = (f64::from(margin) / MARGIN_PER_OFF).min(MOST_OFF_M / lattice.step_m()).max(0.0);
        let is_work = |face: u32| finished.faces()[face as usize].tag.owner != 0;
        let place = |vertex: u32| point(finished.vertices()[vertex as usize]);
        let works = outline_where(finished, is_work)
            .iter()
            .map(|ring| straightened(ring.iter().map(|p| place(p.vertex)).collect(), off))
            .collect();
        let strip = |strip: &Vec<[f64; 2]>| -> Option<Ring> {
            strip.iter().map(|&p| lattice.snap(p).ok().map(point)).collect()
        };
        Self { lattice, works, margin, strips: strips.iter().filter_map(strip).collect() }
    }

    /// The regions.
    pub(crate) fn regions(&self) -> Regions {
        let mut rings: Vec<Ring> =
            outlined(&self.works, self.margin).into_iter().flatten().collect();
        rings.extend(self.strips.iter().cloned());
        let place = |p: IntPoint<i32>| LatticePoint { x: p.x, y: p.y };
        let ring = |ring: Ring| ring.into_iter().map(place).collect();
        let region = |region: Vec<Ring>| region.into_iter().map(ring).collect();
        outlined(&rings, 0).into_iter().map(region).collect()
    }
}

fn point(p: LatticePoint) -> IntPoint<i32> {
    IntPoint::new(p.x, p.y)
}

/// A ring without vertices that lie no more than `off` lattice steps beside it.
///
/// # Source
/// D. Douglas, T. Peucker, "Algorithms for the reduction of the number of points required to
/// represent a digitized line or its caricature", Cartographica 10 (1973).
fn straightened(ring: Ring, off: f64) -> Ring {
    let at = |i: usize| {
        let p = ring[i % ring.len()];
        [f64::from(p.x), f64::from(p.y)]
    };
    let Some(first) = (0..ring.len()).min_by_key(|&i| (ring[i].x, ring[i].y)) else { return ring };
    let last = first + ring.len();
    let apart2 = |i: &usize| beside2(at(*i), [at(first); 2]);
    let opposite = (first..last).max_by(|i, j| apart2(i).total_cmp(&apart2(j)));
    let opposite = opposite.unwrap_or(first);
    let mut stays = vec![false; ring.len()];
    let mut waiting = vec![[first, opposite], [opposite, last]];
    while let Some([from, to]) = waiting.pop() {
        stays[from % ring.len()] = true;
        let off2 = |i: usize| (beside2(at(i), [at(from), at(to)]), i);
        let most = (from + 1..to).map(off2).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, bend)) = most.filter(|(off2, _)| *off2 > off * off) {
            waiting.extend([[from, bend], [bend, to]]);
        }
    }
    if stays.iter().filter(|stays| **stays).count() < 3 {
        return ring;
    }
    ring.iter().zip(stays).filter(|(_, stays)| *stays).map(|(&p, _)| p).collect()
}

/// The square of the distance of a place from a stretch.
fn beside2(p: [f64; 2], [a, b]: [[f64; 2]; 2]) -> f64 {
    let (way, from) = (sub(b, a), sub(p, a));
    let length2 = way[0] * way[0] + way[1] * way[1];
    let share = if length2 > 0.0 { (from[0] * way[0] + from[1] * way[1]) / length2 } else { 0.0 };
    let off = [0, 1].map(|k| from[k] - share.clamp(0.0, 1.0) * way[k]);
    off[0] * off[0] + off[1] * off[1]
}

fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// Regions grown by so many lattice steps and joined.
fn outlined(rings: &Vec<Ring>, by: i32) -> Vec<Vec<Ring>> {
    // Places lie within 2^29 steps, and a margin is metres: well within the range asked for.
    rings.outline(&IntOutlineStyle::new(by)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_loses_what_lies_beside_its_sides_and_keeps_its_corners() {
        let ring = |places: &[[i32; 2]]| places.iter().map(|p| IntPoint::new(p[0], p[1])).collect();
        let drawn: Ring =
            ring(&[[0, 0], [40, -2], [100, 0], [103, 50], [100, 100], [50, 120], [0, 100]]);
        let corners: Ring = ring(&[[0, 0], [100, 0], [100, 100], [50, 120], [0, 100]]);
        assert_eq!(straightened(drawn.clone(), 4.0), corners);
        assert_eq!(straightened(drawn.clone(), 0.0), drawn);
        // From whichever place it is drawn.
        let turned = [&drawn[3..], &drawn[..3]].concat();
        assert_eq!(straightened(turned, 4.0).len(), corners.len());
        // A ring that lies within the distance stays as it is.
        let small: Ring = ring(&[[0, 0], [2, 0], [1, 2]]);
        assert_eq!(straightened(small.clone(), 4.0), small);
    }
}
