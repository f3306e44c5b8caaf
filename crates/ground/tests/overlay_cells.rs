//! Cells of two surfaces, visited one by one: all of them, and those that composing has changed.

mod shared;

use std::collections::BTreeMap;

use ground::Surface;
use ground::overlay::{
    Cell, CellVolumes, Domain, Keep, Pieces, Rooted, Volumes, compose, visit_cells,
    visit_changed_cells, volumes,
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

/// Surfaces that follow one another as a garden is edited, and pits that come and go in them.
#[test]
fn pieces_found_again_are_pieces_found_anew() {
    let mut n_kept = 0;
    for seed in 0..60 {
        let mut random = Random::new(9000 + seed);
        let existing = rough(&mut random, 120, 20.0, 1.0);
        let mut dug = |ground: &Surface| {
            let corner = [16.0 * random.unit(), 16.0 * random.unit()];
            let points: Vec<[f64; 3]> = (0..9)
                .map(|_| {
                    let [x, y] = [4.0 * random.unit(), 4.0 * random.unit()];
                    [corner[0] + x, corner[1] + y, 2.0 * random.unit() - 0.5]
                })
                .collect();
            let keep = if random.unit() < 0.5 { Keep::Lowest } else { Keep::Highest };
            compose(ground, &through(&points), keep, Domain::Ground, Rooted::Anywhere).surface
        };
        let befores = [dug(&existing), dug(&existing), existing.clone(), existing.clone()];
        let first = [&befores[0], &dug(&befores[0])].map(Surface::clone);
        let measure = |cell: &Cell<'_>| CellVolumes::of(cell);
        let mut known = (first.clone(), Pieces::of(&first[0], &first[1], measure));
        for before in &befores {
            // Once with a change of its own, once with another work after it.
            let after = dug(before);
            for after in [after.clone(), dug(&after)] {
                let mut n_measured = 0;
                let [from, to] = &known.0;
                let again = known.1.again([from, to], [before, &after], |cell| {
                    n_measured += 1;
                    measure(cell)
                });
                let anew = Pieces::of(before, &after, measure);
                assert_eq!(again, anew, "{seed}");
                n_kept += anew.iter().count() - n_measured;
                let unchanged = anew.twins().map(|(face, _)| CellVolumes::unchanged(&after, face));
                let changed = anew.iter().map(|(_, _, volumes)| *volumes);
                let sum = Volumes::sum(existing.lattice(), unchanged.chain(changed));
                assert_eq!(sum, volumes(before, &after), "{seed}");
                known = ([before.clone(), after], again);
            }
        }
    }
    assert!(n_kept > 1000, "{n_kept}");
}
