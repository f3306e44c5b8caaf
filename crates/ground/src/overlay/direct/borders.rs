//! Where borders of both surfaces run through what the patch wins.
//!
//! Along the patch's border the surface steps down to the ground; beyond the ground's nothing is won.

use super::super::facet::{Facet, Turned};
use super::super::outcome::{OPEN_END_M, OpenEnd};
use super::super::overlap::{Piece, Turn};
use super::field::{Along, Corner, Faces, Field, place, shares_on};
use super::marks::Kind;
use crate::surface::NONE;

impl Field<'_> {
    /// Notes where borders run through what is won of a cell.
    pub(super) fn take_borders(
        &mut self,
        faces: Faces<'_>,
        cell: &[Corner],
        is_border: impl Fn(&Piece) -> [bool; 2],
    ) {
        let pair = [faces.under.face, faces.above.face];
        for (i, corner) in cell.iter().enumerate() {
            let following = &cell[if i + 1 == cell.len() { 0 } else { i + 1 }];
            let [on_ground, on_patch] = is_border(&corner.piece);
            // Crossings count even where no piece runs along the border here.
            if corner.is_won() && corner.node == NONE {
                self.crossing(faces, corner);
            }
            if !(on_ground || on_patch) || !(corner.is_won() || following.is_won()) {
                continue;
            }
            let ends = [corner, following];
            let found = ends.map(|end| self.end_of(faces, ends, end));
            let nodes = found.map(|end| end[0]);
            let run = self.run(faces, &corner.piece);
            let turned = run.facet.edge(run.edge).1;
            let lower = if turned == Turned::No { found[0] } else { found[1] };
            if on_ground {
                for (end, node) in ends.into_iter().zip(nodes) {
                    if end.is_won() && end.node == node {
                        let at = faces.under.heights[corner_of(faces.under, node)];
                        self.over_border.push((node, at + self.sign * end.gain));
                    }
                }
                self.put_rim(pair, nodes, Along::GroundBorder);
                continue;
            }
            for (end, node) in ends.into_iter().zip(nodes) {
                if end.is_won() && end.node == node {
                    let at = faces.under.plane.at(self.at[node as usize]);
                    self.steps.push((node, at));
                }
            }
            self.put_rim(pair, nodes, Along::PatchBorder(lower[1]));
            self.put_open_end(faces, ends);
        }
    }

    /// The node at one end of what is won of a piece, and the stretch of its edge that begins there.
    fn end_of(&mut self, faces: Faces<'_>, piece: [&Corner; 2], end: &Corner) -> [u32; 2] {
        let run = self.run(faces, &piece[0].piece);
        let mark = if !end.is_won() {
            self.zero(faces, piece)
        } else if end.node == NONE {
            self.crossing(faces, end).map_or(NONE, |marks| marks[run.side])
        } else {
            return [end.node, run.line];
        };
        [self.marks.at(mark).node, self.marks.n_lines() + mark]
    }

    /// The marks on both edges where they cross, of the ground and of the patch; none unless one of
    /// the edges is a border.
    fn crossing(&mut self, faces: Faces<'_>, corner: &Corner) -> Option<[u32; 2]> {
        let (Faces { under, above }, [share_g, share_p]) = (faces, corner.shares);
        let Turn::Cross(e, k) = corner.turn else { return None };
        let marks = self.border_marks(faces, corner);
        let &[on_ground, on_patch] = marks.as_slice() else { return None };
        if let Some(known) = self.marks.find(on_ground.0, on_ground.1) {
            return Some([known, self.marks.find(on_patch.0, on_patch.1)?]);
        }
        let (e, k) = (e as usize, k as usize);
        self.at.push(place(above, e, share_p).nearest);
        self.heights.push(above.along(e, above.edge(e).1, share_p));
        let node = self.at.len() as u32 - 1;
        self.on_border.push(node);
        if on_ground.1.turns() {
            self.steps.push((node, under.along(k, under.edge(k).1, share_g)));
        }
        Some([
            self.marks.put(on_ground.0, share_g, node, on_ground.1),
            self.marks.put(on_patch.0, share_p, node, on_patch.1),
        ])
    }

    /// The lines of both edges that cross at a corner, of the ground and of the patch, and what marks
    /// there are of; none unless one of the edges is a border.
    pub(super) fn border_marks(&self, faces: Faces<'_>, corner: &Corner) -> Vec<(u32, Kind)> {
        let Faces { under, above } = faces;
        let Turn::Cross(e, k) = corner.turn else { return Vec::new() };
        let (e, k) = (e as usize, k as usize);
        let ground_ends = self.ends_at(0, under.face, k);
        let patch_ends = self.ends_at(1, above.face, e);
        if !ground_ends && !patch_ends {
            return Vec::new();
        }
        let lines = [under.edge(k).0, self.patch_line(above.edge(e).0)];
        let kind = |turns: bool, line: u32| {
            if turns { Kind::Border(line) } else { Kind::Through(line) }
        };
        vec![(lines[0], kind(patch_ends, lines[1])), (lines[1], kind(ground_ends, lines[0]))]
    }

    /// Notes a won stretch of the patch's border as an open end, unless it meets the ground.
    fn put_open_end(&mut self, faces: Faces<'_>, ends: [&Corner; 2]) {
        let above = faces.above;
        let edge = ends[0].piece.a_edge as usize;
        let turned = above.edge(edge).1;
        let mut shares = shares_on(turned, 1, ends);
        let rise_m = ends.map(|end| if end.is_won() { self.sign * end.gain } else { 0.0 });
        if rise_m.iter().all(|r| r.abs() <= OPEN_END_M) {
            return;
        }
        for (i, end) in ends.iter().enumerate().filter(|(_, end)| !end.is_won()) {
            let other = ends[1 - i];
            shares[i] += end.gain / (end.gain - other.gain) * (shares[1 - i] - shares[i]);
        }
        let lattice = self.patch.lattice();
        let [from, to] = shares.map(|share| {
            let at = place(above, edge, share);
            lattice.metres_at([
                f64::from(at.nearest.x) + at.offset[0],
                f64::from(at.nearest.y) + at.offset[1],
            ])
        });
        let tag = self.patch.faces()[above.face as usize].tag;
        let pair = [faces.under.face, above.face];
        self.open_ends.push((pair, OpenEnd { from, to, rise_m, tag }));
    }
}

fn corner_of(facet: &Facet, vertex: u32) -> usize {
    facet.vertices.iter().position(|&v| v == vertex).unwrap_or(0)
}
