//! Surfaces as files tell them: triangles, or points and lines to be triangulated.

mod rebuild;
mod table;

#[cfg(test)]
pub(crate) mod tests;

use ground::{
    Breakline, BuildError, Fault, Lattice, LatticeError, LatticePoint, Mesh2, Sheet, Surface, Tag,
    Terrain,
};
use site::Frame;

use crate::content::{Line, LineKind, world_m};
use table::{Edges, Places};

/// A surface as a file tells it, in metres of the world's frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tin {
    /// What the file calls it.
    pub name: String,
    /// Easting, northing and elevation.
    pub vertices_m: Vec<[f64; 3]>,
    /// Corners by index among the vertices; without faces, points and lines are triangulated.
    pub faces: Vec<[u32; 3]>,
    /// For each face, bit i is set when edge i lies on a breakline; empty where the file tells none.
    pub fixed: Vec<u8>,
    /// Breaklines, boundary and voids. Beside faces they only tell what the faces follow already.
    pub lines: Vec<Line>,
}

/// How the faces of a file became a surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// Faces that have no area in plan, left out.
    pub n_flat: usize,
    /// Faces that run clockwise, turned.
    pub n_turned: usize,
    /// Faces told twice, left out.
    pub n_repeated: usize,
    /// Vertices that no face uses, left out.
    pub n_unused: usize,
    /// Whether faces overlap or do not fit, so that the surface was built anew from their edges.
    pub is_rebuilt: bool,
}

/// Why a file's surface makes no surface.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TinError {
    /// The frame's step is none that a lattice can have.
    #[error(transparent)]
    Lattice(#[from] LatticeError),
    /// A vertex lies beyond the lattice, or is no number.
    #[error("vertex {vertex} of the surface {name}: {fault}")]
    Vertex {
        /// What the surface is called.
        name: String,
        /// The vertex, counted from one.
        vertex: usize,
        /// What is wrong.
        fault: LatticeError,
    },
    /// A face names a vertex that is not there.
    #[error(
        "face {face} of the surface {name}: read the vertex {vertex}, expected one of {n_vertices}"
    )]
    NoSuchVertex {
        /// What the surface is called.
        name: String,
        /// The face, counted from one.
        face: usize,
        /// The vertex, counted from one.
        vertex: usize,
        /// How many there are.
        n_vertices: usize,
    },
    /// All faces are flat.
    #[error("the surface {name}: read no face with an area, expected at least one")]
    NoFaces {
        /// What the surface is called.
        name: String,
    },
    /// More than one boundary stands beside points to be triangulated.
    #[error("the surface {name}: read {n_read} boundaries, expected one at most")]
    Boundaries {
        /// What the surface is called.
        name: String,
        /// How many were read.
        n_read: usize,
    },
    /// No surface can be built.
    #[error("the surface {name}: {fault}")]
    Build {
        /// What the surface is called.
        name: String,
        /// Why.
        fault: BuildError,
    },
}

impl Made {
    /// What to say of it, one plain sentence each.
    pub fn doubts(&self, name: &str) -> Vec<String> {
        let mut doubts = Vec::new();
        let mut say = |n: usize, what: &str| {
            if n > 0 {
                doubts.push(format!("the surface {name}: {n} {what}"));
            }
        };
        say(self.n_flat, "faces without an area in plan are left out");
        say(self.n_repeated, "faces told twice are left out once");
        say(self.n_unused, "points that no face uses are left out");
        if self.is_rebuilt {
            doubts.push(format!(
                "the surface {name}: faces overlap or do not fit edge to edge; it was built anew \
                 from their edges"
            ));
        }
        doubts
    }
}

impl Tin {
    /// The surface in a frame, exactly as told: its faces where there are any, else points and lines
    /// triangulated.
    ///
    /// Places are rounded to the frame's lattice. Corners that stand above one another make a step.
    ///
    /// # Errors
    /// [`TinError`] names the vertex or the face.
    pub fn surface(&self, frame: &Frame) -> Result<(Surface, Made), TinError> {
        let lattice = Lattice::new(frame.step_um)?;
        let spots = self.spots(frame, lattice)?;
        if self.faces.is_empty() {
            return Ok((self.triangulated(frame, lattice, &spots)?, Made::default()));
        }
        let mut made = Made::default();
        let faces = self.sound_faces(&spots, &mut made)?;
        if faces.is_empty() {
            return Err(TinError::NoFaces { name: self.name.clone() });
        }
        let fitted = self.fitted(lattice, &spots, &faces, &mut made);
        if let Some(surface) = fitted {
            return Ok((surface, made));
        }
        made.is_rebuilt = true;
        let fault = |fault| TinError::Build { name: self.name.clone(), fault };
        let corners: Vec<[u32; 3]> = faces.iter().map(|(corners, _)| *corners).collect();
        let surface =
            rebuild::rebuilt(lattice, &spots, &self.heights(), &corners).map_err(fault)?;
        Ok((surface, made))
    }

    /// What a surface is, told in the world's frame; a step's upper and lower corners are two
    /// vertices at one place in plan.
    pub fn of(surface: &Surface, frame: &Frame, name: &str) -> Self {
        let mut corners: Vec<[u32; 2]> = surface
            .faces()
            .iter()
            .flat_map(|face| (0..3).map(|k| [face.vertices[k], face.heights[k]]))
            .collect();
        corners.sort_unstable();
        corners.dedup();
        // Heights of one value at one place are one vertex.
        let z = |height: u32| surface.heights()[height as usize];
        let mut number = vec![0; corners.len()];
        let mut kept: Vec<[u32; 2]> = Vec::with_capacity(corners.len());
        for (n, &[vertex, height]) in number.iter_mut().zip(&corners) {
            let start = kept.iter().rposition(|c| c[0] != vertex).map_or(0, |last| last + 1);
            let same = kept[start..].iter().position(|c| z(c[1]) == z(height));
            *n = (start + same.unwrap_or(kept.len() - start)) as u32;
            if same.is_none() {
                kept.push([vertex, height]);
            }
        }
        let place = |vertex: u32| {
            world_m(frame, surface.lattice().metres(surface.vertices()[vertex as usize]))
        };
        let find = |vertex, height| {
            let idx = corners.binary_search(&[vertex, height]).expect("every corner was gathered");
            number[idx]
        };
        let face = |face: &ground::Face| [0, 1, 2].map(|k| find(face.vertices[k], face.heights[k]));
        Self {
            name: name.to_owned(),
            vertices_m: kept
                .iter()
                .map(|&[vertex, height]| {
                    let [x, y] = place(vertex);
                    [x, y, z(height)]
                })
                .collect(),
            faces: surface.faces().iter().map(face).collect(),
            fixed: surface.faces().iter().map(|face| face.fixed).collect(),
            lines: Vec::new(),
        }
    }

    /// All places in plan, of vertices and lines.
    pub fn places_m(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let lines = self.lines.iter().flat_map(|line| line.places.iter().map(|p| p.at_m));
        self.vertices_m.iter().map(|at| [at[0], at[1]]).chain(lines)
    }

    /// Whether any height is named twice for one place in plan: a wall or a fall.
    pub fn has_steps(&self) -> bool {
        let mut places: Vec<[u64; 2]> =
            self.vertices_m.iter().map(|v| [v[0].to_bits(), v[1].to_bits()]).collect();
        places.sort_unstable();
        places.windows(2).any(|pair| pair[0] == pair[1])
    }

    fn heights(&self) -> Vec<f64> {
        self.vertices_m.iter().map(|v| v[2]).collect()
    }

    fn spots(&self, frame: &Frame, lattice: Lattice) -> Result<Vec<LatticePoint>, TinError> {
        let spot = |(vertex, v): (usize, &[f64; 3])| {
            let beyond =
                |fault| TinError::Vertex { name: self.name.clone(), vertex: vertex + 1, fault };
            if !v[2].is_finite() {
                let (x, y) = (v[0], v[1]);
                return Err(beyond(LatticeError::Beyond { x, y, reach_m: lattice.reach_m() }));
            }
            snapped(frame, lattice, [v[0], v[1]]).map_err(beyond)
        };
        self.vertices_m.iter().enumerate().map(spot).collect()
    }

    /// Faces that have an area and stand once, counter-clockwise, with their breakline bits.
    fn sound_faces(
        &self,
        spots: &[LatticePoint],
        made: &mut Made,
    ) -> Result<Vec<([u32; 3], u8)>, TinError> {
        let mut faces = Vec::with_capacity(self.faces.len());
        for (face, &corners) in self.faces.iter().enumerate() {
            if let Some(vertex) = corners.iter().find(|&&v| v as usize >= spots.len()) {
                return Err(TinError::NoSuchVertex {
                    name: self.name.clone(),
                    face: face + 1,
                    vertex: *vertex as usize + 1,
                    n_vertices: spots.len(),
                });
            }
            let bits = self.fixed.get(face).copied().unwrap_or(0) & 7;
            let [a, b, c] = corners.map(|v| spots[v as usize]);
            match ground::predicates::orient(a, b, c) {
                0 => made.n_flat += 1,
                turn if turn > 0 => faces.push((corners, bits)),
                _ => {
                    made.n_turned += 1;
                    let [a, b, c] = corners;
                    // Edges a-b, b-c, c-a become a-c, c-b, b-a.
                    let turned = bits & 2 | (bits & 1) << 2 | (bits & 4) >> 2;
                    faces.push(([a, c, b], turned));
                }
            }
        }
        let key = |idx: u32| {
            let mut corners = faces[idx as usize].0;
            corners.sort_unstable();
            corners
        };
        let mut order: Vec<u32> = (0..faces.len() as u32).collect();
        order.sort_unstable_by_key(|&idx| (key(idx), idx));
        let mut is_repeated = vec![false; faces.len()];
        for pair in order.windows(2) {
            if key(pair[0]) == key(pair[1]) {
                is_repeated[pair[1] as usize] = true;
                made.n_repeated += 1;
            }
        }
        let mut repeated = is_repeated.into_iter();
        faces.retain(|_| !repeated.next().unwrap_or(false));
        Ok(faces)
    }

    /// The surface with exactly these faces, if they fit edge to edge.
    fn fitted(
        &self,
        lattice: Lattice,
        spots: &[LatticePoint],
        faces: &[([u32; 3], u8)],
        made: &mut Made,
    ) -> Option<Surface> {
        let places =
            Places::new(spots, &self.vertices_m, faces.iter().map(|(corners, _)| *corners));
        made.n_unused = places.n_unused;
        let triangles: Vec<[u32; 3]> = faces
            .iter()
            .map(|(corners, _)| corners.map(|v| places.vertex_of[v as usize]))
            .collect();
        let neighbours = Edges::new(&triangles)?.neighbours(triangles.len());
        let heights_of =
            |(corners, _): &([u32; 3], u8)| corners.map(|v| places.height_of[v as usize]);
        let mut fixed: Vec<u8> = faces.iter().map(|(_, bits)| *bits).collect();
        for (bits, across) in fixed.iter_mut().zip(&neighbours) {
            (0..3).filter(|&k| across[k] == ground::NONE).for_each(|k| *bits |= 1 << k);
        }
        let sheet = Sheet {
            mesh: Mesh2 {
                lattice,
                vertices: places.spots,
                triangles,
                neighbours,
                fixed,
                merged: Vec::new(),
            },
            heights: places.heights,
            corners: Some(faces.iter().map(heights_of).collect()),
            tags: vec![Tag::default()],
            plane_of: Vec::new(),
            planes: Vec::new(),
        };
        match Surface::from_mesh(sheet) {
            Ok(surface) => Some(surface),
            Err(Fault::Overlap { .. } | Fault::Neighbours { .. } | Fault::Turned { .. }) => None,
            // Counts and indices were made above; anything else is built anew as well.
            Err(_) => None,
        }
    }

    fn triangulated(
        &self,
        frame: &Frame,
        lattice: Lattice,
        spots: &[LatticePoint],
    ) -> Result<Surface, TinError> {
        let terrain = self.terrain(frame, lattice, spots)?;
        let fault = |fault| TinError::Build { name: self.name.clone(), fault };
        ground::build(&terrain).map(|built| built.surface).map_err(fault)
    }

    fn terrain(
        &self,
        frame: &Frame,
        lattice: Lattice,
        spots: &[LatticePoint],
    ) -> Result<Terrain, TinError> {
        let at = |at_m: [f64; 2]| {
            let beyond = |fault| TinError::Vertex { name: self.name.clone(), vertex: 0, fault };
            snapped(frame, lattice, at_m).map_err(beyond)
        };
        let ring = |line: &Line| -> Result<Vec<LatticePoint>, TinError> {
            let open = line.places.len() - usize::from(line.is_closed());
            line.places[..open].iter().map(|p| at(p.at_m)).collect()
        };
        let of_kind = |kind: LineKind| self.lines.iter().filter(move |line| line.kind == kind);
        let n_boundaries = of_kind(LineKind::Boundary).count();
        if n_boundaries > 1 {
            return Err(TinError::Boundaries { name: self.name.clone(), n_read: n_boundaries });
        }
        let breakline = |line: &Line| -> Result<Option<Breakline>, TinError> {
            let Some(solid) = line.solid_m() else { return Ok(None) };
            let vertex = |[x, y, z]: [f64; 3]| Ok((at([x, y])?, z));
            let vertices = solid.into_iter().map(vertex).collect::<Result<_, TinError>>()?;
            Ok(Some(Breakline { vertices }))
        };
        let breaklines: Result<Vec<Option<Breakline>>, TinError> = self
            .lines
            .iter()
            .filter(|line| matches!(line.kind, LineKind::Breakline | LineKind::Contour))
            .map(breakline)
            .collect();
        Ok(Terrain {
            lattice,
            points: spots.iter().copied().zip(self.heights()).collect(),
            breaklines: breaklines?.into_iter().flatten().collect(),
            boundary: of_kind(LineKind::Boundary).next().map(ring).transpose()?,
            voids: of_kind(LineKind::Void).map(ring).collect::<Result<_, _>>()?,
            tag: Tag::default(),
        })
    }
}

/// The lattice place of a place in the world.
pub(crate) fn snapped(
    frame: &Frame,
    lattice: Lattice,
    at_m: [f64; 2],
) -> Result<LatticePoint, LatticeError> {
    lattice.snap([at_m[0] - frame.origin_m[0], at_m[1] - frame.origin_m[1]])
}
