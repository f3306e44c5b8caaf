//! Putting the composed surface together from faces that stay and faces made anew.

use std::collections::HashSet;
use std::hash::BuildHasherDefault;

use super::chains::{Link, Pair};
use super::named::{heights, planes, vertices};
use super::places::Mix;
use super::polygon::Cutter;
use super::redraw::redraw;
use super::replacement::{Folded, Replacement};
use super::touched::{Drawn, Touched};
use crate::LatticePoint;
use crate::surface::{Face, NONE, Plane, Surface};

/// A corner takes a height that is already named at its vertex when that lies within as much of its
/// plane as the plane rises in this many steps.
pub(super) const SAME_HEIGHT_STEPS: f64 = 3.0;
/// And at least within this, in metres.
pub(super) const SAME_HEIGHT_M: f64 = 1e-9;

/// What the drawn outlines put in place of faces of the ground, and the surface with it.
///
/// Where rounding has folded an outline they are drawn anew as one mesh.
pub(crate) fn assemble(
    pair: &Pair<'_>,
    drawn: &mut Drawn,
    touched: &Touched,
) -> (Replacement, Surface) {
    let by_owner = assemble_by_owner(pair, drawn, touched);
    if let Ok(done) = by_owner.and_then(|new| Ok((new.put_into(pair.ground)?, new))) {
        return (done.1, done.0);
    }
    let owned = redraw(drawn);
    let new = assemble_owned(pair, drawn, touched, &owned);
    match new.and_then(|new| Ok((new.put_into(pair.ground)?, new))) {
        Ok((surface, new)) => (new, surface),
        // One mesh has no edge twice; should the faces around it not fit it, nothing is composed.
        Err(Folded) => (Replacement::default(), pair.ground.clone()),
    }
}

fn assemble_by_owner(
    pair: &Pair<'_>,
    drawn: &Drawn,
    touched: &Touched,
) -> Result<Replacement, Folded> {
    let mut builder = Builder::new(pair, drawn);
    let mut replaced = vec![false; pair.ground.faces().len()];
    for (owner, range) in drawn.owners() {
        builder.put_owner(owner, range, touched, &mut replaced)?;
    }
    Ok(builder.finish_without(touched.emptied(drawn), replaced))
}

fn assemble_owned(
    pair: &Pair<'_>,
    drawn: &Drawn,
    touched: &Touched,
    owned: &[(u32, [u32; 3])],
) -> Result<Replacement, Folded> {
    let mut builder = Builder::new(pair, drawn);
    let mut replaced = vec![false; pair.ground.faces().len()];
    for (owner, range) in drawn.owners() {
        let first = owned.partition_point(|o| o.0 < owner);
        let n = owned[first..].partition_point(|o| o.0 == owner);
        builder.put_owned(owner, range, &owned[first..first + n], &mut replaced)?;
    }
    Ok(builder.finish_without(touched.emptied(drawn), replaced))
}

/// The faces of one owner that are made anew.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Region {
    pub(crate) owner: u32,
    /// The first of them among all faces made; those of the next region follow.
    pub(crate) first: u32,
    /// Whether its only face is the whole of its source.
    pub(crate) entire: bool,
    pub(crate) plane: Plane,
}

/// The faces made anew, region by region.
#[derive(Debug, Default)]
pub(crate) struct Made {
    pub(crate) regions: Vec<Region>,
    /// The nodes at each face's corners.
    pub(crate) nodes: Vec<[u32; 3]>,
    /// What heights its corners would have, in metres.
    pub(crate) wanted_m: Vec<[f64; 3]>,
    /// How far from these they may be, in metres.
    pub(crate) tolerances_m: Vec<f64>,
}

impl Made {
    /// Each region with the range of its faces.
    pub(crate) fn by_region(&self) -> impl Iterator<Item = (&Region, std::ops::Range<usize>)> {
        let after = self.regions.iter().skip(1).map(|region| region.first as usize);
        let ends = after.chain([self.nodes.len()]);
        self.regions.iter().zip(ends).map(|(region, end)| (region, region.first as usize..end))
    }
}

struct Builder<'b> {
    pair: &'b Pair<'b>,
    drawn: &'b Drawn,
    made: Made,
    fixed: HashSet<[u32; 2], BuildHasherDefault<Mix>>,
    cutter: Cutter,
    /// Sides of an outline by the nodes at their ends, the lower first, and whether they rise.
    sides: Vec<(u64, bool)>,
    edges: Vec<[u32; 2]>,
    /// Nodes at the ends of links with the links' heights there.
    ends: Vec<(u32, f64)>,
}

impl<'b> Builder<'b> {
    fn new(pair: &'b Pair<'b>, drawn: &'b Drawn) -> Self {
        Self {
            pair,
            drawn,
            made: Made::default(),
            fixed: HashSet::default(),
            cutter: Cutter::default(),
            sides: Vec::new(),
            edges: Vec::new(),
            ends: Vec::new(),
        }
    }

    fn put_owner(
        &mut self,
        owner: u32,
        range: std::ops::Range<usize>,
        touched: &Touched,
        replaced: &mut [bool],
    ) -> Result<(), Folded> {
        self.note_fixed(range.clone());
        let is_ground = (owner as usize) < replaced.len();
        if is_ground && !touched.is_anew(owner) {
            return Ok(());
        }
        self.trace_outline(range.clone())?;
        let (surface, face) = self.pair.source(owner);
        if let Some(nodes) = self.entire(&self.edges, surface.corners(face)) {
            if !is_ground {
                self.put_region(owner, range, true, |_, made| {
                    made.push(nodes);
                    Ok(())
                })?;
            }
            return Ok(());
        }
        if is_ground {
            replaced[owner as usize] = true;
        }
        self.put_region(owner, range, false, |builder, made| {
            let Self { drawn, cutter, edges, .. } = builder;
            cutter.cut(&drawn.snapped.nodes, edges, made).map_err(|_| Folded)
        })
    }

    /// Gives an owner its triangles of the one mesh.
    fn put_owned(
        &mut self,
        owner: u32,
        range: std::ops::Range<usize>,
        owned: &[(u32, [u32; 3])],
        replaced: &mut [bool],
    ) -> Result<(), Folded> {
        self.note_fixed(range.clone());
        let is_ground = (owner as usize) < replaced.len();
        let (surface, face) = self.pair.source(owner);
        let whole = match owned {
            &[(_, [a, b, c])] => self.entire(&[[a, b], [b, c], [c, a]], surface.corners(face)),
            _ => None,
        };
        if is_ground && whole.is_some() {
            return Ok(());
        }
        if is_ground {
            replaced[owner as usize] = true;
        }
        self.put_region(owner, range, whole.is_some(), |_, made| {
            match whole {
                Some(nodes) => made.push(nodes),
                None => made.extend(owned.iter().map(|&(_, nodes)| nodes)),
            }
            Ok(())
        })
    }

    fn note_fixed(&mut self, range: std::ops::Range<usize>) {
        for link in range.filter(|&link| self.drawn.links[link].fixed) {
            let following = self.drawn.nodes(link).skip(1);
            let sides = self.drawn.nodes(link).zip(following);
            self.fixed.extend(sides.map(|(a, b)| [a.min(b), a.max(b)]));
        }
    }

    /// Adds the faces that `cut` makes of an owner whose links are given.
    fn put_region(
        &mut self,
        owner: u32,
        links: std::ops::Range<usize>,
        entire: bool,
        cut: impl FnOnce(&mut Self, &mut Vec<[u32; 3]>) -> Result<(), Folded>,
    ) -> Result<(), Folded> {
        let mut nodes = std::mem::take(&mut self.made.nodes);
        let first = nodes.len();
        let done = cut(self, &mut nodes);
        self.made.nodes = nodes;
        done?;
        if first < self.made.nodes.len() {
            let (surface, face) = self.pair.source(owner);
            let plane = surface.plane(face);
            self.made.regions.push(Region { owner, first: first as u32, entire, plane });
            self.want_heights(links, &plane);
        }
        Ok(())
    }

    /// An owner's directed edges between nodes, those that run both ways taken out.
    fn trace_outline(&mut self, range: std::ops::Range<usize>) -> Result<(), Folded> {
        self.sides.clear();
        for link in range {
            let mut nodes = self.drawn.nodes(link);
            let Some(mut from) = nodes.next() else { continue };
            for to in nodes {
                let ends = u64::from(from.min(to)) << 32 | u64::from(from.max(to));
                self.sides.push((ends, from < to));
                from = to;
            }
        }
        self.sides.sort_unstable_by_key(|side| side.0);
        self.edges.clear();
        for group in self.sides.chunk_by(|a, b| a.0 == b.0) {
            let n_up = group.iter().filter(|side| side.1).count();
            let n_down = group.len() - n_up;
            if n_up.abs_diff(n_down) > 1 {
                return Err(Folded);
            }
            if n_up != n_down {
                let [low, high] = [(group[0].0 >> 32) as u32, group[0].0 as u32];
                self.edges.push(if n_up > n_down { [low, high] } else { [high, low] });
            }
        }
        Ok(())
    }

    /// The nodes of the source's corners in its own order, when the outline is that of the source.
    fn entire(&self, edges: &[[u32; 2]], corners: [LatticePoint; 3]) -> Option<[u32; 3]> {
        if edges.len() != 3 {
            return None;
        }
        let node = |p: LatticePoint| {
            edges.iter().map(|e| e[0]).find(|&v| self.drawn.snapped.nodes[v as usize] == p)
        };
        let nodes = [node(corners[0])?, node(corners[1])?, node(corners[2])?];
        (0..3).all(|i| edges.contains(&[nodes[i], nodes[(i + 1) % 3]])).then_some(nodes)
    }

    /// What height each corner of the latest faces would have: that of the edge that made it, where
    /// that lies near the plane, else the plane's.
    fn want_heights(&mut self, links: std::ops::Range<usize>, plane: &Plane) {
        self.ends.clear();
        for link in links {
            let Link { heights, .. } = self.drawn.links[link];
            let mut nodes = self.drawn.nodes(link);
            let first = nodes.next();
            self.ends.extend(first.map(|node| (node, heights[0])));
            self.ends.extend(nodes.next_back().or(first).map(|node| (node, heights[1])));
        }
        let rise = (plane.rise[0] * plane.rise[0] + plane.rise[1] * plane.rise[1]).sqrt();
        let tolerance_m = SAME_HEIGHT_STEPS * rise + SAME_HEIGHT_M;
        let wanted_at = |node: u32| {
            let on_plane = plane.at(self.drawn.snapped.nodes[node as usize]);
            let here = self.ends.iter().filter(|end| end.0 == node).map(|end| end.1);
            let near = here.min_by(|a, b| (a - on_plane).abs().total_cmp(&(b - on_plane).abs()));
            near.filter(|h| (h - on_plane).abs() <= tolerance_m).unwrap_or(on_plane)
        };
        let latest = &self.made.nodes[self.made.wanted_m.len()..];
        self.made.wanted_m.extend(latest.iter().map(|nodes| nodes.map(wanted_at)));
        self.made.tolerances_m.resize(self.made.nodes.len(), tolerance_m);
    }

    /// What takes the place of the faces that are replaced or of which nothing is left.
    fn finish_without(self, emptied: Vec<u32>, mut replaced: Vec<bool>) -> Replacement {
        for face in emptied {
            if let Some(slot) = replaced.get_mut(face as usize) {
                *slot = true;
            }
        }
        let Self { pair, drawn, made, fixed, .. } = self;
        let n_ground = pair.ground.faces().len() as u32;
        let mut of_patch = made.regions.iter().filter(|region| region.owner >= n_ground);
        let mut new = Replacement {
            n_of_ground: of_patch.next().map_or(made.nodes.len(), |region| region.first as usize),
            replaced: (0..).zip(&replaced).filter(|(_, is)| **is).map(|(face, _)| face).collect(),
            made: Vec::with_capacity(made.nodes.len()),
            ..Replacement::default()
        };
        let vertex_of = vertices(pair, drawn, &made, &mut new.vertices);
        for (region, faces) in made.by_region() {
            let (surface, source) = pair.source(region.owner);
            let tag = surface.faces()[source as usize].tag;
            new.made.extend(made.nodes[faces].iter().map(|nodes| Face {
                vertices: nodes.map(|v| vertex_of[v as usize]),
                heights: [NONE; 3],
                neighbours: [NONE; 3],
                plane: NONE,
                tag,
                fixed: fixed_bits(&fixed, nodes),
            }));
        }
        heights(pair, drawn, &made, &mut new);
        planes(pair, &made, &mut new);
        new
    }
}

fn fixed_bits(fixed: &HashSet<[u32; 2], BuildHasherDefault<Mix>>, n: &[u32; 3]) -> u8 {
    if fixed.is_empty() {
        return 0;
    }
    let is_fixed = |&e: &usize| {
        let (a, b) = (n[e], n[(e + 1) % 3]);
        fixed.contains(&[a.min(b), a.max(b)])
    };
    (0..3).filter(is_fixed).fold(0, |bits, e| bits | 1 << e)
}
