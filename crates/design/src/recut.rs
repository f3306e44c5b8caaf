//! Fill that a later work digs again.
//!
//! With e, b and a the existing ground and the ground before and after a work, what it digs of
//! earlier fill is max(0, b - max(e, a)) where a < b, which is (b - e)⁺ - (a - e)⁺. It is summed over
//! the convex cells that a face of each of the three shares.

use ground::overlay::Cell;
use ground::{Lattice, LatticePoint, Plane, Surface, Total};

/// Earlier fill that a work digs in one cell.
#[derive(Clone, Debug)]
pub(crate) enum Recut {
    /// Not measured yet.
    Open(Box<Dug>),
    /// In metres times square steps.
    Measured(Total),
}

impl Default for Recut {
    fn default() -> Self {
        Self::Measured(Total::default())
    }
}

impl Recut {
    /// What a work digs in a cell of earlier fill, whose plane is `before`.
    pub(crate) fn of(cell: &Cell<'_>, before: Plane) -> Self {
        let is_dug = cell.edges.iter().any(|edge| edge[0].rise_m < 0.0);
        let dug = if is_dug { Dug::of(cell, before) } else { None };
        dug.map_or_else(Self::default, |dug| Self::Open(Box::new(dug)))
    }
}

/// Measures what is open over existing ground, lower by so many metres of topsoil.
pub(crate) fn settle<'r>(
    existing: &Surface,
    strip_m: f64,
    recuts: impl Iterator<Item = &'r mut Recut>,
) {
    let mut open: Vec<(Dug, &mut Recut)> = recuts
        .filter_map(|recut| match recut {
            Recut::Open(dug) => Some((**dug, recut)),
            Recut::Measured(_) => None,
        })
        .collect();
    let Some(mut boxes) = Boxes::around(existing, open.iter().map(|(dug, _)| dug)) else { return };
    for (dug, recut) in &mut open {
        let mut total = Total::default();
        boxes.each_near(dug.bounds(), |face| total.add(dug.recut_over(existing, strip_m, face)));
        **recut = Recut::Measured(total);
    }
}

/// The sum in cubic metres.
pub(crate) fn volume_m3<'r>(lattice: Lattice, recuts: impl Iterator<Item = &'r Recut>) -> f64 {
    let mut sum = Total::default();
    for recut in recuts {
        if let Recut::Measured(total) = recut {
            sum.add_total(*total);
        }
    }
    sum.value() * lattice.step_m() * lattice.step_m()
}

/// A place relative to the cell's anchor in lattice steps, with heights in metres.
#[derive(Clone, Copy, Debug, Default)]
struct Place {
    x: f64,
    y: f64,
    before_m: f64,
    after_m: f64,
}

/// Corners of a cell of two triangles, cut by the ground after, by a third triangle and by a plane.
const MOST_PLACES: usize = 6 + 1 + 3 + 1;

/// A convex ring of few places.
#[derive(Clone, Copy, Debug, Default)]
struct Ring {
    places: [Place; MOST_PLACES],
    n: usize,
}

impl Ring {
    fn places(&self) -> &[Place] {
        &self.places[..self.n]
    }

    fn push(&mut self, place: Place) {
        // Rounding may have a line cross a convex ring once more, along what has no area.
        if self.n < MOST_PLACES {
            self.places[self.n] = place;
            self.n += 1;
        }
    }
}

/// A convex piece of ground that a work digs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dug {
    anchor: LatticePoint,
    ring: Ring,
}

impl Dug {
    /// The part of a cell where the ground after lies lower, if any.
    fn of(cell: &Cell<'_>, before: Plane) -> Option<Self> {
        let anchor = cell.anchor;
        let base = Plane { z: before.at(anchor), anchor, ..before };
        let n = cell.edges.len() as f64;
        let middle = [
            cell.edges.iter().map(|edge| edge[0].x).sum::<f64>() / n,
            cell.edges.iter().map(|edge| edge[0].y).sum::<f64>() / n,
        ];
        let mut about = [(0.0, Place::default()); 6];
        for (slot, [corner, _]) in about.iter_mut().zip(cell.edges) {
            let before_m = base.at_offset(corner.x, corner.y);
            let place =
                Place { x: corner.x, y: corner.y, before_m, after_m: before_m + corner.rise_m };
            *slot = (bearing([corner.x - middle[0], corner.y - middle[1]]), place);
        }
        let about = &mut about[..cell.edges.len().min(6)];
        about.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut whole = Ring::default();
        about.iter().for_each(|(_, place)| whole.push(*place));
        let ring = kept(&whole, |p| p.before_m - p.after_m);
        (ring.n > 2).then_some(Self { anchor, ring })
    }

    /// Its box in lattice steps: low x, low y, high x, high y.
    fn bounds(&self) -> [f64; 4] {
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let [x0, y0, x1, y1] = (self.ring.places().iter())
            .fold(start, |b, p| [b[0].min(p.x), b[1].min(p.y), b[2].max(p.x), b[3].max(p.y)]);
        let (x, y) = (f64::from(self.anchor.x), f64::from(self.anchor.y));
        [x0 + x, y0 + y, x1 + x, y1 + y]
    }

    /// Earlier fill dug over one face of existing ground, in metres times square steps.
    fn recut_over(&self, existing: &Surface, strip_m: f64, face: u32) -> f64 {
        let corners = existing.corners(face).map(|p| {
            [f64::from(p.x) - f64::from(self.anchor.x), f64::from(p.y) - f64::from(self.anchor.y)]
        });
        let mut ring = self.ring;
        for k in 0..3 {
            let ([ax, ay], [bx, by]) = (corners[k], corners[(k + 1) % 3]);
            ring = kept(&ring, |p| (bx - ax) * (p.y - ay) - (by - ay) * (p.x - ax));
            if ring.n < 3 {
                return 0.0;
            }
        }
        let plane = existing.plane(face);
        let base = Plane { z: plane.at(self.anchor) - strip_m, anchor: self.anchor, ..plane };
        let over = |p: &Place, z_m: f64| z_m - base.at_offset(p.x, p.y);
        integral(&kept(&ring, |p| over(p, p.before_m)), |p| over(p, p.before_m))
            - integral(&kept(&ring, |p| over(p, p.after_m)), |p| over(p, p.after_m))
    }
}

/// A number that grows with the bearing of a way, as an angle does.
fn bearing([x, y]: [f64; 2]) -> f64 {
    let along = x / (x.abs() + y.abs());
    if y >= 0.0 { 1.0 - along } else { along - 1.0 }
}

/// The part of a convex ring where a linear value is zero or above.
fn kept(ring: &Ring, value: impl Fn(&Place) -> f64) -> Ring {
    let mut part = Ring::default();
    let places = ring.places();
    let Some(first) = places.first() else { return part };
    let mut at_q = value(first);
    for (i, p) in places.iter().enumerate() {
        let q = places.get(i + 1).unwrap_or(first);
        let at_p = std::mem::replace(&mut at_q, value(q));
        if at_p >= 0.0 {
            part.push(*p);
        }
        if (at_p > 0.0 && at_q < 0.0) || (at_p < 0.0 && at_q > 0.0) {
            let share = at_p / (at_p - at_q);
            let between = |a: f64, b: f64| a + share * (b - a);
            part.push(Place {
                x: between(p.x, q.x),
                y: between(p.y, q.y),
                before_m: between(p.before_m, q.before_m),
                after_m: between(p.after_m, q.after_m),
            });
        }
    }
    part
}

/// Integral of a linear value over a convex ring.
fn integral(ring: &Ring, value: impl Fn(&Place) -> f64) -> f64 {
    let Some((a, rest)) = ring.places().split_first() else { return 0.0 };
    rest.windows(2)
        .map(|pair| {
            let [b, c] = [&pair[0], &pair[1]];
            let area = 0.5 * ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));
            area * (value(a) + value(b) + value(c)) / 3.0
        })
        .sum()
}

/// Boxes along each side of the grid over what is dug.
const N_BOXES: usize = 32;

/// Faces of existing ground by the boxes of a grid over what is dug.
struct Boxes {
    low: [f64; 2],
    per_step: [f64; 2],
    /// Faces with their bounds, by box.
    faces: Vec<Vec<u32>>,
    bounds: Vec<[f64; 4]>,
    /// How many looks there were when a face was met last.
    met: Vec<u32>,
    n_looks: u32,
}

impl Boxes {
    fn around<'d>(existing: &Surface, dug: impl Iterator<Item = &'d Dug>) -> Option<Self> {
        let whole = dug
            .map(Dug::bounds)
            .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])?;
        let per_step = [0, 1].map(|k| N_BOXES as f64 / (whole[2 + k] - whole[k]).max(1.0));
        let n_faces = existing.faces().len();
        let mut boxes = Self {
            low: [whole[0], whole[1]],
            per_step,
            faces: vec![Vec::new(); N_BOXES * N_BOXES],
            bounds: Vec::with_capacity(n_faces),
            met: vec![0; n_faces],
            n_looks: 0,
        };
        for face in 0..n_faces as u32 {
            let corners = existing.corners(face).map(|p| [f64::from(p.x), f64::from(p.y)]);
            let least = |k: usize| corners.iter().map(|c| c[k]).fold(f64::INFINITY, f64::min);
            let most = |k: usize| corners.iter().map(|c| c[k]).fold(f64::NEG_INFINITY, f64::max);
            let bounds = [least(0), least(1), most(0), most(1)];
            if meet(bounds, whole) {
                boxes.spans(bounds).for_each(|at| boxes.faces[at].push(face));
            }
            boxes.bounds.push(bounds);
        }
        Some(boxes)
    }

    /// Looks at each face once whose box touches the bounds.
    fn each_near(&mut self, bounds: [f64; 4], mut look: impl FnMut(u32)) {
        self.n_looks += 1;
        for at in self.spans(bounds) {
            for &face in &self.faces[at] {
                let is_met = std::mem::replace(&mut self.met[face as usize], self.n_looks);
                if is_met != self.n_looks && meet(bounds, self.bounds[face as usize]) {
                    look(face);
                }
            }
        }
    }

    fn spans(&self, bounds: [f64; 4]) -> impl Iterator<Item = usize> + use<> {
        let at = |value: f64, k: usize| {
            (((value - self.low[k]) * self.per_step[k]) as usize).min(N_BOXES - 1)
        };
        let [x0, y0, x1, y1] =
            [at(bounds[0], 0), at(bounds[1], 1), at(bounds[2], 0), at(bounds[3], 1)];
        (y0..=y1).flat_map(move |y| (x0..=x1).map(move |x| y * N_BOXES + x))
    }
}

/// Whether two boxes touch.
fn meet(a: [f64; 4], b: [f64; 4]) -> bool {
    (0..2).all(|k| a[k] <= b[2 + k] && a[2 + k] >= b[k])
}

#[cfg(test)]
mod tests {
    use ground::patch::{Ring3, rings};
    use ground::{Lattice, overlay};

    use super::{Recut, settle, volume_m3};

    /// The fill that was placed on `existing`, and is dug again.
    fn recut_m3([existing, before, after]: [&ground::Surface; 3]) -> f64 {
        let mut recuts = Vec::new();
        overlay::visit_changed_cells(before, after, |cell| {
            recuts.push(Recut::of(cell, before.plane(cell.from_face)));
        });
        settle(existing, 0.0, recuts.iter_mut());
        volume_m3(existing.lattice(), recuts.iter())
    }

    /// A box of level ground, 10 by 10 m, at a height.
    fn level(z_m: f64) -> ground::Surface {
        let corners = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let ring = Ring3 { points: corners.map(|p| (p, z_m)).to_vec(), part: 0 };
        rings(Lattice::default(), &[ring], &[], 0).unwrap()
    }

    #[test]
    fn only_what_stood_above_existing_ground_is_recut() {
        let recut = |e, b, a| recut_m3([&level(e), &level(b), &level(a)]);
        let near = |value: f64, expected: f64| assert!((value - expected).abs() < 1e-9, "{value}");
        near(recut(0.0, 1.0, 0.4), 60.0);
        near(recut(0.0, 1.0, -0.5), 100.0);
        near(recut(0.0, -0.2, -0.5), 0.0);
        near(recut(0.0, 0.5, 0.8), 0.0);
    }
}
