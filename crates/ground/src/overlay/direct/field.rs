//! Where the patch wins, told by the signs of its gain along the edges of both surfaces.
//!
//! ```text
//!    + -----x------ -        x  a mark: the zero line crosses an edge
//!     \    / \     /         x--x  a rim: the zero line within one cell, the patch's on its left
//!      \  /   \   /
//!       x      \ /
//!        \      -
//! ```

use super::super::compose::Keep;
use super::super::facet::{Facet, Turned};
use super::super::outcome::OpenEnd;
use super::super::overlap::{NO_EDGE, Overlap, Piece, Turn, next};
use super::super::places::Place;
use super::marks::{Kind, Marks};
use crate::LatticePoint;
use crate::surface::{NONE, Surface};

/// Marks and rims between two surfaces in plain position.
///
/// Nodes are the ground's vertices, then the patch's, then the places of marks. Lines are the edges of
/// the ground by their numbers, then those of the patch. Owners are the ground's faces, then the
/// patch's.
pub(super) struct Field<'s> {
    pub(super) ground: &'s Surface,
    pub(super) patch: &'s Surface,
    /// What a gain in height is multiplied by to be a gain of the patch.
    pub(super) sign: f64,
    /// By how much the patch wins at each vertex of either surface; no number where the other surface
    /// is not.
    gains: Vec<f64>,
    pub(super) at: Vec<LatticePoint>,
    /// Height at each node; the patch's, where that is another than the ground's.
    pub(super) heights: Vec<f64>,
    /// Nodes at which the ground's height is another.
    pub(super) steps: Vec<(u32, f64)>,
    /// The patch's height at vertices of the ground's border that it wins.
    pub(super) over_border: Vec<(u32, f64)>,
    /// Nodes of marks on borders.
    pub(super) on_border: Vec<u32>,
    pub(super) marks: Marks,
    pub(super) rims: Vec<Rim>,
    latest_rim: Vec<u32>,
    /// Cells that the patch wins, at least in part, but by so little or in so narrow a part that they
    /// may be no more than the trace of a rounded line: faces of the ground and of the patch.
    pub(super) asking: Vec<[u32; 2]>,
    pub(super) open_ends: Vec<([u32; 2], OpenEnd)>,
    /// The faces of the patch through which the ground's border runs; of all, which lie on any ground.
    pub(super) cut: Vec<u32>,
    pub(super) is_met: Vec<bool>,
}

/// A piece of the won region's outline that runs within a face.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rim {
    pub(super) faces: [u32; 2],
    /// Nodes at its ends, the region on its left.
    pub(super) ends: [u32; 2],
    pub(super) along: Along,
    /// The rim put before it within the face of the ground, and within that of the patch.
    before: [u32; 2],
}

/// What a rim runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Along {
    /// The zero line: it bounds what both faces keep.
    Zero,
    /// This stretch of the patch's border: it bounds the ground's face.
    PatchBorder(u32),
    /// The ground's border: it bounds the patch's face.
    GroundBorder,
    /// Nothing: it was given back.
    Nothing,
}

/// A corner of a cell.
#[derive(Clone, Copy)]
pub(super) struct Corner {
    pub(super) gain: f64,
    /// The node at a vertex; [`NONE`] at a crossing.
    pub(super) node: u32,
    /// At a crossing, how far along both edges it lies, of the ground and of the patch.
    pub(super) shares: [f64; 2],
    pub(super) turn: Turn,
    /// The piece of the outline that leaves it.
    pub(super) piece: Piece,
}

impl Corner {
    #[inline]
    pub(super) fn is_won(&self) -> bool {
        self.gain > 0.0
    }
}

/// The surfaces touch in a place, or are too nearly level, for signs to tell them apart.
pub(super) struct NotPlain;

/// Two faces that share a cell.
#[derive(Clone, Copy)]
pub(super) struct Faces<'f> {
    pub(super) under: &'f Facet,
    pub(super) above: &'f Facet,
}

impl<'s> Field<'s> {
    /// No marks yet; none where a surface has steps.
    pub(super) fn new(ground: &'s Surface, patch: &'s Surface, keep: Keep) -> Option<Self> {
        let mut heights = heights_by_vertex(ground)?;
        heights.extend(heights_by_vertex(patch)?);
        let n_owners = ground.faces().len() + patch.faces().len();
        Some(Self {
            ground,
            patch,
            sign: if keep == Keep::Highest { 1.0 } else { -1.0 },
            gains: vec![f64::NAN; heights.len()],
            at: [ground.vertices(), patch.vertices()].concat(),
            heights,
            steps: Vec::new(),
            over_border: Vec::new(),
            on_border: Vec::new(),
            marks: Marks::on(3 * n_owners),
            rims: Vec::new(),
            latest_rim: vec![NONE; n_owners],
            asking: Vec::new(),
            open_ends: Vec::new(),
            cut: Vec::new(),
            is_met: vec![false; patch.faces().len()],
        })
    }

    /// Whether the patch wins at a vertex.
    #[inline]
    pub(super) fn is_won(&self, node: u32) -> bool {
        self.gains[node as usize] > 0.0
    }

    /// Gives a vertex back to the ground.
    pub(super) fn lose(&mut self, node: u32) {
        self.gains[node as usize] = f64::NAN;
    }

    /// Whether a node lies on the zero line and not on the ground's border.
    pub(super) fn is_inner_mark(&self, node: u32) -> bool {
        node as usize >= self.gains.len() && !self.on_border.contains(&node)
    }

    pub(super) fn patch_node(&self, vertex: u32) -> u32 {
        self.ground.vertices().len() as u32 + vertex
    }

    pub(super) fn patch_owner(&self, face: u32) -> u32 {
        self.ground.faces().len() as u32 + face
    }

    pub(super) fn patch_line(&self, edge: u32) -> u32 {
        3 * self.ground.faces().len() as u32 + edge
    }

    /// The rims within an owner.
    #[inline]
    pub(super) fn rims_of(&self, owner: u32) -> impl Iterator<Item = u32> {
        let side = usize::from(owner >= self.ground.faces().len() as u32);
        let mut at = self.latest_rim[owner as usize];
        std::iter::from_fn(move || {
            let here = at;
            at = self.rims.get(here as usize)?.before[side];
            Some(here)
        })
    }

    /// Notes what a cell says; `shared` has the patch's face as `a` and the ground's as `b`.
    pub(super) fn take(&mut self, faces: Faces<'_>, shared: &Overlap) -> Result<(), NotPlain> {
        let Faces { under, above } = faces;
        self.is_met[above.face as usize] = true;
        let mut cell = [BLANK; 6];
        let cell = self.corners(faces, shared, &mut cell)?;
        let beyond = [
            self.ground.faces()[under.face as usize].neighbours,
            self.patch.faces()[above.face as usize].neighbours,
        ];
        let is_border = |piece: &Piece| {
            let under = beyond[0].get(piece.b_edge as usize) == Some(&NONE);
            let above = beyond[1].get(piece.a_edge as usize) == Some(&NONE);
            [under, above]
        };
        let any_border = beyond.as_flattened().contains(&NONE);
        if any_border
            && self.cut.last() != Some(&above.face)
            && cell.iter().any(|corner| is_border(&corner.piece)[0])
        {
            self.cut.push(above.face);
        }
        let n_won = cell.iter().filter(|corner| corner.is_won()).count();
        if n_won == 0 {
            return Ok(());
        }
        let mut zeros = [NONE; 2];
        if n_won < cell.len() {
            for (i, corner) in cell.iter().enumerate() {
                let following = &cell[if i + 1 == cell.len() { 0 } else { i + 1 }];
                if corner.is_won() != following.is_won() {
                    let slot = &mut zeros[usize::from(following.is_won())];
                    if *slot != NONE {
                        return Err(NotPlain);
                    }
                    *slot = self.zero(faces, [corner, following]);
                }
            }
            let ends = zeros.map(|mark| self.marks.at(mark).node);
            self.put_rim([under.face, above.face], ends, Along::Zero);
        }
        if self.may_be_a_trace(faces, cell, zeros) {
            self.asking.push([under.face, above.face]);
        }
        if any_border {
            self.take_borders(faces, cell, is_border);
        }
        Ok(())
    }

    /// The corners of a cell in order.
    #[inline]
    pub(super) fn corners<'c>(
        &mut self,
        Faces { under, above }: Faces<'_>,
        shared: &Overlap,
        cell: &'c mut [Corner; 6],
    ) -> Result<&'c [Corner], NotPlain> {
        let order = shared.order();
        let n = shared.pieces().len();
        for (corner, &i) in cell.iter_mut().zip(&order[..n]) {
            let piece = &shared.pieces()[i as usize];
            let (mut node, mut shares) = (NONE, [0.0; 2]);
            let gain = match piece.start {
                Turn::A(i) => {
                    let i = i as usize;
                    node = self.patch_node(above.vertices[i]);
                    let sides = [0, 1, 2].map(|e| shared.a_sides[e][i]);
                    let rise_m = || above.heights[i] - under.plane.at(above.corners[i]);
                    self.gain_at(node, sides, rise_m)
                }
                Turn::B(j) => {
                    let j = j as usize;
                    node = under.vertices[j];
                    let sides = [0, 1, 2].map(|e| shared.b_sides[e][j]);
                    let rise_m = || above.plane.at(under.corners[j]) - under.heights[j];
                    self.gain_at(node, sides, rise_m)
                }
                Turn::Cross(e, k) => {
                    let (e, k) = (e as usize, k as usize);
                    let (g_turned, p_turned) = (under.edge(k).1, above.edge(e).1);
                    let g = under.crossing_share(k, g_turned, &shared.b_sides[e]);
                    let p = above.crossing_share(e, p_turned, &shared.a_sides[k]);
                    shares = [g, p];
                    self.sign * (above.along(e, p_turned, p) - under.along(k, g_turned, g))
                }
            };
            if gain == 0.0 || gain.is_nan() {
                return Err(NotPlain);
            }
            *corner = Corner { gain, node, shares, turn: piece.start, piece: *piece };
        }
        Ok(&cell[..n])
    }

    /// The gain at a vertex; no number where it lies on an edge.
    #[inline]
    fn gain_at(&mut self, node: u32, sides: [i64; 3], rise_m: impl FnOnce() -> f64) -> f64 {
        let known = &mut self.gains[node as usize];
        if known.is_nan() && !sides.contains(&0) {
            *known = self.sign * rise_m();
        }
        *known
    }

    /// The mark where the zero line crosses the piece between two corners.
    pub(super) fn zero(&mut self, faces: Faces<'_>, ends: [&Corner; 2]) -> u32 {
        let Run { facet, edge, line, side, across } = self.run(faces, &ends[0].piece);
        let kind = Kind::Zero(across);
        if let Some(known) = self.marks.find(line, kind) {
            return known;
        }
        let turned = facet.edge(edge).1;
        let [from, to] = shares_on(turned, side, ends);
        let share = from + ends[0].gain / (ends[0].gain - ends[1].gain) * (to - from);
        self.at.push(place(facet, edge, share).nearest);
        self.heights.push(facet.along(edge, turned, share));
        let node = self.at.len() as u32 - 1;
        if self.ends_at(side, facet.face, edge) {
            self.on_border.push(node);
        }
        self.marks.put(line, share, node, kind)
    }

    /// Whether an edge of a face, of the ground for side zero, is a border.
    #[inline]
    pub(super) fn ends_at(&self, side: usize, face: u32, edge: usize) -> bool {
        let surface = if side == 0 { self.ground } else { self.patch };
        surface.faces()[face as usize].neighbours[edge] == NONE
    }

    /// What a piece of a cell's outline runs along.
    pub(super) fn run<'f>(&self, Faces { under, above }: Faces<'f>, piece: &Piece) -> Run<'f> {
        if piece.b_edge != NO_EDGE {
            let edge = piece.b_edge as usize;
            let line = under.edge(edge).0;
            return Run { facet: under, edge, line, side: 0, across: above.face };
        }
        let edge = piece.a_edge as usize;
        let line = self.patch_line(above.edge(edge).0);
        Run { facet: above, edge, line, side: 1, across: under.face }
    }

    pub(super) fn put_rim(&mut self, faces: [u32; 2], ends: [u32; 2], along: Along) {
        let owners = [faces[0], self.patch_owner(faces[1])];
        let new = self.rims.len() as u32;
        let mut before = [NONE; 2];
        for side in 0..2 {
            let bounds = match along {
                Along::PatchBorder(_) => side == 0,
                Along::GroundBorder => side == 1,
                Along::Zero | Along::Nothing => true,
            };
            if bounds {
                before[side] = std::mem::replace(&mut self.latest_rim[owners[side] as usize], new);
            }
        }
        self.rims.push(Rim { faces, ends, along, before });
    }
}

/// The edge that a piece of a cell's outline runs along, which is one of the ground or of the patch.
pub(super) struct Run<'f> {
    pub(super) facet: &'f Facet,
    pub(super) edge: usize,
    pub(super) line: u32,
    /// Zero where it is an edge of the ground, one where it is the patch's.
    pub(super) side: usize,
    /// The face of the other surface.
    pub(super) across: u32,
}

const BLANK: Corner = Corner {
    gain: 0.0,
    node: NONE,
    shares: [0.0; 2],
    turn: Turn::B(0),
    piece: Piece { a_edge: NO_EDGE, b_edge: NO_EDGE, start: Turn::B(0), end: Turn::B(0) },
};

impl Corner {
    pub(super) const ROOM: [Self; 6] = [BLANK; 6];
}

/// How far along an edge, in its own direction, two corners on it lie, the first of which the face
/// comes to first.
#[inline]
pub(super) fn shares_on(turned: Turned, side: usize, ends: [&Corner; 2]) -> [f64; 2] {
    let own = if turned == Turned::No { [0.0, 1.0] } else { [1.0, 0.0] };
    [0, 1].map(|i| if ends[i].node == NONE { ends[i].shares[side] } else { own[i] })
}

/// The ends of an edge in its own direction.
#[inline]
pub(super) fn ends_of(facet: &Facet, edge: usize, turned: Turned) -> [LatticePoint; 2] {
    let (p, q) = (facet.corners[edge], facet.corners[next(edge)]);
    if turned == Turned::No { [p, q] } else { [q, p] }
}

/// The place a share of the way along an edge, in its own direction.
pub(super) fn place(facet: &Facet, edge: usize, share: f64) -> Place {
    let [p, q] = ends_of(facet, edge, facet.edge(edge).1);
    Place::on(p).towards(&Place::on(q), share)
}

/// The height at each vertex; none where a surface has steps.
fn heights_by_vertex(surface: &Surface) -> Option<Vec<f64>> {
    let mut heights = vec![f64::NAN; surface.vertices().len()];
    for face in surface.faces() {
        for (vertex, height) in face.vertices.into_iter().zip(face.heights) {
            let (known, here) = (&mut heights[vertex as usize], surface.heights()[height as usize]);
            if known.is_nan() {
                *known = here;
            } else if *known != here {
                return None;
            }
        }
    }
    Some(heights)
}
