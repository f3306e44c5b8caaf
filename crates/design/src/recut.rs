//! Fill that a later work digs again.
//!
//! With e, b and a the existing ground and the ground before and after a work, what it digs of
//! earlier fill is max(0, b - max(e, a)) where a < b, which is (b - e)⁺ - (a - e)⁺. It is summed over
//! the convex cells that a face of each of the three shares.

use ground::overlay::{self, Cell};
use ground::{LatticePoint, Plane, Surface, Total};

/// Volume of earlier fill that a work digs, cubic metres: of `before`'s faces that `is_fill` names.
pub(crate) fn volume_m3(
    existing: &Surface,
    before: &Surface,
    after: &Surface,
    is_fill: impl Fn(u32) -> bool,
) -> f64 {
    let mut dug = Vec::new();
    overlay::visit_changed_cells(before, after, |cell| {
        let is_dug = cell.edges.iter().any(|edge| edge[0].rise_m < 0.0);
        if is_dug && is_fill(cell.from_face) {
            dug.extend(Dug::of(cell, before.plane(cell.from_face)));
        }
    });
    let Some(boxes) = Boxes::around(existing, &dug) else { return 0.0 };
    let mut sum = Total::default();
    for cell in &dug {
        for face in boxes.near(cell.bounds()) {
            sum.add(cell.recut_over(existing, face));
        }
    }
    sum.value() * existing.lattice().step_m() * existing.lattice().step_m()
}

/// A place relative to the cell's anchor in lattice steps, with heights in metres.
#[derive(Clone, Copy, Debug)]
struct Place {
    x: f64,
    y: f64,
    before_m: f64,
    after_m: f64,
}

/// A convex piece of ground that a work digs.
struct Dug {
    anchor: LatticePoint,
    places: Vec<Place>,
}

impl Dug {
    /// The part of a cell where the ground after lies lower, if any.
    fn of(cell: &Cell<'_>, before: Plane) -> Option<Self> {
        let anchor = cell.anchor;
        let base = Plane { z: before.at(anchor), anchor, ..before };
        let mut places: Vec<Place> = (cell.edges.iter())
            .map(|[corner, _]| {
                let before_m = base.at_offset(corner.x, corner.y);
                Place { x: corner.x, y: corner.y, before_m, after_m: before_m + corner.rise_m }
            })
            .collect();
        let n = places.len() as f64;
        let middle = [
            places.iter().map(|p| p.x).sum::<f64>() / n,
            places.iter().map(|p| p.y).sum::<f64>() / n,
        ];
        places.sort_by(|p, q| {
            let bearing = |p: &Place| libm::atan2(p.y - middle[1], p.x - middle[0]);
            bearing(p).total_cmp(&bearing(q))
        });
        let places = kept(&places, |p| p.before_m - p.after_m);
        (places.len() > 2).then_some(Self { anchor, places })
    }

    /// Its box in lattice steps: low x, low y, high x, high y.
    fn bounds(&self) -> [f64; 4] {
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let [x0, y0, x1, y1] = self
            .places
            .iter()
            .fold(start, |b, p| [b[0].min(p.x), b[1].min(p.y), b[2].max(p.x), b[3].max(p.y)]);
        let (x, y) = (f64::from(self.anchor.x), f64::from(self.anchor.y));
        [x0 + x, y0 + y, x1 + x, y1 + y]
    }

    /// Earlier fill dug over one face of existing ground, in metres times square steps.
    fn recut_over(&self, existing: &Surface, face: u32) -> f64 {
        let corners = existing.corners(face).map(|p| {
            [f64::from(p.x) - f64::from(self.anchor.x), f64::from(p.y) - f64::from(self.anchor.y)]
        });
        let mut places = self.places.clone();
        for k in 0..3 {
            let ([ax, ay], [bx, by]) = (corners[k], corners[(k + 1) % 3]);
            places = kept(&places, |p| (bx - ax) * (p.y - ay) - (by - ay) * (p.x - ax));
            if places.len() < 3 {
                return 0.0;
            }
        }
        let plane = existing.plane(face);
        let base = Plane { z: plane.at(self.anchor), anchor: self.anchor, ..plane };
        let over = |p: &Place, z_m: f64| z_m - base.at_offset(p.x, p.y);
        integral(&kept(&places, |p| over(p, p.before_m)), |p| over(p, p.before_m))
            - integral(&kept(&places, |p| over(p, p.after_m)), |p| over(p, p.after_m))
    }
}

/// The part of a convex ring where a linear value is zero or above.
fn kept(ring: &[Place], value: impl Fn(&Place) -> f64) -> Vec<Place> {
    let mut part = Vec::with_capacity(ring.len() + 1);
    for (i, p) in ring.iter().enumerate() {
        let q = &ring[(i + 1) % ring.len()];
        let (at_p, at_q) = (value(p), value(q));
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
fn integral(ring: &[Place], value: impl Fn(&Place) -> f64) -> f64 {
    let Some((a, rest)) = ring.split_first() else { return 0.0 };
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
    faces: Vec<Vec<u32>>,
}

impl Boxes {
    fn around(existing: &Surface, dug: &[Dug]) -> Option<Self> {
        let whole = dug
            .iter()
            .map(Dug::bounds)
            .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])?;
        let per_step = [0, 1].map(|k| N_BOXES as f64 / (whole[2 + k] - whole[k]).max(1.0));
        let faces = vec![Vec::new(); N_BOXES * N_BOXES];
        let mut boxes = Self { low: [whole[0], whole[1]], per_step, faces };
        for face in 0..existing.faces().len() as u32 {
            let corners = existing.corners(face).map(|p| [f64::from(p.x), f64::from(p.y)]);
            let least = |k: usize| corners.iter().map(|c| c[k]).fold(f64::INFINITY, f64::min);
            let most = |k: usize| corners.iter().map(|c| c[k]).fold(f64::NEG_INFINITY, f64::max);
            let bounds = [least(0), least(1), most(0), most(1)];
            if (0..2).all(|k| bounds[k] <= whole[2 + k] && bounds[2 + k] >= whole[k]) {
                boxes.spans(bounds).for_each(|at| boxes.faces[at].push(face));
            }
        }
        Some(boxes)
    }

    /// The faces whose boxes touch the bounds, each once, rising.
    fn near(&self, bounds: [f64; 4]) -> Vec<u32> {
        let mut faces: Vec<u32> =
            self.spans(bounds).flat_map(|at| self.faces[at].iter().copied()).collect();
        faces.sort_unstable();
        faces.dedup();
        faces
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

#[cfg(test)]
mod tests {
    use ground::Lattice;
    use ground::patch::{Ring3, rings};

    use super::volume_m3;

    /// A box of level ground, 10 by 10 m, at a height.
    fn level(z_m: f64) -> ground::Surface {
        let corners = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let ring = Ring3 { points: corners.map(|p| (p, z_m)).to_vec(), part: 0 };
        rings(Lattice::default(), &[ring], &[], 0).unwrap()
    }

    #[test]
    fn only_what_stood_above_existing_ground_is_recut() {
        let recut = |e, b, a| volume_m3(&level(e), &level(b), &level(a), |_| true);
        let near = |value: f64, expected: f64| assert!((value - expected).abs() < 1e-9, "{value}");
        near(recut(0.0, 1.0, 0.4), 60.0);
        near(recut(0.0, 1.0, -0.5), 100.0);
        near(recut(0.0, -0.2, -0.5), 0.0);
        near(recut(0.0, 0.5, 0.8), 0.0);
        assert_eq!(volume_m3(&level(0.0), &level(1.0), &level(0.0), |_| false), 0.0);
    }
}
