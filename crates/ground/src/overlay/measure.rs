//! Volumes, areas and depths between two surfaces, measured on the streamed cells.

use super::cells::{Change, Edges};
use super::overlap::overlap;
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
            [(found.fill_area, found.fill), (found.cut_area, found.cut)] = parted(cell.edges);
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
    let mut room = Edges::default();
    pairs_of(to, from, wanted, |to_face, from_face, _| {
        // A cell is told from the first surface's side.
        let (a, b) = (from.corners(from_face), to.corners(to_face));
        let Some(shared) = overlap(a, b) else { return };
        let change = Change::between(&from.plane(from_face), &to.plane(to_face), a[0]);
        let edges = room.of(&shared, [a, b], &change);
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
    let mut room = Edges::default();
    let mut latest = None;
    pairs_but(from, to, shared, |from_face, to_face, shared| {
        let (_, a, plane) = match latest {
            Some(known @ (face, _, _)) if face == from_face => known,
            _ => *latest.insert((from_face, from.corners(from_face), from.plane(from_face))),
        };
        let change = Change::between(&plane, &to_planes[to_face as usize], a[0]);
        let edges = room.of(shared, [a, to.corners(to_face)], &change);
        visit(&Cell { from_face, to_face, anchor: a[0], edges });
    });
}

/// Sums over cells. Most cells are all cut or all fill: what is known of the one is not summed again
/// as the change, which loses no bit since a [`Total`] knows no order.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    all_fill: [Total; 2],
    all_cut: [Total; 2],
    /// Of all other cells: fill, cut and change, each as an area and a volume.
    mixed: [[Total; 2]; 3],
    deepest: Far,
    highest: Far,
}

impl Tally {
    #[inline]
    fn add(&mut self, cell: &CellVolumes) {
        let [fill, cut] = [[cell.fill_area, cell.fill], [cell.cut_area, cell.cut]];
        if cut == [0.0; 2] && fill == [cell.area, cell.change] {
            add_both(&mut self.all_fill, fill);
        } else if fill == [0.0; 2] && cut == [cell.area, -cell.change] {
            add_both(&mut self.all_cut, cut);
        } else {
            let [of_fill, of_cut, of_both] = &mut self.mixed;
            add_both(of_fill, fill);
            add_both(of_cut, cut);
            add_both(of_both, [cell.area, cell.change]);
        }
        self.deepest.take(cell.deepest);
        self.highest.take(cell.highest);
    }

    fn volumes(&self, lattice: Lattice) -> Volumes {
        let step_m = lattice.step_m();
        let scaled = |sums: &[Total]| {
            let mut sum = Total::default();
            sums.iter().for_each(|&other| sum.add_total(other));
            sum.value() * step_m * step_m
        };
        let place = |far: &Far| far.at.map(|at| lattice.metres_at(at));
        let ([fill_area, fill], [cut_area, cut]) = (self.all_fill, self.all_cut);
        let [of_fill, of_cut, of_both] = self.mixed;
        Volumes {
            cut_m3: scaled(&[cut, of_cut[1]]),
            fill_m3: scaled(&[fill, of_fill[1]]),
            cut_area_m2: scaled(&[cut_area, of_cut[0]]),
            fill_area_m2: scaled(&[fill_area, of_fill[0]]),
            common_area_m2: scaled(&[fill_area, cut_area, of_both[0]]),
            change_m3: scaled(&[fill, -cut, of_both[1]]),
            deepest_cut_m: self.deepest.height_m,
            highest_fill_m: self.highest.height_m,
            deepest_at: place(&self.deepest),
            highest_at: place(&self.highest),
        }
    }
}

#[inline]
fn add_both(sums: &mut [Total; 2], [area, volume]: [f64; 2]) {
    sums[0].add(area);
    sums[1].add(volume);
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
pub(super) fn fan(origin: Corner, edges: impl Iterator<Item = [Corner; 2]>) -> (f64, f64) {
    let (mut twice_area, mut six_volume) = (0.0, 0.0);
    for [p, q] in edges {
        let cross = (p.x - origin.x) * (q.y - origin.y) - (p.y - origin.y) * (q.x - origin.x);
        twice_area += cross;
        six_volume += cross * (origin.rise_m + p.rise_m + q.rise_m);
    }
    (twice_area / 2.0, six_volume / 6.0)
}

/// Areas and volumes of the two parts of a cell, above the zero line and below it.
///
/// Both are fans about a place on the line, so that it adds nothing to either.
fn parted(edges: &[[Corner; 2]]) -> [(f64, f64); 2] {
    let is_parted = |[p, q]: &[Corner; 2]| p.rise_m * q.rise_m < 0.0;
    let touches = edges.iter().map(|[p, _]| *p).find(|p| p.rise_m == 0.0);
    let crossed = || edges.iter().find(|edge| is_parted(edge)).map(|[p, q]| crossing(p, q));
    let origin = touches.or_else(crossed).unwrap_or(edges[0][0]);
    let mut sums = [(0.0, 0.0); 2];
    let mut put = |p: &Corner, q: &Corner| {
        let cross = (p.x - origin.x) * (q.y - origin.y) - (p.y - origin.y) * (q.x - origin.x);
        let sum = &mut sums[usize::from(p.rise_m + q.rise_m < 0.0)];
        sum.0 += cross;
        sum.1 += cross * (p.rise_m + q.rise_m);
    };
    for edge in edges {
        let [p, q] = edge;
        if is_parted(edge) {
            let zero = crossing(p, q);
            put(p, &zero);
            put(&zero, q);
        } else {
            put(p, q);
        }
    }
    sums.map(|(twice_area, six_volume)| (twice_area / 2.0, six_volume.abs() / 6.0))
}

/// Where the change of height is zero between a corner above and one below.
#[inline]
fn crossing(p: &Corner, q: &Corner) -> Corner {
    let t = p.rise_m / (p.rise_m - q.rise_m);
    Corner { x: p.x + t * (q.x - p.x), y: p.y + t * (q.y - p.y), rise_m: 0.0 }
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
        parted(edges)[0].1
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
