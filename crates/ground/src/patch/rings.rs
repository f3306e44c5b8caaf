//! The surface inside nested outlines with elevations.
//!
//! ```text
//!   +---------------------+   ring 0, part 0
//!   |  band of part 0     |
//!   |   +-------------+   |   ring 1, part 1
//!   |   | band 1      |   |
//!   |   |   +-----+   |   |   ring 2, part 2: nothing inside it, so it is filled
//!   |   |   +-----+   |   |
//!   |   +-------------+   |
//!   +---------------------+
//! ```
//! A *band* lies between a ring and those directly inside it and carries the outer ring's part.

use super::medial;
use super::weld::{Tile, weld};
use crate::curve::{Meeting, meet, meeting_pairs, meeting_place};
use crate::predicates::orient;
use crate::triangulate::constrained;
use crate::{Lattice, LatticeError, LatticePoint, Mesh2, NONE, Surface, Tag};

/// A closed outline with elevations; either way round, the first place not repeated.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring3 {
    /// Places in metres with elevations in metres.
    pub points: Vec<([f64; 2], f64)>,
    /// The part that the band inside this ring carries.
    pub part: u32,
}

/// Why rings span no surface.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RingsError {
    /// No ring at all.
    #[error("there is no ring")]
    NoRing,
    /// A ring has fewer than three different places or no area.
    #[error("ring {ring} has no area")]
    NoArea {
        /// Index of the ring.
        ring: usize,
    },
    /// An elevation of a ring's point is not finite.
    #[error("point {point} of ring {ring} has no elevation")]
    NotFinite {
        /// Index of the ring.
        ring: usize,
        /// Index of the point.
        point: usize,
    },
    /// Two rings touch or cross, or one meets itself.
    #[error("rings {} and {} meet at ({:.3}, {:.3}) m", rings[0], rings[1], at[0], at[1])]
    Meet {
        /// Indices of the rings, the lower first; twice the same when a ring meets itself.
        rings: [usize; 2],
        /// The place in metres.
        at: [f64; 2],
    },
    /// A low or high point lies outside all rings or on one of them, or has no elevation.
    #[error("apex {apex} does not lie inside a ring")]
    Apex {
        /// Index of the apex.
        apex: usize,
    },
    /// A place lies off the lattice.
    #[error(transparent)]
    Lattice(#[from] LatticeError),
}

/// The surface inside the outermost rings, through all rings and apexes, tagged `owner` and the part
/// of the ring around each band.
///
/// Rings may nest to any depth and lie beside each other. An innermost ring is filled; `apexes` are
/// single places with elevations (the point of a sump). Where a triangle would join one side of a
/// band to itself and so lie level where the band falls, points are added midway with heights from
/// the distances to both sides, until no such triangle is off by more than a millimetre.
///
/// # Errors
/// [`RingsError`], naming the ring and the place.
pub fn rings(
    lattice: Lattice,
    rings: &[Ring3],
    apexes: &[([f64; 2], f64)],
    owner: u32,
) -> Result<Surface, RingsError> {
    if rings.is_empty() {
        return Err(RingsError::NoRing);
    }
    let mut net = Net::new(lattice, rings, apexes)?;
    let (mesh, bands) = medial::without_ledges(&mut net)?;
    let z = net.heights_on(&mesh)?;
    let tiles: Vec<Tile> = (0..mesh.triangles.len())
        .filter_map(|t| {
            let ring = bands[t]?;
            let corners = mesh.triangles[t].map(|v| (mesh.vertices[v as usize], z[v as usize]));
            let tag = Tag { owner, part: rings[ring].part };
            Some(Tile { corners, tag, plane: NONE, fixed: mesh.fixed[t] })
        })
        .collect();
    Ok(weld(lattice, &tiles, Vec::new()).expect("a planar triangulation shares its edges rightly"))
}

/// Which side of its bands a vertex stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stands {
    OnRing(usize),
    /// On a point given inside the band of the ring.
    OnApex(usize),
    /// On an added point.
    Between,
}

/// The rings on the lattice, and the points added to them.
pub(super) struct Net {
    pub(super) lattice: Lattice,
    pub(super) vertices: Vec<(LatticePoint, f64, Stands)>,
    /// Ring edges, counter-clockwise, with their ring.
    pub(super) edges: Vec<([u32; 2], usize)>,
    /// For each ring the one directly around it.
    pub(super) parents: Vec<Option<usize>>,
}

impl Net {
    fn new(
        lattice: Lattice,
        rings: &[Ring3],
        apexes: &[([f64; 2], f64)],
    ) -> Result<Self, RingsError> {
        let mut outlines = Vec::with_capacity(rings.len());
        for (i, ring) in rings.iter().enumerate() {
            outlines.push(snapped(lattice, ring, i)?);
        }
        refuse_meetings(lattice, &outlines)?;
        let parents = parents_of(&outlines);
        let mut net = Self { lattice, vertices: Vec::new(), edges: Vec::new(), parents };
        for (ring, outline) in outlines.iter().enumerate() {
            let first = net.vertices.len() as u32;
            let n = outline.len() as u32;
            net.vertices.extend(outline.iter().map(|&(p, z)| (p, z, Stands::OnRing(ring))));
            net.edges.extend((0..n).map(|k| ([first + k, first + (k + 1) % n], ring)));
        }
        for (apex, &(at, z)) in apexes.iter().enumerate() {
            let p = lattice.snap(at)?;
            let around = innermost_around(&outlines, p, None);
            let is_taken = net.vertices.iter().any(|v| v.0 == p);
            match around {
                Some(ring) if z.is_finite() && !is_taken => {
                    net.vertices.push((p, z, Stands::OnApex(ring)));
                }
                _ => return Err(RingsError::Apex { apex }),
            }
        }
        Ok(net)
    }

    /// The triangulation, and for each triangle the ring in whose band it lies.
    pub(super) fn triangulated(&self) -> (Mesh2, Vec<Option<usize>>) {
        let places: Vec<LatticePoint> = self.vertices.iter().map(|v| v.0).collect();
        let edges: Vec<[u32; 2]> = self.edges.iter().map(|e| e.0).collect();
        let mesh = constrained(self.lattice, &places, &edges)
            .expect("rings with an area span triangles and lie on the lattice");
        let bands = self.bands_on(&mesh);
        (mesh, bands)
    }

    fn bands_on(&self, mesh: &Mesh2) -> Vec<Option<usize>> {
        let merged = |v: u32| mesh.merged[v as usize];
        let mut ring_of: Vec<([u32; 2], usize)> =
            self.edges.iter().map(|&([a, b], ring)| ([merged(a), merged(b)], ring)).collect();
        ring_of.sort_unstable();
        let find = |a: u32, b: u32| {
            ring_of.binary_search_by_key(&[a, b], |e| e.0).ok().map(|i| ring_of[i].1)
        };
        let mut bands: Vec<Option<Option<usize>>> = vec![None; mesh.triangles.len()];
        let mut open = Vec::new();
        for (t, corners) in mesh.triangles.iter().enumerate() {
            for k in 0..3 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                let band =
                    find(a, b).map(Some).or_else(|| find(b, a).map(|ring| self.parents[ring]));
                if let Some(band) = band {
                    bands[t] = Some(band);
                    open.push(t);
                }
            }
        }
        while let Some(t) = open.pop() {
            for k in 0..3 {
                let n = mesh.neighbours[t][k];
                if n != NONE && mesh.fixed[t] >> k & 1 == 0 && bands[n as usize].is_none() {
                    bands[n as usize] = bands[t];
                    open.push(n as usize);
                }
            }
        }
        bands.into_iter().map(Option::flatten).collect()
    }

    /// Heights of the mesh's vertices. Fails where the triangulation had to make a vertex of its own,
    /// which means that a ring was bent into another by rounding.
    fn heights_on(&self, mesh: &Mesh2) -> Result<Vec<f64>, RingsError> {
        let mut z = vec![f64::NAN; mesh.vertices.len()];
        for (v, &m) in self.vertices.iter().zip(&mesh.merged) {
            z[m as usize] = v.1;
        }
        match z.iter().position(|z| z.is_nan()) {
            None => Ok(z),
            Some(v) => {
                let at = self.lattice.metres(mesh.vertices[v]);
                Err(RingsError::Meet { rings: [0, 0], at })
            }
        }
    }
}

/// The ring's places on the lattice, counter-clockwise, repeated ones dropped.
fn snapped(
    lattice: Lattice,
    ring: &Ring3,
    index: usize,
) -> Result<Vec<(LatticePoint, f64)>, RingsError> {
    let mut out: Vec<(LatticePoint, f64)> = Vec::with_capacity(ring.points.len());
    for (point, &(at, z)) in ring.points.iter().enumerate() {
        if !z.is_finite() {
            return Err(RingsError::NotFinite { ring: index, point });
        }
        let p = lattice.snap(at)?;
        if out.last().is_none_or(|last| last.0 != p) {
            out.push((p, z));
        }
    }
    while out.len() > 1 && out[0].0 == out[out.len() - 1].0 {
        out.pop();
    }
    match twice_area(&out) {
        0 => Err(RingsError::NoArea { ring: index }),
        area => {
            if area < 0 {
                out.reverse();
            }
            Ok(out)
        }
    }
}

fn twice_area(outline: &[(LatticePoint, f64)]) -> i128 {
    let Some(first) = outline.first() else { return 0 };
    outline.windows(2).map(|w| i128::from(orient(first.0, w[0].0, w[1].0))).sum()
}

fn refuse_meetings(
    lattice: Lattice,
    outlines: &[Vec<(LatticePoint, f64)>],
) -> Result<(), RingsError> {
    let mut segments = Vec::new();
    let mut owners = Vec::new();
    for (ring, outline) in outlines.iter().enumerate() {
        for k in 0..outline.len() {
            segments.push([outline[k].0, outline[(k + 1) % outline.len()].0]);
            owners.push((ring, k));
        }
    }
    let mut first: Option<[usize; 2]> = None;
    meeting_pairs(&segments, |i, j| {
        let ((ring, k), (other, l)) = (owners[i], owners[j]);
        let n = outlines[ring].len();
        let next = ring == other && (l == k + 1 || (k == 0 && l + 1 == n));
        let fault = match meet(segments[i], segments[j]) {
            Meeting::Apart => false,
            Meeting::Ends => !next,
            Meeting::Touch | Meeting::Cross => true,
        };
        if fault && first.is_none_or(|f| [i, j] < f) {
            first = Some([i, j]);
        }
    });
    first.map_or(Ok(()), |[i, j]| {
        let at = lattice.metres(meeting_place(segments[i], segments[j]));
        Err(RingsError::Meet { rings: [owners[i].0, owners[j].0], at })
    })
}

/// For each ring the smallest one around it.
fn parents_of(outlines: &[Vec<(LatticePoint, f64)>]) -> Vec<Option<usize>> {
    (0..outlines.len()).map(|i| innermost_around(outlines, outlines[i][0].0, Some(i))).collect()
}

fn innermost_around(
    outlines: &[Vec<(LatticePoint, f64)>],
    p: LatticePoint,
    except: Option<usize>,
) -> Option<usize> {
    (0..outlines.len())
        .filter(|&i| Some(i) != except && is_inside(&outlines[i], p))
        .min_by_key(|&i| twice_area(&outlines[i]))
}

/// Even-odd, exact; places on the outline count as outside or inside by half-open edges.
fn is_inside(outline: &[(LatticePoint, f64)], p: LatticePoint) -> bool {
    let mut inside = false;
    for (k, b) in outline.iter().enumerate() {
        let (a, b) = (outline[(k + outline.len() - 1) % outline.len()].0, b.0);
        if (a.y > p.y) != (b.y > p.y) && (orient(a, b, p) > 0) == (b.y > a.y) {
            inside = !inside;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::{Closure, Path, Run, contains, inset, norm, signed_area_m2, turned};
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;
    use std::f64::consts::{PI, TAU};

    const FT: f64 = 0.3048;

    /// As drawn, and turned by 30 degrees and moved.
    const PLACINGS: [(f64, [f64; 2]); 2] = [(0.0, [0.0, 0.0]), (PI / 6.0, [-211.7, 95.3])];

    fn ring(points: &[[f64; 2]], z: f64, part: u32, (angle, by): (f64, [f64; 2])) -> Ring3 {
        let place = |p: &[f64; 2]| {
            let t = turned(*p, angle);
            ([t[0] + by[0], t[1] + by[1]], z)
        };
        Ring3 { points: points.iter().map(place).collect(), part }
    }

    fn polygon(n: usize, radius: f64) -> Vec<[f64; 2]> {
        (0..n).map(|i| turned([radius, 0.0], TAU * i as f64 / n as f64)).collect()
    }

    fn rectangle(a: f64, b: f64) -> Vec<[f64; 2]> {
        vec![[-a, -b], [a, -b], [a, b], [-a, b]]
    }

    fn area_of(surface: &Surface, f: u32) -> f64 {
        let [a, b, c] = surface.corners(f);
        0.5 * orient(a, b, c) as f64 * surface.lattice().step_m().powi(2)
    }

    fn dug_m3(surface: &Surface) -> f64 {
        (0..surface.faces().len() as u32)
            .map(|f| -area_of(surface, f) * surface.corner_heights(f).iter().sum::<f64>() / 3.0)
            .sum()
    }

    /// Round basin, radii 10 and 4 ft, 3 ft deep: 490.09 ft3, closed form of a frustum.
    #[test]
    fn a_round_basin_converges_to_the_frustum_by_second_order() {
        for placing in PLACINGS {
            let mut errors = Vec::new();
            for n in [32, 64, 128] {
                let rings_3 = [
                    ring(&polygon(n, 10.0 * FT), 0.0, 1, placing),
                    ring(&polygon(n, 4.0 * FT), -3.0 * FT, 2, placing),
                ];
                let surface = rings(Lattice::default(), &rings_3, &[], 5).unwrap();
                surface.check().unwrap();
                let share = n as f64 / TAU * libm::sin(TAU / n as f64);
                let exact = PI * share * (100.0 + 40.0 + 16.0);
                let cubic_feet = dug_m3(&surface) / FT.powi(3);
                assert!((cubic_feet / exact - 1.0).abs() < 1e-6, "{cubic_feet} {exact}");
                errors.push(490.088 - cubic_feet);
            }
            assert!((errors[0] / errors[1] - 4.0).abs() < 0.05, "{errors:?}");
            assert!((errors[1] / errors[2] - 4.0).abs() < 0.05, "{errors:?}");
        }
    }

    /// Top 100 by 70 ft, sides 2 to 1, 12 ft deep: 44,256 ft3, Math Central, University of Regina,
    /// QQ.09.07/tom4.
    #[test]
    fn a_rectangular_basin_has_its_volume() {
        for placing in PLACINGS {
            let rings_3 = [
                ring(&rectangle(50.0 * FT, 35.0 * FT), 0.0, 1, placing),
                ring(&rectangle(26.0 * FT, 11.0 * FT), -12.0 * FT, 2, placing),
            ];
            let surface = rings(Lattice::default(), &rings_3, &[], 5).unwrap();
            surface.check().unwrap();
            assert_eq!(surface.faces().len(), 10);
            let cubic_feet = dug_m3(&surface) / FT.powi(3);
            assert!((cubic_feet / 44_256.0 - 1.0).abs() < 1e-6, "{cubic_feet}");
            let floor = surface.faces().iter().filter(|f| f.tag == Tag { owner: 5, part: 2 });
            assert_eq!(floor.count(), 2);
        }
    }

    #[test]
    fn a_sump_is_a_pyramid_to_its_point() {
        let rings_3 = [ring(&rectangle(3.0, 2.0), 0.0, 1, PLACINGS[0])];
        let surface = rings(Lattice::default(), &rings_3, &[([0.5, 0.25], -1.5)], 1).unwrap();
        surface.check().unwrap();
        assert!((dug_m3(&surface) - 24.0 * 1.5 / 3.0).abs() < 1e-6);
    }

    /// An L whose deep lies in one leg only: the other leg's floor falls to its middle line.
    #[test]
    fn a_lobe_without_a_deep_has_no_ledge() {
        for placing in PLACINGS {
            let l = [[0.0, 0.0], [10.0, 0.0], [10.0, 3.0], [3.0, 3.0], [3.0, 9.0], [0.0, 9.0]];
            let deep = [[7.0, 1.0], [9.0, 1.0], [9.0, 2.0], [7.0, 2.0]];
            let rings_3 = [ring(&l, 0.0, 1, placing), ring(&deep, -1.0, 2, placing)];
            let surface = rings(Lattice::default(), &rings_3, &[], 1).unwrap();
            surface.check().unwrap();
            let level: f64 = (0..surface.faces().len() as u32)
                .filter(|&f| surface.faces()[f as usize].tag.part == 1)
                .filter(|&f| surface.plane(f).grade(surface.lattice()) < 1e-6)
                .map(|f| area_of(&surface, f))
                .sum();
            assert!(level < 0.05, "{level} m2 lies level");
            assert!(surface.faces().len() < 200);
        }
    }

    /// Between two deeps at one level the ground stands higher than both.
    #[test]
    fn two_deeps_have_a_saddle_between_them() {
        let deep = |x: f64| [[x, 1.0], [x + 2.0, 1.0], [x + 2.0, 3.0], [x, 3.0]];
        let rings_3 = [
            ring(&[[0.0, 0.0], [9.0, 0.0], [9.0, 4.0], [0.0, 4.0]], 0.0, 1, PLACINGS[0]),
            ring(&deep(1.0), -1.0, 2, PLACINGS[0]),
            ring(&deep(6.0), -1.0, 3, PLACINGS[0]),
        ];
        let surface = rings(Lattice::default(), &rings_3, &[], 1).unwrap();
        surface.check().unwrap();
        for f in 0..surface.faces().len() as u32 {
            if surface.faces()[f as usize].tag.part == 1 {
                assert!(surface.plane(f).grade(surface.lattice()) > 1e-3);
            }
        }
    }

    #[test]
    fn rings_that_meet_are_named_with_the_place() {
        let outer = ring(&rectangle(2.0, 2.0), 0.0, 1, PLACINGS[0]);
        let crossing = ring(&[[0.0, 0.0], [3.0, 0.0], [0.0, 1.0]], 0.0, 1, PLACINGS[0]);
        let touching = ring(&[[0.0, 0.0], [2.0, 0.0], [0.0, 1.0]], 0.0, 1, PLACINGS[0]);
        let bow = ring(&[[-1.0, -1.0], [1.0, 1.0], [1.0, -0.5], [-1.0, 1.0]], 0.0, 1, PLACINGS[0]);
        let build =
            |other: &Ring3| rings(Lattice::default(), &[outer.clone(), other.clone()], &[], 1);
        assert_eq!(
            build(&crossing).unwrap_err(),
            RingsError::Meet { rings: [0, 1], at: [2.0, 0.0] }
        );
        assert_eq!(
            build(&touching).unwrap_err(),
            RingsError::Meet { rings: [0, 1], at: [2.0, 0.0] }
        );
        assert!(matches!(build(&bow), Err(RingsError::Meet { rings: [1, 1], .. })));
        let flat = ring(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.0]], 0.0, 1, PLACINGS[0]);
        assert_eq!(build(&flat), Err(RingsError::NoArea { ring: 1 }));
        let no_z = ring(&rectangle(1.0, 1.0), f64::NAN, 1, PLACINGS[0]);
        assert_eq!(build(&no_z), Err(RingsError::NotFinite { ring: 1, point: 0 }));
        let apex = rings(Lattice::default(), std::slice::from_ref(&outer), &[([9.0, 0.0], 1.0)], 1);
        assert_eq!(apex, Err(RingsError::Apex { apex: 0 }));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(15), ..ProptestConfig::default() })]
        #[test]
        fn basins_of_any_outline_fall_all_the_way(
            radii in prop::collection::vec(2.0..6.0f64, 5..40),
            shelf in 0.2..0.8f64,
        ) {
            let n = radii.len() as f64;
            let outline: Vec<[f64; 2]> = radii
                .iter()
                .enumerate()
                .map(|(i, r)| turned([*r, 0.0], TAU * i as f64 / n))
                .collect();
            let lattice = Lattice::default();
            let mut all = vec![ring(&outline, 0.0, 0, PLACINGS[0])];
            for (k, z) in [(1.0, -0.3), (2.0, -0.9)] {
                for inner in inset(lattice, &outline, Run::Even(k * shelf)).unwrap() {
                    all.push(ring(&inner.points, z, k as u32, PLACINGS[0]));
                }
            }
            let surface = rings(lattice, &all, &[], 1).unwrap();
            surface.check().unwrap();
            let area: f64 = (0..surface.faces().len() as u32).map(|f| area_of(&surface, f)).sum();
            prop_assert!((area - signed_area_m2(&outline)).abs() < 1e-3);
            if all.len() == 1 { return Ok(()); }
            // Off the floor, heights follow the distance from the outline: nothing lies level there.
            let path = Path::new(&outline, Closure::Closed).unwrap();
            for f in 0..surface.faces().len() as u32 {
                let part = surface.faces()[f as usize].tag.part;
                if part == 2 { continue; }
                let z = surface.corner_heights(f);
                let c = surface.corners(f).map(|p| lattice.metres(p));
                let centre = [(c[0][0] + c[1][0] + c[2][0]) / 3.0, (c[0][1] + c[1][1] + c[2][1]) / 3.0];
                // A ring with nothing inside it is a floor.
                let plan = |r: &Ring3| r.points.iter().map(|p| p.0).collect::<Vec<_>>();
                let around = all.iter().find(|r| r.part == part && contains(&plan(r), centre));
                let holds = |r: &Ring3| {
                    all.iter().any(|s| s.part == part + 1 && contains(&plan(r), s.points[0].0))
                };
                if !around.is_some_and(holds) { continue; }
                let level = z[0] == z[1] && z[1] == z[2];
                let deep = path.nearest(centre).distance_m;
                prop_assert!(!level || area_of(&surface, f) < 0.02 || deep < 0.01,
                    "face {f} lies level at {centre:?}, {} m2", area_of(&surface, f));
                prop_assert!(norm(centre) < 7.0);
            }
        }
    }
}
