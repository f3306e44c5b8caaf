//! Points between the two sides of a band, where a triangulation alone would leave a ledge.
//!
//! A triangle whose corners all stand on the outer side of a band, or all on its inner side, lies
//! level where the band falls: at the tip of a lobe, or between two deeps. The triangle's
//! circumcentre is a place of the medial axis of that side, so a point there breaks it as Delaunay
//! refinement does (J. Ruppert, "A Delaunay Refinement Algorithm for Quality 2-Dimensional Mesh
//! Generation", Journal of Algorithms 18 (1995)); where an edge of the other side stands between,
//! that edge is split instead. A point's height divides the two sides' heights by its distances.

use super::rings::{Net, RingsError, Stands};
use crate::curve::{along, cross, dot, lerp, norm, sub};
use crate::{LatticePoint, Mesh2};

/// How far a triangle may lie from the band's own surface before it counts as a ledge, in metres.
const LEDGE_M: f64 = 1e-3;

/// Passes of adding points. Each pass halves what is left over, or more.
const MOST_PASSES: usize = 12;

/// Adds points until no triangle is a ledge; gives the mesh and the band of each triangle.
pub(super) fn without_ledges(net: &mut Net) -> Result<(Mesh2, Vec<Option<usize>>), RingsError> {
    let mut current = net.triangulated();
    for _ in 0..MOST_PASSES {
        let added = ledges(net, &current.0, &current.1);
        if added.is_empty() {
            break;
        }
        for addition in added {
            apply(net, addition)?;
        }
        current = net.triangulated();
    }
    Ok(current)
}

/// A point to add.
enum Addition {
    /// Within a band.
    Within { at: [f64; 2], z: f64 },
    /// On a ring's edge, at a fraction of it.
    OnEdge { edge: usize, fraction: f64 },
}

fn apply(net: &mut Net, addition: Addition) -> Result<(), RingsError> {
    match addition {
        Addition::Within { at, z } => {
            let p = net.lattice.snap(at)?;
            net.vertices.push((p, z, Stands::Between));
        }
        Addition::OnEdge { edge, fraction } => {
            let ([a, b], ring) = net.edges[edge];
            let ((p, zp, _), (q, zq, _)) = (net.vertices[a as usize], net.vertices[b as usize]);
            let at = lerp(net.lattice.metres(p), net.lattice.metres(q), fraction);
            let middle = net.vertices.len() as u32;
            let z = zp + (zq - zp) * fraction;
            net.vertices.push((net.lattice.snap(at)?, z, Stands::OnRing(ring)));
            net.edges[edge] = ([a, middle], ring);
            net.edges.push(([middle, b], ring));
        }
    }
    Ok(())
}

/// The side of a band.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Outer,
    Inner,
}

/// A band's edges and apexes in metres, and what it says of heights between them.
struct Band<'a> {
    net: &'a Net,
    ring: usize,
    edges: Vec<(usize, Side)>,
    apexes: Vec<usize>,
}

impl Band<'_> {
    fn new(net: &Net, ring: usize) -> Band<'_> {
        let side = |r: usize| {
            if r == ring {
                Some(Side::Outer)
            } else {
                (net.parents[r] == Some(ring)).then_some(Side::Inner)
            }
        };
        let edges = net.edges.iter().enumerate();
        let apexes = net.vertices.iter().enumerate();
        Band {
            net,
            ring,
            edges: edges.filter_map(|(i, e)| Some((i, side(e.1)?))).collect(),
            apexes: apexes.filter(|(_, v)| v.2 == Stands::OnApex(ring)).map(|v| v.0).collect(),
        }
    }

    /// Whether there is an inner side at all; a filled ring has none.
    fn falls(&self) -> bool {
        !self.apexes.is_empty() || self.edges.iter().any(|e| e.1 == Side::Inner)
    }

    fn side_of(&self, stands: Stands) -> Option<Side> {
        match stands {
            Stands::OnRing(r) if r == self.ring => Some(Side::Outer),
            Stands::OnRing(_) | Stands::OnApex(_) => Some(Side::Inner),
            Stands::Between => None,
        }
    }

    fn place(&self, vertex: u32) -> [f64; 2] {
        self.net.lattice.metres(self.net.vertices[vertex as usize].0)
    }

    fn ends(&self, edge: usize) -> [[f64; 2]; 2] {
        self.net.edges[edge].0.map(|v| self.place(v))
    }

    /// Height by the distances to both sides, and the lesser distance.
    fn height_at(&self, p: [f64; 2]) -> (f64, f64) {
        let mut near = [(f64::INFINITY, 0.0); 2];
        for &(edge, side) in &self.edges {
            let [a, b] = self.ends(edge);
            let (fraction, distance) = nearest(p, a, b);
            let slot = &mut near[side as usize];
            if distance < slot.0 {
                let [za, zb] = self.net.edges[edge].0.map(|v| self.net.vertices[v as usize].1);
                *slot = (distance, za + (zb - za) * fraction);
            }
        }
        for &apex in &self.apexes {
            let distance = norm(sub(p, self.place(apex as u32)));
            if distance < near[1].0 {
                near[1] = (distance, self.net.vertices[apex].1);
            }
        }
        let [(outer, z_outer), (inner, z_inner)] = near;
        let share = if outer + inner > 0.0 { outer / (outer + inner) } else { 0.0 };
        (z_outer + (z_inner - z_outer) * share, outer.min(inner))
    }

    /// The first of the band's edges on the way from `a` to `b`, with its side.
    fn first_between(&self, a: [f64; 2], b: [f64; 2]) -> Option<(usize, Side)> {
        let d = sub(b, a);
        let mut first: Option<(f64, (usize, Side))> = None;
        for &(edge, side) in &self.edges {
            let [p, q] = self.ends(edge);
            let (from, to) = (cross(d, sub(p, a)), cross(d, sub(q, a)));
            let e = sub(q, p);
            let across = cross(d, e);
            if (from > 0.0) == (to > 0.0) || across == 0.0 {
                continue;
            }
            let t = cross(sub(p, a), e) / across;
            if (0.0..=1.0).contains(&t) && first.is_none_or(|f| t < f.0) {
                first = Some((t, (edge, side)));
            }
        }
        first.map(|f| f.1)
    }
}

/// A point for each ledge, none too near to another.
fn ledges(net: &Net, mesh: &Mesh2, bands: &[Option<usize>]) -> Vec<Addition> {
    let mut vertex_of = vec![0; mesh.vertices.len()];
    for (v, &m) in mesh.merged.iter().enumerate() {
        vertex_of[m as usize] = v;
    }
    let mut known: Vec<Option<Band>> = net.parents.iter().map(|_| None).collect();
    let mut taken: Vec<[f64; 2]> = Vec::new();
    let mut split: Vec<usize> = Vec::new();
    let mut added = Vec::new();
    for (t, corners) in mesh.triangles.iter().enumerate() {
        let Some(ring) = bands[t] else { continue };
        let band = &*known[ring].get_or_insert_with(|| Band::new(net, ring));
        if !band.falls() {
            continue;
        }
        let corners = corners.map(|v| vertex_of[v as usize]);
        let [a, b, c] = corners.map(|v| band.side_of(net.vertices[v].2));
        let Some(side) = a.filter(|_| a == b && b == c) else { continue };
        let places = corners.map(|v| net.lattice.metres(net.vertices[v].0));
        let centre: [f64; 2] =
            std::array::from_fn(|k| places.iter().map(|p| p[k]).sum::<f64>() / 3.0);
        let flat = corners.iter().map(|&v| net.vertices[v].1).sum::<f64>() / 3.0;
        if (band.height_at(centre).0 - flat).abs() <= LEDGE_M {
            continue;
        }
        let (addition, at, room) = breaking_point(band, side, places, centre);
        let crowded = taken.iter().any(|&p| norm(sub(p, at)) < 0.5 * room);
        let resplit = matches!(addition, Addition::OnEdge { edge, .. } if split.contains(&edge));
        if crowded || resplit || is_taken(net, at) {
            continue;
        }
        if let Addition::OnEdge { edge, .. } = addition {
            split.push(edge);
        }
        taken.push(at);
        added.push(addition);
    }
    added
}

fn is_taken(net: &Net, at: [f64; 2]) -> bool {
    let p: Option<LatticePoint> = net.lattice.snap(at).ok();
    p.is_none_or(|p| net.vertices.iter().any(|v| v.0 == p))
}

/// The point that breaks a ledge, its place, and how far others should keep away.
fn breaking_point(
    band: &Band,
    side: Side,
    places: [[f64; 2]; 3],
    centre: [f64; 2],
) -> (Addition, [f64; 2], f64) {
    let within = |at: [f64; 2], room: f64| {
        let (z, _) = band.height_at(at);
        (Addition::Within { at, z }, at, room)
    };
    let Some((circumcentre, radius)) = circumcircle(places) else {
        return within(centre, 0.0);
    };
    // Looking a little farther keeps the point clear of an edge that it would all but touch.
    match band.first_between(centre, lerp(centre, circumcentre, 1.2)) {
        None => within(circumcentre, radius),
        Some((edge, other)) if other != side => {
            let [a, b] = band.ends(edge);
            let fraction = nearest(centre, a, b).0.clamp(0.1, 0.9);
            let at = lerp(a, b, fraction);
            (Addition::OnEdge { edge, fraction }, at, norm(sub(at, centre)))
        }
        Some(_) => {
            // The triangle spans a narrow lobe: midway between its blunt corner and the side facing.
            let far = |k: usize| norm(sub(places[(k + 1) % 3], places[(k + 2) % 3]));
            let blunt = (0..3).fold(0, |best, k| if far(k) > far(best) { k } else { best });
            let (a, b) = (places[(blunt + 1) % 3], places[(blunt + 2) % 3]);
            let (fraction, width) = nearest(places[blunt], a, b);
            within(lerp(places[blunt], lerp(a, b, fraction), 0.5), 0.5 * width)
        }
    }
}

fn circumcircle([a, b, c]: [[f64; 2]; 3]) -> Option<([f64; 2], f64)> {
    let (u, v) = (sub(b, a), sub(c, a));
    let twice = 2.0 * cross(u, v);
    let (uu, vv) = (dot(u, u), dot(v, v));
    let d = [(v[1] * uu - u[1] * vv) / twice, (u[0] * vv - v[0] * uu) / twice];
    d.iter().all(|c| c.is_finite()).then(|| (along(a, d, 1.0), norm(d)))
}

/// Fraction along `a`–`b` of the place nearest to `p`, and its distance.
fn nearest(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> (f64, f64) {
    crate::curve::nearest_on_segment(p, a, b)
}
