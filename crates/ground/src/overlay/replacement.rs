//! Faces that take the place of others in a surface.

use super::buckets::Hooks;
use crate::LatticePoint;
use crate::surface::{Face, NONE, Plane, Surface};

/// An outline does not bound its owner's region, or two owners have the same side of an edge.
pub(crate) struct Folded;

/// What a composition puts in place of faces of the ground.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Replacement {
    /// The faces of the ground that go, ascending.
    pub(crate) replaced: Vec<u32>,
    /// Vertices, heights in metres and planes that join those of the ground.
    pub(crate) vertices: Vec<LatticePoint>,
    pub(crate) heights: Vec<f64>,
    pub(crate) planes: Vec<Plane>,
    /// The faces that come; they name the ground's vertices, heights and planes by their indices and
    /// the new ones by those that follow, and have no neighbours yet.
    pub(crate) made: Vec<Face>,
    /// So many of them, the first, are parts of the ground's faces; the others are the patch's.
    pub(crate) n_of_ground: usize,
}

impl Replacement {
    /// The ground with the replacement in place.
    ///
    /// Faces that stay come first, in their order; then the new ones in theirs.
    pub(crate) fn put_into(&self, ground: &Surface) -> Result<Surface, Folded> {
        if self.made.is_empty() && self.replaced.is_empty() {
            return Ok(ground.clone());
        }
        let vertices = [ground.vertices(), &self.vertices].concat();
        let heights = [ground.heights(), &self.heights].concat();
        let planes = [ground.planes(), &self.planes].concat();
        let mut face_of = vec![0; ground.faces().len()];
        self.replaced.iter().for_each(|&face| face_of[face as usize] = NONE);
        let mut n_kept = 0;
        for new in face_of.iter_mut().filter(|new| **new != NONE) {
            *new = n_kept;
            n_kept += 1;
        }
        let mut faces: Vec<Face> = Vec::with_capacity(n_kept as usize + self.made.len());
        let mut open: Vec<(u32, u8)> = Vec::new();
        for (face, _) in ground.faces().iter().zip(&face_of).filter(|(_, new)| **new != NONE) {
            let kept = faces.len() as u32;
            let mut face = *face;
            for edge in 0..3 {
                let beyond = face.neighbours[edge];
                let new = if beyond == NONE { NONE } else { face_of[beyond as usize] };
                face.neighbours[edge] = new;
                if new == NONE {
                    open.push((kept, edge as u8));
                }
            }
            faces.push(face);
        }
        faces.extend(&self.made);
        join(&mut faces, n_kept as usize, &open, vertices.len())?;
        Ok(compact(ground, vertices, heights, faces, planes))
    }
}

/// One side of an edge, hung on the edge's lower vertex.
#[derive(Clone, Copy)]
struct Side {
    /// The vertex at the other end.
    upper: u32,
    face: u32,
    edge: u8,
    /// Whether the face runs the edge from its higher end.
    falls: bool,
    /// Whether the other side is found.
    joined: bool,
}

/// Makes faces neighbours that run the same edge both ways; what has no other side is a border.
///
/// `open` are the edges of kept faces, which come first, whose neighbours are gone.
fn join(
    faces: &mut [Face],
    n_kept: usize,
    open: &[(u32, u8)],
    n_vertices: usize,
) -> Result<(), Folded> {
    let mut known: Hooks<Side> = Hooks::below(n_vertices);
    for &(face, edge) in open {
        put_side(faces, n_kept, &mut known, face, edge)?;
    }
    for face in n_kept as u32..faces.len() as u32 {
        for edge in 0..3 {
            put_side(faces, n_kept, &mut known, face, edge)?;
        }
    }
    for side in known.all().filter(|side| !side.joined && side.face as usize >= n_kept) {
        faces[side.face as usize].fixed |= 1 << side.edge;
    }
    Ok(())
}

/// Joins a side to the other side of its edge, if that is known.
fn put_side(
    faces: &mut [Face],
    n_kept: usize,
    known: &mut Hooks<Side>,
    face: u32,
    edge: u8,
) -> Result<(), Folded> {
    let corners = faces[face as usize].vertices;
    let (from, to) = (corners[edge as usize], corners[(edge as usize + 1) % 3]);
    let (lower, upper) = (from.min(to), from.max(to));
    let here = Side { upper, face, edge, falls: from > to, joined: false };
    match known.find(lower, |there| there.upper == upper) {
        None => known.hang(lower, here),
        Some(there) if !there.joined && there.falls != here.falls => {
            there.joined = true;
            join_two(faces, n_kept, [*there, here]);
        }
        Some(_) => return Err(Folded),
    }
    Ok(())
}

/// A fixed edge of the ground stays fixed where one of its faces is made anew.
fn join_two(faces: &mut [Face], n_kept: usize, [a, b]: [Side; 2]) {
    let is_fixed = |side: Side| faces[side.face as usize].fixed >> side.edge & 1;
    let borders_kept = [a, b].iter().any(|side| (side.face as usize) < n_kept);
    let fixed = if borders_kept { is_fixed(a) | is_fixed(b) } else { 0 };
    for (here, there) in [(a, b), (b, a)] {
        let face = &mut faces[here.face as usize];
        face.neighbours[here.edge as usize] = there.face;
        face.fixed |= fixed << here.edge;
    }
}

/// Leaves out vertices, heights and planes that no face names.
fn compact(
    ground: &Surface,
    mut vertices: Vec<LatticePoint>,
    mut heights: Vec<f64>,
    mut faces: Vec<Face>,
    mut planes: Vec<Plane>,
) -> Surface {
    let unnamed = |n: usize| vec![NONE; n];
    let mut new_vertices = unnamed(vertices.len());
    let mut new_heights = unnamed(heights.len());
    let mut new_planes = unnamed(planes.len());
    for face in &faces {
        face.vertices.iter().for_each(|&v| new_vertices[v as usize] = 0);
        face.heights.iter().for_each(|&h| new_heights[h as usize] = 0);
        if face.plane != NONE {
            new_planes[face.plane as usize] = 0;
        }
    }
    keep_named(&mut vertices, &mut new_vertices);
    keep_named(&mut heights, &mut new_heights);
    keep_named(&mut planes, &mut new_planes);
    for face in &mut faces {
        face.vertices = face.vertices.map(|v| new_vertices[v as usize]);
        face.heights = face.heights.map(|h| new_heights[h as usize]);
        if face.plane != NONE {
            face.plane = new_planes[face.plane as usize];
        }
    }
    Surface::from_parts(ground.lattice(), vertices, heights, faces, planes)
}

/// Keeps what is named, in order, and says where each went.
fn keep_named<T: Copy>(things: &mut Vec<T>, new: &mut [u32]) {
    let mut n_kept = 0;
    for (i, slot) in new.iter_mut().enumerate() {
        if *slot != NONE {
            *slot = n_kept;
            things[n_kept as usize] = things[i];
            n_kept += 1;
        }
    }
    things.truncate(n_kept as usize);
}
