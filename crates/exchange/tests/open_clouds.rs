//! Clouds of others (tests/data) are read as laspy 2.7.0 reads them, which is where the numbers are
//! from.

use exchange::las::{ClassCount, Cloud, Told, read};
use exchange::thin::{Points, thin};
use exchange::watch::unwatched;
use units::LengthUnit;

fn bytes(name: &str) -> Vec<u8> {
    // Cargo runs tests in their package's folder, whichever clone built them.
    std::fs::read(format!("tests/data/{name}")).expect("the file is kept beside the test")
}

fn cloud(name: &str, unit: Option<LengthUnit>) -> Cloud {
    read(&bytes(name), &Told { unit, ..Told::default() }, &mut unwatched)
        .expect("laspy reads it, so it is a cloud")
}

fn check(cloud: &Cloud, n: usize, classes: &[(u8, u64)], ends: [[f64; 3]; 2]) {
    assert_eq!(cloud.len(), n);
    assert_eq!(cloud.stopped, None);
    let told = |&(class, n_points): &(u8, u64)| ClassCount { class, n_points };
    assert_eq!(cloud.classes, classes.iter().map(told).collect::<Vec<_>>());
    for (idx, at) in [0, n - 1].into_iter().zip(ends) {
        let read = cloud.at_m(idx).map(|c| cloud.unit.from_metres(c));
        assert!((0..3).all(|axis| (read[axis] - at[axis]).abs() < 1e-6), "{read:?} {at:?}");
    }
}

#[test]
fn points_in_chunks_of_one_size() {
    check(
        &cloud("simple.laz", Some(LengthUnit::Foot)),
        1065,
        &[(1, 789), (2, 276)],
        [[637_012.24, 849_028.31, 431.66], [637_342.85, 853_240.32, 423.92]],
    );
}

#[test]
fn version_1_4_with_layers() {
    check(
        &cloud("version-1-4.laz", Some(LengthUnit::UsSurveyFoot)),
        1000,
        &[(2, 1000)],
        [
            [1_694_510.386_934_684_1, 1_816_497.966_263_977, 5_598.359_612_814_967_5],
            [1_694_291.636_332_655_8, 1_816_493.066_230_584_5, 5_597.089_652_537_912],
        ],
    );
}

/// Found by fuzzing: the unpacker panics on some bytes. What is told is the reader's own word for them, and
/// where they stand.
#[test]
fn bytes_on_which_the_unpacker_panics_are_told_by_place() {
    let mut bytes = bytes("version-1-4.laz");
    // A part of the layers of the only chunk, back to front: no code of any point.
    bytes[5460..6260].reverse();
    let told = Told { unit: Some(LengthUnit::UsSurveyFoot), ..Told::default() };
    let cloud = read(&bytes, &told, &mut unwatched).unwrap();
    let stopped = cloud.stopped.as_ref().expect("the bytes are broken");
    assert!(stopped.message.starts_with("read bytes that no points are packed as"), "{stopped}");
    assert!((1..1000).contains(&cloud.len()), "{}", cloud.len());
}

/// Its places are in metres and its heights in US survey feet: that is asked about, not guessed.
#[test]
fn chunks_of_many_sizes_and_mixed_units() {
    let bytes = bytes("chunks-of-many-sizes.laz");
    let error = read(&bytes, &Told::default(), &mut unwatched).unwrap_err().to_string();
    assert!(error.contains("places in `m` and heights in `us-ft`"), "{error}");
    assert!(error.contains("--z-units"), "{error}");
    let told = Told { z_unit: Some(LengthUnit::Metre), ..Told::default() };
    check(
        &read(&bytes, &told, &mut unwatched).unwrap(),
        1065,
        &[(1, 789), (2, 276)],
        [[636_145.6, 849_170.47, 428.15], [638_314.34, 852_793.54, 419.65]],
    );
}

/// A nearly level floor with many points at one place.
#[test]
fn a_floor_thins_to_few_points() {
    let cloud = cloud("plane.laz", Some(LengthUnit::Metre));
    check(
        &cloud,
        28_185,
        &[(0, 28_185)],
        [[1_423_216.76, 4_189_096.66, 67.87], [1_423_214.55, 4_189_096.79, 67.87]],
    );
    let at_m = |idx: usize| cloud.at_m(idx);
    let points = Points { n: cloud.len(), at_m: &at_m, unit: cloud.unit };
    let thinned = thin(&points, 0.05, &mut unwatched).unwrap();
    assert!(thinned.report.largest_error_m <= 0.05, "{:?}", thinned.report);
    // 12,495 points share a place with another.
    assert_eq!(thinned.report.n_at_one_place, 12_495);
    assert!(thinned.report.n_kept < 2000, "{:?}", thinned.report);
}
