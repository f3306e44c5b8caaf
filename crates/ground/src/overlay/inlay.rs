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
    let of_lid = (0..).zip(ground.faces()).filter(|(_, face)| face.tag == lid);
    let replaced: Vec<u32> = of_lid.map(|(f, _)| f).collect();
    let outline = Outline::of(ground, lid, &replaced)?;
    let mut fitting = Fitting::of(ground, inlay, &outline, replaced)?;
    for f in 0..inlay.faces().len() as u32 {
        fitting.put(f)?;
    }
    let is_whole = fitting.n_passed == outline.ways.len();
    is_whole.then(|| fitting.new.put_into(ground).ok()).flatten()
}

/// A corner of a face that is made: its vertex and its height.
type Corner = (u32, u32);

/// An inlay while it is fitted in: along the outline it names what the ground does, and beside that its
/// own, which follows all of the ground's.
struct Fitting<'f> {
    ground: &'f Surface,
    inlay: &'f Surface,
    outline: &'f Outline,
    /// Where each of the inlay's vertices stands.
    vertex_of: Vec<u32>,
    /// Stretches of the outline that its faces run along.
    n_passed: usize,
    cutter: Cutter,
    new: Replacement,
}

impl<'f> Fitting<'f> {
    /// None where the outline lacks a vertex of the inlay's.
    fn of(
        ground: &'f Surface,
        inlay: &'f Surface,
        outline: &'f Outline,
        replaced: Vec<u32>,
    ) -> Option<Self> {
        let first = ground.vertices().len() as u32;
        let mut vertex_of: Vec<u32> = (first..).take(inlay.vertices().len()).collect();
        for face in inlay.faces() {
            for edge in (0..3).filter(|&edge| face.neighbours[edge] == NONE) {
                let from = face.vertices[edge];
                vertex_of[from as usize] = *outline.at.get(&place(inlay, from))?;
            }
        }
        let new = Replacement {
            replaced,
            vertices: inlay.vertices().to_vec(),
            heights: inlay.heights().to_vec(),
            planes: inlay.planes().to_vec(),
            ..Replacement::default()
        };
        let cutter = Cutter::default();
        Some(Self { ground, inlay, outline, vertex_of, n_passed: 0, cutter, new })
    }

    /// Puts a face of the inlay in; none where it does not fit.
    fn put(&mut self, f: u32) -> Option<()> {
        let face = &self.inlay.faces()[f as usize];
        let vertices = face.vertices.map(|v| self.vertex_of[v as usize]);
        let heights = [0, 1, 2].map(|k| match self.outline.ways.get(&vertices[k]) {
            Some(way) => way.height,
            None => self.ground.heights().len() as u32 + face.heights[k],
        });
        let mut corners: Vec<Corner> = Vec::with_capacity(3);
        for edge in 0..3 {
            corners.push((vertices[edge], heights[edge]));
            if face.neighbours[edge] == NONE {
                let before = corners.len();
                let ends = [vertices[edge], vertices[(edge + 1) % 3]];
                self.outline.follow(self.ground, ends, &mut corners)?;
                self.n_passed += 1 + corners.len() - before;
            }
        }
        if !self.fits(f, &corners) {
            return None;
        }
        let is_whole = corners.len() == 3;
        let plane = self.plane(f, is_whole, heights);
        let made = Face { vertices, heights, neighbours: [NONE; 3], plane, ..*face };
        if is_whole {
            self.new.made.push(made);
        } else {
            let parts = self.parts(made, &corners)?;
            self.new.made.extend(parts);
        }
        Some(())
    }

    /// A height that the ground names.
    fn known_m(&self, height: u32) -> Option<f64> {
        self.ground.heights().get(height as usize).copied()
    }

    /// Whether the heights along the outline are those of a face of the inlay there.
    fn fits(&self, f: u32, corners: &[Corner]) -> bool {
        let plane = self.inlay.plane(f);
        let tolerance_m = MOST_STEPS_OFF * steepness_m(&plane) + SAME_HEIGHT_M;
        let is_near = |&(vertex, height): &Corner| {
            let Some(z) = self.known_m(height) else { return true };
            (plane.at(self.ground.vertices()[vertex as usize]) - z).abs() <= tolerance_m
        };
        // Planes steeper than can be reckoned with tell nothing.
        tolerance_m.is_finite() && corners.iter().all(is_near)
    }

    /// The plane that a face names: none of its own where it is whole and has its own heights.
    fn plane(&mut self, f: u32, is_whole: bool, heights: [u32; 3]) -> u32 {
        let first = self.ground.planes().len();
        let stored = self.inlay.faces()[f as usize].plane;
        let mut own = self.inlay.corner_heights(f).into_iter().zip(heights);
        let is_own = own.all(|(own, height)| self.known_m(height).is_none_or(|z| z == own));
        match stored {
            NONE if is_whole && is_own => NONE,
            NONE => {
                self.new.planes.push(self.inlay.plane(f));
                (first + self.new.planes.len()) as u32 - 1
            }
            stored => first as u32 + stored,
        }
    }

    /// The triangles of an outermost face that has more corners than its own.
    fn parts(&mut self, whole: Face, corners: &[Corner]) -> Option<Vec<Face>> {
        let known = self.ground.vertices();
        let at = |vertex: u32| match known.get(vertex as usize) {
            Some(&at) => at,
            None => self.inlay.vertices()[vertex as usize - known.len()],
        };
        let places: Vec<_> = corners.iter().map(|corner| at(corner.0)).collect();
        let n = corners.len() as u32;
        let edges: Vec<[u32; 2]> = (0..n).map(|i| [i, (i + 1) % n]).collect();
        let mut triangles = Vec::new();
        self.cutter.cut(&places, &edges, &mut triangles).ok()?;
        // Of its own edges those stay fixed along which nothing was put.
        let fixed = |from: u32, to: u32| {
            let own = |&k: &usize| [whole.vertices[k], whole.vertices[(k + 1) % 3]] == [from, to];
            (0..3).find(own).is_some_and(|k| whole.fixed >> k & 1 == 1)
        };
        let face = |triangle: [u32; 3]| {
            let vertices = triangle.map(|i| corners[i as usize].0);
            let heights = triangle.map(|i| corners[i as usize].1);
            let bits = (0..3).filter(|&k| fixed(vertices[k], vertices[(k + 1) % 3]));
            Face { vertices, heights, fixed: bits.fold(0, |bits, k| bits | 1 << k), ..whole }
        };
        Some(triangles.into_iter().map(face).collect())
    }
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

    /// Adds what lies on the outline between two of its vertices, with the heights there; none where it
    /// leaves the line between them.
    fn follow(
        &self,
        ground: &Surface,
        [from, to]: [u32; 2],
        corners: &mut Vec<Corner>,
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
