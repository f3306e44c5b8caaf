//! Catchments: the parts of the plan by where the water that falls on them ends.
//!
//! Water takes the ways of [`descend`](crate::query::descend): straight down each face, along the
//! edges in which faces meet, over steps, and over level ground to its nearest fall. So a face's
//! water ends alike in strips that run down it, and level ground's by which corner is nearest. The
//! strips follow from what lies below: the ends of the places on a face's lower edges are those of its
//! strips. Nothing is laid over a grid, and the parts of every face add up to it.
//!
//! The plain rule is that water which ends in a pit or on level ground stays there: hollows don't fill and
//! run over. [`Catchments::passed_on`] lets shallow ones: they fill, and pass on what they get over their
//! lowest saddles.
//!
//! # Source
//! S. Yu, M. van Kreveld, J. Snoeyink, "Drainage queries in TINs: from local to global and back again",
//! Advances in GIS Research II (1996); M. de Berg, P. Bose, K. Dobrindt, M. van Kreveld, M. Overmars,
//! M. de Groot, T. Roos, J. Snoeyink, S. Yu, "The complexity of rivers in triangulated terrains", 8th
//! Canadian Conference on Computational Geometry (1996), for water that runs straight down faces and
//! along edges.

mod facet;
mod fans;
mod passes;
mod receiver;
mod spread;

use super::region::RegionPiece;
use super::side::{faces_at, metres, steps, steps_per_m};
use crate::{LatticePoint, Sum, Surface, predicates};

use fans::{nearest_ring, nearest_shares};
use receiver::Received;
use spread::{OFF, Spread};

pub use receiver::Receiver;

/// A surface's plan, divided by where its water ends.
pub struct Catchments<'a> {
    spread: Spread<'a>,
    ends: Vec<Catchment>,
}

/// All ground whose water ends alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Catchment {
    /// Where it ends.
    pub to: DrainsTo,
    /// Its area in plan, in square metres; of a receiver with what lies below its level.
    pub area_m2: f64,
}

/// Where water from the ground ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrainsTo {
    /// Off the surface, over its border.
    Border,
    /// In one of the receivers, by its number.
    Receiver(usize),
    /// In a vertex from which no ground falls.
    Pit {
        /// The vertex.
        vertex: u32,
    },
    /// On level ground, or in a level trough, from which no ground falls.
    Flat {
        /// One of its vertices.
        vertex: u32,
    },
}

/// A part of one face whose water ends alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it ends, by its number among [`Catchments::all`].
    pub end: usize,
    /// Its share of the face's area.
    pub share: f64,
}

/// Divides a surface's plan by where its water ends; what comes to a receiver has arrived.
///
/// The time grows with the number of faces and of the places at which catchments' divides cross their
/// edges.
///
/// ```
/// use ground::query::{DrainsTo, catchments, plan_area_m2};
/// use ground::{Lattice, Terrain, build};
///
/// // A valley two metres wide between roofs that fall to it, and along it to the south.
/// let lattice = Lattice::default();
/// let roof = [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [2.0, 0.0, 1.0]];
/// let rows = [0.0, 3.0].map(|y| roof.map(|[x, _, z]| ([x, y], z + 0.1 * y)));
/// let points = rows.concat().iter().map(|&(at, z)| (lattice.snap(at).unwrap(), z)).collect();
/// let surface = build(&Terrain { lattice, points, ..Terrain::default() }).unwrap().surface;
/// let found = catchments(&surface, &[]);
/// assert_eq!(found.all()[0].to, DrainsTo::Border);
/// assert!((found.all()[0].area_m2 - plan_area_m2(&surface)).abs() < 1e-12);
/// ```
pub fn catchments<'a>(surface: &'a Surface, receivers: &[Receiver<'_>]) -> Catchments<'a> {
    let spread = Spread::of(surface, Received::of(surface, receivers));
    let pits = spread.ends.iter().map(|&fan| {
        let vertex = spread.fans.vertex(surface, fan);
        if spread.is_flat(fan) { DrainsTo::Flat { vertex } } else { DrainsTo::Pit { vertex } }
    });
    let to = std::iter::once(DrainsTo::Border)
        .chain((0..receivers.len()).map(DrainsTo::Receiver))
        .chain(pits);
    let mut found =
        Catchments { ends: to.map(|to| Catchment { to, area_m2: 0.0 }).collect(), spread };
    let mut sums = vec![Sum::default(); found.ends.len()];
    for f in 0..surface.faces().len() as u32 {
        let area_m2 = face_area_m2(surface, f);
        found.each_part(f, |part| sums[part.end].add(area_m2 * part.share));
    }
    for (end, sum) in found.ends.iter_mut().zip(sums) {
        end.area_m2 = sum.value();
    }
    found
}

impl Catchments<'_> {
    /// Every end with its catchment: the border first, then the receivers, then pits and level
    /// ground in the order in which they were found. Together they are the plan.
    pub fn all(&self) -> &[Catchment] {
        &self.ends
    }

    /// The parts of a face by where their water ends; an end may come more than once.
    pub fn parts(&self, face_idx: u32) -> Vec<Part> {
        let mut parts = Vec::new();
        self.each_part(face_idx, |part| parts.push(part));
        parts
    }

    /// Calls `each` with every part of a face.
    pub fn each_part(&self, face_idx: u32, mut each: impl FnMut(Part)) {
        let (pieces, facet) =
            (self.spread.pieces(face_idx), &self.spread.facets[face_idx as usize]);
        let first = pieces.first().map_or(OFF, |piece| piece.1);
        if pieces.iter().all(|piece| piece.1 == first) {
            return each(self.part(first, 1.0));
        }
        if facet.is_still() {
            let shares = nearest_shares(self.spread.surface, face_idx);
            for (piece, share) in pieces.iter().zip(shares) {
                each(self.part(piece.1, share));
            }
            return;
        }
        let mut from = 0.0;
        for (i, &(to, end)) in pieces.iter().enumerate() {
            let to = if i + 1 == pieces.len() { 1.0 } else { facet.share_to(to) };
            each(self.part(end, to - from));
            from = to;
        }
    }

    /// Where each end's water goes when hollows no deeper than `depth_m` are full and run over, by the
    /// numbers among [`Catchments::all`].
    ///
    /// A hollow runs over at its lowest saddle, into what lies beyond: another hollow, if that is
    /// deeper or passes it on, a receiver, or off the surface. Of two hollows that meet at a saddle the
    /// one with the higher floor runs over. One that is deeper below its saddle keeps what it gets, and
    /// what comes to it.
    ///
    /// # Source
    /// R. Barnes, K. L. Callaghan, A. D. Wickert, "Computing water flow through complex landscapes, part
    /// 2: finding hierarchies in depressions and morphological segmentations", Earth Surface Dynamics 8
    /// (2020), for hollows joined at their lowest saddles in rising order.
    pub fn passed_on(&self, depth_m: f64) -> Vec<usize> {
        passes::passed_on(self, depth_m)
    }

    /// The ground that drains to one end, piece by piece: convex polygons that lie in one face each.
    pub fn pieces(&self, end: usize) -> Vec<RegionPiece> {
        let surface = self.spread.surface;
        let mut found = Vec::new();
        for face_idx in 0..surface.faces().len() as u32 {
            let corners = surface.corners(face_idx);
            let local = |at: [f64; 2]| {
                let [x, y] = steps(corners[0]);
                metres(surface.lattice(), [x + at[0], y + at[1]])
            };
            let facet = &self.spread.facets[face_idx as usize];
            let mut from = 0.0;
            for (k, &(to, named)) in self.spread.pieces(face_idx).iter().enumerate() {
                if self.index(named) == end {
                    let ring: Vec<[f64; 2]> = if facet.is_still() {
                        nearest_ring(surface, face_idx, k).into_iter().map(local).collect()
                    } else {
                        let place = |shares: [f64; 3]| {
                            let c = corners.map(steps);
                            let of =
                                |i: usize| (0..3).map(|k| shares[k] * (c[k][i] - c[0][i])).sum();
                            local([of(0), of(1)])
                        };
                        facet.strip(from, to).into_iter().map(place).collect()
                    };
                    if ring.len() > 2 {
                        found.push(RegionPiece { face_idx, ring });
                    }
                }
                from = to;
            }
        }
        found
    }

    /// The end of water from a place, by its number among [`Catchments::all`]; none off the surface.
    ///
    /// Of several faces there the highest counts, as for [`descend`](crate::query::descend).
    pub fn end_at(&self, at: [f64; 2]) -> Option<usize> {
        let surface = self.spread.surface;
        let p = surface.lattice().snap(at).ok()?;
        let highest = |f: u32| surface.plane(f).at(p);
        let faces = faces_at(surface, p).into_iter().map(|(f, _)| f);
        let f = faces.max_by(|&a, &b| highest(a).total_cmp(&highest(b)).then(b.cmp(&a)))?;
        let facet = &self.spread.facets[f as usize];
        let shares = shares_at(surface, f, p);
        if facet.is_still() {
            let far = |k: usize| {
                let c = surface.corners(f)[k];
                let [x, y] = [f64::from(c.x) - f64::from(p.x), f64::from(c.y) - f64::from(p.y)];
                x * x + y * y
            };
            let nearest = (1..3).fold(0, |best, k| if far(k) < far(best) { k } else { best });
            return self.spread.pieces(f).get(nearest).map(|piece| self.index(piece.1));
        }
        let t = (0..3).map(|k| shares[k] * facet.t[k]).sum();
        Some(self.index(self.spread.end_at(f, t)))
    }

    fn part(&self, end: u32, share: f64) -> Part {
        Part { end: self.index(end), share }
    }

    /// What numbers could not settle counts as gone off the surface.
    fn index(&self, end: u32) -> usize {
        if (end as usize) < self.ends.len() { end as usize } else { OFF as usize }
    }
}

/// A place in a face as shares of its corners.
fn shares_at(surface: &Surface, f: u32, p: LatticePoint) -> [f64; 3] {
    let [a, b, c] = surface.corners(f);
    let whole = predicates::orient(a, b, c) as f64;
    [
        predicates::orient(b, c, p) as f64 / whole,
        predicates::orient(c, a, p) as f64 / whole,
        predicates::orient(a, b, p) as f64 / whole,
    ]
}

fn face_area_m2(surface: &Surface, f: u32) -> f64 {
    let [a, b, c] = surface.corners(f);
    let per_m = steps_per_m(surface.lattice());
    predicates::orient(a, b, c) as f64 / (2.0 * per_m * per_m)
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
