use ground::query::{Locator, plan_area_m2};
use ground::{LatticePoint, Surface};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use site::Frame;
use units::LengthUnit;

use super::{Tin, TinError};
use crate::content::{Line, LineKind, LinePlace};

pub(crate) fn frame(origin_m: [f64; 2]) -> Frame {
    Frame {
        unit: LengthUnit::Metre,
        step_um: 1,
        origin_m,
        horizontal_datum: String::new(),
        vertical_datum: String::new(),
    }
}

/// A surface's triangles, whatever their numbering: corners as places and heights, sorted.
pub(crate) fn triangles(surface: &Surface) -> Vec<[(LatticePoint, u64); 3]> {
    let mut all: Vec<_> = (0..surface.faces().len() as u32)
        .map(|f| {
            let (p, z) = (surface.corners(f), surface.corner_heights(f));
            let mut corners = [0, 1, 2].map(|k| (p[k], z[k].to_bits()));
            let first = (0..3).min_by_key(|&k| corners[k]).unwrap();
            corners.rotate_left(first);
            corners
        })
        .collect();
    all.sort_unstable();
    all
}

/// Two triangles of a square of ten metres.
fn square(origin_m: [f64; 2]) -> Tin {
    let [x, y] = origin_m;
    Tin {
        name: "S".into(),
        vertices_m: vec![
            [x, y, 1.0],
            [x + 10.0, y, 2.0],
            [x + 10.0, y + 10.0, 3.5],
            [x, y + 10.0, 1.25],
        ],
        faces: vec![[0, 1, 2], [0, 2, 3]],
        ..Tin::default()
    }
}

#[test]
fn faces_become_a_surface_as_they_stand_and_come_back() {
    let origin_m = [4_500_000.0, 5_400_000.0];
    let tin = square(origin_m);
    let frame = frame(origin_m);
    let (surface, made) = tin.surface(&frame).unwrap();
    assert_eq!(made, super::Made::default());
    assert_eq!(surface.faces().len(), 2);
    let back = Tin::of(&surface, &frame, "S");
    assert_eq!(back.vertices_m, tin.vertices_m);
    let (again, _) = back.surface(&frame).unwrap();
    assert_eq!(again, surface);
}

#[test]
fn clockwise_flat_repeated_and_unused_are_settled_and_counted() {
    let mut tin = square([0.0; 2]);
    tin.faces[1] = [0, 3, 2];
    tin.fixed = vec![0, 0b001];
    tin.vertices_m.push([50.0, 50.0, 0.0]);
    tin.vertices_m.push([5.0, 0.0, 0.0]);
    tin.faces.push([0, 1, 2]);
    tin.faces.push([0, 1, 5]);
    let (surface, made) = tin.surface(&frame([0.0; 2])).unwrap();
    assert_eq!((made.n_turned, made.n_repeated, made.n_flat, made.n_unused), (1, 1, 1, 2));
    assert_eq!(plan_area_m2(&surface), 100.0);
    assert_eq!(made.doubts("S").len(), 3);
}

#[test]
fn corners_above_one_another_make_a_step() {
    let wall = Tin {
        name: "W".into(),
        vertices_m: vec![
            [0.0, 0.0, 1.0],
            [5.0, 0.0, 1.0],
            [5.0, 5.0, 1.0],
            [5.0, 0.0, 3.0],
            [9.0, 2.0, 3.0],
            [5.0, 5.0, 3.0],
        ],
        faces: vec![[0, 1, 2], [3, 4, 5]],
        ..Tin::default()
    };
    let (surface, _) = wall.surface(&frame([0.0; 2])).unwrap();
    assert_eq!((surface.vertices().len(), surface.heights().len()), (4, 6));
    assert!(surface.faces()[0].neighbours.contains(&1));
    let back = Tin::of(&surface, &frame([0.0; 2]), "W");
    assert!(back.has_steps());
    assert_eq!(triangles(&back.surface(&frame([0.0; 2])).unwrap().0), triangles(&surface));
}

#[test]
fn faces_that_overlap_are_built_anew_from_their_edges() {
    let mut tin = square([0.0; 2]);
    // Crosses the diagonal, and leaves out a third of the square.
    tin.faces = vec![[0, 1, 2], [1, 2, 3]];
    let (surface, made) = tin.surface(&frame([0.0; 2])).unwrap();
    assert!(made.is_rebuilt);
    assert_eq!(plan_area_m2(&surface), 75.0);
    surface.check().unwrap();
    // A vertex on another face's edge.
    let mut tin = square([0.0; 2]);
    tin.vertices_m.push([5.0, 5.0, 2.25]);
    tin.faces = vec![[0, 1, 2], [0, 4, 3], [4, 2, 3]];
    let (surface, made) = tin.surface(&frame([0.0; 2])).unwrap();
    assert!(made.is_rebuilt);
    assert_eq!((surface.faces().len(), plan_area_m2(&surface)), (4, 100.0));
}

#[test]
fn without_faces_points_lines_and_outlines_are_triangulated() {
    let ring = |kind, places: &[[f64; 2]]| {
        let places = places.iter().chain(&places[..1]).map(|at| LinePlace::flat(*at)).collect();
        Line { name: String::new(), kind, places }
    };
    let crest = [[2.0, 8.0, 9.0], [8.0, 8.0, 9.0]].map(LinePlace::solid).to_vec();
    let tin = Tin {
        faces: Vec::new(),
        lines: vec![
            Line { name: "CREST".into(), kind: LineKind::Breakline, places: crest },
            ring(LineKind::Boundary, &[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]),
            ring(LineKind::Void, &[[4.0, 2.0], [6.0, 2.0], [6.0, 4.0], [4.0, 4.0]]),
        ],
        ..square([0.0; 2])
    };
    let (surface, _) = tin.surface(&frame([0.0; 2])).unwrap();
    assert!((plan_area_m2(&surface) - 96.0).abs() < 1e-9);
    let locator = Locator::new(&surface);
    assert_eq!(locator.elevation([5.0, 8.0]), Some(9.0));
    assert_eq!(locator.elevation([5.0, 3.0]), None);
}

#[test]
fn what_names_nothing_is_refused_with_its_place() {
    let mut tin = square([0.0; 2]);
    tin.faces[1][1] = 7;
    let error = tin.surface(&frame([0.0; 2])).unwrap_err();
    assert_eq!(error.to_string(), "face 2 of the surface S: read the vertex 8, expected one of 4");
    tin.faces = vec![[0, 0, 1]];
    assert!(matches!(tin.surface(&frame([0.0; 2])), Err(TinError::NoFaces { .. })));
    let far = square([0.0; 2]).surface(&frame([1e6, 0.0])).unwrap_err();
    assert!(far.to_string().starts_with("vertex 1 of the surface S"), "{far}");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(2),
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_faces_make_a_valid_surface_or_are_refused(
        vertices in proptest::collection::vec([0..6_i32, 0..6_i32, 0..4_i32], 3..14),
        faces in proptest::collection::vec([0..14_u32, 0..14_u32, 0..14_u32], 1..16),
    ) {
        let n = vertices.len() as u32;
        let tin = Tin {
            vertices_m: vertices.iter().map(|v| v.map(f64::from)).collect(),
            faces: faces.iter().map(|f| f.map(|v| v % n)).collect(),
            ..Tin::default()
        };
        match tin.surface(&frame([0.0; 2])) {
            Ok((surface, _)) => {
                surface.check().unwrap();
                let back = Tin::of(&surface, &frame([0.0; 2]), "");
                let (again, made) = back.surface(&frame([0.0; 2])).unwrap();
                prop_assert!(!made.is_rebuilt);
                prop_assert_eq!(triangles(&again), triangles(&surface));
            }
            Err(error) => prop_assert!(matches!(error, TinError::NoFaces { .. }), "{error}"),
        }
    }
}
