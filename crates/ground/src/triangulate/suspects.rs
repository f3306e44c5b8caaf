//! Points that look wrong: spikes on a surface and strays far from all others.
//!
//! Nothing is dropped here; the caller says what becomes of a suspect.

use super::planar::constrained;
use crate::predicates::orient;
use crate::{LatticePoint, NONE, Plane, Surface};

/// How far a point must stand out of its surroundings to be called a spike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpikeLimits {
    /// How many times the surroundings' own roughness (a robust standard deviation).
    pub sigmas: f64,
    /// The least height in metres, so that smooth ground does not make every bump a spike.
    pub least_m: f64,
}

/// A point without which the surface would run elsewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spike {
    /// Its index among the surface's vertices.
    pub vertex: u32,
    /// Its place.
    pub at: LatticePoint,
    /// Its height in metres.
    pub height: f64,
    /// The height in metres at its place of the surface without it.
    pub without: f64,
    /// The roughness of its surroundings in metres: a robust standard deviation.
    pub sigma_m: f64,
}

/// A point far from all others, such as 0, 0 beside national coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stray {
    /// Its row in the list.
    pub row: usize,
    /// Its distance in plan from the middle of the survey, in metres.
    pub distance_m: f64,
    /// The distance from that middle within which four points in five lie, in metres.
    pub usual_m: f64,
}

/// A stray lies farther from the survey's middle than this many times the usual distance: no
/// survey of one site has so long a tail, and a wrong zone or a zero misses by far more.
const STRAY_TIMES: f64 = 20.0;

/// A median of absolute deviations times this is a standard deviation where errors are normal.
const SIGMA_OF_MEDIAN: f64 = 1.4826;

impl Default for SpikeLimits {
    /// Eight robust standard deviations and half a metre.
    fn default() -> Self {
        Self { sigmas: 8.0, least_m: 0.5 }
    }
}

/// The spikes of a surface, in vertex order.
///
/// For each inner vertex that no fixed edge touches, its height is held against the triangulation
/// of its neighbours alone. The roughness of the surroundings is the median of the same figure over
/// the neighbours and theirs. Beside a spike only the farthest out of line is named, because a spike
/// makes its neighbours look wrong as well.
pub fn spikes(surface: &Surface, limits: SpikeLimits) -> Vec<Spike> {
    let rings = rings(surface);
    let without: Vec<Option<f64>> =
        (0..rings.len()).map(|v| height_without(surface, v, &rings[v])).collect();
    let height = |v: usize| surface.heights()[rings[v].height as usize];
    let off = |v: usize| without[v].map(|z| (height(v) - z).abs());
    let mut found = Vec::new();
    for v in 0..rings.len() {
        let (Some(z), Some(off_m)) = (without[v], off(v)) else { continue };
        if off_m <= limits.least_m {
            continue;
        }
        let ring = &rings[v].neighbours;
        let mut near: Vec<u32> =
            ring.iter().flat_map(|&n| &rings[n as usize].neighbours).copied().collect();
        near.extend(ring);
        near.sort_unstable();
        near.dedup();
        near.retain(|&n| n as usize != v);
        let sigma_m =
            SIGMA_OF_MEDIAN * median(near.iter().filter_map(|&n| off(n as usize)).collect());
        let outdone = |&n: &u32| {
            off(n as usize).is_some_and(|o| o > off_m || (o == off_m && (n as usize) < v))
        };
        if off_m > limits.sigmas * sigma_m && !ring.iter().any(outdone) {
            let at = surface.vertices()[v];
            found.push(Spike { vertex: v as u32, at, height: height(v), without: z, sigma_m });
        }
    }
    found
}

/// The rows of points that lie far from all others in plan, judged on the coordinates as read, in
/// metres.
///
/// Rows that are not finite are no business of this function and never named. Fewer than five rows
/// have no usual distance, and none is a stray.
pub fn strays(rows: &[[f64; 3]]) -> Vec<Stray> {
    let is_finite = |row: &&[f64; 3]| row[0].is_finite() && row[1].is_finite();
    let column = |k: usize| rows.iter().filter(is_finite).map(|row| row[k]).collect::<Vec<f64>>();
    let (east, north) = (column(0), column(1));
    if east.len() < 5 {
        return Vec::new();
    }
    let middle = [median(east), median(north)];
    let distance = |row: &[f64; 3]| libm::hypot(row[0] - middle[0], row[1] - middle[1]);
    let mut distances: Vec<f64> = rows.iter().filter(is_finite).map(distance).collect();
    distances.sort_unstable_by(f64::total_cmp);
    let usual_m = distances[(distances.len() - 1) * 4 / 5];
    let is_stray = |(_, d): &(usize, f64)| usual_m > 0.0 && *d > STRAY_TIMES * usual_m;
    let all = rows.iter().map(distance).enumerate();
    all.filter(is_stray).map(|(row, distance_m)| Stray { row, distance_m, usual_m }).collect()
}

/// The middle of some numbers; zero of none.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

/// What surrounds a vertex.
#[derive(Clone, Debug, Default)]
struct Surroundings {
    neighbours: Vec<u32>,
    /// For each neighbour the height that the same face names there.
    heights: Vec<u32>,
    /// The vertex's own height.
    height: u32,
    /// Whether faces surround it on all sides, name one height, and no edge at it is fixed.
    is_free: bool,
}

fn rings(surface: &Surface) -> Vec<Surroundings> {
    let start = Surroundings { height: NONE, is_free: true, ..Surroundings::default() };
    let mut rings = vec![start; surface.vertices().len()];
    for f in surface.faces() {
        for k in 0..3 {
            let (after, before) = ((k + 1) % 3, (k + 2) % 3);
            let ring = &mut rings[f.vertices[k] as usize];
            ring.neighbours.push(f.vertices[after]);
            ring.heights.push(f.heights[after]);
            ring.is_free &=
                [k, before].iter().all(|&e| f.neighbours[e] != NONE && f.fixed >> e & 1 == 0)
                    && (ring.height == NONE || ring.height == f.heights[k]);
            ring.height = f.heights[k];
        }
    }
    rings
}

/// The height at a vertex of the triangulation of its neighbours alone.
fn height_without(surface: &Surface, vertex: usize, ring: &Surroundings) -> Option<f64> {
    if !ring.is_free {
        return None;
    }
    let place = |v: u32| surface.vertices()[v as usize];
    let places: Vec<LatticePoint> = ring.neighbours.iter().map(|&v| place(v)).collect();
    let mesh = constrained(surface.lattice(), &places, &[]).ok()?;
    let p = surface.vertices()[vertex];
    let holds = |t: &&[u32; 3]| {
        let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
        orient(a, b, p) >= 0 && orient(b, c, p) >= 0 && orient(c, a, p) >= 0
    };
    let triangle = mesh.triangles.iter().find(holds)?;
    let corner = |v: u32| {
        let k = mesh.merged.iter().position(|&m| m == v).expect("every vertex was asked for");
        (mesh.vertices[v as usize], surface.heights()[ring.heights[k] as usize])
    };
    Some(Plane::through(triangle.map(corner)).at(p))
}

#[cfg(test)]
mod tests {
    use super::{SpikeLimits, spikes, strays};
    use crate::{LatticePoint, Terrain, build};

    /// Rolling ground with two centimetres of roughness on a jittered grid of one metre.
    fn rolling(odd: &[(usize, f64)]) -> Terrain {
        let mut points: Vec<(LatticePoint, f64)> = (0..900)
            .map(|k| {
                let (i, j) = (k % 30, k / 30);
                let jitter = (k * 7919 % 401) * 1000;
                let at = LatticePoint { x: i * 1_000_000 + jitter, y: j * 1_000_000 - jitter };
                let rough = f64::from(k * 104_729 % 41 - 20) * 0.001;
                (at, 0.1 * f64::from(i) + rough)
            })
            .collect();
        odd.iter().for_each(|&(k, dz)| points[k].1 += dz);
        Terrain { points, ..Terrain::default() }
    }

    #[test]
    fn spikes_are_named_and_their_neighbours_are_not() {
        let terrain = rolling(&[(435, 3.0), (210, -2.0)]);
        let surface = build(&terrain).unwrap().surface;
        let found = spikes(&surface, SpikeLimits::default());
        let mut places: Vec<LatticePoint> = found.iter().map(|s| s.at).collect();
        places.sort_unstable();
        let mut expected = [terrain.points[210].0, terrain.points[435].0];
        expected.sort_unstable();
        assert_eq!(places, expected);
        for spike in found {
            let dz = if spike.at == terrain.points[435].0 { 3.0 } else { -2.0 };
            assert!((spike.height - spike.without - dz).abs() < 0.1);
            assert!(spike.sigma_m < 0.1);
        }
    }

    #[test]
    fn rough_ground_without_spikes_names_none() {
        let surface = build(&rolling(&[])).unwrap().surface;
        assert!(spikes(&surface, SpikeLimits::default()).is_empty());
    }

    #[test]
    fn a_zero_beside_national_coordinates_is_a_stray() {
        let mut rows: Vec<[f64; 3]> = (0..100)
            .map(|k| [500_000.0 + f64::from(k % 10), 4_500_000.0 + f64::from(k / 10) * 3.0, 7.0])
            .collect();
        rows[17] = [0.0; 3];
        rows.push([f64::NAN, 0.0, 0.0]);
        rows.push([0.0, 4_500_000.0, 1.0]);
        let found: Vec<usize> = strays(&rows).iter().map(|s| s.row).collect();
        assert_eq!(found, [17, 101]);
        assert!(strays(&rows[..4]).is_empty());
        assert!(strays(&[[1.0; 3]; 9]).is_empty());
    }
}
