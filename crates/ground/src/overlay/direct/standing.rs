//! Giving back what the patch wins only as the trace of a rounded line.

use std::collections::BTreeMap;

use super::super::facet::Facets;
use super::super::overlap::{NO_EDGE, Turn, overlap};
use super::super::winners::tie_m;
use super::field::{Along, Corner, Faces, Field, NotPlain, ends_of};
use super::marks::Kind;
use crate::LatticePoint;
use crate::surface::NONE;

/// Gives back to the ground every connected won region that is level or narrow throughout.
pub(super) fn give_back_traces(field: &mut Field<'_>) -> Result<(), NotPlain> {
    let asking = std::mem::take(&mut field.asking);
    let number: BTreeMap<[u32; 2], usize> = asking.iter().copied().zip(0..).collect();
    let mut cells = Vec::with_capacity(asking.len());
    let (mut grounds, mut patches) = (Facets::of(field.ground), Facets::of(field.patch));
    for &[under, above] in &asking {
        let faces = Faces { under: grounds.at(under), above: patches.at(above) };
        cells.push(Cell::of(field, faces)?);
    }
    let mut stands: Vec<bool> = vec![false; cells.len()];
    let mut waiting = Vec::new();
    for (i, cell) in cells.iter().enumerate() {
        stands[i] = cell.beside.iter().any(|pair| !number.contains_key(pair));
        waiting.extend(stands[i].then_some(i));
    }
    while let Some(i) = waiting.pop() {
        for &beside in cells[i].beside.iter().filter_map(|pair| number.get(pair)) {
            if !std::mem::replace(&mut stands[beside], true) {
                waiting.push(beside);
            }
        }
    }
    let fallen = || cells.iter().zip(&asking).zip(&stands).filter(|(_, stands)| !**stands);
    for ((cell, pair), _) in fallen() {
        cell.vertices.iter().for_each(|&node| field.lose(node));
        for &(line, kind) in &cell.marks {
            let node = field.marks.take_off(line, kind);
            field.steps.retain(|step| Some(step.0) != node);
        }
        field.steps.retain(|step| !cell.vertices.contains(&step.0));
        field.open_ends.retain(|end| end.0 != *pair);
        let rims: Vec<u32> =
            field.rims_of(pair[0]).chain(field.rims_of(field.patch_owner(pair[1]))).collect();
        for rim in rims {
            let rim = &mut field.rims[rim as usize];
            if rim.faces == *pair {
                rim.along = Along::Nothing;
            }
        }
    }
    Ok(())
}

impl Field<'_> {
    /// Whether what is won of a cell is level with the ground or very narrow.
    pub(super) fn may_be_a_trace(
        &self,
        faces: Faces<'_>,
        cell: &[Corner],
        zeros: [u32; 2],
    ) -> bool {
        let tie = tie_m([faces.under.steepness_m, faces.above.steepness_m]);
        if cell.iter().all(|corner| corner.gain <= tie) {
            return true;
        }
        let origin = faces.above.corners[0];
        let steps = |p: LatticePoint| {
            [i64::from(p.x) - i64::from(origin.x), i64::from(p.y) - i64::from(origin.y)]
                .map(|s| s as f64)
        };
        let (mut twice_area, mut rim) = (0.0, 0.0);
        let mut first: Option<[f64; 2]> = None;
        let mut latest = [0.0; 2];
        let mut put = |p: [f64; 2]| {
            let q = if first.is_none() { p } else { latest };
            first = first.or(Some(p));
            twice_area += q[0] * p[1] - q[1] * p[0];
            rim += (p[0] - q[0]).abs() + (p[1] - q[1]).abs();
            latest = p;
        };
        let mut start = None;
        for (i, corner) in cell.iter().enumerate() {
            if corner.is_won() {
                let at = match corner.turn {
                    Turn::Cross(e, _) => {
                        let (e, turned) = (e as usize, faces.above.edge(e as usize).1);
                        let [p, q] = ends_of(faces.above, e, turned).map(steps);
                        let t = corner.shares[1];
                        [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
                    }
                    _ => steps(self.at[corner.node as usize]),
                };
                put(at);
                start = start.or(Some(at));
            }
            let following = &cell[if i + 1 == cell.len() { 0 } else { i + 1 }];
            if corner.is_won() != following.is_won() {
                let mark = self.marks.at(zeros[usize::from(following.is_won())]);
                let at = steps(self.at[mark.node as usize]);
                put(at);
                start = start.or(Some(at));
            }
        }
        if let Some(start) = start {
            put(start);
        }
        // Four times the area over the rim is the width of a narrow part, here at most 4 steps.
        twice_area / 2.0 <= rim
    }
}

/// What is known of the won part of a cell.
struct Cell {
    /// The cells beside it into which the won part goes on.
    beside: Vec<[u32; 2]>,
    /// Nodes at won vertices.
    vertices: Vec<u32>,
    marks: Vec<(u32, Kind)>,
}

impl Cell {
    fn of(field: &mut Field<'_>, faces: Faces<'_>) -> Result<Self, NotPlain> {
        let Faces { under, above } = faces;
        let shared = overlap(above.corners, under.corners).ok_or(NotPlain)?;
        let mut room = Corner::ROOM;
        let corners = field.corners(faces, &shared, &mut room)?;
        let mut cell = Self { beside: Vec::new(), vertices: Vec::new(), marks: Vec::new() };
        for (i, corner) in corners.iter().enumerate() {
            let following = &corners[(i + 1) % corners.len()];
            let piece = &corner.piece;
            let beyond = if piece.b_edge != NO_EDGE {
                let edge = piece.b_edge as usize;
                [field.ground.faces()[under.face as usize].neighbours[edge], above.face]
            } else {
                let edge = piece.a_edge as usize;
                [under.face, field.patch.faces()[above.face as usize].neighbours[edge]]
            };
            if (corner.is_won() || following.is_won()) && !beyond.contains(&NONE) {
                cell.beside.push(beyond);
            }
            if corner.is_won() != following.is_won() {
                cell.marks.push(if piece.b_edge != NO_EDGE {
                    (under.edge(piece.b_edge as usize).0, Kind::Zero(above.face))
                } else {
                    let line = field.patch_line(above.edge(piece.a_edge as usize).0);
                    (line, Kind::Zero(under.face))
                });
            }
            if corner.is_won() {
                cell.vertices.extend((corner.node != NONE).then_some(corner.node));
                cell.marks.extend(field.border_marks(faces, corner));
            }
        }
        Ok(cell)
    }
}
