use crate::*;

fn mm(x: f64, y: f64) -> LatticePoint {
    Lattice::default().snap([x, y]).unwrap()
}

fn points(n: u32, side: u32, seed: u64) -> Vec<(LatticePoint, f64)> {
    let mut s = seed;
    let mut next = move || {
        s = s.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (s >> 33) as u32
    };
    (0..n)
        .map(|_| {
            let p = LatticePoint { x: (next() % side) as i32, y: (next() % side) as i32 };
            (p, f64::from(next() % 1000) / 100.0)
        })
        .collect()
}

#[test]
fn random_points_and_lines_make_a_valid_surface() {
    for (n, side) in [(100, 10), (100, 1000), (3000, 40), (3000, 1 << 29), (1000, 1 << 20)] {
        for seed in 0..10 {
            let points = points(n, side, seed);
            let lines = points[..20.min(points.len())]
                .chunks(3)
                .map(|c| Breakline { vertices: c.to_vec() })
                .collect();
            let terrain =
                Terrain { points: points.clone(), breaklines: lines, ..Terrain::default() };
            let built = build(&terrain).unwrap();
            built.surface.check().unwrap();
            let mut turned = terrain.clone();
            turned.points.reverse();
            turned.breaklines.reverse();
            turned.breaklines.iter_mut().for_each(|l| l.vertices.reverse());
            assert_eq!(build(&turned).unwrap(), built);
        }
    }
}

#[test]
fn boundary_and_voids_cut() {
    let points = points(2000, 1_000_000, 5);
    let terrain = Terrain {
        points,
        boundary: Some(vec![mm(0.2, 0.2), mm(0.8, 0.1), mm(1.3, 0.7), mm(0.3, 0.9)]),
        voids: vec![vec![mm(0.4, 0.4), mm(0.6, 0.4), mm(0.6, 0.6), mm(0.4, 0.6)]],
        ..Terrain::default()
    };
    let built = build(&terrain).unwrap();
    built.surface.check().unwrap();
    let twice: i64 = (0..built.surface.faces().len() as u32)
        .map(|f| {
            let [a, b, c] = built.surface.corners(f);
            predicates::orient(a, b, c)
        })
        .sum();
    println!("{} faces, area {}", built.surface.faces().len(), twice as f64 / 2e12);
}
