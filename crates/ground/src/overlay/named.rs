//! What the corners of faces made anew name: vertices, heights and planes, of the ground where it has
//! them.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use super::assemble::Made;
use super::buckets::Hooks;
use super::chains::Pair;
use super::places::Mix;
use super::replacement::Replacement;
use super::touched::Drawn;
use crate::LatticePoint;
use crate::surface::{Face, NONE, Plane};

/// The vertex at each node; those that no vertex of the ground stands at are added.
pub(crate) fn vertices(
    pair: &Pair<'_>,
    drawn: &Drawn,
    made: &Made,
    added: &mut Vec<LatticePoint>,
) -> Vec<u32> {
    let ground = pair.ground;
    let mut vertex_of = vec![NONE; drawn.snapped.nodes.len()];
    let mut seen = vec![false; ground.vertices().len()];
    for vertex in drawn_ground(pair, drawn).flat_map(|face| face.vertices) {
        if !std::mem::replace(&mut seen[vertex as usize], true)
            && let Some(node) = drawn.snapped.known_node(ground.vertices()[vertex as usize])
        {
            vertex_of[node as usize] = vertex;
        }
    }
    for &node in made.nodes.as_flattened() {
        if vertex_of[node as usize] == NONE {
            vertex_of[node as usize] = (ground.vertices().len() + added.len()) as u32;
            added.push(drawn.snapped.nodes[node as usize]);
        }
    }
    vertex_of
}

/// Names the heights at the corners of the faces made anew; new ones are added.
///
/// The flattest face at a vertex comes first, for steep ones to follow.
pub(crate) fn heights(pair: &Pair<'_>, drawn: &Drawn, made: &Made, new: &mut Replacement) {
    let ground = pair.ground;
    let mut hung: Hooks<u32> = Hooks::below(ground.vertices().len());
    for face in drawn_ground(pair, drawn) {
        for (vertex, height) in face.vertices.into_iter().zip(face.heights) {
            if !hung.on(vertex).any(|&known| known == height) {
                hung.hang(vertex, height);
            }
        }
    }
    let corners = ByVertex::of(&new.made, ground.vertices().len() + new.vertices.len());
    let Replacement { made: faces, heights: added, .. } = new;
    let wanted = |corner: u32| made.wanted_m[corner as usize / 3][corner as usize % 3];
    let tolerance = |corner: u32| made.tolerances_m[corner as usize / 3];
    let (mut at, mut about): (Vec<(u32, f64)>, Vec<u32>) = (Vec::new(), Vec::new());
    for (vertex, corners) in corners.each() {
        at.clear();
        at.extend(hung.on(vertex).map(|&height| (height, ground.heights()[height as usize])));
        at.sort_unstable_by_key(|known| known.0);
        about.clear();
        about.extend(corners);
        let is_alike = |&corner: &u32| wanted(corner).to_bits() == wanted(corners[0]).to_bits();
        if !at.is_empty() || !corners.iter().all(is_alike) {
            about.sort_by(|&a, &b| {
                let flatter = tolerance(a).total_cmp(&tolerance(b));
                flatter.then(wanted(a).total_cmp(&wanted(b)))
            });
        }
        for &corner in &about {
            let distance = |known: &(u32, f64)| (known.1 - wanted(corner)).abs();
            let nearest = at.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)));
            let height = match nearest {
                Some(known) if distance(known) <= tolerance(corner) => known.0,
                _ => {
                    let height = (ground.heights().len() + added.len()) as u32;
                    added.push(wanted(corner));
                    at.push((height, wanted(corner)));
                    height
                }
            };
            faces[corner as usize / 3].heights[corner as usize % 3] = height;
        }
    }
}

/// Names the planes of the faces made anew; new ones are added.
pub(crate) fn planes(pair: &Pair<'_>, made: &Made, new: &mut Replacement) {
    let ground = pair.ground;
    let n_ground = ground.faces().len() as u32;
    let mut by_value: HashMap<[u64; 4], u32, BuildHasherDefault<Mix>> = HashMap::default();
    let Replacement { made: new_faces, heights: new_heights, planes: added, .. } = new;
    let height_m = |height: u32| match ground.heights().get(height as usize) {
        Some(&known) => known,
        None => new_heights[height as usize - ground.heights().len()],
    };
    for (region, faces) in made.by_region() {
        let (surface, source) = pair.source(region.owner);
        let stored = surface.faces()[source as usize].plane;
        let is_whole = |face: &Face| face.heights.map(height_m) == surface.corner_heights(source);
        let plane = if stored == NONE && region.entire && is_whole(&new_faces[faces.start]) {
            NONE
        } else if stored != NONE && region.owner < n_ground {
            stored
        } else {
            *by_value.entry(key(&region.plane)).or_insert_with(|| {
                added.push(region.plane);
                (ground.planes().len() + added.len()) as u32 - 1
            })
        };
        new_faces[faces].iter_mut().for_each(|face| face.plane = plane);
    }
}

fn key(plane: &Plane) -> [u64; 4] {
    let anchor = (u64::from(plane.anchor.x as u32) << 32) | u64::from(plane.anchor.y as u32);
    [anchor, plane.z.to_bits(), plane.rise[0].to_bits(), plane.rise[1].to_bits()]
}

/// The faces of the ground whose outlines are drawn.
fn drawn_ground<'d>(pair: &'d Pair<'_>, drawn: &'d Drawn) -> impl Iterator<Item = &'d Face> {
    drawn.owners().map_while(|(owner, _)| pair.ground.faces().get(owner as usize))
}

/// Corners, three to a face, by the vertices that they stand on.
struct ByVertex {
    /// Where the corners of each vertex end.
    ends: Vec<u32>,
    corners: Vec<u32>,
}

impl ByVertex {
    fn of(faces: &[Face], n_vertices: usize) -> Self {
        let mut ends = vec![0u32; n_vertices + 1];
        let vertices = || faces.iter().flat_map(|face| face.vertices);
        vertices().for_each(|vertex| ends[vertex as usize + 1] += 1);
        for i in 1..ends.len() {
            ends[i] += ends[i - 1];
        }
        let mut corners = vec![0; 3 * faces.len()];
        for (vertex, corner) in vertices().zip(0..) {
            let end = &mut ends[vertex as usize];
            corners[*end as usize] = corner;
            *end += 1;
        }
        Self { ends, corners }
    }

    /// Each vertex that has corners, with these, ascending.
    fn each(&self) -> impl Iterator<Item = (u32, &[u32])> {
        let mut start = 0;
        (0..).zip(&self.ends).filter_map(move |(vertex, &end)| {
            let corners = &self.corners[start as usize..end as usize];
            start = end;
            (!corners.is_empty()).then_some((vertex, corners))
        })
    }
}
