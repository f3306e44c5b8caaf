//! Finding every pair of faces that overlap, by flooding across edges.
//!
//! Faces of one surface are taken in turn; each brings the face of the other from which the flood
//! inside it starts, so that nothing is searched for except where a border cuts the flood off.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::ControlFlow;

use super::grid::FaceGrid;
use super::overlap::{NO_EDGE, Overlap, next, overlap};
use crate::LatticePoint;
use crate::predicates::orient;
use crate::surface::{Face, NONE, Surface};

/// Calls `visit(a_face, b_face, overlap)` once for every pair of faces that share an area.
///
/// Pairs come grouped by the face of `a`, in an order that depends on the surfaces alone.
pub(crate) fn pairs(a: &Surface, b: &Surface, visit: impl FnMut(u32, u32, &Overlap)) {
    pairs_but(a, b, &[], visit);
}

/// The same until a visit asks for no more.
pub(crate) fn pairs_while(
    a: &Surface,
    b: &Surface,
    visit: impl FnMut(u32, u32, &Overlap) -> ControlFlow<()>,
) -> ControlFlow<()> {
    walk(a, b, vec![false; a.faces().len()], visit)
}

/// The same without the faces that both surfaces have, as [`shared_faces`] tells them.
pub(crate) fn pairs_but(
    a: &Surface,
    b: &Surface,
    shared: &[[u32; 2]],
    visit: impl FnMut(u32, u32, &Overlap),
) {
    // Nothing else of `b` overlaps a face that both have.
    let mut done = vec![false; a.faces().len()];
    shared.iter().for_each(|&[a_face, _]| done[a_face as usize] = true);
    walk_all(a, b, done, visit);
}

/// The same for some faces of `a` only.
pub(crate) fn pairs_of(
    a: &Surface,
    b: &Surface,
    wanted: impl Fn(u32) -> bool,
    visit: impl FnMut(u32, u32, &Overlap),
) {
    let done: Vec<bool> = (0..a.faces().len() as u32).map(|face| !wanted(face)).collect();
    if done.contains(&false) {
        walk_all(a, b, done, visit);
    }
}

/// The same for the faces of `a` that are not `done`.
fn walk_all(a: &Surface, b: &Surface, done: Vec<bool>, mut visit: impl FnMut(u32, u32, &Overlap)) {
    let _ = walk(a, b, done, |a_face, b_face, shared| {
        visit(a_face, b_face, shared);
        ControlFlow::Continue(())
    });
}

fn walk(
    a: &Surface,
    b: &Surface,
    done: Vec<bool>,
    mut visit: impl FnMut(u32, u32, &Overlap) -> ControlFlow<()>,
) -> ControlFlow<()> {
    assert_eq!(a.lattice(), b.lattice(), "surfaces of one site share its lattice");
    let mut walk = Walk {
        a,
        b,
        finder: Finder::new(b),
        stamps: vec![NONE; b.faces().len()],
        reached: done,
        waiting: BinaryHeap::new(),
        inside: Vec::new(),
        shared: Overlap::NONE,
    };
    for first in 0..a.faces().len() as u32 {
        if !walk.reached[first as usize] {
            walk.find_start(first);
        }
        while let Some(Reverse([a_face, b_face])) = walk.waiting.pop() {
            walk.flood(a_face, b_face, &mut visit)?;
        }
    }
    ControlFlow::Continue(())
}

/// The faces that two surfaces both have, their planes and makers included, as pairs of their numbers.
///
/// One pass finds all that composing leaves as they are, which it keeps in their order and before
/// those that it makes; of surfaces without such a history it may find none.
pub(crate) fn shared_faces(a: &Surface, b: &Surface) -> Vec<[u32; 2]> {
    let n_b = b.faces().len() as u32;
    let mut shared = Vec::new();
    for a_face in 0..a.faces().len() as u32 {
        let b_face = shared.len() as u32;
        if b_face < n_b
            && a.corners(a_face) == b.corners(b_face)
            && a.plane(a_face) == b.plane(b_face)
            && a.faces()[a_face as usize].tag == b.faces()[b_face as usize].tag
        {
            shared.push([a_face, b_face]);
        }
    }
    shared
}

/// What is done with each pair.
trait Visit: FnMut(u32, u32, &Overlap) -> ControlFlow<()> {}

impl<V: FnMut(u32, u32, &Overlap) -> ControlFlow<()>> Visit for V {}

struct Walk<'s> {
    a: &'s Surface,
    b: &'s Surface,
    finder: Finder<'s>,
    /// The last face of `a` that met each face of `b`.
    stamps: Vec<u32>,
    /// Whether each face of `a` has been visited or waits.
    reached: Vec<bool>,
    /// Faces of `a` with a face of `b` in each; the least comes first, since faces near each other
    /// in number lie near each other in memory, and mostly in plan.
    waiting: BinaryHeap<Reverse<[u32; 2]>>,
    inside: Vec<u32>,
    shared: Overlap,
}

impl Walk<'_> {
    /// Finds a partner for a face that no flood has reached.
    fn find_start(&mut self, a_face: u32) {
        let partner = self.finder.face_under(self.a.corners(a_face));
        self.reached[a_face as usize] = true;
        self.waiting.extend(partner.map(|f| Reverse([a_face, f])));
    }

    fn flood(&mut self, a_face: u32, from: u32, visit: &mut impl Visit) -> ControlFlow<()> {
        self.stamps[from as usize] = a_face;
        self.inside.push(from);
        if !self.drain(a_face, visit)? {
            return ControlFlow::Continue(());
        }
        // A border of `b` runs through this face: `b` may come back elsewhere in it.
        for b_face in self.finder.near(self.a.corners(a_face)) {
            if self.stamps[b_face as usize] != a_face {
                self.inside.push(b_face);
                self.stamps[b_face as usize] = a_face;
                self.drain(a_face, visit)?;
            }
        }
        ControlFlow::Continue(())
    }

    /// Visits what the flood holds and all that it reaches; true when it met a border of `b`.
    fn drain(&mut self, a_face: u32, visit: &mut impl Visit) -> ControlFlow<(), bool> {
        let corners = self.a.corners(a_face);
        let mut met_border = false;
        while let Some(b_face) = self.inside.pop() {
            if self.shared.find(corners, self.b.corners(b_face)) {
                visit(a_face, b_face, &self.shared)?;
                met_border |= self.spread(a_face, b_face);
            }
        }
        ControlFlow::Continue(met_border)
    }

    fn spread(&mut self, a_face: u32, b_face: u32) -> bool {
        let a_next = self.a.faces()[a_face as usize].neighbours;
        let b_next = self.b.faces()[b_face as usize].neighbours;
        let mut met_border = false;
        for piece in self.shared.pieces() {
            let a_beyond = (piece.a_edge != NO_EDGE).then(|| a_next[piece.a_edge as usize]);
            let b_beyond = (piece.b_edge != NO_EDGE).then(|| b_next[piece.b_edge as usize]);
            match (a_beyond, b_beyond) {
                (None, Some(NONE)) => met_border = true,
                (None, Some(b_other)) => {
                    if self.stamps[b_other as usize] != a_face {
                        self.stamps[b_other as usize] = a_face;
                        self.inside.push(b_other);
                    }
                }
                (Some(a_other), b_beyond) => {
                    let b_other = b_beyond.unwrap_or(b_face);
                    if a_other != NONE && b_other != NONE && !self.reached[a_other as usize] {
                        self.reached[a_other as usize] = true;
                        self.waiting.push(Reverse([a_other, b_other]));
                    }
                }
                (None, None) => {}
            }
        }
        met_border
    }
}

/// Finds faces of a surface near a triangle: by walking there, then among the faces at its borders,
/// and only then among all.
pub(crate) struct Finder<'s> {
    surface: &'s Surface,
    bounds: [i32; 4],
    borders: Option<Borders>,
    all: Option<FaceGrid>,
}

/// The faces at the borders of a surface.
struct Borders {
    faces: Vec<u32>,
    grid: FaceGrid,
    /// How often it was asked what they wind around.
    n_asked: usize,
}

/// After so many questions what borders wind around, all faces are sorted.
const MOST_ASKED: usize = 128;

impl<'s> Finder<'s> {
    pub(crate) fn new(surface: &'s Surface) -> Self {
        Self { surface, bounds: FaceGrid::bounds(surface), borders: None, all: None }
    }

    /// A face that shares an area with a triangle.
    pub(crate) fn face_under(&mut self, corners: [LatticePoint; 3]) -> Option<u32> {
        if !FaceGrid::touches(self.bounds, corners) {
            return None;
        }
        let surface = self.surface;
        let shares = |f: &u32| overlap(corners, surface.corners(*f)).is_some();
        let middle = middle(corners);
        let walked = walk_to(surface, middle).filter(shares);
        let found = walked.or_else(|| self.borders().grid.near(corners).find(shares));
        // Where no border runs through the triangle, all of it is covered, or nothing.
        if found.is_some() || !self.borders().may_cover(surface, middle) {
            return found;
        }
        let every = || (0..surface.faces().len() as u32).collect::<Vec<_>>();
        let all = self.all.get_or_insert_with(|| FaceGrid::new(surface, &every()));
        all.near(corners).find(shares)
    }

    /// The faces at borders whose boxes may meet that of a triangle; one may come more than once.
    ///
    /// What is cut off of the surface within a triangle has such a face.
    pub(crate) fn near(&mut self, corners: [LatticePoint; 3]) -> Vec<u32> {
        self.borders().grid.near(corners).collect()
    }

    fn borders(&mut self) -> &mut Borders {
        let surface = self.surface;
        self.borders.get_or_insert_with(|| {
            let at_border =
                |(face, of): (u32, &Face)| of.neighbours.contains(&NONE).then_some(face);
            let faces: Vec<u32> = (0..).zip(surface.faces()).filter_map(at_border).collect();
            Borders { grid: FaceGrid::new(surface, &faces), faces, n_asked: 0 }
        })
    }
}

impl Borders {
    /// Whether the borders wind around a place, as far as that is worth asking.
    fn may_cover(&mut self, surface: &Surface, place: LatticePoint) -> bool {
        self.n_asked += 1;
        if self.n_asked > MOST_ASKED {
            return true;
        }
        let mut winding = 0;
        for &face in &self.faces {
            let corners = surface.corners(face);
            let beyond = surface.faces()[face as usize].neighbours;
            for edge in (0..3).filter(|&edge| beyond[edge] == NONE) {
                let (p, q) = (corners[edge], corners[next(edge)]);
                let side = orient(p, q, place);
                winding += i32::from(p.y <= place.y && q.y > place.y && side > 0);
                winding -= i32::from(q.y <= place.y && p.y > place.y && side < 0);
            }
        }
        winding != 0
    }
}

/// The lattice point nearest to the middle of a triangle.
fn middle(corners: [LatticePoint; 3]) -> LatticePoint {
    let mean = |c: [i32; 3]| (c.iter().map(|&v| i64::from(v)).sum::<i64>().div_euclid(3)) as i32;
    LatticePoint { x: mean(corners.map(|p| p.x)), y: mean(corners.map(|p| p.y)) }
}

/// The face that holds a place, when walking there straight from the first face meets no border.
fn walk_to(surface: &Surface, place: LatticePoint) -> Option<u32> {
    let mut at = 0;
    for _ in 0..surface.faces().len() {
        let corners = surface.corners(at);
        let crossed = (0..3).find(|&e| orient(corners[e], corners[next(e)], place) < 0);
        let Some(edge) = crossed else { return Some(at) };
        at = surface.faces()[at as usize].neighbours[edge];
        if at == NONE {
            return None;
        }
    }
    None
}
