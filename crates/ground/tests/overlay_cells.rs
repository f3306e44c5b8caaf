//! Cells of two surfaces, visited one by one: all of them, and those that composing has changed.

mod shared;

use std::collections::BTreeMap;

use ground::Surface;
use ground::overlay::{
    Cell, Domain, Keep, Rooted, compose, visit_cells, visit_changed_cells, volumes,
};
use shared::{Random, grid, rough, through};

/// Area in square metres and change in cubic metres of a cell, by the shoelace rule over its edges.
fn measured(cell: &Cell<'_>, step_m: f64) -> [f64; 2] {
    let origin = cell.edges[0][0];
    let mut sums = [0.0; 2];
    for [p, q] in cell.edges {
        let twice = (p.x - origin.x) * (q.y - origin.y) - (p.y - origin.y) * (q.x - origin.x);
        let area = 0.5 * twice * step_m * step_m;
        sums[0] += area;
        sums[1] += area * (origin.rise_m + p.rise_m + q.rise_m) / 3.0;
    }
    sums
}

/// The cells by their pair of faces: area, change, and the greatest change at a corner.
fn cells(
    from: &Surface,
    to: &Surface,
    visit: impl Fn(&Surface, &Surface, &mut dyn FnMut(&Cell<'_>)),
) -> BTreeMap<[u32; 2], [f64; 3]> {
    let mut found = BTreeMap::new();
    visit(from, to, &mut |cell| {
        let [area, change] = measured(cell, from.lattice().step_m());
        let most = cell.edges.iter().map(|edge| edge[0].rise_m.abs()).fold(0.0, f64::max);
        let twice = found.insert([cell.from_face, cell.to_face], [area, change, most]);
        assert_eq!(twice, None, "a pair of faces has one cell");
    });
    found
}

/// Checks what both visits promise, and answers how many cells each has seen.
fn prove(from: &Surface, to: &Surface) -> [usize; 2] {
    let all = cells(from, to, |from, to, visit| visit_cells(from, to, visit));
    let changed = cells(from, to, |from, to, visit| visit_changed_cells(from, to, visit));
    for (pair, cell) in &changed {
        assert_eq!(all.get(pair), Some(cell), "a changed cell is one of all cells");
    }
    for (pair, [_, _, most_m]) in &all {
        let is_left_out = !changed.contains_key(pair);
        assert!(!is_left_out || *most_m == 0.0, "{pair:?} changes by {most_m} m and is left out");
    }
    let between = volumes(from, to);
    let total =
        |k: usize, of: &BTreeMap<[u32; 2], [f64; 3]>| of.values().map(|c| c[k]).sum::<f64>();
    let whole = between.cut_m3 + between.fill_m3;
    let area_m2 = total(0, &all);
    assert!((area_m2 - between.common_area_m2).abs() <= 1e-9 * area_m2, "{area_m2} {between:?}");
    for of in [&all, &changed] {
        let change_m3 = total(1, of);
        assert!((change_m3 - between.change_m3).abs() <= 1e-9 * (1.0 + whole), "{change_m3}");
    }
    [all.len(), changed.len()]
}

#[test]
fn changed_cells_hold_the_whole_change() {
    for seed in 0..200 {
        let mut random = Random::new(7000 + seed);
        let ground = rough(&mut random, 20 + seed as usize, 20.0, 1.0);
        let side = 2.0 + 8.0 * random.unit();
        let corner = [20.0 * random.unit() - 2.0, 20.0 * random.unit() - 2.0];
        let points: Vec<[f64; 3]> = (0..12)
            .map(|_| {
                let [x, y] = [side * random.unit(), side * random.unit()];
                [corner[0] + x, corner[1] + y, 1.2 * random.unit()]
            })
            .collect();
        let patch = through(&points);
        for keep in [Keep::Highest, Keep::Lowest] {
            let after = compose(&ground, &patch, keep, Domain::Ground, Rooted::Anywhere).surface;
            prove(&ground, &after);
            // Two surfaces that no composing joins are changed all over.
            prove(&after, &patch);
        }
    }
}

/// A garden of 10,000 cells and a mound of two metres: only what lies around it is visited.
#[test]
fn far_ground_is_not_visited() {
    let ground = grid([0.0, 0.0], 70, |x, y| 0.01 * (x * y).rem_euclid(7.0));
    let mound =
        through(&[[30.2, 30.1, 0.0], [32.3, 30.4, 0.0], [31.1, 32.2, 0.0], [31.2, 31.0, 2.0]]);
    let after = compose(&ground, &mound, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface;
    let [n_all, n_changed] = prove(&ground, &after);
    assert!(n_all > 9000 && n_changed < 200, "{n_changed} of {n_all} cells");
}
