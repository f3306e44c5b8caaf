//! Putting the composed surface together from faces that stay and faces made anew.

use std::collections::{HashMap, HashSet};
use std::hash::BuildHasherDefault;

use super::buckets::{Hooks, in_order};
use super::chains::Pair;
use super::places::Mix;
use super::polygon::triangulate;
use super::redraw::redraw;
use super::replacement::{Folded, Replacement};
use super::touched::{Drawn, Touched};
use crate::LatticePoint;
use crate::surface::{Face, NONE, Plane, Surface};

/// A corner takes a height that is already named at its vertex when that lies within as much of its
/// plane as the plane rises in this many steps.
const SAME_HEIGHT_STEPS: f64 = 3.0;
/// And at least within this, in metres.
const SAME_HEIGHT_M: f64 = 1e-9;

type Map<K, V> = HashMap<K, V, BuildHasherDefault<Mix>>;

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
    match new.put_into(pair.ground) {
        Ok(surface) => (new, surface),
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
) -> Replacement {
    let mut builder = Builder::new(pair, drawn);
    let mut replaced = vec![false; pair.ground.faces().len()];
    for (owner, _) in drawn.owners() {
        let first = owned.partition_point(|o| o.0 < owner);
        let n = owned[first..].partition_point(|o| o.0 == owner);
        builder.put_owned(owner, &owned[first..first + n], &mut replaced);
    }
    builder.finish_without(touched.emptied(drawn), replaced)
}

/// A face made anew, its corners by node.
struct Made {
    owner: u32,
    nodes: [u32; 3],
    /// Whether it is the whole of its source.
    entire: bool,
}

struct Builder<'b> {
    pair: &'b Pair<'b>,
    drawn: &'b Drawn,
    made: Vec<Made>,
    fixed: HashSet<[u32; 2], BuildHasherDefault<Mix>>,
}

impl<'b> Builder<'b> {
    fn new(pair: &'b Pair<'b>, drawn: &'b Drawn) -> Self {
        let mut fixed = HashSet::default();
        for (i, _) in drawn.links.iter().enumerate().filter(|(_, link)| link.fixed) {
            let following = drawn.nodes(i).skip(1);
            fixed.extend(drawn.nodes(i).zip(following).map(|(a, b)| [a.min(b), a.max(b)]));
        }
        Self { pair, drawn, made: Vec::new(), fixed }
    }

    fn put_owner(
        &mut self,
        owner: u32,
        range: std::ops::Range<usize>,
        touched: &Touched,
        replaced: &mut [bool],
    ) -> Result<(), Folded> {
        let is_ground = (owner as usize) < replaced.len();
        if is_ground && !touched.is_anew(owner) {
            return Ok(());
        }
        let edges = self.outline(range)?;
        let (surface, face) = self.pair.source(owner);
        let corners = surface.corners(face);
        if let Some(nodes) = self.entire(&edges, corners) {
            if !is_ground {
                self.made.push(Made { owner, nodes, entire: true });
            }
            return Ok(());
        }
        if is_ground {
            replaced[owner as usize] = true;
        }
        let triangles = triangulate(&self.drawn.snapped.nodes, &edges).ok_or(Folded)?;
        let made = triangles.into_iter().map(|nodes| Made { owner, nodes, entire: false });
        self.made.extend(made);
        Ok(())
    }

    /// Gives an owner its triangles of the one mesh.
    fn put_owned(&mut self, owner: u32, owned: &[(u32, [u32; 3])], replaced: &mut [bool]) {
        let is_ground = (owner as usize) < replaced.len();
        let (surface, face) = self.pair.source(owner);
        if let &[(_, [a, b, c])] = owned
            && let Some(nodes) = self.entire(&[[a, b], [b, c], [c, a]], surface.corners(face))
        {
            if !is_ground {
                self.made.push(Made { owner, nodes, entire: true });
            }
            return;
        }
        if is_ground {
            replaced[owner as usize] = true;
        }
        self.made.extend(owned.iter().map(|&(_, nodes)| Made { owner, nodes, entire: false }));
    }

    /// An owner's directed edges between nodes, those that run both ways taken out.
    fn outline(&self, range: std::ops::Range<usize>) -> Result<Vec<[u32; 2]>, Folded> {
        let mut edges: Vec<[u32; 2]> = Vec::new();
        for link in range {
            let mut last = None;
            for node in self.drawn.nodes(link) {
                edges.extend(last.map(|from| [from, node]));
                last = Some(node);
            }
        }
        edges.sort_unstable_by_key(|&[a, b]| (a.min(b), a.max(b), a));
        let mut kept = Vec::with_capacity(edges.len());
        for group in edges.chunk_by(|a, b| a == b || (a[0] == b[1] && a[1] == b[0])) {
            let n_up = group.iter().filter(|e| e[0] < e[1]).count();
            let n_down = group.len() - n_up;
            if n_up.abs_diff(n_down) > 1 {
                return Err(Folded);
            }
            if n_up != n_down {
                let [a, b] = [group[0][0].min(group[0][1]), group[0][0].max(group[0][1])];
                kept.push(if n_up > n_down { [a, b] } else { [b, a] });
            }
        }
        Ok(kept)
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

    /// What takes the place of the faces that are replaced or of which nothing is left.
    fn finish_without(self, emptied: Vec<u32>, mut replaced: Vec<bool>) -> Replacement {
        for face in emptied {
            if let Some(slot) = replaced.get_mut(face as usize) {
                *slot = true;
            }
        }
        self.replacement(&replaced)
    }

    /// What takes the place of the replaced faces.
    fn replacement(self, replaced: &[bool]) -> Replacement {
        let ground = self.pair.ground;
        let mut vertices = ground.vertices().to_vec();
        let vertex_of = self.vertices(&mut vertices);
        let mut heights = ground.heights().to_vec();
        let corner_heights = self.heights(&mut heights, &vertex_of);
        let mut planes = ground.planes().to_vec();
        let plane_of = self.planes(&mut planes, &corner_heights, &heights);
        let made = |(i, made): (usize, &Made)| {
            let (surface, source) = self.pair.source(made.owner);
            Face {
                vertices: made.nodes.map(|v| vertex_of[v as usize]),
                heights: corner_heights[i],
                neighbours: [NONE; 3],
                plane: plane_of[i],
                tag: surface.faces()[source as usize].tag,
                fixed: self.fixed_bits(made),
            }
        };
        Replacement {
            replaced: (0..).zip(replaced).filter(|(_, is)| **is).map(|(face, _)| face).collect(),
            vertices: vertices.split_off(ground.vertices().len()),
            heights: heights.split_off(ground.heights().len()),
            planes: planes.split_off(ground.planes().len()),
            made: self.made.iter().enumerate().map(made).collect(),
        }
    }

    fn fixed_bits(&self, made: &Made) -> u8 {
        let n = made.nodes;
        (0..3)
            .filter(|&e| {
                let (a, b) = (n[e], n[(e + 1) % 3]);
                self.fixed.contains(&[a.min(b), a.max(b)])
            })
            .fold(0, |bits, e| bits | 1 << e)
    }

    /// The vertex at each node; those that no vertex of the ground stands at are added.
    fn vertices(&self, vertices: &mut Vec<LatticePoint>) -> Vec<u32> {
        let ground = self.pair.ground;
        let mut known: Map<LatticePoint, u32> = Map::default();
        for (owner, _) in self.drawn.owners() {
            if let Some(face) = ground.faces().get(owner as usize) {
                for v in face.vertices {
                    known.insert(ground.vertices()[v as usize], v);
                }
            }
        }
        let mut vertex_of = vec![NONE; self.drawn.snapped.nodes.len()];
        for node in self.made.iter().flat_map(|made| made.nodes) {
            if vertex_of[node as usize] == NONE {
                let at = self.drawn.snapped.nodes[node as usize];
                vertex_of[node as usize] = *known.entry(at).or_insert_with(|| {
                    vertices.push(at);
                    vertices.len() as u32 - 1
                });
            }
        }
        vertex_of
    }

    /// The heights that the corners of the faces made anew name; new ones are added.
    fn heights(&self, heights: &mut Vec<f64>, vertex_of: &[u32]) -> Vec<[u32; 3]> {
        let ground = self.pair.ground;
        let mut named: Vec<[u32; 2]> = Vec::new();
        for (owner, _) in self.drawn.owners() {
            if let Some(face) = ground.faces().get(owner as usize) {
                named.extend((0..3).map(|k| [face.vertices[k], face.heights[k]]));
            }
        }
        let mut hung: Hooks<u32> = Hooks::below(ground.vertices().len());
        named.iter().for_each(|&[vertex, height]| hung.hang(vertex, height));
        let mut chosen = vec![[NONE; 3]; self.made.len()];
        let mut at: Vec<u32> = Vec::new();
        let wanted = self.wanted();
        for about in self.by_vertex(vertex_of).chunk_by(|a, b| a.0 == b.0) {
            at.clear();
            at.extend(hung.on(about[0].0));
            at.sort_unstable();
            at.dedup();
            let mut about: Vec<(u32, Wanted)> =
                about.iter().map(|&(_, corner)| (corner, wanted[corner as usize])).collect();
            about.sort_by(|(_, a), (_, b)| {
                let flatter = a.tolerance_m.total_cmp(&b.tolerance_m);
                flatter.then(a.height_m.total_cmp(&b.height_m))
            });
            for (corner, w) in about {
                let distance = |&h: &u32| (heights[h as usize] - w.height_m).abs();
                let nearest = at.iter().copied().min_by(|a, b| distance(a).total_cmp(&distance(b)));
                let height = match nearest {
                    Some(h) if distance(&h) <= w.tolerance_m => h,
                    _ => {
                        heights.push(w.height_m);
                        at.push(heights.len() as u32 - 1);
                        heights.len() as u32 - 1
                    }
                };
                chosen[corner as usize / 3][corner as usize % 3] = height;
            }
        }
        chosen
    }

    /// The corners of the faces made anew by the vertices that they stand on, ascending.
    fn by_vertex(&self, vertex_of: &[u32]) -> Vec<(u32, u32)> {
        let nodes = self.made.iter().flat_map(|made| made.nodes);
        let corners: Vec<(u32, u32)> =
            nodes.zip(0..).map(|(node, corner)| (vertex_of[node as usize], corner)).collect();
        let n_vertices = corners.iter().map(|corner| corner.0 + 1).max().unwrap_or(0);
        in_order(corners, n_vertices as usize, |corner| corner.0)
    }

    /// What height each corner would have: that of the edge that made it, where that lies near the
    /// plane, else the plane's. Flatter faces come first, for steep ones to follow.
    fn wanted(&self) -> Vec<Wanted> {
        let mut wanted = Vec::with_capacity(3 * self.made.len());
        let mut owners = self.drawn.owners();
        let mut ends: Vec<(u32, f64)> = Vec::new();
        let mut latest = (NONE, None);
        for made in &self.made {
            if latest.0 != made.owner {
                let (surface, source) = self.pair.source(made.owner);
                latest = (made.owner, Some(surface.plane(source)));
                ends.clear();
                let links = owners.find(|(owner, _)| *owner == made.owner);
                for link in links.into_iter().flat_map(|(_, range)| range) {
                    let mut nodes = self.drawn.nodes(link);
                    let heights = self.drawn.links[link].heights;
                    let first = nodes.next();
                    ends.extend(first.map(|node| (node, heights[0])));
                    ends.extend(nodes.next_back().or(first).map(|node| (node, heights[1])));
                }
            }
            let Some(plane) = latest.1 else { continue };
            let rise = (plane.rise[0] * plane.rise[0] + plane.rise[1] * plane.rise[1]).sqrt();
            let tolerance_m = SAME_HEIGHT_STEPS * rise + SAME_HEIGHT_M;
            for &node in &made.nodes {
                let on_plane = plane.at(self.drawn.snapped.nodes[node as usize]);
                let here = ends.iter().filter(|end| end.0 == node).map(|end| end.1);
                let near =
                    here.min_by(|a, b| (a - on_plane).abs().total_cmp(&(b - on_plane).abs()));
                let near = near.filter(|h| (h - on_plane).abs() <= tolerance_m);
                wanted.push(Wanted { tolerance_m, height_m: near.unwrap_or(on_plane) });
            }
        }
        wanted
    }

    /// The plane that each face made anew names; new ones are added.
    fn planes(
        &self,
        planes: &mut Vec<Plane>,
        corner_heights: &[[u32; 3]],
        heights: &[f64],
    ) -> Vec<u32> {
        let n_ground = self.pair.ground.faces().len() as u32;
        let mut by_value: Map<[u64; 4], u32> = Map::default();
        let mut out = Vec::with_capacity(self.made.len());
        for (made, named) in self.made.iter().zip(corner_heights) {
            let (surface, source) = self.pair.source(made.owner);
            let stored = surface.faces()[source as usize].plane;
            if stored == NONE
                && made.entire
                && named.map(|h| heights[h as usize]) == surface.corner_heights(source)
            {
                out.push(NONE);
                continue;
            }
            if stored != NONE && made.owner < n_ground {
                out.push(stored);
                continue;
            }
            let plane = surface.plane(source);
            let anchor =
                (u64::from(plane.anchor.x as u32) << 32) | u64::from(plane.anchor.y as u32);
            let key = [anchor, plane.z.to_bits(), plane.rise[0].to_bits(), plane.rise[1].to_bits()];
            out.push(*by_value.entry(key).or_insert_with(|| {
                planes.push(plane);
                planes.len() as u32 - 1
            }));
        }
        out
    }
}

/// The height that a corner would have, and how far from its plane another may lie.
#[derive(Clone, Copy)]
struct Wanted {
    tolerance_m: f64,
    height_m: f64,
}
