//! Fissures closed: slivers of rounding that stand apart from what lies beside them.
//!
//! Where the end of one panel runs along another's line, as at every right corner, rounding to the
//! lattice lets the one reach past the other by a step. That strip belongs to neither, is too thin
//! to be composed away, and would stand as a crack as deep as the panels differ. Each of its faces
//! is given to the face across its longest edge.

use crate::predicates::orient;
use crate::{Face, NONE, Plane, Surface};

/// A face no wider than this many lattice steps is a product of rounding.
const THIN_STEPS: f64 = 3.0;

/// Heights at one place that differ by less are one height: a few lattice steps on a steep face.
const SAME_HEIGHT_M: f64 = 2e-5;

/// The surface with each thin face that has a step at an edge levelled with its neighbour.
pub(super) fn without_fissures(surface: Surface) -> Surface {
    let n_faces = surface.faces().len() as u32;
    let thin: Vec<u32> = (0..n_faces).filter(|&f| is_thin(&surface, f)).collect();
    if thin.is_empty() {
        return surface;
    }
    let lattice = surface.lattice();
    let mut heights = surface.heights().to_vec();
    let mut faces = surface.faces().to_vec();
    let mut planes = surface.planes().to_vec();
    let mut waiting: Vec<u32> = thin;
    // Strips of several thin faces are settled from their rims inward.
    loop {
        let mut left = Vec::new();
        for &f in &waiting {
            if !has_step(&faces, &heights, f) {
                continue;
            }
            match neighbour_to_join(&surface, &faces, f, &waiting) {
                Some(n) => join(&surface, &mut faces, &mut heights, &mut planes, [f, n]),
                None => left.push(f),
            }
        }
        if left.len() == waiting.len() || left.is_empty() {
            break;
        }
        waiting = left;
    }
    Surface::from_parts(lattice, surface.vertices().to_vec(), heights, faces, planes)
}

fn squared_edges(surface: &Surface, f: u32) -> [f64; 3] {
    let p = surface.corners(f);
    std::array::from_fn(|k| {
        let (a, b) = (p[k], p[(k + 1) % 3]);
        let d = [f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y)];
        d[0] * d[0] + d[1] * d[1]
    })
}

fn is_thin(surface: &Surface, f: u32) -> bool {
    let [a, b, c] = surface.corners(f);
    let longest = squared_edges(surface, f).into_iter().fold(0.0, f64::max);
    orient(a, b, c) as f64 <= THIN_STEPS * longest.sqrt()
}

/// The height that a face names at a vertex.
fn height_of(face: &Face, heights: &[f64], vertex: u32) -> Option<(u32, f64)> {
    let corner = face.vertices.iter().position(|&v| v == vertex)?;
    let h = face.heights[corner];
    Some((h, heights[h as usize]))
}

fn has_step(faces: &[Face], heights: &[f64], f: u32) -> bool {
    let face = &faces[f as usize];
    (0..3).any(|k| {
        face.neighbours[k] != NONE
            && [k, (k + 1) % 3].into_iter().any(|corner| {
                let other = &faces[face.neighbours[k] as usize];
                let z = heights[face.heights[corner] as usize];
                height_of(other, heights, face.vertices[corner])
                    .is_some_and(|(_, other_z)| (other_z - z).abs() > SAME_HEIGHT_M)
            })
    })
}

/// The neighbour across the longest edge that has one not itself waiting.
fn neighbour_to_join(surface: &Surface, faces: &[Face], f: u32, waiting: &[u32]) -> Option<u32> {
    let lengths = squared_edges(surface, f);
    let mut edges = [0, 1, 2];
    edges.sort_by(|&i, &j| lengths[j].total_cmp(&lengths[i]));
    edges
        .into_iter()
        .map(|k| faces[f as usize].neighbours[k])
        .find(|&n| n != NONE && waiting.binary_search(&n).is_err())
}

/// Lays face `f` into the plane of its neighbour `n`.
fn join(
    surface: &Surface,
    faces: &mut [Face],
    heights: &mut Vec<f64>,
    planes: &mut Vec<Plane>,
    [f, n]: [u32; 2],
) {
    let host = faces[n as usize];
    let plane_idx = if host.plane == NONE {
        let p = host.vertices.map(|v| surface.vertices()[v as usize]);
        let z = host.heights.map(|h| heights[h as usize]);
        planes.push(Plane::through([(p[0], z[0]), (p[1], z[1]), (p[2], z[2])]));
        planes.len() as u32 - 1
    } else {
        host.plane
    };
    let plane = planes[plane_idx as usize];
    let face = faces[f as usize];
    let named: [u32; 3] = std::array::from_fn(|k| {
        let v = face.vertices[k];
        if let Some((h, _)) = height_of(&host, heights, v) {
            return h;
        }
        let z = plane.at(surface.vertices()[v as usize]);
        let beside = face.neighbours.iter().filter(|&&m| m != NONE && m != n);
        let nearest = beside
            .filter_map(|&m| height_of(&faces[m as usize], heights, v))
            .min_by(|a, b| (a.1 - z).abs().total_cmp(&(b.1 - z).abs()));
        match nearest {
            Some((h, other)) if (other - z).abs() <= SAME_HEIGHT_M => h,
            _ => {
                heights.push(z);
                heights.len() as u32 - 1
            }
        }
    });
    let joined = &mut faces[f as usize];
    (joined.heights, joined.plane, joined.tag) = (named, plane_idx, host.tag);
}
