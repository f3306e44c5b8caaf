//! Cutting a surface along the rim of a region, and laying lower what is within it.
//!
//! ```text
//!    \___/\___/\____        faces through which the rim runs are parted along it: what lies beyond
//!    \__/|\__/|\____        stays, what lies within is a part of the same face of the lowered surface
//!        |<- region
//! ```

use std::collections::BTreeMap;

use super::chains::Pair;
use super::compose::{Domain, Keep, drawn};
use super::facet::{Facet, Facets, Turned, edge_number};
use super::outcome::Changed;
use super::overlap::{Overlap, Turn, next};
use super::places::{Of, Place, Places};
use super::replacement::Replacement;
use super::trace::Trace;
use super::walk::pairs_of;
use super::winners::{PartCorner, Parts};
use crate::predicates::orient;
use crate::surface::{Surface, Tag};

/// What is cut, where and how deep.
#[derive(Clone, Copy, Debug)]
pub struct Cutting<'s> {
    /// What is cut.
    pub ground: &'s Surface,
    /// The same faces in the same order, each as low as it is to lie within the region.
    pub lowered: &'s Surface,
    /// A surface over the region, at whatever height.
    pub region: &'s Surface,
    /// The faces through which the region's rim runs.
    pub crossed: &'s [u32],
}

/// A surface cut along the rim of a region.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The surface; of the crossed faces it is lower within the region.
    pub surface: Surface,
    /// Plan area in square metres of what of the crossed faces lies within, by what they carry.
    pub within_m2: Vec<(Tag, f64)>,
    /// What it rests on: the same region cuts a like surface again by [`Trace::again`].
    pub trace: Trace,
}

impl Cutting<'_> {
    /// The ground with its crossed faces parted along the region's rim.
    ///
    /// A face that the lowered surface leaves as high as it is stays whole.
    ///
    /// # Panics
    /// When the surfaces lie on different lattices, or the lowered one has other faces than the ground.
    pub fn cut(&self) -> Cut {
        let Self { ground, lowered, .. } = *self;
        let pair = Pair { ground, patch: lowered, domain: Domain::Ground };
        let mut parts = self.parts();
        let (new, surface, touched) = if parts.any_won {
            let (new, surface, touched) = drawn(&pair, &mut parts);
            (new, surface, touched.whole().to_vec())
        } else {
            (Replacement::default(), ground.clone(), Vec::new())
        };
        let within_m2 = within_m2(ground, &new);
        let read = parts.read(ground, &touched).unwrap_or_default();
        let trace = Trace::new(Keep::Lowest, read, &Changed::default(), new);
        Cut { surface, within_m2, trace }
    }

    /// What lies within the region of each crossed face, which its lowered likeness wins.
    fn parts(&self) -> Parts {
        let Self { ground, lowered, region, crossed } = *self;
        let mut is_cut = vec![false; ground.faces().len()];
        for &face in crossed {
            is_cut[face as usize] = ground.corner_heights(face) != lowered.corner_heights(face);
        }
        let mut pairs: Vec<([u32; 2], Overlap)> = Vec::new();
        let wanted = |face: u32| is_cut[face as usize];
        pairs_of(ground, region, wanted, |face, of_region, shared| {
            pairs.push(([face, of_region], *shared));
        });
        // What is found must not depend on faces that are not crossed.
        let mut order: Vec<usize> = (0..pairs.len()).collect();
        order.sort_unstable_by_key(|&i| pairs[i].0);
        let mut parts = Parts::none(Places::new(ground, region));
        let (mut grounds, mut lower) = (Facets::of(ground), Facets::of(lowered));
        for i in order {
            let ([face, of_region], shared) = &pairs[i];
            let cell = Cell {
                ground: grounds.at(*face),
                lowered: lower.at(*face),
                region,
                of_region: *of_region,
                shared,
            };
            cell.put_into(&mut parts);
        }
        parts.reached = Some([crossed.to_vec(), Vec::new()]);
        parts
    }
}

/// What a crossed face shares with a face of the region.
struct Cell<'c> {
    ground: &'c Facet,
    lowered: &'c Facet,
    region: &'c Surface,
    of_region: u32,
    /// The ground's face is `a`, the region's `b`.
    shared: &'c Overlap,
}

impl Cell<'_> {
    fn put_into(&self, parts: &mut Parts) {
        let pieces = self.shared.pieces();
        let order = self.shared.order();
        let corners: Vec<PartCorner> = order[..pieces.len()]
            .iter()
            .map(|&i| {
                let piece = &pieces[i as usize];
                let (vertex, [ground_m, patch_m]) = self.turn(&mut parts.places, piece.start);
                let along = piece.a_edge;
                PartCorner { vertex, ground_m, patch_m, ground_edge: along, patch_edge: along }
            })
            .collect();
        parts.win([self.ground.face; 2], corners);
    }

    /// The vertex at which the outline turns, and the heights of the ground and lowered there.
    fn turn(&self, places: &mut Places, turn: Turn) -> (u32, [f64; 2]) {
        let both = [self.ground, self.lowered];
        let at_corner = |places: &mut Places, i: usize| {
            let vertex = places.on_vertex(Of::Ground, both[0].vertices[i], both[0].corners[i]);
            (vertex, both.map(|facet| facet.heights[i]))
        };
        match turn {
            Turn::A(i) => at_corner(places, i as usize),
            Turn::B(k) => {
                let k = k as usize;
                let at = self.region.corners(self.of_region)[k];
                if let Some(i) = both[0].corners.iter().position(|&corner| corner == at) {
                    return at_corner(places, i);
                }
                let vertex = self.region.faces()[self.of_region as usize].vertices[k];
                let edge = (0..3).find(|&e| self.shared.b_sides[e][k] == 0);
                let height = |facet: &Facet| match edge {
                    Some(edge) => facet.on_edge(edge, at),
                    None => facet.plane.at(at),
                };
                (places.on_vertex(Of::Patch, vertex, at), both.map(height))
            }
            Turn::Cross(edge, rim) => {
                let (edge, rim) = (edge as usize, rim as usize);
                let sides = &self.shared.a_sides[rim];
                let (number, turned) = both[0].edge(edge);
                let (rim_number, _) = edge_number(self.region, self.of_region, rim);
                let vertex = places.crossing([number, rim_number], || {
                    let ends = [edge, next(edge)];
                    let [p, q] = if turned == Turned::No { ends } else { [ends[1], ends[0]] };
                    let corners = &both[0].corners;
                    Place::parting([corners[p], corners[q]], sides[p].abs(), sides[q].abs())
                });
                let share = both[0].crossing_share(edge, turned, sides);
                (vertex, both.map(|facet| facet.along(edge, turned, share)))
            }
        }
    }
}

/// Plan area of what takes the place of crossed faces within the region, by what it carries.
fn within_m2(ground: &Surface, new: &Replacement) -> Vec<(Tag, f64)> {
    let mut twice_steps2: BTreeMap<Tag, i128> = BTreeMap::new();
    let n_known = ground.vertices().len();
    let place = |v: u32| match ground.vertices().get(v as usize) {
        Some(&known) => known,
        None => new.vertices[v as usize - n_known],
    };
    for face in &new.made[new.n_of_ground..] {
        let [a, b, c] = face.vertices.map(place);
        *twice_steps2.entry(face.tag).or_default() += i128::from(orient(a, b, c));
    }
    let step_m = ground.lattice().step_m();
    let in_m2 = |(tag, twice): (Tag, i128)| (tag, twice as f64 / 2.0 * step_m * step_m);
    twice_steps2.into_iter().map(in_m2).collect()
}
