//! Elements joined where they stand side by side, composed where they overlap.

use super::fissures::without_fissures;
use super::overlap::overlaps;
use super::panels::Element;
use super::{Sweep, SweepError};
use crate::overlay::{Domain, Rooted, compose};
use crate::patch::plain::plain;
use crate::patch::weld::{Tile, weld};
use crate::{Plane, Surface};

/// The envelope of elements in the order of the walk.
///
/// Elements that do not overlap, directly or by way of others, are joined as they stand. Those that
/// do are parted in two, neighbours staying together, each half is enveloped, and the halves are
/// composed.
pub(super) fn envelope(sweep: &Sweep, elements: &[Element]) -> Result<Surface, SweepError> {
    if elements.is_empty() {
        return Err(SweepError::Empty);
    }
    let cluster = Cluster { sweep, elements, overlaps: overlaps(elements) };
    let all: Vec<u32> = (0..elements.len() as u32).collect();
    let mut loose = Loose::default();
    cluster.gather(&all, &mut loose)?;
    loose.joined(sweep)
}

/// Elements with their overlaps.
struct Cluster<'a> {
    sweep: &'a Sweep<'a>,
    elements: &'a [Element],
    overlaps: Vec<Vec<u32>>,
}

/// What may be joined, since nothing in it overlaps beyond the rounding of composed places.
#[derive(Default)]
struct Loose {
    /// Elements as they were made.
    plain: Tiles,
    composed: Vec<Surface>,
}

/// Triangles and their planes.
#[derive(Clone, Default)]
struct Tiles {
    tiles: Vec<Tile>,
    planes: Vec<Plane>,
}

impl Cluster<'_> {
    /// Adds the envelope of some elements, given in ascending order.
    fn gather(&self, which: &[u32], loose: &mut Loose) -> Result<(), SweepError> {
        for component in self.components(which) {
            match component[..] {
                [single] => loose.plain.add_element(&self.elements[single as usize]),
                _ => loose.composed.push(self.composed(&component)?),
            }
        }
        Ok(())
    }

    /// The envelope of elements of which each overlaps others.
    fn composed(&self, component: &[u32]) -> Result<Surface, SweepError> {
        let halves = component.split_at(self.parting(component));
        let mut surfaces = [halves.0, halves.1].into_iter().map(|half| {
            let mut loose = Loose::default();
            self.gather(half, &mut loose)?;
            loose.joined(self.sweep)
        });
        let mut next = || surfaces.next().expect("there are two halves");
        let (first, second) = (next()?, next()?);
        Ok(union(self.sweep, &first, &second))
    }

    /// The groups of elements that hang together by overlaps, each in ascending order.
    fn components(&self, which: &[u32]) -> Vec<Vec<u32>> {
        let mut group = vec![usize::MAX; which.len()];
        let mut groups: Vec<Vec<u32>> = Vec::new();
        for start in 0..which.len() {
            if group[start] != usize::MAX {
                continue;
            }
            group[start] = groups.len();
            let mut members = vec![which[start]];
            let mut at = 0;
            while at < members.len() {
                for other in &self.overlaps[members[at] as usize] {
                    let Ok(k) = which.binary_search(other) else { continue };
                    if group[k] == usize::MAX {
                        group[k] = groups.len();
                        members.push(*other);
                    }
                }
                at += 1;
            }
            members.sort_unstable();
            groups.push(members);
        }
        groups
    }

    /// Where to part elements: at the break nearest to the middle, else in the middle.
    fn parting(&self, component: &[u32]) -> usize {
        let middle = component.len() / 2;
        let joins = |i: usize| {
            component[i] == component[i - 1] + 1 && self.elements[component[i] as usize].joins_last
        };
        let near = middle / 2;
        (middle - near..=middle + near)
            .filter(|&i| i > 0 && i < component.len() && !joins(i))
            .min_by_key(|&i| (i.abs_diff(middle), i))
            .unwrap_or(middle)
    }
}

impl Loose {
    /// Everything as one surface.
    ///
    /// Composing rounds places to the lattice, so a composed surface may reach past a shared ray by
    /// a step; then it is composed with the others too.
    fn joined(mut self, sweep: &Sweep) -> Result<Surface, SweepError> {
        if self.composed.is_empty() {
            return self.plain.joined(sweep);
        }
        if self.plain.tiles.is_empty() && self.composed.len() == 1 {
            return self.composed.pop().ok_or(SweepError::Empty);
        }
        let mut all = self.plain.clone();
        self.composed.iter().for_each(|s| all.add_surface(s));
        match all.joined(sweep) {
            Ok(surface) if surface.check().is_ok() => Ok(surface),
            _ => self.composed_in_turn(sweep),
        }
    }

    fn composed_in_turn(self, sweep: &Sweep) -> Result<Surface, SweepError> {
        let mut surfaces = self.composed.into_iter();
        let first = if self.plain.tiles.is_empty() {
            surfaces.next().ok_or(SweepError::Empty)?
        } else {
            self.plain.joined(sweep)?
        };
        Ok(surfaces.fold(first, |so_far, next| union(sweep, &so_far, &next)))
    }
}

impl Tiles {
    fn add(&mut self, tiles: impl Iterator<Item = Tile>, planes: &[Plane]) {
        let first = self.planes.len() as u32;
        self.tiles.extend(tiles.map(|t| Tile { plane: t.plane.saturating_add(first), ..t }));
        self.planes.extend_from_slice(planes);
    }

    fn add_element(&mut self, element: &Element) {
        self.add(element.tiles.iter().copied(), &element.planes);
    }

    fn add_surface(&mut self, surface: &Surface) {
        let tiles = (0..surface.faces().len() as u32).map(|f| {
            let (p, z) = (surface.corners(f), surface.corner_heights(f));
            let face = surface.faces()[f as usize];
            let corners = [(p[0], z[0]), (p[1], z[1]), (p[2], z[2])];
            Tile { corners, tag: face.tag, plane: face.plane, fixed: face.fixed }
        });
        self.add(tiles, surface.planes());
    }

    fn joined(self, sweep: &Sweep) -> Result<Surface, SweepError> {
        weld(sweep.lattice, &self.tiles, self.planes)
            .map_err(|o| SweepError::Folds { at: sweep.lattice.metres(o.at) })
    }
}

/// The envelope of two surfaces over all that either covers.
fn union(sweep: &Sweep, first: &Surface, second: &Surface) -> Surface {
    let composed = compose(first, second, sweep.keep, Domain::Union, Rooted::Anywhere);
    plain(&without_fissures(composed.surface))
}
