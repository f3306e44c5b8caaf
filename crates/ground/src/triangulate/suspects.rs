//! Points that look wrong: spikes on a surface and strays far from all others.
//!
//! Nothing is dropped here; the caller says what becomes of a suspect.

mod explain;

use self::explain::Shot;
use super::planar::constrained;
use crate::curve::sub;
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

/// A point that nothing around it explains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spike {
    /// Its index among the surface's vertices.
    pub vertex: u32,
    /// Its place.
    pub at: LatticePoint,
    /// Its height in metres.
    pub height: f64,
    /// The height in metres that its surroundings explain, the one nearest to its own.
    pub without: f64,
    /// How far it might stand from that height and be sound, in metres.
    pub limit_m: f64,
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
    /// The distance beyond which a point is a stray, in metres.
    pub limit_m: f64,
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
/// Asked are vertices that no fixed edge touches. Inside, a vertex that stands near the triangulation
/// of its neighbours alone is sound; any other, and every vertex at the surface's edge, is held
/// against the heights that its neighbours and theirs explain: along a line of two of them, or by the
/// plane of all within a right angle, however that is turned. The share of roughness in the limit
/// grows with the error to which an explanation extrapolates. The roughness of the surroundings is the median over them of
/// the height against the neighbours' triangulation. Beside a spike only the farthest out of line is
/// named.
pub fn spikes(surface: &Surface, limits: SpikeLimits) -> Vec<Spike> {
    let rings = rings(surface);
    let off: Vec<Option<f64>> = (0..rings.len())
        .map(|v| {
            let height = surface.heights()[rings[v].height as usize];
            height_without(surface, &rings, v).map(|z| (height - z).abs())
        })
        .collect();
    let stands_out = |v: usize| {
        let asked = rings[v].is_open || off[v].is_some_and(|off_m| off_m > limits.least_m);
        (asked && rings[v].is_free).then(|| out_of_line(surface, &rings, &off, v, limits)).flatten()
    };
    let out: Vec<Option<Spike>> = (0..rings.len()).map(stands_out).collect();
    let off_m = |spike: &Spike| (spike.height - spike.without).abs();
    let is_farthest = |spike: &&Spike| {
        let beside = rings[spike.vertex as usize].neighbours.iter();
        let mut others = beside.filter_map(|&n| out[n as usize].as_ref());
        !others.any(|other| {
            let farther = off_m(other).total_cmp(&off_m(spike));
            farther.then(spike.vertex.cmp(&other.vertex)).is_gt()
        })
    };
    out.iter().flatten().filter(is_farthest).copied().collect()
}

/// A vertex that stands farther than may be from every height that its surroundings explain.
fn out_of_line(
    surface: &Surface,
    rings: &[Surroundings],
    off: &[Option<f64>],
    v: usize,
    limits: SpikeLimits,
) -> Option<Spike> {
    let ring = &rings[v].neighbours;
    let mut near: Vec<u32> =
        ring.iter().flat_map(|&n| &rings[n as usize].neighbours).copied().collect();
    near.extend(ring);
    near.sort_unstable();
    near.dedup();
    near.retain(|&n| n as usize != v);
    let (lattice, at) = (surface.lattice(), surface.vertices()[v]);
    let height = |v: usize| surface.heights()[rings[v].height as usize];
    let shots: Vec<Shot> = (near.iter())
        .map(|&n| {
            let place = lattice.metres(surface.vertices()[n as usize]);
            Shot { off: sub(place, lattice.metres(at)), z: height(n as usize) }
        })
        .collect();
    let sigma_m = SIGMA_OF_MEDIAN * median(near.iter().filter_map(|&n| off[n as usize]).collect());
    let limit_m = |error: f64| limits.least_m.max(limits.sigmas * sigma_m * error);
    let explained = explain::nearest(&shots, height(v), limit_m)?;
    let limit_m = limit_m(explained.error);
    ((height(v) - explained.z).abs() > limit_m).then(|| Spike {
        vertex: v as u32,
        at,
        height: height(v),
        without: explained.z,
        limit_m,
        sigma_m,
    })
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
    let limit_m = STRAY_TIMES * usual_m;
    let is_stray = |(_, d): &(usize, f64)| usual_m > 0.0 && *d > limit_m;
    let all = rows.iter().map(distance).enumerate();
    all.filter(is_stray)
        .map(|(row, distance_m)| Stray { row, distance_m, usual_m, limit_m })
        .collect()
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
    /// The vertex's own height.
    height: u32,
    /// Whether the faces around it name one height, and no edge at it is fixed but the surface's own.
    is_free: bool,
    /// Whether it lies at the surface's edge.
    is_open: bool,
}

fn rings(surface: &Surface) -> Vec<Surroundings> {
    let start = Surroundings { height: NONE, is_free: true, ..Surroundings::default() };
    let mut rings = vec![start; surface.vertices().len()];
    for f in surface.faces() {
        for k in 0..3 {
            let (after, before) = ((k + 1) % 3, (k + 2) % 3);
            let ring = &mut rings[f.vertices[k] as usize];
            ring.neighbours.extend([f.vertices[after], f.vertices[before]]);
            for e in [k, before] {
                ring.is_open |= f.neighbours[e] == NONE;
                ring.is_free &= f.neighbours[e] == NONE || f.fixed >> e & 1 == 0;
            }
            ring.is_free &= ring.height == NONE || ring.height == f.heights[k];
            ring.height = f.heights[k];
        }
    }
    for ring in &mut rings {
        ring.neighbours.sort_unstable();
        ring.neighbours.dedup();
    }
    rings
}

/// The height at an inner vertex of the triangulation of its neighbours alone.
fn height_without(surface: &Surface, rings: &[Surroundings], vertex: usize) -> Option<f64> {
    let ring = &rings[vertex];
    if !ring.is_free || ring.is_open {
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
        (
            mesh.vertices[v as usize],
            surface.heights()[rings[ring.neighbours[k] as usize].height as usize],
        )
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
            assert!((spike.height - spike.without - dz).abs() < 0.15, "{spike:?}");
            assert!(spike.sigma_m < 0.1);
            assert!(spike.limit_m >= 0.5 && spike.limit_m < 2.0);
        }
    }

    #[test]
    fn rough_ground_without_spikes_names_none() {
        let surface = build(&rolling(&[])).unwrap().surface;
        assert!(spikes(&surface, SpikeLimits::default()).is_empty());
    }

    /// A lawn of shots every two metres or so, and a fence around it whose shots wander off its line
    /// by a hand; heights by the place.
    fn fenced(height: impl Fn([f64; 2]) -> f64) -> Terrain {
        let mut places: Vec<[f64; 2]> = Vec::new();
        for k in 0_i32..64 {
            let jitter = f64::from(k * 7919 % 401 - 200) * 0.002;
            places.push([
                3.0 + 2.0 * f64::from(k % 8) + jitter,
                3.0 + 2.0 * f64::from(k / 8) - jitter,
            ]);
        }
        for k in 0_i32..40 {
            let wander = f64::from(k * 104_729 % 41 - 20) * 0.002;
            let along = 2.0 * f64::from(k % 10);
            places.push(match k / 10 {
                0 => [along, wander],
                1 => [20.0 + wander, along],
                2 => [20.0 - along, 20.0 + wander],
                _ => [wander, 20.0 - along],
            });
        }
        let lattice = crate::Lattice::default();
        let points = places.iter().map(|&p| (lattice.snap(p).unwrap(), height(p))).collect();
        Terrain { points, ..Terrain::default() }
    }

    /// What the garden's survey asks: six deviations and 15 cm.
    const GARDEN: SpikeLimits = SpikeLimits { sigmas: 6.0, least_m: 0.15 };

    fn named(terrain: &Terrain) -> Vec<([f64; 2], f64)> {
        let surface = build(terrain).unwrap().surface;
        let found = spikes(&surface, GARDEN);
        found.iter().map(|s| (surface.lattice().metres(s.at), s.height - s.without)).collect()
    }

    /// Heights by the place.
    type Ground<'a> = &'a dyn Fn([f64; 2]) -> f64;

    #[test]
    fn sound_ground_has_no_spike_at_its_edge() {
        let step = |x: f64, at: f64| if x > at { 0.8 } else { 0.0 };
        let in_fence = |[x, y]: [f64; 2]| x.min(y).min(20.0 - x).min(20.0 - y) < 0.5;
        let grounds: [(&str, Ground); 6] = [
            ("a steep plane", &|[x, y]| 0.4 * x - 0.25 * y),
            ("a terrace's edge along x", &|[x, y]| 0.02 * x + step(y, 10.2)),
            ("a terrace's edge aslant", &|[x, y]| 0.03 * y + step(x + 0.7 * y, 16.3)),
            ("a terrace's corner", &|[x, y]| step(x.min(y), 9.5)),
            ("a kerb under the fence", &|p| if in_fence(p) { 0.5 } else { 0.05 * p[0] }),
            ("a swell", &|[x, y]| 0.3 * libm::sin(0.3 * x) * libm::cos(0.25 * y)),
        ];
        for (name, height) in grounds {
            assert_eq!(named(&fenced(height)), [], "{name}");
        }
    }

    #[test]
    fn a_spike_of_two_feet_at_the_edge_is_named() {
        for place in 64..104 {
            for dz in [0.6, -0.6] {
                let mut terrain =
                    fenced(|[x, y]| 0.08 * x - 0.05 * y + 0.01 * libm::sin(9.0 * x * y));
                terrain.points[place].1 += dz;
                let found = named(&terrain);
                let at = crate::Lattice::default().metres(terrain.points[place].0);
                assert_eq!(found.len(), 1, "{at:?} {dz}: {found:?}");
                assert_eq!(found[0].0, at);
                // The explanation nearest to the shot is taken, so that it may stand out by more.
                assert!((found[0].1 - dz).abs() < 0.15, "{found:?}");
            }
        }
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
        let stray = strays(&rows)[0];
        assert!((stray.distance_m - libm::hypot(500_004.5, 4_500_015.0)).abs() < 5.0);
        assert!((stray.limit_m - 20.0 * stray.usual_m).abs() < 1e-9);
        assert!(strays(&rows[..4]).is_empty());
        assert!(strays(&[[1.0; 3]; 9]).is_empty());
    }
}
