//! Drawing outlines anew as one mesh, for the rare case that rounding has folded one of them.
//!
//! Heights and places of crossings are floating point, so two vertices on a border between pixels
//! may be rounded apart and an outline may come to lie over its neighbour's. All outlines together
//! still bound the same domain: for every triangle of one mesh over all of them the owners' winding
//! numbers are counted, and the owner that winds most often around it has it. Each triangle has one
//! owner at most, whatever the outlines do, so that no two faces overlap.

use std::collections::{BTreeMap, VecDeque};

use super::snap::Paths;
use super::touched::Drawn;
use crate::triangulate::constrained;
use crate::{Lattice, Mesh2, NONE};

/// Triangles by node, each with the owner that has it; owners ascend.
///
/// Nodes where outlines still crossed are added to `drawn`, and outlines that ran through them are
/// led along edges of the mesh. Outlines that span no area give no triangles.
pub(crate) fn redraw(drawn: &mut Drawn) -> Vec<(u32, [u32; 3])> {
    let mut pieces: Vec<[u32; 2]> = drawn.snapped.paths.iter().flat_map(steps).collect();
    pieces.sort_unstable();
    pieces.dedup();
    let Ok(mesh) = constrained(Lattice::default(), &drawn.snapped.nodes, &pieces) else {
        return Vec::new();
    };
    let node_of = nodes(drawn, &mesh);
    let roads = Roads::new(&mesh, &node_of, drawn.snapped.nodes.len());
    let mut paths = Paths::default();
    drawn.snapped.paths.iter().for_each(|path| paths.push(roads.follow(path)));
    drawn.snapped.paths = paths;
    let bounds = bounds(drawn);
    let windings = wind(&mesh, &node_of, &bounds);
    let mut owned: Vec<(u32, [u32; 3])> = mesh
        .triangles
        .iter()
        .zip(&windings)
        .filter_map(|(t, winding)| Some((owner(winding)?, t.map(|v| node_of[v as usize]))))
        .collect();
    owned.sort_by_key(|&(owner, _)| owner);
    owned
}

/// How often each owner's outline winds around a place; owners that do not are left out.
type Winding = BTreeMap<u32, i32>;

/// The owner that winds most often, the first of several; none outside the domain.
fn owner(winding: &Winding) -> Option<u32> {
    if winding.values().sum::<i32>() <= 0 {
        return None;
    }
    let most = *winding.values().max()?;
    winding.iter().find(|&(_, &n)| n == most).map(|(&owner, _)| owner)
}

/// The steps of a path, each from its lower node.
fn steps(path: &[u32]) -> impl Iterator<Item = [u32; 2]> + '_ {
    path.windows(2).map(|w| [w[0].min(w[1]), w[0].max(w[1])])
}

/// The node at each vertex of the mesh.
fn nodes(drawn: &mut Drawn, mesh: &Mesh2) -> Vec<u32> {
    let mut node_of = vec![NONE; mesh.vertices.len()];
    for (node, &vertex) in (0..).zip(&mesh.merged) {
        node_of[vertex as usize] = node;
    }
    for (slot, &at) in node_of.iter_mut().zip(&mesh.vertices) {
        if *slot == NONE {
            *slot = drawn.snapped.node(at);
        }
    }
    node_of
}

/// What the owners' outlines add to their winding across each directed edge.
fn bounds(drawn: &Drawn) -> BTreeMap<[u32; 2], Vec<u32>> {
    let mut bounds: BTreeMap<[u32; 2], Vec<u32>> = BTreeMap::new();
    for (i, link) in drawn.links.iter().enumerate() {
        let nodes: Vec<u32> = drawn.nodes(i).collect();
        for w in nodes.windows(2) {
            bounds.entry([w[0], w[1]]).or_default().push(link.owner);
        }
    }
    bounds
}

/// The windings about each triangle, found from the outside inwards.
fn wind(mesh: &Mesh2, node_of: &[u32], bounds: &BTreeMap<[u32; 2], Vec<u32>>) -> Vec<Winding> {
    let mut windings: Vec<Option<Winding>> = vec![None; mesh.triangles.len()];
    let mut waiting = Vec::new();
    let cross = |mut winding: Winding, t: usize, k: usize, sign: i32| {
        let [u, v] = [k, (k + 1) % 3].map(|c| node_of[mesh.triangles[t][c] as usize]);
        for (ends, sign) in [([u, v], sign), ([v, u], -sign)] {
            for owner in bounds.get(&ends).into_iter().flatten() {
                *winding.entry(*owner).or_insert(0) += sign;
            }
        }
        winding.retain(|_, n| *n != 0);
        winding
    };
    for (t, winding) in windings.iter_mut().enumerate() {
        if let Some(k) = (0..3).find(|&k| mesh.neighbours[t][k] == NONE) {
            *winding = Some(cross(Winding::new(), t, k, 1));
            waiting.push(t);
        }
    }
    while let Some(t) = waiting.pop() {
        for k in 0..3 {
            let beyond = mesh.neighbours[t][k] as usize;
            if beyond != NONE as usize && windings[beyond].is_none() {
                let here = windings[t].clone().unwrap_or_default();
                windings[beyond] = Some(cross(here, t, k, -1));
                waiting.push(beyond);
            }
        }
    }
    windings.into_iter().map(Option::unwrap_or_default).collect()
}

/// The edges of the mesh, by node.
struct Roads {
    from: Vec<Vec<u32>>,
}

impl Roads {
    fn new(mesh: &Mesh2, node_of: &[u32], n_nodes: usize) -> Self {
        let mut from = vec![Vec::new(); n_nodes];
        for triangle in &mesh.triangles {
            for k in 0..3 {
                let [u, v] = [k, (k + 1) % 3].map(|c| node_of[triangle[c] as usize]);
                from[u as usize].push(v);
                from[v as usize].push(u);
            }
        }
        for ends in &mut from {
            ends.sort_unstable();
            ends.dedup();
        }
        Self { from }
    }

    /// Leads a path along edges of the mesh where it leaves them. Any way will do, being the same
    /// for the owners on both sides.
    fn follow(&self, path: &[u32]) -> Vec<u32> {
        let is_road = |w: &[u32]| self.from[w[0] as usize].binary_search(&w[1]).is_ok();
        if path.windows(2).all(is_road) {
            return path.to_vec();
        }
        let mut longer: Vec<u32> = path.first().copied().into_iter().collect();
        for w in path.windows(2) {
            let [low, high] = [w[0].min(w[1]), w[0].max(w[1])];
            let mut way = self.way(low, high);
            if low != w[0] {
                way.reverse();
            }
            longer.extend(way.into_iter().skip(1));
        }
        longer
    }

    /// The way of fewest edges from one node to another, the lower node first where two are alike.
    fn way(&self, from: u32, to: u32) -> Vec<u32> {
        let mut back = BTreeMap::from([(from, from)]);
        let mut waiting = VecDeque::from([from]);
        while let Some(at) = waiting.pop_front() {
            for &beyond in &self.from[at as usize] {
                back.entry(beyond).or_insert_with(|| {
                    waiting.push_back(beyond);
                    at
                });
            }
            if back.contains_key(&to) {
                break;
            }
        }
        let mut way = vec![to];
        while let Some(&last) = way.last().filter(|&&last| last != from) {
            way.push(back.get(&last).copied().unwrap_or(from));
        }
        way.reverse();
        way
    }
}

#[cfg(test)]
mod tests {
    use super::super::chains::Link;
    use super::super::snap::Snapped;
    use super::*;
    use crate::LatticePoint;
    use crate::predicates::orient;

    /// Outlines through nodes, one of an owner each, none led through where they cross.
    fn drawn(nodes: &[[i32; 2]], outlines: &[&[u32]]) -> Drawn {
        let mut drawn =
            Drawn { links: Vec::new(), snapped: Snapped::default(), path_of: Vec::new() };
        for &[x, y] in nodes {
            drawn.snapped.node(LatticePoint { x, y });
        }
        for (owner, outline) in (0..).zip(outlines) {
            for (i, &from) in outline.iter().enumerate() {
                let to = outline[(i + 1) % outline.len()];
                let link = Link { owner, from, to, carrier: NONE, fixed: false, heights: [0.0; 2] };
                drawn.links.push(link);
                drawn.path_of.push(drawn.path_of.len() as u32);
                drawn.snapped.paths.push([from.min(to), from.max(to)]);
            }
        }
        drawn
    }

    fn twice_areas(drawn: &Drawn, owned: &[(u32, [u32; 3])]) -> BTreeMap<u32, i64> {
        let mut areas = BTreeMap::new();
        for (owner, t) in owned {
            let [a, b, c] = t.map(|v| drawn.snapped.nodes[v as usize]);
            *areas.entry(*owner).or_insert(0) += orient(a, b, c);
        }
        areas
    }

    #[test]
    fn sound_outlines_keep_their_regions() {
        let nodes = [[0, 0], [10, 0], [10, 10], [0, 10]];
        let mut drawn = drawn(&nodes, &[&[0, 1, 2], &[0, 2, 3]]);
        let owned = redraw(&mut drawn);
        assert_eq!(twice_areas(&drawn, &owned), BTreeMap::from([(0, 100), (1, 100)]));
    }

    #[test]
    fn a_folded_outline_leaves_no_hole_and_no_overlap() {
        // The corner 4 was rounded across the diagonal's far side, over owner 1 and outside of it.
        let nodes = [[0, 0], [10, 0], [10, 10], [0, 10], [2, 12]];
        let mut drawn = drawn(&nodes, &[&[0, 1, 2, 4], &[0, 4, 2, 3]]);
        let owned = redraw(&mut drawn);
        let total: i64 = twice_areas(&drawn, &owned).values().sum();
        assert!(total >= 200, "{owned:?}");
        for (_, t) in &owned {
            let [a, b, c] = t.map(|v| drawn.snapped.nodes[v as usize]);
            assert!(orient(a, b, c) > 0);
        }
        let mut edges: Vec<[u32; 2]> =
            owned.iter().flat_map(|(_, [a, b, c])| [[*a, *b], [*b, *c], [*c, *a]]).collect();
        edges.sort_unstable();
        assert!(edges.windows(2).all(|pair| pair[0] != pair[1]), "{edges:?}");
    }

    #[test]
    fn outlines_on_one_line_bound_nothing() {
        let mut drawn = drawn(&[[0, 0], [5, 5], [9, 9]], &[&[0, 1, 2]]);
        assert!(redraw(&mut drawn).is_empty());
    }
}
