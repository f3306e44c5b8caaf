//! What presses on the ground beside the works: earth heaped on it and earth carried over it.

use ground::curve::contains;
use site::{Site, Stockpile};

use crate::stretch::{Stretch, cross, to_stretch_m};

/// A heap or the way in.
pub(super) struct Load<'s> {
    /// "Topsoil heap", or "The way in".
    pub(super) name: &'s str,
    pub(super) is_heap: bool,
    sides: Vec<Stretch>,
    /// A heap's outline; of a way none.
    outline_m: &'s [[f64; 2]],
    /// Half the width of a way, metres.
    aside_m: f64,
}

/// Every heap, and the way in where one is drawn.
pub(super) fn loads(site: &Site) -> Vec<Load<'_>> {
    let mut loads: Vec<Load<'_>> = site.stockpiles.iter().map(Load::heap).collect();
    let way = &site.carry.access_m;
    if way.len() > 1 {
        loads.push(Load {
            name: "The way in",
            is_heap: false,
            sides: way.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
            outline_m: &[],
            aside_m: 0.5 * site.carry.access_width_m,
        });
    }
    loads
}

impl<'s> Load<'s> {
    /// A heap.
    pub(super) fn heap(of: &'s Stockpile) -> Self {
        let n = of.outline_m.len();
        let side = |i: usize| [of.outline_m[i], of.outline_m[(i + 1) % n]];
        Self {
            name: &of.name,
            is_heap: true,
            sides: (0..n).map(side).collect(),
            outline_m: &of.outline_m,
            aside_m: 0.0,
        }
    }

    /// How near it comes to a stretch, metres, and where; nought where it lies on it.
    pub(super) fn apart_m(&self, stretch: Stretch) -> (f64, [f64; 2]) {
        if contains(self.outline_m, stretch[0]) {
            return (0.0, stretch[0]);
        }
        let apart = |side: &Stretch| {
            if cross(*side, stretch) {
                return (0.0, stretch[0]);
            }
            let from_stretch = stretch.map(|at| (to_stretch_m(at, *side), at));
            let from_side = side.map(|at| (to_stretch_m(at, stretch), at));
            let [a, b] = [from_stretch, from_side].map(|[p, q]| if q.0 < p.0 { q } else { p });
            if b.0 < a.0 { b } else { a }
        };
        let nearest = self.sides.iter().map(apart).min_by(|a, b| a.0.total_cmp(&b.0));
        let (apart_m, at) = nearest.unwrap_or((f64::INFINITY, stretch[0]));
        ((apart_m - self.aside_m).max(0.0), at)
    }

    /// The same from any of several stretches.
    pub(super) fn nearest_m(&self, stretches: &[Stretch]) -> Option<(f64, [f64; 2])> {
        let each = stretches.iter().map(|&stretch| self.apart_m(stretch));
        each.min_by(|a, b| a.0.total_cmp(&b.0))
    }
}
