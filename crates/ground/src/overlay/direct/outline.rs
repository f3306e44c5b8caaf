//! What each owner keeps, as directed pieces of outline between nodes.

use super::super::facet::{Turned, edge_number};
use super::super::overlap::next;
use super::field::{Along, Field};
use crate::surface::NONE;

/// A directed, straight piece of an owner's outline, its region on the left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) from: u32,
    pub(super) to: u32,
    /// A number that it shares with the owner on its other side; [`NONE`] at the border of the
    /// composed surface.
    pub(super) seam: u32,
    /// Whether a breakline, an outline or the boundary runs here.
    pub(super) fixed: bool,
}

/// What is there of an owner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kept {
    Nothing,
    Whole,
    Part,
}

/// The pieces of outlines, one owner at a time.
#[derive(Debug, Default)]
pub(super) struct Outline {
    pub(super) pieces: Vec<Piece>,
    /// Whether the ground steps to the patch along some piece.
    pub(super) has_step: bool,
    marks: Vec<(f64, u32)>,
}

/// Marks are not in accord with who wins the vertices.
pub(super) struct Astray;

impl Outline {
    /// Finds the outline of what an owner keeps, which must be but a part of it.
    pub(super) fn find(&mut self, field: &Field<'_>, owner: u32) -> Result<(), Astray> {
        self.pieces.clear();
        self.has_step = false;
        let source = Source::of(field, owner);
        let face = &source.surface.faces()[source.face as usize];
        for edge in 0..3 {
            let (number, turned) = edge_number(source.surface, source.face, edge);
            let line = source.first_line + number;
            let ends = [edge, next(edge)].map(|k| source.first_node + face.vertices[k]);
            let at_border = face.neighbours[edge] == NONE;
            let fixed = at_border || face.fixed >> edge & 1 == 1;
            let outer = at_border && !source.is_patch;
            self.marks.clear();
            let on_line = field.marks.along(line);
            self.marks.extend(on_line.map(|mark| (field.marks.at(mark).share, mark)));
            if self.marks.len() > 1 {
                self.marks.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                if turned == Turned::Yes {
                    self.marks.reverse();
                }
            }
            let mut keeps = field.is_won(ends[0]) == source.is_patch;
            let (mut from, mut seam) = (ends[0], line);
            for &(_, mark) in &self.marks {
                let here = field.marks.at(mark);
                let beyond = field.marks.n_lines() + mark;
                if keeps {
                    let seam = if turned == Turned::Yes { beyond } else { seam };
                    let seam = if outer { NONE } else { seam };
                    self.pieces.push(Piece { from, to: here.node, seam, fixed });
                }
                (from, seam) = (here.node, beyond);
                keeps ^= here.kind.turns();
            }
            if keeps {
                let seam = if turned == Turned::Yes { line } else { seam };
                let seam = if outer { NONE } else { seam };
                self.pieces.push(Piece { from, to: ends[1], seam, fixed });
            }
            if keeps != (field.is_won(ends[1]) == source.is_patch) {
                return Err(Astray);
            }
        }
        self.put_rims(field, owner, source.is_patch);
        Ok(())
    }

    fn put_rims(&mut self, field: &Field<'_>, owner: u32, is_patch: bool) {
        for number in field.rims_of(owner) {
            let rim = &field.rims[number as usize];
            let [from, to] = if is_patch { rim.ends } else { [rim.ends[1], rim.ends[0]] };
            let (seam, fixed) = match rim.along {
                Along::Zero => (field.marks.n_lines() + field.marks.len() as u32 + number, false),
                Along::PatchBorder(stretch) => (stretch, true),
                Along::GroundBorder => (NONE, true),
                Along::Nothing => continue,
            };
            self.has_step |= matches!(rim.along, Along::PatchBorder(_));
            self.pieces.push(Piece { from, to, seam, fixed });
        }
    }
}

/// Where an owner comes from.
#[derive(Clone, Copy)]
pub(super) struct Source<'s> {
    pub(super) surface: &'s crate::Surface,
    pub(super) face: u32,
    pub(super) is_patch: bool,
    first_node: u32,
    first_line: u32,
}

impl<'s> Source<'s> {
    #[inline]
    pub(super) fn of(field: &Field<'s>, owner: u32) -> Self {
        let n_ground = field.ground.faces().len() as u32;
        if owner < n_ground {
            let (surface, first) = (field.ground, 0);
            return Self {
                surface,
                face: owner,
                is_patch: false,
                first_node: first,
                first_line: first,
            };
        }
        Self {
            surface: field.patch,
            face: owner - n_ground,
            is_patch: true,
            first_node: field.patch_node(0),
            first_line: field.patch_line(0),
        }
    }

    /// The nodes at its corners.
    #[inline]
    pub(super) fn nodes(&self) -> [u32; 3] {
        self.surface.faces()[self.face as usize].vertices.map(|v| self.first_node + v)
    }

    /// What is there of it.
    #[inline]
    pub(super) fn kept(&self, field: &Field<'_>, owner: u32) -> Kept {
        let is_crossed = field.rims_of(owner).next().is_some()
            || (0..3).any(|edge| {
                let line = self.first_line + edge_number(self.surface, self.face, edge).0;
                !field.marks.is_bare(line)
            });
        let n_kept = self.nodes().into_iter().filter(|&v| field.is_won(v) == self.is_patch).count();
        match n_kept {
            _ if is_crossed => Kept::Part,
            3 => Kept::Whole,
            0 => Kept::Nothing,
            // Which cannot be without a mark between: finding the outline tells.
            _ => Kept::Part,
        }
    }
}
