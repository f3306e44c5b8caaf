//! Volumes and compositions beside a plain clip of triangle pairs.

use crate::measure::{Growth, Row, batched, interleaved};
use crate::pair_clip::{Triangle, cut_fill_area};
use ground::overlay::{Domain, Keep, Rooted, compose, volumes};
use ground::{LatticePoint, Surface, Terrain, build};

/// The bars of the design: two surfaces of a hundred thousand random points each.
pub(crate) fn bars() -> Vec<Row> {
    let (a, b) = (rough(100_000, 1), rough(100_000, 2));
    let (from, to) = (triangles(&a), triangles(&b));
    let clip = || cut_fill_area(&from, &to);
    let ours = volumes(&a, &b);
    let [cut, fill, _] = clip();
    assert!((ours.cut_m3 - cut).abs() < 1e-6 * cut && (ours.fill_m3 - fill).abs() < 1e-6 * fill);
    let (measured, floor) = interleaved(7, || volumes(&a, &b), clip);
    let highest = || compose(&a, &b, Keep::Highest, Domain::Ground, Rooted::Anywhere);
    let (composed, second_floor) = interleaved(5, highest, clip);
    vec![
        Row::ratio("volumes between two TINs of 1e5 points", measured, floor, 1.0),
        Row::ratio("overlay of the two into one surface", composed, second_floor, 2.5),
    ]
}

/// Volumes between two surfaces of a thousand to ten million points each.
pub(crate) fn growth() -> Growth {
    let medians = [1_000, 10_000, 100_000, 1_000_000, 10_000_000].map(|n| {
        let (a, b) = (rough(n, 1), rough(n, 2));
        (n, batched((1_000_000 / n).max(1), || volumes(&a, &b)))
    });
    Growth { work: "volumes between two TINs", medians: medians.to_vec() }
}

/// A surface through `n` random points on a square of 100 m, their heights within 1 m.
fn rough(n: usize, seed: u64) -> Surface {
    let mut state = seed;
    let mut draw = |end: u64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % end
    };
    let points = (0..n)
        .map(|_| {
            let at = LatticePoint { x: draw(100_000_000) as i32, y: draw(100_000_000) as i32 };
            (at, draw(1_000_000) as f64 * 1e-6)
        })
        .collect();
    build(&Terrain { points, ..Terrain::default() }).expect("a random survey is sound").surface
}

fn triangles(surface: &Surface) -> Vec<Triangle> {
    (0..surface.faces().len() as u32)
        .map(|f| {
            let (at, z) = (surface.corners(f), surface.corner_heights(f));
            [0, 1, 2].map(|i| {
                let [x, y] = surface.lattice().metres(at[i]);
                [x, y, z[i]]
            })
        })
        .collect()
}
