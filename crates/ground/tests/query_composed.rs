//! Queries on composed ground with exact steps, by closed form; and check values of queries.

mod shared;

use ground::Surface;
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::query::{
    Ahead, End, Locator, WayOut, contours, descend, plan_area_m2, pool, section, spill,
    surface_area_m2,
};
use shared::{grid, through};

/// A level slab of 4 by 4 m in the middle of a garden of 20 by 20 m, upright all round.
fn with_slab(ground: &Surface, z_m: f64, keep: Keep) -> Surface {
    let corners = [[8.0, 8.0], [12.0, 8.0], [12.0, 12.0], [8.0, 12.0]];
    let slab = through(&corners.map(|[x, y]| [x, y, z_m]));
    let surface = compose(ground, &slab, keep, Domain::Ground, Rooted::Anywhere).surface;
    surface.check().expect("a composed surface is valid");
    surface
}

/// Ground that rises by a tenth to the east, and a little to the north.
fn slope(north: f64) -> Surface {
    grid([0.0, 0.0], 20, |x, y| 0.1 * x + north * y)
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
}

fn length_m(points: &[[f64; 2]]) -> f64 {
    points.windows(2).map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])).sum()
}

#[test]
fn a_section_stands_upright_at_a_step() {
    let ground = with_slab(&slope(0.0), 3.0, Keep::Highest);
    let points = section(&ground, [0.0, 9.7], [20.0, 9.7]).expect("the line is on the lattice");
    let steps: Vec<[f64; 3]> = (points.windows(2))
        .filter(|pair| pair[0].ahead == Ahead::Step)
        .map(|pair| [pair[0].station_m, pair[0].z, pair[1].z])
        .collect();
    assert_eq!(steps.len(), 2, "{steps:?}");
    for (found, expected) in steps.iter().zip([[8.0, 0.8, 3.0], [12.0, 3.0, 1.2]]) {
        found.iter().zip(expected).for_each(|(a, b)| near(*a, b));
    }
    assert!(points.iter().all(|point| point.ahead != Ahead::Gap));
}

#[test]
fn a_contour_runs_along_the_foot_or_the_edge_of_a_step() {
    let ground = with_slab(&slope(0.0), 3.0, Keep::Highest);
    let around = contours(&ground, 2.5);
    assert_eq!((around.len(), around[0].closed), (1, true));
    let mut ring = around[0].points.clone();
    ring.push(ring[0]);
    near(length_m(&ring), 16.0);
    // Ground at or above 1 m: all east of x = 10, and the slab, which reaches 2 m farther west.
    let across = contours(&ground, 1.0);
    assert_eq!((across.len(), across[0].closed), (1, false));
    near(length_m(&across[0].points), 8.0 + 2.0 + 4.0 + 2.0 + 8.0);
}

#[test]
fn a_pit_with_upright_sides_holds_a_prism_and_spills_at_its_lowest_edge() {
    let ground = with_slab(&slope(0.0), 0.5, Keep::Lowest);
    let water = pool(&ground, [10.0, 10.0], 0.75).expect("its floor is wet");
    near(water.area_m2, 16.0);
    near(water.volume_m3, 16.0 * 0.25);
    near(water.deepest_m, 0.25);
    assert_eq!(water.open_at, None);
    let out = spill(&ground, [10.0, 10.0]).expect("it holds water");
    near(out.level_m, 0.8);
    near(out.at[0], 8.0);
    assert_eq!(out.to, WayOut::LowerGround);
}

#[test]
fn a_dam_with_upright_sides_holds_water_up_to_its_ends() {
    // The slab stands across the slope: above it, water rises until it runs round the slab's ends.
    let ground = with_slab(&slope(0.0), 3.0, Keep::Highest);
    let out = spill(&ground, [12.2, 10.0]);
    assert!(out.is_err(), "an open slope holds nothing behind a short dam: {out:?}");
    let valley = grid([0.0, 0.0], 20, |x, y| 0.3 * x + 0.5 * (y - 10.0).abs());
    let dammed = with_slab(&valley, 6.0, Keep::Highest);
    // At the dam's upper face the valley's floor is at 3.6 m, and 2 m to its sides at 4.6 m.
    let out = spill(&dammed, [12.2, 10.0]).expect("a valley holds water behind its dam");
    near(out.level_m, 4.6);
    near((out.at[1] - 10.0).abs(), 2.0);
}

#[test]
fn water_falls_into_a_pit_and_runs_along_the_foot_of_a_block() {
    let start = [19.0, 10.5];
    let pit = descend(&with_slab(&slope(0.02), -1.0, Keep::Lowest), start).expect("on the ground");
    assert_ne!(pit.end, End::Border);
    let last = pit.points[pit.points.len() - 1];
    near(last.z, -1.0);
    let block =
        descend(&with_slab(&slope(0.02), 3.0, Keep::Highest), start).expect("on the ground");
    assert_eq!(block.end, End::Border);
    let inside = |[x, y]: [f64; 2]| (8.001..11.999).contains(&x) && (8.001..11.999).contains(&y);
    assert!(block.points.iter().all(|point| !inside(point.at) && point.z < 3.0));
    let turns =
        |x: f64, y: f64| block.points.iter().any(|p| libm::hypot(p.at[0] - x, p.at[1] - y) < 1e-3);
    assert!(turns(12.0, 8.0), "it goes round the block's lower corner: {:?}", block.points);
}

#[test]
fn a_step_adds_nothing_to_areas_in_plan() {
    let ground = with_slab(&grid([0.0, 0.0], 20, |_, _| 0.0), 3.0, Keep::Highest);
    near(plan_area_m2(&ground), 400.0);
    // A step has no width: what stands upright is no ground.
    near(surface_area_m2(&ground), 400.0);
}

/// Check value T-10: corners 10, 12 / 11, 15, u 0.25, v 0.40 give 11.10. A surface of triangles
/// closes in on that twisted square as the square of its spacing: at 2 and at 22 cells to a side the
/// place stands alike within its cell, and the errors stand as 121 to 1.
#[test]
fn a_twisted_square_closes_in_on_its_bilinear_value() {
    let off = |n: u32| {
        let mut points = Vec::new();
        for i in 0..=n {
            for j in 0..=n {
                let (u, v) = (f64::from(i) / f64::from(n), f64::from(j) / f64::from(n));
                points.push([u, v, 10.0 + 2.0 * u + v + 2.0 * u * v]);
            }
        }
        let surface = through(&points);
        Locator::new(&surface).elevation([0.25, 0.40]).expect("it is inside") - 11.10
    };
    let (coarse, fine) = (off(2), off(22));
    assert!(coarse.abs() > 1e-3 && fine.abs() < 1e-3, "{coarse} {fine}");
    assert!((coarse / fine - 121.0).abs() < 0.1, "{coarse} {fine}");
}
