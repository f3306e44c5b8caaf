//! Areas on plan and on the slope, and the range of heights.

use std::collections::BTreeMap;

use crate::{Surface, predicates, sum::Sum};

use super::side::steps_per_m;

/// The area of a part of a surface.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Areas {
    /// Area in plan, in square metres; exact up to its last rounding.
    pub plan_m2: f64,
    /// Area on the slope, by the faces' planes, in square metres; faces of steps are not in it.
    pub slope_m2: f64,
}

/// The areas of the faces that `wanted` names by index.
pub fn areas_where(surface: &Surface, wanted: impl Fn(u32) -> bool) -> Areas {
    let mut sum = Running::default();
    let wanted = (0..surface.faces().len() as u32).filter(|&f| wanted(f));
    wanted.for_each(|face_idx| sum.add(surface, face_idx));
    sum.areas(surface)
}

/// The areas of all faces, by what `kind` says of each, the kinds ascending.
pub fn areas_by<K: Ord + Copy>(surface: &Surface, kind: impl Fn(u32) -> K) -> Vec<(K, Areas)> {
    let mut sums: BTreeMap<K, Running> = BTreeMap::new();
    (0..surface.faces().len() as u32)
        .for_each(|face_idx| sums.entry(kind(face_idx)).or_default().add(surface, face_idx));
    sums.into_iter().map(|(kind, sum)| (kind, sum.areas(surface))).collect()
}

/// The area of faces while they are added up, twice, in square steps.
#[derive(Default)]
struct Running {
    plan: i128,
    slope: Sum,
}

impl Running {
    fn add(&mut self, surface: &Surface, face_idx: u32) {
        let [a, b, c] = surface.corners(face_idx);
        let twice = predicates::orient(a, b, c);
        self.plan += i128::from(twice);
        let grade = surface.plane(face_idx).grade(surface.lattice());
        self.slope.add(twice as f64 * (1.0 + grade * grade).sqrt());
    }

    fn areas(&self, surface: &Surface) -> Areas {
        let per_m = steps_per_m(surface.lattice());
        let in_m2 = |twice: f64| twice / (2.0 * per_m * per_m);
        Areas { plan_m2: in_m2(self.plan as f64), slope_m2: in_m2(self.slope.value()) }
    }
}

/// The plan area of one face, in square metres.
pub fn face_area_m2(surface: &Surface, face_idx: u32) -> f64 {
    let [a, b, c] = surface.corners(face_idx);
    let per_m = steps_per_m(surface.lattice());
    predicates::orient(a, b, c) as f64 / (2.0 * per_m * per_m)
}

/// The plan area of a surface, in square metres.
pub fn plan_area_m2(surface: &Surface) -> f64 {
    areas_where(surface, |_| true).plan_m2
}

/// The area of a surface on the slope, in square metres; the faces of steps are not in it.
pub fn surface_area_m2(surface: &Surface) -> f64 {
    areas_where(surface, |_| true).slope_m2
}

/// The lowest and the highest height of a surface, in metres; none without a face.
pub fn extent_z(surface: &Surface) -> Option<[f64; 2]> {
    let corners = |f| surface.corner_heights(f);
    (0..surface.faces().len() as u32).flat_map(corners).fold(None, |extent, z| match extent {
        None => Some([z, z]),
        Some([low, high]) => Some([low.min(z), high.max(z)]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::sample;

    #[test]
    fn a_face_has_its_areas() {
        // check-values.md T-08: exact geometry.
        let surface = sample::triangle([[0.0, 0.0, 100.0], [10.0, 0.0, 101.0], [0.0, 10.0, 102.0]]);
        assert_eq!(plan_area_m2(&surface), 50.0);
        assert!((surface_area_m2(&surface) - 51.235).abs() < 5e-4);
        assert!((surface_area_m2(&surface) - 50.0 * 1.05_f64.sqrt()).abs() < 1e-12);
        assert_eq!(extent_z(&surface), Some([100.0, 102.0]));
    }

    #[test]
    fn chosen_faces_add_up_to_the_whole() {
        let surface = sample::grid([7, 5], 0.7, |[x, y]| x * y);
        let part = |odd: u32| areas_where(&surface, |f| f % 2 == odd);
        let whole = areas_where(&surface, |_| true);
        assert!((part(0).plan_m2 + part(1).plan_m2 - whole.plan_m2).abs() < 1e-12);
        assert!((part(0).slope_m2 + part(1).slope_m2 - whole.slope_m2).abs() < 1e-12);
        assert!((whole.plan_m2 - 7.0 * 5.0 * 0.49).abs() < 1e-12);
    }
}
