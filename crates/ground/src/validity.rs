//! What a valid surface promises, and the checked way to make one.

use crate::predicates::orient;
use crate::{Face, LatticePoint, Mesh2, NONE, Plane, Surface, Tag, constrained};

/// What a surface is put together from: a mesh and what its triangles carry.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The triangles in plan.
    pub mesh: Mesh2,
    /// Heights in metres: one a vertex, unless `corners` names others.
    pub heights: Vec<f64>,
    /// For each triangle the heights that its corners name; `None` when every corner has its
    /// vertex's height.
    pub corners: Option<Vec<[u32; 3]>>,
    /// For each triangle its tag; a single one stands for all.
    pub tags: Vec<Tag>,
    /// For each triangle its plane's index or [`NONE`]; empty when no triangle has one.
    pub plane_of: Vec<u32>,
    /// The planes.
    pub planes: Vec<Plane>,
}

/// What is wrong with a surface, and where.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Fault {
    /// A list is not as long as the mesh asks for.
    #[error("{what}: {found} given for {expected}")]
    Count {
        /// What is listed.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there should be.
        expected: usize,
    },
    /// An index points at nothing.
    #[error("face {face} names something that is not there")]
    Index {
        /// The face.
        face: u32,
    },
    /// A height or a plane that is not finite.
    #[error("height or plane {idx} is not finite")]
    NotFinite {
        /// Its index.
        idx: usize,
    },
    /// A vertex beyond the lattice.
    #[error("vertex {vertex} lies beyond the lattice")]
    Beyond {
        /// The vertex.
        vertex: u32,
    },
    /// Two vertices at one place.
    #[error("two vertices stand at ({}, {})", at.x, at.y)]
    Twins {
        /// The place.
        at: LatticePoint,
    },
    /// A vertex that no face uses.
    #[error("no face uses vertex {vertex}")]
    Orphan {
        /// The vertex.
        vertex: u32,
    },
    /// A face that has no area or runs clockwise.
    #[error("face {face} is flat or runs clockwise")]
    Turned {
        /// The face.
        face: u32,
    },
    /// An edge on whose sides the faces do not agree that they are neighbours.
    #[error("the faces beside edge {edge} of face {face} do not name each other")]
    Neighbours {
        /// The face.
        face: u32,
        /// The edge of that face.
        edge: u8,
    },
    /// A corner's height is not the height of the face's plane there.
    #[error("a corner of face {face} lies {off_m} m from the face's plane")]
    OffPlane {
        /// The face.
        face: u32,
        /// How far.
        off_m: f64,
    },
    /// Faces overlap, or a vertex stands on another face's edge.
    #[error("faces overlap or leave a vertex on an edge near ({}, {})", at.x, at.y)]
    Overlap {
        /// A place at or next to it.
        at: LatticePoint,
    },
}

/// How far a corner's height may lie from its face's plane beyond the rounding of places: well
/// above the rounding of heights, below what anyone can measure.
const PLANE_SLACK_M: f64 = 1e-6;

/// A corner that was rounded to the lattice may lie this many steps from where its height was
/// taken: a surface that was composed many times has moved a corner a few steps at most.
const PLANE_SLACK_STEPS: f64 = 16.0;

impl Surface {
    /// Puts a surface together and proves that it is valid.
    ///
    /// # Errors
    /// The first [`Fault`] found.
    pub fn from_mesh(sheet: Sheet) -> Result<Self, Fault> {
        let Sheet { mesh, heights, corners, tags, plane_of, planes } = sheet;
        let n = mesh.triangles.len();
        let count = |what, found, expected| {
            if found == expected { Ok(()) } else { Err(Fault::Count { what, found, expected }) }
        };
        count("neighbours", mesh.neighbours.len(), n)?;
        count("fixed edges", mesh.fixed.len(), n)?;
        match &corners {
            Some(corners) => count("corner heights", corners.len(), n)?,
            None => count("heights", heights.len(), mesh.vertices.len())?,
        }
        if tags.len() != 1 {
            count("tags", tags.len(), n)?;
        }
        if !plane_of.is_empty() {
            count("planes", plane_of.len(), n)?;
        }
        let faces = (0..n)
            .map(|t| Face {
                vertices: mesh.triangles[t],
                heights: corners.as_ref().map_or(mesh.triangles[t], |corners| corners[t]),
                neighbours: mesh.neighbours[t],
                plane: plane_of.get(t).copied().unwrap_or(NONE),
                tag: if tags.len() == 1 { tags[0] } else { tags[t] },
                fixed: mesh.fixed[t],
            })
            .collect();
        let surface = Self::from_parts(mesh.lattice, mesh.vertices, heights, faces, planes);
        surface.check()?;
        Ok(surface)
    }

    /// Proves what a valid surface promises.
    ///
    /// Every index is in range and every height finite; no two vertices share a place and none is
    /// unused; every face has area and runs counter-clockwise; faces that share an edge, and only
    /// they, are neighbours; no two faces overlap and no vertex stands on an edge of a face that
    /// does not use it; corners lie on their face's plane.
    ///
    /// # Errors
    /// The first [`Fault`] found.
    pub fn check(&self) -> Result<(), Fault> {
        self.check_indices()?;
        self.check_vertices()?;
        self.check_faces()?;
        self.check_edges()?;
        self.check_cover()
    }

    fn check_indices(&self) -> Result<(), Fault> {
        let (vertices, heights) = (self.vertices().len(), self.heights().len());
        let (faces, planes) = (self.faces().len(), self.planes().len());
        for (face, f) in (0..).zip(self.faces()) {
            let is_sound = f.vertices.iter().all(|&v| (v as usize) < vertices)
                && f.heights.iter().all(|&h| (h as usize) < heights)
                && f.neighbours.iter().all(|&n| n == NONE || (n as usize) < faces)
                && (f.plane == NONE || (f.plane as usize) < planes)
                && f.fixed < 8;
            if !is_sound {
                return Err(Fault::Index { face });
            }
        }
        let is_finite = |p: &Plane| p.z.is_finite() && p.rise.iter().all(|r| r.is_finite());
        let height = self.heights().iter().position(|z| !z.is_finite());
        match height.or_else(|| self.planes().iter().position(|p| !is_finite(p))) {
            Some(idx) => Err(Fault::NotFinite { idx }),
            None => Ok(()),
        }
    }

    fn check_vertices(&self) -> Result<(), Fault> {
        let beyond = |p: &LatticePoint| {
            p.x.unsigned_abs().max(p.y.unsigned_abs()) > crate::Lattice::REACH.unsigned_abs()
        };
        if let Some(vertex) = self.vertices().iter().position(beyond) {
            return Err(Fault::Beyond { vertex: vertex as u32 });
        }
        let mut places = self.vertices().to_vec();
        places.sort_unstable();
        if let Some(pair) = places.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(Fault::Twins { at: pair[0] });
        }
        let mut used = vec![false; self.vertices().len()];
        self.faces().iter().flat_map(|f| f.vertices).for_each(|v| used[v as usize] = true);
        match used.iter().position(|used| !used) {
            Some(vertex) => Err(Fault::Orphan { vertex: vertex as u32 }),
            None => Ok(()),
        }
    }

    fn check_faces(&self) -> Result<(), Fault> {
        for (face, f) in (0..).zip(self.faces()) {
            let corners = self.corners(face);
            if orient(corners[0], corners[1], corners[2]) <= 0 {
                return Err(Fault::Turned { face });
            }
            if f.plane == NONE {
                continue;
            }
            let plane = self.plane(face);
            let steep = libm::hypot(plane.rise[0], plane.rise[1]);
            for (p, z) in corners.into_iter().zip(self.corner_heights(face)) {
                let off_m = (plane.at(p) - z).abs();
                if off_m > PLANE_SLACK_M + PLANE_SLACK_STEPS * steep {
                    return Err(Fault::OffPlane { face, off_m });
                }
            }
        }
        Ok(())
    }

    fn check_edges(&self) -> Result<(), Fault> {
        let mut edges: Vec<([u32; 2], u32, u8)> = Vec::with_capacity(3 * self.faces().len());
        for (face, f) in (0..).zip(self.faces()) {
            let [a, b, c] = f.vertices;
            for (k, [u, v]) in (0..).zip([[a, b], [b, c], [c, a]]) {
                edges.push(([u.min(v), u.max(v)], face, k));
            }
        }
        edges.sort_unstable();
        for sides in edges.chunk_by(|e, f| e.0 == f.0) {
            let across = |k: usize| {
                let (_, face, edge) = sides[k];
                let f = &self.faces()[face as usize];
                let starts_low = f.vertices[edge as usize] == sides[k].0[0];
                (f.neighbours[edge as usize], starts_low, f.fixed >> edge & 1)
            };
            let is_sound = match sides.len() {
                1 => across(0).0 == NONE,
                2 => {
                    let ((n0, low0, fixed0), (n1, low1, fixed1)) = (across(0), across(1));
                    n0 == sides[1].1 && n1 == sides[0].1 && low0 != low1 && fixed0 == fixed1
                }
                _ => false,
            };
            if !is_sound {
                return Err(Fault::Neighbours { face: sides[0].1, edge: sides[0].2 });
            }
        }
        Ok(())
    }

    /// Proves that no two faces cover the same ground.
    ///
    /// Faces that share edges properly cover a place as often as the outline winds around it, so it
    /// is enough to look at the outline: none of its edges may cross or touch another but at a
    /// shared vertex, and it must wind once around what lies to the left of each of its edges and
    /// not at all around what lies to the right.
    fn check_cover(&self) -> Result<(), Fault> {
        let mut outline: Vec<[u32; 2]> = Vec::new();
        for f in self.faces() {
            let [a, b, c] = f.vertices;
            for ([u, v], n) in [[a, b], [b, c], [c, a]].into_iter().zip(f.neighbours) {
                if n == NONE {
                    outline.push([u, v]);
                }
            }
        }
        let Some(&first) = outline.first() else { return Ok(()) };
        let near = self.vertices()[first[0] as usize];
        let mut on_outline: Vec<u32> = outline.iter().flatten().copied().collect();
        on_outline.sort_unstable();
        on_outline.dedup();
        let places: Vec<LatticePoint> =
            on_outline.iter().map(|&v| self.vertices()[v as usize]).collect();
        let edges: Vec<[u32; 2]> = outline
            .iter()
            .map(|ends| ends.map(|v| on_outline.partition_point(|&o| o < v) as u32))
            .collect();
        let mesh = constrained(self.lattice(), &places, &edges)
            .map_err(|_| Fault::Overlap { at: near })?;
        wind_once(&mesh, &edges)
    }
}

/// Whether the edges, laid in a mesh, divide it into an outside and an inside.
fn wind_once(mesh: &Mesh2, edges: &[[u32; 2]]) -> Result<(), Fault> {
    let mut directed: Vec<[u32; 2]> =
        edges.iter().map(|ends| ends.map(|v| mesh.merged[v as usize])).collect();
    directed.sort_unstable();
    let runs = |u: u32, v: u32| directed.binary_search(&[u, v]).is_ok();
    let mut winding: Vec<Option<i32>> = vec![None; mesh.triangles.len()];
    let mut open = Vec::new();
    let ends = |t: usize, k: usize| [mesh.triangles[t][k], mesh.triangles[t][(k + 1) % 3]];
    // Seen from inside triangle `t` across its edge `k`.
    let step = |t: usize, k: usize| {
        let [u, v] = ends(t, k);
        i32::from(runs(u, v)) - i32::from(runs(v, u))
    };
    let mut n_found = 0;
    for (t, winds) in winding.iter_mut().enumerate() {
        for k in 0..3 {
            let [u, v] = ends(t, k);
            let is_hull = mesh.neighbours[t][k] == NONE;
            n_found += usize::from(runs(u, v)) + usize::from(is_hull && runs(v, u));
            if is_hull {
                *winds = Some(step(t, k));
                open.push(t);
            }
        }
    }
    if n_found < directed.len() {
        // An edge of the outline was split: it crosses or touches another.
        let place = |&v: &u32| mesh.vertices[v as usize];
        let is_edge = |[u, v]: &&[u32; 2]| {
            (0..mesh.triangles.len())
                .any(|t| (0..3).any(|k| ends(t, k) == [*u, *v] || ends(t, k) == [*v, *u]))
        };
        let split = directed.iter().find(|edge| !is_edge(edge)).unwrap_or(&directed[0]);
        return Err(Fault::Overlap { at: place(&split[0]) });
    }
    while let Some(t) = open.pop() {
        let here = winding[t].expect("open triangles have been wound");
        if !(0..=1).contains(&here) {
            return Err(Fault::Overlap { at: mesh.vertices[mesh.triangles[t][0] as usize] });
        }
        for k in 0..3 {
            let n = mesh.neighbours[t][k];
            if n != NONE && winding[n as usize].is_none() {
                winding[n as usize] = Some(here - step(t, k));
                open.push(n as usize);
            }
        }
    }
    Ok(())
}
