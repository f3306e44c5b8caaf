//! Closed outlines in plan: the boundary and the voids.

use crate::LatticePoint;
use crate::predicates::orient;

/// A closed outline that neither touches nor crosses itself, counter-clockwise.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    places: Vec<LatticePoint>,
}

/// What is wrong with an outline, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RingFault {
    /// It encloses nothing.
    Flat,
    /// It meets itself at or beside this place.
    MeetsItself(LatticePoint),
}

impl Ring {
    /// Closes an outline; repeated places in a row, and the first one again at the end, count once.
    pub(super) fn new(outline: &[LatticePoint]) -> Result<Self, RingFault> {
        let mut places = outline.to_vec();
        places.dedup();
        while places.len() > 1 && places.first() == places.last() {
            places.pop();
        }
        if places.len() < 3 {
            return Err(RingFault::Flat);
        }
        let mut ring = Self { places };
        if let Some(at) = ring.self_meeting() {
            return Err(RingFault::MeetsItself(at));
        }
        match ring.twice_area() {
            0 => Err(RingFault::Flat),
            1.. => Ok(ring),
            _ => {
                ring.places.reverse();
                Ok(ring)
            }
        }
    }

    /// A ring that is known to be convex and counter-clockwise; vertices may stand on its sides.
    pub(super) fn convex(places: Vec<LatticePoint>) -> Self {
        Self { places }
    }

    pub(super) fn places(&self) -> &[LatticePoint] {
        &self.places
    }

    /// Whether a place lies inside or on the ring.
    pub(super) fn covers(&self, p: LatticePoint) -> bool {
        let mut inside = false;
        for [a, b] in self.edges() {
            let side = orient(a, b, p);
            if side == 0 && in_box(a, b, p) {
                return true;
            }
            if (a.y <= p.y) != (b.y <= p.y) && (side > 0) == (b.y > a.y) {
                inside = !inside;
            }
        }
        inside
    }

    /// Whether the insides of two rings have a place in common, or their edges touch.
    pub(super) fn meets(&self, other: &Self) -> bool {
        self.places.iter().any(|&p| other.covers(p))
            || other.places.iter().any(|&p| self.covers(p))
            || self.edges().any(|e| other.edges().any(|f| segments_meet(e, f)))
    }

    fn edges(&self) -> impl Iterator<Item = [LatticePoint; 2]> + '_ {
        let after = self.places.iter().cycle().skip(1);
        self.places.iter().zip(after).map(|(&a, &b)| [a, b])
    }

    fn twice_area(&self) -> i128 {
        let origin = self.places[0];
        self.edges().map(|[a, b]| i128::from(orient(origin, a, b))).sum()
    }

    /// A place where the ring meets itself other than from one edge to the next.
    fn self_meeting(&self) -> Option<LatticePoint> {
        let edges: Vec<[LatticePoint; 2]> = self.edges().collect();
        let n = edges.len();
        let west = |e: usize| edges[e][0].x.min(edges[e][1].x);
        let east = |e: usize| edges[e][0].x.max(edges[e][1].x);
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by_key(|&e| (west(e), e));
        let mut open: Vec<usize> = Vec::new();
        for &e in &order {
            open.retain(|&f| east(f) >= west(e));
            for &f in &open {
                if let Some(at) = meeting(&edges, e.min(f), e.max(f)) {
                    return Some(at);
                }
            }
            open.push(e);
        }
        None
    }
}

/// Where edges `e` and `f` (`e < f`) of a ring meet, apart from the vertex that neighbours share.
fn meeting(edges: &[[LatticePoint; 2]], e: usize, f: usize) -> Option<LatticePoint> {
    let shared = if f == e + 1 {
        Some((edges[e][0], edges[f][0], edges[f][1]))
    } else if e == 0 && f == edges.len() - 1 {
        Some((edges[e][1], edges[e][0], edges[f][0]))
    } else {
        None
    };
    match shared {
        Some((a, corner, b)) => {
            let folds = orient(a, corner, b) == 0 && !in_box(a, b, corner);
            folds.then_some(corner)
        }
        None => segments_meet(edges[e], edges[f]).then_some(edges[e][1]),
    }
}

fn segments_meet([a, b]: [LatticePoint; 2], [c, d]: [LatticePoint; 2]) -> bool {
    let (sc, sd) = (orient(a, b, c).signum(), orient(a, b, d).signum());
    let (sa, sb) = (orient(c, d, a).signum(), orient(c, d, b).signum());
    if sc * sd < 0 && sa * sb < 0 {
        return true;
    }
    (sc == 0 && in_box(a, b, c))
        || (sd == 0 && in_box(a, b, d))
        || (sa == 0 && in_box(c, d, a))
        || (sb == 0 && in_box(c, d, b))
}

/// Whether `p` lies in the box of which `a` and `b` are opposite corners.
fn in_box(a: LatticePoint, b: LatticePoint, p: LatticePoint) -> bool {
    (a.x.min(b.x)..=a.x.max(b.x)).contains(&p.x) && (a.y.min(b.y)..=a.y.max(b.y)).contains(&p.y)
}
