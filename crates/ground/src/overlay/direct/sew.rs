//! Cutting what owners keep into faces and sewing these together.

use super::super::assemble::{SAME_HEIGHT_M, SAME_HEIGHT_STEPS};
use super::super::facet::{edge_number, steepness_m};
use super::super::polygon::{Cutter, clip_ears};
use super::field::Field;
use super::outline::{Kept, Outline, Piece, Source};
use crate::LatticePoint;
use crate::predicates::{in_circle_sign, orient};
use crate::surface::{Face, NONE, Plane, Surface};

/// Why a surface cannot be sewn from outlines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Unsewn;

/// The composed surface as far as it is sewn.
pub(super) struct Sewing<'f, 's> {
    pub(super) field: &'f Field<'s>,
    /// The lattice point at each node.
    pub(super) at: Vec<LatticePoint>,
    pub(super) vertices: Vec<LatticePoint>,
    heights: Vec<f64>,
    planes: Vec<Plane>,
    pub(super) faces: Vec<Face>,
    /// The vertex at each node.
    pub(super) vertex_of: Vec<u32>,
    /// The ground's height at nodes where that is another than the patch's, by node.
    steps: Vec<(u32, u32)>,
    /// The planes that stored planes of the ground and of the patch became.
    plane_of: [Vec<u32>; 2],
    /// The first side of each seam, four to a face, while the other is not sewn to it.
    sides: Vec<u32>,
    n_open: usize,
    /// Owners whose outlines rounding has folded.
    pub(super) folded: Vec<u32>,
    /// Twice the plan area of what the patch wins, in square steps.
    twice_won: i64,
    cutter: Cutter,
    corners: Vec<u32>,
    rest: Vec<u32>,
    triangles: Vec<[u32; 3]>,
}

impl<'f, 's> Sewing<'f, 's> {
    /// Sews what all owners keep, but for those that are folded.
    pub(super) fn of(field: &'f Field<'s>, at: Vec<LatticePoint>) -> Result<Self, Unsewn> {
        let n_seams = field.marks.n_lines() as usize + field.marks.len() + field.rims.len();
        let n_new = 3 * field.rims.len();
        let mut sewing = Self {
            field,
            vertices: Vec::new(),
            heights: Vec::new(),
            planes: Vec::new(),
            faces: Vec::with_capacity(field.ground.faces().len() + n_new),
            vertex_of: vec![NONE; at.len()],
            at,
            steps: Vec::new(),
            plane_of: [field.ground, field.patch].map(|s| vec![NONE; s.planes().len()]),
            sides: vec![NONE; n_seams],
            n_open: 0,
            folded: Vec::new(),
            twice_won: 0,
            cutter: Cutter::default(),
            corners: Vec::new(),
            rest: Vec::new(),
            triangles: Vec::new(),
        };
        sewing.steps = sewing.named_steps();
        sewing.keep_ground();
        let n_ground = field.ground.faces().len() as u32;
        let mut outline = Outline::default();
        for owner in 0..n_ground + field.patch.faces().len() as u32 {
            let source = Source::of(field, owner);
            match source.kept(field, owner) {
                Kept::Whole if source.is_patch => sewing.put_whole(&source),
                Kept::Part => {
                    outline.find(field, owner).map_err(|_| Unsewn)?;
                    sewing.put_part(owner, &source, &outline)?;
                }
                Kept::Whole | Kept::Nothing => {}
            }
        }
        Ok(sewing)
    }

    /// The surface, when nothing is left open, and the plan area that the patch wins, in square
    /// steps.
    pub(super) fn finish(self) -> Result<(Surface, f64), Unsewn> {
        if self.n_open > 0 || !self.folded.is_empty() {
            return Err(Unsewn);
        }
        let lattice = self.field.ground.lattice();
        let Self { vertices, heights, faces, planes, .. } = self;
        let surface = Surface::from_parts(lattice, vertices, heights, faces, planes);
        Ok((surface, self.twice_won as f64 / 2.0))
    }

    fn named_steps(&mut self) -> Vec<(u32, u32)> {
        let mut steps = self.field.steps.clone();
        steps.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        steps.dedup_by_key(|step| step.0);
        let name = |(node, height): (u32, f64)| {
            self.heights.push(height);
            (node, self.heights.len() as u32 - 1)
        };
        steps.into_iter().map(name).collect()
    }

    /// Puts the faces of the ground that stay whole, in their order.
    fn keep_ground(&mut self) {
        let field = self.field;
        let ground = field.ground;
        let n_ground = ground.faces().len() as u32;
        let mut new = vec![NONE; n_ground as usize];
        let mut n_kept = 0;
        for face in 0..n_ground {
            if Source::of(field, face).kept(field, face) == Kept::Whole {
                new[face as usize] = n_kept;
                n_kept += 1;
            }
        }
        for (node, _) in (0..).zip(ground.vertices()).filter(|(node, _)| !field.is_won(*node)) {
            self.vertex(node);
        }
        for (number, face) in (0..).zip(ground.faces()).filter(|(f, _)| new[*f as usize] != NONE) {
            let kept = new[number as usize];
            let vertices = face.vertices.map(|v| self.vertex_of[v as usize]);
            let heights = vertices.map(|v| self.first_height() + v);
            let neighbours =
                face.neighbours.map(|n| if n == NONE { NONE } else { new[n as usize] });
            let plane = self.stored_plane(&Source::of(field, number));
            self.faces.push(Face { vertices, heights, neighbours, plane, ..*face });
            let beyond = face.neighbours.iter().zip(neighbours);
            for (edge, _) in
                beyond.enumerate().filter(|(_, (old, new))| **old != *new && *new == NONE)
            {
                self.sew(edge_number(ground, number, edge).0, kept, edge);
            }
        }
    }

    /// Heights at vertices come in the order of these, after those of steps.
    fn first_height(&self) -> u32 {
        self.steps.len() as u32
    }

    #[inline]
    fn vertex(&mut self, node: u32) -> u32 {
        let known = &mut self.vertex_of[node as usize];
        if *known == NONE {
            *known = self.vertices.len() as u32;
            self.vertices.push(self.at[node as usize]);
            self.heights.push(self.field.heights[node as usize]);
        }
        *known
    }

    /// The plane that a source's stored plane became; [`NONE`] where it has none.
    fn stored_plane(&mut self, source: &Source<'_>) -> u32 {
        let stored = source.surface.faces()[source.face as usize].plane;
        if stored == NONE {
            return NONE;
        }
        let new = &mut self.plane_of[usize::from(source.is_patch)][stored as usize];
        if *new == NONE {
            *new = self.planes.len() as u32;
            self.planes.push(source.surface.planes()[stored as usize]);
        }
        *new
    }

    /// Sews a side to the other side of its seam, or leaves it there for that.
    #[inline]
    fn sew(&mut self, seam: u32, face: u32, edge: usize) {
        let slot = &mut self.sides[seam as usize];
        let here = 4 * face + edge as u32;
        if *slot == NONE {
            *slot = here;
            self.n_open += 1;
            return;
        }
        let there = std::mem::replace(slot, NONE);
        self.n_open -= 1;
        self.faces[face as usize].neighbours[edge] = there / 4;
        self.faces[there as usize / 4].neighbours[there as usize % 4] = face;
    }

    /// Puts a face of the patch that is won whole.
    fn put_whole(&mut self, source: &Source<'_>) {
        let face = &source.surface.faces()[source.face as usize];
        let number = self.faces.len() as u32;
        self.count_won(source, source.nodes());
        let vertices = source.nodes().map(|node| self.vertex(node));
        let heights = vertices.map(|v| self.first_height() + v);
        let plane = self.stored_plane(source);
        self.faces.push(Face { vertices, heights, neighbours: [NONE; 3], plane, ..*face });
        for edge in 0..3 {
            let line = edge_number(source.surface, source.face, edge).0;
            self.sew(self.field.patch_line(line), number, edge);
        }
    }

    /// Puts the faces of what an owner keeps.
    fn put_part(
        &mut self,
        owner: u32,
        source: &Source<'_>,
        outline: &Outline,
    ) -> Result<(), Unsewn> {
        if self.cut(&outline.pieces).is_none() {
            self.folded.push(owner);
            return Ok(());
        }
        self.put_cut(source, outline)
    }

    /// Puts the latest triangles as faces of their owner.
    pub(super) fn put_cut(&mut self, source: &Source<'_>, outline: &Outline) -> Result<(), Unsewn> {
        let face = &source.surface.faces()[source.face as usize];
        let plane = source.surface.plane(source.face);
        let plane_number = if face.plane == NONE {
            self.planes.push(plane);
            self.planes.len() as u32 - 1
        } else {
            self.stored_plane(source)
        };
        let first = self.faces.len();
        for i in 0..self.triangles.len() {
            let nodes = self.triangles[i];
            self.count_won(source, nodes);
            let vertices = nodes.map(|node| self.vertex(node));
            let mut heights = vertices.map(|v| self.first_height() + v);
            if outline.has_step && !source.is_patch {
                for (height, node) in heights.iter_mut().zip(nodes) {
                    if let Ok(step) = self.steps.binary_search_by_key(&node, |step| step.0) {
                        *height = self.steps[step].1;
                    }
                }
            }
            if face.plane != NONE && !self.fits(&plane, nodes, heights) {
                return Err(Unsewn);
            }
            self.faces.push(Face {
                vertices,
                heights,
                neighbours: [NONE; 3],
                plane: plane_number,
                tag: face.tag,
                fixed: 0,
            });
        }
        self.sew_sides(first, &outline.pieces)
    }

    #[inline]
    fn count_won(&mut self, source: &Source<'_>, nodes: [u32; 3]) {
        if source.is_patch {
            let [a, b, c] = nodes.map(|node| self.at[node as usize]);
            self.twice_won += orient(a, b, c);
        }
    }

    /// Whether heights at the corners of a face lie as near to its plane as rounding leaves them.
    fn fits(&self, plane: &Plane, nodes: [u32; 3], heights: [u32; 3]) -> bool {
        let tolerance_m = SAME_HEIGHT_STEPS * steepness_m(plane) + SAME_HEIGHT_M;
        nodes.into_iter().zip(heights).all(|(node, height)| {
            let off_m = self.heights[height as usize] - plane.at(self.at[node as usize]);
            off_m.abs() <= tolerance_m
        })
    }

    /// Sews the sides of the latest faces to each other and along the seams of their outline.
    fn sew_sides(&mut self, first: usize, pieces: &[Piece]) -> Result<(), Unsewn> {
        let n = self.triangles.len();
        for i in 0..n {
            for edge in 0..3 {
                let here = first + i;
                let (u, v) = (self.triangles[i][edge], self.triangles[i][(edge + 1) % 3]);
                if let Some(piece) = pieces.iter().find(|p| p.from == u && p.to == v) {
                    self.faces[here].fixed |= u8::from(piece.fixed) << edge;
                    if piece.seam != NONE {
                        self.sew(piece.seam, here as u32, edge);
                    }
                } else if self.faces[here].neighbours[edge] == NONE {
                    let (j, back) = (i + 1..n)
                        .find_map(|j| Some((j, back(self.triangles[j], [v, u])?)))
                        .ok_or(Unsewn)?;
                    self.faces[here].neighbours[edge] = (first + j) as u32;
                    self.faces[first + j].neighbours[back] = here as u32;
                }
            }
        }
        Ok(())
    }

    /// Cuts the region within pieces of outline into triangles; none when these do not turn left.
    pub(super) fn cut(&mut self, pieces: &[Piece]) -> Option<()> {
        let Self { at, cutter, corners, rest, triangles, .. } = self;
        triangles.clear();
        let mut used = 0u64;
        if pieces.len() > 64 {
            return cut_as_mesh(cutter, at, pieces, triangles);
        }
        for first in 0..pieces.len() {
            if used >> first & 1 == 1 {
                continue;
            }
            corners.clear();
            let mut here = first;
            loop {
                used |= 1 << here;
                corners.push(pieces[here].from);
                let to = pieces[here].to;
                if to == pieces[first].from {
                    break;
                }
                let ahead = here + 1;
                here = if ahead < pieces.len() && pieces[ahead].from == to {
                    ahead
                } else {
                    pieces.iter().position(|piece| piece.from == to)?
                };
                if used >> here & 1 == 1 {
                    return None;
                }
            }
            if cut_loop(at, corners, rest, triangles).is_none() {
                triangles.clear();
                return cut_as_mesh(cutter, at, pieces, triangles);
            }
        }
        Some(())
    }
}

fn cut_as_mesh(
    cutter: &mut Cutter,
    at: &[LatticePoint],
    pieces: &[Piece],
    triangles: &mut Vec<[u32; 3]>,
) -> Option<()> {
    let edges: Vec<[u32; 2]> = pieces.iter().map(|piece| [piece.from, piece.to]).collect();
    cutter.cut(at, &edges, triangles).ok()?;
    // A corner that stands on another piece would part that.
    let has = |piece: &Piece| triangles.iter().any(|&t| back(t, [piece.from, piece.to]).is_some());
    pieces.iter().all(has).then_some(())
}

/// Cuts one loop; most have three or four corners.
fn cut_loop(
    at: &[LatticePoint],
    corners: &[u32],
    rest: &mut Vec<u32>,
    triangles: &mut Vec<[u32; 3]>,
) -> Option<()> {
    let turn = |a: u32, b: u32, c: u32| orient(at[a as usize], at[b as usize], at[c as usize]);
    match *corners {
        [a, b, c] if turn(a, b, c) > 0 => triangles.push([a, b, c]),
        [a, b, c, d] => {
            let from_a = turn(a, b, c) > 0 && turn(c, d, a) > 0;
            let from_b = turn(b, c, d) > 0 && turn(d, a, b) > 0;
            let [p, q, r, s] = [a, b, c, d].map(|node| at[node as usize]);
            if from_a && !(from_b && in_circle_sign(p, q, r, s).is_gt()) {
                triangles.extend([[a, b, c], [c, d, a]]);
            } else if from_b {
                triangles.extend([[b, c, d], [d, a, b]]);
            } else {
                return None;
            }
        }
        [_, _, _, _, _, ..] => return clip_ears(at, corners, rest, triangles),
        _ => return None,
    }
    Some(())
}

/// The edge of a triangle that runs so.
fn back(triangle: [u32; 3], [from, to]: [u32; 2]) -> Option<usize> {
    (0..3).find(|&k| triangle[k] == from && triangle[(k + 1) % 3] == to)
}
