//! Breaklines that cross, overlap, touch and repeat themselves.

use super::*;

fn ring_length_m(edges: &[[LatticePoint; 2]]) -> f64 {
    let metres = |p| Lattice::default().metres(p);
    edges
        .iter()
        .map(|&[a, b]| (metres(a), metres(b)))
        .map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]))
        .sum()
}

#[test]
fn lines_that_nearly_overlap_are_split_where_they_meet() {
    let breaklines = vec![
        line(&[(17.064112, -17.96008, 0.0), (16.249594, -17.145563, 0.0)]),
        line(&[(-25.290726, -24.435482, 0.0), (-5.6608872, -24.435482, 0.0)]),
        line(&[(17.878626, -18.774595, 0.0), (15.435078, -16.331045, 0.0)]),
        line(&[(16.331045, -21.951208, 0.0), (-3.29879, -24.435482, 0.0)]),
    ];
    let ends: Vec<[LatticePoint; 2]> =
        breaklines.iter().map(|l| [l.vertices[0].0, l.vertices[1].0]).collect();
    let built = built(&Terrain { breaklines, ..Terrain::default() });
    // The first line runs within a few micrometres of the third: whatever they share is marked.
    let edges = fixed_edges(&built.surface);
    for end in ends.iter().flatten() {
        let is_outer = hull(built.surface.vertices()).contains(end);
        assert!(is_outer || edges.iter().flatten().any(|p| p == end));
    }
}

#[test]
fn a_repeated_edge_counts_once() {
    let v = [
        (6.899643741648033, 10.556739733611963),
        (6.874389308654672, 10.577559204153792),
        (6.8990280198173055, 10.557055643048765),
        (6.899469452574077, 10.556817827203695),
        (6.899625247838931, 10.556759464230709),
        (6.899537086138448, 10.5566972172105),
    ]
    .map(|(x, y)| (at(x, y), 0.0));
    let edge = |i: usize, j: usize| Breakline { vertices: vec![v[i], v[j]] };
    let terrain = Terrain {
        points: v.to_vec(),
        breaklines: vec![edge(1, 2), edge(3, 4), edge(4, 5), edge(5, 4)],
        ..Terrain::default()
    };
    let built = built(&terrain);
    assert_eq!(built.report.overlaps, [[v[5].0, v[4].0]]);
    let merged = built.report.merged;
    assert!(merged.iter().all(|m| m.heights == [0.0, 0.0]));
}

#[test]
fn a_ring_that_repeats_a_vertex_reports_it() {
    let ring = line(&[
        (5.0, -5.0, 1.0),
        (5.0, 0.0, 1.0),
        (0.0, 0.0, 1.0),
        (0.0, -2.0, 1.0),
        (0.0, -2.0, 1.0),
        (5.0, -5.0, 1.0),
    ]);
    let built = built(&Terrain { breaklines: vec![ring], ..Terrain::default() });
    assert_eq!(built.surface.vertices().len(), 4);
    assert_eq!(built.report.zero_length, [at(0.0, -2.0)]);
}

#[test]
fn both_halves_of_a_line_split_by_a_vertex_stay_fixed() {
    let mut points = field([-1.0, 11.0], [-2.5, 2.5]);
    points.push((at(4.0, 0.0), 0.3));
    let breaklines = vec![line(&[(0.0, 0.0, 0.0), (10.0, 0.0, 0.0)])];
    let built = built(&Terrain { points, breaklines, ..Terrain::default() });
    let [a, b, c] = [0.0, 4.0, 10.0].map(|x| at(x, 0.0));
    assert_eq!(fixed_edges(&built.surface), [[a, b], [b, c]]);
    assert_eq!(built.report.bends.len(), 1);
    assert_eq!(built.report.bends[0].heights, [0.0, 0.3]);
    assert_eq!(built.report.bends[0].height, 0.3);
    assert!(built.report.crossings.is_empty());
}

#[test]
fn lines_that_cross_share_a_vertex_half_way_between_their_heights() {
    for (z, height) in [(0.0, 0.0), (2.0, 1.0)] {
        let breaklines = vec![
            line(&[(0.0, 0.0, 0.0), (10.0, 10.0, 0.0)]),
            line(&[(10.0, 0.0, z), (0.0, 10.0, z)]),
        ];
        let built = built(&Terrain { breaklines, ..Terrain::default() });
        let crossings = &built.report.crossings;
        assert_eq!(crossings.len(), 1);
        assert_eq!(crossings[0].at, at(5.0, 5.0));
        assert_eq!(crossings[0].heights, [0.0, z]);
        assert_eq!((crossings[0].height, crossings[0].differs()), (height, z > 0.0));
        assert_eq!(fixed_edges(&built.surface).len(), 4);
        let vertex = built.surface.vertices().iter().position(|&p| p == at(5.0, 5.0)).unwrap();
        assert_eq!(built.surface.heights()[vertex], height);
    }
}

#[test]
fn pieces_that_overlap_count_once() {
    let terrain = Terrain {
        points: field([0.0, 10.0], [0.0, 10.0]),
        breaklines: vec![
            line(&[(2.0, 5.0, 0.0), (6.0, 5.0, 0.0)]),
            line(&[(4.0, 5.0, 0.0), (8.0, 5.0, 0.0)]),
        ],
        ..Terrain::default()
    };
    let built = built(&terrain);
    let edges = fixed_edges(&built.surface);
    assert_eq!(edges.len(), 3);
    assert_eq!(ring_length_m(&edges), 6.0);
    assert_eq!(built.report.overlaps, [[at(4.0, 5.0), at(6.0, 5.0)]]);
}

#[test]
fn a_vertex_named_at_two_heights_becomes_the_mean_and_both_are_named() {
    let mut points = field([0.0, 10.0], [0.0, 10.0]);
    points.push((at(5.0, 5.0), 1.0));
    let breaklines = vec![line(&[(5.0, 5.0, 2.0), (8.0, 5.0, 2.0)])];
    let built = built(&Terrain { points, breaklines, ..Terrain::default() });
    let merged = built.report.merged;
    assert_eq!(merged.len(), 1);
    assert_eq!((merged[0].at, merged[0].count), (at(5.0, 5.0), 2));
    assert_eq!((merged[0].heights, merged[0].height), ([1.0, 2.0], 1.5));
}

#[test]
fn a_long_line_across_a_fine_mesh_and_through_its_vertices() {
    let places: Vec<LatticePoint> =
        (0..40_000).map(|k| lattice_point(k % 200 * 1000, k / 200 * 1000)).collect();
    let corner = |x, y| (lattice_point(x, y), 0.0);
    let breaklines = vec![
        Breakline { vertices: vec![corner(0, 0), corner(199_000, 199_000)] },
        Breakline { vertices: vec![corner(0, 500), corner(199_000, 180_701)] },
    ];
    let built = built(&Terrain { breaklines, ..flat(&places) });
    assert!(fixed_edges(&built.surface).len() > 199);
}

#[test]
fn a_fan_of_lines_that_cross_in_a_cluster_of_rounded_places_ends() {
    // Seventy lines over a square of 60 steps: most crossings round to places that other lines
    // then run into.
    let mut draw = Draw(11);
    let breaklines: Vec<Breakline> = (0..70)
        .map(|_| {
            let end = |draw: &mut Draw| (lattice_point(draw.below(60), draw.below(60)), 0.0);
            Breakline { vertices: vec![end(&mut draw), end(&mut draw)] }
        })
        .collect();
    let forward = built(&Terrain { breaklines: breaklines.clone(), ..Terrain::default() });
    let mut reversed = breaklines;
    reversed.reverse();
    reversed.iter_mut().for_each(|line| line.vertices.reverse());
    assert_eq!(forward, built(&Terrain { breaklines: reversed, ..Terrain::default() }));
}
