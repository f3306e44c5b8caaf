//! The ground between two surfaces, parted by how far it goes down or comes up.
//!
//! Change is even over each cell that a face of one surface shares with a face of the other, so a
//! class of change is a convex part of the cell. The parts of a class are joined by taking out every
//! edge that runs both ways; what is left closes to rings, the class on their left.

use std::collections::BTreeMap;

use ground::Surface;
use ground::overlay::visit_changed_cells;

use crate::depth_colours::{Class, N_CLASSES, Side};

/// A place in tenths of a millimetre on the ground: finer than a sheet shows, so that edges that run
/// both ways are known for one.
type Place = [i64; 2];

const PER_METRE: f64 = 1e4;

/// Change below this is none, in metres: it is not drawn.
pub(super) const LEAST_M: f64 = 1e-3;

/// The rings around each class in local metres, in the order of [`Class::all`].
pub(super) fn regions(from: &Surface, to: &Surface, width_m: f64) -> Vec<Vec<Vec<[f64; 2]>>> {
    let bands: Vec<[f64; 2]> = Class::all().map(|class| band(class, width_m)).collect();
    let mut edges: Vec<BTreeMap<[Place; 2], u32>> = vec![BTreeMap::new(); bands.len()];
    let lattice = from.lattice();
    visit_changed_cells(from, to, |cell| {
        let origin = lattice.metres(cell.anchor);
        let step_m = lattice.step_m();
        let corner = |c: ground::overlay::Corner| {
            [origin[0] + c.x * step_m, origin[1] + c.y * step_m, c.rise_m]
        };
        let polygon = in_order(cell.edges.iter().map(|edge| edge.map(corner)).collect());
        let rises = || polygon.iter().map(|corner| corner[2]);
        let (low, high) =
            (rises().fold(f64::INFINITY, f64::min), rises().fold(f64::NEG_INFINITY, f64::max));
        for (band, edges) in bands.iter().zip(&mut edges) {
            if low < band[1] && high > band[0] {
                let above = clipped(&polygon, |corner| corner[2] - band[0]);
                add(edges, &clipped(&above, |corner| band[1] - corner[2]));
            }
        }
    });
    edges.into_iter().map(rings).collect()
}

/// The change that belongs to a class, in metres; the outermost are open outward.
fn band(class: Class, width_m: f64) -> [f64; 2] {
    let near = if class.rank == 0 { LEAST_M } else { class.rank as f64 * width_m };
    let far =
        if class.rank + 1 == N_CLASSES { f64::MAX } else { (class.rank + 1) as f64 * width_m };
    match class.side {
        Side::Lower => [-far, -near],
        Side::Higher => [near, far],
    }
}

/// The corners of a convex cell whose edges stand in no order, counter-clockwise.
fn in_order(edges: Vec<[[f64; 3]; 2]>) -> Vec<[f64; 3]> {
    let n = edges.len().max(1) as f64;
    let middle = [0, 1].map(|axis| edges.iter().map(|edge| edge[0][axis]).sum::<f64>() / n);
    let mut corners: Vec<(f64, [f64; 3])> = edges
        .into_iter()
        .map(|[corner, _]| (libm::atan2(corner[1] - middle[1], corner[0] - middle[0]), corner))
        .collect();
    corners.sort_by(|a, b| a.0.total_cmp(&b.0));
    corners.into_iter().map(|(_, corner)| corner).collect()
}

/// The part of a convex polygon on which a linear value is not below zero.
fn clipped(polygon: &[[f64; 3]], value: impl Fn(&[f64; 3]) -> f64) -> Vec<[f64; 3]> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (i, corner) in polygon.iter().enumerate() {
        let next = &polygon[(i + 1) % polygon.len()];
        let (here, there) = (value(corner), value(next));
        if here >= 0.0 {
            kept.push(*corner);
        }
        if (here < 0.0) != (there < 0.0) {
            kept.push(crossing(corner, next, here, there));
        }
    }
    kept
}

/// Where the value is zero between two corners: the same place from either end.
fn crossing(a: &[f64; 3], b: &[f64; 3], at_a: f64, at_b: f64) -> [f64; 3] {
    let (a, b, share) =
        if at_a < at_b { (a, b, at_a / (at_a - at_b)) } else { (b, a, at_b / (at_b - at_a)) };
    std::array::from_fn(|axis| a[axis] + (b[axis] - a[axis]) * share)
}

/// Adds the edges of a polygon, each against one that runs the other way.
fn add(edges: &mut BTreeMap<[Place; 2], u32>, polygon: &[[f64; 3]]) {
    let place = |corner: &[f64; 3]| [0, 1].map(|axis| (corner[axis] * PER_METRE).round() as i64);
    let places: Vec<Place> = polygon.iter().map(place).collect();
    for (i, &a) in places.iter().enumerate() {
        let b = places[(i + 1) % places.len()];
        if a == b {
            continue;
        }
        match edges.get_mut(&[b, a]) {
            Some(1) => {
                edges.remove(&[b, a]);
            }
            Some(n) => *n -= 1,
            None => *edges.entry([a, b]).or_insert(0) += 1,
        }
    }
}

/// Joins edges to rings. As many edges end in a place as begin there, so every walk comes back.
fn rings(edges: BTreeMap<[Place; 2], u32>) -> Vec<Vec<[f64; 2]>> {
    let mut from: BTreeMap<Place, Vec<Place>> = BTreeMap::new();
    for ([a, b], n) in edges {
        from.entry(a).or_default().extend(std::iter::repeat_n(b, n as usize));
    }
    let mut rings = Vec::new();
    while let Some((&start, _)) = from.first_key_value() {
        let mut ring = vec![start];
        let mut at = start;
        while let Some(next) = step(&mut from, at).filter(|next| *next != start) {
            ring.push(next);
            at = next;
        }
        let ring = straightened(&ring);
        if ring.len() >= 3 {
            rings.push(ring);
        }
    }
    rings
}

/// Takes one edge that begins at a place.
fn step(from: &mut BTreeMap<Place, Vec<Place>>, at: Place) -> Option<Place> {
    let ends = from.get_mut(&at)?;
    let next = ends.pop();
    if ends.is_empty() {
        from.remove(&at);
    }
    next
}

/// A ring without the places that stand on the line between their neighbours.
fn straightened(ring: &[Place]) -> Vec<[f64; 2]> {
    let n = ring.len();
    let stands_out = |i: usize| {
        let [a, b, c] = [ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]];
        let [along, beside] = [[c[0] - a[0], c[1] - a[1]], [b[0] - a[0], b[1] - a[1]]];
        let cross = (along[0] * beside[1] - along[1] * beside[0]) as f64;
        // Half a tenth of a millimetre beside the line is the rounding of a place.
        cross.abs() > 0.5 * libm::hypot(along[0] as f64, along[1] as f64)
    };
    let kept = (0..n).filter(|&i| stands_out(i));
    kept.map(|i| ring[i].map(|tenths| tenths as f64 / PER_METRE)).collect()
}
