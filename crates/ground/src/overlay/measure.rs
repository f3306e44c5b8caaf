//! Volumes, areas and depths between two surfaces, measured on the streamed cells.

use super::overlap::{NO_EDGE, Overlap, Turn, next, overlap};
use super::walk::{pairs_but, pairs_of, shared_faces};
use crate::predicates::orient;
use crate::surface::{Plane, Surface};
use crate::{Lattice, LatticePoint, Total};

/// What lies between two surfaces on the ground that both cover.
///
/// Cut is where the second surface lies below the first, fill where it lies above. Volumes are in
/// cubic metres, areas in square metres in plan, depths in metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Volumes {
    /// Volume of cut.
    pub cut_m3: f64,
    /// Volume of fill.
    pub fill_m3: f64,
    /// Plan area of cut.
    pub cut_area_m2: f64,
    /// Plan area of fill.
    pub fill_area_m2: f64,
    /// Plan area that both surfaces cover; more than cut and fill where they coincide.
    pub common_area_m2: f64,
    /// Fill minus cut, summed apart from both.
    pub change_m3: f64,
    /// The greatest depth of cut, zero without cut.
    pub deepest_cut_m: f64,
    /// The greatest height of fill, zero without fill.
    pub highest_fill_m: f64,
    /// Where cut is deepest, in local metres.
    pub deepest_at: Option<[f64; 2]>,
    /// Where fill is highest, in local metres.
    pub highest_at: Option<[f64; 2]>,
}

/// One convex cell of ground that two faces share, with the change of height at its corners.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'c> {
    /// The face of the first surface.
    pub from_face: u32,
    /// The face of the second surface.
    pub to_face: u32,
    /// A corner of the first face, from which places in the cell are measured.
    pub anchor: LatticePoint,
    /// The edges of the cell in no order: each from one place to the next, the cell on its left, in
    /// lattice steps from the anchor, with the change of height in metres.
    pub edges: &'c [[Corner; 2]],
}

/// A corner of a [`Cell`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Corner {
    /// Steps east of the anchor.
    pub x: f64,
    /// Steps north of the anchor.
    pub y: f64,
    /// How far the second surface lies above the first, in metres.
    pub rise_m: f64,
}

impl Cell<'_> {
    /// The cut between each two successive depths below the first surface, as far down as there is
    /// any, in square lattice steps times metres; depths rise from zero.
    pub fn slices(&self, depths_m: impl IntoIterator<Item = f64>) -> Vec<f64> {
        let deeper =
            |depth_m: f64| if depth_m.is_finite() { cut_below(self, depth_m) } else { 0.0 };
        let mut depths_m = depths_m.into_iter();
        let mut above = depths_m.next().map_or(0.0, deeper);
        let mut slices = Vec::new();
        while above != 0.0 {
            let Some(depth_m) = depths_m.next() else { break };
            let below = deeper(depth_m);
            slices.push(above - below);
            above = below;
        }
        slices
    }
}

/// Cut and fill in one cell, or in several.
///
/// Adding up knows no order, and no bit depends on it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CellVolumes {
    /// In square steps, and in those times metres.
    area: f64,
    change: f64,
    cut: f64,
    cut_area: f64,
    fill: f64,
    fill_area: f64,
    deepest: Far,
    highest: Far,
}

impl CellVolumes {
    /// What lies in a cell.
    pub fn of(cell: &Cell<'_>) -> Self {
        let origin = cell.edges[0][0];
        let (area, change) = fan(origin, cell.edges.iter().copied());
        let (mut least, mut most) = (origin, origin);
        for [corner, _] in cell.edges {
            if corner.rise_m < least.rise_m {
                least = *corner;
            }
            if corner.rise_m > most.rise_m {
                most = *corner;
            }
        }
        let mut found = Self { area, change, ..Self::default() };
        if least.rise_m >= 0.0 {
            if most.rise_m > 0.0 {
                (found.fill_area, found.fill) = (area, change);
            }
        } else if most.rise_m <= 0.0 {
            (found.cut_area, found.cut) = (area, -change);
        } else {
            (found.fill_area, found.fill) = part_above(cell.edges, 1.0);
            (found.cut_area, found.cut) = part_above(cell.edges, -1.0);
        }
        found.deepest.take(Far::of(-least.rise_m, cell.anchor, &least));
        found.highest.take(Far::of(most.rise_m, cell.anchor, &most));
        found
    }

    /// The greatest depth of the second surface below the first, metres; zero where it lies nowhere
    /// lower.
    pub fn deepest_m(&self) -> f64 {
        self.deepest.height_m
    }

    /// What lies on a face where nothing changes.
    pub fn unchanged(surface: &Surface, face: u32) -> Self {
        let [a, b, c] = surface.corners(face);
        Self { area: orient(a, b, c) as f64 / 2.0, ..Self::default() }
    }
}

impl Volumes {
    /// The sum of what lies in some cells.
    pub fn sum(lattice: Lattice, cells: impl IntoIterator<Item = CellVolumes>) -> Self {
        let mut tally = Tally::default();
        cells.into_iter().for_each(|cell| tally.add(&cell));
        tally.volumes(lattice)
    }
}

/// Cut and fill from one surface to another.
///
/// Faces are measured on their planes. The error is below 1e-9 of the volume; what coincides counts
/// as neither. Moving both surfaces by whole lattice steps changes no bit of the volumes.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn volumes(from: &Surface, to: &Surface) -> Volumes {
    volumes_by(from, to, |_, _| 0, 1).pop().unwrap_or_default()
}

/// Cut and fill from one surface to another, in `n_keys` parts by a key of the pair of faces.
///
/// `key(from_face, to_face)` must be below `n_keys`; pairs for which it is not are left out. The
/// parts sum to the whole.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn volumes_by(
    from: &Surface,
    to: &Surface,
    key: impl Fn(u32, u32) -> usize,
    n_keys: usize,
) -> Vec<Volumes> {
    let mut tallies = vec![Tally::default(); n_keys];
    let shared = shared_faces(from, to);
    for &[from_face, to_face] in &shared {
        if let Some(tally) = tallies.get_mut(key(from_face, to_face)) {
            tally.add(&CellVolumes::unchanged(from, from_face));
        }
    }
    visit_cells_but(from, to, &shared, |cell| {
        if let Some(tally) = tallies.get_mut(key(cell.from_face, cell.to_face)) {
            tally.add(&CellVolumes::of(cell));
        }
    });
    tallies.iter().map(|tally| tally.volumes(from.lattice())).collect()
}

/// The volume of cut between each two successive depths below the first surface, in cubic metres.
///
/// `depths_m` rise from zero; `n` depths give `n - 1` volumes. Below the last depth nothing counts:
/// end with infinity to have the whole cut.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn depth_slices(from: &Surface, to: &Surface, depths_m: &[f64]) -> Vec<f64> {
    let n_slices = depths_m.len().saturating_sub(1);
    let mut sums = vec![Total::default(); n_slices];
    visit_changed_cells(from, to, |cell| {
        let slices = cell.slices(depths_m.iter().copied());
        sums.iter_mut().zip(slices).for_each(|(sum, slice)| sum.add(slice));
    });
    let step_m = from.lattice().step_m();
    sums.iter().map(|sum| sum.value() * step_m * step_m).collect()
}

/// Calls `visit` once for each cell that a face of `from` shares with a face of `to`.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn visit_cells(from: &Surface, to: &Surface, visit: impl FnMut(&Cell<'_>)) {
    visit_cells_but(from, to, &[], visit);
}

/// Calls `visit` once for each cell outside the faces that composing has left as they were.
///
/// Nothing changes in the cells left out; what coincides otherwise may be visited all the same.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn visit_changed_cells(from: &Surface, to: &Surface, visit: impl FnMut(&Cell<'_>)) {
    visit_cells_but(from, to, &shared_faces(from, to), visit);
}

/// Calls `visit` once for each cell on some faces of `to`.
pub(super) fn visit_cells_of(
    from: &Surface,
    to: &Surface,
    wanted: impl Fn(u32) -> bool,
    mut visit: impl FnMut(&Cell<'_>),
) {
    pairs_of(to, from, wanted, |to_face, from_face, _| {
        // A cell is told from the first surface's side.
        let (a, b) = (from.corners(from_face), to.corners(to_face));
        let Some(shared) = overlap(a, b) else { return };
        let change = Change::between(&from.plane(from_face), &to.plane(to_face), a[0]);
        let edges = edges_of(&shared, a, b, &change);
        let edges = &edges[..shared.pieces().len()];
        visit(&Cell { from_face, to_face, anchor: a[0], edges });
    });
}

/// Calls `visit` once for each cell outside the faces that both surfaces have.
pub(super) fn visit_cells_but(
    from: &Surface,
    to: &Surface,
    shared: &[[u32; 2]],
    mut visit: impl FnMut(&Cell<'_>),
) {
    let to_planes: Vec<Plane> = (0..to.faces().len() as u32).map(|f| to.plane(f)).collect();
    let mut latest = (u32::MAX, from.vertices().first().copied().unwrap_or_default(), None);
    pairs_but(from, to, shared, |a_face, b_face, shared| {
        if latest.0 != a_face {
            latest = (a_face, from.corners(a_face)[0], Some(from.plane(a_face)));
        }
        let Some(plane) = latest.2 else { return };
        let change = Change::between(&plane, &to_planes[b_face as usize], latest.1);
        let edges = edges_of(shared, from.corners(a_face), to.corners(b_face), &change);
        visit(&Cell {
            from_face: a_face,
            to_face: b_face,
            anchor: latest.1,
            edges: &edges[..shared.pieces().len()],
        });
    });
}

/// The plan area that two triangles share, in square steps.
pub(super) fn shared_area(shared: &Overlap, a: [LatticePoint; 3], b: [LatticePoint; 3]) -> f64 {
    let edges = edges_of(shared, a, b, &Change { z: 0.0, rise: [0.0; 2] });
    fan(edges[0][0], edges[..shared.pieces().len()].iter().copied()).0
}

/// How far a plane over `b` lies above one over `a` at the corners of what the two share, in metres.
pub(super) fn change_at_corners(
    shared: &Overlap,
    [a, b]: [[LatticePoint; 3]; 2],
    [from, to]: [&Plane; 2],
) -> impl Iterator<Item = f64> {
    let edges = edges_of(shared, a, b, &Change::between(from, to, a[0]));
    (0..shared.pieces().len()).map(move |i| edges[i][0].rise_m)
}

/// The difference of two planes as a plane over steps from an anchor.
struct Change {
    z: f64,
    rise: [f64; 2],
}

impl Change {
    fn between(from: &Plane, to: &Plane, anchor: LatticePoint) -> Self {
        Self {
            z: to.at(anchor) - from.at(anchor),
            rise: [to.rise[0] - from.rise[0], to.rise[1] - from.rise[1]],
        }
    }

    #[inline]
    fn corner(&self, [x, y]: [f64; 2]) -> Corner {
        Corner { x, y, rise_m: self.z + (self.rise[0] * x + self.rise[1] * y) }
    }
}

fn edges_of(
    shared: &Overlap,
    a: [LatticePoint; 3],
    b: [LatticePoint; 3],
    change: &Change,
) -> [[Corner; 2]; 6] {
    let place = |p: LatticePoint| {
        [(i64::from(p.x) - i64::from(a[0].x)) as f64, (i64::from(p.y) - i64::from(a[0].y)) as f64]
    };
    let (a_at, b_at) = (a.map(place), b.map(place));
    let mut edges = [[Corner::default(); 2]; 6];
    for (edge, piece) in edges.iter_mut().zip(shared.pieces()) {
        let (p, q) = if piece.b_edge != NO_EDGE {
            (b_at[piece.b_edge as usize], b_at[next(piece.b_edge as usize)])
        } else {
            (a_at[piece.a_edge as usize], a_at[next(piece.a_edge as usize)])
        };
        let at = |turn: Turn| match turn {
            Turn::A(i) => a_at[i as usize],
            Turn::B(j) => b_at[j as usize],
            Turn::Cross(e, k) => {
                let t = shared.crossing_share(piece, [e, k]);
                [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
            }
        };
        *edge = [change.corner(at(piece.start)), change.corner(at(piece.end))];
    }
    edges
}

#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    cut: Total,
    fill: Total,
    cut_area: Total,
    fill_area: Total,
    area: Total,
    change: Total,
    deepest: Far,
    highest: Far,
}

impl Tally {
    fn add(&mut self, cell: &CellVolumes) {
        self.area.add(cell.area);
        self.change.add(cell.change);
        self.cut.add(cell.cut);
        self.cut_area.add(cell.cut_area);
        self.fill.add(cell.fill);
        self.fill_area.add(cell.fill_area);
        self.deepest.take(cell.deepest);
        self.highest.take(cell.highest);
    }

    fn volumes(&self, lattice: Lattice) -> Volumes {
        let step_m = lattice.step_m();
        let scaled = |sum: &Total| sum.value() * step_m * step_m;
        let place = |far: &Far| far.at.map(|at| lattice.metres_at(at));
        Volumes {
            cut_m3: scaled(&self.cut),
            fill_m3: scaled(&self.fill),
            cut_area_m2: scaled(&self.cut_area),
            fill_area_m2: scaled(&self.fill_area),
            common_area_m2: scaled(&self.area),
            change_m3: scaled(&self.change),
            deepest_cut_m: self.deepest.height_m,
            highest_fill_m: self.highest.height_m,
            deepest_at: place(&self.deepest),
            highest_at: place(&self.highest),
        }
    }
}

/// The farthest that one surface lies from the other, and where; of several places the most western,
/// and of those the most southern.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Far {
    height_m: f64,
    /// In lattice steps.
    at: Option<[f64; 2]>,
}

impl Far {
    #[inline]
    fn of(height_m: f64, anchor: LatticePoint, corner: &Corner) -> Self {
        let at = [f64::from(anchor.x) + corner.x, f64::from(anchor.y) + corner.y];
        Self { height_m, at: Some(at) }
    }

    #[inline]
    fn take(&mut self, other: Self) {
        if other.height_m < self.height_m || other.height_m <= 0.0 {
            return;
        }
        if other.height_m > self.height_m || self.at.is_none_or(|known| other.at < Some(known)) {
            *self = other;
        }
    }
}

/// Area, and volume under the changes of height, of an outline given by edges in any order; an
/// edge through `origin` adds nothing, so the one that closes a cut outline there may be missing.
#[inline]
fn fan(origin: Corner, edges: impl Iterator<Item = [Corner; 2]>) -> (f64, f64) {
    let (mut twice_area, mut six_volume) = (0.0, 0.0);
    for [p, q] in edges {
        let cross = (p.x - origin.x) * (q.y - origin.y) - (p.y - origin.y) * (q.x - origin.x);
        twice_area += cross;
        six_volume += cross * (origin.rise_m + p.rise_m + q.rise_m);
    }
    (twice_area / 2.0, six_volume / 6.0)
}

/// Area and volume of the part of a cell in which `sign` times the change of height is above zero.
fn part_above(edges: &[[Corner; 2]], sign: f64) -> (f64, f64) {
    let signed = |c: &Corner| Corner { rise_m: sign * c.rise_m, ..*c };
    let mut kept = [[Corner::default(); 2]; 6];
    let mut n_kept = 0;
    let (mut origin, mut left_out) = (None, None);
    for [p, q] in edges {
        let (mut p, mut q) = (signed(p), signed(q));
        if p.rise_m <= 0.0 && q.rise_m <= 0.0 {
            left_out = Some(Corner { rise_m: 0.0, ..p });
            continue;
        }
        if p.rise_m < 0.0 {
            p = crossing(&p, &q);
        } else if q.rise_m < 0.0 {
            q = crossing(&q, &p);
        }
        if p.rise_m == 0.0 {
            origin = Some(p);
        } else if q.rise_m == 0.0 && origin.is_none() {
            origin = Some(q);
        }
        kept[n_kept] = [p, q];
        n_kept += 1;
    }
    // Without a zero the line only grazes corners, whose two edges place them on either side of it:
    // what is left out runs along the line then.
    let origin = origin.or(left_out).unwrap_or(kept[0][0]);
    fan(origin, kept[..n_kept].iter().copied())
}

/// Where the change of height is zero between a corner below and one above.
#[inline]
fn crossing(below: &Corner, above: &Corner) -> Corner {
    let t = below.rise_m / (below.rise_m - above.rise_m);
    Corner {
        x: below.x + t * (above.x - below.x),
        y: below.y + t * (above.y - below.y),
        rise_m: 0.0,
    }
}

/// The volume of a cell's cut that lies deeper than `depth_m`, in square steps times metres.
fn cut_below(cell: &Cell<'_>, depth_m: f64) -> f64 {
    let mut edges = [[Corner::default(); 2]; 6];
    let sunk = |c: &Corner| Corner { rise_m: -c.rise_m - depth_m, ..*c };
    let n_edges = cell.edges.len();
    for (out, [p, q]) in edges.iter_mut().zip(cell.edges) {
        *out = [sunk(p), sunk(q)];
    }
    let edges = &edges[..n_edges];
    if edges.iter().all(|[p, _]| p.rise_m <= 0.0) {
        0.0
    } else if edges.iter().all(|[p, _]| p.rise_m >= 0.0) {
        fan(edges[0][0], edges.iter().copied()).1
    } else {
        part_above(edges, 1.0).1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::{Face, NONE, Tag};

    /// Four faces about the middle of a square of 30 m, with heights from the south-west corner on.
    fn tent(heights: [f64; 5]) -> Surface {
        let at = |x: i32, y: i32| LatticePoint { x: x * 1_000_000, y: y * 1_000_000 };
        let vertices = vec![at(0, 0), at(30, 0), at(30, 30), at(0, 30), at(15, 15)];
        let faces = (0..4u32)
            .map(|i| Face {
                vertices: [i, (i + 1) % 4, 4],
                heights: [i, (i + 1) % 4, 4],
                neighbours: [NONE, (i + 1) % 4, (i + 3) % 4],
                plane: NONE,
                tag: Tag::default(),
                fixed: 1,
            })
            .collect();
        Surface::from_parts(Lattice::default(), vertices, heights.to_vec(), faces, Vec::new())
    }

    #[test]
    fn four_prisms_about_a_centre() {
        // Check value V-09: depths 2.85 2.45 3.15 3.55 about 2.95 on 30 m give 2,685 m3.
        let dug = tent([-2.85, -2.45, -3.15, -3.55, -2.95]);
        let found = volumes(&tent([0.0; 5]), &dug);
        assert!((found.cut_m3 - 2685.0).abs() < 1e-9 * 2685.0, "{found:?}");
        assert_eq!(found.fill_m3, 0.0);
        assert!((found.common_area_m2 - 900.0).abs() < 1e-9);
        assert!((found.deepest_cut_m - 3.55).abs() < 1e-12);
        assert_eq!(found.deepest_at, Some([0.0, 30.0]));
        let slices = depth_slices(&tent([0.0; 5]), &dug, &[0.0, 1.0, 3.0, f64::INFINITY]);
        assert!((slices[0] - 900.0).abs() < 1e-9);
        assert!((slices.iter().sum::<f64>() - 2685.0).abs() < 1e-9 * 2685.0, "{slices:?}");
    }
}
