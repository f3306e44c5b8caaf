//! The closed forms of the mound measure: B = 1.2 m on level ground.

use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::{Breakline, Lattice, LatticePoint, Surface, Tag, Terrain, build};
use site::Limits;

use super::{BuiltCells, Measure, Mound, measure, raised};

/// Sides of a round hill; a multiple of the bearings would put rays on its edges.
const N_SIDES: u32 = 180;
const HEIGHT_M: f64 = 1.2;

fn snap(at: [f64; 2]) -> LatticePoint {
    Lattice::default().snap(at).expect("within reach")
}

fn surface(points: &[[f64; 3]], lines: &[Vec<[f64; 3]>], owner: u32) -> Surface {
    let spot = |p: &[f64; 3]| (snap([p[0], p[1]]), p[2]);
    let terrain = Terrain {
        lattice: Lattice::default(),
        points: points.iter().map(spot).collect(),
        breaklines: lines
            .iter()
            .map(|line| Breakline { vertices: line.iter().map(spot).collect() })
            .collect(),
        boundary: None,
        voids: Vec::new(),
        tag: Tag { owner, part: 0 },
    };
    build(&terrain).expect("a surface").surface
}

fn level() -> Surface {
    let r = 30.0;
    surface(&[[-r, -r, 0.0], [r, -r, 0.0], [r, r, 0.0], [-r, r, 0.0]], &[], 0)
}

/// A ridge of this length with sides and conical ends of one grade, its apexes at `HEIGHT_M`.
fn ridge(length_m: f64, run_per_rise: f64) -> Surface {
    let radius_m = run_per_rise * HEIGHT_M;
    let half_m = 0.5 * length_m;
    let mut foot = Vec::new();
    for i in 0..=N_SIDES / 2 {
        let (sin, cos) =
            libm::sincos(f64::from(i) / f64::from(N_SIDES) * 2.0 * std::f64::consts::PI);
        foot.push([half_m + radius_m * sin, -radius_m * cos, 0.0]);
    }
    let back: Vec<[f64; 3]> = foot.iter().map(|p| [-p[0], -p[1], 0.0]).collect();
    let mut points = foot.clone();
    points.extend(&back);
    let apexes = [[-half_m, 0.0, HEIGHT_M], [half_m, 0.0, HEIGHT_M]];
    points.extend(apexes);
    let mut lines: Vec<Vec<[f64; 3]>> = Vec::new();
    lines.extend(foot.iter().map(|&p| vec![apexes[1], p]));
    lines.extend(back.iter().map(|&p| vec![apexes[0], p]));
    if length_m > 0.0 {
        lines.push(apexes.to_vec());
    }
    surface(&points, &lines, 1)
}

fn on(ground: &Surface, patch: &Surface) -> Surface {
    compose(ground, patch, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface
}

fn mound(existing: &Surface, finished: &Surface) -> Option<Mound> {
    let limits = Limits::default();
    let shared = |surface: &Surface| std::sync::Arc::new(surface.clone());
    let cells =
        BuiltCells::between(&shared(existing), &shared(finished), &Measure::default(), None);
    let hills = raised::hills(&cells, finished, limits.mound_least_height_m, |tag| tag.owner == 1);
    assert!(hills.len() <= 1);
    measure(&limits, finished, hills.first()?)
}

fn check(existing: &Surface, finished: &Surface, (closed, aspect): (f64, f64)) {
    let found = mound(existing, finished).expect("a hill");
    assert!((found.height_m - HEIGHT_M).abs() < 1e-6, "{}", found.height_m);
    let count: Vec<f64> = found.fan.iter().map(|b| b.weight).collect();
    assert!((found.closed - closed).abs() < 1e-12, "{} {count:?}", found.closed);
    // A facetted circle is a little narrower than the circle.
    assert!((found.aspect / aspect - 1.0).abs() < 1e-3, "{}", found.aspect);
    assert!((found.measure - closed / aspect).abs() < 1e-3);
}

#[test]
fn a_cone_at_one_in_three_is_a_heap() {
    let ground = level();
    check(&ground, &on(&ground, &ridge(0.0, 3.0)), (1.0, 1.0));
}

#[test]
fn a_cone_at_one_in_five_is_none() {
    let ground = level();
    check(&ground, &on(&ground, &ridge(0.0, 5.0)), (0.0, 1.0));
}

#[test]
fn a_ridge_of_nine_metres_reads_as_ground() {
    let ground = level();
    check(&ground, &on(&ground, &ridge(9.0, 3.0)), (32.0 / 72.0, 3.5));
}

#[test]
fn half_a_cone_against_a_step_is_half_hidden() {
    let terrace = surface(
        &[
            [-25.0, 0.0, HEIGHT_M],
            [25.0, 0.0, HEIGHT_M],
            [25.0, 25.0, HEIGHT_M],
            [-25.0, 25.0, HEIGHT_M],
        ],
        &[],
        0,
    );
    let ground = on(&level(), &terrace);
    check(&ground, &on(&ground, &ridge(0.0, 3.0)), (0.5, 2.0));
}

#[test]
fn turned_and_moved_it_stays_what_it_is() {
    let ground = level();
    let turned = {
        let flat = ridge(9.0, 3.0);
        let (sin, cos) = libm::sincos(30.0_f64.to_radians());
        let place = |p: LatticePoint| {
            let [x, y] = flat.lattice().metres(p);
            [3.0 + x * cos - y * sin, -2.0 + x * sin + y * cos]
        };
        let mut points = Vec::new();
        let mut lines = Vec::new();
        for face in 0..flat.faces().len() as u32 {
            let (corners, z) = (flat.corners(face).map(place), flat.corner_heights(face));
            let spots: Vec<[f64; 3]> =
                (0..3).map(|i| [corners[i][0], corners[i][1], z[i]]).collect();
            points.extend(&spots);
            lines.extend((0..3).map(|i| vec![spots[i], spots[(i + 1) % 3]]));
        }
        surface(&points, &lines, 1)
    };
    check(&ground, &on(&ground, &turned), (32.0 / 72.0, 3.5));
}

#[test]
fn low_ground_is_no_hill() {
    let ground = level();
    let low: Vec<[f64; 3]> =
        vec![[-2.0, -2.0, 0.0], [2.0, -2.0, 0.0], [0.0, 3.0, 0.0], [0.0, 0.0, 0.14]];
    assert_eq!(mound(&ground, &on(&ground, &surface(&low, &[], 1))), None);
}

#[test]
fn a_level_pad_is_looked_at_from_its_edge() {
    let ground = level();
    let pad = surface(
        &[
            [-1.0, -1.0, 1.0],
            [1.0, -1.0, 1.0],
            [1.0, 1.0, 1.0],
            [-1.0, 1.0, 1.0],
            [-4.0, -4.0, 0.0],
            [4.0, -4.0, 0.0],
            [4.0, 4.0, 0.0],
            [-4.0, 4.0, 0.0],
        ],
        &[vec![
            [-1.0, -1.0, 1.0],
            [1.0, -1.0, 1.0],
            [1.0, 1.0, 1.0],
            [-1.0, 1.0, 1.0],
            [-1.0, -1.0, 1.0],
        ]],
        1,
    );
    let found = mound(&ground, &on(&ground, &pad)).expect("a hill");
    let [x, y, z] = found.summit_m;
    assert!((x.abs().max(y.abs()) - 1.0).abs() < 1e-9 && x.abs().min(y.abs()) < 1e-9, "{x} {y}");
    assert_eq!(z, 1.0);
}
