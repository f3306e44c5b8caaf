//! Golden pictures: what the shipped program draws of a demo site, at the plain step, against pictures that
//! somebody has looked at.
//!
//! To renew one after a change that is meant, look at what the program draws and keep it:
//! `TARNWRIGHT_QUALITY=plain tarnwright picture demo-sites/rear-garden --from birds-eye --size 240x135 -o
//! tests/golden/birds-eye.png`.
//!
//! Tolerance: drivers round differently, at single pixels along edges. So both pictures are cut into squares
//! of 5 by 5 pixels; the mean red, green and blue of a square may differ by 6 of 255, and of the 1,296
//! squares at most 6 may differ by more.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;
use std::process::Command;

use acceptance::{demo_site, program, top};
use exchange::raster::{Raster, read};
use tempfile::TempDir;

const SIZE: [usize; 2] = [240, 135];
const SQUARE: usize = 5;
const MOST_OFF: f64 = 6.0;
const MOST_SQUARES: usize = 6;

/// Where from, and the file under `golden`.
const GOLDEN: [(&str, &str); 3] =
    [("birds-eye", "birds-eye.png"), ("Kitchen window", "kitchen.png"), ("depths", "depths.png")];

#[test]
fn the_demo_site_looks_as_it_did_and_a_changed_one_does_not() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    for (from, file) in GOLDEN {
        let golden = golden(file);
        let off = n_off(&drawn(&site, from), &golden);
        assert!(off <= MOST_SQUARES, "{from}: {off} squares differ from golden/{file}");
    }
    // The pond's water half a foot lower, and all that hangs on it: each picture tells.
    let text = fs::read_to_string(site.join("site.ron")).unwrap();
    let lower = text.replace("water_level_m: 30.6476", "water_level_m: 30.4952");
    assert_ne!(lower, text);
    fs::write(site.join("site.ron"), lower).unwrap();
    for (from, file) in GOLDEN {
        let off = n_off(&drawn(&site, from), &golden(file));
        assert!(off > 2 * MOST_SQUARES, "{from}: only {off} squares tell of lower water");
    }
}

#[test]
fn the_measure_itself_tells_a_small_patch_and_forgives_a_grain() {
    let golden = golden("birds-eye.png");
    assert_eq!(n_off(&golden, &golden), 0);
    let mut grained = golden.clone();
    for pixel in grained.rgba.chunks_exact_mut(4).step_by(7) {
        pixel[0] = pixel[0].saturating_add(20);
    }
    assert_eq!(
        n_off(&grained, &golden),
        0,
        "a grain of 20 at every seventh pixel is 3 in the mean"
    );
    let mut patched = golden.clone();
    for row in 60..80 {
        for column in 100..120 {
            patched.rgba[4 * (row * SIZE[0] + column) + 1] ^= 0x40;
        }
    }
    assert!(n_off(&patched, &golden) > MOST_SQUARES, "a patch of 20 by 20 pixels tells");
}

fn golden(file: &str) -> Raster {
    read(&fs::read(top().join("tests/golden").join(file)).unwrap()).unwrap()
}

fn drawn(site: &Path, from: &str) -> Raster {
    let [width, height] = SIZE;
    let ran = Command::new(program())
        .args(["picture", ".", "--from", from, "-o", "drawn.png"])
        .args(["--size", &format!("{width}x{height}")])
        .current_dir(site)
        .env("TARNWRIGHT_QUALITY", "plain")
        .output()
        .unwrap();
    assert!(ran.status.success(), "{ran:?}");
    read(&fs::read(site.join("drawn.png")).unwrap()).unwrap()
}

/// How many squares of two pictures differ by more than the tolerance.
fn n_off(a: &Raster, b: &Raster) -> usize {
    let size = SIZE.map(|side| side as u32);
    assert_eq!((a.size, b.size), (size, size));
    let squares = SIZE.map(|side| side / SQUARE);
    let differs = |x: usize, y: usize| {
        let [of_a, of_b] = [a, b].map(|picture| mean(picture, x, y));
        of_a.iter().zip(of_b).any(|(a, b)| (a - b).abs() > MOST_OFF)
    };
    (0..squares[1]).map(|y| (0..squares[0]).filter(|x| differs(*x, y)).count()).sum()
}

/// The mean red, green and blue of a square.
fn mean(picture: &Raster, x: usize, y: usize) -> [f64; 3] {
    let mut sums = [0.0; 3];
    for row in y * SQUARE..(y + 1) * SQUARE {
        for column in x * SQUARE..(x + 1) * SQUARE {
            let at = 4 * (row * SIZE[0] + column);
            let pixel = &picture.rgba[at..at + 3];
            sums.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += f64::from(*value));
        }
    }
    sums.map(|sum| sum / (SQUARE * SQUARE) as f64)
}
