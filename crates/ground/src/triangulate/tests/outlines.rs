//! Boundaries and voids.

use super::*;
use crate::{BuildError, Outline};

/// Uneven ground over a square of ten metres.
fn ground() -> Terrain {
    let mut draw = Draw(5);
    let mut points = field([0.0, 10.0], [0.0, 10.0]);
    points.extend((0..500).map(|_| {
        let place = lattice_point(draw.below(10_000_001), draw.below(10_000_001));
        (place, f64::from(draw.below(300)) * 0.01)
    }));
    Terrain { points, ..Terrain::default() }
}

fn ring(places: &[(f64, f64)]) -> Vec<LatticePoint> {
    places.iter().map(|&(x, y)| at(x, y)).collect()
}

fn square(x: [f64; 2], y: [f64; 2]) -> Vec<LatticePoint> {
    ring(&[(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])])
}

/// A valid surface; beside a cut its edges follow the uncut ground and need not be Delaunay.
fn cut(terrain: &Terrain) -> Built {
    let built = build(terrain).unwrap();
    built.surface.check().unwrap();
    built
}

#[test]
fn boundary_and_void_leave_the_area_between_them_whichever_way_they_run() {
    let mut terrain = ground();
    let boundary = ring(&[(1.0, 1.0), (9.0, 0.5), (8.5, 9.0), (5.0, 6.0), (0.5, 9.5)]);
    let void = ring(&[(3.0, 3.0), (5.0, 3.0), (4.0, 5.0)]);
    let left = twice_ring_area(&boundary) - twice_ring_area(&void);
    terrain.boundary = Some(boundary.clone());
    terrain.voids = vec![void.clone()];
    let built = cut(&terrain);
    // The ends of the outlines are kept, crossings with the mesh are rounded.
    assert!((plan_area_m2(&built.surface) - left as f64 * 0.5e-12).abs() < 1e-4);
    terrain.boundary = Some(boundary.into_iter().rev().collect());
    terrain.voids = vec![void.into_iter().rev().collect()];
    assert_eq!(cut(&terrain), built);
}

#[test]
fn a_boundary_changes_no_height_inside() {
    let whole = build(&ground()).unwrap().surface;
    let mut terrain = ground();
    terrain.boundary = Some(ring(&[(1.0, 1.2), (9.0, 2.5), (7.5, 9.0), (0.5, 8.5)]));
    let part = cut(&terrain).surface;
    let locator = crate::query::Locator::new(&whole);
    for face in 0..part.faces().len() as u32 {
        let corners = part.corners(face).map(|p| part.lattice().metres(p));
        let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
        let from = part.lattice().metres(part.plane(face).anchor);
        let z =
            part.plane(face).at_offset((middle[0] - from[0]) * 1e6, (middle[1] - from[1]) * 1e6);
        let there = locator.elevation(middle).unwrap();
        assert!((z - there).abs() < 1e-4, "{z} {there}");
    }
}

#[test]
fn a_boundary_beyond_the_survey_invents_no_ground() {
    let mut terrain = ground();
    terrain.boundary = Some(square([5.0, 15.0], [-5.0, 5.0]));
    let built = cut(&terrain);
    assert!((plan_area_m2(&built.surface) - 25.0).abs() < 1e-4);
    assert_eq!(built.report.beyond_survey, [at(5.0, -5.0), at(15.0, -5.0), at(15.0, 5.0)]);
    assert!(built.report.outside.contains(&at(0.0, 10.0)));
    assert!(!built.report.outside.contains(&at(10.0, 0.0)));
    terrain.boundary = Some(square([-5.0, 15.0], [-5.0, 15.0]));
    let (all, whole) = (cut(&terrain), build(&ground()).unwrap());
    assert_eq!(all.surface.vertices(), whole.surface.vertices());
    assert_eq!(all.report.beyond_survey.len(), 4);
}

#[test]
fn voids_that_share_an_edge_or_overlap_cut_what_any_of_them_covers() {
    let mut terrain = ground();
    terrain.voids = vec![
        square([2.0, 4.0], [2.0, 4.0]),
        square([4.0, 6.0], [2.0, 4.0]),
        square([5.0, 7.0], [3.0, 5.0]),
    ];
    let built = cut(&terrain);
    assert!((plan_area_m2(&built.surface) - (100.0 - 11.0)).abs() < 1e-4);
}

#[test]
fn breaklines_inside_a_boundary_stay_and_give_the_height_where_they_cross_it() {
    let mut terrain = ground();
    terrain.points.truncate(4);
    terrain.breaklines = vec![line(&[(1.0, 5.0, 2.0), (9.0, 5.0, 4.0)])];
    terrain.boundary = Some(square([0.0, 5.0], [0.0, 10.0]));
    let surface = cut(&terrain).surface;
    let vertex = surface.vertices().iter().position(|&p| p == at(5.0, 5.0)).unwrap();
    assert!((surface.heights()[vertex] - 3.0).abs() < 1e-12);
    let length: i32 = fixed_edges(&surface).iter().map(|[a, b]| b.x - a.x).sum();
    assert_eq!(length, 4_000_000);
}

#[test]
fn outlines_that_meet_themselves_or_enclose_nothing_are_refused() {
    let refused = |boundary: &[(f64, f64)]| {
        let terrain = Terrain { boundary: Some(ring(boundary)), ..ground() };
        build(&terrain).unwrap_err()
    };
    let bow = [(1.0, 1.0), (9.0, 9.0), (9.0, 1.0), (1.0, 9.0)];
    assert!(matches!(refused(&bow), BuildError::MeetsItself { outline: Outline::Boundary, .. }));
    let touching = [(1.0, 1.0), (9.0, 1.0), (9.0, 9.0), (5.0, 1.0), (1.0, 9.0)];
    assert!(matches!(refused(&touching), BuildError::MeetsItself { .. }));
    let spike = [(1.0, 1.0), (9.0, 1.0), (9.0, 5.0), (9.0, 1.0), (5.0, 9.0)];
    assert!(matches!(refused(&spike), BuildError::MeetsItself { .. }));
    let flat = [(1.0, 1.0), (9.0, 1.0), (1.0, 1.0)];
    assert_eq!(refused(&flat), BuildError::Flat { outline: Outline::Boundary });
    let far = [(20.0, 1.0), (29.0, 1.0), (21.0, 5.0)];
    assert_eq!(refused(&far), BuildError::NothingLeft);
}

#[test]
fn a_void_outside_the_ground_is_refused_with_its_place() {
    let mut terrain = ground();
    terrain.voids = vec![square([2.0, 3.0], [2.0, 3.0]), square([12.0, 13.0], [2.0, 3.0])];
    let refused = BuildError::VoidOutside { void: 1, at: at(12.0, 2.0) };
    assert_eq!(build(&terrain), Err(refused));
    terrain.voids = vec![square([6.0, 7.0], [2.0, 3.0])];
    terrain.boundary = Some(square([1.0, 5.0], [1.0, 9.0]));
    assert!(matches!(build(&terrain), Err(BuildError::VoidOutside { void: 0, .. })));
}
