//! The boundary of the part of a surface where a field is zero or above, the field running straight
//! over each face.
//!
//! ```text
//!           /\            part of a face: the polygon of its corners at zero or above, walked
//!     -    /  \   -       counter-clockwise; where it leaves the rim stands its *cut*,
//!         /    \          which starts on the edge that goes out and ends on the edge
//!        /<--cut\         that comes in, the part on its left
//!       /        \
//!      +----------+       along an edge, the stretches that both faces hold cancel
//! ```
//! The walk is combinatorial: it goes from face to face by the signs at the corners, and coordinates
//! only decide which of two cuts in the two faces of a step comes first. A part without area (a
//! ridge or a summit exactly at zero) has no boundary.

use std::cmp::Ordering;
use std::collections::HashMap;

use super::side::{Side, edge_towards, metres, next, zero_between};
use crate::{NONE, Surface};

/// Whether faces that lie wholly at zero belong to the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Flats {
    Inside,
    Outside,
}

/// A field over a surface: its values at the corners of each face.
///
/// A face at one of whose corners the field is not a finite number belongs to no part.
pub(crate) struct Field<'a, V> {
    pub(crate) surface: &'a Surface,
    pub(crate) values: V,
    pub(crate) flats: Flats,
}

/// What a stretch of boundary runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Along {
    /// Ground on both sides.
    Ground,
    /// The border of the surface.
    Border,
}

/// A point of a boundary and the stretch that starts there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Node {
    /// Local metres.
    pub(crate) at: [f64; 2],
    /// The surface's vertex in this place, or [`NONE`] within an edge.
    pub(crate) vertex: u32,
    /// The face on the left of the stretch.
    pub(crate) face_idx: u32,
    pub(crate) along: Along,
}

/// A closed boundary, the part on its left; no place occurs twice.
pub(crate) type Loop = Vec<Node>;

/// Where a walk stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stand {
    /// At the start of a face's cut.
    Cut(u32),
    /// At a corner of a face's part, which is about to run along the edge that starts there.
    Corner(u32, usize),
}

/// Bit of a face's cut among its walked stretches; bits 0 to 2 are its edges.
const CUT: u8 = 1 << 3;

/// Traces boundaries and remembers which stretches it walked.
pub(crate) struct Tracer {
    walked: Vec<u8>,
    touched: Vec<u32>,
}

impl Tracer {
    pub(crate) fn new(surface: &Surface) -> Self {
        Self { walked: vec![0; surface.faces().len()], touched: Vec::new() }
    }

    /// Every loop that passes one of the `starts` along a cut, or along an edge from its corner.
    ///
    /// Loops that run along the border alone are left out unless `border` says otherwise.
    pub(crate) fn loops<V: Fn(u32) -> [f64; 3]>(
        &mut self,
        field: &Field<V>,
        starts: impl IntoIterator<Item = u32>,
        border: Border,
    ) -> Vec<Loop> {
        let mut loops = Vec::new();
        for face_idx in starts {
            let Some(values) = field.part(face_idx) else { continue };
            if exit(values).is_some() && !self.is_walked(face_idx, CUT) {
                self.walk(field, Stand::Cut(face_idx), &mut loops);
            }
            for k in 0..3 {
                if !self.is_walked(face_idx, 1 << k) && field.starts_at(face_idx, k, border) {
                    self.walk(field, Stand::Corner(face_idx, k), &mut loops);
                }
            }
        }
        for face_idx in self.touched.drain(..) {
            self.walked[face_idx as usize] = 0;
        }
        loops
    }

    fn is_walked(&self, face_idx: u32, bit: u8) -> bool {
        self.walked[face_idx as usize] & bit != 0
    }

    /// Marks a stretch; false when it was walked before.
    fn mark(&mut self, face_idx: u32, bit: u8) -> bool {
        let walked = &mut self.walked[face_idx as usize];
        if *walked == 0 {
            self.touched.push(face_idx);
        }
        let fresh = *walked & bit == 0;
        *walked |= bit;
        fresh
    }

    fn walk<V: Fn(u32) -> [f64; 3]>(
        &mut self,
        field: &Field<V>,
        start: Stand,
        loops: &mut Vec<Loop>,
    ) {
        let mut nodes = Vec::new();
        let mut stand = start;
        loop {
            stand = match stand {
                Stand::Cut(face_idx) => {
                    if !self.mark(face_idx, CUT) {
                        break;
                    }
                    field.walk_cut(face_idx, &mut nodes)
                }
                Stand::Corner(face_idx, corner) => {
                    let (face_idx, k) = match field.turn(face_idx, corner) {
                        Stand::Corner(face_idx, k) => (face_idx, k),
                        cut => {
                            stand = cut;
                            continue;
                        }
                    };
                    if !self.mark(face_idx, 1 << k) {
                        break;
                    }
                    field.walk_edge(face_idx, k, &mut nodes)
                }
            };
        }
        split(nodes, loops);
    }
}

/// Whether loops may start on the border of the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Border {
    Counts,
    LeftOut,
}

impl<V: Fn(u32) -> [f64; 3]> Field<'_, V> {
    /// A face's corner values, when some area of it belongs to the part.
    #[inline]
    pub(crate) fn part(&self, face_idx: u32) -> Option<[f64; 3]> {
        if face_idx == NONE {
            return None;
        }
        let values = (self.values)(face_idx);
        let defined = values.iter().all(|v| v.is_finite());
        let above = values.iter().any(|&v| v > 0.0);
        let flat = self.flats == Flats::Inside && values == [0.0; 3];
        (defined && (above || flat)).then_some(values)
    }

    /// The face across an edge, that edge's number there, and the values there as far as it belongs
    /// to the part.
    #[inline]
    fn across(&self, face_idx: u32, k: usize) -> Option<(u32, usize, [f64; 3])> {
        let face = &self.surface.faces()[face_idx as usize];
        let other = face.neighbours[k];
        let values = self.part(other)?;
        let edge = edge_towards(self.surface, other, face_idx, face.vertices[k]);
        Some((other, edge, values))
    }

    /// The face across an edge when the field is above zero in both faces along one stretch of it.
    pub(crate) fn above_across(&self, face_idx: u32, k: usize) -> Option<u32> {
        let values = self.part(face_idx)?;
        let (other, j, v) = self.across(face_idx, k)?;
        let rises = |v: [f64; 3], k: usize| v[k] > 0.0 || v[next(k)] > 0.0;
        if !(rises(values, k) && rises(v, j)) {
            return None;
        }
        let near_start = (holds(values[k], values[next(k)]), holds(v[next(j)], v[j]));
        let near_end = (holds(values[next(k)], values[k]), holds(v[j], v[next(j)]));
        let meets = match (near_start, near_end) {
            ((true, true), _) | (_, (true, true)) => true,
            // At opposite ends, they overlap when the part near the start reaches beyond the other.
            ((true, false), (false, true)) => {
                self.order((other, j, v), (face_idx, k, values)) == Ordering::Less
            }
            ((false, true), (true, false)) => {
                self.order((other, j, v), (face_idx, k, values)) == Ordering::Greater
            }
            _ => false,
        };
        meets.then_some(other)
    }

    /// Whether a boundary runs along edge `k` of a face of the part, from its start.
    fn starts_at(&self, face_idx: u32, k: usize, border: Border) -> bool {
        let at_border = self.surface.faces()[face_idx as usize].neighbours[k] == NONE;
        let Some(values) = self.part(face_idx) else { return false };
        holds(values[k], values[next(k)])
            && (!at_border || border == Border::Counts)
            && !self.across(face_idx, k).is_some_and(|(_, j, v)| holds(v[next(j)], v[j]))
    }

    /// Turns clockwise about a corner of the part until its boundary goes on.
    fn turn(&self, mut face_idx: u32, mut k: usize) -> Stand {
        loop {
            let values = self.expect_part(face_idx);
            if !holds(values[k], values[next(k)]) {
                return Stand::Cut(face_idx);
            }
            match self.across(face_idx, k) {
                Some((other, j, v)) if holds(v[next(j)], v[j]) => (face_idx, k) = (other, next(j)),
                _ => return Stand::Corner(face_idx, k),
            }
        }
    }

    /// Walks a face's cut and what it meets where it ends.
    fn walk_cut(&self, face_idx: u32, nodes: &mut Vec<Node>) -> Stand {
        let values = self.expect_part(face_idx);
        let k = exit(values).expect("a walk stands only at cuts that exist");
        self.push_cut_point(face_idx, k, Along::Ground, nodes);
        let k = (0..3)
            .find(|&k| values[k] < 0.0 && values[next(k)] >= 0.0)
            .expect("a part that leaves a face's rim comes back to it");
        if values[next(k)] == 0.0 {
            return Stand::Corner(face_idx, next(k));
        }
        let along = self.along(face_idx, k);
        self.push_cut_point(face_idx, k, along, nodes);
        let ahead = Stand::Corner(face_idx, next(k));
        let Some((other, j, v)) = self.across(face_idx, k) else { return ahead };
        match (holds(v[j], v[next(j)]), holds(v[next(j)], v[j])) {
            (false, false) => ahead,
            (true, true) => Stand::Corner(other, next(j)),
            (true, false) => Stand::Cut(other),
            // The two parts lie at opposite ends of the edge, and cancel where they overlap.
            (false, true) => match self.order((other, j, v), (face_idx, k, values)) {
                Ordering::Less | Ordering::Equal => ahead,
                Ordering::Greater => Stand::Corner(other, next(j)),
            },
        }
    }

    /// Walks from the start of an edge to where the boundary leaves it.
    fn walk_edge(&self, face_idx: u32, k: usize, nodes: &mut Vec<Node>) -> Stand {
        let vertex = self.surface.faces()[face_idx as usize].vertices[k];
        let at = self.surface.lattice().metres(self.surface.vertices()[vertex as usize]);
        nodes.push(Node { at, vertex, face_idx, along: self.along(face_idx, k) });
        let values = self.expect_part(face_idx);
        let whole = holds(values[next(k)], values[k]);
        // A cut pushes the point where the stretch along the edge ends.
        match self.across(face_idx, k).filter(|&(_, j, v)| holds(v[j], v[next(j)])) {
            None if whole => Stand::Corner(face_idx, next(k)),
            None => Stand::Cut(face_idx),
            Some((other, ..)) if whole => Stand::Cut(other),
            Some((other, j, v)) => match self.order((other, j, v), (face_idx, k, values)) {
                Ordering::Less => Stand::Cut(other),
                Ordering::Equal | Ordering::Greater => Stand::Cut(face_idx),
            },
        }
    }

    /// Where the cut of the first of two faces beside an edge stands against that of the second, on
    /// the second's way along the edge.
    fn order(&self, first: (u32, usize, [f64; 3]), second: (u32, usize, [f64; 3])) -> Ordering {
        let share = |(face_idx, k, values): (u32, usize, [f64; 3])| {
            let side = Side::of(self.surface, face_idx, k);
            let [lo, hi] = side.in_order(values[k], values[next(k)]);
            (zero_between(lo, hi), side.runs_up)
        };
        let ((of_first, _), (of_second, runs_up)) = (share(first), share(second));
        if runs_up { of_first.total_cmp(&of_second) } else { of_second.total_cmp(&of_first) }
    }

    /// Adds the place where the field passes zero on edge `k` of a face.
    fn push_cut_point(&self, face_idx: u32, k: usize, along: Along, nodes: &mut Vec<Node>) {
        let values = self.expect_part(face_idx);
        let side = Side::of(self.surface, face_idx, k);
        let [lo, hi] = side.in_order(values[k], values[next(k)]);
        let at = metres(self.surface.lattice(), side.at(zero_between(lo, hi)));
        let starts_here = values[k] == 0.0;
        let vertex =
            if starts_here { self.surface.faces()[face_idx as usize].vertices[k] } else { NONE };
        nodes.push(Node { at, vertex, face_idx, along });
    }

    fn along(&self, face_idx: u32, k: usize) -> Along {
        match self.surface.faces()[face_idx as usize].neighbours[k] {
            NONE => Along::Border,
            _ => Along::Ground,
        }
    }

    fn expect_part(&self, face_idx: u32) -> [f64; 3] {
        self.part(face_idx).expect("a walk stays in the part")
    }
}

/// The edge on which a face's part leaves its rim, if it does.
#[inline]
fn exit(values: [f64; 3]) -> Option<usize> {
    (0..3).find(|&k| values[k] >= 0.0 && values[next(k)] < 0.0)
}

/// Whether the part holds the edge from `here` to `there` close to `here`.
#[inline]
fn holds(here: f64, there: f64) -> bool {
    here > 0.0 || (here == 0.0 && there >= 0.0)
}

/// Adds a walk as loops in which no place occurs twice; what has no area goes.
fn split(nodes: Vec<Node>, loops: &mut Vec<Loop>) {
    // Adding zero makes one key of the two zeros.
    let key = |node: &Node| node.at.map(|c| (c + 0.0).to_bits());
    let mut path: Loop = Vec::with_capacity(nodes.len());
    let mut places: HashMap<[u64; 2], usize> = HashMap::with_capacity(nodes.len());
    let mut finish = |ring: &[Node]| {
        if ring.len() > 2 {
            loops.push(ring.to_vec());
        }
    };
    for node in without_repeats(nodes) {
        if let Some(&start) = places.get(&key(&node)) {
            finish(&path[start..]);
            for gone in path.drain(start..) {
                places.remove(&key(&gone));
            }
        }
        places.insert(key(&node), path.len());
        path.push(node);
    }
    finish(&path);
}

/// A closed walk without stretches of no length.
fn without_repeats(nodes: Vec<Node>) -> Loop {
    let mut kept: Loop = Vec::with_capacity(nodes.len());
    for mut node in nodes {
        if let Some(last) = kept.pop_if(|last| last.at == node.at) {
            node.vertex = node.vertex.min(last.vertex);
        }
        kept.push(node);
    }
    while kept.len() > 1 && kept[0].at == kept[kept.len() - 1].at {
        let last = kept.pop().expect("there are two");
        kept[0].vertex = kept[0].vertex.min(last.vertex);
    }
    kept
}
