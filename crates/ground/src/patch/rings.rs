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
mod tests;
