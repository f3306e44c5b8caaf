//! A surface in place of faces that cover the same plan: a *lid* taken off, and what lies under it shown.
//!
//! ```text
//!    composed          lid           inlaid
//!   +---------+     +-------+      +---------+
//!   |  +---+  |     |      /|      |  +---+  |     A patch that wins all within its outline need not
//!   |  | \ |  |     |    /  |      |  |:::|  |     be composed face by face: a lid of few faces with
//!   |  +---+  |     |  /    |      |  +---+  |     that outline is, and the patch takes its place.
//!   +---------+     +-------+      +---------+
//! ```
//! Composing may have bent the outline, or put vertices on it where the ground beyond needs them. There the
//! patch's outermost faces are cut anew, each in its own plane.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use super::assemble::SAME_HEIGHT_M;
use super::facet::steepness_m;
use super::places::Mix;
use super::polygon::Cutter;
use super::replacement::Replacement;
use crate::predicates::orient;
use crate::surface::{Face, NONE, Surface, Tag};

/// The ground with an inlay in place of the faces that carry a lid's tag.
///
/// Both must have the same outline but for vertices that the lid's has between those of the inlay's, and
/// the same heights along it. None where they have not: then the inlay must be composed itself.
pub fn inlaid(ground: &Surface, lid: Tag, inlay: &Surface) -> Option<Surface> {
    let replaced: Vec<u32> =
        (0..).zip(ground.faces()).filter(|(_, face)| face.tag == lid).map(|(f, _)| f).collect();
    let outline = Outline::of(ground, lid, &replaced)?;
    let [n_vertices, n_heights, n_planes] =
        [ground.vertices().len(), ground.heights().len(), ground.planes().len()];
    let mut new = Replacement {
        replaced,
        vertices: inlay.vertices().to_vec(),
        heights: inlay.heights().to_vec(),
        planes: inlay.planes().to_vec(),
        ..Replacement::default()
    };
    let mut vertex_of: Vec<u32> = (n_vertices as u32..).take(inlay.vertices().len()).collect();
    for face in inlay.faces() {
        for edge in (0..3).filter(|&edge| face.neighbours[edge] == NONE) {
            let from = face.vertices[edge];
            vertex_of[from as usize] = outline.vertex_at(inlay, from)?;
        }
    }
    let (mut cutter, mut n_passed) = (Cutter::default(), 0);
    for (face, at) in inlay.faces().iter().zip(0..) {
        let vertices = face.vertices.map(|v| vertex_of[v as usize]);
        let named = |k: usize| match outline.ways.get(&vertices[k]) {
            Some(way) => way.height,
            None => n_heights as u32 + face.heights[k],
        };
        let heights = [named(0), named(1), named(2)];
        let mut corners: Vec<(u32, u32)> = Vec::with_capacity(3);
        for edge in 0..3 {
            corners.push((vertices[edge], heights[edge]));
            if face.neighbours[edge] == NONE {
                let before = corners.len();
                outline.follow(ground, [vertices[edge], vertices[(edge + 1) % 3]], &mut corners)?;
                n_passed += 1 + corners.len() - before;
            }
        }
        let plane = inlay.plane(at);
        let tolerance_m = MOST_STEPS_OFF * steepness_m(&plane) + SAME_HEIGHT_M;
        let known = |height: u32| ground.heights().get(height as usize).copied();
        let fits = |&(vertex, height): &(u32, u32)| {
            let Some(z) = known(height) else { return true };
            (plane.at(ground.vertices()[vertex as usize]) - z).abs() <= tolerance_m
        };
        // Planes steeper than can be reckoned with tell nothing.
        if !tolerance_m.is_finite() || !corners.iter().all(fits) {
            return None;
        }
        let is_whole = corners.len() == 3;
        let mut own = inlay.corner_heights(at).into_iter().zip(heights);
        let is_own = own.all(|(own, height)| known(height).is_none_or(|z| z == own));
        let plane = match face.plane {
            NONE if is_whole && is_own => NONE,
            NONE => {
                new.planes.push(plane);
                (n_planes + new.planes.len()) as u32 - 1
            }
            stored => n_planes as u32 + stored,
        };
        let made = Face { vertices, heights, neighbours: [NONE; 3], plane, ..*face };
        if is_whole {
            new.made.push(made);
        } else {
            new.made.extend(cut(&mut cutter, ground, inlay, made, &corners)?);
        }
    }
    (n_passed == outline.ways.len()).then(|| new.put_into(ground).ok()).flatten()
}

/// An outline that is drawn twice is bent by a step or so each time.
const MOST_STEPS_OFF: f64 = 4.0;

/// The outline of a lid, counter-clockwise from vertex to vertex.
struct Outline {
    ways: HashMap<u32, Way, BuildHasherDefault<Mix>>,
    at: HashMap<u64, u32, BuildHasherDefault<Mix>>,
}

/// The way on from a vertex of an outline, and the height that the lid names there.
#[derive(Clone, Copy)]
struct Way {
    to: u32,
    height: u32,
}

impl Outline {
    /// None where the lid touches itself, or has a step along its outline.
    fn of(ground: &Surface, lid: Tag, faces: &[u32]) -> Option<Self> {
        let mut outline = Self { ways: HashMap::default(), at: HashMap::default() };
        let beyond = |n: u32| n == NONE || ground.faces()[n as usize].tag != lid;
        let mut ends = Vec::new();
        for &f in faces {
            let face = &ground.faces()[f as usize];
            for edge in (0..3).filter(|&edge| beyond(face.neighbours[edge])) {
                let end = (edge + 1) % 3;
                let (from, to) = (face.vertices[edge], face.vertices[end]);
                let way = Way { to, height: face.heights[edge] };
                if outline.ways.insert(from, way).is_some() {
                    return None;
                }
                outline.at.insert(place(ground, from), from);
                ends.push((to, face.heights[end]));
            }
        }
        let is_level = |(to, height): &(u32, u32)| {
            outline.ways.get(to).is_some_and(|way| way.height == *height)
        };
        ends.iter().all(is_level).then_some(outline)
    }

    /// The vertex of the outline at the place of one of the inlay's.
    fn vertex_at(&self, inlay: &Surface, vertex: u32) -> Option<u32> {
        self.at.get(&place(inlay, vertex)).copied()
    }

    /// Adds what lies on the outline between two of its vertices, with the heights there; none where it
    /// leaves the line between them.
    fn follow(
        &self,
        ground: &Surface,
        [from, to]: [u32; 2],
        corners: &mut Vec<(u32, u32)>,
    ) -> Option<()> {
        let at = |vertex: u32| ground.vertices()[vertex as usize];
        let (start, end) = (at(from), at(to));
        let length = libm::hypot(
            f64::from(end.x) - f64::from(start.x),
            f64::from(end.y) - f64::from(start.y),
        );
        let is_beside =
            |vertex: u32| (orient(start, end, at(vertex)) as f64).abs() <= MOST_STEPS_OFF * length;
        let mut way = self.ways.get(&from)?;
        while way.to != to {
            let next = self.ways.get(&way.to).filter(|_| way.to != from && is_beside(way.to))?;
            corners.push((way.to, next.height));
            way = next;
        }
        Some(())
    }
}

/// A vertex's place as one number.
fn place(surface: &Surface, vertex: u32) -> u64 {
    let at = surface.vertices()[vertex as usize];
    u64::from(at.x as u32) << 32 | u64::from(at.y as u32)
}

/// The triangles of an outermost face whose edges have more corners than its own.
fn cut(
    cutter: &mut Cutter,
    ground: &Surface,
    inlay: &Surface,
    whole: Face,
    corners: &[(u32, u32)],
) -> Option<Vec<Face>> {
    let n_ground = ground.vertices().len();
    let at = |vertex: u32| match ground.vertices().get(vertex as usize) {
        Some(&at) => at,
        None => inlay.vertices()[vertex as usize - n_ground],
    };
    let places: Vec<_> = corners.iter().map(|corner| at(corner.0)).collect();
    let n = corners.len() as u32;
    let edges: Vec<[u32; 2]> = (0..n).map(|i| [i, (i + 1) % n]).collect();
    let mut triangles = Vec::new();
    cutter.cut(&places, &edges, &mut triangles).ok()?;
    // Of its own edges those stay fixed along which nothing was put.
    let fixed = |from: u32, to: u32| {
        let k = (0..3).find(|&k| [whole.vertices[k], whole.vertices[(k + 1) % 3]] == [from, to]);
        k.is_some_and(|k| whole.fixed >> k & 1 == 1)
    };
    let face = |triangle: [u32; 3]| {
        let vertices = triangle.map(|i| corners[i as usize].0);
        let heights = triangle.map(|i| corners[i as usize].1);
        let bits = (0..3).filter(|&k| fixed(vertices[k], vertices[(k + 1) % 3]));
        Face { vertices, heights, fixed: bits.fold(0, |bits, k| bits | 1 << k), ..whole }
    };
    Some(triangles.into_iter().map(face).collect())
}
