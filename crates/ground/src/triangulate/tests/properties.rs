//! What holds for every survey.

use super::*;
use crate::{Mesh2, constrained};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

/// Places of one kind: scattered, on a grid, on a few lines, on circles, in clusters.
fn places(kind: u32, n: usize, seed: u64) -> Vec<LatticePoint> {
    let mut draw = Draw(seed);
    (0..n)
        .map(|_| match kind {
            0 => lattice_point(draw.below(1 << 30) - (1 << 29), draw.below(1 << 30) - (1 << 29)),
            1 => lattice_point(draw.below(70) * 1000, draw.below(70) * 1000),
            2 => lattice_point(draw.below(1_000_000), draw.below(5) * 200_000),
            3 => on_circle(&mut draw),
            4 => {
                let (x, y) = (draw.below(4) * 100_000_000, draw.below(3) * 100_000_000);
                lattice_point(x + draw.below(90), y + draw.below(90))
            }
            _ => lattice_point(draw.below(40), draw.below(40)),
        })
        .collect()
}

/// One of the 36 places whose squares sum up to 5^2 13^2 17^2, made larger: on one circle exactly.
fn on_circle(draw: &mut Draw) -> LatticePoint {
    const QUARTER: [(i32, i32); 9] = [
        (1105, 0),
        (1104, 47),
        (1100, 105),
        (1092, 169),
        (1073, 264),
        (1071, 272),
        (1020, 425),
        (884, 663),
        (855, 700),
    ];
    let (x, y) = QUARTER[draw.below(9) as usize];
    let scale = 100 * (1 + draw.below(3));
    let (x, y) = if draw.below(2) == 0 { (x, y) } else { (y, x) };
    let sign = |draw: &mut Draw| 2 * draw.below(2) - 1;
    lattice_point(x * scale * sign(draw), y * scale * sign(draw))
}

fn survey(kind: u32, n: usize, n_lines: usize, seed: u64) -> Terrain {
    let places = places(kind, n, seed);
    let mut draw = Draw(seed ^ 0x5eed);
    let points: Vec<(LatticePoint, f64)> =
        places.iter().map(|&p| (p, f64::from(draw.below(1000)) * 0.01)).collect();
    let breaklines = (0..n_lines)
        .map(|_| {
            let n_vertices = 2 + draw.below(4);
            let vertex = |_| points[draw.below(n as u32) as usize];
            Breakline { vertices: (0..n_vertices).map(vertex).collect() }
        })
        .collect();
    Terrain { points, breaklines, ..Terrain::default() }
}

fn shuffled(terrain: &Terrain, seed: u64) -> Terrain {
    let mut draw = Draw(seed);
    let mut other = terrain.clone();
    for k in (1..other.points.len()).rev() {
        other.points.swap(k, draw.below(k as u32 + 1) as usize);
    }
    other.breaklines.reverse();
    other.breaklines.iter_mut().step_by(2).for_each(|line| line.vertices.reverse());
    other
}

fn for_each_survey(cases: u32, check: impl Fn(Terrain, u64) -> Result<(), TestCaseError>) {
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    let rng = proptest::test_runner::TestRng::deterministic_rng(config.rng_algorithm);
    let strategy = (0..6_u32, 100..5000_usize, 0..12_usize, any::<u64>());
    TestRunner::new_with_rng(config, rng)
        .run(&strategy, |(kind, n, n_lines, seed)| check(survey(kind, n, n_lines, seed), seed))
        .unwrap();
}

#[test]
fn surfaces_are_valid_and_legal() {
    for_each_survey(60, |terrain, _| {
        let built = built(&terrain);
        let places: Vec<LatticePoint> = terrain.points.iter().map(|p| p.0).collect();
        prop_assert_eq!(twice_area(&built.surface), twice_ring_area(&hull(&places)));
        prop_assert!(built.report.outside.is_empty());
        let on_surface = |p: &LatticePoint| built.surface.vertices().contains(p);
        prop_assert!(places.iter().step_by(97).all(on_surface));
        Ok(())
    });
}

#[test]
fn the_order_of_the_input_changes_no_byte() {
    for_each_survey(40, |terrain, seed| {
        prop_assert_eq!(build(&terrain), build(&shuffled(&terrain, seed)));
        Ok(())
    });
}

#[test]
fn a_move_by_whole_steps_changes_no_byte() {
    for_each_survey(40, |mut terrain, seed| {
        let mut draw = Draw(seed);
        let small = |p: &mut (LatticePoint, f64)| p.0 = lattice_point(p.0.x / 2, p.0.y / 2);
        let (dx, dy) = (draw.below(1 << 28) - (1 << 27), draw.below(1 << 28) - (1 << 27));
        let moved = |p: LatticePoint| lattice_point(p.x + dx, p.y + dy);
        terrain.points.iter_mut().for_each(small);
        terrain.breaklines.iter_mut().flat_map(|l| &mut l.vertices).for_each(small);
        let before = build(&terrain);
        terrain.points.iter_mut().for_each(|p| p.0 = moved(p.0));
        terrain.breaklines.iter_mut().flat_map(|l| &mut l.vertices).for_each(|p| p.0 = moved(p.0));
        let (Ok(before), Ok(after)) = (before, build(&terrain)) else {
            return Err(TestCaseError::reject("halved to one line"));
        };
        prop_assert_eq!(before.surface.faces(), after.surface.faces());
        prop_assert_eq!(before.surface.heights(), after.surface.heights());
        let places: Vec<_> = before.surface.vertices().iter().map(|&p| moved(p)).collect();
        prop_assert_eq!(&places[..], after.surface.vertices());
        Ok(())
    });
}

/// Ground within an outline whose sides lean by a few steps, and lines whose ends lie on a side or
/// within a step or two of it, most of them almost along it.
fn lines_beside_an_outline(seed: u64) -> Terrain {
    let mut draw = Draw(seed);
    let size = [1_000, 1_000_000, 400_000_000][draw.below(3) as usize];
    let mut near = |c: i32, by: u32| c + draw.below(2 * by + 1) - by as i32;
    let corners = [(0, 0), (size, 0), (size, size), (0, size)]
        .map(|(x, y)| lattice_point(near(x, 12), near(y, 12)));
    let mut draw = Draw(seed ^ 0xed6e);
    let beside = |draw: &mut Draw, side: usize| {
        let [a, b] = [corners[side], corners[(side + 1) % 4]];
        let share = f64::from(draw.below(1001)) * 0.001;
        let between = |a: i32, b: i32| (f64::from(a) + f64::from(b - a) * share).round() as i32;
        let by = [1, 3, 5][draw.below(3) as usize];
        let mut off = || draw.below(by) - by as i32 / 2;
        lattice_point(between(a.x, b.x) + off(), between(a.y, b.y) + off())
    };
    // Lines a step apart at heights of their own would be walls, which no rounded cut can keep flat.
    let on_slope = |p: LatticePoint| (p, f64::from(p.x) * 1e-7 - f64::from(p.y) * 2e-7);
    let mut breaklines = Vec::new();
    for _ in 0..4 + draw.below(12) {
        let side = draw.below(4) as usize;
        let n_along = 2 + draw.below(3);
        let mut vertices: Vec<_> =
            (0..n_along).map(|_| on_slope(beside(&mut draw, side))).collect();
        if draw.below(2) == 0 {
            let other = draw.below(4) as usize;
            vertices.push(on_slope(beside(&mut draw, other)));
        }
        breaklines.push(Breakline { vertices });
    }
    let middle = on_slope(lattice_point(size / 2, size / 2));
    Terrain {
        points: vec![middle],
        breaklines,
        boundary: Some(corners.to_vec()),
        ..Terrain::default()
    }
}

/// Lines that end on or beside the boundary meet it and each other in few places, in any order.
#[test]
fn lines_that_end_beside_the_boundary_are_built_soon_and_in_any_order() {
    let config = Config { cases: 400, failure_persistence: None, ..Config::default() };
    let rng = proptest::test_runner::TestRng::deterministic_rng(config.rng_algorithm);
    TestRunner::new_with_rng(config, rng)
        .run(&any::<u64>(), |seed| {
            let terrain = lines_beside_an_outline(seed);
            let built = match build(&terrain) {
                Ok(built) => built,
                // Few lines on one side and the middle may leave nothing within an outline.
                Err(error) => return Err(TestCaseError::reject(error.to_string())),
            };
            prop_assert_eq!(built.surface.check(), Ok(()));
            prop_assert!(built.surface.heights().iter().all(|z| z.is_finite()));
            let n_named: usize = terrain.breaklines.iter().map(|line| line.vertices.len()).sum();
            // Every two pieces may cross once, ground and outlines included.
            let n = built.surface.vertices().len();
            prop_assert!(n < n_named * n_named + 100, "{} vertices of {}", n, n_named);
            prop_assert_eq!(build(&shuffled(&terrain, seed)), Ok(built));
            Ok(())
        })
        .unwrap();
}

/// Every edge asked for is a chain of fixed edges, each end at its vertex.
#[test]
fn planar_meshes_hold_their_edges_and_name_where_vertices_went() {
    for_each_survey(40, |terrain, seed| {
        let places: Vec<LatticePoint> = terrain.points.iter().map(|p| p.0).collect();
        let mut draw = Draw(seed);
        let n = places.len() as u32;
        let edges: Vec<[u32; 2]> =
            (0..20).map(|_| [draw.below(n) as u32, draw.below(n) as u32]).collect();
        let mesh = constrained(terrain.lattice, &places, &edges).unwrap();
        prop_assert!(
            places.iter().zip(&mesh.merged).all(|(&p, &v)| mesh.vertices[v as usize] == p)
        );
        let fixed = fixed_directed(&mesh);
        for [a, b] in edges.iter().map(|ends| ends.map(|v| mesh.merged[v as usize])) {
            prop_assert!(a == b || has_chain(&mesh, &fixed, a, b), "{} {}", a, b);
        }
        let n_all = mesh.triangles.len();
        let kept = mesh.clone().retain(|t| t % 3 != 0);
        prop_assert_eq!(kept.triangles.len(), n_all - n_all.div_ceil(3));
        for (t, neighbours) in (0_u32..).zip(&kept.neighbours) {
            let mutual = |&n: &u32| n == NONE || kept.neighbours[n as usize].contains(&t);
            prop_assert!(neighbours.iter().all(mutual));
        }
        prop_assert_eq!(&mesh.clone().retain(|_| true), &mesh);
        Ok(())
    });
}

fn fixed_directed(mesh: &Mesh2) -> Vec<[u32; 2]> {
    let mut fixed = Vec::new();
    for (corners, bits) in mesh.triangles.iter().zip(&mesh.fixed) {
        for k in (0..3).filter(|k| bits >> k & 1 == 1) {
            let [u, v] = [corners[k], corners[(k + 1) % 3]];
            fixed.extend([[u, v], [v, u]]);
        }
    }
    fixed.sort_unstable();
    fixed
}

/// Whether fixed edges lead from `a` to `b` within the box of both: crossings on the way were
/// rounded, so that the chain is not quite straight.
fn has_chain(mesh: &Mesh2, fixed: &[[u32; 2]], a: u32, b: u32) -> bool {
    let place = |v: u32| mesh.vertices[v as usize];
    let (pa, pb) = (place(a), place(b));
    let between = |c: i32, a: i32, b: i32| (a.min(b)..=a.max(b)).contains(&c);
    let mut open = vec![a];
    let mut seen = std::collections::BTreeSet::from([a]);
    while let Some(u) = open.pop() {
        let start = fixed.partition_point(|edge| edge[0] < u);
        for &[_, v] in fixed[start..].iter().take_while(|edge| edge[0] == u) {
            let p = place(v);
            let in_box = between(p.x, pa.x, pb.x) && between(p.y, pa.y, pb.y);
            // Farther than a few steps from the straight line is another line's edge.
            let length =
                libm::hypot(f64::from(pb.x) - f64::from(pa.x), f64::from(pb.y) - f64::from(pa.y));
            let near = (orient(pa, pb, p) as f64 / length).abs() < 4.0;
            if in_box && near && seen.insert(v) {
                open.push(v);
            }
        }
    }
    seen.contains(&b)
}
