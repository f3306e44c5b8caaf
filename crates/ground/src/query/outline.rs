//! Outlines of a surface and of chosen parts of it.

use super::trace::{Border, Field, Flats, Tracer};
use crate::Surface;

/// A vertex of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingPoint {
    /// Index among the surface's vertices.
    pub vertex: u32,
    /// The height that the outlined part names there, in metres.
    pub z: f64,
}

/// The border of a surface: outer rings counter-clockwise, rings around holes clockwise; none
/// touches itself and none repeats its first vertex.
pub fn outline(surface: &Surface) -> Vec<Vec<RingPoint>> {
    outline_where(surface, |_| true)
}

/// The outline of the faces that `wanted` names by index, as [`outline`] gives that of the whole.
///
/// Parts that meet in a single vertex have rings of their own.
pub fn outline_where(surface: &Surface, wanted: impl Fn(u32) -> bool) -> Vec<Vec<RingPoint>> {
    let field = Field {
        surface,
        values: |f| if wanted(f) { [1.0; 3] } else { [-1.0; 3] },
        flats: Flats::Outside,
    };
    let all = 0..surface.faces().len() as u32;
    let rings = Tracer::new(surface).loops(&field, all, Border::Counts);
    let point = |vertex: u32, face_idx: u32| {
        let face = &surface.faces()[face_idx as usize];
        let corner = (0..3).find(|&k| face.vertices[k] == vertex);
        let corner = corner.expect("a ring of whole faces runs from vertex to vertex");
        RingPoint { vertex, z: surface.heights()[face.heights[corner] as usize] }
    };
    let ring = |nodes: Vec<super::trace::Node>| {
        nodes.iter().map(|node| point(node.vertex, node.face_idx)).collect()
    };
    rings.into_iter().map(ring).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::sample;

    fn twice_area_m2(surface: &Surface, ring: &[RingPoint]) -> f64 {
        let place = |i: usize| {
            let point = ring[i % ring.len()];
            surface.lattice().metres(surface.vertices()[point.vertex as usize])
        };
        let cross = |(p, q): ([f64; 2], [f64; 2])| p[0] * q[1] - p[1] * q[0];
        (0..ring.len()).map(|i| cross((place(i), place(i + 1)))).sum()
    }

    #[test]
    fn a_hole_runs_clockwise() {
        let surface = sample::grid([3, 3], 1.0, |_| 0.0);
        // The middle square is the fifth of nine, each of four faces.
        let rings = outline_where(&surface, |f| f / 4 != 4);
        let mut areas = rings.iter().map(|r| twice_area_m2(&surface, r) / 2.0).collect::<Vec<_>>();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas, [-1.0, 9.0]);
        assert_eq!(outline(&surface).len(), 1);
        assert_eq!(outline(&surface)[0].len(), 12);
        assert!(outline_where(&surface, |_| false).is_empty());
    }

    #[test]
    fn boxes_that_touch_at_corners_leave_two_parts() {
        // hard-inputs.md, outlines: a 5 x 5 box less boxes (1,2)-(2,4), (2,3)-(3,4), (2,1)-(4,2),
        // (3,2)-(4,3), which touch at corners: two parts, area 19.
        let surface = sample::grid([5, 5], 1.0, |_| 0.0);
        let cut = [[1, 2], [1, 3], [2, 3], [2, 1], [3, 1], [3, 2]];
        let kept = |f: u32| !cut.contains(&[f / 4 % 5, f / 4 / 5]);
        let rings = outline_where(&surface, kept);
        let areas = rings.iter().map(|r| twice_area_m2(&surface, r) / 2.0).collect::<Vec<_>>();
        assert_eq!(areas.iter().sum::<f64>(), 19.0);
        assert_eq!(areas.iter().filter(|&&area| area > 0.0).count(), 2, "{areas:?}");
    }

    #[test]
    fn an_outline_names_the_heights_of_its_own_side() {
        let surface = sample::terrace();
        let upper = outline_where(&surface, |f| surface.corner_heights(f)[0] == 1.0);
        assert!(upper[0].iter().all(|point| point.z == 1.0));
        let lower = outline_where(&surface, |f| surface.corner_heights(f)[0] == 0.0);
        assert!(lower[0].iter().all(|point| point.z == 0.0));
    }
}
