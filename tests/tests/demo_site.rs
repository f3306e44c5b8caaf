//! The demo site is what its page says: a garden in feet with honest findings; and it is the same
//! garden wherever it lies.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;

use acceptance::{demo_site, tarnwright, top};
use serde_json::Value;
use site::works::{Basin, Floor, RingShape, Side, WallMaterial};
use site::{Site, WorkKind};
use tempfile::TempDir;

const FOOT_M: f64 = 0.3048;

fn site() -> Site {
    let document = top().join("demo-sites/rear-garden/site.ron");
    site::file::parse(&fs::read_to_string(document).unwrap()).unwrap()
}

fn the<'s, T>(site: &'s Site, pick: fn(&'s WorkKind) -> Option<&'s T>) -> &'s T {
    let found: Vec<&T> = site.works.iter().filter_map(|work| pick(&work.kind)).collect();
    assert_eq!(found.len(), 1, "one of this kind");
    found[0]
}

fn length_m(points: &[[f64; 2]]) -> f64 {
    points.windows(2).map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])).sum()
}

#[test]
fn its_survey_looks_like_a_real_one() {
    let survey = fs::read_to_string(top().join("demo-sites/rear-garden/survey.csv")).unwrap();
    let rows: Vec<Vec<&str>> = survey
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
        .map(|line| line.split(',').collect())
        .collect();
    assert!((150..=400).contains(&rows.len()), "{}", rows.len());
    for code in ["HOUSE", "PATH-L", "PATH-R", "BANK-TOP", "BANK-TOE"] {
        assert!(rows.iter().filter(|row| row[4] == code).count() >= 4, "{code}");
        assert!(site().survey.line_codes.iter().any(|line| line == code), "{code} joins to a line");
    }
    let mut places: Vec<[&str; 2]> = rows.iter().map(|row| [row[1], row[2]]).collect();
    places.sort_unstable();
    let n_rows = places.len();
    places.dedup();
    assert!(places.len() < n_rows, "a point is shot twice");
    assert!(rows.iter().any(|row| row[1].parse::<f64>().unwrap() < 1000.0), "a stray lies far off");
}

#[test]
fn its_works_are_those_of_its_page() {
    let site = site();
    let pond: &Basin = the(&site, |kind| match kind {
        WorkKind::Basin(pond) => Some(pond),
        _ => None,
    });
    let side_ft = |axis: usize| {
        let along = pond.outline.points.iter().map(|p| p[axis]);
        (along.clone().fold(f64::MIN, f64::max) - along.fold(f64::MAX, f64::min)) / FOOT_M
    };
    let sides = [side_ft(0), side_ft(1)];
    let (long, short) = (sides[0].max(sides[1]), sides[0].min(sides[1]));
    assert!((long - 24.0).abs() < 1.0 && (short - 16.0).abs() < 1.0, "{sides:?}");
    let turn = |i: usize| {
        let n = pond.outline.points.len();
        let [a, b, c] = [i, i + 1, i + 2].map(|k| pond.outline.points[k % n]);
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    };
    let turns: Vec<f64> = (0..pond.outline.points.len()).map(turn).collect();
    assert!(turns.iter().any(|t| *t > 0.0) && turns.iter().any(|t| *t < 0.0), "it is concave");
    let Floor::Sump { depth_m, .. } = pond.floor else { panic!("it has a sump") };
    assert!((depth_m / FOOT_M - 3.0).abs() < 0.3, "{depth_m}");
    // A shelf falls less than 1 in 4 from the ring outside it; one varies twofold in width.
    let mut above_m = 0.0;
    let shelves: Vec<[f64; 2]> = (pond.rings.iter())
        .filter_map(|ring| {
            let drop_m = ring.depth_m - std::mem::replace(&mut above_m, ring.depth_m);
            let RingShape::Inset { run_m } = &ring.shape else { return None };
            let [least, most] = [f64::min, f64::max].map(|of| run_m.iter().copied().reduce(of));
            let [least, most] = [least?, most?];
            (drop_m < 0.25 * least).then_some([least, most])
        })
        .collect();
    assert_eq!(shelves.len(), 2, "{shelves:?}");
    // The file keeps tenths of millimetres.
    assert!(shelves.iter().any(|[least, most]| *most > 1.999 * least), "{shelves:?}");
    let stream = the(&site, |kind| match kind {
        WorkKind::Stream(stream) => Some(stream),
        _ => None,
    });
    assert!((length_m(&stream.line.points) / FOOT_M - 35.0).abs() < 3.0);
    assert_eq!(stream.falls.len(), 3);
    assert!(stream.from.is_some() && stream.into.is_some());
    the(&site, |kind| match kind {
        WorkKind::Hill(hill) => Some(hill),
        _ => None,
    });
    let wall = the(&site, |kind| match kind {
        WorkKind::Wall(wall) => Some(wall),
        _ => None,
    });
    assert_eq!(wall.material, WallMaterial::Boulder);
    assert!(wall.holds.is_some() && matches!(wall.retains, Side::Left | Side::Right));
    the(&site, |kind| match kind {
        WorkKind::FilterBed(bed) => Some(bed),
        _ => None,
    });
}

#[test]
fn its_findings_are_honest() {
    let ran = tarnwright(&top(), &["report", "demo-sites/rear-garden", "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    let codes: Vec<&str> =
        report["findings"].as_array().unwrap().iter().filter_map(|f| f["code"].as_str()).collect();
    for code in ["wall-below-lip", "flank-too-steep", "survey-suspect"] {
        assert!(codes.contains(&code), "{code}: {codes:?}");
    }
    assert!(report["earthwork"]["spoil_bank_m3"].as_f64().unwrap() > 1.0);
    assert!(report["haul"]["loads"].as_u64().unwrap() >= 1);
    assert_eq!(ran.status, 1, "findings that say stop stand");
}

/// The demo's survey moved by whole feet, 500 km east and 4,500 km north, and the frame with it: by
/// whole steps of the lattice, since a foot is 304,800 of them. Nothing changes but where it lies.
#[test]
fn a_garden_moved_by_whole_steps_reports_the_same_bytes() {
    let folder = TempDir::new().unwrap();
    let here = demo_site(folder.path());
    let by_ft = [1_640_420.0, 14_763_780.0];
    let there = folder.path().join("there");
    fs::create_dir(&there).unwrap();
    let survey = fs::read_to_string(here.join("survey.csv")).unwrap();
    let moved: String = survey
        .lines()
        .map(|line| {
            let mut row: Vec<String> = line.split(',').map(str::to_owned).collect();
            if line.starts_with(|c: char| c.is_ascii_digit()) {
                for axis in 0..2 {
                    let ft: f64 = row[1 + axis].parse().unwrap();
                    row[1 + axis] = format!("{:.2}", ft + by_ft[axis]);
                }
            }
            format!("{}\n", row.join(","))
        })
        .collect();
    fs::write(there.join("survey.csv"), moved).unwrap();
    let mut site = site();
    for (origin, by) in site.frame.origin_m.iter_mut().zip(by_ft) {
        *origin += by * FOOT_M;
    }
    fs::write(there.join("site.ron"), site::file::write(&site)).unwrap();
    let [mut here, mut there] = ["site", "there"].map(|name| {
        let ran = tarnwright(folder.path(), &["report", name, "--json"]);
        serde_json::from_str::<Value>(&ran.out).unwrap_or_else(|error| panic!("{error}: {ran:?}"))
    });
    let findings = here["findings"].as_array().unwrap().len();
    for i in 0..findings {
        for axis in 0..2 {
            let at = |report: &Value| report["findings"][i]["at"][axis].as_f64().unwrap();
            let by_m = at(&there) - at(&here);
            assert!((by_m - by_ft[axis] * FOOT_M).abs() < 1e-6, "{by_m}");
        }
        // How far off a stray lies is measured in the world, beyond the lattice's reach.
        for key in ["measured", "limit"] {
            let value = |report: &Value| report["findings"][i][key].as_f64().unwrap();
            let (here, there) = (value(&here), value(&there));
            assert!((here - there).abs() <= 1e-6 * here.abs(), "{here} {there}");
            assert!(here == there || here > 100.0, "{here} {there}");
        }
        for report in [&mut here, &mut there] {
            for key in ["at", "measured", "limit"] {
                report["findings"][i][key] = Value::Null;
            }
        }
    }
    assert_eq!(here, there);
}
