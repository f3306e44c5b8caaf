//! Catchments of closed forms, and of meshes whose divides are known.

use super::*;
use crate::query::{End, descend, face_area_m2 as area_of_face, plan_area_m2, pool, sample};

/// The catchments' areas, the border's first.
fn areas(found: &Catchments<'_>) -> Vec<(DrainsTo, f64)> {
    found.all().iter().map(|c| (c.to, c.area_m2)).collect()
}

/// Checks that the parts make up the plan, that pieces have the areas that are said, and that places
/// drain where their paths lead.
fn prove(surface: &Surface, found: &Catchments<'_>) {
    let whole = plan_area_m2(surface);
    let sum: f64 = found.all().iter().map(|c| c.area_m2).sum();
    assert!((sum - whole).abs() <= 1e-12 * whole, "{sum} of {whole}");
    for (end, catchment) in found.all().iter().enumerate() {
        let pieces = found.pieces(end);
        let drawn: f64 = pieces.iter().map(|piece| area(&piece.ring)).sum();
        assert!((drawn - catchment.area_m2).abs() <= 1e-9 * whole, "{drawn}: {catchment:?}");
        for piece in &pieces {
            assert!(area(&piece.ring) > -1e-12, "{piece:?}");
        }
    }
    for f in 0..surface.faces().len() as u32 {
        let shares: f64 = found.parts(f).iter().map(|part| part.share).sum();
        assert!((shares - 1.0).abs() < 1e-12);
        assert!(area_of_face(surface, f) > 0.0);
    }
}

fn area(ring: &[[f64; 2]]) -> f64 {
    let o = ring[0];
    let twice =
        |p: &[[f64; 2]]| (p[0][0] - o[0]) * (p[1][1] - o[1]) - (p[0][1] - o[1]) * (p[1][0] - o[0]);
    0.5 * ring.windows(2).map(twice).sum::<f64>()
}

/// Checks that catchments and paths agree on a field of places; how many were asked.
fn agree(surface: &Surface, [columns, rows]: [u32; 2], [from, to]: [[f64; 2]; 2]) -> u32 {
    let found = catchments(surface, &[]);
    prove(surface, &found);
    let mut n = 0;
    for i in 0..columns * rows {
        let share = [
            (f64::from(i % columns) + 0.37) / f64::from(columns),
            (f64::from(i / columns) + 0.61) / f64::from(rows),
        ];
        let at = [0, 1].map(|k| from[k] + share[k] * (to[k] - from[k]));
        let Some(path) = descend(surface, at) else { continue };
        let end = found.all()[found.end_at(at).unwrap()].to;
        let last = path.points[path.points.len() - 1];
        let said = format!("from {at:?} to {last:?} {:?}, said {end:?}", path.end);
        match (path.end, end) {
            (End::Border, DrainsTo::Border) | (End::Flat, DrainsTo::Flat { .. }) => {}
            (End::Pit, DrainsTo::Pit { vertex }) => {
                let pit = surface.lattice().metres(surface.vertices()[vertex as usize]);
                assert_eq!(pit, last.at, "{said}");
            }
            _ => panic!("{said}"),
        }
        n += 1;
    }
    n
}

/// A ring of `[x, y, z]` over a rectangle with the heights of a function at its corners.
fn patch([x0, y0]: [f64; 2], [x1, y1]: [f64; 2], z: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(|[x, y]| [x, y, z(x, y)]).to_vec()
}

#[test]
fn a_pit_drains_all_and_a_cone_sheds_all() {
    let pit = sample::cone(7, 2.0, 0.0, -1.0);
    let found = catchments(&pit, &[]);
    prove(&pit, &found);
    let [(_, off), (to, whole)] = areas(&found)[..] else { panic!("{:?}", found.all()) };
    assert_eq!(off, 0.0);
    assert!(matches!(to, DrainsTo::Pit { .. }));
    assert!((whole - plan_area_m2(&pit)).abs() < 1e-12);
    let hill = sample::cone(7, 2.0, 0.0, 1.0);
    let found = catchments(&hill, &[]);
    prove(&hill, &found);
    assert_eq!(found.all().len(), 1);
}

/// Two roofs over a floor plan of 6 by 4: the valley between them runs to the north border, the
/// outer sides fall off to west and east.
#[test]
fn roofs_and_their_valley_part_the_plan() {
    let along = |y: f64| -0.1 * y;
    let valley = sample::patches(&[
        patch([0.0, 0.0], [2.0, 4.0], |x, y| x + along(y)),
        patch([2.0, 0.0], [3.0, 4.0], |x, y| 2.0 - (x - 2.0) + along(y)),
        patch([3.0, 0.0], [4.0, 4.0], |x, y| 1.0 + (x - 3.0) + along(y)),
        patch([4.0, 0.0], [6.0, 4.0], |x, y| 2.0 - (x - 4.0) + along(y)),
    ]);
    // The receiver is the whole of the slope west of the valley, at x = 3.
    let west = (0..valley.faces().len() as u32)
        .filter(|&f| valley.corners(f).iter().all(|c| (2_000_000..=3_000_000).contains(&c.x)))
        .collect();
    let receivers = [Receiver::faces(west)];
    let found = catchments(&valley, &receivers);
    prove(&valley, &found);
    // The eastern slope's water comes to the valley's line and runs along it to its northern end, in
    // which the receiver stands, but for a triangle of 1 by 0.1 that leaves over the border.
    assert!((found.all()[1].area_m2 - 7.95).abs() < 1e-12, "{:?}", found.all());
    assert!((found.all()[0].area_m2 - 16.05).abs() < 1e-12, "{:?}", found.all());
    assert!(agree(&valley, [13, 9], [[0.0, 0.0], [6.0, 4.0]]) > 100);
}

/// A dam between two pits: the divide lies on its crest. West pit (1, 1), east pit (4, 1).
#[test]
fn a_mesh_made_by_hand_has_its_known_divide() {
    let rim = 2.0;
    let quarter = |a: [f64; 3], b: [f64; 3], pit: [f64; 3]| vec![pit, a, b];
    let pit_in = |x0: f64, x1: f64, pit: [f64; 3]| {
        let c = [[x0, 0.0, rim], [x1, 0.0, rim], [x1, 2.0, rim], [x0, 2.0, rim]];
        [0, 1, 2, 3].map(|k| quarter(c[k], c[(k + 1) % 4], pit))
    };
    let west = pit_in(0.0, 2.0, [1.0, 1.0, 0.0]);
    let east = pit_in(2.0, 5.0, [4.0, 1.0, -1.0]);
    let surface = sample::patches(&[west, east].concat());
    let found = catchments(&surface, &[]);
    prove(&surface, &found);
    let got: Vec<f64> = found.all().iter().map(|c| c.area_m2).collect();
    assert_eq!(got.len(), 3);
    assert!(got[0].abs() < 1e-12 && (got[1] - 4.0).abs() < 1e-12 && (got[2] - 6.0).abs() < 1e-12);
}

/// A plane that falls to the west over a face whose lower corner parts its water: what lies south of
/// the corner's line up the slope goes one way, the rest the other.
///
/// ```text
///   y=2 ______________          the plane z = x falls west onto the wedge's point at (2, 1);
///      |north  /      |         west of it two troughs lead off, one north, one south
///   1  |------< plane |
///      |south  \      |
///   0  |________\_____|
///      0        2     5
/// ```
#[test]
fn a_point_parts_the_plane_above_it() {
    let surface = sample::patches(&[
        vec![[2.0, 1.0, 2.0], [2.0, 0.0, 2.0], [5.0, 0.0, 5.0], [5.0, 2.0, 5.0], [2.0, 2.0, 2.0]],
        // Level along x = 2, falling away from the ridge y = 1 to pits west.
        vec![[2.0, 1.0, 2.0], [2.0, 2.0, 2.0], [1.0, 2.0, 0.0]],
        vec![[2.0, 1.0, 2.0], [1.0, 0.0, 0.5], [2.0, 0.0, 2.0]],
        vec![[2.0, 1.0, 2.0], [1.0, 2.0, 0.0], [0.0, 1.0, 3.0]],
        vec![[2.0, 1.0, 2.0], [0.0, 1.0, 3.0], [1.0, 0.0, 0.5]],
    ]);
    assert!(agree(&surface, [40, 17], [[0.0, 0.0], [5.0, 2.0]]) > 400);
}

#[test]
fn walls_hold_and_pass_water_as_steps() {
    // A tank of upright sides, 2 by 2, within level ground: what falls outside stays outside.
    let tank = |x: f64, y: f64| if x == 1.0 && y == 1.0 { -1.0 } else { 0.0 };
    let squares = (0..9).map(|i| {
        let (x, y) = (f64::from(i % 3), f64::from(i / 3));
        patch([x, y], [x + 1.0, y + 1.0], |_, _| tank(x, y))
    });
    let surface = sample::patches(&squares.collect::<Vec<_>>());
    let found = catchments(&surface, &[]);
    prove(&surface, &found);
    // All level ground falls to the tank's floor, which lies flat: its nearest corners stand on the
    // tank's edge, from which ground falls.
    let floor = found.all().iter().find(|c| matches!(c.to, DrainsTo::Flat { .. })).unwrap();
    assert!((floor.area_m2 - 9.0).abs() < 1e-12, "{:?}", found.all());
    agree(&surface, [17, 19], [[0.0, 0.0], [3.0, 3.0]]);
    // A wall across a slope leads its water along its foot, off the border.
    let slope = |x: f64, y: f64| -0.2 * x + 0.1 * y;
    let wall = sample::patches(&[
        patch([0.0, 0.0], [2.0, 2.0], slope),
        patch([2.0, 0.0], [2.5, 2.0], |_, _| 3.0),
        patch([2.5, 0.0], [4.0, 2.0], slope),
    ]);
    let found = catchments(&wall, &[]);
    prove(&wall, &found);
    agree(&wall, [23, 11], [[0.0, 0.0], [4.0, 2.0]]);
    // With a notch in its foot it falls over.
    let fall = sample::patches(&[
        patch([0.0, 0.0], [2.0, 2.0], |x, y| -0.2 * x + 0.1 * y),
        patch([2.0, 0.0], [4.0, 2.0], |x, y| 0.3 * y - 0.6 - 0.1 * (x - 2.0)),
    ]);
    agree(&fall, [23, 19], [[0.0, 0.0], [4.0, 2.0]]);
}

#[test]
fn level_ground_goes_to_its_nearest_fall() {
    let terrace = sample::grid([6, 4], 1.0, |[x, _]| (2.0 - x).max(0.0) - (x - 4.0).max(0.0));
    let found = catchments(&terrace, &[]);
    prove(&terrace, &found);
    assert!((found.all()[0].area_m2 - 24.0).abs() < 1e-12);
    agree(&terrace, [29, 23], [[0.0, 0.0], [6.0, 4.0]]);
    let basin = sample::grid([6, 4], 1.0, |[x, _]| (x - 3.0).abs().max(1.0));
    let found = catchments(&basin, &[]);
    prove(&basin, &found);
    assert!((found.all()[1].area_m2 - 24.0).abs() < 1e-12, "{:?}", found.all());
    assert!(matches!(found.all()[1].to, DrainsTo::Flat { .. }));
    // A table falls on all sides: each corner's water goes off where it stands.
    let table = |[x, y]: [f64; 2]| if (1.0..=4.0).contains(&x) && y == 1.0 { 0.0 } else { -1.0 };
    agree(&sample::grid([5, 2], 1.0, table), [31, 13], [[0.0, 0.0], [5.0, 2.0]]);
}

/// Water at -0.5 in a pit whose sides rise 1 in 1 to a rim at 1, on ground that falls away beyond it.
#[test]
fn what_reaches_the_shore_has_arrived() {
    let bowl = |[x, y]: [f64; 2]| {
        let out = (x - 4.0).abs().max((y - 4.0).abs());
        if out <= 2.0 { out - 1.0 } else { 1.0 - 0.25 * (out - 2.0) }
    };
    let ground = sample::grid([16, 16], 0.5, bowl);
    let seed = [4.1, 4.0];
    let water = pool(&ground, seed, -0.5).unwrap();
    let receivers = [Receiver::water(&water)];
    let found = catchments(&ground, &receivers);
    prove(&ground, &found);
    assert!((found.all()[1].area_m2 - 16.0).abs() < 1e-9, "{:?}", found.all());
    assert!((found.all()[0].area_m2 - 48.0).abs() < 1e-9, "{:?}", found.all());
}

/// A valley that falls to the south, one in two, into water at 0.8 over its middle; south of that a floor.
///
/// Of each side's two square metres in the north all but a quarter comes down the valley's line, and meets the
/// shore on it: it has arrived there, whatever lies at the line's end.
#[test]
fn a_shore_on_an_edge_ends_what_runs_down_it() {
    let valley = |x: f64, y: f64| (x - 1.0).abs() + 0.5 * y;
    let rows = [[0.0, 1.0], [1.0, 2.0], [2.0, 4.0]];
    let sides = |[from, to]: [f64; 2]| [0.0, 1.0].map(|x| patch([x, from], [x + 1.0, to], valley));
    let surface = sample::patches(&rows.map(sides).concat());
    let between = |low: i32, high: i32| -> Vec<u32> {
        let is_there = |f: &u32| surface.corners(*f).iter().all(|c| (low..=high).contains(&c.y));
        (0..surface.faces().len() as u32).filter(is_there).collect()
    };
    let water = Receiver { faces: between(1_000_000, 2_000_000).into(), level_m: 0.8 };
    let receivers = [Receiver::faces(between(0, 1_000_000)), water];
    let found = catchments(&surface, &receivers);
    prove(&surface, &found);
    let [floor_m2, water_m2] = [1, 2].map(|end| found.all()[end].area_m2);
    assert!(water_m2 > 3.5 && floor_m2 < 4.0, "{floor_m2} {water_m2}");
}

#[test]
fn bumps_agree_with_paths() {
    let bumps = |[x, y]: [f64; 2]| libm::sin(1.3 * x) * libm::cos(1.7 * y) + 0.02 * x;
    let ground = sample::grid([20, 20], 0.4, bumps);
    assert_eq!(agree(&ground, [40, 40], [[0.0, 0.0], [8.0, 8.0]]), 1600);
}

#[test]
fn water_that_winds_into_a_pit_comes_to_it() {
    let n = 24;
    let rim = |k: u32, z: f64| {
        let angle = std::f64::consts::TAU * f64::from(k % n) / f64::from(n);
        [2.0 * libm::cos(angle), 2.0 * libm::sin(angle), z]
    };
    let facets = (0..n).map(|k| {
        let z = |k: u32| 0.02 + 0.5 * f64::from(k);
        vec![[0.0, 0.0, 0.0], rim(k, z(k)), rim(k + 1, z(k + 1))]
    });
    let surface = sample::patches(&facets.collect::<Vec<_>>());
    agree(&surface, [21, 21], [[-2.0, -2.0], [2.0, 2.0]]);
    // The same turned over: water winds out from the top.
    let facets = (0..n).map(|k| {
        let z = |k: u32| -0.02 - 0.5 * f64::from(k);
        vec![[0.0, 0.0, 0.0], rim(k, z(k)), rim(k + 1, z(k + 1))]
    });
    let surface = sample::patches(&facets.collect::<Vec<_>>());
    agree(&surface, [21, 21], [[-2.0, -2.0], [2.0, 2.0]]);
}

/// Two hollows in a row on ground that falls to the east: floors at -1 and -0.5, saddles at 0.2 to the
/// second and at 0 off the border.
#[test]
fn shallow_hollows_pass_on_what_they_get() {
    // A channel between high sides, one metre a step, its bed by these levels.
    let bed = [1.0, -1.0, 0.2, -0.5, 0.0, -0.1];
    let level = |[x, y]: [f64; 2]| {
        let i = (x as usize).min(bed.len() - 2);
        let along = bed[i] + (x - i as f64) * (bed[i + 1] - bed[i]);
        along + 3.0 * (y - 1.0).abs()
    };
    let ground = sample::grid([5, 2], 1.0, level);
    let found = catchments(&ground, &[]);
    prove(&ground, &found);
    let pit_at = |x: f64| {
        let is_there = |c: &&Catchment| match c.to {
            DrainsTo::Pit { vertex } | DrainsTo::Flat { vertex } => {
                ground.lattice().metres(ground.vertices()[vertex as usize])[0] == x
            }
            _ => false,
        };
        let pit = found.all().iter().find(is_there).expect("a pit stands there");
        found.all().iter().position(|c| c == pit).expect("it is one of them")
    };
    let (first, second) = (pit_at(1.0), pit_at(3.0));
    let ends_of = |depth_m: f64| {
        let to = found.passed_on(depth_m);
        [to[first], to[second]]
    };
    assert_eq!(ends_of(0.49), [first, second]);
    // The second runs off when it is 0.5 deep; the first takes 1.2 to run over into it.
    assert_eq!(ends_of(0.51), [first, 0]);
    assert_eq!(ends_of(1.19), [first, 0]);
    assert_eq!(ends_of(1.21), [0, 0]);
}
