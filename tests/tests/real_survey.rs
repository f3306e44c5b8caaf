//! A real survey: the ground points of an open cloud, triangulated, contoured, graded with a basin
//! and reported. Where the points come from and their licence stand beside them in `tests/data`.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use acceptance::{tarnwright, top};
use exchange::points::{PointList, Told, read};
use ground::query::{contours, plan_area_m2};
use ground::{Lattice, Locator, Surface, Tag, Terrain, build};
use serde_json::Value;
use tempfile::TempDir;

const LIST: &str = "tests/data/ground-60x40-ft.csv";
const FOOT_M: f64 = 1200.0 / 3937.0;

fn list() -> PointList {
    read(&fs::read(top().join(LIST)).unwrap(), &Told::default()).unwrap()
}

/// South-west of the cloud, in whole feet.
const CORNER_FT: [f64; 2] = [2_445_180.0, 604_300.0];

fn surface(list: &PointList) -> Surface {
    let lattice = Lattice::default();
    let place = |at: [f64; 3]| {
        lattice.snap([at[0] - CORNER_FT[0] * FOOT_M, at[1] - CORNER_FT[1] * FOOT_M]).unwrap()
    };
    let points = list.points.iter().map(|point| (place(point.at_m), point.at_m[2])).collect();
    let terrain = Terrain {
        lattice,
        points,
        breaklines: Vec::new(),
        boundary: None,
        voids: Vec::new(),
        tag: Tag::default(),
    };
    build(&terrain).unwrap().surface
}

#[test]
fn it_is_triangulated() {
    let list = list();
    assert_eq!(list.points.len(), 9808);
    let surface = surface(&list);
    assert_eq!(surface.check(), Ok(()));
    let places: BTreeSet<[u64; 2]> =
        list.points.iter().map(|p| [p.at_m[0].to_bits(), p.at_m[1].to_bits()]).collect();
    assert_eq!(surface.vertices().len(), places.len());
    let area_ft2 = plan_area_m2(&surface) / (FOOT_M * FOOT_M);
    assert!((area_ft2 - hull_area_ft2(&list)).abs() < 1e-6 * area_ft2, "{area_ft2}");
}

/// Area of the convex hull, apart from the kernel: places by easting, lower and upper chain.
fn hull_area_ft2(list: &PointList) -> f64 {
    let mut places: Vec<[f64; 2]> = list
        .points
        .iter()
        .map(|p| [p.at_m[0] / FOOT_M - CORNER_FT[0], p.at_m[1] / FOOT_M - CORNER_FT[1]])
        .collect();
    places.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let chain = |places: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for place in places {
            while let [.., a, b] = chain[..] {
                if turn(a, b, *place) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(*place);
        }
        chain
    };
    let mut hull = chain(&mut places.iter());
    hull.extend(chain(&mut places.iter().rev()));
    hull.windows(2).map(|pair| pair[0][0] * pair[1][1] - pair[1][0] * pair[0][1]).sum::<f64>() / 2.0
}

#[test]
fn it_is_contoured() {
    let surface = surface(&list());
    let locator = Locator::new(&surface);
    let mut n_places = 0;
    for hundredths in 135_375..135_515 {
        let z = f64::from(hundredths) / 100.0 * FOOT_M;
        for contour in contours(&surface, z) {
            assert!(contour.points.len() >= 2);
            for place in &contour.points {
                if let Some(elevation) = locator.elevation(*place) {
                    assert!((elevation - z).abs() < 1e-4, "{elevation} {z}");
                    n_places += 1;
                }
            }
        }
    }
    assert!(n_places > 10_000, "{n_places}");
}

/// A round pond of 3 m radius, dug in two rings, in the middle of the cloud.
fn basin(level_m: f64) -> String {
    let points: String = (0..24)
        .map(|k| {
            let (sin, cos) = libm::sincos(f64::from(k * 15).to_radians());
            format!("({:.4}, {:.4}), ", 3.0 * cos, 3.0 * sin)
        })
        .collect();
    format!(
        "works: [(id: 1, name: \"Pond\", kind: Basin((
            outline: (points: [{points}], smooth: true),
            water_level_m: {level_m:.3}, freeboard_m: 0.1, rim_width_m: 0.3,
            cut_bank: 2.0, fill_bank: 3.0,
            rings: [
                (shape: Inset(run_m: [0.6]), depth_m: 0.3),
                (shape: Inset(run_m: [0.9]), depth_m: 0.9),
            ],
            floor: Level,
        )))],\n    next_id: 2"
    )
}

fn graded(folder: &Path) -> Value {
    let survey = top().join(LIST);
    let words = ["new", "garden", "--survey", survey.to_str().unwrap()];
    let ran = tarnwright(folder, &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    let document = folder.join("garden/site.ron");
    let text = fs::read_to_string(&document).unwrap();
    let level_m = 1354.2 * FOOT_M;
    let with_pond = text.replacen("works: [],\n    next_id: 1", &basin(level_m), 1);
    assert_ne!(text, with_pond);
    fs::write(&document, with_pond).unwrap();
    let ran = tarnwright(folder, &["report", "garden", "--json"]);
    assert!(matches!(ran.status, 0 | 1), "{ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn it_is_graded_with_a_basin_and_reported() {
    let folder = TempDir::new().unwrap();
    let report = graded(folder.path());
    let number = |value: &Value| value.as_f64().unwrap_or_else(|| panic!("{value}: no number"));
    assert_eq!(report["surfaces"]["existing"]["points"], 9808);
    // Water: a frustum between 3 m and 2.4 m over 0.3 m, less the strip that the freeboard takes,
    // and one between 2.4 m and 1.5 m over 0.6 m. The side from the liner edge to the first ring
    // falls 0.4 m over 0.6 m, so that at the waterline the radius is 2.85 m.
    let frustum = |a: f64, b: f64, h: f64| std::f64::consts::PI * h * (a * a + a * b + b * b) / 3.0;
    let expected = frustum(2.85, 2.4, 0.3) + frustum(2.4, 1.5, 0.6);
    let water = number(&report["water"][0]["volume_m3"]);
    // Chords stand within 5 mm of their arcs: 5 mm in 1.5 m twice is 0.7 %.
    assert!((water - expected).abs() < 0.007 * expected, "{water} {expected}");
    let cut = number(&report["earthwork"]["cut_bank_m3"]);
    // The ground lies within 0.25 m of the water, so the dig is the water and a rim's worth more
    // or less: 0.25 m over the pond with its rim.
    let slack = 0.25 * std::f64::consts::PI * 3.6 * 3.6;
    assert!((cut - expected).abs() < slack, "{cut} {expected}");
    assert!(number(&report["haul"]["loads"]) >= 1.0);
    let words = ["compare", "garden:existing", "garden:finished", "--json"];
    let ran = tarnwright(folder.path(), &words);
    let between: Value = serde_json::from_str(&ran.out).unwrap();
    assert!((number(&between["cut_m3"]) - cut).abs() < 1e-7 * cut);
}

/// Above 1,353 ft the cloud's triangles hold 3,022.063 ft3: another library's triangulation of the
/// same points (Qhull, through SciPy 1.17), prism by prism. Points on one circle, which may be joined
/// either way, move that by less than 0.001 ft3.
#[test]
fn its_volume_above_a_level_is_another_librarys() {
    let folder = TempDir::new().unwrap();
    let mut level = "name,x,y,z\n".to_owned();
    for (k, [east, north]) in [[-9, -9], [80, -9], [80, 60], [-9, 60]].into_iter().enumerate() {
        let [x, y] = [CORNER_FT[0] + f64::from(east), CORNER_FT[1] + f64::from(north)];
        level.push_str(&format!("{k},{x},{y},1353\n"));
    }
    fs::write(folder.path().join("level.csv"), level).unwrap();
    let survey = top().join(LIST);
    let words = ["compare", "level.csv", survey.to_str().unwrap(), "--units", "us-ft", "--json"];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    let between: Value = serde_json::from_str(&ran.out).unwrap();
    let in_ft = |key: &str, power: i32| between[key].as_f64().unwrap() / FOOT_M.powi(power);
    let net_ft3 = in_ft("net_m3", 3);
    assert!((net_ft3 - 3022.063).abs() < 0.002, "{net_ft3}");
    let area_ft2 = in_ft("common_area_m2", 2);
    assert!((area_ft2 - 2242.506).abs() < 0.001, "{area_ft2}");
}

/// Cut and fill of the pond by quadrature: the ground as queried at places 2 cm apart against the
/// pond as drawn on paper, without bands, banks or compositions.
#[test]
fn its_pond_moves_what_a_quadrature_says() {
    let folder = TempDir::new().unwrap();
    let report = graded(folder.path());
    let text = fs::read_to_string(folder.path().join("garden/site.ron")).unwrap();
    let origin = text.split_once("origin_m: (").unwrap().1.split_once(')').unwrap().0;
    let origin_m: Vec<f64> = origin.split(',').map(|n| n.trim().parse().unwrap()).collect();
    let list = list();
    let surface = surface(&list);
    let ground = Locator::new(&surface);
    let level_m = (1354.2 * FOOT_M * 1000.0).round() / 1000.0;
    let on_line =
        |r: f64, [r0, z0]: [f64; 2], [r1, z1]: [f64; 2]| z0 + (z1 - z0) * (r - r0) / (r1 - r0);
    // Ground nowhere below the first nor above the second.
    let band = |r: f64| match r {
        r if r < 1.5 => [level_m - 0.9; 2],
        r if r < 2.4 => [on_line(r, [1.5, level_m - 0.9], [2.4, level_m - 0.3]); 2],
        r if r < 3.0 => [on_line(r, [2.4, level_m - 0.3], [3.0, level_m + 0.1]); 2],
        r if r < 3.3 => [level_m + 0.1; 2],
        r => [level_m + 0.1 - (r - 3.3) / 3.0, level_m + 0.1 + (r - 3.3) / 2.0],
    };
    let (step_m, mut cut, mut fill) = (0.02, 0.0, 0.0);
    for i in -250..250 {
        for j in -250..250 {
            let at = [i, j].map(|k| (f64::from(k) + 0.5) * step_m);
            let place = [0, 1].map(|k| at[k] + origin_m[k] - CORNER_FT[k] * FOOT_M);
            let Some(before) = ground.elevation(place) else { continue };
            let [lo, hi] = band(libm::hypot(at[0], at[1]));
            let change = before.min(hi).max(lo) - before;
            fill += change.max(0.0) * step_m * step_m;
            cut += (-change).max(0.0) * step_m * step_m;
        }
    }
    let work = &report["earthwork"]["works"][0];
    for (found, expected) in [(&work["cut_m3"], cut), (&work["fill_m3"], fill)] {
        let found = found.as_f64().unwrap();
        // Chords stand within 5 mm of their arcs; the rest is the quadrature's.
        assert!((found - expected).abs() < 0.01 * cut, "{found} {expected}");
    }
    assert!(cut > 10.0 && fill > 0.1, "{cut} {fill}");
}
