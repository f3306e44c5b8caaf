//! A surface: triangles in plan, each corner naming a height.
//!
//! ```text
//!            v2
//!           /  \
//!   edge 2 /    \ edge 1        edge i runs from corner i to corner i + 1;
//!         /      \              neighbours[i] is the face across it
//!       v0 ------ v1
//!          edge 0
//! ```
//! Two faces that share an edge may name different heights along it: the edge is then a *step*, a
//! vertical face of no width in plan.

use crate::{Lattice, LatticePoint};

/// Stands where an index is absent: no neighbour, no stored plane.
pub const NONE: u32 = u32::MAX;

/// Whose a face is, in the caller's own numbering; the kernel only carries it along.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag {
    /// Who made the face; zero is the surface as surveyed.
    pub owner: u32,
    /// Which part of its maker's work the face belongs to.
    pub part: u32,
}

/// The plane that a face lies in: its height at `anchor` and its rise per lattice step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// The place at which the height is `z`.
    pub anchor: LatticePoint,
    /// Height at the anchor, in metres.
    pub z: f64,
    /// Rise per step east and per step north, in metres.
    pub rise: [f64; 2],
}

/// One triangle of a [`Surface`], its corners counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Indices of the corners among the surface's vertices.
    pub vertices: [u32; 3],
    /// Indices among the surface's heights, corner by corner.
    pub heights: [u32; 3],
    /// The face across each edge, or [`NONE`].
    pub neighbours: [u32; 3],
    /// Index among the surface's planes, or [`NONE`] for the plane through the corners.
    pub plane: u32,
    /// Whose the face is.
    pub tag: Tag,
    /// Bit i is set when edge i is a breakline, an outline or the boundary.
    pub fixed: u8,
}

/// A valid triangulated surface over a part of the plan.
///
/// Plan coordinates are lattice steps, heights are metres. Values are made by the builders of this
/// crate; [`Surface::check`] proves what they promise.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    lattice: Lattice,
    vertices: Vec<LatticePoint>,
    heights: Vec<f64>,
    faces: Vec<Face>,
    planes: Vec<Plane>,
}

impl Plane {
    /// The plane through three places with heights in metres; they must not lie on one line.
    pub fn through(corners: [(LatticePoint, f64); 3]) -> Self {
        let [(a, za), (b, zb), (c, zc)] = corners;
        let (bx, by) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
        let (cx, cy) = (f64::from(c.x) - f64::from(a.x), f64::from(c.y) - f64::from(a.y));
        let (bz, cz) = (zb - za, zc - za);
        let twice_area = crate::predicates::orient(a, b, c) as f64;
        let rise = [(bz * cy - cz * by) / twice_area, (cz * bx - bz * cx) / twice_area];
        Self { anchor: a, z: za, rise }
    }

    /// Height in metres at a place given in lattice steps from the anchor.
    #[inline]
    pub fn at_offset(&self, dx: f64, dy: f64) -> f64 {
        self.z + (self.rise[0] * dx + self.rise[1] * dy)
    }

    /// Height in metres at a lattice place.
    #[inline]
    pub fn at(&self, p: LatticePoint) -> f64 {
        self.at_offset(
            f64::from(p.x) - f64::from(self.anchor.x),
            f64::from(p.y) - f64::from(self.anchor.y),
        )
    }

    /// Rise over run along the steepest way, a pure number.
    pub fn grade(&self, lattice: Lattice) -> f64 {
        libm::hypot(self.rise[0], self.rise[1]) / lattice.step_m()
    }
}

impl Surface {
    /// Puts a surface together from parts that the caller has proven valid.
    pub(crate) fn from_parts(
        lattice: Lattice,
        vertices: Vec<LatticePoint>,
        heights: Vec<f64>,
        faces: Vec<Face>,
        planes: Vec<Plane>,
    ) -> Self {
        Self { lattice, vertices, heights, faces, planes }
    }

    /// The lattice on which the vertices lie.
    pub fn lattice(&self) -> Lattice {
        self.lattice
    }

    /// The vertices in plan.
    pub fn vertices(&self) -> &[LatticePoint] {
        &self.vertices
    }

    /// The heights that corners name, in metres.
    pub fn heights(&self) -> &[f64] {
        &self.heights
    }

    /// The triangles.
    pub fn faces(&self) -> &[Face] {
        &self.faces
    }

    /// The planes that faces share.
    pub fn planes(&self) -> &[Plane] {
        &self.planes
    }

    /// The same surface, higher by so many metres; lower below zero.
    pub fn raised(&self, by_m: f64) -> Self {
        let mut raised = self.clone();
        raised.heights.iter_mut().for_each(|z| *z += by_m);
        raised.planes.iter_mut().for_each(|plane| plane.z += by_m);
        raised
    }

    /// The same surface, each face lower by so many metres of its own.
    ///
    /// Where two faces that met along an edge are lowered by different amounts, the edge becomes a
    /// step. `by_m` is asked once for each face, in order, and must answer with few different values.
    pub fn lowered(&self, by_m: impl Fn(u32) -> f64) -> Self {
        let mut steps_m: Vec<f64> = Vec::new();
        let kinds: Vec<usize> = (0..self.faces.len() as u32)
            .map(|face| {
                let step_m = by_m(face);
                steps_m.iter().position(|other| *other == step_m).unwrap_or_else(|| {
                    steps_m.push(step_m);
                    steps_m.len() - 1
                })
            })
            .collect();
        let mut heights = Renumbered::new(self.heights.len(), steps_m.len());
        let mut planes = Renumbered::new(self.planes.len(), steps_m.len());
        let lowered = |(face, &kind): (&Face, &usize)| Face {
            heights: face.heights.map(|h| heights.take(h, kind)),
            plane: if face.plane == NONE { NONE } else { planes.take(face.plane, kind) },
            ..*face
        };
        let faces = self.faces.iter().zip(&kinds).map(lowered).collect();
        let height = |(h, kind): &(u32, usize)| self.heights[*h as usize] - steps_m[*kind];
        let plane = |(p, kind): &(u32, usize)| {
            let plane = self.planes[*p as usize];
            Plane { z: plane.z - steps_m[*kind], ..plane }
        };
        Self {
            lattice: self.lattice,
            vertices: self.vertices.clone(),
            heights: heights.taken.iter().map(height).collect(),
            faces,
            planes: planes.taken.iter().map(plane).collect(),
        }
    }

    /// The faces that `wanted` names by index, as a surface of their own; none without one.
    pub fn part(&self, wanted: impl Fn(u32) -> bool) -> Option<Self> {
        let kept: Vec<u32> = (0..self.faces.len() as u32).filter(|&f| wanted(f)).collect();
        if kept.is_empty() {
            return None;
        }
        let mut number = vec![NONE; self.faces.len()];
        kept.iter().zip(0..).for_each(|(&f, n)| number[f as usize] = n);
        let mut vertices = Renumbered::new(self.vertices.len(), 1);
        let mut heights = Renumbered::new(self.heights.len(), 1);
        let mut planes = Renumbered::new(self.planes.len(), 1);
        let face = |&f: &u32| {
            let face = &self.faces[f as usize];
            Face {
                vertices: face.vertices.map(|v| vertices.take(v, 0)),
                heights: face.heights.map(|h| heights.take(h, 0)),
                neighbours: face
                    .neighbours
                    .map(|n| if n == NONE { NONE } else { number[n as usize] }),
                plane: if face.plane == NONE { NONE } else { planes.take(face.plane, 0) },
                ..*face
            }
        };
        let faces = kept.iter().map(face).collect();
        Some(Self {
            lattice: self.lattice,
            vertices: vertices.taken.iter().map(|(v, _)| self.vertices[*v as usize]).collect(),
            heights: heights.taken.iter().map(|(h, _)| self.heights[*h as usize]).collect(),
            faces,
            planes: planes.taken.iter().map(|(p, _)| self.planes[*p as usize]).collect(),
        })
    }

    /// Surfaces on one lattice that lie apart in plan, as one; none of none.
    pub fn side_by_side(surfaces: &[Self]) -> Option<Self> {
        let mut whole = surfaces.first()?.clone();
        for surface in &surfaces[1..] {
            let shift = |i: u32, by: usize| if i == NONE { NONE } else { i + by as u32 };
            let (n_vertices, n_heights) = (whole.vertices.len(), whole.heights.len());
            let (n_faces, n_planes) = (whole.faces.len(), whole.planes.len());
            whole.faces.extend(surface.faces.iter().map(|face| Face {
                vertices: face.vertices.map(|v| shift(v, n_vertices)),
                heights: face.heights.map(|h| shift(h, n_heights)),
                neighbours: face.neighbours.map(|n| shift(n, n_faces)),
                plane: shift(face.plane, n_planes),
                ..*face
            }));
            whole.vertices.extend(&surface.vertices);
            whole.heights.extend(&surface.heights);
            whole.planes.extend(&surface.planes);
        }
        Some(whole)
    }

    /// The three corners of a face in plan, counter-clockwise.
    #[inline]
    pub fn corners(&self, face_idx: u32) -> [LatticePoint; 3] {
        self.faces[face_idx as usize].vertices.map(|v| self.vertices[v as usize])
    }

    /// The heights at a face's corners, in metres.
    #[inline]
    pub fn corner_heights(&self, face_idx: u32) -> [f64; 3] {
        self.faces[face_idx as usize].heights.map(|h| self.heights[h as usize])
    }

    /// The plane that a face lies in: the one it was cut from, else the one through its corners.
    #[inline]
    pub fn plane(&self, face_idx: u32) -> Plane {
        let stored = self.faces[face_idx as usize].plane;
        if stored != NONE {
            return self.planes[stored as usize];
        }
        let (p, z) = (self.corners(face_idx), self.corner_heights(face_idx));
        Plane::through([(p[0], z[0]), (p[1], z[1]), (p[2], z[2])])
    }
}

/// Numbers given anew to what is named together with one of a few kinds.
struct Renumbered {
    n_kinds: usize,
    number: Vec<u32>,
    taken: Vec<(u32, usize)>,
}

impl Renumbered {
    fn new(n: usize, n_kinds: usize) -> Self {
        Self { n_kinds, number: vec![NONE; n * n_kinds], taken: Vec::with_capacity(n) }
    }

    fn take(&mut self, of: u32, kind: usize) -> u32 {
        let slot = &mut self.number[of as usize * self.n_kinds + kind];
        if *slot == NONE {
            *slot = self.taken.len() as u32;
            self.taken.push((of, kind));
        }
        *slot
    }
}

#[cfg(test)]
mod tests {
    use crate::{LatticePoint, Surface, Terrain, build};

    /// Nine points two steps apart, at five metres.
    fn field() -> Surface {
        let at = |i: i32| (LatticePoint { x: 2 * (i % 3), y: 2 * (i / 3) }, 5.0);
        build(&Terrain { points: (0..9).map(at).collect(), ..Terrain::default() }).unwrap().surface
    }

    #[test]
    fn faces_lowered_apart_part_along_their_edge_and_alike_stay_together() {
        let ground = field();
        let all = ground.lowered(|_| 0.25);
        all.check().expect("it stays valid");
        assert_eq!(all.heights().len(), ground.heights().len());
        let split = ground.lowered(|face| if face % 2 == 0 { 0.5 } else { 0.0 });
        split.check().expect("it stays valid");
        for (f, face) in split.faces().iter().enumerate() {
            let z = if f % 2 == 0 { 4.5 } else { 5.0 };
            assert_eq!(split.corner_heights(f as u32), [z; 3]);
            assert_eq!(all.corner_heights(f as u32), [4.75; 3]);
            assert_eq!(face.tag, ground.faces()[f].tag);
        }
    }
}
