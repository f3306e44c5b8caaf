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
pub const FACET_ANGLE_RAD: f64 = std::f64::consts::PI / 8.0;

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
    offset(lattice, ring, run, 1.0)
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
        let run = match run {
            Run::Even(run) => Some(run),
            Run::PerVertex(runs) => runs.get(vertex).copied(),
        };
        run.filter(|r| *r >= 0.0 && r.is_finite()).ok_or(OffsetError::Run { vertex })
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
mod tests {
    use super::super::{Path, contains};
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn total_area(rings: &[OffsetRing]) -> f64 {
        rings.iter().map(|r| signed_area_m2(&r.points)).sum()
    }

    fn turned_by_30(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
        ring.iter()
            .map(|&p| along(turned(p, std::f64::consts::PI / 6.0), [1.0, -1.0], 200.0))
            .collect()
    }

    #[test]
    fn a_rectangle_keeps_its_corners_and_vanishes() {
        let box_m = [[0.0, 0.0], [10.0, 0.0], [10.0, 6.0], [0.0, 6.0]];
        for ring in [box_m.to_vec(), turned_by_30(&box_m)] {
            let rings = inset(Lattice::default(), &ring, Run::Even(1.0)).unwrap();
            assert_eq!((rings.len(), rings[0].points.len()), (1, 4));
            assert!((total_area(&rings) - 32.0).abs() < 1e-9);
            assert!(inset(Lattice::default(), &ring, Run::Even(3.5)).unwrap().is_empty());
            let mut back = ring.clone();
            back.reverse();
            let mirrored = inset(Lattice::default(), &back, Run::Even(1.0)).unwrap();
            assert!((total_area(&mirrored) - 32.0).abs() < 1e-9);
            assert_eq!(mirrored[0].carry(&[1.0, 2.0, 3.0, 4.0], Blend::Linear).len(), 4);
        }
    }

    #[test]
    fn a_dumbbell_parts_at_its_neck() {
        // Two rooms of 4 x 4 m joined by a passage 2 m long and 1 m wide.
        let ring = [
            [0.0, 0.0],
            [4.0, 0.0],
            [4.0, 1.5],
            [6.0, 1.5],
            [6.0, 0.0],
            [10.0, 0.0],
            [10.0, 4.0],
            [6.0, 4.0],
            [6.0, 2.5],
            [4.0, 2.5],
            [4.0, 4.0],
            [0.0, 4.0],
        ];
        let z: Vec<f64> = ring.iter().map(|p| p[0]).collect();
        for ring in [ring.to_vec(), turned_by_30(&ring)] {
            let narrow = inset(Lattice::default(), &ring, Run::Even(0.25)).unwrap();
            assert_eq!(narrow.len(), 1);
            let parts = inset(Lattice::default(), &ring, Run::Even(0.75)).unwrap();
            assert_eq!(parts.len(), 2);
            // Each room keeps 2.5 x 2.5 m and bulges at its door, between circles about the jambs,
            // by 0.0600 m2; the facets about those circles take a little of that back.
            let area = total_area(&parts);
            assert!(area > 12.60 && area < 12.62, "{area}");
            for part in &parts {
                let carried = part.carry(&z, Blend::Linear);
                let (low, high) =
                    carried.iter().fold((f64::MAX, f64::MIN), |(a, b), &z| (a.min(z), b.max(z)));
                assert!(high - low >= 2.5 && low >= 0.0 && high <= 10.0);
            }
        }
    }

    #[test]
    fn a_bay_that_closes_leaves_a_hole() {
        // A room of 6 x 6 m with walls 1 m thick and a door 1 m wide.
        let ring = [
            [0.0, 0.0],
            [8.0, 0.0],
            [8.0, 3.5],
            [7.0, 3.5],
            [7.0, 1.0],
            [1.0, 1.0],
            [1.0, 7.0],
            [7.0, 7.0],
            [7.0, 4.5],
            [8.0, 4.5],
            [8.0, 8.0],
            [0.0, 8.0],
        ];
        let rings = outset(Lattice::default(), &ring, Run::Even(0.6)).unwrap();
        assert_eq!(rings.len(), 2);
        let areas: Vec<f64> = rings.iter().map(|r| signed_area_m2(&r.points)).collect();
        assert!(areas.iter().any(|a| *a > 64.0) && areas.iter().any(|a| *a < -20.0), "{areas:?}");
    }

    #[test]
    fn runs_that_vary_move_each_side_by_its_own() {
        let ring = [[0.0, 0.0], [10.0, 0.0], [10.0, 6.0], [0.0, 6.0]];
        let rings =
            inset(Lattice::default(), &ring, Run::PerVertex(&[1.0, 1.0, 2.0, 2.0])).unwrap();
        assert_eq!(rings[0].points.len(), 4);
        assert!(
            rings[0]
                .points
                .iter()
                .any(|p| super::super::norm(super::super::sub(*p, [1.0, 1.0])) < 1e-9)
        );
        assert!(
            rings[0]
                .points
                .iter()
                .any(|p| super::super::norm(super::super::sub(*p, [8.0, 4.0])) < 1e-9)
        );
        assert_eq!(
            inset(Lattice::default(), &ring, Run::PerVertex(&[1.0, -1.0])).unwrap_err(),
            OffsetError::Run { vertex: 1 }
        );
        assert!(inset(Lattice::default(), &ring, Run::Even(f64::NAN)).is_err());
    }

    fn star(radii: &[f64]) -> Vec<[f64; 2]> {
        let n = radii.len() as f64;
        radii
            .iter()
            .enumerate()
            .map(|(i, r)| turned([*r, 0.0], std::f64::consts::TAU * i as f64 / n))
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(4), ..ProptestConfig::default() })]
        #[test]
        fn insets_of_stars_keep_their_distance(
            radii in prop::collection::vec(1.0..5.0f64, 5..60),
            run in 0.05..1.5f64,
        ) {
            let ring = star(&radii);
            let path = Path::new(&ring, Closure::Closed).unwrap();
            for (rings, inner) in [
                (inset(Lattice::default(), &ring, Run::Even(run)).unwrap(), true),
                (outset(Lattice::default(), &ring, Run::Even(run)).unwrap(), false),
            ] {
                for r in &rings {
                    prop_assert!(first_crossing(Lattice::default(), &r.points, Closure::Closed).unwrap().is_none());
                    for p in &r.points {
                        prop_assert_eq!(contains(&ring, *p), inner);
                        let d = path.nearest(*p).distance_m;
                        prop_assert!(d >= run - 1e-5 && d <= run / 0.98, "{} {}", d, run);
                    }
                }
                // Every place deeper than the facets reach lies in the offset.
                for i in 0..40 { for j in 0..40 {
                    let p = [f64::from(i) * 0.3 - 6.0, f64::from(j) * 0.3 - 6.0];
                    let d = path.nearest(p).distance_m;
                    let n_around = rings.iter().filter(|r| contains(&r.points, p)).count();
                    let here = contains(&ring, p) == inner;
                    let beyond = here && d > run / 0.98;
                    let within = !here || d < run - 1e-5;
                    // Inside an outset's outline is what lies within the run.
                    if inner {
                        if beyond { prop_assert_eq!(n_around, 1); }
                        if within { prop_assert_eq!(n_around, 0); }
                    } else {
                        if beyond { prop_assert_eq!(n_around % 2, 0); }
                        if within { prop_assert_eq!(n_around % 2, 1); }
                    }
                }}
            }
        }
    }
}
