//! Rings offset to the inside or the outside, by one run or a run for each vertex.
//!
//! Each edge is moved square to itself. Where two moved edges part, they are joined by facets that
//! touch the circle of the run, so that no place is nearer than the run; where they close up, by
//! their mitre while the edges are long enough, else by the way over the vertex. What the raw curve
//! winds around once or more is the offset (X. Chen, S. McMains, "Polygon Offsetting by Computing
//! Winding Numbers", ASME DETC2005-85513).

use super::clean::{Corner, wound_once};
use super::{
    Blend, Closure, Crossing, along, cross, dot, first_crossing, interpolate, left_of,
    signed_area_m2, turned, unit,
};
use crate::{Lattice, LatticeError, LatticePoint};

/// How far a ring is offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Run<'a> {
    /// The same run everywhere, in metres, zero or more.
    Even(f64),
    /// A run for each vertex of the ring, in metres, zero or more, linear between.
    PerVertex(&'a [f64]),
}

/// A ring made by an offset, and where on the source ring each of its vertices comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetRing {
    /// The places, in metres: counter-clockwise for an outline, clockwise for a hole.
    pub points: Vec<[f64; 2]>,
    /// Two parameters (vertex index plus fraction) on the source ring for each place; they differ
    /// where offsets of far apart stretches meet.
    pub origins: Vec<[f64; 2]>,
}

/// Why a ring was not offset.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum OffsetError {
    /// The ring has fewer than three different places.
    #[error("a ring needs three different points")]
    TooFewPoints,
    /// The ring meets itself.
    #[error("the ring crosses itself at ({:.3}, {:.3}) m", .0.at[0], .0.at[1])]
    CrossesItself(Crossing),
    /// A run is below zero or not finite, or there is not one for each vertex.
    #[error("the run at vertex {vertex} must be zero or more")]
    Run {
        /// Index of the vertex.
        vertex: usize,
    },
    /// A place lies off the lattice.
    #[error(transparent)]
    Lattice(#[from] LatticeError),
}

/// The largest turn that one mitre bridges; wider ones get a facet for each such angle.
///
/// A hair over an eighth of a half turn, so that the rounding of a turned outline's corners adds no
/// facet to a square one.
pub const FACET_ANGLE_RAD: f64 = 0.4;

/// Turns below this are straight: their mitre is shorter than a lattice step on any site.
const STRAIGHT_RAD: f64 = 1e-9;

/// The rings at a run inside a ring.
///
/// The answer is a list, since a ring may part at its necks, and empty where nothing is that deep
/// inside. The ring may go either way round; the results go counter-clockwise.
///
/// # Errors
/// [`OffsetError`] for a ring that crosses itself, a bad run or a place off the lattice.
pub fn inset(
    lattice: Lattice,
    ring: &[[f64; 2]],
    run: Run,
) -> Result<Vec<OffsetRing>, OffsetError> {
    in_steps(lattice, ring, run, 0)
}

/// The rings at a run outside a ring: its outline counter-clockwise, and clockwise the holes that
/// bays leave when their mouths close.
///
/// # Errors
/// As for [`inset`].
pub fn outset(
    lattice: Lattice,
    ring: &[[f64; 2]],
    run: Run,
) -> Result<Vec<OffsetRing>, OffsetError> {
    offset(lattice, ring, run, -1.0)
}

impl OffsetRing {
    /// Values of the source ring's vertices carried over to this ring's.
    pub fn carry(&self, values: &[f64], blend: Blend) -> Vec<f64> {
        let at = |parameter| interpolate(values, Closure::Closed, parameter, blend);
        self.origins.iter().map(|o| 0.5 * (at(o[0]) + at(o[1]))).collect()
    }
}

/// A source vertex with its two edges.
struct Vertex {
    at: [f64; 2],
    parameter: f64,
    run: f64,
    /// Directions of the edge that arrives and of the one that leaves.
    edges: [[f64; 2]; 2],
    /// Turn from the one to the other; above zero where the moved edges close up.
    closing_rad: f64,
}

/// The raw curve: places, and the parameter at each.
struct Raw {
    points: Vec<[f64; 2]>,
    parameters: Vec<f64>,
}

/// Vertices that swallow their edges beyond which an inset is done in two steps: the pieces of raw
/// curve about each cross those about every other.
const MOST_SWALLOWING: usize = 64;

/// Halvings of the run after which it is taken at once whatever it costs.
const MOST_HALVINGS: u32 = 6;

/// An inset, in two halves where one would swallow too much at once. The facets of the first half
/// are mitred by the second, so that the steps add nothing to the result.
fn in_steps(
    lattice: Lattice,
    ring: &[[f64; 2]],
    run: Run,
    halvings: u32,
) -> Result<Vec<OffsetRing>, OffsetError> {
    if halvings == MOST_HALVINGS || n_swallowing(&vertices_of(ring, run, 1.0)?) <= MOST_SWALLOWING {
        return offset(lattice, ring, run, 1.0);
    }
    let runs = (0..ring.len()).map(|i| 0.5 * run.at(i)).collect::<Vec<f64>>();
    let mut all = Vec::new();
    for half in in_steps(lattice, ring, Run::PerVertex(&runs), halvings + 1)? {
        let rest = half.carry(&runs, Blend::Linear);
        let n_source = ring.len() as f64;
        for mut whole in in_steps(lattice, &half.points, Run::PerVertex(&rest), halvings + 1)? {
            whole.origins.iter_mut().flatten().for_each(|o| *o = half.origin_at(*o, n_source));
            all.push(whole);
        }
    }
    Ok(all)
}

fn n_swallowing(vertices: &[Vertex]) -> usize {
    let swallows = |i: &usize| vertices[*i].closing_rad > STRAIGHT_RAD && !mitre_fits(vertices, *i);
    (0..vertices.len()).filter(swallows).count()
}

impl OffsetRing {
    /// The parameter on the source ring of a place between this ring's vertices.
    fn origin_at(&self, parameter: f64, n_source: f64) -> f64 {
        let n = self.origins.len();
        let before = (parameter.floor() as usize).min(n - 1);
        let (from, to) = (self.origins[before][1], self.origins[(before + 1) % n][0]);
        let to = to + n_source * ((from - to) / n_source).round();
        let fraction = parameter - before as f64;
        let origin = from + (to - from) * fraction;
        origin - n_source * (origin / n_source).floor()
    }
}

impl Run<'_> {
    /// The run at a vertex; NaN where there is none.
    fn at(&self, vertex: usize) -> f64 {
        match self {
            Run::Even(run) => *run,
            Run::PerVertex(runs) => runs.get(vertex).copied().unwrap_or(f64::NAN),
        }
    }
}

/// `side` is 1 for the left of a counter-clockwise ring, its inside, and -1 for its right.
fn offset(
    lattice: Lattice,
    ring: &[[f64; 2]],
    run: Run,
    side: f64,
) -> Result<Vec<OffsetRing>, OffsetError> {
    if let Some(crossing) = first_crossing(lattice, ring, Closure::Closed)? {
        return Err(OffsetError::CrossesItself(crossing));
    }
    let vertices = vertices_of(ring, run, side)?;
    let raw = raw_curve(&vertices, side);
    let snapped = raw.points.iter().map(|&p| lattice.snap(p)).collect::<Result<Vec<_>, _>>()?;
    let n = ring.len() as f64;
    let spans: Vec<[f64; 2]> = (0..snapped.len())
        .map(|i| {
            let (from, to) = (raw.parameters[i], raw.parameters[(i + 1) % snapped.len()]);
            // Across the seam the nearer way round is the true one.
            let to = to + n * ((from - to) / n).round();
            [from, to]
        })
        .collect();
    let mut exact: Vec<(LatticePoint, [f64; 2])> =
        snapped.iter().copied().zip(raw.points.iter().copied()).collect();
    exact.sort_by_key(|a| a.0);
    Ok(wound_once(&snapped, &spans)
        .into_iter()
        .map(|corners| as_ring(lattice, &corners, &exact, n))
        .collect())
}

/// A cleaned ring in metres; corners of the raw curve keep their unrounded places.
fn as_ring(
    lattice: Lattice,
    corners: &[Corner],
    exact: &[(LatticePoint, [f64; 2])],
    n_source: f64,
) -> OffsetRing {
    let place = |p: LatticePoint| {
        exact.binary_search_by_key(&p, |e| e.0).map_or_else(|_| lattice.metres(p), |i| exact[i].1)
    };
    OffsetRing {
        points: corners.iter().map(|c| place(c.at)).collect(),
        origins: corners
            .iter()
            .map(|c| c.origins.map(|o| o - n_source * (o / n_source).floor()))
            .collect(),
    }
}

/// The ring's vertices counter-clockwise, repeated places dropped.
fn vertices_of(ring: &[[f64; 2]], run: Run, side: f64) -> Result<Vec<Vertex>, OffsetError> {
    let run_at = |vertex: usize| {
        let run = run.at(vertex);
        (run >= 0.0 && run.is_finite()).then_some(run).ok_or(OffsetError::Run { vertex })
    };
    let mut order: Vec<usize> = (0..ring.len()).collect();
    if signed_area_m2(ring) < 0.0 {
        order.reverse();
    }
    order.dedup_by(|b, a| ring[*a] == ring[*b]);
    while order.len() > 1 && ring[order[0]] == ring[order[order.len() - 1]] {
        order.pop();
    }
    if order.len() < 3 {
        return Err(OffsetError::TooFewPoints);
    }
    let n = order.len();
    let mut vertices = Vec::with_capacity(n);
    for (k, &i) in order.iter().enumerate() {
        let (before, after) = (ring[order[(k + n - 1) % n]], ring[order[(k + 1) % n]]);
        let direction = |a, b| unit(a, b).expect("repeated places were dropped");
        let edges = [direction(before, ring[i]), direction(ring[i], after)];
        let turn = libm::atan2(cross(edges[0], edges[1]), dot(edges[0], edges[1]));
        vertices.push(Vertex {
            at: ring[i],
            parameter: i as f64,
            run: run_at(i)?,
            edges,
            closing_rad: side * turn,
        });
    }
    Ok(vertices)
}

fn raw_curve(vertices: &[Vertex], side: f64) -> Raw {
    let mut raw = Raw { points: Vec::new(), parameters: Vec::new() };
    for (i, v) in vertices.iter().enumerate() {
        let normals = v.edges.map(|e| left_of(e).map(|c| side * c));
        let mut push = |p| {
            raw.points.push(p);
            raw.parameters.push(v.parameter);
        };
        if v.run == 0.0 {
            push(v.at);
        } else if v.closing_rad.abs() <= STRAIGHT_RAD {
            push(along(v.at, normals[1], v.run));
        } else if v.closing_rad < 0.0 {
            let n_facets = (-v.closing_rad / FACET_ANGLE_RAD).ceil().max(1.0);
            let step = v.closing_rad / n_facets;
            let reach = v.run / libm::cos(0.5 * step);
            for k in 0..n_facets as usize {
                let angle = side * step * (k as f64 + 0.5);
                push(along(v.at, turned(normals[0], angle), reach));
            }
        } else if mitre_fits(vertices, i) {
            let reach = v.run / libm::cos(0.5 * v.closing_rad);
            push(along(v.at, turned(normals[0], side * 0.5 * v.closing_rad), reach));
        } else {
            push(along(v.at, normals[0], v.run));
            push(v.at);
            push(along(v.at, normals[1], v.run));
        }
    }
    raw
}

/// Whether the mitre at a closing vertex leaves something of both its moved edges.
fn mitre_fits(vertices: &[Vertex], i: usize) -> bool {
    let n = vertices.len();
    let taken = |v: &Vertex| {
        if v.closing_rad > 0.0 { v.run * libm::tan(0.5 * v.closing_rad) } else { 0.0 }
    };
    [((i + n - 1) % n, i), (i, (i + 1) % n)].into_iter().all(|(a, b)| {
        let (a, b) = (&vertices[a], &vertices[b]);
        taken(a) + taken(b) < super::norm(super::sub(b.at, a.at))
    })
}

#[cfg(test)]
mod tests;
