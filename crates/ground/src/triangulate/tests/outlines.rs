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

/// Two contours, the survey's hull and the boundary run almost side by side from places one step
/// apart. Their crossings once rounded to the next place on one column, over and over: a vertex for
/// each step of half a metre.
#[test]
fn lines_almost_along_the_boundary_do_not_creep_along_it() {
    let contour = |places: &[(i32, i32)], z: f64| Breakline {
        vertices: places.iter().map(|&(x, y)| (lattice_point(x, y), z)).collect(),
    };
    let low = [
        (-10_960_494, 11_270_552),
        (-10_959_884, 11_784_408),
        (-10_959_416, 10_400_000),
        (10_370_440, 14_574_956),
    ];
    let high = [
        (-10_959_424, 13_516_446),
        (-10_959_020, 13_856_703),
        (-10_958_711, 12_940_000),
        (10_312_353, 16_997_742),
    ];
    let boundary = [
        (-10_963_424, -15_000_000),
        (-10_695_200, -19_267_200),
        (-8_561_600, -19_267_200),
        (7_288_000, -19_267_200),
        (8_812_000, -19_267_200),
        (9_726_400, -18_962_400),
        (10_271_992, -15_000_000),
        (10_573_744, 6_095_208),
        (10_290_280, 17_918_400),
        (8_202_400, 19_183_320),
        (-8_561_600, 19_189_416),
        (-10_957_328, 17_918_400),
        (-10_969_520, -7_684_800),
    ];
    let terrain = Terrain {
        breaklines: vec![contour(&low, 32.0), contour(&high, 32.15)],
        boundary: Some(boundary.map(|(x, y)| lattice_point(x, y)).to_vec()),
        ..Terrain::default()
    };
    let surface = cut(&terrain).surface;
    assert!(surface.heights().iter().all(|z| (31.999..=32.151).contains(z)));
    assert!(surface.vertices().len() < 20, "{} vertices", surface.vertices().len());
    let mut turned = terrain.clone();
    turned.breaklines.reverse();
    turned.breaklines[0].vertices.reverse();
    assert_eq!(cut(&turned).surface, surface);
}
