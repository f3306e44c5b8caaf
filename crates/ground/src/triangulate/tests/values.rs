//! Published and hand-checked values.

use super::*;

/// Slope of the plane z = 0.1 E + 0.2 N: 22.36 %, 12.604 degrees, whatever the triangles
/// (arithmetic: the square root of 0.05).
#[test]
fn every_face_of_a_plane_has_the_planes_slope() {
    let mut draw = Draw(9);
    let points = (0..300).map(|_| {
        let (e, n) = (f64::from(draw.below(1000)) * 0.1, f64::from(draw.below(1000)) * 0.1);
        (at(e, n), 0.1 * e + 0.2 * n)
    });
    let surface = built(&Terrain { points: points.collect(), ..Terrain::default() }).surface;
    for face in 0..surface.faces().len() as u32 {
        let grade = surface.plane(face).grade(surface.lattice());
        assert!((grade - 0.05_f64.sqrt()).abs() < 1e-9);
    }
}

/// The face (0,0,100) (10,0,101) (0,10,102): slope 22.36 %, plan 50, surface 51.235 (arithmetic:
/// 50 times the square root of 1.05).
#[test]
fn one_face_has_its_slope_and_areas() {
    let points = vec![(at(0.0, 0.0), 100.0), (at(10.0, 0.0), 101.0), (at(0.0, 10.0), 102.0)];
    let surface = built(&Terrain { points, ..Terrain::default() }).surface;
    let grade = surface.plane(0).grade(surface.lattice());
    assert!((grade - 0.22360679774997896).abs() < 1e-12);
    assert!((libm::atan(grade).to_degrees() - 12.604).abs() < 1e-3);
    assert_eq!(plan_area_m2(&surface), 50.0);
    assert!((plan_area_m2(&surface) * (1.0 + grade * grade).sqrt() - 51.235).abs() < 1e-3);
}

/// Four corners of a plane, north before east as LandXML lists them: 105 in the middle, 101 at
/// E 10 N 90. Source: an open-source test of the schema's point order.
#[test]
fn a_plane_is_recovered_from_its_corners() {
    let corners =
        [[0.0, 0.0, 100.0], [0.0, 100.0, 110.0], [100.0, 100.0, 110.0], [100.0, 0.0, 100.0]];
    let points = corners.map(|[n, e, z]| (at(e, n), z)).to_vec();
    let surface = built(&Terrain { points, ..Terrain::default() }).surface;
    assert_eq!(surface.faces().len(), 2);
    for face in 0..2 {
        let plane = surface.plane(face);
        assert!((plane.at(at(50.0, 50.0)) - 105.0).abs() < 1e-9);
        assert!((plane.at(at(10.0, 90.0)) - 101.0).abs() < 1e-9);
    }
}
