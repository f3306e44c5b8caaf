//! Times a cloud from its bytes to a thinned surface: `cloud FILE UNIT ERROR_M`, or
//! `cloud make FILE N` to make one of N points.

use std::time::Instant;

use exchange::las::{self, Told};
use exchange::thin::{Points, thin};
use exchange::unit_words::unit_of;
use exchange::watch::unwatched;
use units::LengthUnit;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["make", file, n] => make(file, n.parse().expect("a number of points")),
        [file, unit, error_m] => {
            time(file, unit_of(unit), error_m.parse().expect("an error in metres"));
        }
        _ => eprintln!("cloud FILE UNIT ERROR_M, or cloud make FILE N"),
    }
}

fn time(file: &str, unit: Option<LengthUnit>, error_m: f64) {
    let start = Instant::now();
    let bytes = std::fs::read(file).expect("the file is there");
    println!("file in memory {:.2} s", start.elapsed().as_secs_f64());
    let start = Instant::now();
    let told = Told { unit, ..Told::default() };
    let cloud = las::read(&bytes, &told, &mut unwatched).expect("it is a cloud");
    let read_s = start.elapsed().as_secs_f64();
    let at_m = |idx: usize| cloud.at_m(idx);
    let points = Points { n: cloud.len(), at_m: &at_m, unit: cloud.unit };
    let mut last = ("", Instant::now());
    let mut watch = |progress: exchange::watch::Progress| {
        if progress.what != last.0 {
            println!("  {} took {:.2} s", last.0, last.1.elapsed().as_secs_f64());
            last = (progress.what, Instant::now());
        }
        std::ops::ControlFlow::Continue(())
    };
    let thinned = thin(&points, error_m, &mut watch).expect("it spans a surface");
    let whole_s = start.elapsed().as_secs_f64();
    println!("read {read_s:.2} s, read and thinned {whole_s:.2} s, {:?}", thinned.report);
    println!("{} triangles", thinned.surface.faces().len());
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    for line in status.lines().filter(|line| line.starts_with("VmHWM")) {
        println!("{line}");
    }
}

/// Hills with a centimetre of noise, points at random places: a scan of a park.
fn make(file: &str, n: usize) {
    let mut seed = 1_u64;
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    let side = (n as f64 / 25.0).sqrt();
    let at_m: Vec<[f64; 3]> = (0..n)
        .map(|_| {
            let (u, v) = (next() * side, next() * side);
            let z = 6.0 * libm::sin(u / 60.0) * libm::cos(v / 45.0)
                + 0.8 * libm::sin(u / 9.0 + v / 13.0)
                + 0.02 * (next() - 0.5);
            [500_000.0 + u, 5_400_000.0 + v, 120.0 + z]
        })
        .collect();
    std::fs::write(file, las::write(&at_m, LengthUnit::Metre)).expect("the file can be written");
}
