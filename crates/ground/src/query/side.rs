//! One edge of a face, read in an order on which the faces on both sides agree.

use crate::{Lattice, LatticePoint, NONE, Surface, predicates};

/// An edge of a face: its ends in lexicographic order, and the heights that this face names there.
///
/// Both faces beside an edge read the same ends in the same order, so whatever is computed from
/// equal end values is equal to the last bit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Side {
    pub(crate) lo: LatticePoint,
    pub(crate) hi: LatticePoint,
    pub(crate) z_lo: f64,
    pub(crate) z_hi: f64,
    /// Whether the face runs the edge from `lo` to `hi` on its counter-clockwise way.
    pub(crate) runs_up: bool,
}

impl Side {
    /// Edge `edge` of a face.
    #[inline]
    pub(crate) fn of(surface: &Surface, face_idx: u32, edge: usize) -> Self {
        let (p, z) = (surface.corners(face_idx), surface.corner_heights(face_idx));
        let end = next(edge);
        if p[edge] < p[end] {
            Self { lo: p[edge], hi: p[end], z_lo: z[edge], z_hi: z[end], runs_up: true }
        } else {
            Self { lo: p[end], hi: p[edge], z_lo: z[end], z_hi: z[edge], runs_up: false }
        }
    }

    /// Puts values at the start and the end of the face's own way in the order `lo`, `hi`.
    #[inline]
    pub(crate) fn in_order(&self, start: f64, end: f64) -> [f64; 2] {
        if self.runs_up { [start, end] } else { [end, start] }
    }

    /// The place at the share `s` of the way from `lo` to `hi`, in lattice steps; exact at the ends.
    #[inline]
    pub(crate) fn at(&self, s: f64) -> [f64; 2] {
        let (x, y) = (f64::from(self.lo.x), f64::from(self.lo.y));
        [x + s * (f64::from(self.hi.x) - x), y + s * (f64::from(self.hi.y) - y)]
    }

    /// The height at the share `s` of the way from `lo` to `hi`; exact at the ends.
    #[inline]
    pub(crate) fn z(&self, s: f64) -> f64 {
        if s == 1.0 { self.z_hi } else { self.z_lo + s * (self.z_hi - self.z_lo) }
    }

    /// The share of the way from `lo` to `hi` of a lattice place on the edge.
    #[inline]
    pub(crate) fn share_of(&self, p: LatticePoint) -> f64 {
        let (dx, dy) = (i64::from(self.hi.x) - i64::from(self.lo.x), self.rise_y());
        if dx >= dy.abs() {
            (i64::from(p.x) - i64::from(self.lo.x)) as f64 / dx as f64
        } else {
            (i64::from(p.y) - i64::from(self.lo.y)) as f64 / dy as f64
        }
    }

    /// The share at which the face's own way along the edge starts.
    #[inline]
    pub(crate) fn share_of_start(&self) -> f64 {
        if self.runs_up { 0.0 } else { 1.0 }
    }

    /// The share at which the face's own way along the edge ends.
    #[inline]
    pub(crate) fn share_of_end(&self) -> f64 {
        1.0 - self.share_of_start()
    }

    fn rise_y(&self) -> i64 {
        i64::from(self.hi.y) - i64::from(self.lo.y)
    }
}

/// The corner after `k`, counter-clockwise.
#[inline]
pub(crate) fn next(k: usize) -> usize {
    if k == 2 { 0 } else { k + 1 }
}

/// The share of the way from the first value to the second at which they pass zero; exact when one
/// of them is zero. The values must not have the same sign.
#[inline]
pub(crate) fn zero_between(first: f64, second: f64) -> f64 {
    first / (first - second)
}

/// Lattice steps in a metre, a whole number.
pub(crate) fn steps_per_m(lattice: Lattice) -> f64 {
    f64::from(1_000_000 / lattice.step_um())
}

/// A place given in lattice steps, in local metres; agrees with [`Lattice::metres`] on the lattice.
#[inline]
pub(crate) fn metres(lattice: Lattice, steps: [f64; 2]) -> [f64; 2] {
    let per_m = steps_per_m(lattice);
    [steps[0] / per_m, steps[1] / per_m]
}

/// A lattice place as numbers of steps.
#[inline]
pub(crate) fn steps(p: LatticePoint) -> [f64; 2] {
    [f64::from(p.x), f64::from(p.y)]
}

/// The way from one place to another.
#[inline]
pub(crate) fn between(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [b[0] - a[0], b[1] - a[1]]
}

/// Above zero when `b` points to the left of `a`.
#[inline]
pub(crate) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// The edge of `of` that it shares with `face_idx`.
#[inline]
pub(crate) fn edge_towards(surface: &Surface, of: u32, face_idx: u32, start: u32) -> usize {
    let face = &surface.faces()[of as usize];
    let ends_there = |k: usize| face.vertices[next(k)] == start;
    (0..3)
        .find(|&k| face.neighbours[k] == face_idx && ends_there(k))
        .expect("neighbours of a surface are mutual")
}

/// How a lattice place lies to a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lies {
    Outside,
    Inside,
    /// Between the ends of an edge.
    OnEdge(usize),
    AtCorner(usize),
}

/// How `p` lies to a face; exact.
#[inline]
pub(crate) fn lies(surface: &Surface, face_idx: u32, p: LatticePoint) -> Lies {
    let c = surface.corners(face_idx);
    let turns = [0, 1, 2].map(|k| predicates::orient(c[k], c[next(k)], p));
    if turns.iter().any(|&turn| turn < 0) {
        return Lies::Outside;
    }
    match turns.map(|turn| turn == 0) {
        [false, false, false] => Lies::Inside,
        [true, false, true] => Lies::AtCorner(0),
        [true, true, _] => Lies::AtCorner(1),
        [false, true, true] => Lies::AtCorner(2),
        [true, false, false] => Lies::OnEdge(0),
        [false, true, false] => Lies::OnEdge(1),
        [false, false, true] => Lies::OnEdge(2),
    }
}

/// The faces that hold a lattice place and how it lies to each, found by looking at all of them.
pub(crate) fn faces_at(surface: &Surface, p: LatticePoint) -> Vec<(u32, Lies)> {
    among_faces_at(surface, 0..surface.faces().len() as u32, p)
}

/// Which of the `faces` hold a lattice place and how it lies to each.
pub(crate) fn among_faces_at(
    surface: &Surface,
    faces: impl Iterator<Item = u32>,
    p: LatticePoint,
) -> Vec<(u32, Lies)> {
    faces.map(|f| (f, lies(surface, f, p))).filter(|(_, lies)| *lies != Lies::Outside).collect()
}

/// The faces around a corner of a face, each with the corner that stands in the same vertex: those
/// that share edges one after the other, the face itself first.
pub(crate) fn fan(surface: &Surface, face_idx: u32, corner: usize) -> Vec<(u32, usize)> {
    let vertex = surface.faces()[face_idx as usize].vertices[corner];
    let mut around = vec![(face_idx, corner)];
    // Clockwise over the edge that starts in the vertex; if that meets the border, the other way too.
    for turn in [0, 2] {
        let (mut f, mut k) = (face_idx, corner);
        loop {
            let other = surface.faces()[f as usize].neighbours[(k + turn) % 3];
            if other == face_idx {
                return around;
            }
            if other == NONE {
                break;
            }
            let there = (0..3).find(|&c| surface.faces()[other as usize].vertices[c] == vertex);
            (f, k) = (other, there.expect("neighbours share their edge's ends"));
            around.push((f, k));
        }
    }
    around
}

/// The height of a face at a lattice place that lies on it as `lies` says: at corners and along
/// edges the watertight one, inside that of the plane.
pub(crate) fn height_at(surface: &Surface, face_idx: u32, p: LatticePoint, lies: Lies) -> f64 {
    match lies {
        Lies::AtCorner(k) => surface.corner_heights(face_idx)[k],
        Lies::OnEdge(k) => {
            let side = Side::of(surface, face_idx, k);
            side.z(side.share_of(p))
        }
        Lies::Inside | Lies::Outside => surface.plane(face_idx).at(p),
    }
}
